package print

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/next"
	"undertray.example/undertray/internal/together"
)

// Yard writes all vehicles of a yard, one answer each.
func (t *Text) Yard(name string, reports []*advise.Report) {
	t.Told(advise.YardTold(reports))
	t.Head(or(name, "The yard"))
	var rows [][]string
	for _, r := range reports {
		rows = append(rows, []string{r.Vehicle.ID, strings.Join(r.Sentences(t.prefs), " ")})
	}
	t.table([]column{{head: "Vehicle"}, {head: "What needs doing"}}, rows)
}

// Roll writes a part of a large yard's roll.
func (t *Text) Roll(name string, part *together.Stretch) {
	t.Told(append(part.Told(), part.PlaceWords()))
	t.Head(or(name, "The yard"))
	var rows [][]string
	for _, r := range part.Rows {
		told := strings.Join(r.Told, " ")
		if r.Rank == together.Shut {
			told = "Its sheet has mistakes: undertray sheet check " + r.Vehicle
		}
		rows = append(rows, []string{r.Vehicle, told})
	}
	t.table([]column{{head: "Vehicle"}, {head: "What needs doing"}}, rows)
}

// State writes one vehicle: the answer, how it is known, and its parts by
// urgency; with all, also those that need nothing. The plan says when the next
// visit is, and on which day each part is put right.
func (t *Text) State(r *advise.Report, made *plan.Plan, all bool) {
	t.Told(r.Sentences(t.prefs))
	t.Line(made.NextWords())
	t.Line(r.Basis())
	t.Line(t.odometer(r))
	days := next.DaysOf(made)
	for _, j := range r.Urgent() {
		t.judgement(r, j, days)
	}
	t.untold(r)
	for _, s := range r.Shared {
		t.Blank()
		t.Line(r.SharedWords(s))
	}
	t.problems(r)
	t.table1(r, all)
}

// untold lists the parts of which nothing is known.
func (t *Text) untold(r *advise.Report) {
	untold := r.Untold()
	if len(untold) == 0 {
		return
	}
	t.Blank()
	names := make([]string, len(untold))
	for i, j := range untold {
		names[i] = j.Position.ID
	}
	t.Item(fmt.Sprintf("%-11s", fleet.Unseen), "To be looked at first: "+strings.Join(names, ", ")+
		". How to say what you know of them: undertray fitted --help")
}

func (t *Text) odometer(r *advise.Report) string {
	last, ok := r.State.Last()
	if !ok {
		return fmt.Sprintf("No %s reading is recorded.", t.prefs.Meter())
	}
	s := fmt.Sprintf("Last reading: %s on %s.", t.prefs.Run(last.Total), last.Date.Long())
	if d, ok := r.Forecast.At(r.On); ok && last.Date != r.On {
		s += fmt.Sprintf(" Expected on %s: about %s.", r.On.Long(), t.prefs.Run(d.Expected))
	}
	return s
}

func (t *Text) judgement(r *advise.Report, j *judge.Judgement, days next.Days) {
	t.Blank()
	t.Item(fmt.Sprintf("%-11s", j.Verdict), fmt.Sprintf("%s (%s)", j.Position.Name, j.Position.ID))
	const in = "           "
	if s := days.TodoWords(j, t.prefs); s != "" {
		t.Item(in, s)
	}
	t.Item(in, advise.Why(j).Sentence().String())
	o := ahead.Glance(r, j)
	for _, s := range o.Lines(t.prefs, false) {
		t.Item(in, s)
	}
	own := r.Own(j)
	for _, f := range own.First {
		t.Item(in, "First: "+f.Do)
	}
	if s := r.SharesWords(j); s != "" {
		t.Item(in, s)
	}
	if with := advise.WithWords(own); with != "" {
		t.Item(in, with)
	}
	if j.Again != nil {
		t.Item(in, r.AgainWords(j, t.prefs))
	}
}

func (t *Text) problems(r *advise.Report) {
	for _, p := range r.State.Problems {
		t.Blank()
		t.Item("Left out: ", fmt.Sprintf("%s (entry %s). %s.", p.Msg, p.Entry, p.Hint))
	}
}

// table1 lists positions in walking order with verdict and next due date.
func (t *Text) table1(r *advise.Report, all bool) {
	var rows [][]string
	for _, j := range r.Walk() {
		if !all && j.Verdict != fleet.Unseen && j.Verdict != fleet.Keep {
			continue
		}
		rows = append(rows, []string{j.Verdict.String(), j.Position.Name, lookedWords(j), t.due(r, j)})
	}
	if len(rows) == 0 {
		return
	}
	if all {
		t.Head("Every position, in walking order")
	} else {
		t.Head("The rest, in walking order")
	}
	t.table([]column{{head: "Verdict"}, {head: "Position"}, {head: "Last looked at"},
		{head: "Due"}}, rows)
}

func (t *Text) due(r *advise.Report, j *judge.Judgement) string {
	when, by := r.DueWords(j)
	if by == "" {
		return when
	}
	return fmt.Sprintf("%s (%s)", when, by)
}

func lookedWords(j *judge.Judgement) string {
	switch l := j.Looked; {
	case l.AtFitting:
		return "fitted " + l.Last.Date.Short()
	case l.Never:
		return "never"
	case l.Stale:
		return l.Last.Date.Short() + ", overdue"
	default:
		return l.Last.Date.Short()
	}
}

func or(s, other string) string {
	if s != "" {
		return s
	}
	return other
}
