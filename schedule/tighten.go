package schedule

// tighten removes first doings that the order between tasks rules out, and
// doings whose own hours or money do not fit.
func (c *component) tighten() {
	n := c.periods
	for i := range c.tasks {
		for t := 1; t <= n; t++ {
			if !c.fitsAlone(i, t) {
				for last := 0; last < t; last++ {
					c.arc[i][last*(n+2)+t] = inf
				}
			}
		}
	}
	for changed := true; changed; {
		changed = false
		for b := range c.tasks {
			for _, a := range c.after[b] {
				changed = c.orderPair(int(a), b) || changed
			}
		}
	}
}

// orderPair tightens the first doings of a and b, a not later than b.
func (c *component) orderPair(a, b int) bool {
	n, changed := c.periods, false
	early, _ := c.firstWindow(a)
	_, late := c.firstWindow(b)
	for t := 1; t <= n+1; t++ {
		if t <= n && t < early && c.arc[b][t] < inf {
			c.arc[b][t], changed = inf, true
		}
		if t > late && late <= n && c.arc[a][t] < inf {
			c.arc[a][t], changed = inf, true
		}
	}
	return changed
}

// firstWindow is the first and last period in which the first doing of task i
// may stand; periods+1 stands for never.
func (c *component) firstWindow(i int) (early, late int) {
	early, late = c.periods+1, 0
	for t := 1; t <= c.periods+1; t++ {
		if c.arc[i][t] < inf {
			early, late = min(early, t), max(late, t)
		}
	}
	return early, late
}

// fitsAlone reports whether task i with its closure keeps the limits of t.
func (c *component) fitsAlone(i, t int) bool {
	for r, lim := range c.capacity[t-1] {
		if c.aloneUse(i, r) > lim+slackTol {
			return false
		}
	}
	return true
}

// aloneUse is what task i, its closure and implied tasks take of resource r.
func (c *component) aloneUse(i, r int) float64 {
	u := c.use[len(c.opens)+i][r]
	for _, k := range c.closure[i] {
		u += c.use[k][r]
	}
	for _, j := range c.implies[i] {
		u += c.use[len(c.opens)+int(j)][r]
	}
	return u
}

// slackTol is the tolerance on hours and money limits.
const slackTol = 1e-7
