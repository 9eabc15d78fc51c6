package ahead

import (
	"cmp"
	"slices"

	"undertray.example/undertray/condition"
	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/units"
)

// Stretch is the use for which a decision is at hand: leave a part in or change
// it before so many km and days.
type Stretch struct {
	Km, Days float64
	Loss     float64 // what a breakdown costs, in the owner's money
	Hour     float64 // what an hour of the owner's time is worth
	// Change is what changing a part costs, work included; false where it
	// cannot be changed by the owner.
	Change func(j *judge.Judgement) (float64, bool)
}

// Looking is one look that can be made at a part, and what it is worth for a
// decision.
type Looking struct {
	Judgement *judge.Judgement
	Checks    []*catalogue.Check
	Running   bool     // with the engine running and all closed, by eye, ear and nose alone
	Openings  []string // that show it, with all they need
	Minutes   float64  // of looking, openings and starting the engine not counted
	// Worth is by how much knowing its answer is expected to lower the cost; where
	// there is a look at rest too, that of one with the engine running is what it adds.
	Worth float64
	// Chance is that of failing in the stretch as it is, Good after a look that
	// finds nothing, Bad after one that finds something to put right. Before is
	// whether the part would be changed without a look, IfGood and IfBad after these answers.
	Chance, Good, Bad     float64
	Before, IfGood, IfBad bool
}

// Same reports whether two are the same look at the same part.
func (l *Looking) Same(o Looking) bool { return l.Judgement == o.Judgement && l.Running == o.Running }

// Nominal figures (common practice), used where a sheet names none.
const (
	HourNominal = 10  // an hour of the owner's time
	LossNominal = 200 // a breakdown on the road
	PartNominal = 15  // a part without a cost
)

// Currency is the one that a vehicle's costs are in, or "".
func Currency(v *fleet.Vehicle) string {
	amounts := []*units.Quantity{v.Costs.Recovery, v.Costs.Consequence, v.Visits.HourWorth}
	for i := range v.Positions {
		amounts = append(amounts, v.Positions[i].Part.Cost)
	}
	for _, q := range amounts {
		if q != nil {
			return q.Unit()
		}
	}
	return ""
}

// UntilVisit is the stretch to the next visit in the vehicle's usual use, or
// half a year where none lies ahead, at the costs of the sheet.
func UntilVisit(r *advise.Report) Stretch {
	day := r.Visits[0].When.Expected
	if day.IsZero() || !r.On.Before(day) {
		day = r.On.AddMonths(6)
	}
	s := Stretch{Days: float64(day.Sub(r.On)), Loss: LossNominal, Hour: HourNominal}
	s.Km = s.Days * r.PerDay()
	v := r.Vehicle
	if q := v.Visits.HourWorth; q != nil {
		s.Hour = q.Value()
	}
	if c := v.Costs; c.Recovery != nil || c.Consequence != nil {
		s.Loss = 0
		for _, q := range []*units.Quantity{c.Recovery, c.Consequence} {
			if q != nil {
				s.Loss += q.Value()
			}
		}
	}
	s.Change = func(j *judge.Judgement) (float64, bool) {
		cost := float64(PartNominal)
		if q := j.Position.Part.Cost; q != nil {
			cost = q.Value()
		}
		return cost + workMinutes(r, j)/60*s.Hour, !j.Position.LookOnly
	}
	return s
}

// workMinutes is what changing a part takes, openings included.
func workMinutes(r *advise.Report, j *judge.Judgement) float64 {
	return j.Position.Minutes + OpenMinutes(r, r.Vehicle.Closure(j.Position.Changed))
}

// OpenMinutes is what openings take to open and to close again.
func OpenMinutes(r *advise.Report, ids []string) float64 {
	m := 0.0
	for _, id := range ids {
		if o := r.Vehicle.Opening(id); o != nil {
			m += o.Both()
		}
	}
	return m
}

// Lookings works out what a look at each part that can strand is worth for a
// stretch, most first: at rest and, where nothing undone forbids a start, with the
// engine running. What was looked at lately and what is to be put right anyway are
// left out.
func Lookings(r *advise.Report, s Stretch) []Looking {
	var out []Looking
	stands, _ := r.Forbidden()
	for i := range r.Judgements {
		out = append(out, LookingsAt(r, &r.Judgements[i], s, stands != machine.Running)...)
	}
	slices.SortStableFunc(out, func(a, b Looking) int { return cmp.Compare(b.Worth, a.Worth) })
	return out
}

// LookingsAt works out what looks at one part are worth for a stretch: at rest and,
// where the engine may be started, with it running; none for what Lookings leaves
// out.
func LookingsAt(r *advise.Report, j *judge.Judgement, s Stretch, starts bool) (out []Looking) {
	if j.Kind.Life == nil || !j.Kind.Life.Strands || j.Verdict >= fleet.PutRight {
		return nil
	}
	rest, senses := atRest(r, j)
	var running []*catalogue.Check
	var heard strengths
	if starts {
		running, heard = withEngineRunning(r, j)
	}
	change, can := s.Change(j)
	if rung(senses.all()) < 0 && rung(heard.all()) < 0 || !can {
		return nil
	}
	c, ok := chanceOf(r, j, []Wearout{})
	if !ok || c.Looks > 0 && !c.Glance && fresh(r, c.Seen) {
		return nil
	}
	alone := 0.0
	if rung(senses.all()) >= 0 {
		if l, ok := c.looking(r, j, s, change, senses); ok {
			l.Checks, l.Openings = rest, r.Vehicle.Closure(j.Position.Seen)
			out, alone = append(out, l), l.Worth
		}
	}
	if rung(heard.all()) >= 0 {
		both := slices.Clone(senses)
		for _, h := range heard {
			both = tell(both, h.name, h.most)
		}
		l, ok := c.looking(r, j, s, change, heard)
		more, ok2 := c.looking(r, j, s, change, both)
		if ok && ok2 {
			l.Checks, l.Running, l.Worth = running, true, max(0, more.Worth-alone)
			out = append(out, l)
		}
	}
	for i := range out {
		out[i].Minutes = float64(len(out[i].Checks)) * r.Catalogue.Looks().MinutesPerCheck
	}
	return out
}

// looking is a look with some senses, for leaving a part in or changing it at so
// much.
func (c *Chance) looking(r *advise.Report, j *judge.Judgement, s Stretch, change float64,
	senses strengths) (Looking, bool) {
	l := Looking{Judgement: j}
	w, err := c.part.Worth(c.decision(r, j, s, change), senses.rungs(r.Catalogue.Looks()))
	if err != nil || len(w.Answers) != 4 {
		return l, false
	}
	l.Worth, l.Chance = w.Value, fails(c.part, s.Km, s.Days)
	l.Good, l.Bad = w.Answers[0].Fails, w.Answers[2].Fails
	l.Before, l.IfGood, l.IfBad = w.Action == 1, w.Then[0] == 1, w.Then[2] == 1
	return l, true
}

// decision is whether to leave a part in or to change it at so much.
func (c *Chance) decision(r *advise.Report, j *judge.Judgement, s Stretch, change float64) condition.Decision {
	mend := mendOn(r, j, s.Km, s.Days)
	loss := mend.Cost(s.Loss, s.Hour)
	return condition.Decision{Within: []float64{max(0, s.Km), max(0, s.Days)}, Actions: []condition.Action{
		{IfFails: loss}, {Cost: change + loss*c.anew(s.Km, s.Days)}}}
}

// fresh reports whether a look is so recent that another would tell the same.
func fresh(r *advise.Report, m fleet.Moment) bool {
	a := r.Catalogue.Looks().LookAgain
	return a != nil && a.Fresh != nil && float64(r.On.Sub(m.Date)) < a.Fresh.Base()
}

// atRest lists the checks of an ordinary round that are made with the engine at
// rest and that tell something of the part, the most telling first, and how much
// each sort of look sees.
func atRest(r *advise.Report, j *judge.Judgement) ([]*catalogue.Check, strengths) {
	return telling(r, j, func(c *catalogue.Check) bool { return c.Engine != fleet.Running && c.Engine != fleet.Hot })
}

// withEngineRunning is the same for checks made with the engine running: listening
// and smelling, and looking at what is seen with everything closed. No hand or
// gauge goes near what turns.
func withEngineRunning(r *advise.Report, j *judge.Judgement) ([]*catalogue.Check, strengths) {
	seen := len(r.Vehicle.Closure(j.Position.Seen)) == 0
	return telling(r, j, func(c *catalogue.Check) bool {
		return c.Engine == fleet.Running && (c.Sense == "listen" || c.Sense == "smell" || c.Sense == "look" && seen)
	})
}

// telling lists the checks of an ordinary round, of those that may be made, that
// tell something of the part, the most telling first.
func telling(r *advise.Report, j *judge.Judgement, may func(*catalogue.Check) bool) (checks []*catalogue.Check,
	senses strengths) {
	looks, heirs := r.Catalogue.Looks(), r.Catalogue.Heirs(j.Kind.ID)
	of := map[*catalogue.Check]float64{}
	for i := range j.Kind.Checks {
		c := &j.Kind.Checks[i]
		if c.OnDemand || c.BeltOff || c.Needs != "" || !may(c) {
			continue
		}
		sort, s := looks.Strength(heirs, c, len(j.Position.Seen) > 0)
		if rung(s) < 0 {
			continue
		}
		checks, of[c] = append(checks, c), s
		senses = tell(senses, sort, s)
	}
	slices.SortStableFunc(checks, func(a, b *catalogue.Check) int { return cmp.Compare(of[b], of[a]) })
	return checks, senses
}

// Stranded is the chance, 0 to 1, of being stranded by any part before the next
// visit, or within half a year where none lies ahead, and how many parts that is.
func Stranded(r *advise.Report) (p float64, parts int) {
	s := UntilVisit(r)
	var all []aboard.Failing
	for i := range r.Judgements {
		j := &r.Judgements[i]
		if j.Kind.Life == nil || !j.Kind.Life.Strands {
			continue
		}
		if c, ok := ChanceOf(r, j); ok && !c.Guessed() {
			all = append(all, aboard.Failing{Part: j, P: c.within(s.Km, s.Days), Mend: r.Mend(j)})
		}
	}
	aboard.Serve(all)
	return 1 - aboard.Through(all), len(all)
}

// Told is what entries that were recorded together changed: the chance of being
// stranded before the next visit without them and with them. It returns false
// where there is no finding among them or no chance is reckoned.
func Told(r *advise.Report, stored []*fleet.Entry) (before, after float64, ok bool) {
	found := slices.ContainsFunc(stored, func(e *fleet.Entry) bool { return e.Found != nil })
	without := slices.DeleteFunc(slices.Clone(r.State.Record), func(e *fleet.Entry) bool {
		return slices.ContainsFunc(stored, func(s *fleet.Entry) bool { return s.ID == e.ID && s.Found != nil })
	})
	if !found || len(without) == len(r.State.Record) {
		return 0, 0, false
	}
	after, parts := Stranded(r)
	before, _ = Stranded(r.WithRecord(r.Vehicle, without, r.On))
	return before, after, parts > 0
}
