package schedule

import "math"

// dual is the decomposition: every task walks alone through time, paying its
// own costs and a price for each period it is done in; every period chooses
// alone a visit, earning those prices and paying openings. For any prices the
// sum of both optima is a lower bound (Lagrange); the prices are improved
// along the difference of the two answers.
type dual struct {
	c      *component
	price  [][]float64 // task -> period (1-based); then pair -> period
	pairs  [][2]int32  // tasks a, b, the first doing of a not after that of b
	lead   [][]float64 // task -> period: what the pairs ask of a first doing there; nil: no pairs
	bound  float64
	tasks  float64     // the tasks' part
	visit  []float64   // period-1 -> value of the period's part (cost, at most 0 unless held)
	onward [][]float64 // task -> last: least cost of what follows when last done at last
	next   [][]uint8   // task -> last: the doing that follows then; periods+1: none
	best   [][]float64 // task -> (last*(T+2)+t): least cost from t on when last done at last; see tabulate
	stale  bool        // best is not of the present prices
	path   [][]bool    // task -> period done
	plan   [][]int32   // period-1 -> tasks of the period's answer
	pack   *packer
	climb  *climber // in place of pack if not nil
	prof   []float64
	stat   []int8
	ask    []float64   // scratch
	then   []float64   // scratch: period -> price of a doing there and the least cost of what follows
	fixed  [][]int8    // period -> task -> +1 must stand there, -1 cannot
	mean   [][]float64 // task -> averaged period answers, for branching
	open   [][]float64 // opening -> averaged
	steps  int         // packer steps per period
	quick  bool        // see rough
	plain  bool        // ascend by subgradient steps in any case
	bundle *bundle     // of ascend; nil: none yet, or there are pairs
	ended  func() bool // time is up: periods get a quick bound in place of the best; nil: never
	// How ascend steps: the share of the last direction kept in the next, and
	// how many steps without gain shorten the steps. The root starts far from
	// the best prices, a node of the tree close to them.
	keep     float64
	patience int
	worse    []worse // scratch of layer searches
}

// exactSteps bounds the search for the best visit of a period where several
// limits bind.
const exactSteps = 2000

func newDual(c *component) *dual {
	n, t := len(c.tasks), c.periods
	d := &dual{c: c, visit: make([]float64, t), plan: make([][]int32, t), pack: newPacker(c)}
	if len(c.ladders) > 0 {
		d.climb = newClimber(c.ladders, c)
	}
	for b, as := range c.after {
		for _, a := range as {
			d.pairs = append(d.pairs, [2]int32{a, int32(b)})
		}
	}
	if len(d.pairs) > 0 {
		d.lead = grid(n, t+2)
	}
	d.price, d.mean = grid(n+len(d.pairs), t+2), grid(n, t+1)
	d.onward, d.next, d.stale = grid(n, t+2), make([][]uint8, n), true
	d.open = grid(len(c.opens), t+1)
	d.path = make([][]bool, n)
	for i := range d.path {
		d.path[i], d.next[i] = make([]bool, t+1), make([]uint8, t+1)
	}
	d.prof, d.stat = make([]float64, n), make([]int8, n)
	d.steps, d.keep, d.patience = 20000, 0.9, 6
	d.ask, d.then = make([]float64, t+2), make([]float64, t+2)
	d.windows()
	d.start()
	return d
}

func grid(n, m int) [][]float64 {
	all := make([]float64, n*m)
	g := make([][]float64, n)
	for i := range g {
		g[i] = all[i*m : (i+1)*m]
	}
	return g
}

// start shares each opening's cost equally among the tasks that use it.
func (d *dual) start() {
	users := make([]float64, len(d.c.opens))
	for i := range d.c.tasks {
		for _, k := range d.c.closure[i] {
			users[k]++
		}
	}
	for i := range d.c.tasks {
		p := 0.0
		for _, k := range d.c.closure[i] {
			p += d.c.cost[k] / users[k]
		}
		for t := 1; t <= d.c.periods; t++ {
			d.price[i][t] = p
		}
	}
}

// walk solves task i alone: the least costs onward and the path.
func (d *dual) walk(i int) float64 {
	n := d.c.periods
	w := n + 2
	arc, onward, next, then := d.c.arc[i], d.onward[i], d.next[i], d.then
	price, path := d.price[i], d.path[i]
	for last := n; last >= 0; last-- {
		if last == 0 && d.lead != nil {
			for t, x := range d.lead[i][:w] {
				then[t] += x
			}
		}
		from := arc[last*w : last*w+w]
		least, at := from[n+1], n+1
		far := int(d.c.far[i][last])
		row, by := from[:far+1], then[:far+1]
		for t := far; t > last; t-- {
			if v := row[t] + by[t]; v < least {
				least, at = v, t
			}
		}
		onward[last], next[last], then[last] = least, uint8(at), price[last]+least
	}
	clear(path)
	if onward[0] < inf {
		for t := next[0]; int(t) <= n; t = next[t] {
			path[t] = true
		}
	}
	d.stale = true
	return onward[0]
}

// tabulate brings best up to the present prices, for layer searches.
func (d *dual) tabulate() {
	if !d.stale {
		return
	}
	n, w := d.c.periods, d.c.periods+2
	if d.best == nil {
		d.best = grid(len(d.c.tasks), (n+1)*w)
	}
	for i, f := range d.best {
		arc, onward := d.c.arc[i], d.onward[i]
		for last := n; last >= 0; last-- {
			row, from, price := f[last*w:last*w+w], arc[last*w:last*w+w], d.price[i]
			if last == 0 {
				price = d.first(i)
			}
			least := from[n+1]
			row[n+1] = least
			for t := n; t > last; t-- {
				if a := from[t]; a < inf {
					least = min(least, a+price[t]+onward[t])
				}
				row[t] = least
			}
		}
	}
	d.stale = false
}

// first is what standing in each period asks of a first doing of task i.
func (d *dual) first(i int) []float64 {
	if d.lead == nil {
		return d.price[i]
	}
	for t, x := range d.price[i] {
		d.ask[t] = x + d.lead[i][t]
	}
	return d.ask
}

// leads works out from the prices of the pairs what they ask of first doings:
// a price in period t is paid if b has been done by then, and earned if a has.
func (d *dual) leads() {
	if d.lead == nil {
		return
	}
	for i := range d.lead {
		clear(d.lead[i])
	}
	for k, p := range d.pairs {
		sum := 0.0
		for t := d.c.periods; t >= 1; t-- {
			sum += d.price[len(d.c.tasks)+k][t]
			d.lead[p[0]][t] -= sum
			d.lead[p[1]][t] += sum
		}
	}
}

// evaluate computes the bound at the present prices. +Inf: no plan exists.
func (d *dual) evaluate() float64 {
	d.tasks = 0
	d.leads()
	for i := range d.c.tasks {
		d.tasks += d.walk(i)
	}
	d.bound = d.tasks
	if math.IsInf(d.tasks, 1) {
		return d.bound
	}
	for t := 1; t <= d.c.periods; t++ {
		v, ok := d.period(t)
		if !ok {
			d.bound = inf
			return inf
		}
		d.visit[t-1] = v
		d.bound += v
	}
	return d.bound
}

// period solves period t alone and returns its part of the bound.
func (d *dual) period(t int) (float64, bool) {
	c := d.c
	hasty := d.ended != nil && d.ended()
	quick := d.quick || hasty
	for i := range c.tasks {
		d.prof[i] = d.price[i][t]
		d.stat[i] = d.fixed[t][i]
	}
	if d.climb != nil {
		d.climb.hasty = hasty
		if !d.climb.load(t, d.prof, d.stat, math.Inf(-1), false) {
			return 0, false
		}
		if !quick && !d.climb.exact(exactSteps) {
			return 0, false
		}
		d.plan[t-1] = append(d.plan[t-1][:0], d.climb.tasks...)
		return -d.climb.bound, true
	}
	if !d.pack.load(t, d.prof, d.stat, false) {
		return 0, false
	}
	known := d.worth(t, d.plan[t-1])
	start := known
	if math.IsInf(known, -1) {
		start = d.pack.base
	}
	steps := d.steps
	if quick {
		steps = 0
	}
	_, bound, tasks, ok := d.pack.best(start-1e-9*(1+math.Abs(start)), steps)
	switch {
	case ok:
		d.plan[t-1] = append(d.plan[t-1][:0], tasks...)
	case math.IsInf(known, -1):
		d.plan[t-1] = append(d.plan[t-1][:0], d.pack.forced...)
	}
	return -bound, true
}

// rough says whether periods are content with a bound on their part and an
// answer that may go over the limit counted in units: several times as quick,
// and good enough while the prices are far from the best.
func (d *dual) rough(on bool) {
	if d.bundle != nil && d.quick != on {
		d.bundle.recount()
	}
	if d.quick = on; d.climb == nil {
		return
	}
	for _, p := range d.climb.parts {
		p.rough = on
	}
}

// windows tabulates which tasks cannot stand in a period and which must.
func (d *dual) windows() {
	n, w := d.c.periods, d.c.periods+2
	d.fixed = make([][]int8, n+1)
	for t := 1; t <= n; t++ {
		d.fixed[t] = make([]int8, len(d.c.tasks))
	}
	for i := range d.c.tasks {
		arc := d.c.arc[i]
		leapt := make([]int, n+2) // number of steps leaping over t, as differences
		can := make([]bool, n+2)
		for last := 0; last <= n; last++ {
			for u := last + 1; u <= n+1; u++ {
				if arc[last*w+u] == inf {
					continue
				}
				can[u] = true
				leapt[last+1]++
				leapt[u]--
			}
		}
		over := 0
		for t := 1; t <= n; t++ {
			over += leapt[t]
			switch {
			case !can[t]:
				d.fixed[t][i] = -1
			case over == 0:
				d.fixed[t][i] = 1
			}
		}
	}
}

// worth is the value of an earlier answer under the loaded profits, -Inf if it
// does not meet the demands now.
func (d *dual) worth(t int, tasks []int32) float64 {
	k := d.pack
	v := k.base
	for _, i := range k.forced {
		if !contains(tasks, i) {
			return math.Inf(-1)
		}
	}
	if k.assumed && len(tasks) == 0 {
		return 0
	}
	seen := make([]bool, len(d.c.opens))
	for _, i := range tasks {
		if k.candOf[i] == forcedMark {
			continue
		}
		if d.stat[i] < 0 || !k.possible(int(i), d.stat) {
			return math.Inf(-1)
		}
		v += d.prof[i]
		for _, o := range d.c.closure[i] {
			if !seen[o] && k.nodeOf[o] != forcedMark {
				seen[o] = true
				v -= d.c.cost[o]
			}
		}
	}
	return v
}

func contains(xs []int32, x int32) bool {
	for _, y := range xs {
		if x == y {
			return true
		}
	}
	return false
}
