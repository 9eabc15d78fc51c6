package cli

import (
	"context"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// tickAsk is what undertray tick was asked.
type tickAsk struct {
	back, too, only, end bool
	sure                 bool
	tight                []string
	by                   string
	number               int
	opt                  visit.JobOptions
}

func (a *app) tickCmd() *cobra.Command {
	var ask tickAsk
	c := &cobra.Command{Use: "tick VEHICLE [STEP...]",
		Short: "Tick steps of the job sheet in hand, by their numbers, or take that back", Args: a.args(1, -1),
		Long: "Record which steps of a job sheet are done. The first tick begins the sheet: that of\n" +
			"the next visit, of --visit N, or for the parts named with --at. Until it is over, job\n" +
			"shows it with its ticks, and what is open and not closed again keeps the vehicle where\n" +
			"it is. A tick that the state of the machine forbids is refused; one that others come\n" +
			"before asks for --too or --only. With no step it shows the sheet.",
		Example: "  undertray tick dunnock 1 2 3\n  undertray tick dunnock 3 --back\n  undertray tick dunnock --end",
		RunE: func(c *cobra.Command, args []string) error {
			if ask.too && (ask.only || ask.back) || ask.end && len(args) > 1 {
				return &fleet.Error{Kind: fleet.Invalid, Where: "tick", Msg: "these do not go together",
					Hint: "give one of --too, --only, --back and --end"}
			}
			return a.withShare(c.Context(), args[0], func(y *yard.Yard, r *advise.Report, share *plan.Share) error {
				job, err := a.inHand(c.Context(), r, share, ask)
				if err != nil {
					return err
				}
				if len(args) == 1 && !ask.end {
					return a.printJob(y, job, false, paper{})
				}
				return a.tick(c.Context(), y, r, job, args[1:], ask)
			})
		}}
	fl := c.Flags()
	fl.BoolVar(&ask.back, "back", false, "take these ticks back")
	fl.BoolVar(&ask.too, "too", false, "the steps that come before them are done too")
	fl.BoolVar(&ask.only, "only", false, "only these: what comes before them is left out")
	fl.BoolVar(&ask.end, "end", false, "the sheet in hand is over, whatever is not ticked")
	fl.StringArrayVar(&ask.tight, "tight", nil,
		"what a fastener of the step was tightened to, as \"drain plug=25 N·m\"")
	fl.BoolVar(&ask.sure, "sure", false, "with --tight: it is so, although the sheet says something else")
	fl.StringVar(&ask.by, "by", "", "who did it")
	fl.IntVar(&ask.number, "visit", 0, "begin the visit of this number in undertray plan")
	fl.StringSliceVar(&ask.opt.Positions, "at", nil, "begin a sheet for these positions")
	fl.BoolVar(&ask.opt.Alone, "alone", false, "with --at: nothing that is changed along with them")
	return c
}

// inHand is the sheet in hand, or the one that the first tick begins.
func (a *app) inHand(ctx context.Context, r *advise.Report, share *plan.Share, ask tickAsk) (*visit.Job, error) {
	job, err := visit.InHand(r)
	fresh := ask.number != 0 || len(ask.opt.Positions) > 0
	switch {
	case err != nil:
		return nil, err
	case job != nil && fresh:
		return nil, &fleet.Error{Kind: fleet.Conflict, Where: "tick",
			Msg: message.Of("another sheet of %s is in hand", r.Vehicle.Name), Hint: "end it first with --end"}
	case job != nil:
		return job, nil
	case len(ask.opt.Positions) > 0:
		return visit.NewJob(r, ask.opt)
	}
	return visitOf(ctx, r, share, ask.number, visit.JobOptions{})
}

func (a *app) tick(ctx context.Context, y *yard.Yard, r *advise.Report, job *visit.Job, numbers []string,
	ask tickAsk) error {
	var keys []string
	for _, typed := range numbers {
		n, err := strconv.Atoi(typed)
		if err != nil || n < 1 || n > len(job.Steps) {
			return &fleet.Error{Kind: fleet.NotFound, Where: "STEP", Msg: message.Of("the sheet has no step %s", typed),
				Hint: message.Of("see its steps with: undertray tick %s", r.Vehicle.ID)}
		}
		keys = append(keys, job.Steps[n-1].Keys...)
	}
	var entries []*fleet.Entry
	var err error
	switch {
	case ask.end:
		var e *fleet.Entry
		e, err = job.End(r)
		entries = []*fleet.Entry{e}
	case ask.back:
		entries, err = job.Untick(r, keys, a.newID)
	case len(ask.tight) > 0 && len(keys) == 1 && job.Step(keys[0]).Done: // only what it was tightened to
	case ask.too:
		entries, err = job.Tick(r, keys, visit.TickBefore, a.newID)
	case ask.only:
		entries, err = job.Tick(r, keys, visit.PassBefore, a.newID)
	default:
		entries, err = job.Tick(r, keys, visit.AskBefore, a.newID)
	}
	if err == nil && len(ask.tight) > 0 {
		entries, err = a.tighten(y, job, keys, entries, ask)
	}
	if err != nil {
		return err
	}
	return a.withJournal(ctx, func(store journal.Store) error {
		rec := a.recorder(y)
		rec.By = ask.by
		stored, err := rec.Batch(ctx, r.Vehicle, entries)
		if err != nil {
			return err
		}
		if a.json {
			return a.printJSON(stored)
		}
		state, err := a.folds.State(ctx, r.Vehicle, r.On)
		if err != nil {
			return err
		}
		after := advise.Of(y.Catalogue, state)
		return a.print(y, func(t *print.Text) {
			t.Ticked(after, stored)
			if job.EndsWith(stored) {
				t.Line(print.FinishHint(r.Vehicle.ID))
			}
		})
	})
}

// tighten takes what fasteners of one step were tightened to.
func (a *app) tighten(y *yard.Yard, job *visit.Job, keys []string, entries []*fleet.Entry,
	ask tickAsk) ([]*fleet.Entry, error) {
	if len(keys) != 1 || ask.back {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "--tight", Msg: "it is of one step that is ticked",
			Hint: "tick that step alone"}
	}
	var typed []visit.Typed
	for _, t := range ask.tight {
		what, figure, _ := strings.Cut(t, "=")
		typed = append(typed, visit.Typed{Step: keys[0], What: strings.TrimSpace(what), Figure: figure})
	}
	return job.Tighten(entries, typed, a.reads(y).Preferred(units.Torque), ask.sure)
}
