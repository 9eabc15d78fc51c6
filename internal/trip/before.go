package trip

import (
	"cmp"
	"math"
	"slices"

	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/visit"
)

// findMust lists what is changed before the trip whatever it does to the
// chance: what is past a limit, and what can strand and passes one on the way.
func findMust(r *advise.Report, t *Trip, m *plan.Prices) {
	add := func(j *judge.Judgement, due bool, why Reason) {
		if j.Position.LookOnly && !t.dueBefore(j) || slices.ContainsFunc(t.Must, func(f Fix) bool {
			return f.Judgement == j
		}) {
			return
		}
		f := t.change(m, j, why)
		f.Due = due
		t.Must = append(t.Must, f)
	}
	for _, j := range r.Urgent() {
		switch {
		case j.Verdict < fleet.PutRight:
		case len(j.Todos) > 0 && j.Todos[0].Left != nil:
			t.pass(j, false, true, Reason{Code: LeftAside, Judgement: j, units: r.Units})
		case matters(r, j) || t.dueBy(r, j):
			add(j, t.dueBy(r, j), Reason{Code: Verdict, Judgement: j, units: r.Units})
		default:
			t.pass(j, false, true, Reason{Code: CanWait, Judgement: j, units: r.Units})
		}
	}
	press := r.Pressing()
	first := press.All()
	slices.SortStableFunc(t.Must, func(a, b Fix) int {
		return cmp.Compare(slices.Index(first, a.Judgement), slices.Index(first, b.Judgement))
	})
	for _, p := range t.Passes {
		if p.Sure && (p.Strands || p.Judgement.Kind.OilChange == catalogue.SetsOilChange) {
			add(p.Judgement, true, p.Reason)
		}
	}
}

// dueBefore reports whether a deadline of its own on a part is over by the end
// of the trip.
func (t *Trip) dueBefore(j *judge.Judgement) bool {
	if len(j.Todos) == 0 {
		return false
	}
	todo := &j.Todos[0]
	// Where no odometer places the finding, the trip's own distance is all that counts.
	far := todo.By.Occasion == "" && todo.By.Distance != nil && !(todo.Until.HasTotal && t.Distanced) &&
		t.Km >= todo.By.Distance.Base()
	return todo.Now || far || todo.Until.Passed(t.End, t.To, t.Distanced)
}

// dueBy reports whether a part to be put right has to be by the end of the
// trip: by a deadline of its own, or since the next visit falls before that.
func (t *Trip) dueBy(r *advise.Report, j *judge.Judgement) bool {
	w := r.Visits[0].When
	return t.dueBefore(j) || w.Reached || w.HasTotal && t.Distanced && w.Total <= t.To || !w.Expected.IsZero() &&
		!w.Expected.After(t.End)
}

// matters reports whether a part past a limit is changed before a trip: what
// was found bad, what can let one down, the oil with its filter, and systems
// of which no part sets out past a limit.
func matters(r *advise.Report, j *judge.Judgement) bool {
	if j.Kind.Life != nil || j.Kind.OilChange != "" || r.Catalogue.NeverLate(cmp.Or(j.Position.System, j.Kind.System)) {
		return true
	}
	return slices.ContainsFunc(j.Reasons, func(r judge.Reason) bool {
		return r.Governs && r.Finding != nil && r.Verdict == j.Verdict
	})
}

// change is the change of a part before the trip.
func (t *Trip) change(m *plan.Prices, j *judge.Judgement, why Reason) Fix {
	if j.Position.LookOnly {
		f := Fix{Judgement: j, Reason: why, Do: fleet.FindOut} // a licensed workshop's work
		if cost, known := m.Part(j); known && j.Remedy() == fleet.Change {
			f.Part = cost
		}
		return f
	}
	if len(j.Todos) > 0 && j.Todos[0].Action != fleet.Change {
		return Fix{Judgement: j, Reason: why, Do: j.Todos[0].Action} // what that takes is not known, nor that it renews
	}
	price := m.Change(j)
	f := Fix{Judgement: j, Do: fleet.Change, Reason: why, Money: price.Money, Minutes: price.Minutes,
		openings: price.Openings}
	for _, risk := range t.Risks {
		if risk.Judgement == j {
			f.Was, f.New, f.mend = risk.P, risk.New, risk.Mend
		}
	}
	return f
}

// Lines returns Must and Fixes as they are told: the changes of a set as one, where
// the first of them stands, at what they take and cost together, and by the chance
// that one of them fails.
func (t *Trip) Lines() (must, fixes []Fix) {
	all := slices.Concat(t.Must, t.Fixes)
	var changed []*judge.Judgement
	for _, f := range all {
		if f.Do == fleet.Change {
			changed = append(changed, f.Judgement)
		}
	}
	for _, f := range visit.FoldSets(all, visit.SetsOf(t.r, changed), func(f *Fix) *judge.Judgement {
		return f.Judgement
	}, (*Fix).takeIn) {
		if slices.ContainsFunc(t.Must, func(m Fix) bool { return m.Judgement == f.Judgement }) {
			must = append(must, f)
		} else {
			fixes = append(fixes, f)
		}
	}
	return must, fixes
}

// takeIn lets a change stand for its set.
func (f *Fix) takeIn(set *visit.SetOf, others []Fix) {
	f.set, f.others = set, others
	for _, o := range others {
		f.Money, f.Minutes, f.Due = f.Money+o.Money, f.Minutes+o.Minutes, f.Due || o.Due
		f.Was, f.New = 1-(1-f.Was)*(1-o.Was), 1-(1-f.New)*(1-o.New)
	}
}

// fixesMost is how many parts are weighed against each other exactly: those
// whose change takes most off the chance.
const fixesMost = 14

// fix finds the cheapest set of changes that brings the chance of being
// stranded under what the owner accepts, by trying every set of those that
// matter most.
func (t *Trip) fix(m *plan.Prices) {
	t.After = t.stranded(t.Must)
	var all []Fix
	for _, risk := range t.Risks {
		j := risk.Judgement
		done := slices.ContainsFunc(t.Must, func(f Fix) bool { return f.Judgement == j })
		if done || !j.Strands() || j.Position.LookOnly || risk.Mend.Strands(risk.P-risk.New) < t.Under/50 {
			continue
		}
		f := t.change(m, j, Reason{Code: LetsDown, Judgement: j})
		all = append(all, f)
	}
	if t.After > t.Under {
		all = all[:min(len(all), fixesMost)]
		best := t.cheapest(all, m)
		if best == nil {
			best = t.mostWorth(all)
		}
		t.Fixes = best
		t.After = t.stranded(slices.Concat(t.Must, best))
	}
	t.Reached = t.After <= t.Under
	t.addOpenings(m)
}

// addOpenings adds to each change the minutes of what it has to open beyond
// what those before it opened.
func (t *Trip) addOpenings(m *plan.Prices) {
	open := map[string]bool{}
	for _, list := range [][]Fix{t.Must, t.Fixes} {
		for i := range list {
			for _, id := range list[i].openings {
				if !open[id] {
					open[id] = true
					list[i].Minutes += m.OpeningMinutes(id)
				}
			}
		}
	}
}

// cheapest is the set of least cost that reaches the aim, or nil. All sets are
// tried: at most 2 to the power fixesMost. What the changes of a set open
// counts once, and not at all where Must opens it.
func (t *Trip) cheapest(all []Fix, m *plan.Prices) []Fix {
	need := math.Log1p(-t.Under) - math.Log1p(-t.After)
	w := t.weigh(all, m)
	bestSet, bestCost := -1, math.Inf(1)
	for set := 0; set < 1<<len(all); set++ {
		gain, cost, open := 0.0, 0.0, uint64(0)
		for i := range all {
			if set&(1<<i) != 0 {
				gain += w.gain[i]
				cost += w.cost[i]
				open |= w.opens[i]
			}
		}
		for k, c := range w.opening {
			if open&(1<<k) != 0 {
				cost += c
			}
		}
		if cost < bestCost && gain+w.spares.gain(set) >= need-1e-12 {
			bestSet, bestCost = set, cost
		}
	}
	if bestSet < 0 {
		return nil
	}
	var out []Fix
	for i := range all {
		if bestSet&(1<<i) != 0 {
			out = append(out, all[i])
		}
	}
	return out
}

// weights are what changes do and cost: by change the logarithm of what it adds
// to the chance of getting through, its own cost and the openings it needs, by
// bit; by opening its cost.
type weights struct {
	gain, cost []float64
	opens      []uint64
	opening    []float64
	spares     pools
}

func (t *Trip) weigh(all []Fix, m *plan.Prices) weights {
	opened := map[string]bool{}
	for _, f := range t.Must {
		for _, id := range f.openings {
			opened[id] = true
		}
	}
	w := weights{spares: t.poolsOf(all)}
	var ids []string // openings still shut, by bit
	for i, f := range all {
		w.gain = append(w.gain, f.aloneGain(w.spares.of[i] >= 0))
		w.cost = append(w.cost, f.Money+f.Minutes/60*m.Hour())
		w.opens = append(w.opens, 0)
		for _, id := range f.openings {
			k := slices.Index(ids, id)
			if k < 0 && !opened[id] && len(ids) < 64 {
				k, ids = len(ids), append(ids, id)
				w.opening = append(w.opening, m.OpeningMinutes(id)/60*m.Hour())
			}
			if k >= 0 {
				w.opens[i] |= 1 << k
			}
		}
	}
	return w
}

// mostWorth is what takes at least a tenth off the chance by itself, where no
// set reaches the aim.
func (t *Trip) mostWorth(all []Fix) []Fix {
	var out []Fix
	for _, f := range all {
		if f.mend.Strands(f.Was-f.New) >= t.After/10 {
			out = append(out, f)
		}
	}
	return out
}

// findChecks lists what to look at on the way, parts on watch and levels, and
// what is looked at before: what can strand and of which nothing is known.
func findChecks(r *advise.Report, t *Trip) {
	for _, j := range r.Untold() {
		if j.Strands() {
			t.First = append(t.First, j)
		}
	}
	for _, j := range r.With(fleet.Watch) {
		if _, test := tested(j); test || j.Again != nil && j.Again.Mark.Passed(t.Start, t.From, t.Distanced) {
			t.First = append(t.First, j)
			continue
		}
		again := j.Again != nil && j.Again.Mark.Passed(t.End, t.To, t.Distanced)
		t.Check = append(t.Check, Check{Judgement: j, Again: again, units: r.Units})
	}
	var levels []*fleet.Position
	for i := range r.Judgements {
		j := &r.Judgements[i]
		each := slices.ContainsFunc(j.Kind.Checks, func(c catalogue.Check) bool { return c.OnTrip })
		if each && !j.Position.LookOnly && len(j.Position.Seen) == 0 {
			levels = append(levels, j.Position)
		}
	}
	if len(levels) > 0 {
		t.Check = append(t.Check, Check{Levels: levels})
	}
}

// tested returns the test that a part on watch asks for before anything else,
// and false where it only asks for another look.
func tested(j *judge.Judgement) (fleet.Action, bool) {
	for _, r := range j.Reasons {
		if r.Governs && r.Verdict == j.Verdict && r.Limit != nil &&
			(r.Limit.Do == fleet.Test || r.Limit.Do == fleet.FindOut) {
			return r.Limit.Do, true
		}
	}
	return "", false
}

// What is carried helps with at least this chance, and with this share of the
// let-downs reckoned.
const (
	carryLeast = 1.0 / 5000
	carryShare = 0.02
)

// carry ranks what to have on board by the chance of needing it.
func (t *Trip) carry(r *advise.Report) {
	all := 0.0
	for _, risk := range t.Risks {
		p := risk.P
		if slices.ContainsFunc(slices.Concat(t.Must, t.Fixes), func(f Fix) bool {
			return f.Judgement == risk.Judgement
		}) {
			p = risk.New
		}
		all += p
		if l := risk.Judgement.Kind.Life; len(l.Carry) > 0 &&
			(risk.Mend.Bar == "" || risk.Mend.Bar == aboard.NotStated) {
			t.take(l.Carry, l.Roadside, risk.Judgement, p)
		}
	}
	for i := range t.Carry {
		t.Carry[i].Share = t.Carry[i].P / all
	}
	t.Carry = slices.DeleteFunc(t.Carry, func(c Carry) bool { return c.P < carryLeast || c.Share < carryShare })
	slices.SortStableFunc(t.Carry, func(a, b Carry) int { return cmp.Compare(b.P, a.P) })
	for i := range t.Carry {
		t.reckonCarried(r, &t.Carry[i])
	}
}

// reckonCarried says what of something to carry is aboard already, and what the
// chance of being stranded would be were all of it.
func (t *Trip) reckonCarried(r *advise.Report, c *Carry) {
	for _, thing := range c.Things {
		if aboard.Carried(r.State, thing) != nil {
			c.Aboard = append(c.Aboard, thing)
		}
	}
	c.With, c.After = t.aboardWith(r, c.Things), t.After
}

// take adds something to carry for a part; what is part of something else
// carried goes in with that.
func (t *Trip) take(things []string, roadside string, j *judge.Judgement, p float64) {
	i := slices.IndexFunc(t.Carry, func(c Carry) bool {
		return fleet.Subset(things, c.Things) || fleet.Subset(c.Things, things)
	})
	if i < 0 {
		i = len(t.Carry)
		t.Carry = append(t.Carry, Carry{Things: things, Roadside: roadside})
	}
	c := &t.Carry[i]
	if !fleet.Subset(things, c.Things) {
		c.Things, c.Roadside = things, roadside
	}
	c.For = append(c.For, j)
	c.P = 1 - (1-c.P)*(1-p)
}
