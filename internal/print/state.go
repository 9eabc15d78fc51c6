package print

import (
	"cmp"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/next"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/together"
)

// Yard writes all vehicles of a yard, one answer each.
func (t *Text) Yard(name string, reports []*advise.Report) {
	t.Told(told.Names(advise.YardTold(reports)))
	t.Head(cmp.Or(message.Name(name), "The yard"))
	var rows [][]any
	for _, r := range reports {
		rows = append(rows, []any{r.Vehicle.ID, message.Joined(told.Names(r.Sentences(t.prefs)), " ")})
	}
	t.table([]column{{head: "Vehicle"}, {head: "What needs doing"}}, rows)
}

// Roll writes a part of a large yard's roll.
func (t *Text) Roll(name string, part *together.Stretch) {
	t.Told(told.Names(append(part.Told(), part.PlaceWords())))
	t.Head(cmp.Or(message.Name(name), "The yard"))
	var rows [][]any
	for _, r := range part.Rows {
		words := message.Joined(told.Names(r.Told), " ")
		if r.Rank == together.Shut {
			words = message.Of("Its sheet has mistakes: %s", "undertray sheet check "+r.Vehicle)
		}
		rows = append(rows, []any{r.Vehicle, words})
	}
	t.table([]column{{head: "Vehicle"}, {head: "What needs doing"}}, rows)
}

// State writes one vehicle: the answer, how it is known, and its parts by
// urgency; with all, also those that need nothing. The plan says when the next
// visit is, and on which day each part is put right.
func (t *Text) State(r *advise.Report, made *plan.Plan, all bool) {
	t.Told(told.Names(r.Sentences(t.prefs)))
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
	t.Named(fleet.Unseen.Message(), verdictWide,
		message.Of("To be looked at first: %s. How to say what you know of them: %s", strings.Join(names, ", "),
			"undertray fitted --help"))
}

func (t *Text) odometer(r *advise.Report) message.Text {
	last, ok := r.State.Last()
	if !ok {
		return message.Of("No %s reading is recorded.", message.Text(t.prefs.Meter()))
	}
	s := message.Of("Last reading: %s on %s.", t.prefs.Run(last.Total), told.Long(last.Date))
	if d, ok := r.Forecast.At(r.On); ok && last.Date != r.On {
		s = message.Of("%s Expected on %s: about %s.", s, told.Long(r.On), t.prefs.Run(d.Expected))
	}
	return s
}

func (t *Text) judgement(r *advise.Report, j *judge.Judgement, days next.Days) {
	t.Blank()
	t.Named(j.Verdict.Message(), verdictWide, message.Of("%s (%s)", j.Position.Name, j.Position.ID))
	const in = "           "
	if s := days.TodoWords(j, t.prefs); s != "" {
		t.Item(in, s)
	}
	t.Item(in, advise.Why(j).Sentence())
	o := ahead.Glance(r, j)
	for _, s := range told.Names(o.Lines(t.prefs, false)) {
		t.Item(in, s)
	}
	own := r.Own(j)
	for _, f := range own.First {
		t.Item(in, message.Of("First: %s", f.Do))
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
		t.Named("Left out:", 0, message.Of("%s (entry %s). %s.", p.Msg, p.Entry, p.Hint))
	}
}

// table1 lists positions in walking order with verdict and next due date.
func (t *Text) table1(r *advise.Report, all bool) {
	var rows [][]any
	for _, j := range r.Walk() {
		if !all && j.Verdict != fleet.Unseen && j.Verdict != fleet.Keep {
			continue
		}
		rows = append(rows, []any{j.Verdict, j.Position.Name, lookedWords(j), t.due(r, j)})
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

func (t *Text) due(r *advise.Report, j *judge.Judgement) message.Text {
	when, by := r.DueWords(j)
	if by == "" {
		return when
	}
	return message.Of("%s (%s)", when, by)
}

// verdictWide is how many columns verdicts take before what is said of a part.
const verdictWide = 11

func lookedWords(j *judge.Judgement) message.Text {
	switch l := j.Looked; {
	case l.AtFitting:
		return message.Of("fitted %s", told.Short(l.Last.Date))
	case l.Never:
		return "never"
	case l.Stale:
		return message.Of("%s, overdue", told.Short(l.Last.Date))
	default:
		return told.Short(l.Last.Date)
	}
}
