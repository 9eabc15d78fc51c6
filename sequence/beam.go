package sequence

import (
	"cmp"
	"slices"
)

// Widths of the beam: for the first plan and for the fallback.
const (
	narrowBeam = 32
	wideBeam   = 1000
)

// route is a list of triggers from the root to the end, with its cost.
type route struct {
	triggers []int
	cost     int64
	complete bool
}

// beamNode is a state of the beam; parent is an index into the trail.
type beamNode struct {
	key     []uint64
	paid    int64
	total   int64 // paid + lower bound
	done    int
	parent  int
	trigger int32
}

// beam goes through the states move by move and keeps the most promising ones
// after each. It returns the best route that costs less than below, if it
// comes upon one. Every move does at least one step, so it ends.
func (x *expander) beam(root []uint64, width int, below int64) route {
	best := route{cost: below}
	trail := []beamNode{{key: root, total: x.boundOf(root), trigger: -1}}
	if x.isGoal(root) && below > 0 {
		return route{complete: true}
	}
	seen := newStates(x.keyWords)
	var buf []move
	for layer := trail[0:1]; len(layer) > 0; {
		base := len(trail) - len(layer)
		var next []beamNode
		seen.clear()
		for at := range layer {
			buf = x.moves(layer[at].key, buf)
			next = x.extend(next, seen, layer[at], base+at, buf, best.cost)
		}
		next = promising(next, width)
		trail = append(trail, next...)
		layer = trail[len(trail)-len(next):]
		for at, n := range layer {
			if x.isGoal(n.key) { // extend let it in, so it costs less than the best
				best = route{cost: n.paid, complete: true, triggers: triggersTo(trail, len(trail)-len(next)+at)}
			}
		}
	}
	return best
}

// extend adds the moves from one node to the next layer, the cheapest for each
// state.
func (x *expander) extend(next []beamNode, seen *states, from beamNode, parent int, moves []move,
	below int64) []beamNode {
	for _, m := range moves {
		paid := from.paid + m.cost
		if paid+m.bound >= below {
			continue
		}
		n := beamNode{paid: paid, total: paid + m.bound, parent: parent, trigger: m.trigger}
		id, added := seen.put(m.next)
		if added {
			n.key = slices.Clone(m.next)
			n.done = bitset(m.next[:x.setWords]).count()
			next = append(next, n)
			continue
		}
		if old := &next[id]; paid < old.paid {
			n.key, n.done = old.key, old.done
			*old = n
		}
	}
	return next
}

// promising returns the nodes with the lowest total, at most width of them.
func promising(nodes []beamNode, width int) []beamNode {
	slices.SortStableFunc(nodes, func(a, b beamNode) int {
		return cmp.Or(cmp.Compare(a.total, b.total), cmp.Compare(b.done, a.done))
	})
	return nodes[:min(width, len(nodes))]
}

func triggersTo(trail []beamNode, at int) []int {
	var triggers []int
	for ; trail[at].trigger >= 0; at = trail[at].parent {
		triggers = append(triggers, int(trail[at].trigger))
	}
	slices.Reverse(triggers)
	return triggers
}
