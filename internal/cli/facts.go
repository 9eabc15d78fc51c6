package cli

import (
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// when holds the flags that place a fact in time.
type when struct {
	date, odometer string
	sure           bool
}

func (w *when) flags(c *cobra.Command) {
	c.Flags().StringVar(&w.date, "date", "", "the day it happened, as 2026-11-25 (default today)")
	c.Flags().StringVar(&w.odometer, "odometer", "", "what the odometer showed, as \"184310 km\"")
	c.Flags().BoolVar(&w.sure, "sure", false, "accept an unlikely figure, answers that do not go together, a "+
		"reading that jumps far ahead, or a day to come")
}

// entry returns an entry with these flags filled in.
func (a *app) entry(t fleet.EntryType, w when) (*fleet.Entry, error) {
	day, err := a.dayOf("date", w.date)
	if err != nil {
		return nil, err
	}
	e := &fleet.Entry{Type: t, Date: day, Sure: w.sure}
	if w.odometer != "" {
		q, err := runFlag("odometer", w.odometer)
		if err != nil {
			return nil, err
		}
		e.Odometer = q
	}
	return e, nil
}

func quantityFlag(flag, typed string, d units.Dimension) (*units.Quantity, error) {
	if typed == "" {
		return nil, nil
	}
	q, err := units.Parse(typed, d)
	if err != nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "--" + flag, Msg: message.Is(err), Err: err}
	}
	return &q, nil
}

// runFlag reads a distance or engine hours, whichever the vehicle counts: that is checked
// once its sheet is read.
func runFlag(flag, typed string) (*units.Quantity, error) {
	if h, err := units.ParseRun(typed); err == nil {
		return &h, nil
	}
	return quantityFlag(flag, typed, units.Distance)
}

// add records entries about a vehicle and says what they changed.
func (a *app) add(ctx context.Context, vehicle string,
	make func(*yard.Yard, *fleet.Vehicle) ([]*fleet.Entry, error)) error {
	return a.withYard(ctx, func(y *yard.Yard, store journal.Store) error {
		v, err := y.Vehicle(vehicle)
		if err != nil {
			return err
		}
		entries, err := make(y, v)
		if err != nil {
			return err
		}
		stored, err := a.recorder(y).Batch(ctx, v, entries)
		if err != nil {
			return err
		}
		return a.recorded(ctx, y, store, v, stored)
	})
}

// recorded tells what was recorded and what it means.
func (a *app) recorded(ctx context.Context, y *yard.Yard, store journal.Store, v *fleet.Vehicle,
	stored []*fleet.Entry) error {
	a.about = v
	if a.json {
		return a.printJSON(stored)
	}
	if !slices.ContainsFunc(stored, tells) {
		return a.print(y, func(t *print.Text) { t.Kept(v, stored) })
	}
	state, err := a.folds.State(ctx, v, civil.Of(a.now()))
	if err != nil {
		return err
	}
	r := advise.Of(y.Catalogue, state)
	return a.print(y, func(t *print.Text) { t.Recorded(r, stored) })
}

// tells reports whether an entry can change what is said of a vehicle, or names a
// part whose state is told: a note about the vehicle does neither.
func tells(e *fleet.Entry) bool { return e.Type != fleet.TypeNote || e.Position() != "" }

func (a *app) odometerCmd() *cobra.Command {
	var w when
	var old, started, why string
	c := &cobra.Command{Use: "odometer VEHICLE READING", Short: "Record what the odometer shows", Args: a.args(2, 2),
		Example: "  undertray odometer heron \"184310 km\"\n" +
			"  undertray odometer heron \"12 km\" --old \"152300 km\" --new \"0 km\" --why \"instrument failed\"",
		RunE: func(c *cobra.Command, args []string) error {
			w.odometer = args[1]
			return a.add(c.Context(), args[0], func(*yard.Yard, *fleet.Vehicle) ([]*fleet.Entry, error) {
				e, err := a.entry(fleet.TypeOdometer, w)
				if err != nil {
					return nil, err
				}
				e.Instrument, err = instrument(old, started, why)
				return []*fleet.Entry{e}, err
			})
		}}
	c.Flags().StringVar(&w.date, "date", "", "the day it was read (default today)")
	c.Flags().BoolVar(&w.sure, "sure", false, "accept an unlikely figure, answers that do not go together, a "+
		"reading that jumps far ahead, or a day to come")
	c.Flags().StringVar(&old, "old", "", "instrument changed: the old one's last reading")
	c.Flags().StringVar(&started, "new", "", "instrument changed: the new one's first reading")
	c.Flags().StringVar(&why, "why", "", "why the instrument was changed")
	return c
}

func instrument(old, started, why string) (*fleet.Instrument, error) {
	if old == "" && started == "" {
		return nil, nil
	}
	o, err := runFlag("old", old)
	if err != nil {
		return nil, err
	}
	n, err := runFlag("new", started)
	if err != nil {
		return nil, err
	}
	if o == nil || n == nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "--old, --new",
			Msg:  "a changed instrument needs both readings",
			Hint: "give the old one's last and the new one's first reading"}
	}
	return &fleet.Instrument{Old: *o, New: *n, Why: why}, nil
}

func (a *app) fittedCmd() *cobra.Command {
	var w when
	var f fleet.Fitted
	var cost, removed, toldDate, toldAt string
	var unknown bool
	var spec, hand []string
	c := &cobra.Command{Use: "fitted VEHICLE POSITION",
		Short: "Record a part fitted, and why the one before it came off", Args: a.args(2, 2),
		Example: "  undertray fitted heron main-belt --name \"ribbed belt 6PK2415\" --material epdm --cost \"38.50 " +
			"EUR\" --removed worn --in-hand \"cracks=4 per 75 mm\"\n" +
			"  undertray fitted heron top-hose --told-date 2019-05-01\n" +
			"  undertray fitted heron heater-hose-feed --unknown",
		RunE: func(c *cobra.Command, args []string) error {
			return a.add(c.Context(), args[0], func(y *yard.Yard, v *fleet.Vehicle) ([]*fleet.Entry, error) {
				e, err := a.entry(fleet.TypeFitted, w)
				if err != nil {
					return nil, err
				}
				f.Position, f.Removed = args[1], fleet.Removal(removed)
				if f.Part.Cost, err = quantityFlag("cost", cost, units.Money); err != nil {
					return nil, err
				}
				if f.Part.Spec, err = specFlags(spec); err != nil {
					return nil, err
				}
				if err := a.told(&f, unknown, toldDate, toldAt); err != nil {
					return nil, err
				}
				e.Fitted = &f
				return a.inTheHand(y, v, e, hand)
			})
		}}
	w.flags(c)
	fl := c.Flags()
	fl.StringVar(&f.Part.Name, "name", "", "what it is")
	fl.StringVar(&f.Part.Number, "number", "", "its number")
	fl.StringVar(&f.Part.Material, "material", "",
		"its material, one of its kind's: neoprene or epdm for a ribbed belt")
	fl.StringVar(&f.Part.Supplier, "supplier", "", "where it comes from")
	fl.StringVar(&cost, "cost", "", "what it cost, as \"38.50 EUR\"")
	fl.StringArrayVar(&spec, "spec", nil, "figure of the part, as marked-pressure=7psi")
	fl.StringVar(&removed, "removed", "", "why the one before came off: failed, worn, due or \"another job\"")
	fl.StringArrayVar(&hand, "in-hand", nil,
		"what the one before was found to be, off and in the hand, as cracks=\"4 per 75 mm\" or spin=rough")
	fl.StringVar(&toldDate, "told-date", "", "fitted before the journal began, on this day as told")
	fl.StringVar(&toldAt, "told-at", "", "fitted before the journal began, at this total distance as told")
	fl.BoolVar(&unknown, "unknown", false, "it was there already and its history is not known")
	fl.StringVar(&f.Note, "note", "", "anything to remember")
	return c
}

// inTheHand adds what was found on the part that a fitting took off.
func (a *app) inTheHand(y *yard.Yard, v *fleet.Vehicle, e *fleet.Entry, typed []string) ([]*fleet.Entry, error) {
	var rows []record.TypedFinding
	for _, t := range typed {
		check, answer, _ := strings.Cut(t, "=")
		rows = append(rows, record.TypedFinding{Where: "--in-hand", Position: e.Fitted.Position,
			Check: check, Answer: answer})
	}
	found, errs := record.Findings(y.Catalogue, v, rows)
	if len(found) > 0 {
		e.ID = a.newID()
	}
	for _, f := range found {
		f.Date, f.Sure, f.Found.Off = e.Date, e.Sure, e.ID
	}
	return append([]*fleet.Entry{e}, found...), errors.Join(errs...)
}

// told fills in what is known of a fitting before the journal began.
func (a *app) told(f *fleet.Fitted, unknown bool, date, at string) error {
	if unknown {
		f.Known = fleet.Unknown
		return nil
	}
	if date == "" && at == "" {
		return nil
	}
	f.Known, f.Since = fleet.Told, &fleet.Since{}
	var err error
	if date != "" {
		if f.Since.Date, err = a.dayOf("told-date", date); err != nil {
			return err
		}
	}
	f.Since.Total, err = runFlag("told-at", at)
	return err
}

func (a *app) foundCmd() *cobra.Command {
	var w when
	var note string
	var hand bool
	c := &cobra.Command{Use: "found VEHICLE POSITION CHECK ANSWER", Short: "Record one finding", Args: a.args(4, 4),
		Example: "  undertray found heron main-belt cracks \"4 per 75 mm\"",
		RunE: func(c *cobra.Command, args []string) error {
			return a.add(c.Context(), args[0], func(y *yard.Yard, v *fleet.Vehicle) ([]*fleet.Entry, error) {
				e, err := a.entry(fleet.TypeFound, w)
				if err != nil {
					return nil, err
				}
				got, errs := record.Findings(y.Catalogue, v,
					[]record.TypedFinding{{Position: args[1], Check: args[2], Answer: args[3], Note: note}})
				if len(errs) > 0 {
					return nil, errs[0]
				}
				if e.Found = got[0].Found; hand {
					e.Found.Off, err = a.lastOff(c.Context(), v, args[1])
				}
				return []*fleet.Entry{e}, err
			})
		}}
	w.flags(c)
	c.Flags().BoolVar(&hand, "in-hand", false, "of the part that came off there last, off and in the hand")
	c.Flags().StringVar(&note, "note", "", "anything to remember")
	return c
}

// lastOff is the entry that took the last part off a position.
func (a *app) lastOff(ctx context.Context, v *fleet.Vehicle, position string) (string, error) {
	state, err := a.folds.State(ctx, v, civil.Of(a.now()))
	if err != nil {
		return "", err
	}
	if p := state.Place(position); p != nil && len(p.Past) > 0 {
		return p.Past[len(p.Past)-1].Off, nil
	}
	return "", &fleet.Error{Kind: fleet.NotFound, Where: "--in-hand", Msg: "no part came off there yet",
		Hint: "record first what was fitted"}
}

func (a *app) doneCmd() *cobra.Command {
	var w when
	var d fleet.Done
	var positions, settles, cost, removed string
	c := &cobra.Command{Use: "done VEHICLE WHAT",
		Short: "Record work that is not a fitting: cleaned, tightened, topped up, taken off", Args: a.args(2, 2),
		Example: "  undertray done heron \"cleaned and nipped up the clip\" --at heater-hose-feed --settles leak",
		RunE: func(c *cobra.Command, args []string) error {
			return a.add(c.Context(), args[0], func(*yard.Yard, *fleet.Vehicle) ([]*fleet.Entry, error) {
				e, err := a.entry(fleet.TypeDone, w)
				if err != nil {
					return nil, err
				}
				d.What, d.Positions, d.Settles, d.Removed = args[1], commas(positions), commas(settles),
					fleet.Removal(removed)
				if d.Cost, err = quantityFlag("cost", cost, units.Money); err != nil {
					return nil, err
				}
				e.Done = &d
				return []*fleet.Entry{e}, nil
			})
		}}
	w.flags(c)
	fl := c.Flags()
	fl.StringVar(&positions, "at", "", "positions it was done at, with commas between")
	fl.StringVar(&settles, "settles", "", "checks whose findings there it put right, with commas between")
	fl.BoolVar(&d.TakenOff, "taken-off", false, "the parts there were taken off and nothing fitted in their place")
	fl.StringVar(&removed, "removed", "", "with --taken-off: failed, worn, due or \"another job\"")
	fl.StringVar(&cost, "cost", "", "what it cost")
	fl.Float64Var(&d.Minutes, "minutes", 0, "how long it took")
	return c
}

func (a *app) boughtCmd() *cobra.Command {
	var w when
	var b fleet.Bought
	var of fleet.Supply
	var cost, amount string
	c := &cobra.Command{Use: "bought VEHICLE [POSITION...]",
		Short: "Record a part bought that waits to be fitted; several positions for a set", Args: a.args(1, -1),
		Long: "The list of what to buy (undertray plan --parts) shows it as bought and no longer asks for\n" +
			"it, and when the job is finished (undertray finish) its number, shop and cost are filled in.",
		Example: "  undertray bought heron main-belt --number 6PK2415 --cost \"38.50 EUR\" " +
			"--supplier \"shop in town\"\n  undertray bought heron --of \"drain plug washer\" --amount 2",
		RunE: func(c *cobra.Command, args []string) error {
			return a.add(c.Context(), args[0], func(*yard.Yard, *fleet.Vehicle) ([]*fleet.Entry, error) {
				e, err := a.entry(fleet.TypeBought, w)
				if err != nil {
					return nil, err
				}
				b.Positions, e.Bought = args[1:], &b
				if of.What != "" {
					b.Of = &of
				}
				var err2 error
				b.Cost, err = quantityFlag("cost", cost, units.Money)
				of.Amount, err2 = quantityFlag("amount", amount, 0)
				return []*fleet.Entry{e}, errors.Join(err, err2)
			})
		}}
	fl := c.Flags()
	fl.StringVar(&w.date, "date", "", "the day it was bought (default today)")
	fl.StringVar(&of.What, "of", "", "a consumable, as the vehicle sheet names it, in place of positions")
	fl.StringVar(&amount, "amount", "", "how much of the consumable, as \"5 l\"")
	fl.StringVar(&b.Number, "number", "", "its number")
	fl.StringVar(&b.Supplier, "supplier", "", "where it was bought")
	fl.StringVar(&cost, "cost", "", "what all of it cost, as \"38.50 EUR\"")
	return c
}

func (a *app) noteCmd() *cobra.Command {
	var w when
	var position string
	c := &cobra.Command{Use: "note VEHICLE TEXT", Short: "Write something down about the vehicle or one position",
		Args: a.args(2, 2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.add(c.Context(), args[0], func(*yard.Yard, *fleet.Vehicle) ([]*fleet.Entry, error) {
				e, err := a.entry(fleet.TypeNote, w)
				if err != nil {
					return nil, err
				}
				e.Note = &fleet.Note{Position: position, Text: strings.TrimSpace(args[1])}
				return []*fleet.Entry{e}, nil
			})
		}}
	w.flags(c)
	c.Flags().StringVar(&position, "at", "", "position it is about")
	return c
}

// roundEntries turns a filled-in round into entries.
func (a *app) roundEntries(y *yard.Yard, v *fleet.Vehicle, rows []record.TypedFinding,
	w when) ([]*fleet.Entry, []error) {
	proto, err := a.entry(fleet.TypeFound, w)
	if err != nil {
		return nil, []error{err}
	}
	entries, errs := record.Findings(y.Catalogue, v, rows)
	for _, e := range entries {
		e.Date, e.Sure = proto.Date, proto.Sure
	}
	if proto.Odometer != nil {
		reading := *proto
		reading.Type, reading.Found = fleet.TypeOdometer, nil
		entries = append([]*fleet.Entry{&reading}, entries...)
	}
	return entries, errs
}
