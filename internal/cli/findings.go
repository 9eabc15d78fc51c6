package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"undertray/internal/fleet"
	"undertray/internal/intake"
	"undertray/internal/journal"
	"undertray/internal/record"
	"undertray/internal/visit"
	"undertray/internal/yard"
)

func (a *app) findingsCmd() *cobra.Command {
	var w when
	var vehicle string
	c := &cobra.Command{Use: "findings FILE",
		Short: "Record a filled-in round sheet (YAML or CSV), whole or not at all", Args: a.args(1, 1),
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
	src, err := readWhole(name)
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
		return nil, &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "the file cannot be read", Err: err}
	}
	return src, nil
}

func (a *app) askCmd() *cobra.Command {
	var w when
	var open string
	c := &cobra.Command{Use: "ask VEHICLE",
		Short: "Do a round at the terminal: one question after the other, kept as one batch", Args: a.args(1, 1),
		Long: "Asks every check of a round in walking order. An empty line passes a check over;\n" +
			"\"skip\" passes the position over; \"end\" ends the round and records what was answered;\n" +
			"\"drop\" ends it and records nothing.",
		RunE: func(c *cobra.Command, args []string) error {
			if _, err := a.entry(fleet.TypeFound, w); err != nil {
				return err // before a question is asked, not after the last answer
			}
			return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
				v, err := y.Vehicle(args[0])
				if err != nil {
					return err
				}
				r, err := a.reportOn(c.Context(), y, v)
				if err != nil {
					return err
				}
				round, err := visit.NewRound(r, visit.RoundOptions{Open: commas(open)})
				if err != nil {
					return err
				}
				rows, kept := a.ask(y, round)
				if !kept || len(rows) == 0 {
					fmt.Fprintln(a.out, "Nothing recorded.")
					return nil
				}
				entries, errs := a.roundEntries(y, v, rows, w)
				if len(errs) > 0 {
					return errors.Join(errs...)
				}
				stored, err := a.recorder(y).Batch(c.Context(), v, entries)
				if err != nil {
					return err
				}
				return a.recorded(c.Context(), y, store, v, stored)
			})
		}}
	w.flags(c)
	c.Flags().StringVar(&open, "open", "", "openings made, with commas between")
	return c
}

// ask puts the round's checks one by one; kept is false when the person drops
// the round.
func (a *app) ask(y *yard.Yard, round *visit.Round) (rows []record.TypedFinding, kept bool) {
	in := bufio.NewScanner(a.in)
	for _, stage := range round.Stages {
		fmt.Fprintf(a.out, "\n%s\n", stage.Title())
		for _, c := range stage.Cautions {
			fmt.Fprintln(a.out, "!", c)
		}
		for _, stop := range stage.Stops {
			got, word := a.askStop(in, stop)
			rows = append(rows, got...)
			switch word {
			case "end":
				return rows, true
			case "drop":
				return nil, false
			}
		}
	}
	return rows, true
}

// askStop asks the checks of one position and returns the word that ended it.
func (a *app) askStop(in *bufio.Scanner, stop visit.Stop) (rows []record.TypedFinding, word string) {
	fmt.Fprintf(a.out, "\n%d. %s\n", stop.N, stop.Position.Name)
	for _, c := range stop.Checks {
		fmt.Fprintf(a.out, "   %s\n", c.Question)
		if c.Caution != "" {
			fmt.Fprintf(a.out, "   ! %s\n", c.Caution)
		}
		for i, ans := range c.Answers {
			fmt.Fprintf(a.out, "   %d  %s\n", i+1, ans.Say)
		}
		for {
			fmt.Fprint(a.out, "   > ")
			if !in.Scan() {
				return rows, "end"
			}
			typed := strings.TrimSpace(in.Text())
			switch typed {
			case "":
			case "skip", "end", "drop":
				return rows, typed
			default:
				answer := c.Numbered(typed)
				if _, err := record.Answer(stop.Kind, c.ID, answer); err != nil {
					a.report(err)
					continue
				}
				rows = append(rows, record.TypedFinding{Position: stop.Position.ID, Check: c.ID, Answer: answer})
			}
			break
		}
	}
	return rows, ""
}
