package cli

import (
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/trip"
	"undertray.example/undertray/internal/yard"
)

func (a *app) tripCmd() *cobra.Command {
	var opt trip.Options
	var start, under string
	c := &cobra.Command{Use: "trip VEHICLE DISTANCE",
		Short: "Will it get through: what may let you down, and what to do, check and carry", Args: a.args(2, 2),
		Long: "Will it get through a trip of so many km or miles, there and back, or through so many\n" +
			"hours of work where the vehicle counts hours: what passes a limit\n" +
			"on the way, how likely each part is to let you down, what to change before you go for\n" +
			"the least money, what to check on the way and what to carry.",
		RunE: func(c *cobra.Command, args []string) (err error) {
			if start != "" {
				if opt.Start, err = a.dayOf("start", start); err != nil {
					return err
				}
			}
			if opt.Under, err = oddsOf(under); err != nil {
				return err
			}
			return a.withReport(c.Context(), args[0], func(y *yard.Yard, r *advise.Report) error {
				var err error
				if opt.Km, err = trip.Far(r.Vehicle, args[1], ""); err != nil {
					return err
				}
				trip, err := trip.Ask(r, opt)
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(trip.View(a.reads(y)))
				}
				return a.print(y, func(t *print.Text) { t.Trip(trip) })
			})
		}}
	c.Flags().StringVar(&start, "start", "", "the day you leave (default the day it is worked out for)")
	c.Flags().IntVar(&opt.Days, "days", 0, "how many days it takes (default one for each 500 km, or 8 h)")
	c.Flags().BoolVar(&opt.Load, "load", false, "heavily loaded, or towing")
	c.Flags().BoolVar(&opt.Heat, "heat", false, "in great heat, or in mountains")
	c.Flags().StringVar(&under, "under", "1in50", "the chance of being stranded that you accept")
	return c
}

// oddsOf reads a chance: "1in50", "1 in 50", "2%" or "0.02".
func oddsOf(s string) (float64, error) {
	text := strings.ToLower(strings.ReplaceAll(s, " ", ""))
	p := 0.0
	var err error
	switch one, many, ok := strings.Cut(text, "in"); {
	case ok:
		var a, b float64
		if a, err = strconv.ParseFloat(one, 64); err == nil {
			b, err = strconv.ParseFloat(many, 64)
		}
		p = a / b
	case strings.HasSuffix(text, "%"):
		p, err = strconv.ParseFloat(strings.TrimSuffix(text, "%"), 64)
		p /= 100
	default:
		p, err = strconv.ParseFloat(text, 64)
	}
	if err != nil || !(p > 0 && p < 1) {
		return 0, &fleet.Error{Kind: fleet.Invalid, Where: "--under",
			Msg:  message.Of("%s is not a chance between none and certain", strconv.Quote(s)),
			Hint: "write it as 1in50"}
	}
	return p, nil
}
