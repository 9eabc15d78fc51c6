package drive

import "math"

// route works a candidate out in full; false when a pulley is too small for the
// side of the belt it has come to, or its tensioner can't move or would be
// pushed the wrong way by its spring.
func (s *search) route(c *candidate, n int) (Route, bool) {
	r := s.routeRun(c, n)
	if r.tooSmall() != nil {
		return Route{}, false
	}
	d := layRun(r, s.t.turn)
	d.sweep = d.findSweep()
	if d.mv.idx >= 0 && (d.sweep.hi == d.sweep.lo || (s.sense != 0 && d.sweep.sense != s.sense)) {
		return Route{}, false
	}
	_, _, shortest, longest := d.sweep.ends()
	rt := Route{
		Run: r, Reordered: !c.sameAs, Shortest: shortest, Longest: longest, Share: 0.5,
		Weakest: s.r.Pulleys[c.weakest].Name, WeakestWrap: deg(c.wrap),
		grip: deg(c.grip),
	}
	s.describe(&rt, c, n)
	ps := d.newPose()
	d.move(ps, 0)
	rt.LengthMM = ps.path.LengthMM
	s.chooseBelt(&rt, d)
	q := 0.0
	if d.mv.idx >= 0 {
		q, _ = d.seek(ps, math.Max(shortest, math.Min(longest, rt.BeltMM)))
	}
	d.move(ps, q)
	if longest > shortest {
		rt.Share = within01((ps.path.LengthMM - shortest) / (longest - shortest))
	}
	rt.ClearanceMM = leastClearance(ps)
	return rt, true
}

func leastClearance(ps *pose) float64 {
	var near [MaxPulleys]float64
	clearances(ps.cs, ps.path, near[:])
	least := float64(nothingNear)
	for i := range ps.cs {
		least = math.Min(least, near[i])
	}
	return least
}

// routeRun is the run of a candidate.
func (s *search) routeRun(c *candidate, n int) Run {
	r := *s.r
	r.Pulleys = make([]Pulley, n)
	moving := false
	for i := range n {
		k := int(c.order[i])
		r.Pulleys[i] = s.r.Pulleys[k]
		r.Pulleys[i].Side = Side(c.sides >> k & 1)
		moving = moving || k == s.mover
	}
	if !moving {
		r.Tensioner = Tensioner{SetN: r.Tensioner.SetN}
	}
	return r
}

func (s *search) describe(rt *Route, c *candidate, n int) {
	for i := range n {
		k := int(c.order[i])
		p, now := &s.r.Pulleys[k], Side(c.sides>>k&1)
		rt.Order = append(rt.Order, p.Name)
		if now == BackSide {
			rt.Back = append(rt.Back, p.Name)
		}
		if now != p.Side {
			rt.SidesMoved = append(rt.SidesMoved, p.Name)
			if !p.Load.idles() {
				rt.Reversed = append(rt.Reversed, p.Name)
			}
		}
		if s.r.Belt.Section.Family == Ribbed && (now == BackSide) != (p.Measured == Plain) {
			rt.Unsuited = append(rt.Unsuited, p.Name)
		}
	}
}

// chooseBelt takes the belt the run has if it fits, else that of the belts on
// offer that fits nearest to the path as drawn, else the path itself.
func (s *search) chooseBelt(rt *Route, d *Drive) {
	rt.BeltMM = rt.LengthMM
	if l := s.r.Belt.LengthMM; l > 0 && d.takes(l) {
		rt.BeltMM, rt.PresentBelt = l, true
		return
	}
	best := math.Inf(1)
	for _, l := range s.o.Belts {
		if miss := math.Abs(l - rt.LengthMM); d.takes(l) && miss < best {
			best, rt.BeltMM = miss, l
		}
	}
}

// takes reports whether a belt fits, without words.
func (d *Drive) takes(lengthMM float64) bool {
	if d.run.Belt.Stretch {
		return false
	}
	_, _, shortest, longest := d.sweep.ends()
	if d.mv.idx < 0 {
		tol := LengthToleranceMM(shortest)
		shortest, longest = shortest-tol, longest+tol
	}
	return lengthMM >= shortest && lengthMM <= longest
}
