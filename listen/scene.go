package listen

import (
	"math"
)

// shifts calls back with every rate of a pulley within two standard deviations and what it costs.
func (s *scene) shifts(p Pulley, do func(hz, shift, cost float64)) {
	sd := p.sd()
	for e := -2 * sd; e <= 2*sd+1e-12; e += slipStep {
		do(p.Ratio*s.crank*(1+e), e, shiftCost*(e/sd)*(e/sd))
	}
}

// bearing scores the families of a pulley's bearing, or of each it may hold at the price of the choice. The slip of
// the balls and the error of the ratio are one shift, its deviation joined from both.
func (s *scene) bearing(p Pulley) Suspect {
	best := Suspect{Pulleys: []string{p.Name}}
	price := math.Log(float64(max(len(p.bearings()), 1))) / members
	for _, b := range p.bearings() {
		q := s.oneBearing(p, b)
		q.Score -= price
		best = better(best, q)
	}
	return best
}

func (s *scene) oneBearing(p Pulley, b Bearing) Suspect {
	best := Suspect{Pulleys: []string{p.Name}, Bearing: b.Name}
	fams, err := families(0, b)
	if err != nil {
		return best
	}
	wide := p
	wide.RatioSD = math.Hypot(p.sd(), slip/2)
	for _, f := range fams {
		s.shifts(wide, func(hz, shift, cost float64) {
			t := *s.env
			t.hz = hz
			m := t.fitAt(t.all, f, 0)
			if m.lit < leastLit || m.score-cost <= best.Score {
				return
			}
			best.Score, best.Shift = m.score-cost, shift
			best.Shows, best.Element = ShowsElement, f.element
			best.Lines, best.side = t.support(m), f.rate*hz
		})
	}
	return best
}

// turn scores knocks once per turn: three envelope lines at least, where the crank's half orders leave them to be seen.
func (s *scene) turn(p Pulley) Suspect {
	return s.knocks(p, ShowsTurns, OncePerTurn, 3)
}

// belt scores five envelope lines of the belt's own turns.
func (s *scene) belt(perCrank float64) Suspect {
	q := s.knocks(Pulley{Ratio: perCrank, RatioSD: 0.01}, ShowsPass, BeltPass, 5)
	q.Pulleys = nil
	return q
}

func (s *scene) knocks(p Pulley, shows Shows, of Code, n int) Suspect {
	best := Suspect{Pulleys: []string{p.Name}}
	s.shifts(p, func(hz, shift, cost float64) {
		sum, lit := 0.0, 0
		for k := 1; k <= n; k++ {
			v := at(s.env.all, float64(k)*hz, s.step)
			sum += v / float64(n)
			if v > litAt {
				lit++
			}
		}
		if lit < n-1 || sum-cost <= best.Score {
			return
		}
		best.Score, best.Shift, best.Shows = sum-cost, shift, shows
		best.Lines = best.Lines[:0]
		for k := 1; k <= n; k++ {
			f := float64(k) * hz
			best.Lines = append(best.Lines,
				Line{Hz: f, Order: float64(k), Evidence: at(s.env.all, f, s.step), Times: k, Of: of})
		}
	})
	return best
}

// tone scores a whine and its octave in the plain spectrum. A lone line says less than a family, so it must be
// strong: half its evidence counts, and the octave's a quarter.
func (s *scene) tone(p Pulley, t Tone) Suspect {
	best := Suspect{Pulleys: []string{p.Name}}
	s.shifts(p, func(hz, shift, cost float64) {
		f := t.Order * hz
		a, b := at(s.plain, f, s.step), at(s.plain, 2*f, s.step)
		if v := 0.5*a + 0.25*b - cost; v > best.Score {
			best.Score, best.Shift = v, shift
			best.Shows, best.Tone = ShowsTone, t.Name
			best.Lines = []Line{{Hz: f, Order: t.Order, Evidence: a, Times: 1, Of: ToneLine, Tone: t.Name},
				{Hz: 2 * f, Order: 2 * t.Order, Evidence: b, Times: 2, Of: ToneLine, Tone: t.Name}}
		}
	})
	return best
}

// explain takes out the lines of a suspect with their side lines to the third, so that false ratios do not find them.
func (s *scene) explain(q Suspect) {
	if len(q.Lines) == 0 {
		return
	}
	first := q.Lines[0]
	turn := first.Hz / first.Order
	for k := 1.0; k <= 12; k++ {
		for m := -3.0; m <= 3; m++ {
			clearBins(s.env.all, k*first.Hz+m*turn, s.step)
			clearBins(s.plain, k*first.Hz+m*turn, s.step)
			clearBins(s.env.all, k*first.Hz+m*q.side, s.step)
		}
		clearBins(s.env.all, (k-0.5)*first.Hz, s.step)
	}
}

// clearBins takes out three bins to either side, and what a wandering speed and slip spread over.
func clearBins(e []float64, hz, step float64) {
	c, w := int(math.Round(hz/step)), 3+int(0.006*math.Abs(hz)/step)
	for i := max(c-w, 0); i <= min(c+w, len(e)-1); i++ {
		e[i] = 0
	}
}
