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
	c       *component
	rng     *rand.Rand
	paths   [][]uint8   // task -> periods done, in order
	placed  []bool      // task -> in the plan
	count   [][]int32   // period -> opening -> tasks that use it, 1 more if held
	users   [][]int32   // opening -> tasks that need it
	when    [][2]uint64 // opening -> periods in which it is made, as bits
	made    [][]uint64  // period -> those in use as bits, each vehicle from a word of its own on
	spot    []spot      // opening -> its bit in made
	closure [][]uint64  // task -> the openings it needs as bits, from the vehicle's word on
	first   []spot      // task -> the vehicle's first opening
	fresh   []int32     // scratch
	room    [][]float64 // period -> resource -> left
	need    []float64   // scratch: resource -> what a doing takes
	cost    float64
	over    float64     // what the limits are overrun by, priced
	fine    []float64   // resource -> price of a unit beyond its limit
	ties    [][]int32   // task -> tasks to be taken out with it
	alone   []float64   // task -> cost of all the openings it needs
	marg    []float64   // scratch: period -> cost of standing there
	through [][]float64 // task -> period -> cheapest own path that stands there
	least   []float64   // task -> the least of these
	must    []bool      // scratch: period -> has to stand there
	barred  []bool      // scratch: period -> cannot stand there
	tied    bool        // scratch: must or barred is set
	musts   bool        // scratch: must is set
	cand    []uint8     // scratch: periods that come into question
	g       []float64   // scratch: candidate, from 1, the start being 0 -> least cost from there
	next    []uint8     // scratch: candidate, likewise -> next one
	path    []uint8
	hint    hint
	prices  [][]float64 // task -> period: what the dual asks, nil: none
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
	r.marg, r.must, r.barred = make([]float64, n+2), make([]bool, n+2), make([]bool, n+2)
	r.through = c.throughs()
	for _, x := range r.through {
		r.least = append(r.least, slices.Min(x[1:]))
	}
	r.users, r.when = make([][]int32, len(c.opens)), make([][2]uint64, len(c.opens))
	r.need = make([]float64, len(c.limits))
	r.g, r.next = make([]float64, n+2), make([]uint8, n+2)
	r.fine = make([]float64, len(c.limits))
	r.count = make([][]int32, n+1)
	r.room, r.made = make([][]float64, n+1), make([][]uint64, n+1)
	r.spread()
	for t := 1; t <= n; t++ {
		r.count[t] = make([]int32, len(c.opens))
		r.room[t] = slices.Clone(c.capacity[t-1])
		for _, o := range c.held[t-1] {
			clear(r.need)
			r.open(o, t)
			r.draw(t, r.need, 1)
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

// spot is an opening and its bit in router.made.
type spot struct {
	opening int32
	word    int
	bit     uint64
}

// spread gives out the bits.
func (r *router) spread() {
	c, words, first := r.c, 0, spot{}
	for o, ref := range c.opens {
		local := o - int(first.opening)
		if ref.opening < 0 { // the visit comes first
			first = spot{opening: int32(o), word: words}
			local = 0
		}
		words = max(words, first.word+local/64+1)
		r.spot = append(r.spot, spot{first.opening, first.word + local/64, 1 << (local % 64)})
	}
	for i := range c.tasks {
		start := r.spot[c.closure[i][0]]
		start.word, start.bit = r.spot[start.opening].word, 0
		var bits []uint64
		for _, o := range c.closure[i] {
			r.users[o] = append(r.users[o], int32(i))
			for w := r.spot[o].word - start.word; len(bits) <= w; {
				bits = append(bits, 0)
			}
			bits[r.spot[o].word-start.word] |= r.spot[o].bit
		}
		r.closure, r.first = append(r.closure, bits), append(r.first, start)
		r.alone = append(r.alone, c.costOf(c.closure[i]))
	}
	for t := range r.made {
		r.made[t] = make([]uint64, words)
	}
}

// open notes one more that uses opening o in period t; need counts what it takes.
func (r *router) open(o int32, t int) {
	if r.count[t][o]++; r.count[t][o] == 1 {
		r.made[t][r.spot[o].word] |= r.spot[o].bit
		r.when[o][t>>6] |= 1 << (t & 63)
		r.cost += r.c.cost[o]
		for q, u := range r.c.use[o] {
			r.need[q] += u
		}
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

// costOf is what openings cost together.
func (c *component) costOf(openings []int32) float64 {
	sum := 0.0
	for _, o := range openings {
		sum += c.cost[o]
	}
	return sum
}

// fines sets the price of going over a limit: about what a visit with all its
// openings costs for a tenth of the room.
func (r *router) fines() {
	whole := 0.0
	for _, x := range r.alone {
		whole = max(whole, x)
	}
	for q := range r.fine {
		room := 0.0
		for t := range r.c.capacity {
			room = max(room, min(r.c.capacity[t][q], 1e9))
		}
		r.fine[q] = 10 * (whole + 1) / max(room, 1e-3)
	}
}

// shut takes back what open noted.
func (r *router) shut(o int32, t int) {
	if r.count[t][o]--; r.count[t][o] == 0 {
		r.made[t][r.spot[o].word] &^= r.spot[o].bit
		r.when[o][t>>6] &^= 1 << (t & 63)
		r.cost -= r.c.cost[o]
		for q, u := range r.c.use[o] {
			r.need[q] += u
		}
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
		copy(r.need, r.c.use[len(r.c.opens)+i])
		for _, o := range r.c.closure[i] {
			r.shut(o, int(t))
		}
		r.draw(int(t), r.need, -1)
	}
}

// place puts task i in on a path known to be good.
func (r *router) place(i int, path []uint8) {
	r.placed[i] = true
	r.paths[i] = append(r.paths[i][:0], path...)
	r.cost += r.walkCost(i, path)
	for _, t := range path {
		copy(r.need, r.c.use[len(r.c.opens)+i])
		for _, o := range r.c.closure[i] {
			r.open(o, int(t))
		}
		r.draw(int(t), r.need, 1)
	}
}

// value is what a plan held is judged by.
func (r *router) value() float64 { return r.cost + r.over }

// fits reports whether the plan held keeps the limits.
func (r *router) fits() bool {
	const none, drift = 1e-9, 1e-3 // many small sums leave a little of what was overrun
	if r.over >= none && r.over < drift {
		r.over = 0
		for t := 1; t <= r.c.periods; t++ {
			for q, room := range r.room[t] {
				r.over += r.fine[q] * max(0, -room)
			}
		}
	}
	return r.over < none
}

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

// mend takes over what it can of a plan that may break rules: tasks that stand
// where they may are put there, the others where they cost least; false if one
// finds no place. Limits may be overrun.
func (r *router) mend(plan [][]int32) bool {
	paths := make([][]uint8, len(r.paths))
	for t, tasks := range plan {
		for _, i := range tasks {
			paths[i] = append(paths[i], uint8(t+1))
		}
	}
	for i := range r.paths {
		if r.placed[i] {
			r.take(i)
		}
		r.paths[i] = r.paths[i][:0]
	}
	if r.whole(paths) {
		for i := range paths {
			r.place(i, paths[i])
		}
		return true
	}
	var left []int32
	for i := range paths {
		bound := len(r.ties[i]) > 1 || len(r.c.after[i])+len(r.c.before[i]) > 0
		if bound || r.walkCost(i, paths[i]) == inf {
			left = append(left, int32(i))
			continue
		}
		r.place(i, paths[i])
	}
	return r.putAll(left, plain)
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
