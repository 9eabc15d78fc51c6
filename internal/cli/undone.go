package cli

import (
	"context"
	"io"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/yard"
)

// addAbout records entries that follow from what is known of a vehicle today,
// and says what they changed.
func (a *app) addAbout(ctx context.Context, vehicle string, make func(*advise.Report) ([]*fleet.Entry, error)) error {
	return a.add(ctx, vehicle, func(y *yard.Yard, v *fleet.Vehicle) ([]*fleet.Entry, error) {
		r, err := a.reportOn(ctx, y, v)
		if err != nil {
			return nil, err
		}
		return make(r)
	})
}

func (a *app) asideCmd() *cobra.Command {
	var back bool
	c := &cobra.Command{Use: "aside VEHICLE POSITION [WHY]",
		Short: "Leave what a part asks for as it is, and say why; or take that back", Args: a.args(2, 3),
		Long: "Leave what a part asks for as it is, although its deadline stands, and say why. It is\n" +
			"shown wherever that deadline is, holds for what is known of the part now and not for\n" +
			"what is found later, and ends with the part's change. What parks a vehicle is never left.",
		Example: "  undertray aside heron brake-fluid \"the workshop has it on Friday\"\n  undertray aside heron " +
			"brake-fluid --back",
		RunE: func(c *cobra.Command, args []string) error {
			if back == (len(args) == 3) {
				return &fleet.Error{Kind: fleet.Invalid, Where: "WHY, --back",
					Msg: "a part is left for a reason, or that is taken back", Hint: "give one of the two"}
			}
			return a.addAbout(c.Context(), args[0], func(r *advise.Report) ([]*fleet.Entry, error) {
				if !back {
					e, err := r.SetAside(args[1], args[2])
					return []*fleet.Entry{e}, err
				}
				j, err := r.Find(args[1])
				if err == nil && j.Place.Aside == nil {
					err = &fleet.Error{Kind: fleet.NotFound, Where: "POSITION",
						Msg:  message.Of("nothing about the %s is left as it is", j.Position.Name),
						Hint: "look at its state"}
				}
				if err != nil {
					return nil, err
				}
				return []*fleet.Entry{{Type: fleet.TypeCorrection, Date: r.On,
					Correction: &fleet.Correction{Of: j.Place.Aside.ID, Withdraw: true, Why: "no longer left"}}}, nil
			})
		}}
	c.Flags().BoolVar(&back, "back", false, "it is no longer left")
	return c
}

func (a *app) openedCmd() *cobra.Command {
	var note string
	c := &cobra.Command{Use: "opened VEHICLE [OPENING...]",
		Short: "Record what is opened and stays open, or say what is", Args: a.args(1, -1),
		Long: "Record that something was taken off, drained, raised or disconnected and stays so when\n" +
			"the work rests, with what it needs itself. Until it is closed again (undertray closed)\n" +
			"every answer about the vehicle says what must not be done with it. With no opening it\n" +
			"says what is open; undertray tag prints that to hang on the key.",
		Example: "  undertray opened dunnock coolant-drained main-belt-off",
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 1 {
				return a.whatIsOpen(c.Context(), args[0])
			}
			return a.addAbout(c.Context(), args[0], func(r *advise.Report) ([]*fleet.Entry, error) {
				return r.Opened(args[1:], false, note)
			})
		}}
	c.Flags().StringVar(&note, "note", "", "anything to remember")
	return c
}

func (a *app) whatIsOpen(ctx context.Context, vehicle string) error {
	return a.withReport(ctx, vehicle, func(y *yard.Yard, r *advise.Report) error {
		if a.json {
			return a.printJSON(r.TagView())
		}
		return a.print(y, func(t *print.Text) { t.Tag(r) })
	})
}

func (a *app) closedCmd() *cobra.Command {
	var all bool
	var note string
	c := &cobra.Command{Use: "closed VEHICLE [OPENING...]", Short: "Record what was open and is as it is driven again",
		Args:    a.args(1, -1),
		Example: "  undertray closed dunnock coolant-drained\n  undertray closed dunnock --all",
		RunE: func(c *cobra.Command, args []string) error {
			if all == (len(args) > 1) {
				return &fleet.Error{Kind: fleet.Invalid, Where: "OPENING, --all", Msg: "it is not said what was closed",
					Hint: "name what, or say --all"}
			}
			return a.addAbout(c.Context(), args[0], func(r *advise.Report) ([]*fleet.Entry, error) {
				ids := args[1:]
				if all {
					for _, h := range r.Open() {
						ids = append(ids, h.Opening.ID)
					}
				}
				return r.Opened(ids, true, note)
			})
		}}
	c.Flags().BoolVar(&all, "all", false, "everything that is open")
	c.Flags().StringVar(&note, "note", "", "anything to remember")
	return c
}

func (a *app) tagCmd() *cobra.Command {
	var sheet paper
	c := &cobra.Command{Use: "tag VEHICLE", Short: "A tag to hang on the key: what is open, and what must not be done",
		Args: a.args(1, 1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := sheet.check(a.otherForm("")); err != nil {
				return err
			}
			if sheet.file == "" {
				return a.whatIsOpen(c.Context(), args[0])
			}
			return a.withReport(c.Context(), args[0], func(y *yard.Yard, r *advise.Report) error {
				if len(r.Open()) == 0 {
					return &fleet.Error{Kind: fleet.NotFound, Where: "VEHICLE",
						Msg:  message.Of("nothing is open on %s", r.Vehicle.Name),
						Hint: "how to record what is: undertray opened --help"}
				}
				return a.onPaper(y, sheet, func(p print.Paper, w io.Writer) error { return p.Tag(w, r) })
			})
		}}
	sheet.flags(c)
	return c
}

func (a *app) cardCmd() *cobra.Command {
	var sheet paper
	c := &cobra.Command{Use: "card VEHICLE",
		Short: "One side for the driver: which lamp, gauge, smell or noise means what", Args: a.args(1, 1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := sheet.check(a.otherForm("")); err != nil {
				return err
			}
			return a.withReport(c.Context(), args[0], func(y *yard.Yard, r *advise.Report) error {
				switch {
				case sheet.file != "":
					return a.onPaper(y, sheet, func(p print.Paper, w io.Writer) error { return p.Card(w, r) })
				case a.json:
					return a.printJSON(r.CardView())
				}
				return a.print(y, func(t *print.Text) { t.Card(r) })
			})
		}}
	sheet.flags(c)
	return c
}
