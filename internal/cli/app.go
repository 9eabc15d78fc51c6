// Package cli holds the commands and the wiring: one file per command, each of
// which answers one of the program's questions or records a fact. Every
// command that concludes something takes --on DATE and --json.
package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/spf13/cobra"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/message/languages"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// Exit codes, as every command's help says.
const (
	exitOK          = 0
	exitInternal    = 1
	exitInvalid     = 2
	exitNotFound    = 3
	exitConflict    = 4
	exitUnavailable = 5
	exitTooNew      = 6
	exitBroken      = 130 // as shells say it of what Ctrl-C ended
)

const exitHelp = `Exit codes: 0 fine; 1 a fault of the program; 2 something typed or written is
wrong; 3 no such yard, vehicle, position, kind or entry; 4 it contradicts
what is recorded; 5 a file cannot be read or written; 6 written by a newer version.`

// app is what the commands share.
type app struct {
	in       io.Reader
	out, err io.Writer
	now      func() time.Time
	language *message.Language // of what is said, or nil for English
	newID    func() string
	// completes says that a shell asks what may be typed.
	completes bool

	dir  string // folder of the yard
	at   string // --journal as typed
	on   string // --on as typed
	json bool
	only string // --vehicles as typed

	command *cobra.Command // that was called, once it is known

	busy *busy // what is said while it works, or nil

	shown func(units.Preferences, func(*print.Text)) // what else looks at answers: tests

	about *fleet.Vehicle // that is asked about, or nil

	folds *journal.Folds // of the journal that is open
}

// Main runs the program and returns its exit code.
func Main(args []string, in io.Reader, out, errw io.Writer) int {
	a := &app{in: in, out: out, err: errw, now: clock, newID: journal.NewID,
		language: languages.With(ask.Texts).Of(os.Getenv)}
	return a.run(args)
}

// clock is the system's, unless UNDERTRAY_TODAY fixes the day: so that sheets
// can be tried out and printed as of another day.
func clock() time.Time {
	if day, err := civil.Parse(os.Getenv("UNDERTRAY_TODAY")); err == nil && !day.IsZero() {
		return time.Date(day.Year, day.Month, day.Day, 12, 0, 0, 0, time.UTC)
	}
	return time.Now()
}

func (a *app) run(args []string) (code int) {
	defer func() {
		if fault := recover(); fault != nil {
			code = a.fault(fault)
		}
	}()
	a.completes = len(args) > 0 && strings.HasPrefix(args[0], cobra.ShellCompRequestCmd)
	root := a.root()
	root.SetArgs(negativesAsValues(root, args))
	defer a.quiet()
	called, err := root.ExecuteContextC(context.Background())
	if err == nil {
		return exitOK
	}
	a.command = called
	if errors.Is(err, errBroken) {
		return exitBroken
	}
	a.report(err)
	return exitCode(err)
}

// fault says in one line what must not happen, and where on request.
func (a *app) fault(fault any) int {
	hint := message.Text("run it again with UNDERTRAY_TRACE=1 to see where")
	if os.Getenv("UNDERTRAY_TRACE") != "" {
		hint = message.Name(string(debug.Stack()))
	}
	a.report(&fleet.Error{Msg: message.Of("a fault of the program: %v", fault), Hint: hint})
	return exitInternal
}

// usageError marks an error in how a command was called.
type usageError struct{ error }

// Unwrap returns the error itself, which may carry a hint.
func (e usageError) Unwrap() error { return e.error }

func exitCode(err error) int {
	var usage usageError
	if errors.As(err, &usage) {
		return exitInvalid
	}
	switch fleet.KindOf(err) {
	case fleet.Invalid:
		return exitInvalid
	case fleet.NotFound:
		return exitNotFound
	case fleet.Conflict:
		return exitConflict
	case fleet.Unavailable:
		return exitUnavailable
	case fleet.TooNew:
		return exitTooNew
	}
	var file *fs.PathError
	if errors.As(err, &file) { // in no words of ours, but a file all the same
		return exitUnavailable
	}
	return exitInternal
}

// report writes every error on a line of its own with its hint below.
func (a *app) report(err error) {
	for _, e := range record.Faults(err) {
		a.note("undertray: ", message.Name(harmless(message.Is(e).In(a.language))))
		for _, h := range fleet.Hints(e) {
			a.note("   ", message.Name(harmless(h.In(a.language))))
		}
	}
}

// harmless returns a text with control characters written out: what a file or an
// argument holds must not give orders to the terminal.
func harmless(text string) string {
	var b strings.Builder
	for _, r := range text {
		if unicode.IsControl(r) && r != '\n' && r != '\t' || unicode.Is(unicode.Bidi_Control, r) {
			fmt.Fprintf(&b, "\\u%04x", r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

// Commands are all commands with their help, to be written down: nothing of them is run.
func Commands() *cobra.Command {
	root := (&app{now: clock, newID: journal.NewID}).root()
	root.DisableAutoGenTag = true
	return root
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "undertray",
		Short: "Know the state of every belt, hose, line and harness on the vehicles you keep",
		Long: "Undertray keeps the memory, the measuring and the arithmetic of an owner-mechanic:\n" +
			"what was seen where and when, what it means, what to do at the next visit.\n\n" + exitHelp,
		SilenceUsage: true, SilenceErrors: true,
		Version: "of the build",
	}
	root.SetIn(a.in)
	root.SetOut(a.out)
	root.SetErr(a.err)
	root.SetVersionTemplate(versionWords(debug.ReadBuildInfo()))
	root.Flags().BoolP("version", "v", false, "say which version and build this is")
	root.SetFlagErrorFunc(flagFault)
	root.PersistentFlags().StringVar(&a.dir, "yard", defaultDir(), "folder of the yard")
	root.PersistentFlags().StringVar(&a.at, "journal", "",
		"another journal than the yard's own: a file, or postgres://host/db?search_path=yard")
	root.PersistentFlags().Lookup("yard").DefValue = "what UNDERTRAY_YARD says, or undertray in your home"
	root.PersistentPreRunE = func(c *cobra.Command, _ []string) error {
		a.command = c
		a.begin(c)
		_, err := a.day() // which few commands do not ask for whatever they answer
		return err
	}
	root.SetHelpFunc(a.help)
	holdsCommands(root)
	root.AddGroup(
		&cobra.Group{ID: "answers", Title: "Questions:"},
		&cobra.Group{ID: "facts", Title: "Recording facts:"},
		&cobra.Group{ID: "keeping", Title: "Sheets and journal:"},
		&cobra.Group{ID: "about", Title: "About the commands:"})
	a.addAnswers(root)
	a.addFacts(root)
	a.addKeeping(root)
	a.addHelp(root)
	if a.completes { // a shell asks; the library keeps what it is told for as long as the process lasts
		a.complete(root)
	}
	return root
}

func (a *app) addAnswers(root *cobra.Command) {
	for _, c := range []*cobra.Command{a.yardCmd(), a.stateCmd(), a.positionCmd(), a.meaningCmd(), a.kindCmd(),
		a.roundCmd(), a.jobCmd(), a.tickCmd(), a.finishCmd(),
		a.planCmd(), a.tripCmd(), a.tagCmd(), a.cardCmd(), a.calendarCmd(),
		a.runCmd(), a.listenCmd(), a.countCmd(), a.forecastCmd(), a.livesCmd(), a.reckoningCmd(), a.historyCmd(),
		a.handoverCmd()} {
		c.GroupID = "answers"
		a.concluding(c)
		root.AddCommand(c)
	}
}

func (a *app) addFacts(root *cobra.Command) {
	for _, c := range []*cobra.Command{a.odometerCmd(), a.fittedCmd(), a.foundCmd(), a.doneCmd(), a.boughtCmd(),
		a.noteCmd(), a.pastCmd(), a.pictureCmd(), a.asideCmd(), a.openedCmd(), a.closedCmd(), a.aboardCmd(),
		a.findingsCmd(), a.askCmd(), a.correctCmd()} {
		c.GroupID = "facts"
		c.Flags().BoolVar(&a.json, "json", false, "print what was recorded as JSON")
		root.AddCommand(c)
	}
}

func (a *app) addKeeping(root *cobra.Command) {
	for _, c := range []*cobra.Command{a.sheetCmd(), a.schemaCmd(), a.journalCmd(), a.backupCmd(), a.restoreCmd(),
		a.giveCmd(),
		a.takeCmd(), a.serveCmd(), a.passphraseCmd(), a.devicesCmd(), a.certificateCmd(), a.demoCmd()} {
		c.GroupID = "keeping"
		root.AddCommand(c)
	}
}

// addHelp adds what the library offers about all commands, in the words of the others.
func (a *app) addHelp(root *cobra.Command) {
	help := &cobra.Command{Use: "help [COMMAND...]", Short: "What a command is for and how it is called",
		GroupID: "about",
		RunE: func(_ *cobra.Command, args []string) error {
			c := root
			for ; len(args) > 0; args = args[1:] {
				at := slices.IndexFunc(c.Commands(), func(sub *cobra.Command) bool { return sub.Name() == args[0] })
				if at < 0 {
					return noCommand(c, args[0])
				}
				c = c.Commands()[at]
			}
			return c.Help()
		}}
	help.ValidArgsFunction = func(_ *cobra.Command, args []string, part string) ([]string, cobra.ShellCompDirective) {
		c, _, err := root.Find(args)
		if err != nil {
			c = root
		}
		var out []string
		for _, sub := range c.Commands() {
			if strings.HasPrefix(sub.Name(), part) {
				out = append(out, sub.Name()+"\t"+sub.Short)
			}
		}
		return out, cobra.ShellCompDirectiveNoFileComp
	}
	root.SetHelpCommand(help)
	root.AddCommand(help)
	root.InitDefaultCompletionCmd()
	for _, c := range root.Commands() {
		if c.Name() == "completion" {
			c.GroupID, c.Short = "about", "Completion of commands, vehicles, parts and answers for a shell"
			c.Long = c.Short + "."
			holdsCommands(c)
			for _, shell := range c.Commands() {
				shell.Args = a.args(0, 0)
			}
		}
	}
}

// concluding gives a command the flags of every command that concludes
// something, and its help the exit codes.
func (a *app) concluding(c *cobra.Command) {
	c.Flags().StringVar(&a.on, "on", "", "work it out as of this day, for example 2026-11-25 (default today)")
	c.Flags().BoolVar(&a.json, "json", false, "print the answer as JSON")
	if c.Long == "" {
		c.Long = c.Short + "."
	}
	c.Long += "\n\n" + exitHelp
}

func defaultDir() string {
	if dir := os.Getenv("UNDERTRAY_YARD"); dir != "" {
		return dir
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "undertray"
	}
	return filepath.Join(home, "undertray")
}

// day returns the day --on names, or today.
func (a *app) day() (civil.Date, error) { return a.dayOf("on", a.on) }

func (a *app) dayOf(flag, typed string) (civil.Date, error) {
	if typed == "" {
		return civil.Of(a.now()), nil
	}
	day, err := civil.Parse(typed)
	if err != nil {
		return day, &fleet.Error{Kind: fleet.Invalid, Where: "--" + flag, Msg: message.Is(err),
			Hint: "write it as 2026-11-25", Err: err}
	}
	return day, nil
}

// print sets text on standard output.
func (a *app) print(y *yard.Yard, set func(t *print.Text)) error {
	t := a.screen(a.out, print.Width).Text(a.out, a.reads(y))
	set(t)
	if a.shown != nil {
		a.shown(a.reads(y), set)
	}
	return t.Close()
}

// reads is what the answer is written in: the units of the vehicle it is about, or the
// yard's.
func (a *app) reads(y *yard.Yard) units.Preferences {
	if a.about != nil {
		return a.about.Reader
	}
	return y.Settings.Units
}

func (a *app) printJSON(v any) error {
	a.quiet()
	enc := json.NewEncoder(a.out)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// withYard opens the yard and its journal for the time of do. A yard that has
// no journal yet gets an empty one.
func (a *app) withYard(ctx context.Context, do func(*yard.Yard, journal.Store) error) (err error) {
	y, err := yard.Open(a.dir)
	if err != nil {
		return err
	}
	y.KeepQuick(journal.Program())
	return a.withJournal(ctx, func(store journal.Store) error { return do(y, store) })
}

// withJournal opens the journal alone for the time of do.
func (a *app) withJournal(ctx context.Context, do func(journal.Store) error) (err error) {
	store, err := a.openJournal(ctx)
	if err != nil {
		return err
	}
	before := a.folds
	a.folds = journal.FoldsOf(store, a.dir)
	defer func() {
		a.folds = before
		err = errors.Join(err, store.Close())
	}()
	if alarm := store.Alarm(); alarm != nil {
		a.report(alarm)
	}
	return do(store)
}

// openJournal opens the yard's journal: the one --journal names, or the one its
// settings name, or the file in its folder. There is an empty one if there was
// none.
func (a *app) openJournal(ctx context.Context) (*journal.Guarded, error) {
	address, err := a.journalAddress()
	if err != nil {
		return nil, err
	}
	return journal.Open(ctx, address, journal.Options{Create: true, Mark: filepath.Join(a.dir, journal.MarkFile)})
}

func (a *app) journalAddress() (string, error) {
	if a.at != "" {
		return a.at, nil
	}
	return yard.JournalAddress(a.dir)
}

// withVehicle finds a vehicle of the yard for the time of do.
func (a *app) withVehicle(ctx context.Context, vehicle string,
	do func(*yard.Yard, journal.Store, *fleet.Vehicle) error) error {
	return a.withYard(ctx, func(y *yard.Yard, store journal.Store) error {
		v, err := y.Vehicle(vehicle)
		if err != nil {
			return err
		}
		return do(y, store, v)
	})
}

// withReport works a vehicle out for the time of do.
func (a *app) withReport(ctx context.Context, vehicle string, do func(*yard.Yard, *advise.Report) error) error {
	return a.withVehicle(ctx, vehicle, func(y *yard.Yard, store journal.Store, v *fleet.Vehicle) error {
		r, err := a.reportOn(ctx, y, v)
		if err != nil {
			return err
		}
		a.tell(r)
		return do(y, r)
	})
}

// tell says on the side that half-done work keeps a vehicle where it is: it is
// said before whatever is asked about that vehicle.
func (a *app) tell(r *advise.Report) {
	if s := r.StandsWords(); s != "" {
		a.note("", message.Of("%s: %s", harmless(r.Vehicle.Name), s))
	}
}

// look looks at the journal, to work vehicles out on the day that was asked for.
func (a *app) look(ctx context.Context, y *yard.Yard) (*together.AsItStands, error) {
	on, err := a.day()
	if err != nil {
		return nil, err
	}
	return (&together.Worked{Folds: a.folds, Memory: a.folds}).Look(ctx, y.Catalogue, y, on)
}

// reports works out every vehicle of the yard or those named with --vehicles, so
// that each profits from what the others have seen.
func (a *app) reports(ctx context.Context, y *yard.Yard) ([]*advise.Report, error) {
	look, err := a.look(ctx, y)
	if err != nil {
		return nil, err
	}
	if a.only == "" && !together.Large(y) {
		return look.Yard(ctx)
	}
	return look.Named(ctx, commas(a.only), "--vehicles", "--vehicles ")
}

// reportOn works one vehicle out, with what the others have seen.
func (a *app) reportOn(ctx context.Context, y *yard.Yard, v *fleet.Vehicle) (*advise.Report, error) {
	look, err := a.look(ctx, y)
	if err != nil {
		return nil, err
	}
	a.about = v
	return look.Among(ctx, v)
}

// whole is a report with all that is recorded about its vehicle, for questions
// about the past.
func (a *app) whole(ctx context.Context, r *advise.Report) (*advise.Report, []*fleet.Entry, error) {
	all, err := a.folds.OfVehicle(ctx, r.Vehicle.ID)
	if err != nil {
		return nil, nil, err
	}
	return r.WithRecord(r.Vehicle, all, r.On), all, nil
}

// withShare works a vehicle out for the time of do, with what the plan of all
// vehicles leaves to it.
func (a *app) withShare(ctx context.Context, vehicle string,
	do func(*yard.Yard, *advise.Report, *plan.Share) error) error {
	return a.withVehicle(ctx, vehicle, func(y *yard.Yard, store journal.Store, v *fleet.Vehicle) error {
		r, share, err := a.shareOf(ctx, y, v)
		if err != nil {
			return err
		}
		return do(y, r, share)
	})
}

func (a *app) shareOf(ctx context.Context, y *yard.Yard, v *fleet.Vehicle) (*advise.Report, *plan.Share, error) {
	if large := together.Large(y); large || !y.Settings.Visits.Any() {
		if large && y.Settings.Visits.Any() {
			a.note("", together.AloneWords(len(y.IDs())))
		}
		r, err := a.reportOn(ctx, y, v)
		return r, nil, err
	}
	reports, err := a.reports(ctx, y)
	if err != nil {
		return nil, nil, err
	}
	share, err := plan.ShareOf(ctx, reports, v.ID, y.Settings.Visits)
	own := slices.IndexFunc(reports, func(r *advise.Report) bool { return r.Vehicle.ID == v.ID })
	return reports[own], share, err
}

// recorder returns what adds entries to a yard's journal.
func (a *app) recorder(y *yard.Yard) *record.Recorder {
	run := func(v *fleet.Vehicle, entries []*fleet.Entry, at string) string {
		return belt.Stands(y.Catalogue, v, entries, civil.Of(a.now()), at)
	}
	return &record.Recorder{Journal: a.folds, Catalogue: y.Catalogue, Now: a.now, NewID: a.newID, Run: run}
}
