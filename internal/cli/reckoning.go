package cli

import (
	"context"

	"github.com/spf13/cobra"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/reckon"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/yard"
)

func (a *app) reckoningCmd() *cobra.Command {
	var from, to string
	c := &cobra.Command{Use: "reckoning",
		Short: "What was forecast and what happened: the last full year, or any period", Args: a.args(0, 0),
		Long: "What was forecast at each look and at the start of each quarter, worked out anew from\n" +
			"what had been recorded by then, and what happened: how often 1 in 50 came true, which\n" +
			"looks changed nothing and which paid, and what parts were once they were off.",
		Example: "  undertray reckoning\n  undertray reckoning --from 2022-01-01 --to 2025-12-31 --json",
		RunE: func(c *cobra.Command, _ []string) error {
			return a.withYard(c.Context(), func(y *yard.Yard, _ journal.Store) error {
				period, err := a.period(from, to)
				if err != nil {
					return err
				}
				subjects, err := a.subjects(c.Context(), y)
				if err != nil {
					return err
				}
				r, err := reckon.Of(c.Context(), y.Catalogue, subjects, period, a.folds)
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(r.View())
				}
				return a.print(y, func(t *print.Text) { t.Reckoning(r, y.Catalogue, len(y.IDs())) })
			})
		}}
	c.Flags().StringVar(&from, "from", "", "the first day, as 2022-01-01 (default the last full year)")
	c.Flags().StringVar(&to, "to", "", "the last day (default today, with --from)")
	a.onlyFlag(c)
	return c
}

// period is what a reckoning is asked about.
func (a *app) period(from, to string) (p reckon.Period, err error) {
	var days [2]civil.Date
	for i, typed := range []string{from, to} {
		if typed == "" {
			continue
		}
		if days[i], err = a.dayOf([]string{"from", "to"}[i], typed); err != nil {
			return p, err
		}
	}
	on, err := a.day()
	if err != nil {
		return p, err
	}
	return reckon.FromTo(days[0], days[1], on)
}

// subjects are the vehicles that are named, or the first that others learn from, with
// all that is recorded about each.
func (a *app) subjects(ctx context.Context, y *yard.Yard) ([]reckon.Subject, error) {
	ids := commas(a.only)
	if len(ids) == 0 {
		ids = (&together.Worked{}).Sample(y.IDs())
	}
	return reckon.Gather(ids, y.Vehicle, func(id string) (reckon.Entries, error) { return a.folds.OfVehicle(ctx, id) })
}
