package schedule

import (
	"math"
	"math/rand/v2"
	"slices"
)

// router holds a whole plan as one path through time per task and changes it
// task by task: a task taken out is put back by an exact shortest path in
// which a period costs the openings nobody else makes there, and a fine where its
// hours or money do not fit. With that as the one move, plans are improved
// by taking out and putting back a few tasks at a time (large neighbourhood
// search: Shaw 1998; threshold of acceptance: Dueck and Scheuer 1990, both
// from memory).
type router struct {
	c      *component
	rng    *rand.Rand
	paths  [][]uint8   // task -> periods done, in order
	placed []bool      // task -> in the plan
	count  [][]int32   // period -> opening -> tasks that use it, 1 more if held
	room   [][]float64 // period -> resource -> left
	cost   float64
	over   float64   // what the limits are overrun by, priced
	fine   []float64 // resource -> price of a unit beyond its limit
	ties   [][]int32 // task -> tasks to be taken out with it
	marg   []float64 // scratch: period -> cost of standing there
	must   []bool    // scratch: period -> has to stand there
	g      []float64 // scratch: period last done -> least cost to come
	next   []uint8   // scratch: period last done -> next period
	hint   hint
	prices [][]float64 // task -> period: what the dual asks, nil: none
}

// hint bends the costs while tasks are put back.
type hint struct {
	share   float64 // of the cost of openings not made yet that counts
	forbid  int32   // opening that may not be used in period at; -1: none
	at      int
	offer   []int32 // openings free of charge in period offerAt
	offerAt int
}

var plain = hint{share: 1, forbid: -1}

func newRouter(c *component, rng *rand.Rand) *router {
	n := c.periods
	r := &router{c: c, rng: rng, hint: plain, paths: make([][]uint8, len(c.tasks)), placed: make([]bool, len(c.tasks))}
	r.marg, r.must = make([]float64, n+2), make([]bool, n+2)
	r.g, r.next = make([]float64, n+2), make([]uint8, n+2)
	r.fine = make([]float64, len(c.limits))
	r.count = make([][]int32, n+1)
	r.room = make([][]float64, n+1)
	for t := 1; t <= n; t++ {
		r.count[t] = make([]int32, len(c.opens))
		r.room[t] = slices.Clone(c.capacity[t-1])
		for _, o := range c.held[t-1] {
			r.open(o, t)
		}
	}
	r.fines()
	r.ties = make([][]int32, len(c.tasks))
	for i := range r.ties {
		r.ties[i] = c.tied(i)
	}
	return r
}

// tied lists the tasks that With binds to i either way, i included.
func (c *component) tied(i int) []int32 {
	out := []int32{int32(i)}
	for h := 0; h < len(out); h++ {
		for _, rel := range [][]int32{c.implies[out[h]], c.implied[out[h]]} {
			for _, j := range rel {
				if !contains(out, j) {
					out = append(out, j)
				}
			}
		}
	}
	return out
}

func (r *router) open(o int32, t int) {
	if r.count[t][o]++; r.count[t][o] == 1 {
		r.cost += r.c.cost[o]
		r.draw(t, r.c.use[o], 1)
	}
}

// draw takes use out of the room of period t, or gives it back with sign -1.
func (r *router) draw(t int, use []float64, sign float64) {
	room := r.room[t]
	for q, u := range use {
		r.over -= r.fine[q] * max(0, -room[q])
		if room[q] -= sign * u; math.Abs(room[q]) < slackTol {
			room[q] = 0
		}
		r.over += r.fine[q] * max(0, -room[q])
	}
}

// fines sets the price of going over a limit: about what a visit with all its
// openings costs for a tenth of the room.
func (r *router) fines() {
	whole := 0.0
	for i := range r.c.tasks {
		sum := 0.0
		for _, o := range r.c.closure[i] {
			sum += r.c.cost[o]
		}
		whole = max(whole, sum)
	}
	for q := range r.fine {
		room := 0.0
		for t := range r.c.capacity {
			room = max(room, min(r.c.capacity[t][q], 1e9))
		}
		r.fine[q] = 10 * (whole + 1) / max(room, 1e-3)
	}
}

func (r *router) shut(o int32, t int) {
	if r.count[t][o]--; r.count[t][o] == 0 {
		r.cost -= r.c.cost[o]
		r.draw(t, r.c.use[o], -1)
	}
}

// walkCost is what the arcs of a path cost.
func (r *router) walkCost(i int, path []uint8) float64 {
	last, cost := 0, 0.0
	for _, t := range path {
		cost += r.c.at(i, last, int(t))
		last = int(t)
	}
	return cost + r.c.at(i, last, r.c.periods+1)
}

// take takes task i out.
func (r *router) take(i int) {
	r.placed[i] = false
	r.cost -= r.walkCost(i, r.paths[i])
	for _, t := range r.paths[i] {
		for _, o := range r.c.closure[i] {
			r.shut(o, int(t))
		}
		r.draw(int(t), r.c.use[len(r.c.opens)+i], -1)
	}
}

// place puts task i in on a path known to be good.
func (r *router) place(i int, path []uint8) {
	r.placed[i] = true
	r.paths[i] = append(r.paths[i][:0], path...)
	r.cost += r.walkCost(i, path)
	for _, t := range path {
		for _, o := range r.c.closure[i] {
			r.open(o, int(t))
		}
		r.draw(int(t), r.c.use[len(r.c.opens)+i], 1)
	}
}

// put puts task i in where it costs least; false if it finds no place.
func (r *router) put(i int) bool {
	r.weighPeriods(i)
	r.bind(i)
	lo, hi := r.order(i)
	path := r.shortest(i, lo, hi)
	if path == nil {
		return false
	}
	r.place(i, path)
	return true
}

// weighPeriods sets what standing in each period costs task i.
func (r *router) weighPeriods(i int) {
	c, h := r.c, &r.hint
	own := c.use[len(c.opens)+i]
	for t := 1; t <= c.periods; t++ {
		x := 0.0
		count := r.count[t]
		for _, o := range c.closure[i] {
			if count[o] == 0 {
				x += c.cost[o]
			}
		}
		if x > 0 && r.prices != nil {
			x = min(x, h.share*x+(1-h.share)*r.prices[i][t])
		} else {
			x *= h.share
		}
		if t == h.offerAt && x > 0 {
			for _, o := range c.closure[i] {
				if count[o] == 0 && contains(h.offer, o) {
					x -= h.share * c.cost[o]
				}
			}
			x = max(x, 0)
		}
		for q, u := range own {
			for _, o := range c.closure[i] {
				if count[o] == 0 {
					u += c.use[o][q]
				}
			}
			if room := r.room[t][q]; u > room+slackTol {
				x += r.fine[q] * (u - max(room, 0))
			}
		}
		r.marg[t], r.must[t] = x, false
	}
	if h.forbid >= 0 && contains(c.closure[i], h.forbid) {
		r.marg[h.at] = inf
	}
}

// bind keeps i with the tasks it is tied to.
func (r *router) bind(i int) {
	for _, j := range r.c.implied[i] {
		if r.placed[j] {
			for _, t := range r.paths[j] {
				r.must[t] = true
			}
		}
	}
	for _, j := range r.c.implies[i] {
		if !r.placed[j] {
			continue
		}
		for t := 1; t <= r.c.periods; t++ {
			if !slices.Contains(r.paths[j], uint8(t)) {
				r.marg[t] = inf
			}
		}
	}
}

// order is the window that tasks before and after leave to the first doing of
// i; periods+1 stands for never.
func (r *router) order(i int) (lo, hi int) {
	n := r.c.periods
	lo, hi = 1, n+1
	first := func(j int32) int {
		if len(r.paths[j]) == 0 {
			return n + 1
		}
		return int(r.paths[j][0])
	}
	for _, a := range r.c.after[i] {
		if r.placed[a] {
			lo = max(lo, first(a))
		}
	}
	for _, b := range r.c.before[i] {
		if r.placed[b] {
			hi = min(hi, first(b))
		}
	}
	return lo, hi
}

// shortest is the cheapest path of task i, its first doing within lo..hi; nil
// if there is none. The path stays good until the next call.
func (r *router) shortest(i, lo, hi int) []uint8 {
	n := r.c.periods
	w := n + 2
	arc := r.c.arc[i]
	for last := n; last >= 0; last-- {
		if last > 0 && r.marg[last] == inf {
			r.g[last] = inf
			continue
		}
		row := arc[last*w : last*w+w]
		from, to := last+1, int(r.c.far[i][last])
		best, at, end := row[n+1], n+1, true
		if last == 0 {
			from, to = max(from, lo), min(to, hi)
			end = hi == n+1
		}
		for t := last + 1; t < from; t++ {
			end = end && !r.must[t] // passed over before the window opens
		}
		if !end {
			best = inf
		}
		for t := from; t <= to; t++ {
			if v := row[t] + r.marg[t] + r.g[t]; v < best || v == best && at <= n && v < inf {
				best, at = v, t
			}
			if r.must[t] {
				if at == n+1 {
					best = inf
				}
				end = false
				break
			}
		}
		if at == n+1 && best < inf {
			for t := max(from, to+1); t <= n; t++ {
				if r.must[t] {
					best = inf
				}
			}
		}
		r.g[last], r.next[last] = best, uint8(at)
	}
	if math.IsInf(r.g[0], 1) {
		return nil
	}
	path := make([]uint8, 0, 16)
	for t := int(r.next[0]); t <= n; t = int(r.next[t]) {
		path = append(path, uint8(t))
	}
	return path
}

// value is what a plan held is judged by.
func (r *router) value() float64 { return r.cost + r.over }

// fits reports whether the plan held keeps the limits.
func (r *router) fits() bool { return r.over < 1e-9 }

// load takes a plan over; it must keep all rules.
func (r *router) load(plan [][]int32) {
	for i := range r.paths {
		if r.placed[i] {
			r.take(i)
		}
		r.paths[i] = r.paths[i][:0]
	}
	paths := make([][]uint8, len(r.paths))
	for t, tasks := range plan {
		for _, i := range tasks {
			paths[i] = append(paths[i], uint8(t+1))
		}
	}
	for i := range paths {
		r.place(i, paths[i])
	}
}

// plan is the plan held, period by period.
func (r *router) plan() [][]int32 {
	out := make([][]int32, r.c.periods)
	for i, path := range r.paths {
		for _, t := range path {
			out[t-1] = append(out[t-1], int32(i))
		}
	}
	return out
}
