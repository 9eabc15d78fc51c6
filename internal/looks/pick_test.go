package looks_test

import (
	"math"
	"testing"

	"undertray/internal/ahead"
	"undertray/internal/demo/demotest"
	"undertray/internal/judge"
	"undertray/internal/looks"
)

// ready is a stretch of 2 400 km at which changing a part costs so much.
func ready(cost float64) ahead.Stretch {
	return ahead.Stretch{Km: 2400, Days: 5, Loss: 400, Hour: 10, Change: func(*judge.Judgement) (float64, bool) { return cost, true }}
}

// What is chosen keeps to the minutes, and for what is opened no other choice is
// worth more: all choices are tried.
func TestNoOtherLooksAreWorthMore(t *testing.T) {
	for _, r := range demotest.All(t) {
		all := ahead.Lookings(r, ready(3))
		all = all[:min(len(all), 12)]
		for _, minutes := range []float64{2, 5, 12, 30, 60} {
			p := looks.Pick(r, all, minutes, nil)
			if p.Minutes > minutes+1e-9 {
				t.Errorf("%s: %g of %g minutes", r.Vehicle.ID, p.Minutes, minutes)
			}
			opening := p.Minutes
			sum := 0.0
			for _, l := range p.Looks {
				opening -= l.Minutes
				sum += l.Worth
			}
			best := 0.0
			for set := range 1 << len(all) {
				worth, took := 0.0, opening
				for i, l := range all {
					if set&(1<<i) != 0 {
						worth, took = worth+l.Worth, took+l.Minutes
						if l.Worth < 0.01 || !shows(p.Open, l.Openings) {
							took = math.Inf(1)
						}
					}
				}
				if took <= minutes+1e-9 {
					best = max(best, worth)
				}
			}
			if math.Abs(best-p.Worth) > 1e-9 || math.Abs(sum-p.Worth) > 1e-9 {
				t.Errorf("%s in %g minutes: chosen %g, its looks %g, best %g", r.Vehicle.ID, minutes, p.Worth, sum, best)
			}
			for _, l := range p.Left {
				sum += l.Worth
			}
			if math.Abs(sum-p.Worth-p.LeftFor) > 1e-9 {
				t.Errorf("%s: what is left is worth %g, said %g", r.Vehicle.ID, sum-p.Worth, p.LeftFor)
			}
		}
	}
}

func shows(open, needed []string) bool {
	for _, id := range needed {
		found := false
		for _, o := range open {
			found = found || o == id
		}
		if !found {
			return false
		}
	}
	return true
}
