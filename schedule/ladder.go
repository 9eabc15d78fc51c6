package schedule

import (
	"math"
)

// ladder is how the tasks of one vehicle can be gone through one after the
// other: at each task, what of the openings already made still matters to later
// tasks (a set, one state each), and which state follows if the task is left
// out or done. Openings that make a tree leave few states, whatever their
// number: it is then the tree knapsack of Johnson and Niemi (1983, Math. Oper.
// Res. 8, 1-14, from memory), with the order of tasks chosen such that openings
// are soon done with. The first limit of the vehicle's own is counted in whole
// units. The graph depends on the openings and tasks alone and serves all
// periods and all parts of the tree.
type ladder struct {
	tasks     []int32   // position -> task
	rungs     []rung    // state by state, position by position
	first     []int32   // position -> its first state in rungs; one more for the end
	fresh     [][]int32 // sets of openings that a step makes
	resource  int       // that is counted in units, -1: none
	unit      float64   // hours or money in one unit
	need      []int32   // opening, then task -> units
	sum, most int       // units of everything together, and those that could ever be used
}

// rung is one state at one position: the states (in all) after it if the task
// is left out or done (-1: not allowed), and the set of openings that doing it
// makes.
type rung struct{ skip, take, fresh int32 }

// ladderMost bounds states times units; beyond, branching is quicker.
const ladderMost = 600000

// newLadders builds the graphs, one per vehicle; nil if hours or money are not
// multiples of a handy unit or there are too many states.
func newLadders(c *component) []*ladder {
	var ls []*ladder
	for _, v := range c.vehicles {
		l := newLadder(c, v)
		if l == nil {
			return nil
		}
		ls = append(ls, l)
	}
	return ls
}

func newLadder(c *component, vehicle int) *ladder {
	l := &ladder{resource: -1}
	for r, lim := range c.limits {
		if lim.vehicle == vehicle || lim.vehicle < 0 && len(c.vehicles) == 1 {
			l.resource = r
			break
		}
	}
	if l.resource >= 0 && !l.measure(c, vehicle) {
		return nil
	}
	b := &ladderBuild{c: c, l: l, vehicle: vehicle, place: make([]int, len(c.tasks))}
	if !b.number() {
		return nil
	}
	b.order()
	if !b.build() {
		return nil
	}
	return l
}

// measure finds the coarsest handy unit of which all use of the resource is a
// multiple: from one down to a sixtieth, or to a hundredth.
func (l *ladder) measure(c *component, vehicle int) bool {
	room := 0.0
	for t := range c.capacity {
		room = max(room, c.capacity[t][l.resource])
	}
	for _, parts := range []float64{1, 2, 4, 6, 12, 20, 30, 60, 100} {
		need, sum, fits := make([]int32, 0, len(c.use)), 0.0, true
		for n, use := range c.use {
			u := math.Round(use[l.resource] * parts)
			if fits = math.Abs(u/parts-use[l.resource]) < 1e-6/parts && u < 1e5; !fits {
				break
			}
			need = append(need, int32(u))
			if c.ownerOf(n) == vehicle {
				sum += u
			}
		}
		if fits {
			l.unit, l.need = 1/parts, need
			l.sum = int(min(sum, 1e9))
			l.most = int(min(sum, math.Floor(room*parts+1e-6)))
			return true
		}
	}
	return false
}

// ownerOf is the vehicle of a node (openings, then tasks).
func (c *component) ownerOf(n int) int {
	if n < len(c.opens) {
		return c.opens[n].vehicle
	}
	return c.tasks[n-len(c.opens)].vehicle
}

// flags is a set of up to 256 openings and ties.
type flags [4]uint64

func (f *flags) set(bit int)     { f[bit>>6] |= 1 << (bit & 63) }
func (f flags) has(bit int) bool { return f[bit>>6]>>(bit&63)&1 == 1 }

func (f flags) or(g flags) flags {
	for k := range f {
		f[k] |= g[k]
	}
	return f
}

func (f flags) and(g flags) flags {
	for k := range f {
		f[k] &= g[k]
	}
	return f
}

func (f flags) without(g flags) flags {
	for k := range f {
		f[k] &^= g[k]
	}
	return f
}

// ladderBuild is the work of building a ladder. Bits of a state: openings
// made, then for each task that it has to be done, then that it cannot be.
type ladderBuild struct {
	c       *component
	l       *ladder
	vehicle int
	place   []int   // task -> position
	bit     []int   // opening -> its bit
	tie     []int   // task -> its first bit, -1: not tied to any
	until   []int   // bit -> last position at which it matters
	sets    []flags // task -> its openings
}

// number gives out the bits; false if there are too few.
func (b *ladderBuild) number() bool {
	bit := 0
	b.bit = make([]int, len(b.c.opens))
	for o, ref := range b.c.opens {
		if ref.vehicle == b.vehicle {
			b.bit[o] = bit
			bit++
		}
	}
	for i, ref := range b.c.tasks {
		b.tie = append(b.tie, -1)
		if ref.vehicle == b.vehicle && len(b.c.implies[i])+len(b.c.implied[i]) > 0 {
			b.tie[i] = bit
			bit += 2
		}
	}
	return bit <= 64*len(flags{})
}

// order picks, again and again, the task after which fewest openings are
// left half done.
func (b *ladderBuild) order() {
	c := b.c
	left := make([]int, len(c.opens)) // users to come
	begun := make([]bool, len(c.opens))
	for i := range c.tasks {
		for _, o := range c.closure[i] {
			left[o]++
		}
	}
	done := make([]bool, len(c.tasks))
	for {
		pick, least := -1, math.MaxInt
		for i := range c.tasks {
			if done[i] || c.tasks[i].vehicle != b.vehicle {
				continue
			}
			score := 0
			for _, o := range c.closure[i] {
				if !begun[o] && left[o] > 1 {
					score += 1000
				}
				if begun[o] && left[o] == 1 {
					score -= 1000
				}
				score += left[o]
			}
			if score < least {
				pick, least = i, score
			}
		}
		if pick < 0 {
			return
		}
		done[pick] = true
		for _, o := range c.closure[pick] {
			left[o]--
			begun[o] = true
		}
		b.place[pick] = len(b.l.tasks)
		b.l.tasks = append(b.l.tasks, int32(pick))
	}
}

// spans sets until when each bit matters.
func (b *ladderBuild) spans() {
	c := b.c
	b.until = make([]int, 64*len(flags{}))
	b.sets = make([]flags, len(c.tasks))
	for _, i := range b.l.tasks {
		for _, o := range c.closure[i] {
			b.until[b.bit[o]] = max(b.until[b.bit[o]], b.place[i])
			b.sets[i].set(b.bit[o])
		}
		if k := b.tie[i]; k >= 0 {
			b.until[k], b.until[k+1] = b.place[i], b.place[i]
		}
	}
}

// build goes through the positions; false if there are too many states.
func (b *ladderBuild) build() bool {
	b.spans()
	states := []flags{{}}
	fresh := map[flags]int32{}
	for p, i := range b.l.tasks {
		keep := flags{}
		for bit, last := range b.until {
			if last > p {
				keep.set(bit)
			}
		}
		base := int32(len(b.l.rungs) + len(states)) // of the next position
		next, index := []flags{}, map[flags]int32{}
		follow := func(m flags) int32 {
			m = m.and(keep)
			n, ok := index[m]
			if !ok {
				n = base + int32(len(next))
				index[m], next = n, append(next, m)
			}
			return n
		}
		b.l.first = append(b.l.first, int32(len(b.l.rungs)))
		for _, m := range states {
			r := rung{-1, -1, 0}
			must, cannot := b.tiedAs(int(i), m)
			if !must {
				r.skip = follow(m.or(b.after(int(i), p, false)))
			}
			if !cannot {
				r.fresh = b.make(fresh, b.sets[i].without(m))
				r.take = follow(m.or(b.sets[i]).or(b.after(int(i), p, true)))
			}
			b.l.rungs = append(b.l.rungs, r)
		}
		if (len(b.l.rungs)+len(next))*(b.l.most+1) > ladderMost {
			return false
		}
		states = next
	}
	b.l.first = append(b.l.first, int32(len(b.l.rungs)))
	b.l.rungs = append(b.l.rungs, make([]rung, len(states))...)
	return true
}

// make numbers a set of openings that a step makes.
func (b *ladderBuild) make(known map[flags]int32, set flags) int32 {
	f, ok := known[set]
	if !ok {
		f = int32(len(b.l.fresh))
		known[set] = f
		list := []int32{}
		for o, ref := range b.c.opens {
			if ref.vehicle == b.vehicle && set.has(b.bit[o]) {
				list = append(list, int32(o))
			}
		}
		b.l.fresh = append(b.l.fresh, list)
	}
	return f
}

// tiedAs reads from a state whether task i has to be done or cannot be.
func (b *ladderBuild) tiedAs(i int, m flags) (must, cannot bool) {
	k := b.tie[i]
	if k < 0 {
		return false, false
	}
	return m.has(k), m.has(k + 1)
}

// after are the bits that doing task i, or leaving it out, sets for the tasks
// tied to it that come later.
func (b *ladderBuild) after(i, p int, done bool) flags {
	m := flags{}
	if done {
		for _, j := range b.c.implies[i] {
			if b.place[j] > p {
				m.set(b.tie[j])
			}
		}
		return m
	}
	for _, j := range b.c.implied[i] {
		if b.place[j] > p {
			m.set(b.tie[j] + 1)
		}
	}
	return m
}
