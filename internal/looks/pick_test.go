package looks_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/looks"
	"undertray.example/undertray/internal/machine"
)

// ready is a stretch of 2 400 km at which changing a part costs so much.
func ready(cost float64) ahead.Stretch {
	return ahead.Stretch{Km: 2400, Days: 5, Loss: 400, Hour: 10, Change: func(*judge.Judgement) (float64, bool) {
		return cost, true
	}}
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
			if p.Running != slices.ContainsFunc(p.Looks, func(l ahead.Looking) bool { return l.Running }) {
				t.Errorf("%s in %g minutes: engine started %v for no look", r.Vehicle.ID, minutes, p.Running)
			}
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
						if l.Worth < 0.01 || !shows(p.Open, l.Openings) || l.Running && !p.Running {
							took = math.Inf(1)
						}
					}
				}
				if took <= minutes+1e-9 {
					best = max(best, worth)
				}
			}
			if math.Abs(best-p.Worth) > 1e-9 || math.Abs(sum-p.Worth) > 1e-9 {
				t.Errorf("%s in %g minutes: chosen %g, its looks %g, best %g", r.Vehicle.ID, minutes,
					p.Worth, sum, best)
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

// Listening to a running engine is worth something where the machine may be started, and nothing is looked at so
// where it may not; the looks with the engine running come last, with all closed, by ear, nose and eye alone, and
// what is said before them warns of belts.
func TestLooksWithTheEngineRunning(t *testing.T) {
	picked := 0
	for _, r := range demotest.All(t) {
		stands, _ := r.Forbidden()
		all := ahead.Lookings(r, ready(3))
		for i := range all { // as if every other one were to be listened to, and told much
			if i%2 == 0 {
				all[i].Running, all[i].Openings, all[i].Worth = true, nil, all[i].Worth+1
			}
		}
		p := looks.Pick(r, all, 60, nil)
		last := false
		for _, l := range p.Looks {
			if last && !l.Running {
				t.Errorf("%s: %s at rest after a look with the engine running", r.Vehicle.ID, l.Judgement.Position.ID)
			}
			last = l.Running
			if !l.Running {
				continue
			}
			picked++
			if stands == machine.Running || len(l.Openings) > 0 ||
				!slices.ContainsFunc(p.Cautions, func(c string) bool {
					return strings.Contains(c, "belts")
				}) {
				t.Errorf("%s: %s, %v, %q", r.Vehicle.ID, l.Judgement.Position.ID, stands, p.Cautions)
			}
		}
		open := &fleet.Entry{ID: "0", Type: fleet.TypeOpened, Vehicle: r.Vehicle.ID, Date: r.On}
		for i := range r.Vehicle.Openings[:min(3, len(r.Vehicle.Openings))] {
			open.Opened = &fleet.Opened{Opening: r.Vehicle.Openings[i].ID}
			with := r.WithRecord(r.Vehicle, append(slices.Clone(r.State.Record), open), r.On)
			if stands, _ := with.Forbidden(); stands != machine.Running {
				continue
			}
			if slices.ContainsFunc(ahead.Lookings(with, ready(3)), func(l ahead.Looking) bool { return l.Running }) {
				t.Errorf("%s: looked at running with %s open", r.Vehicle.ID, open.Opened.Opening)
			}
		}
	}
	if picked < 3 {
		t.Errorf("%d looks with the engine running: too few", picked)
	}
}
