package sequence

import "slices"

// move leads from one state to the next: the setting changes to what the
// trigger, a step that is ready, needs; then every step that can be done is
// done.
type move struct {
	trigger int32
	cost    int64
	bound   int64    // lower bound on what is still to pay afterwards
	next    []uint64 // key of the next state
}

// expander works out the moves from a state. It owns scratch memory and serves
// one goroutine.
type expander struct {
	p         *problem
	setWords  int // words of a key that hold the steps done
	keyWords  int
	allDone   bitset
	done      bitset
	setting   []uint8
	newDone   bitset
	newSet    []uint8
	allowed   bitset
	fresh     []int
	ready     []int
	nextReady []int
	packed    []uint64
}

func newExpander(p *problem) *expander {
	attributes := len(p.prices.attributes)
	x := &expander{p: p, allDone: p.newSet(), done: p.newSet(), newDone: p.newSet(), allowed: p.newSet(),
		setting: make([]uint8, attributes), newSet: make([]uint8, attributes)}
	x.setWords = len(x.done)
	x.keyWords = x.setWords + (attributes+7)/8
	x.packed = make([]uint64, x.keyWords)
	for i := range p.size() {
		x.allDone.add(i)
	}
	return x
}

// root returns the key of the state at the start with everything done that
// needs no change.
func (x *expander) root() []uint64 {
	clear(x.newDone)
	copy(x.newSet, x.p.start)
	x.exhaust()
	return slices.Clone(x.pack())
}

func (x *expander) isGoal(key []uint64) bool {
	return slices.Equal(key[:x.setWords], x.allDone)
}

// moves returns the moves from a state by number of their trigger. Of triggers
// that lead to one setting only the first counts. buf is overwritten.
func (x *expander) moves(key []uint64, buf []move) []move {
	x.unpack(key)
	x.ready = x.appendReady(x.ready[:0], x.done)
	buf = buf[:0]
	for _, i := range x.ready {
		cost := x.applyNeeds(i)
		copy(x.newDone, x.done)
		if x.repeats(buf, cost) {
			continue
		}
		x.exhaust()
		buf = appendMove(buf, move{trigger: int32(i), cost: cost, bound: x.bound()}, x.pack())
	}
	return buf
}

// appendMove appends m with a copy of key, reusing the memory of a move that
// was there before.
func appendMove(buf []move, m move, key []uint64) []move {
	if len(buf) < cap(buf) {
		buf = buf[:len(buf)+1]
		m.next = append(buf[len(buf)-1].next[:0], key...)
		buf[len(buf)-1] = m
		return buf
	}
	m.next = slices.Clone(key)
	return append(buf, m)
}

// repeats reports whether an earlier trigger leads to the setting in newSet.
func (x *expander) repeats(earlier []move, cost int64) bool {
	for _, m := range earlier {
		if m.cost == cost && x.sameSetting(int(m.trigger)) {
			return true
		}
	}
	return false
}

func (x *expander) sameSetting(trigger int) bool {
	for a, need := range x.p.needs[trigger] {
		if need == unset {
			need = x.setting[a]
		}
		if need != x.newSet[a] {
			return false
		}
	}
	return true
}

// applyNeeds sets newSet to what step i makes of setting and returns the cost.
func (x *expander) applyNeeds(i int) int64 {
	copy(x.newSet, x.setting)
	cost := int64(0)
	for a, need := range x.p.needs[i] {
		if need != unset {
			cost += x.p.prices.attributes[a].cost[x.setting[a]][need]
			x.newSet[a] = need
		}
	}
	return cost
}

// appendReady appends the steps that are not done and wait for nothing.
func (x *expander) appendReady(list []int, done bitset) []int {
	for i, pred := range x.p.preds {
		if !done.has(i) && pred.within(done) {
			list = append(list, i)
		}
	}
	return list
}

// allow fills allowed with the steps that can be done at newSet.
func (x *expander) allow() {
	copy(x.allowed, x.allDone)
	for a, v := range x.newSet {
		for w, word := range x.p.allowing[a][v] {
			x.allowed[w] &= word
		}
	}
}

// exhaust adds to newDone every step that can be done at newSet, leaves those
// that are ready but need a change in nextReady, and forgets the attributes
// that no remaining step asks about.
func (x *expander) exhaust() {
	x.allow()
	x.nextReady = x.nextReady[:0]
	x.fresh = x.appendReady(x.fresh[:0], x.newDone)
	for len(x.fresh) > 0 {
		i := x.fresh[len(x.fresh)-1]
		x.fresh = x.fresh[:len(x.fresh)-1]
		if !x.allowed.has(i) {
			x.nextReady = append(x.nextReady, i)
			continue
		}
		x.newDone.add(i)
		for _, next := range x.p.succs[i] {
			if x.p.preds[next].within(x.newDone) {
				x.fresh = append(x.fresh, next)
			}
		}
	}
	for a, caring := range x.p.caring {
		if caring.within(x.newDone) {
			x.newSet[a] = unset
		}
	}
}

// bound returns the lower bound for newDone and newSet, whose ready steps are
// in nextReady.
func (x *expander) bound() int64 {
	total := int64(0)
	for a := range x.p.bounds {
		total += x.p.bounds[a].of(x.p, a, int(x.newSet[a]), x.newDone, x.nextReady)
	}
	return total
}

func (x *expander) boundOf(key []uint64) int64 {
	x.unpack(key)
	copy(x.newDone, x.done)
	copy(x.newSet, x.setting)
	x.nextReady = x.appendReady(x.nextReady[:0], x.newDone)
	return x.bound()
}

// pack returns the key of newDone and newSet; it is overwritten by the next
// call.
func (x *expander) pack() []uint64 {
	copy(x.packed, x.newDone)
	clear(x.packed[x.setWords:])
	for a, v := range x.newSet {
		x.packed[x.setWords+a/8] |= uint64(v) << (a % 8 * 8)
	}
	return x.packed
}

func (x *expander) unpack(key []uint64) {
	copy(x.done, key)
	for a := range x.setting {
		x.setting[a] = uint8(key[x.setWords+a/8] >> (a % 8 * 8))
	}
}

// replay returns the order of steps that a list of triggers stands for: within
// a setting, always the lowest numbered step that can be done.
func (x *expander) replay(triggers []int) []int {
	clear(x.done)
	copy(x.newSet, x.p.start)
	order := x.block(nil)
	for _, i := range triggers {
		copy(x.setting, x.newSet)
		x.applyNeeds(i)
		order = x.block(order)
	}
	return order
}

// block appends the steps that can be done at newSet and marks them done.
func (x *expander) block(order []int) []int {
	x.allow()
	for i := 0; i < x.p.size(); {
		if x.done.has(i) || !x.allowed.has(i) || !x.p.preds[i].within(x.done) {
			i++
			continue
		}
		x.done.add(i)
		order = append(order, i)
		i = x.firstFreed(i)
	}
	return order
}

// firstFreed returns where to look next after step i was done: at the lowest
// successor when that is before i, otherwise after i.
func (x *expander) firstFreed(i int) int {
	next := i + 1
	for _, s := range x.p.succs[i] {
		next = min(next, s)
	}
	return next
}
