package schedule

import "math"

// search looks for the prices of the limits that make the bound least, one
// limit after the other.
func (k *climber) search(stop float64, all bool) {
	for range 2 * len(k.mu) {
		if k.bound <= stop {
			return
		}
		q := k.off()
		if q < 0 {
			return
		}
		k.searchOne(q, stop, all)
		if len(k.mu) == 1 {
			return
		}
	}
}

// off is the limit whose price is most clearly wrong: too low where the answer
// goes over it, too high where it has a price and is not used up; -1 if none.
func (k *climber) off() int {
	worst, at := 1e-6, -1
	for q, s := range k.spare {
		if k.mu[q] == 0 {
			s = min(s, 0)
		}
		if x := math.Abs(s) / max(k.room[q], 1e-3); x > worst {
			worst, at = x, q
		}
	}
	return at
}

// line is the bound at a price of one limit and how it falls with it.
type line struct{ mu, bound, spare float64 }

// meets is where two lines, one falling and one not, meet.
func (a line) meets(b line) float64 {
	return ((a.bound - a.spare*a.mu) - (b.bound - b.spare*b.mu)) / (b.spare - a.spare)
}

// searchOne walks to the price of limit q where the bound is least: the lines
// of two answers, one over and one within the limit, meet there.
func (k *climber) searchOne(q int, stop float64, all bool) {
	here := func() line { return line{k.mu[q], k.bound, k.spare[q]} }
	at := func(mu float64) line {
		k.mu[q] = mu
		k.evaluate(stop, all)
		return here()
	}
	lo, hi := here(), here()
	for n := 0; lo.spare > 0 && lo.mu > 0 && k.bound > stop; n++ {
		hi = lo
		mu := lo.mu * (0.8 - 0.4*float64(min(n, 1)))
		if n > 4 {
			mu = 0
		}
		lo = at(mu)
	}
	for n := 0; hi.spare < 0 && n < 30 && k.bound > stop; n++ {
		lo = hi
		hi = at(max(lo.mu*(1.25+0.25*float64(n)), k.densest(q)))
	}
	if lo.spare >= 0 || hi.spare < 0 {
		return
	}
	for range 4 {
		if k.bound <= stop {
			return
		}
		m := lo.meets(hi)
		if !(m > lo.mu && m < hi.mu) {
			break
		}
		meet := lo.bound + lo.spare*(m-lo.mu)
		x := at(m)
		if x.bound <= meet+1e-9*(1+math.Abs(meet)) {
			return
		}
		if x.spare < 0 {
			lo = x
		} else {
			hi = x
		}
	}
	at(lo.mu)
	if hi.bound <= lo.bound {
		at(hi.mu)
	}
}

// densest is a first guess at a price of a unit of limit q.
func (k *climber) densest(q int) float64 {
	p, u := 0.0, 0.0
	for i, g := range k.prof {
		if g > 0 && k.stat[i] >= 0 {
			p += g
			u += k.c.use[len(k.c.opens)+i][k.priced[q]]
		}
	}
	if u == 0 {
		return 1e-3
	}
	return max(1e-3, 0.1*p/u)
}

// exact goes through the answers where limits with a price leave the bound open,
// to find the best one and its value as the bound. It comes after load without
// all; if the steps run out the bound stays what it was.
func (k *climber) exact(steps int) bool {
	known, loose := k.bound, 0.0
	for q, s := range k.spare {
		known -= k.mu[q] * s
		loose = max(loose, -s, k.mu[q]*s)
	}
	if loose < 1e-6 {
		return true
	}
	if k.tries++; k.cuts > 10+k.tries/4 && k.tries%16 != 0 {
		return true // it hardly ever comes to an end
	}
	k.best = append(k.best[:0], k.tasks...)
	if k.over() {
		known, k.best = math.Inf(-1), k.best[:0]
	}
	if k.optional && known < 0 {
		known, k.best = 0, k.best[:0]
	}
	before := k.bound
	k.evaluate(known, true)
	if k.bound > known {
		k.accept = func(val float64, tasks []int32) {
			known = val
			k.best = append(k.best[:0], tasks...)
			k.raise(val + 1e-9*(1+math.Abs(val)))
		}
		k.each(known, steps)
		if k.cut {
			k.cuts++
			k.bound = max(before, known)
			if len(k.best) > 0 {
				k.tasks = append(k.tasks[:0], k.best...)
			}
			return true
		}
	}
	k.tasks = append(k.tasks[:0], k.best...)
	k.bound = known
	return known > math.Inf(-1)
}

// over reports whether the answer goes over a limit that has a price.
func (k *climber) over() bool {
	for _, s := range k.spare {
		if s < -slackTol {
			return true
		}
	}
	return false
}

// each hands every answer worth more than k.limit to k.accept, which may call
// raise; it sets k.cut when it has run out of steps. load comes first.
func (k *climber) each(limit float64, steps int) {
	k.steps, k.cut, k.path = steps, false, k.path[:0]
	copy(k.left, k.room)
	k.raise(limit)
	if k.optional && limit < 0 {
		k.accept(0, nil)
	}
	k.climb(0, 0, 0, k.parts[0].room, k.base, 0)
}

// raise sets the limit that answers have to pass.
func (k *climber) raise(limit float64) {
	k.limit = limit
	k.least = int64(math.Floor(max(never, (limit-k.lid)*k.scale)))
}

// climb goes on from state s of position q of part v: h units left, value so
// far, and gained the same priced, which with the best on from there bounds the
// whole.
func (k *climber) climb(v, q int, s int32, h int, val float64, gained int64) {
	p := k.parts[v]
	l := p.l
	for ; q < len(l.tasks); q++ {
		if gained+p.on(s, h)+p.later <= k.least {
			return
		}
		i, r := l.tasks[q], p.work[s]
		if r.take >= 0 {
			need := p.taken(q, r)
			more := gained + p.gain[q] - p.price[r.fresh]
			if need <= h && more+p.on(r.take, h-need)+p.later > k.least && k.afford(i, p, r) {
				if k.steps--; k.steps < 0 || k.steps&4095 == 0 && k.ended != nil && k.ended() {
					k.cut = true
					return
				}
				k.path = append(k.path, i)
				k.climb(v, q+1, r.take, h-need, val+k.prof[i]-p.cost[r.fresh], more)
				k.path = k.path[:len(k.path)-1]
				k.giveBack(i, p, r)
				if k.cut {
					return
				}
			}
		}
		if r.skip < 0 {
			return
		}
		s = r.skip
	}
	if v+1 < len(k.parts) {
		k.climb(v+1, 0, 0, k.parts[v+1].room, val, gained)
	} else if val > k.limit && (len(k.path) > 0 || !k.optional) {
		k.accept(val, k.path)
	}
}

// afford draws what doing task i takes of the priced limits; false, and
// nothing drawn, if there is not so much.
func (k *climber) afford(i int32, p *part, r rung) bool {
	if len(k.priced) == 0 {
		return true
	}
	k.step(i, p, r, 1)
	for _, x := range k.left {
		if x < -slackTol {
			k.step(i, p, r, -1)
			return false
		}
	}
	return true
}

func (k *climber) giveBack(i int32, p *part, r rung) {
	if len(k.priced) > 0 {
		k.step(i, p, r, -1)
	}
}

func (k *climber) step(i int32, p *part, r rung, sign float64) {
	k.draw(k.left, len(k.c.opens)+int(i), sign)
	for _, o := range p.l.fresh[r.fresh] {
		if !contains(k.given, o) {
			k.draw(k.left, int(o), sign)
		}
	}
}
