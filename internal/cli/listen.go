package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/sound"
	"undertray.example/undertray/internal/yard"
)

// listenFlags are what was typed after listen.
type listenFlags struct {
	q              belt.ListenQuestion
	bearings       []string
	outer          bool
	ignore         []float64
	tap, compare   string
	svg            string
	keep           bool
	found, keepPos string
	within         float64
}

func (a *app) listenCmd() *cobra.Command {
	var f listenFlags
	c := &cobra.Command{Use: "listen [VEHICLE] FILE", Short: "Say from a recording which pulley makes the noise",
		Long: "Say from a recording which pulley of a vehicle's belt runs makes the noise, as far\n" +
			"as it can be told: ten seconds or more at one held speed, in whatever file a\n" +
			"phone makes. WAV and FLAC lose nothing; M4A, MP3 and the like need ffmpeg.\n" +
			"Of a long recording the best half minute is taken.\n\n" +
			"Sleeves, hair and straps away from belt and fan; never in a closed garage.",
		Args: a.args(1, 2),
		Example: "  undertray listen heron idle.wav --rpm 800\n" +
			"  undertray listen heron idle.wav --rpm 800 --svg lines.svg --keep\n" +
			"  undertray listen spun.wav --bearing 6203 --rpm 1796\n" +
			"  undertray listen heron taps.wav --tap \"crank pulley - alternator\"\n" +
			"  undertray listen heron after.wav --compare before.wav",
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("rpm") && !(f.q.RPM > 0) {
				return wrongFlag("rpm", c.Flag("rpm").Value.String(),
					"write the speed that the meter showed, such as 800; leave it out where none did", nil)
			}
			return a.listen(c.Context(), args, f)
		}}
	fl := c.Flags()
	fl.Float64Var(&f.q.RPM, "rpm", 0, "engine speed as the meter showed it; for --bearing the shaft's")
	fl.Float64Var(&f.within, "within", 0, "how far that speed may be off, in per cent (default 3; for --bearing 2.5)")
	fl.StringVar(&f.q.Run, "run", "", "only this run, by its id")
	fl.StringArrayVar(&f.q.On, "with", nil, "what was switched on: lights, \"air conditioning\"")
	fl.StringArrayVar(&f.bearings, "bearing", nil, "one shaft on its own with this bearing, such as 6203; no vehicle")
	fl.BoolVar(&f.outer, "outer-turns", false, "its outer ring turns, as in most idlers")
	fl.Float64SliceVar(&f.ignore, "ignore", nil,
		"pass over multiples of this frequency in Hz, such as mains; for --bearing")
	fl.StringVar(&f.tap, "tap", "", "taps on a span at rest, named by its pulleys: \"crank pulley - alternator\"")
	fl.StringVar(&f.compare, "compare", "", "set another recording, made before, beside it")
	fl.StringVar(&f.svg, "svg", "", "write the spectrum with the candidates' lines into this file")
	fl.BoolVar(&f.keep, "keep", false, "keep the recording in the journal with a note")
	fl.StringVar(&f.found, "found", "",
		"with --keep: record this answer to the part's check of its noise instead of a note")
	fl.StringVar(&f.keepPos, "position", "",
		"with --keep: the position it is about (default: the one named, if one is)")
	return c
}

func (a *app) listen(ctx context.Context, args []string, f listenFlags) error {
	file := args[len(args)-1]
	if err := f.check(args); err != nil {
		return err
	}
	f.q.Tolerance = f.within / 100
	rec, from, err := readRecording(ctx, file)
	if err != nil {
		return err
	}
	switch {
	case f.compare != "":
		return a.compareTo(ctx, rec, file, f)
	case len(f.bearings) > 0:
		return a.shaft(rec, f)
	}
	return a.withYard(ctx, func(y *yard.Yard, store journal.Store) error {
		v, err := y.Vehicle(args[0])
		if err != nil {
			return err
		}
		r, err := a.reportOn(ctx, y, v)
		if err != nil {
			return err
		}
		if f.tap != "" {
			return a.tapped(y, r, rec, f)
		}
		h, err := belt.Listen(r, rec, f.q)
		if err != nil {
			return inFile(err, sound.Name(file))
		}
		if err := a.showHeard(y, h, f); err != nil || !f.keep {
			return err
		}
		src, err := keepable(rec, from, file)
		if err != nil {
			return err
		}
		name := strings.TrimSuffix(filepath.Base(sound.Name(file)), filepath.Ext(sound.Name(file))) + ".wav"
		return a.keepHeard(ctx, y, store, h, f, name, src)
	})
}

// check refuses what does not go together.
func (f *listenFlags) check(args []string) error {
	hint := message.Text("")
	alone := len(f.bearings) > 0 || f.compare != ""
	switch {
	case len(args) == 1 && !alone:
		hint = "name the vehicle before the file, or the bearing of a single shaft with --bearing"
	case len(f.bearings) > 0 && (len(args) == 2 || f.tap != "" || f.compare != "" || f.keep):
		hint = "a single shaft goes without a vehicle, --tap, --compare and --keep"
	case f.keep && (f.tap != "" || f.compare != ""):
		hint = "--keep goes with a recording of the running engine"
	case f.tap != "" && f.compare != "":
		hint = "--tap and --compare are two questions: ask one after the other"
	case !f.keep && (f.found != "" || f.keepPos != ""):
		hint = "--found and --position go with --keep"
	case f.svg != "" && (f.tap != "" || f.compare != ""):
		hint = "--svg goes with a recording of the running engine or of a single shaft"
	default:
		return nil
	}
	return usageError{&fleet.Error{Kind: fleet.Invalid, Msg: "what was typed does not go together", Hint: hint}}
}

// readRecording reads a sound file, whatever it holds.
func readRecording(ctx context.Context, name string) (belt.Recording, *sound.Sound, error) {
	s, err := sound.Open(ctx, name)
	if err != nil {
		return belt.Recording{}, nil, err
	}
	defer s.Close()
	rec, err := belt.ReadRecording(sound.Name(name), s)
	return rec, s, err
}

// keepable is what is kept of a recording: the file itself where it is a WAV
// taken in whole, else a WAV of what was taken.
func keepable(rec belt.Recording, s *sound.Sound, name string) ([]byte, error) {
	if !s.Plain || belt.WasCut(rec) {
		return rec.WAV(), nil
	}
	src, err := os.ReadFile(name)
	if err != nil {
		return nil, &fleet.Error{Kind: fleet.Unavailable, Where: sound.Name(name), Msg: "the file cannot be read again",
			Hint: "leave it in its place until it is kept", Err: err}
	}
	return src, nil
}

// inFile puts the file's name into an error about its recording or picture.
func inFile(err error, file string) error {
	if e, ok := err.(*fleet.Error); ok && (e.Where == "recording" || e.Where == "picture") {
		named := *e
		named.Where = file
		return &named
	}
	return err
}

func (a *app) compareTo(ctx context.Context, rec belt.Recording, file string, f listenFlags) error {
	before, _, err := readRecording(ctx, f.compare)
	if err != nil {
		return err
	}
	c, err := belt.CompareRecordings(before, rec, filepath.Base(sound.Name(f.compare)),
		filepath.Base(sound.Name(file)))
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(c.View())
	}
	return a.print(&yard.Yard{}, func(t *print.Text) { t.Compared(c) })
}

func (a *app) shaft(rec belt.Recording, f listenFlags) error {
	h, err := belt.Shaft(rec, belt.ShaftQuestion{Bearings: f.bearings, RPM: f.q.RPM, Tolerance: f.q.Tolerance,
		OuterTurns: f.outer, Ignore: f.ignore})
	if err != nil {
		return err
	}
	if f.svg != "" {
		fig, err := h.Figure(spectrumHead)
		if err != nil {
			return err
		}
		if err := writeFigure(f.svg, fig); err != nil {
			return err
		}
	}
	if a.json {
		return a.printJSON(h.View())
	}
	return a.print(&yard.Yard{}, func(t *print.Text) { t.Shaft(h) })
}

var spectrumHead = draw.Head{ID: "spectrum", Width: 720}

func writeFigure(name string, fig draw.Figure) error {
	if err := os.WriteFile(name, []byte(fig.SVG.Alone()), 0o644); err != nil {
		return &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "the drawing cannot be written",
			Hint: "check the folder and that you may write there", Err: err}
	}
	return nil
}

func (a *app) tapped(y *yard.Yard, r *advise.Report, rec belt.Recording, f listenFlags) error {
	from, to, ok := cutSpan(f.tap)
	if !ok {
		return wrongFlag("tap", f.tap, `write it as "crank pulley - alternator"`, nil)
	}
	h, err := belt.Tapped(r, rec, f.q.Run, from, to)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(h.View())
	}
	return a.print(y, func(t *print.Text) { t.Tapped(h) })
}

func (a *app) showHeard(y *yard.Yard, h *belt.Heard, f listenFlags) error {
	if f.svg != "" {
		fig, err := h.Figure(spectrumHead)
		if err != nil {
			return err
		}
		if err := writeFigure(f.svg, fig); err != nil {
			return err
		}
	}
	if a.json {
		return a.printJSON(h.View())
	}
	return a.print(y, func(t *print.Text) { t.Heard(h) })
}

// keepHeard attaches the recording to an entry and says so on the error
// stream, so that the answer on the output stays by itself.
func (a *app) keepHeard(ctx context.Context, y *yard.Yard, store journal.Store, h *belt.Heard, f listenFlags,
	name string, src []byte) error {
	e, err := heardEntry(y.Catalogue, h, f)
	if err != nil {
		return err
	}
	day, err := a.day()
	if err != nil {
		return err
	}
	hash, err := store.PutAttachment(ctx, bytes.NewReader(src), name, belt.SoundType)
	if err != nil {
		return err
	}
	e.Date = day
	belt.Attach(e, hash)
	stored, err := a.recorder(y).Batch(ctx, h.Vehicle, []*fleet.Entry{e})
	if err != nil {
		return err
	}
	kept := message.Of("Kept as entry %s, with the recording.", stored[0].ID)
	if p := h.Vehicle.Position(stored[0].Position()); p != nil {
		kept = message.Of("Kept as entry %s at %s, with the recording.", stored[0].ID, p.Name)
	}
	a.note("", kept)
	return nil
}

// heardEntry is the entry a recording is kept with: a note, or the answer to
// the check of a part's noise.
func heardEntry(cat *catalogue.Catalogue, h *belt.Heard, f listenFlags) (*fleet.Entry, error) {
	at := f.keepPos
	if at == "" {
		at = h.Suspected()
	}
	if at == "" && f.found != "" {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "--found", Msg: "the recording names no single part",
			Hint: message.Of("say which one with --position: %s", strings.Join(h.Positions(), ", "))}
	}
	return belt.Entry(cat, h.Vehicle, at, f.found, h.NoteWords().String())
}
