package cli

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/cells"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/handover"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/picture"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/next"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/yard"
)

func (a *app) yardCmd() *cobra.Command {
	var from int
	c := &cobra.Command{Use: "yard", Short: "What needs doing, on every vehicle", Args: a.args(0, 0),
		RunE: func(c *cobra.Command, _ []string) error {
			return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
				if from < 1 || from > max(1, len(y.IDs())) {
					return &fleet.Error{Kind: fleet.Invalid, Where: "--from",
						Msg:  message.Of("%d is no place on the list", from),
						Hint: message.Of("write a number from 1 to %d", max(1, len(y.IDs())))}
				}
				defer a.remind(c.Context(), store)
				if together.Large(y) {
					return a.callRoll(c.Context(), y, from)
				}
				reports, err := a.reports(c.Context(), y)
				if err != nil {
					return err
				}
				if a.json {
					view := advise.YardView{Headline: advise.YardHeadline(reports)}
					for _, r := range reports {
						view.Vehicles = append(view.Vehicles, r.View(r.Units))
					}
					return errors.Join(a.printJSON(view), y.Mistakes())
				}
				return errors.Join(a.print(y, func(t *print.Text) { t.Yard(y.Settings.Name, reports) }), y.Mistakes())
			})
		}}
	c.Flags().IntVar(&from, "from", 1,
		fmt.Sprintf("in a yard of more than %d vehicles: begin with this place, the nearest deadline being first",
			together.Few))
	return c
}

func (a *app) stateCmd() *cobra.Command {
	var all bool
	c := &cobra.Command{Use: "state VEHICLE", Short: "What state each part is in, and how that is known",
		Args: a.args(1, 1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withShare(c.Context(), args[0], func(y *yard.Yard, r *advise.Report, share *plan.Share) error {
				made, err := plan.Make(c.Context(), r, plan.Options{Share: share})
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(next.StateView{VehicleView: ahead.View(r, r.Units),
						Next: next.Of(made)})
				}
				return a.print(y, func(t *print.Text) { t.State(r, made, all) })
			})
		}}
	c.Flags().BoolVar(&all, "all", false, "list every position, not only those that need nothing")
	return c
}

func (a *app) positionCmd() *cobra.Command {
	return &cobra.Command{Use: "position VEHICLE POSITION",
		Short: "All that is known of one position, every authority side by side", Args: a.args(2, 2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withReport(c.Context(), args[0], func(y *yard.Yard, r *advise.Report) error {
				j, err := r.Find(args[1])
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(ahead.PositionView(r, j, r.Units))
				}
				return a.print(y, func(t *print.Text) { t.Position(r, j) })
			})
		}}
}

func (a *app) roundCmd() *cobra.Command {
	var open, by, form string
	var minutes float64
	var sheet paper
	c := &cobra.Command{Use: "round VEHICLE",
		Short: "A sheet to inspect the vehicle by, in the order you meet the parts", Args: a.args(1, 1),
		Long: "A sheet to inspect the vehicle by: positions in the order you meet them, from above\n" +
			"clockwise from the bulkhead, then from below; only what the openings you name show.\n" +
			"--form yaml or csv prints it as a file to fill in and hand to undertray findings, the latter also\n" +
			"with semicolons or tabs. On paper\n" +
			"(--pdf) a round goes on two sides: a line a stop, at length only what was found or is due,\n" +
			"and numbers to type it back by.",
		RunE: func(c *cobra.Command, args []string) error {
			opt := visit.RoundOptions{Open: commas(open), Minutes: minutes}
			if minutes < 0 || minutes > 600 {
				return &fleet.Error{Kind: fleet.Invalid, Where: "--minutes",
					Msg:  message.Of("a round of %g minutes cannot be laid out", minutes),
					Hint: "write the minutes you have, up to 600"}
			}
			switch by {
			case "walk":
			case "system":
				opt.BySystem = true
			default:
				return oneOf("by", by, "walk", "system")
			}
			if err := sheet.check(a.otherForm(form)); err != nil {
				return err
			}
			return a.withReport(c.Context(), args[0], func(y *yard.Yard, r *advise.Report) error {
				round, err := visit.NewRound(r, opt)
				if err != nil {
					return err
				}
				return a.printRound(y, round, form, sheet)
			})
		}}
	sheet.flags(c)
	c.Flags().StringVar(&open, "open", "",
		"openings made, with commas between: engine-cover,undertray; all for everything a round opens")
	c.Flags().StringVar(&by, "by", "walk", "order: walk or system")
	c.Flags().Float64Var(&minutes, "minutes", 0,
		"the time you have, openings included: the looks that tell most in it (default all)")
	c.Flags().StringVar(&form, "form", "", "print as a file to fill in: yaml or csv, csv-semicolon (decimal commas), "+
		"csv-tab (UTF-16)")
	return c
}

func (a *app) printRound(y *yard.Yard, round *visit.Round, form string, sheet paper) error {
	a.quiet()
	switch {
	case sheet.file != "":
		return a.onPaper(y, sheet, func(p print.Paper, w io.Writer) error { return p.Round(w, round) })
	case form == "yaml":
		return print.RoundYAML(a.out, round)
	case slices.Contains(cells.Forms, form):
		return print.RoundCSV(a.out, form, round)
	case form != "":
		return oneOf("form", form, append([]string{"yaml"}, cells.Forms...)...)
	case a.json:
		return a.printJSON(round.View())
	}
	return a.print(y, func(t *print.Text) { t.Round(round) })
}

func (a *app) jobCmd() *cobra.Command {
	var alone, parts bool
	var number int
	var sheet paper
	c := &cobra.Command{Use: "job VEHICLE [POSITION...]",
		Short: "What to do at the next visit, with what, in which order", Args: a.args(1, -1),
		Long: "The ordered steps of one visit with cautions, tools, parts and torques. With no\n" +
			"positions it is the sheet in hand (undertray tick), or else the next visit of\n" +
			"undertray plan; with --visit N, its visit N.",
		RunE: func(c *cobra.Command, args []string) error {
			if err := sheet.check(a.otherForm("")); err != nil {
				return err
			}
			opt := visit.JobOptions{Positions: args[1:], Alone: alone}
			if numbered := c.Flags().Changed("visit"); numbered || len(opt.Positions) == 0 {
				if numbered && number < 1 {
					number = -1 // no visit, not the next one
				}
				return a.withShare(c.Context(), args[0], func(y *yard.Yard, r *advise.Report, share *plan.Share) error {
					job, err := visitOf(c.Context(), r, share, number, opt)
					if err != nil {
						return err
					}
					return a.printJob(y, job, parts, sheet)
				})
			}
			return a.withReport(c.Context(), args[0], func(y *yard.Yard, r *advise.Report) error {
				job, err := visit.NewJob(r, opt)
				if err != nil {
					return err
				}
				return a.printJob(y, job, parts, sheet)
			})
		}}
	sheet.flags(c)
	c.Flags().BoolVar(&parts, "parts", false, "only what to buy and have ready, with its cost")
	c.Flags().IntVar(&number, "visit", 0, "the visit of this number in undertray plan")
	c.Flags().BoolVar(&alone, "alone", false, "leave out what the trade changes along with these parts")
	return c
}

func (a *app) forecastCmd() *cobra.Command {
	return &cobra.Command{Use: "forecast VEHICLE",
		Short: "How far the vehicle will have run by a day (--on), with its band", Args: a.args(1, 1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withForecast(c, args[0])
		}}
}

// withForecast works the report out as of today and asks its forecast about
// the day --on names, which may lie ahead.
func (a *app) withForecast(c *cobra.Command, vehicle string) error {
	ahead, err := a.day()
	if err != nil {
		return err
	}
	a.on = ""
	return a.withReport(c.Context(), vehicle, func(y *yard.Yard, r *advise.Report) error {
		if a.json {
			return a.printJSON(r.ForecastView(ahead, r.Units))
		}
		return a.print(y, func(t *print.Text) { t.Forecast(r, ahead) })
	})
}

func (a *app) historyCmd() *cobra.Command {
	return &cobra.Command{Use: "history VEHICLE [POSITION]",
		Short: "What was done, found and fitted, when and at what distance", Args: a.args(1, 2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withReport(c.Context(), args[0], func(y *yard.Yard, r *advise.Report) error {
				position := ""
				if len(args) == 2 {
					j, err := r.Find(args[1])
					if err != nil {
						return err
					}
					position = j.Position.ID
				}
				r, _, err := a.whole(c.Context(), r)
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(advise.History(r, position))
				}
				return a.print(y, func(t *print.Text) { t.History(r, position) })
			})
		}}
}

func (a *app) handoverCmd() *cobra.Command {
	var sheet paper
	var whom string
	c := &cobra.Command{Use: "handover VEHICLE",
		Short: "A summary for its buyer, a borrower or the next mechanic, and its record by part", Args: a.args(1, 1),
		Long: "What was fitted when, what falls due, what is open and what is not known, on one page, and\n" +
			"behind it the record part by part with pictures: none for who borrows it, who gets what to\n" +
			"mind and to watch. Looks that found nothing are told together. Prices and names are left\n" +
			"out unless --with asks for them. A file for another yard is made with: undertray give.",
		Example: "  undertray handover heron --for buyer --pdf heron.pdf --paper letter"}
	leave := leaveFlag(c)
	c.RunE = func(c *cobra.Command, args []string) error {
		if !slices.Contains(handover.Whom(), handover.For(whom)) {
			return oneOf("for", whom, "buyer", "mechanic", "driver")
		}
		l, err := leave()
		if err == nil {
			err = sheet.check(a.otherForm(""))
		}
		if err != nil {
			return err
		}
		return a.withReport(c.Context(), args[0], func(y *yard.Yard, r *advise.Report) error {
			r, _, err := a.whole(c.Context(), r)
			if err != nil {
				return err
			}
			h := handover.New(r, handover.For(whom), handover.With{Prices: !l.Prices, Names: !l.Names})
			switch {
			case sheet.file != "":
				return a.onPaper(y, sheet, func(p print.Paper, w io.Writer) error {
					p.Picture = func(hash string) ([]byte, error) {
						kept, err := a.folds.Attachment(c.Context(), hash)
						if err != nil {
							return nil, err
						}
						return picture.Reduced(kept.Data)
					}
					return p.Handover(w, h)
				})
			case a.json:
				return a.printJSON(h.View(a.reads(y)))
			}
			return a.print(y, func(t *print.Text) { t.Handover(h) })
		})
	}
	c.Flags().StringVar(&whom, "for", string(handover.Buyer), "to whom it goes: buyer, mechanic or driver")
	sheet.flags(c)
	return c
}

func commas(s string) []string {
	var out []string
	for _, w := range strings.Split(s, ",") {
		if w = strings.TrimSpace(w); w != "" {
			out = append(out, w)
		}
	}
	return out
}
