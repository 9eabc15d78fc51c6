package schedule

import "math"

// climber works ladders out for one period. Each vehicle has its part, in
// which one limit is kept exactly, in whole units; limits beyond that, and
// those that vehicles share, have a price mu, so that the parts stand alone and
// their sum is a bound. Values are whole multiples of a power of two, gains
// rounded up and costs down, so that they stay bounds.
type climber struct {
	c      *component
	t      int
	parts  []*part
	priced []int       // resources that have a price
	warm   [][]float64 // period -> price of each, as it was best last time
	mu     []float64
	spare  []float64 // what the answer leaves of each, below 0 if it goes over
	room   []float64 // what there is of each beside what is held
	given  []int32   // openings (visits) made in any case
	// optional: the visit is given, but there is still the choice of none, worth
	// 0.
	optional bool
	held     bool // the parts' prices are bent by what is given
	scale    float64
	base     float64 // value of what is held
	bound    float64
	lid      float64 // base and what the room is worth at mu
	tasks    []int32
	prof     []float64
	stat     []int8
	// enumeration
	limit  float64
	least  int64 // the same in whole multiples
	steps  int
	cut    bool
	accept func(value float64, tasks []int32)
	path   []int32
	left   []float64
	best   []int32 // scratch of exact
	tries  int     // of exact, and how many ran out of steps
	cuts   int
	hasty  bool        // time is up: load is content with a bound
	ended  func() bool // time is up: each stops as if out of steps; nil: never
}

func newClimber(ladders []*ladder, c *component) *climber {
	k := &climber{c: c}
	counted := map[int]bool{}
	for _, l := range ladders {
		k.parts = append(k.parts, newPart(l, c))
		counted[l.resource] = true
	}
	for r := range c.limits {
		if !counted[r] {
			k.priced = append(k.priced, r)
		}
	}
	n := len(k.priced)
	k.warm = grid(c.periods, n)
	k.mu, k.spare, k.room, k.left = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	k.openPrices(nil)
	return k
}

// openPrices sets what each set of fresh openings costs and takes, those held
// being there already.
func (k *climber) openPrices(held []int32) {
	for _, p := range k.parts {
		for f, set := range p.l.fresh {
			x, u := 0.0, int32(0)
			for _, o := range set {
				if contains(held, o) {
					continue
				}
				x += k.c.cost[o]
				if p.l.resource >= 0 {
					u += p.l.need[o]
				}
			}
			p.cost[f], p.need[f] = x, u
		}
	}
	k.held = len(held) > 0
}

// load finds the bound on the value of a visit in period t, with the profits
// and statuses given (+1 must be done, -1 cannot), and an answer, the best one
// if no limit has a price. It gives up once the bound is at or below stop. All
// prepares for each. False if nothing satisfies the demands.
func (k *climber) load(t int, prof []float64, stat []int8, stop float64, all bool) bool {
	k.t, k.prof, k.stat = t, prof, stat
	k.assume()
	if k.held || len(k.given) > 0 {
		k.openPrices(k.given)
	}
	if !k.measure(t) {
		return false
	}
	if k.optional && !all {
		stop = max(stop, 0)
	}
	copy(k.mu, k.warm[t-1])
	k.evaluate(stop, all)
	k.search(stop, all)
	copy(k.warm[t-1], k.mu)
	if k.optional && k.bound <= 0 {
		k.bound, k.tasks = 0, k.tasks[:0]
		clear(k.spare)
	}
	return k.bound > math.Inf(-1)
}

// assume takes the visit of a lone vehicle as given where limits have a price,
// though it need not take place: nothing is done without it, so what is left
// to weigh is that visit against none, worth 0. The room is then there only if
// the visit is paid for, which makes the bound the tighter.
func (k *climber) assume() {
	c := k.c
	k.given = append(k.given[:0], c.held[k.t-1]...)
	k.optional = false
	if len(k.priced) == 0 || len(k.parts) > 1 || contains(k.given, 0) || c.closedAt[k.t-1][0] {
		return
	}
	for r, u := range c.use[0] {
		if u > c.capacity[k.t-1][r] {
			return
		}
	}
	k.given, k.optional = append(k.given, 0), true
	for _, s := range k.stat {
		k.optional = k.optional && s <= 0
	}
}

// measure sets the room of period t and the value of what is given.
func (k *climber) measure(t int) bool {
	c := k.c
	k.base = 0
	for _, o := range k.given {
		k.base -= c.cost[o]
	}
	for _, p := range k.parts {
		p.room = p.l.most
		if p.l.resource < 0 {
			continue
		}
		p.room = int(min(float64(p.l.most)*2, math.Floor(c.capacity[t-1][p.l.resource]/p.l.unit+1e-6)))
		for _, o := range k.given {
			p.room -= int(p.l.need[o])
		}
		if p.room < 0 {
			return false
		}
		p.room = min(p.room, p.l.most)
	}
	for q, r := range k.priced {
		k.room[q] = c.capacity[t-1][r]
		for _, o := range k.given {
			k.room[q] -= c.use[o][r]
		}
		if k.room[q] < -slackTol {
			return false
		}
	}
	return true
}

// setScale picks the multiple such that no sum can overflow.
func (k *climber) setScale() {
	sum := 1.0
	for _, x := range k.prof {
		sum += math.Abs(x)
	}
	for n, use := range k.c.use {
		if n < len(k.c.opens) {
			sum += k.c.cost[n]
		}
		for q, r := range k.priced {
			sum += k.mu[q] * use[r]
		}
	}
	_, e := math.Frexp(sum)
	k.scale = math.Ldexp(1, 54-e)
}

// evaluate works out the bound at mu and a best answer.
func (k *climber) evaluate(stop float64, all bool) {
	k.setScale()
	lid := k.base
	for q, m := range k.mu {
		if m > 0 {
			lid += m * k.room[q]
		}
	}
	for _, p := range k.parts {
		p.scale, p.hasty = k.scale, k.hasty
		k.bend(p)
		p.begin(k.t, k.stat)
	}
	if k.settle(lid); k.bound <= stop {
		return
	}
	k.tasks = k.tasks[:0]
	for _, p := range k.parts {
		known := int64(never)
		if all && len(k.parts) == 1 {
			known = int64(math.Floor(max(never, (stop-lid)*k.scale)))
		}
		p.solve(k.t, k.stat, known, all)
		k.tasks = append(k.tasks, p.tasks...)
	}
	k.settle(lid)
	k.weigh()
}

// settle sums the parts up to the bound.
func (k *climber) settle(lid float64) {
	sum := int64(0)
	for v := len(k.parts) - 1; v >= 0; v-- {
		p := k.parts[v]
		if p.value < never/2 {
			k.bound = math.Inf(-1)
			return
		}
		p.later = sum
		sum += p.value
	}
	k.lid = lid
	k.bound = lid + float64(sum)/k.scale
}

// weigh counts what the answer takes of the priced limits.
func (k *climber) weigh() {
	if len(k.priced) == 0 {
		return
	}
	copy(k.spare, k.room)
	first := len(k.c.opens)
	for n, on := range k.c.opened(k.t, k.tasks) {
		if on && !contains(k.given, int32(n)) {
			k.draw(k.spare, n, 1)
		}
	}
	for _, i := range k.tasks {
		k.draw(k.spare, first+int(i), 1)
	}
}

// draw takes what node n uses out of left, or gives it back with sign -1.
func (k *climber) draw(left []float64, n int, sign float64) {
	for q, r := range k.priced {
		left[q] -= sign * k.c.use[n][r]
	}
}

// bend prices gains and openings of a part.
func (k *climber) bend(p *part) {
	first := len(k.c.opens)
	for q, i := range p.l.tasks {
		x := k.prof[i]
		for r, m := range k.mu {
			if m > 0 {
				x -= m * k.c.use[first+int(i)][k.priced[r]]
			}
		}
		p.gain[q] = int64(math.Ceil(x * k.scale))
	}
	for f, x := range p.cost {
		for r, m := range k.mu {
			if m > 0 {
				for _, o := range p.l.fresh[f] {
					if !contains(k.given, o) {
						x += m * k.c.use[o][k.priced[r]]
					}
				}
			}
		}
		p.price[f] = int64(math.Floor(x * k.scale))
	}
}
