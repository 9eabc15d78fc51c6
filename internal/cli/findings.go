package cli

import (
	"context"
	"errors"
	"io"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/intake"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/yard"
)

func (a *app) findingsCmd() *cobra.Command {
	var w when
	var vehicle string
	c := &cobra.Command{Use: "findings FILE",
		Short: "Record a filled-in round sheet (YAML or CSV), whole or not at all", Args: a.args(1, 1),
		Long: "Records a round sheet that undertray round --form printed and somebody filled in. A table may have\n" +
			"commas, semicolons or tabs, be in UTF-8 or UTF-16, and have decimal commas; a figure that could be\n" +
			"read in two ways is refused. \"-\" reads standard input.",
		RunE: func(c *cobra.Command, args []string) error {
			round, err := a.readRound(args[0])
			if err != nil {
				return err
			}
			if vehicle == "" {
				vehicle = round.Vehicle
			}
			if vehicle == "" {
				return &fleet.Error{Kind: fleet.Invalid, Where: args[0],
					Msg:  "the file does not say which vehicle it is about",
					Hint: "add a line \"vehicle: ID\", or give --vehicle"}
			}
			fromRound(&w, round)
			return a.add(c.Context(), vehicle, func(y *yard.Yard, v *fleet.Vehicle) ([]*fleet.Entry, error) {
				rows := make([]record.TypedFinding, len(round.Rows))
				for i, r := range round.Rows {
					rows[i] = record.TypedFinding(r)
				}
				var notes []*fleet.Entry
				if round.Sheet != "" {
					if rows, notes, err = a.bySheet(c.Context(), y, v, round.Sheet, rows); err != nil {
						return nil, err
					}
				}
				entries, errs := a.roundEntries(y, v, rows, w)
				for _, e := range notes {
					e.Date, err = a.dayOf("date", w.date)
					entries, errs = append(entries, e), append(errs, err)
				}
				return entries, errors.Join(errs...)
			})
		}}
	w.flags(c)
	c.Flags().StringVar(&vehicle, "vehicle", "", "vehicle it is about, where the file does not say")
	return c
}

// bySheet finds what the numbers of a printed sheet stand for.
func (a *app) bySheet(ctx context.Context, y *yard.Yard, v *fleet.Vehicle, code string,
	rows []record.TypedFinding) ([]record.TypedFinding, []*fleet.Entry, error) {
	r, err := a.reportOn(ctx, y, v)
	if err != nil {
		return nil, nil, err
	}
	sheet, err := visit.Again(r, code)
	if err != nil {
		return nil, nil, err
	}
	found, notes, errs := sheet.ByNumber(rows)
	return found, notes, errors.Join(errs...)
}

// fromRound fills flags that were not given from the file.
func fromRound(w *when, round *intake.Round) {
	if w.date == "" && !round.Date.IsZero() {
		w.date = round.Date.String()
	}
	if w.odometer == "" && round.Odometer != nil {
		w.odometer = round.Odometer.String()
	}
}

func (a *app) readRound(name string) (*intake.Round, error) {
	src, err := a.given(name)
	if err != nil {
		return nil, err
	}
	return intake.Findings(name, src)
}

// readWhole reads a file that comes in, one byte more than is taken at the most.
func readWhole(name string) ([]byte, error) {
	f, err := opened(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	src, err := io.ReadAll(io.LimitReader(f, intake.MaxSize+1))
	if err != nil {
		return nil, unreadable(name, err)
	}
	return src, nil
}
