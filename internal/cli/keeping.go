package cli

import (
	"context"
	"errors"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/yard"
)

func (a *app) journalCmd() *cobra.Command {
	c := &cobra.Command{Use: "journal", Short: "The journal: export, import, verify, accept"}
	holdsCommands(c)
	c.AddCommand(a.exportCmd(), a.importCmd(), a.verifyCmd(), a.acceptCmd())
	return c
}

func (a *app) exportCmd() *cobra.Command {
	var pictures bool
	c := &cobra.Command{Use: "export [FILE]", Short: "Write the whole journal as JSON Lines", Args: a.args(0, 1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withYard(c.Context(), func(_ *yard.Yard, store journal.Store) error {
				if len(args) == 0 || args[0] == "-" {
					_, err := journal.Export(c.Context(), store, a.out, journal.ExportOptions{Attachments: pictures})
					return err
				}
				return a.exportTo(c.Context(), store, args[0], pictures)
			})
		}}
	c.Flags().BoolVar(&pictures, "attachments", false, "write pictures and recordings too")
	return c
}

// exportTo writes to a new file and leaves none behind when it fails.
func (a *app) exportTo(ctx context.Context, store journal.Store, name string, pictures bool) error {
	f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if err != nil {
		return &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "the file cannot be made",
			Hint: "choose a name that is not taken, in a folder you may write to", Err: err}
	}
	_, err = journal.Export(ctx, store, f, journal.ExportOptions{Attachments: pictures})
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(name)
	}
	return err
}

// opened opens a file that was named, to be read.
func opened(name string) (*os.File, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, unreadable(name, err)
	}
	return f, nil
}

// unreadable is the error of a file that was named and cannot be read.
func unreadable(name string, err error) error {
	return &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "the file cannot be read",
		Hint: "check its name and that you may read it", Err: err}
}

func (a *app) importCmd() *cobra.Command {
	var sure bool
	c := &cobra.Command{Use: "import FILE", Short: "Take in a journal's JSON Lines, whole or not at all",
		Args: a.args(1, 1),
		RunE: func(c *cobra.Command, args []string) error {
			f, err := opened(args[0])
			if err != nil {
				return err
			}
			defer f.Close()
			return a.withYard(c.Context(), func(_ *yard.Yard, store journal.Store) error {
				bar := a.progress("reading")
				res, err := journal.Import(c.Context(), store, args[0], f, journal.ImportOptions{Progress: func(n int) {
					bar.Set(n)
				},
					Check: func(e *fleet.Entry) error { return record.Outside(e, civil.Of(a.now()), sure) }})
				bar.Finish()
				if err != nil {
					return err
				}
				a.line("%d lines read: %d entries are new, %d were there already.", res.Read,
					res.Added, res.Already)
				return nil
			})
		}}
	c.Flags().BoolVar(&sure, "sure", false, "take in entries about days to come as well")
	return c
}

// progress shows a count on a terminal's error output, and nothing elsewhere.
func (a *app) progress(what message.Text) *progressbar.ProgressBar {
	a.quiet()
	w := io.Discard
	if terminal(a.err) >= 0 {
		w = a.err
	}
	return progressbar.NewOptions(-1, progressbar.OptionSetWriter(w),
		progressbar.OptionSetDescription(what.In(a.language)), progressbar.OptionShowCount(),
		progressbar.OptionClearOnFinish())
}

func (a *app) verifyCmd() *cobra.Command {
	return &cobra.Command{Use: "verify", Short: "Check the whole journal and say what is wrong where",
		Args: a.args(0, 0),
		RunE: func(c *cobra.Command, _ []string) error {
			return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
				problems, err := journal.Verify(c.Context(), store, func(all []*fleet.Entry) []journal.Problem {
					return foldProblems(y, all, civil.Of(a.now()))
				})
				if err != nil {
					return err
				}
				for _, p := range problems {
					a.line("%s", strings.TrimSpace(p.String()))
				}
				n, err := store.Count(c.Context())
				if err != nil {
					return err
				}
				if slices.ContainsFunc(problems, func(p journal.Problem) bool { return p.Newer }) {
					return &fleet.Error{Kind: fleet.TooNew, Msg: "the journal holds entries of a newer version",
						Hint: "use that version of the program: nothing is lost"}
				}
				if len(problems) > 0 {
					return &fleet.Error{Kind: fleet.Conflict,
						Msg:  message.Of("%d problems in %d entries", len(problems), n),
						Hint: "how to correct entries: undertray correct --help"}
				}
				a.line("%d entries, nothing wrong.", n)
				return nil
			})
		}}
}

// foldProblems finds what contradicts the sheets.
func foldProblems(y *yard.Yard, all []*fleet.Entry, on civil.Date) []journal.Problem {
	var out []journal.Problem
	of := map[string][]*fleet.Entry{}
	for _, e := range all {
		of[e.Vehicle] = append(of[e.Vehicle], e)
	}
	for _, id := range y.IDs() {
		v, err := y.Once(id)
		if err != nil {
			continue // what is wrong with its sheet is told elsewhere
		}
		for _, p := range fleet.Fold(v, of[id], on).Problems {
			out = append(out, journal.Problem{Entry: p.Entry, Msg: p.Msg, Hint: p.Hint})
		}
	}
	told := map[string]bool{}
	for _, e := range fleet.Standing(all) {
		if e.Date.After(on) {
			out = append(out, journal.Problem{Entry: e.ID, Where: "date",
				Msg:  message.Of("%s is in the future: it counts from that day on", e.Date),
				Hint: "correct the date if it is wrong"})
		}
	}
	for _, e := range all {
		if y.Has(e.Vehicle) || told[e.Vehicle] {
			continue
		}
		told[e.Vehicle] = true
		hint := message.Text("add its sheet")
		if near := fleet.Nearest(e.Vehicle, y.IDs()); near != "" {
			hint = message.Of("add its sheet, or did you mean %q?", near)
		}
		out = append(out, journal.Problem{Entry: e.ID,
			Msg: message.Of("there is no sheet of a vehicle %q", e.Vehicle), Hint: hint})
	}
	return out
}

func (a *app) acceptCmd() *cobra.Command {
	return &cobra.Command{Use: "accept",
		Short: "Take the journal as it is for whole, after it was found to lack entries", Args: a.args(0, 0),
		Long: "Beside the journal lies a mark of what it has held. A journal that lacks some of it takes\n" +
			"no facts. This says that it is right as it is: what it lacks is then no longer missed.\n" +
			"Restore the latest backup instead where there is one.\n\n" + exitHelp,
		RunE: func(c *cobra.Command, _ []string) error {
			store, err := a.openJournal(c.Context())
			if err != nil {
				return err
			}
			head, err := store.Accept(c.Context())
			if err = errors.Join(err, store.Close()); err != nil {
				return err
			}
			a.line("The journal is taken as it is: %d entries.", head.Entries)
			return nil
		}}
}
