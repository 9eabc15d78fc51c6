package cli

import (
	"context"
	"os"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/picture"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/tally"
	"undertray.example/undertray/internal/tally/onbelt"
	"undertray.example/undertray/internal/yard"
)

// countFlags are what was typed after count.
type countFlags struct {
	when
	section, check, drawing, note string
	keep                          bool
}

func (a *app) countCmd() *cobra.Command {
	var f countFlags
	c := &cobra.Command{Use: "count [VEHICLE POSITION] PICTURE",
		Short: "Count a belt's cracks, or measure ribs, gauge or hose, on a photograph",
		Long: "Engine off and cold, key out, before a hand goes near belts, fan or hoses; unplug an\n" +
			"electric fan.\n\n" +
			"Count the cracks in the ribs of a belt on a photograph: 75 mm of its ribbed side, straight\n" +
			"on, lit from the side, bent over a finger or where it runs over a pulley, which opens\n" +
			"cracks. What else a photograph answers is named with --check: what is worn off the ribs, the\n" +
			"belt off, folded ribs outward and looked along; whether a wear gauge in the grooves stands\n" +
			"above the rib tips, looked along at its end; how much thicker a hose is than its own sound\n" +
			"part, and where it is kinked, seen from the side. With a vehicle and a position it says what\n" +
			"that means.\n\n" +
			onbelt.Proven,
		Args: a.args(1, 3),
		Example: "  undertray count belt.jpg --section PK --drawing belt.svg\n" +
			"  undertray count heron main-belt belt.jpg --keep --odometer \"184310 km\"\n" +
			"  undertray count heron main-belt gauge.jpg --check rib-wear\n" +
			"  undertray count heron top-hose hose.jpg",
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 2 || len(args) == 1 && f.keep {
				return usageError{&fleet.Error{Kind: fleet.Invalid, Msg: "what was typed does not go together",
					Hint: "name vehicle and position before the picture, or the picture alone without --keep"}}
			}
			return a.count(c.Context(), args, f)
		}}
	fl := c.Flags()
	fl.StringVar(&f.section, "section", "", "section of the belt: PK, PJ (default that of the run, else PK)")
	fl.StringVar(&f.check, "check", "", "the check that is answered, where a photograph answers several")
	fl.StringVar(&f.drawing, "drawing", "", "write the picture with ribs and marks into this file, as SVG")
	fl.BoolVar(&f.keep, "keep", false, "keep count, picture and marks in the journal")
	fl.StringVar(&f.note, "note", "", "with --keep: a note on it")
	fl.StringVar(&f.date, "date", "", "with --keep: the day it was taken, as 2026-11-25 (default today)")
	fl.StringVar(&f.odometer, "odometer", "", "with --keep: what the odometer showed, with its unit")
	fl.BoolVar(&f.sure, "sure", false, "with --keep: the count is right even if it is unlikely")
	return c
}

func (a *app) count(ctx context.Context, args []string, f countFlags) error {
	file := args[len(args)-1]
	src, err := os.ReadFile(file)
	if err != nil {
		return unreadable(file, err)
	}
	if len(args) == 1 {
		cat, err := catalogue.Load()
		if err != nil {
			return err
		}
		of, err := tally.AnyPlace(cat, f.check, f.section)
		if err != nil {
			return err
		}
		s, _, err := countOn(src, of, file, f.drawing)
		if err != nil {
			return err
		}
		return a.showCount(&yard.Yard{}, tally.Counted{Seen: s})
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
		at, err := tally.PlaceOf(r, args[1], f.check, f.section)
		if err != nil {
			return err
		}
		s, kept, err := countOn(src, at, file, f.drawing)
		if err != nil {
			return err
		}
		if err := a.showCount(y, at.Counted(r, s)); err != nil || !f.keep {
			return err
		}
		return a.keepCount(ctx, y, store, v, at, s, kept, f)
	})
}

// countOn counts on a picture as it is kept, and draws what is seen where a drawing is named.
func countOn(src []byte, of *tally.Place, file, drawing string) (*onbelt.Seen, []byte, error) {
	kept, err := picture.Read(src)
	if err != nil {
		return nil, nil, inFile(err, file)
	}
	grey, err := picture.Grey(kept)
	if err != nil {
		return nil, nil, inFile(err, file)
	}
	s, err := of.Read(grey, picture.Focal(src, grey.Rect.Dx(), grey.Rect.Dy()))
	if err != nil {
		return nil, nil, inFile(err, file)
	}
	if drawing == "" || s.Stops {
		return s, kept, nil
	}
	if err := os.WriteFile(drawing, []byte(tally.Drawing(s, kept)), 0o644); err != nil {
		return nil, nil, &fleet.Error{Kind: fleet.Unavailable, Where: drawing, Msg: "the drawing cannot be written",
			Hint: "check the folder and that you may write there", Err: err}
	}
	return s, kept, nil
}

func (a *app) showCount(y *yard.Yard, c tally.Counted) error {
	if a.json {
		return a.printJSON(c)
	}
	return a.print(y, func(t *print.Text) { t.Counted(c) })
}

// keepCount keeps a count, and says so on the error stream, so that the answer on the output stays by itself.
func (a *app) keepCount(ctx context.Context, y *yard.Yard, store journal.Store, v *fleet.Vehicle, at *tally.Place,
	s *onbelt.Seen, kept []byte, f countFlags) error {
	e, err := a.entry(fleet.TypeFound, f.when)
	if err != nil {
		return err
	}
	hash := journal.ContentHash(kept)
	entries, err := at.Entries(s, hash, false, f.note)
	if err != nil {
		return err
	}
	for _, of := range entries {
		of.Date, of.Sure = e.Date, e.Sure
	}
	entries[0].Odometer = e.Odometer
	rec := a.recorder(y)
	if err := rec.Check(ctx, v, entries); err != nil {
		return err
	}
	if _, err := picture.Keep(ctx, store, y.Settings.Pictures.Bytes(), kept); err != nil {
		return err
	}
	stored, err := rec.Batch(ctx, v, entries)
	if err != nil {
		return err
	}
	a.note("", message.Of("Kept as entry %s at %s, with the picture and its marks.", stored[0].ID,
		at.Judgement.Position.Name))
	return nil
}
