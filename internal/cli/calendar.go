package cli

import (
	"bytes"
	"os"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/calendar"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/yard"
)

func (a *app) calendarCmd() *cobra.Command {
	var rules planRules
	var file string
	c := &cobra.Command{Use: "calendar [VEHICLE]",
		Short: "The plan as a calendar (iCalendar): visits, ordering, looks and limits", Args: a.args(0, 1),
		Long: "The plan of one vehicle, or of all, as an iCalendar file (RFC 5545) for any calendar\n" +
			"program: visits, when to order parts, looks between visits, and days of limits. Read in\n" +
			"again later it moves what has moved and cancels what no longer holds. A served yard gives\n" +
			"addresses to subscribe to: undertray devices calendar.",
		RunE: func(c *cobra.Command, args []string) error {
			opt, err := rules.options(c)
			if err != nil {
				return err
			}
			own := a.on == "" && opt.Months == 0 && !opt.Asks() && len(opt.Wishes) == 0
			if len(args) == 1 {
				return a.withShare(c.Context(), args[0], func(y *yard.Yard, r *advise.Report, share *plan.Share) error {
					opt.Share = share
					made, err := plan.Make(c.Context(), r, opt)
					if err != nil {
						return err
					}
					events := append([]calendar.Event{}, calendar.OfPlan(made)...)
					return a.calendar(y, []string{r.Vehicle.ID}, events, own, file)
				})
			}
			return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
				reports, err := a.reports(c.Context(), y)
				if err != nil {
					return err
				}
				made, err := plan.MakeYard(c.Context(), reports,
					plan.YardOptions{Options: opt, Rules: y.Settings.Visits})
				if err != nil {
					return err
				}
				var of []string
				for _, p := range made.Plans {
					of = append(of, p.Vehicle.ID)
				}
				return a.calendar(y, of, calendar.OfYard(made), own, file)
			})
		}}
	rules.flags(c)
	a.onlyFlag(c)
	c.Flags().StringVar(&file, "out", "-", "write it to this file; - for standard output")
	return c
}

// calendar writes the events of some vehicles, recognised as what was given before; what is given is kept where the
// plan is the owner's own and no trial.
func (a *app) calendar(y *yard.Yard, of []string, events []calendar.Event, own bool, file string) error {
	err := yard.Give(a.dir, func(before []byte) (next []byte, err error) {
		events, next, err = calendar.Give(before, of, events, a.now())
		if !own {
			next = nil
		}
		return next, err
	})
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(events)
	}
	var buf bytes.Buffer
	if err := print.Calendar(&buf, y.Settings.Name, events, "", a.reads(y)); err != nil {
		return err
	}
	if file == "-" {
		a.quiet()
		_, err := a.out.Write(buf.Bytes())
		return err
	}
	if err := os.WriteFile(file, buf.Bytes(), 0o644); err != nil {
		return &fleet.Error{Kind: fleet.Unavailable, Where: file, Msg: "the file cannot be written",
			Hint: "choose a folder that exists and that you may write to", Err: err}
	}
	a.line("Wrote %d events to %s.", len(events), file)
	return nil
}
