package plan

import (
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/visit"
)

// oilItem returns the change of the engine oil, or nil.
func (m *maker) oilItem() *item {
	for _, it := range m.items {
		if it.j != nil && it.j.Kind.OilChange == catalogue.SetsOilChange {
			return it
		}
	}
	return nil
}

// Openings belong to every round where they show a part for every so many
// minutes; what is hidden deeper is looked at where it is open for other work,
// or where a visit has room for it (common practice).
const (
	roundMinutesEach = 6
	furtherMinutes   = 45
)

// addRound adds the round that belongs to every oil change: all that can be
// seen through what the oil change opens and what is quickly opened.
func (m *maker) addRound() {
	rhythm := judge.OilChange(m.r.Vehicle)
	it := &item{id: roundID, do: fleet.DoInspect, round: true, own: true, late: m.money.visit(),
		life: m.spanMonths(rhythm.Distance, rhythm.Time), by: m.period(m.r.Visits[0].When.Expected)}
	it.life = max(1, it.life)
	it.age = max(0, it.life-it.by)
	if oil := m.oilItem(); oil != nil {
		it.openings, it.life, it.by, it.age = slices.Clone(oil.openings), oil.life, oil.by, oil.age
		it.with = []string{oil.id}
		oil.with = append(oil.with, roundID)
	}
	it.openings = m.roundOpenings(it.openings)
	for _, j := range m.r.Walk() {
		if fleet.Subset(m.r.Vehicle.Closure(j.Position.Seen), it.openings) {
			it.looks = append(it.looks, j)
		}
	}
	it.minutes = visit.LookMinutes * float64(len(it.looks))
	m.items = append(m.items, it)
}

// roundOpenings adds to what is open what shows most for its minutes.
func (m *maker) roundOpenings(open []string) []string {
	v := m.r.Vehicle
	for {
		best, each := "", roundMinutesEach+1e-9
		for _, h := range visit.HiddenBehind(m.r, open) {
			if per := h.Minutes / float64(len(h.Positions)); per < each {
				best, each = h.Opening.ID, per
			}
		}
		if best == "" {
			return open
		}
		open = v.Closure(append(slices.Clone(open), best))
	}
}

// lookGroup is what is seen through the same openings, and when it is to be
// looked at again.
type lookGroup struct {
	openings []string
	looks    []*judge.Judgement
	next     civil.Date
	every    int // months
}

// lookGroups gathers what the round does not show.
func (m *maker) lookGroups() []*lookGroup {
	round := m.item(roundID)
	var out []*lookGroup
	for _, j := range m.r.Walk() {
		if slices.Contains(round.looks, j) || !j.Looked.Never && j.Looked.By == nil {
			continue
		}
		open := m.r.Vehicle.Closure(j.Position.Seen)
		i := slices.IndexFunc(out, func(g *lookGroup) bool { return slices.Equal(g.openings, open) })
		if i < 0 {
			i = len(out)
			out = append(out, &lookGroup{openings: open, every: monthsMost})
		}
		g := out[i]
		next := m.r.On
		if !j.Looked.Never {
			next = m.r.When(j.Looked.Next).Expected
		}
		if g.next.IsZero() || next.Before(g.next) {
			g.next = next
		}
		g.looks = append(g.looks, j)
		g.every = min(g.every, m.lookEvery(j))
	}
	return out
}

// lookEvery is the number of months between looks at a position that is not
// easily seen: a year at least, whatever is said of each oil change.
func (m *maker) lookEvery(j *judge.Judgement) int {
	if by := j.Looked.By; by != nil && !by.EachOilChange {
		if months := m.spanMonths(by.Distance, by.Time); months > 0 {
			return max(months, hiddenMonths)
		}
	}
	return hiddenMonths
}

const hiddenMonths = 12

// addLooks adds looks at hidden parts to the visits: where they are open
// anyway, or where little more has to be opened and the hours allow it. It
// returns those that the plan never comes to.
func (m *maker) addLooks(p *Plan) []*judge.Judgement {
	var never []*judge.Judgement
	for _, g := range m.lookGroups() {
		done := false
		for i := range p.Visits {
			v := &p.Visits[i]
			until := p.End
			if i+1 < len(p.Visits) {
				until = p.Visits[i+1].Date
			}
			due := !g.next.After(until)
			extra := m.further(v, g)
			minutes := visit.LookMinutes * float64(len(g.looks))
			for _, o := range extra {
				minutes += visit.OpeningMinutes(o)
			}
			fits := v.Minutes+minutes <= m.hoursAt[v.Period-1]*60+1 && minutes <= furtherMinutes && v.Round
			if !due || len(extra) > 0 && !fits {
				continue
			}
			v.Openings = append(v.Openings, extra...)
			v.Minutes += minutes
			v.addLooks(g)
			g.next, done = v.Date.AddMonths(g.every), true
		}
		if !done && !g.next.After(p.End) {
			never = append(never, g.looks...)
		}
	}
	return never
}

// further returns what a look needs opened beyond what a visit opens.
func (m *maker) further(v *Visit, g *lookGroup) []*fleet.Opening {
	var out []*fleet.Opening
	for _, id := range g.openings {
		o := m.r.Vehicle.Opening(id)
		if !slices.Contains(v.Openings, o) {
			out = append(out, o)
		}
	}
	return out
}

func (v *Visit) addLooks(g *lookGroup) {
	for _, j := range g.looks {
		if v.has(j) {
			continue
		}
		v.Further = append(v.Further, j.Position)
	}
}

// between returns the looks at parts on watch that fall due before a visit
// comes, those of the same weeks together, and gives the others to their
// visits.
func (m *maker) between(p *Plan) {
	var wait []*judge.Judgement
	for _, j := range m.r.With(fleet.Watch) {
		if j.Again == nil {
			continue
		}
		by := m.lookBy(j)
		if v := p.visitBy(by, j); v != nil {
			if !v.has(j) {
				v.Tasks = append(v.Tasks, Task{Judgement: j, Positions: []*fleet.Position{j.Position},
					Do: fleet.DoInspect, id: "watch:" + j.Position.ID,
					Reason: why.Reason{Cause: m.verdictCause(why.DueWatch, j)}, Due: by, Minutes: visit.LookMinutes})
			}
			continue
		}
		if !by.After(p.End) {
			wait = append(wait, j)
		}
	}
	slices.SortStableFunc(wait, func(a, b *judge.Judgement) int { return m.lookBy(a).Compare(m.lookBy(b)) })
	for _, j := range wait {
		by := m.lookBy(j)
		if n := len(p.Between); n == 0 || by.Sub(p.Between[n-1].By) > 31 {
			p.Between = append(p.Between, Look{By: by})
		}
		l := &p.Between[len(p.Between)-1]
		l.Tasks = append(l.Tasks, Task{Judgement: j, Positions: []*fleet.Position{j.Position}, Do: fleet.DoInspect,
			Reason: why.Reason{Cause: m.verdictCause(why.DueVerdict, j)}, Due: by, Minutes: visit.LookMinutes,
			id: "watch:" + j.Position.ID})
		l.Positions = append(l.Positions, j.Position)
	}
	for i := range p.Between {
		m.openLook(&p.Between[i])
	}
}

func (m *maker) openLook(l *Look) {
	var seen []string
	for _, t := range l.Tasks {
		seen = append(seen, t.Judgement.Position.Seen...)
		l.Minutes += t.Minutes
	}
	for _, id := range m.r.Vehicle.Closure(seen) {
		o := m.r.Vehicle.Opening(id)
		l.Openings = append(l.Openings, o)
		l.Minutes += visit.OpeningMinutes(o)
	}
}

func (m *maker) lookBy(j *judge.Judgement) civil.Date {
	w := m.r.When(j.Again.Mark)
	if w.Reached || w.Expected.IsZero() || w.Expected.Before(m.r.On) {
		return m.r.On
	}
	return w.Expected
}

// A look may wait this many days beyond its date for a visit, and be taken
// this many before it: sooner, nothing would have changed (common practice).
const (
	weekGrace = 7
	lookEarly = 45
)

// visitBy returns the visit at which a look due by a day is taken: the last
// one shortly before it, or an earlier one that deals with the part.
func (p *Plan) visitBy(by civil.Date, j *judge.Judgement) *Visit {
	var out *Visit
	for i := range p.Visits {
		v := &p.Visits[i]
		if v.Date.After(by.AddDays(weekGrace)) {
			break
		}
		if v.has(j) {
			return v
		}
		if !v.Date.Before(by.AddDays(-lookEarly)) {
			out = v
		}
	}
	return out
}

// has reports whether a visit deals with a position.
func (v *Visit) has(j *judge.Judgement) bool {
	return slices.ContainsFunc(v.Tasks, func(t Task) bool { return slices.Contains(t.Positions, j.Position) })
}
