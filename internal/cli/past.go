package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/intake"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/yard"
)

func (a *app) pastCmd() *cobra.Command {
	var keep bool
	var first, unit string
	c := &cobra.Command{Use: "past VEHICLE FILE",
		Short: "Read the past from a notebook or a table (\"-\": standard input)", Args: a.args(2, 2),
		Long: "Reads a line a job, or a table with commas, semicolons or tabs, and says line by line what\n" +
			"it would keep and what is in doubt. Nothing is kept without --keep, and then only the lines\n" +
			"without a doubt, as one batch; the page \"Write down\" settles the others.",
		RunE: func(c *cobra.Command, args []string) error {
			src, err := a.given(args[1])
			if err != nil {
				return err
			}
			return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
				v, err := y.Vehicle(args[0])
				if err != nil {
					return err
				}
				habits := intake.Habits{Distance: unit, Currency: y.Settings.Currency, Today: civil.Of(a.now())}
				switch first {
				case "":
				case "day", "month":
					day := first == "day"
					habits.DayFirst = &day
				default:
					return badFlag("first", first, "write day or month: which comes first in 3/4/2019")
				}
				if unit != "" && unit != "km" && unit != "mi" {
					return badFlag("unit", unit, "write km or mi")
				}
				n, err := intake.ReadNotebook(args[1], src, v, y.Catalogue, habits)
				switch {
				case err != nil:
					return err
				case !keep && a.json:
					return a.printJSON(n)
				case !keep:
					return a.print(y, func(t *print.Text) { tellPast(t, v, n) })
				}
				entries := n.Certain(habits.Today)
				if len(entries) == 0 {
					return &fleet.Error{Kind: fleet.Invalid, Where: args[1], Msg: "every line is in doubt",
						Hint: "read it without --keep to see why"}
				}
				stored, err := a.recorder(y).Batch(c.Context(), v, entries)
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(stored)
				}
				return a.print(y, func(t *print.Text) { t.Kept(v, stored); tellPast(t, v, n.Open()) })
			})
		}}
	c.Flags().BoolVar(&keep, "keep", false, "keep the lines without a doubt")
	c.Flags().StringVar(&first, "first", "", "what comes first in 3/4/2019: day or month")
	c.Flags().StringVar(&unit, "unit", "", "unit of distances without one: km or mi")
	return c
}

// tellPast says what each line would be kept as, and what is in doubt.
func tellPast(t *print.Text, v *fleet.Vehicle, n *intake.Notebook) {
	for i := range n.Lines {
		p := &n.Lines[i]
		var said, fitted []message.Text
		if !p.Date.IsZero() {
			said = append(said, message.Is(p.Date))
		}
		if p.Odometer != nil {
			said = append(said, message.Is(*p.Odometer))
		}
		if p.Cost != nil {
			said = append(said, message.Is(*p.Cost))
		}
		for _, id := range p.Fitted() {
			fitted = append(fitted, message.Is(v.Position(id).Name))
		}
		words := message.Is(p.Words)
		if len(fitted) > 0 {
			words = message.Of("%s fitted: %s", told.Listing(fitted), words)
		}
		if words != "" {
			said = append(said, words)
		}
		t.Item(fmt.Sprintf("%3d  ", p.No), message.Joined(said, "; ").Sentence())
		for _, doubt := range p.Doubts {
			t.Item("     ? ", doubt)
		}
	}
}

func badFlag(name, value string, hint message.Text) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: "--" + name, Msg: message.Of("%q is not known", value), Hint: hint}
}

// given reads a file, or standard input for "-".
func (a *app) given(name string) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(io.LimitReader(a.in, intake.MaxSize+1))
	}
	return readWhole(name)
}
