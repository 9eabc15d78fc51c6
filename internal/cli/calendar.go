package cli

import (
	"bytes"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"undertray/internal/advise"
	"undertray/internal/fleet"
	"undertray/internal/journal"
	"undertray/internal/plan"
	"undertray/internal/plan/calendar"
	"undertray/internal/print"
	"undertray/internal/yard"
)

func (a *app) calendarCmd() *cobra.Command {
	var rules planRules
	var file string
	c := &cobra.Command{Use: "calendar [VEHICLE]",
		Short: "The plan as a calendar (iCalendar): visits, ordering, looks and limits", Args: a.args(0, 1),
		Long: "The plan of one vehicle, or of all, as an iCalendar file (RFC 5545) for any calendar\n" +
			"program: visits, when to order parts, looks between visits, and days of limits. Read in\n" +
			"again later it replaces what has the same name.",
		RunE: func(c *cobra.Command, args []string) error {
			opt, err := rules.options(c)
			if err != nil {
				return err
			}
			if len(args) == 1 {
				return a.withShare(c.Context(), args[0], func(y *yard.Yard, r *advise.Report, share *plan.Share) error {
					opt.Share = share
					made, err := plan.Make(c.Context(), r, opt)
					if err != nil {
						return err
					}
					return a.calendar(y, append([]calendar.Event{}, calendar.OfPlan(made)...), file)
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
				return a.calendar(y, calendar.OfYard(made), file)
			})
		}}
	rules.flags(c)
	a.onlyFlag(c)
	c.Flags().StringVar(&file, "out", "-", "write it to this file; - for standard output")
	return c
}

func (a *app) calendar(y *yard.Yard, events []calendar.Event, file string) error {
	if a.json {
		return a.printJSON(events)
	}
	var buf bytes.Buffer
	if err := print.Calendar(&buf, y.Settings.Name, events, a.now(), a.reads(y)); err != nil {
		return err
	}
	if file == "-" {
		_, err := a.out.Write(buf.Bytes())
		return err
	}
	if err := os.WriteFile(file, buf.Bytes(), 0o644); err != nil {
		return &fleet.Error{Kind: fleet.Unavailable, Where: file, Msg: "the file cannot be written",
			Hint: "choose a folder that exists and that you may write to", Err: err}
	}
	fmt.Fprintf(a.out, "Wrote %d events to %s.\n", len(events), file)
	return nil
}
