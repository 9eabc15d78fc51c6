package sequence

import "slices"

// exactResult is what the exact search found out.
type exactResult struct {
	route         // complete when it costs less than the limit given
	bound  int64  // no route costs less
	states *found // what was stored
}

// found stores the states of the exact search with what is known of each.
type found struct {
	*states
	paid    []int64 // least cost at which the state was reached
	bound   []int64
	parent  []int32
	trigger []int32
}

// reach records a way to a state and reports whether it is the cheapest yet.
func (f *found) reach(key []uint64, paid, bound int64, parent, trigger int32) (id int32, cheaper bool) {
	id, added := f.put(key)
	if added {
		f.paid = append(f.paid, paid)
		f.bound = append(f.bound, bound)
		f.parent = append(f.parent, parent)
		f.trigger = append(f.trigger, trigger)
		return id, true
	}
	if paid >= f.paid[id] {
		return id, false
	}
	f.paid[id], f.parent[id], f.trigger[id] = paid, parent, trigger
	return id, true
}

func (f *found) triggersTo(id int32) []int {
	var triggers []int
	for ; f.parent[id] >= 0; id = f.parent[id] {
		triggers = append(triggers, int(f.trigger[id]))
	}
	slices.Reverse(triggers)
	return triggers
}

// exact is an A* search (P. Hart, N. Nilsson, B. Raphael, IEEE Transactions on
// Systems Science and Cybernetics 4, 1968) for a route that costs less than
// below. A state reached again at less cost is opened again, so the bound need
// not be consistent. The search stops when it has stored limit states.
func (x *expander) exact(root []uint64, below int64, limit int) exactResult {
	f := &found{states: newStates(x.keyWords)}
	var open frontier
	start := x.boundOf(root)
	f.reach(root, 0, start, -1, -1)
	open.push(frontierNode{total: start})

	var buf []move
	for len(open) > 0 {
		n := open.pop()
		if n.paid > f.paid[n.id] {
			continue // opened again since, at less cost
		}
		if x.isGoal(f.key(n.id)) {
			return exactResult{bound: n.paid, states: f,
				route: route{triggers: f.triggersTo(n.id), cost: n.paid, complete: true}}
		}
		if f.len() >= limit {
			return exactResult{bound: n.total, states: f}
		}
		buf = x.moves(f.key(n.id), buf)
		for _, m := range buf {
			paid := n.paid + m.cost
			if paid+m.bound >= below {
				continue
			}
			if id, cheaper := f.reach(m.next, paid, m.bound, n.id, m.trigger); cheaper {
				done := int32(bitset(m.next[:x.setWords]).count())
				open.push(frontierNode{total: paid + m.bound, paid: paid, done: done, id: id})
			}
		}
	}
	return exactResult{bound: below, states: f}
}

// frontierNode is a state waiting to be opened.
type frontierNode struct {
	total int64 // paid + lower bound
	paid  int64
	done  int32
	id    int32
}

func (a frontierNode) before(b frontierNode) bool {
	if a.total != b.total {
		return a.total < b.total
	}
	if a.done != b.done {
		return a.done > b.done
	}
	return a.id < b.id
}

// frontier is a binary heap.
type frontier []frontierNode

func (h *frontier) push(n frontierNode) {
	*h = append(*h, n)
	list := *h
	for at := len(list) - 1; at > 0; {
		up := (at - 1) / 2
		if !list[at].before(list[up]) {
			return
		}
		list[at], list[up] = list[up], list[at]
		at = up
	}
}

func (h *frontier) pop() frontierNode {
	list := *h
	top, last := list[0], len(list)-1
	list[0] = list[last]
	list = list[:last]
	*h = list
	for at := 0; ; {
		least := at
		for child := 2*at + 1; child <= 2*at+2 && child < last; child++ {
			if list[child].before(list[least]) {
				least = child
			}
		}
		if least == at {
			return top
		}
		list[at], list[least] = list[least], list[at]
		at = least
	}
}
