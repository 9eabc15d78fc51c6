package cli

import (
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit/finish"
	"undertray.example/undertray/internal/yard"
)

// finishAsk is what undertray finish was told.
type finishAsk struct {
	when              when
	keep              bool
	not               []string
	parts, hand, seen []string
	by                string
}

func (a *app) finishCmd() *cobra.Command {
	var ask finishAsk
	c := &cobra.Command{Use: "finish VEHICLE",
		Short: "End the job sheet in hand: write down what was changed, as one batch", Args: a.args(1, 1),
		Long: "Shows what the sheet in hand has changed, filled in from the vehicle sheet and the\n" +
			"journal. With --keep all of it is written down at once and the sheet is over; what is\n" +
			"not so is corrected with --part and --not, and what the old parts were in the hand is\n" +
			"told with --in-hand.",
		Example: "  undertray finish dunnock\n  undertray finish dunnock --keep --odometer \"160900 km\" " +
			"--part \"top-hose.cost=24 EUR\" --in-hand top-hose.feel=soft",
		RunE: func(c *cobra.Command, args []string) error {
			return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
				return a.finish(c.Context(), y, store, args[0], &ask)
			})
		}}
	ask.when.flags(c)
	fl := c.Flags()
	fl.BoolVar(&ask.keep, "keep", false, "write all of it down")
	fl.StringSliceVar(&ask.not, "not", nil, "positions that were not changed or put right after all")
	fl.StringArrayVar(&ask.parts, "part", nil,
		"what is otherwise, as main-belt.number=6PK2415: name, number, quantity, cost, supplier, material or removed")
	fl.StringArrayVar(&ask.hand, "in-hand", nil,
		"what an old part was, off and in the hand, as main-belt.cracks=\"4 per 75 mm\"")
	fl.StringArrayVar(&ask.seen, "saw", nil, "what was seen on the way, as water-pump.weep=dry")
	fl.StringVar(&ask.by, "by", "", "who did it")
	return c
}

func (a *app) finish(ctx context.Context, y *yard.Yard, store journal.Store, vehicle string, ask *finishAsk) error {
	v, err := y.Vehicle(vehicle)
	if err != nil {
		return err
	}
	r, err := a.reportOn(ctx, y, v)
	if err != nil {
		return err
	}
	form, err := finish.Of(r)
	if err != nil {
		return err
	}
	if !ask.keep {
		if a.json {
			return a.printJSON(form.View())
		}
		return a.print(y, func(t *print.Text) { t.Finish(form) })
	}
	accepted, err := a.finishTold(y, form, ask)
	if err != nil {
		return err
	}
	rec := a.recorder(y)
	rec.By = ask.by
	rec.Form = form.Batch(func(batch string) bool {
		kept, err := store.OfForm(ctx, batch)
		return err == nil && len(kept) > 0
	})
	entries, err := form.Entries(accepted, rec.Form)
	if err != nil {
		return err
	}
	stored, err := rec.Batch(ctx, v, entries)
	if err != nil {
		return err
	}
	if err := a.recorded(ctx, y, store, v, stored); err != nil || a.json {
		return err
	}
	if r, err = a.reportOn(ctx, y, v); err != nil {
		return err
	}
	after, _, err := a.whole(ctx, r)
	if err != nil {
		return err
	}
	changes := finish.ChangesOf(after, rec.Form)
	return a.print(y, func(t *print.Text) { t.Told(told.Names(changes.Words(a.reads(y)))) })
}

// finishTold is what was accepted of a form, with what the flags correct.
func (a *app) finishTold(y *yard.Yard, form *finish.Form, ask *finishAsk) (finish.Told, error) {
	e, err := a.entry(fleet.TypeDone, ask.when)
	if err != nil {
		return finish.Told{}, err
	}
	got := form.Accepted(ask.not)
	got.Date, got.Odometer, got.Sure = e.Date, e.Odometer, e.Sure
	errs := []error{unknownTo(form, ask.not)}
	for _, typed := range ask.parts {
		at, field, value, err := atField("--part", typed)
		i := slices.IndexFunc(got.Parts, func(p finish.Part) bool { return p.Position == at })
		switch {
		case err != nil:
		case i < 0:
			err = notOfSheet("--part", at)
		default:
			err = got.Parts[i].Set(field, value, y.Settings.Currency)
		}
		errs = append(errs, err)
	}
	for _, typed := range ask.hand {
		at, check, answer, err := atField("--in-hand", typed)
		i := slices.IndexFunc(got.Parts, func(p finish.Part) bool { return p.Position == at })
		if err == nil && i < 0 {
			err = notOfSheet("--in-hand", at)
		}
		if errs = append(errs, err); err == nil {
			got.Parts[i].Hand = append(got.Parts[i].Hand, record.TypedFinding{Where: "--in-hand", Position: at,
				Check: check, Answer: answer})
		}
	}
	for _, typed := range ask.seen {
		at, check, answer, err := atField("--saw", typed)
		if errs = append(errs, err); err == nil {
			got.Found = append(got.Found, record.TypedFinding{Where: "--saw", Position: at, Check: check,
				Answer: answer})
		}
	}
	return got, errors.Join(errs...)
}

// unknownTo refuses positions that the sheet neither changes nor puts right.
func unknownTo(form *finish.Form, positions []string) error {
	for _, id := range positions {
		if !form.Deals(id) {
			return notOfSheet("--not", id)
		}
	}
	return nil
}

func notOfSheet(flag, position string) error {
	return &fleet.Error{Kind: fleet.NotFound, Where: flag,
		Msg:  message.Of("the sheet changes nothing at %q", position),
		Hint: "finish without --keep shows what it changed"}
}

// atField takes POSITION.FIELD=VALUE apart.
func atField(flag, typed string) (position, field, value string, err error) {
	name, value, ok := strings.Cut(typed, "=")
	position, field, of := strings.Cut(name, ".")
	if !ok || !of {
		return "", "", "", &fleet.Error{Kind: fleet.Invalid, Where: flag, Msg: message.Of("%q cannot be read", typed),
			Hint: "write it as main-belt.number=6PK2415"}
	}
	return position, field, value, nil
}
