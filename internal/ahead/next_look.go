package ahead

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// NextLook is when to look at a part again: before the chance of failing unseen
// exceeds a bound, and never later than an authority asks.
type NextLook struct {
	On    civil.Date
	Bound float64 // of the chance of failing before that, unseen
	// By is who asks for the look where that comes first; nil where the chance
	// does, or the longest time there is between two looks.
	By     *fleet.Interval
	Chance float64 // of failing before that day
}

// NextLookOf works out when to look again, or returns false where no chance is
// reckoned or the catalogue states no bound.
func NextLookOf(r *advise.Report, j *judge.Judgement, c *Chance) (NextLook, bool) {
	again := r.Catalogue.Looks().LookAgain
	if again == nil || c == nil {
		return NextLook{}, false
	}
	n := NextLook{Bound: again.Else}
	if c.Life.Strands {
		n.Bound = again.Strands
	}
	per := r.PerDay()
	low, high := 0, int(again.AtMost.Base()) // in days: within the bound at low, not beyond high
	if high > 0 && c.within(float64(high)*per, float64(high)) <= n.Bound {
		low = high
	}
	for high-low > 1 {
		if mid := (low + high) / 2; c.within(float64(mid)*per, float64(mid)) <= n.Bound {
			low = mid
		} else {
			high = mid
		}
	}
	n.On = r.On.AddDays(low)
	if asked := r.When(j.Looked.Next).Expected; !j.Looked.Next.IsZero() && !asked.IsZero() && asked.Before(n.On) {
		n.On, n.By = asked, j.Looked.By
	}
	if j.Again != nil {
		if asked := r.When(j.Again.Mark).Expected; !asked.IsZero() && asked.Before(n.On) {
			n.On, n.By = asked, nil
		}
	}
	days := max(0, float64(n.On.Sub(r.On)))
	n.Chance = c.within(days*per, days)
	return n, true
}
