package ahead

import (
	"cmp"
	"slices"

	"undertray/condition"
	"undertray/internal/advise"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/units"
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

// Looking is one look that can be made at a part at rest, and what it is worth
// for a decision.
type Looking struct {
	Judgement *judge.Judgement
	Checks    []*catalogue.Check
	Openings  []string // that show it, with all they need
	Minutes   float64  // of looking, openings not counted
	// Worth is by how much knowing its answer is expected to lower the cost.
	Worth float64
	// Chance is that of failing in the stretch as it is, Good after a look that
	// finds nothing, Bad after one that finds something to put right. Before is
	// whether the part would be changed without a look, IfGood and IfBad after these answers.
	Chance, Good, Bad     float64
	Before, IfGood, IfBad bool
}

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
// stretch, most first. What was looked at lately, what is to be put right anyway
// and what cannot be told by looking at rest are left out.
func Lookings(r *advise.Report, s Stretch) []Looking {
	var out []Looking
	for i := range r.Judgements {
		if l, ok := LookingAt(r, &r.Judgements[i], s); ok {
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(a, b Looking) int { return cmp.Compare(b.Worth, a.Worth) })
	return out
}

// LookingAt works out what a look at one part is worth for a stretch; false for
// one that Lookings leaves out.
func LookingAt(r *advise.Report, j *judge.Judgement, s Stretch) (Looking, bool) {
	if j.Kind.Life == nil || !j.Kind.Life.Strands || j.Verdict >= fleet.PutRight {
		return Looking{}, false
	}
	return lookingAt(r, j, s)
}

func lookingAt(r *advise.Report, j *judge.Judgement, s Stretch) (Looking, bool) {
	l := Looking{Judgement: j, Openings: r.Vehicle.Closure(j.Position.Seen)}
	checks, senses := atRest(r, j)
	change, can := s.Change(j)
	if rung(senses.all()) < 0 || !can {
		return l, false
	}
	c, ok := chanceOf(r, j, []Wearout{})
	if !ok || c.Looks > 0 && fresh(r, c.Seen) {
		return l, false
	}
	within := []float64{max(0, s.Km), max(0, s.Days)}
	mend := r.Mend(j)
	loss := mend.Cost(s.Loss, s.Hour)
	w, err := c.part.Worth(condition.Decision{Within: within, Actions: []condition.Action{{IfFails: loss},
		{Cost: change + loss*c.anew(s.Km, s.Days)}}}, senses.rungs(r.Catalogue.Looks()))
	if err != nil || len(w.Answers) != 4 {
		return l, false
	}
	l.Checks, l.Minutes, l.Worth = checks, float64(len(checks))*r.Catalogue.Looks().MinutesPerCheck, w.Value
	l.Chance = fails(c.part, s.Km, s.Days)
	l.Good, l.Bad = w.Answers[0].Fails, w.Answers[2].Fails
	l.Before, l.IfGood, l.IfBad = w.Action == 1, w.Then[0] == 1, w.Then[2] == 1
	return l, true
}

// fresh reports whether a look is so recent that another would tell the same.
func fresh(r *advise.Report, m fleet.Moment) bool {
	a := r.Catalogue.Looks().LookAgain
	return a != nil && a.Fresh != nil && float64(r.On.Sub(m.Date)) < a.Fresh.Base()
}

// atRest lists the checks of an ordinary round that are made with the engine at
// rest and that tell something of the part, the most telling first, and how much
// each sort of look sees.
func atRest(r *advise.Report, j *judge.Judgement) (checks []*catalogue.Check, senses strengths) {
	looks, heirs := r.Catalogue.Looks(), r.Catalogue.Heirs(j.Kind.ID)
	of := map[*catalogue.Check]float64{}
	for i := range j.Kind.Checks {
		c := &j.Kind.Checks[i]
		if c.OnDemand || c.BeltOff || c.Needs != "" || c.Engine == fleet.Running || c.Engine == fleet.Hot {
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
	s, alive := UntilVisit(r), 1.0
	for i := range r.Judgements {
		j := &r.Judgements[i]
		if j.Kind.Life == nil || !j.Kind.Life.Strands {
			continue
		}
		if c, ok := ChanceOf(r, j); ok {
			mend := r.Mend(j)
			alive *= 1 - mend.Strands(c.within(s.Km, s.Days))
			parts++
		}
	}
	return 1 - alive, parts
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
