package cli

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/yard"
)

func (a *app) correctCmd() *cobra.Command {
	var withdraw, undo, sure bool
	var answer, odometer, date, removed, why string
	c := &cobra.Command{Use: "correct VEHICLE ENTRY",
		Short: "Say that an entry was wrong, and what should stand instead", Args: a.args(2, 2),
		Long: "Entries are never changed: a correction is another entry. With --withdraw the entry\n" +
			"no longer stands; with --answer, --odometer, --date or --removed it stands with that changed.\n" +
			"With --batch every entry that landed together with it is withdrawn.",
		RunE: func(c *cobra.Command, args []string) error {
			return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
				v, err := y.Vehicle(args[0])
				if err != nil {
					return err
				}
				fix := correction{id: args[1], withdraw: withdraw, batch: undo, answer: answer, odometer: odometer,
					date: date, removed: removed, why: why, sure: sure}
				stored, err := a.correct(c.Context(), y, store, v, fix)
				if err != nil {
					return err
				}
				return a.recorded(c.Context(), y, store, v, stored)
			})
		}}
	fl := c.Flags()
	fl.BoolVar(&withdraw, "withdraw", false, "the entry no longer stands")
	fl.BoolVar(&undo, "batch", false, "withdraw every entry of its batch")
	fl.StringVar(&answer, "answer", "", "what the finding should say")
	fl.StringVar(&odometer, "odometer", "", "what the reading should be")
	fl.StringVar(&date, "date", "", "the day it should have")
	fl.StringVar(&removed, "removed", "", "why the part came off: failed, worn, due or \"another job\"")
	fl.BoolVar(&sure, "sure", false, "the figure is right though it is unlikely")
	fl.StringVar(&why, "why", "", "what was wrong")
	return c
}

// correction is what the flags of correct say.
type correction struct {
	id                          string
	withdraw, batch             bool
	answer, odometer, date, why string
	removed                     string
	sure                        bool
}

func (a *app) correct(ctx context.Context, y *yard.Yard, store journal.Store, v *fleet.Vehicle,
	fix correction) ([]*fleet.Entry, error) {
	rec := a.recorder(y)
	old, err := standing(ctx, store, v, fix.id)
	if err != nil {
		return nil, err
	}
	if fix.batch {
		return rec.UndoBatch(ctx, v, old.Batch, fix.why)
	}
	if fix.withdraw {
		e, err := rec.Withdraw(ctx, v, old.ID, fix.why)
		return []*fleet.Entry{e}, err
	}
	instead, err := a.instead(y, v, *old, fix)
	if err != nil {
		return nil, err
	}
	instead.Sure = instead.Sure || fix.sure
	e, err := rec.Replace(ctx, v, old.ID, instead, fix.why)
	return []*fleet.Entry{e}, err
}

// instead is the old entry with the flags' changes.
func (a *app) instead(y *yard.Yard, v *fleet.Vehicle, e fleet.Entry, fix correction) (*fleet.Entry, error) {
	if fix.answer == "" && fix.odometer == "" && fix.date == "" && fix.removed == "" {
		return nil, &fleet.Error{Kind: fleet.Invalid, Msg: "the correction says nothing",
			Hint: "give --withdraw, --batch, --answer, --odometer, --date or --removed"}
	}
	var err error
	if fix.date != "" {
		if e.Date, err = a.dayOf("date", fix.date); err != nil {
			return nil, err
		}
	}
	if fix.odometer != "" {
		if e.Odometer, err = runFlag("odometer", fix.odometer); err != nil {
			return nil, err
		}
	}
	if fix.removed != "" {
		if err := cameOff(&e, fleet.Removal(fix.removed)); err != nil {
			return nil, err
		}
	}
	if fix.answer == "" {
		return &e, nil
	}
	if e.Found == nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "--answer", Msg: "that entry is not a finding",
			Hint: "--answer corrects findings only"}
	}
	got, errs := record.Findings(y.Catalogue, v,
		[]record.TypedFinding{{Position: e.Found.Position, Check: e.Found.Check, Answer: fix.answer,
			Note: e.Found.Note}})
	if len(errs) > 0 {
		return nil, errs[0]
	}
	got[0].Found.Off, got[0].Found.Attachments = e.Found.Off, e.Found.Attachments
	got[0].Found.Counted = e.Found.CountedAs(got[0].Found.Value)
	e.Found = got[0].Found
	return &e, nil
}

// cameOff changes why the part came off.
func cameOff(e *fleet.Entry, why fleet.Removal) error {
	switch {
	case e.Fitted != nil:
		fitted := *e.Fitted
		fitted.Removed, e.Fitted = why, &fitted
	case e.Done != nil && e.Done.TakenOff:
		done := *e.Done
		done.Removed, e.Done = why, &done
	default:
		return &fleet.Error{Kind: fleet.Invalid, Where: "--removed", Msg: "that entry took no part off",
			Hint: "name the entry of the fitting"}
	}
	return nil
}

// standing finds an entry by its id or by the id's first or last characters.
func standing(ctx context.Context, store journal.Store, v *fleet.Vehicle, id string) (*fleet.Entry, error) {
	all, err := store.OfVehicle(ctx, v.ID)
	if err != nil {
		return nil, err
	}
	var hits []*fleet.Entry
	for _, e := range fleet.Standing(all) {
		if strings.HasPrefix(e.ID, id) || strings.HasSuffix(e.ID, id) {
			hits = append(hits, e)
		}
	}
	switch len(hits) {
	case 1:
		return hits[0], nil
	case 0:
		return nil, &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("%s has no standing entry %q", v.Name, id),
			Hint: message.Of("list every entry with its id with: undertray history %s --json", v.ID)}
	}
	return nil, &fleet.Error{Kind: fleet.Conflict,
		Msg:  message.Of("%d entries of %s have an id with %q", len(hits), v.Name, id),
		Hint: "give more of the id"}
}
