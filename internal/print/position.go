package print

import (
	"cmp"
	"fmt"
	"strings"

	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// Position writes all that is known of one position: the verdict with every
// opinion on it, dues under all authorities, parts and findings over time.
func (t *Text) Position(r *advise.Report, j *judge.Judgement) {
	line := message.Of("%s: %s.", j.Position.Name, j.Verdict)
	if todo := advise.TodoWords(j, t.prefs); todo != "" {
		line = message.Of("%s: %s. %s", j.Position.Name, j.Verdict, todo)
	}
	t.Line(line)
	t.Line(advise.Why(j).Sentence())
	t.Line(advise.PartWords(j, r.On, r.Total, r.HasTotal, t.prefs))
	t.Line(r.LookedWords(j, t.prefs))
	t.ahead(r, j)
	t.opinions(r, j)
	t.dues(r, j)
	t.advice(r, j)
	t.findings(j)
	t.parts(j)
}

func (t *Text) ahead(r *advise.Report, j *judge.Judgement) {
	o := ahead.OutlookOf(r, j)
	lines := told.Names(o.Lines(t.prefs, true))
	if s := ahead.LetsDown(j); s != "" {
		lines = append(lines, s)
	}
	if m := ahead.MendOf(r, j); m.Bar != aboard.NotStated {
		lines = append(lines, m.Words())
	}
	t.lines("What lies ahead", lines)
}

func (t *Text) opinions(r *advise.Report, j *judge.Judgement) {
	if len(j.Reasons) == 0 {
		return
	}
	t.Head("What each authority says")
	var rows [][]any
	for _, o := range j.Reasons {
		mark := message.Text("")
		if o.Governs {
			mark = "governs"
		}
		rows = append(rows, []any{o.Verdict, o.Authority,
			message.Of("%s [%s]", advise.ReasonWords(o), o.Source), mark})
	}
	t.table([]column{{head: "Verdict"}, {head: "Authority"}, {head: "Opinion"},
		{head: ""}}, rows)
}

func (t *Text) dues(r *advise.Report, j *judge.Judgement) {
	if len(j.Dues) == 0 {
		return
	}
	t.Head("When it is due for a change")
	var rows [][]any
	for i := range j.Dues {
		d := &j.Dues[i]
		when := r.WhenDue(d)
		if d.Mark.HasTotal {
			when = message.Of("%s at %s", when, t.prefs.Run(d.Mark.Total))
		}
		note := strings.Join(d.Interval.Materials, ", ")
		rows = append(rows, []any{d.Interval.Authority,
			advise.IntervalWords(d.Interval, t.prefs), when, note})
	}
	t.table([]column{{head: "Authority"}, {head: "Interval"}, {head: "Due"},
		{head: "Material"}}, rows)
}

func (t *Text) advice(r *advise.Report, j *judge.Judgement) {
	own, shares := r.Own(j).Causes, r.SharesWords(j)
	if len(own) > 0 || shares != "" {
		t.Head("Likely causes")
		if shares != "" {
			t.Item("- ", shares)
		}
		for _, c := range own {
			t.Item("- ", causeWords(c))
		}
	}
	if len(j.Cautions) > 0 {
		t.Head("Caution")
		for _, c := range j.Cautions {
			t.Item("! ", message.Is(c))
		}
	}
	if len(j.First) > 0 {
		t.Head("Before that")
		for i, f := range j.First {
			t.Item(fmt.Sprintf("%d. ", i+1), message.Is(f.Do))
		}
	}
	if len(j.With) > 0 {
		t.Head("Along with it")
		for _, c := range j.With {
			t.Item("- ", advise.CompanionWords(c))
		}
	}
}

func (t *Text) findings(j *judge.Judgement) {
	if len(j.Place.Findings) == 0 {
		return
	}
	t.Head("Findings, newest first")
	var rows [][]any
	for i := len(j.Place.Findings) - 1; i >= 0; i-- {
		f := j.Place.Findings[i]
		words := message.Name(f.Answer)
		if c := j.Kind.Check(f.Check); c != nil {
			words = advise.FindingWords(c, f)
		}
		if f.Note != "" {
			words = message.Of("%s (%s)", words, f.Note)
		}
		if f.Settled != "" {
			words = message.Of("%s, put right since", words)
		}
		rows = append(rows, []any{f.Date.String(), t.at(f.Moment), words})
	}
	t.table([]column{{head: "Date"}, {head: "Distance", right: true},
		{head: "Finding"}}, rows)
}

func (t *Text) parts(j *judge.Judgement) {
	if len(j.Place.Past) == 0 {
		return
	}
	t.Head("Parts before this one, newest first")
	var rows [][]any
	for i := len(j.Place.Past) - 1; i >= 0; i-- {
		p := j.Place.Past[i]
		rows = append(rows, []any{t.fitWords(p),
			message.Of("%s, %s", p.To.Date,
				cmp.Or(advise.OffWords(j.Kind, j.Place, p), "reason unknown")), t.ran(p)})
	}
	t.table([]column{{head: "Fitted"}, {head: "Came off"}, {head: "Ran", right: true}},
		rows)
}

func (t *Text) fitWords(p *fleet.Part) message.Text {
	switch {
	case p.From.Date.IsZero() && !p.From.HasTotal:
		return "not known"
	case p.From.Date.IsZero():
		return message.Of("at %s", t.at(p.From))
	case p.Known == fleet.Told:
		return message.Of("%s, as told", p.From.Date)
	}
	return message.Is(p.From.Date)
}

func (t *Text) ran(p *fleet.Part) string {
	if !p.From.HasTotal || !p.To.HasTotal {
		return ""
	}
	return t.prefs.Run(p.To.Total - p.From.Total)
}

func (t *Text) at(m fleet.Moment) string {
	if !m.HasTotal {
		return ""
	}
	return t.prefs.Run(m.Total)
}
