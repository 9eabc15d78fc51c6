package schedule

import "math"

// ladder is how the tasks of a period can be gone through one after the other:
// at each task, what of the openings already made still matters to later tasks
// (a set, one state each), and which state follows if the task is left out or
// done. Openings that make a tree leave few states, whatever their number: it
// is then the tree knapsack of Johnson and Niemi (1983, Math. Oper. Res. 8,
// 1-14, from memory), with the order of tasks chosen such that openings are
// soon done with. Hours are counted in whole units. The graph depends on the
// openings and tasks alone and serves all periods and all parts of the tree.
type ladder struct {
	tasks []int32  // position -> task
	rungs [][]rung // position -> state -> what follows
	fresh []uint64 // sets of openings that a step makes
	first []int32  // position -> number of its first state among all
	total int      // states of all positions, the end included
	unit  float64  // hours in one unit, 0: nothing is limited
	need  []int32  // opening, then task -> units
	most  int      // units that could ever be used
}

// rung is one state at one position: the states after it if the task is left
// out or done (-1: not allowed), and the set of openings that doing it makes.
type rung struct{ skip, take, fresh int32 }

// ladderMost bounds states times units: beyond, branching is quicker.
const ladderMost = 300000

// newLadder builds the graph, nil if there is more than one limit, hours are
// not multiples of a handy unit, or there are too many states.
func newLadder(c *component) *ladder {
	if len(c.limits) > 1 {
		return nil
	}
	l := &ladder{}
	if !l.units(c) {
		return nil
	}
	b := &ladderBuild{c: c, l: l, place: make([]int, len(c.tasks))}
	if !b.number() {
		return nil
	}
	b.order()
	if !b.build() {
		return nil
	}
	return l
}

// units finds the coarsest handy unit of which all use of the one limit is a
// multiple: from an hour down to a minute, or to a hundredth.
func (l *ladder) units(c *component) bool {
	if len(c.limits) == 0 {
		return true
	}
	for _, parts := range []float64{1, 2, 4, 6, 12, 20, 30, 60, 100} {
		l.need, l.most = l.need[:0], 0
		fits := true
		for _, u := range c.use {
			n := math.Round(u[0] * parts)
			if fits = math.Abs(n/parts-u[0]) < 1e-6/parts && n < 1e5; !fits {
				break
			}
			l.need = append(l.need, int32(n))
			l.most += int(n)
		}
		if fits {
			l.unit = 1 / parts
			room := 0.0
			for t := range c.capacity {
				room = max(room, c.capacity[t][0])
			}
			if u := math.Floor(room*parts + 1e-6); u < float64(l.most) {
				l.most = int(u)
			}
			return true
		}
	}
	return false
}

// ladderBuild is the work of building a ladder. Bits of a state: openings
// made, then for each task that it has to be done, then that it cannot be.
type ladderBuild struct {
	c     *component
	l     *ladder
	place []int    // task -> position
	tie   []int    // task -> its first bit, -1: not tied to any
	until []int    // bit -> last position at which it matters
	sets  []uint64 // task -> its openings
}

// number gives out the bits; false if there are too few.
func (b *ladderBuild) number() bool {
	bit := len(b.c.opens)
	for i := range b.c.tasks {
		b.tie = append(b.tie, -1)
		if len(b.c.implies[i])+len(b.c.implied[i]) > 0 {
			b.tie[i] = bit
			bit += 2
		}
	}
	return bit <= 64
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
	for range c.tasks {
		pick, least := -1, math.MaxInt
		for i := range c.tasks {
			if done[i] {
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
	b.until = make([]int, 64)
	b.sets = make([]uint64, len(c.tasks))
	for i := range c.tasks {
		for _, o := range c.closure[i] {
			b.until[o] = max(b.until[o], b.place[i])
			b.sets[i] |= 1 << o
		}
		if k := b.tie[i]; k >= 0 {
			b.until[k], b.until[k+1] = b.place[i], b.place[i]
		}
	}
}

// build goes through the positions; false if there are too many states.
func (b *ladderBuild) build() bool {
	b.spans()
	states := []uint64{0}
	fresh := map[uint64]int32{}
	for p, i := range b.l.tasks {
		keep := uint64(0)
		for bit, last := range b.until {
			if last > p {
				keep |= 1 << bit
			}
		}
		next, index := []uint64{}, map[uint64]int32{}
		follow := func(m uint64) int32 {
			m &= keep
			n, ok := index[m]
			if !ok {
				n = int32(len(next))
				index[m], next = n, append(next, m)
			}
			return n
		}
		row := make([]rung, len(states))
		for s, m := range states {
			r := rung{-1, -1, 0}
			must, cannot := b.tiedAs(int(i), m)
			if !must {
				r.skip = follow(m | b.after(int(i), p, false))
			}
			if !cannot {
				set := b.sets[i] &^ m
				f, ok := fresh[set]
				if !ok {
					f = int32(len(b.l.fresh))
					fresh[set], b.l.fresh = f, append(b.l.fresh, set)
				}
				r.take, r.fresh = follow(m|b.sets[i]|b.after(int(i), p, true)), f
			}
			row[s] = r
		}
		b.l.first = append(b.l.first, int32(b.l.total))
		b.l.rungs = append(b.l.rungs, row)
		b.l.total += len(states)
		if (b.l.total+len(next))*(b.l.most+1) > ladderMost {
			return false
		}
		states = next
	}
	b.l.first = append(b.l.first, int32(b.l.total))
	b.l.total += len(states)
	return true
}

// tiedAs reads from a state whether task i has to be done or cannot be.
func (b *ladderBuild) tiedAs(i int, m uint64) (must, cannot bool) {
	k := b.tie[i]
	if k < 0 {
		return false, false
	}
	return m>>k&1 == 1, m>>(k+1)&1 == 1
}

// after are the bits that doing task i, or leaving it out, sets for the tasks
// tied to it that come later.
func (b *ladderBuild) after(i, p int, done bool) uint64 {
	m := uint64(0)
	if done {
		for _, j := range b.c.implies[i] {
			if b.place[j] > p {
				m |= 1 << b.tie[j]
			}
		}
		return m
	}
	for _, j := range b.c.implied[i] {
		if b.place[j] > p {
			m |= 1 << (b.tie[j] + 1)
		}
	}
	return m
}
