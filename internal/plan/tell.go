package plan

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/schedule"
)

// tell turns a solution into a plan with its reasons.
func (m *maker) tell(ctx context.Context, solved *schedule.Plan) (*Plan, error) {
	m.solved = solved
	p := &Plan{Vehicle: m.r.Vehicle, On: m.r.On, End: m.lastDay(len(m.months)), Parked: m.r.With(fleet.Park),
		Gives:    slices.Clone(m.gives),
		Currency: m.money.currency, Score: solved.Cost, Bound: solved.Bound, Hours: m.hours, Basis: m.basis(),
		Waits: subjects(m.waits), m: m}
	reasons, err := schedule.Explain(ctx, m.problem, solved.Doings())
	if err != nil {
		return nil, fmt.Errorf("explaining the plan of %s: %w", m.r.Vehicle.ID, err)
	}
	for _, v := range solved.Visits {
		p.Visits = append(p.Visits, m.visit(v, reasons, len(p.Visits)+1))
	}
	for i := range m.r.Judgements {
		j := &m.r.Judgements[i]
		switch {
		case foundOut(j):
			p.Unknown = append(p.Unknown, j)
		case j.Position.LookOnly && j.Verdict >= fleet.PutRight:
			money := 0.0
			if price, known := m.price(j); known {
				money = price
			}
			p.Elsewhere = append(p.Elsewhere, Task{Judgement: j, Money: money, Positions: []*fleet.Position{j.Position},
				Do: fleet.DoReplace, Reason: why.Reason{Cause: m.verdictCause(why.DueVerdict, j)}})
		}
	}
	p.Unknown = append(p.Unknown, m.r.Untold()...)
	m.addSmall(p)
	m.between(p)
	p.Hidden = m.addLooks(p)
	p.Rough = m.rough(p)
	for i := range p.Visits {
		v := &p.Visits[i]
		m.measure(v)
		p.Money += v.Money
		p.Minutes += v.Minutes
	}
	for _, s := range p.Small {
		p.Money += s.Task.Money
		p.Minutes += s.Task.Minutes
	}
	for _, it := range m.items {
		if it.j != nil && !it.priced {
			p.Unpriced++
		}
	}
	return p, nil
}

// visit is one visit with its reasons.
func (m *maker) visit(v schedule.Visit, reasons []schedule.Reason, n int) Visit {
	out := Visit{N: n, Period: v.Period, Money: m.spent(v), Minutes: v.Hours * 60}
	out.setDay(m.visitDay(v.Period), m.r.On)
	if was := m.movedFrom(v); was != 0 {
		out.Instead = m.lastDay(was)
	}
	for _, id := range v.Openings {
		out.Openings = append(out.Openings, m.r.Vehicle.Opening(id))
	}
	for _, r := range reasons {
		if r.Period != v.Period {
			continue
		}
		it := m.item(r.Task)
		if it.round {
			out.Round = true
			for _, j := range it.looks {
				out.RoundSees = append(out.RoundSees, j.Position)
			}
			continue
		}
		t := Task{Judgement: it.j, Do: it.do, Due: it.due, Minutes: it.minutes, Money: it.price, id: it.id,
			Reason: m.why(it, r, v)}
		if it.j != nil {
			t.Positions = []*fleet.Position{it.j.Position}
			out.OilChange = out.OilChange || it.j.Kind.OilChange == catalogue.SetsOilChange
			if t.again = !m.first(it, v.Period); !t.again {
				for _, f := range it.j.First {
					t.First = append(t.First, f.Do)
				}
			}
		}
		out.Tasks = append(out.Tasks, t)
	}
	slices.SortStableFunc(out.Tasks, func(a, b Task) int { return cmp.Compare(m.rank(a), m.rank(b)) })
	return out
}

// measure settles what a visit looks at, what it takes and what it buys for:
// as its job sheet has it, so that there is one answer.
func (m *maker) measure(v *Visit) {
	job := m.job(v)
	for _, o := range visit.Measure(m.r, job) {
		if !slices.Contains(v.Openings, o) {
			v.Openings = append(v.Openings, o)
		}
	}
	v.Minutes, v.Money, v.Further = job.Minutes, 0, nil
	v.Sets, v.Buy = job.Sets, job.Parts
	for _, l := range job.Parts {
		if cost, ok := m.amount(l.Spec.Cost); ok {
			v.Money += cost
		}
	}
	v.Money += m.consumables(job.Consumables)
	for _, t := range job.Tasks {
		if t.Do != fleet.DoReplace && !v.has(t.Judgement) {
			v.Further = append(v.Further, t.Judgement.Position)
		}
	}
}

// planned is the reason of a plan as a job sheet takes it.
type planned struct{ why.Reason }

// View is the reason in JSON's form.
func (p planned) View() any { return p.Reason.View() }

// job is the job of a visit, not laid out.
func (m *maker) job(v *Visit) *visit.Job {
	job := &visit.Job{Vehicle: m.r.Vehicle, On: v.Date}
	if v.Round {
		job.RoundSees, job.RoundOpens = v.RoundSees, v.Openings
	}
	for _, t := range v.Tasks {
		if t.Judgement != nil {
			job.Tasks = append(job.Tasks,
				visit.Task{Judgement: t.Judgement, Do: t.Do,
					Reason: visit.Reason{Code: visit.Planned, Planned: planned{t.Reason}}, Again: t.again})
		}
	}
	for _, pos := range v.Further {
		if j := m.r.Judgement(pos.ID); j != nil && !v.has(j) {
			job.Tasks = append(job.Tasks,
				visit.Task{Judgement: j, Do: fleet.DoInspect, Reason: visit.Reason{Code: visit.WhileOpen}})
		}
	}
	return job
}

// rank puts what is most urgent first, what goes along with it behind, looks
// last.
func (m *maker) rank(t Task) float64 {
	if t.Judgement == nil {
		return 1e6
	}
	it := m.item(t.id)
	if it == nil {
		return 1e5
	}
	at := float64(it.by)
	switch {
	case t.Judgement.Verdict >= fleet.PutRight:
		at = -float64(t.Judgement.Verdict)
	case !it.own:
		at += 1000
	}
	return at
}

// first reports whether a month is the first in which a task is done.
func (m *maker) first(it *item, period int) bool {
	for _, v := range m.solved.Visits {
		if slices.Contains(v.Tasks, it.id) {
			return v.Period == period
		}
	}
	return false
}

// before returns the month in which a task was last done before one, 0 where
// it was not.
func (m *maker) before(it *item, period int) int {
	last := 0
	for _, v := range m.solved.Visits {
		if v.Period < period && slices.Contains(v.Tasks, it.id) {
			last = v.Period
		}
	}
	return last
}

// dueIn is the month by which this doing of a task has its limit.
func (m *maker) dueIn(it *item, period int) int {
	if last := m.before(it, period); last > 0 {
		if it.life == 0 {
			return len(m.months) + 1
		}
		return last + it.life
	}
	return it.by
}

// why says why a task stands at its visit.
func (m *maker) why(it *item, r schedule.Reason, v schedule.Visit) why.Reason {
	due := m.dueIn(it, r.Period)
	early := due - r.Period
	what := m.what(it, r.Period, due)
	was, ahead := m.byItself(it, r.Period), early
	switch {
	case was == 0 || was == r.Period:
	case was != m.movedFrom(v):
		return why.Reason{Cause: what, Stand: why.Stand{Code: why.StandShared, Month: m.lastDay(was), Early: early}}
	default: // the visit says why it stands here: what counts is how early it was by itself
		ahead = due - was
	}
	bringer := m.bringer(it, r.Period)
	switch {
	case it.wish == r.Period && m.first(it, r.Period):
		return why.Reason{Cause: what, Stand: m.wished(what, early)}
	case bringer != nil && !it.own:
		return why.Reason{Cause: what, Stand: m.with(it, bringer, due)}
	case early < 0:
		return why.Reason{Cause: what, Stand: why.Stand{Code: why.StandLate, Early: early}}
	case bringer != nil && early > 1:
		return why.Reason{Cause: what, Stand: m.with(it, bringer, due)}
	case ahead <= 1 || what.Code == "":
		return why.Reason{Cause: what}
	}
	return why.Reason{Cause: what, Stand: m.standsEarly(it, r, v, due)}
}

// wished says how far a task that the owner has settled stands from its date.
func (m *maker) wished(what why.Cause, early int) why.Stand {
	s := why.Stand{Code: why.StandSettled}
	if what.Code != "" && (early < 0 || early > 1 && early < len(m.months)) {
		s.Early = early
	}
	return s
}

// byItself is the month in which a task would first be done if its vehicle did
// not share, where that is what it does in this month; 0 where nothing is known
// of it.
func (m *maker) byItself(it *item, period int) int {
	if !it.own || it.wish != 0 || !m.first(it, period) {
		return 0
	}
	return m.alone[it.id]
}

// movedFrom is the month in which most of a visit would be done if the vehicle
// did not share; 0 where that is the month it is done in, or nothing is shared.
func (m *maker) movedFrom(v schedule.Visit) int {
	of, most := map[int]int{}, 0
	for _, id := range v.Tasks {
		if was := m.byItself(m.item(id), v.Period); was != 0 {
			of[was]++
			if most == 0 || of[was] > of[most] {
				most = was
			}
		}
	}
	if most == v.Period {
		return 0
	}
	return most
}

// what says what makes this doing due.
func (m *maker) what(it *item, period, due int) why.Cause {
	if !m.first(it, period) {
		return why.Cause{Code: why.DueAgain, By: m.lastDay(due), Life: it.life}
	}
	return it.cause
}

// bringer returns the task with a reason of its own along with which this one
// is done in a month, or nil.
func (m *maker) bringer(it *item, period int) *item {
	for _, other := range m.items {
		if other != it && other.j != nil && other.own && (other.by < it.by || !it.own) &&
			slices.Contains(other.with, it.id) && m.doneIn(other, period) {
			return other
		}
	}
	return nil
}

func (m *maker) doneIn(it *item, period int) bool {
	for _, v := range m.solved.Visits {
		if v.Period == period {
			return slices.Contains(v.Tasks, it.id)
		}
	}
	return false
}

// with says that a task is done along with another, and what that spares.
func (m *maker) with(it, bringer *item, due int) why.Stand {
	s := why.Stand{Code: why.StandWith, With: why.Subject{Position: bringer.j.Position}}
	shared := 0
	for _, id := range it.openings {
		if slices.Contains(bringer.openings, id) {
			shared++
		}
	}
	s.Within = shared > 0 && shared == len(it.openings)
	if it.life > 0 && due > 1 && due <= len(m.months)+monthsMost {
		s.Month = m.lastDay(due)
	}
	return s
}

// sharedWith returns the opening of most cost that a doing shares, and the
// most urgent of those it shares it with; nil where it shares none.
func (m *maker) sharedWith(r schedule.Reason) (opening *fleet.Opening, with why.Subject) {
	best := 0.0
	for _, s := range r.Shared {
		if s.ID == "" || s.Cost <= best {
			continue
		}
		var partner *item
		for _, id := range s.With {
			if it := m.item(id); it.own && (partner == nil || it.by < partner.by) {
				partner = it
			}
		}
		if partner == nil {
			continue
		}
		best, opening, with = s.Cost, m.r.Vehicle.Opening(s.ID), why.Subject{Round: true}
		if partner.j != nil {
			with = why.Subject{Position: partner.j.Position}
		}
	}
	return opening, with
}

// basis is what the plan rests on.
func (m *maker) basis() Basis {
	return Basis{Forecast: m.r.Forecast, Hour: m.money.hour, HourSaid: m.money.hourSaid, Loss: m.money.loss,
		LossSaid: m.money.said,
		Currency: m.money.currency, VisitHours: m.hours, ReadyHours: visitHours}
}

// rough returns the parts of unknown age that are roughly due within the plan
// and that it looks at and does not change.
func (m *maker) rough(p *Plan) []*judge.Judgement {
	var out []*judge.Judgement
	for i := range m.r.Judgements {
		j := &m.r.Judgements[i]
		w, _, ok := m.r.Roughly(j)
		if !ok || w.Expected.IsZero() || w.Expected.After(p.End) || j.Verdict >= fleet.PutRight ||
			slices.Contains(p.Hidden, j) {
			continue
		}
		if !slices.ContainsFunc(p.Visits, func(v Visit) bool { return v.has(j) }) {
			out = append(out, j)
		}
	}
	return out
}
