package sequence

// settler looks for the route of the tie rule: at every change the lowest
// numbered trigger from which the least cost can still be kept.
type settler struct {
	x      *expander
	least  int64
	limit  int
	known  *found  // of the exact search; may be nil
	dead   *states // states that cannot be completed ...
	deadAt []int64 // ... once this much has been paid
	buf    [][]move
	route  []int
	gaveUp bool
}

// settle returns the triggers of the route of the tie rule among all routes of
// cost least, which must be the least cost. It reports false when it would
// have to store more than limit states.
func (x *expander) settle(root []uint64, least int64, limit int, known *found) ([]int, bool) {
	s := &settler{x: x, least: least, limit: limit, known: known, dead: newStates(x.keyWords)}
	complete := s.complete(root, 0, 0)
	return s.route, complete && !s.gaveUp
}

// complete tries the moves from a state, at a depth of moves, in order. It
// leaves the triggers of the first route that works out in s.route.
func (s *settler) complete(key []uint64, paid int64, depth int) bool {
	if s.x.isGoal(key) {
		return paid == s.least
	}
	if depth == len(s.buf) {
		s.buf = append(s.buf, nil)
	}
	moves := s.x.moves(key, s.buf[depth])
	s.buf[depth] = moves
	s.route = append(s.route, 0)
	for _, m := range moves {
		s.route[depth] = int(m.trigger)
		if s.hopeless(m, paid+m.cost) {
			continue
		}
		if s.complete(m.next, paid+m.cost, depth+1) {
			return true
		}
		if s.gaveUp {
			return false
		}
	}
	s.route = s.route[:depth]
	s.bury(key, paid)
	return false
}

// hopeless reports whether no route of least cost goes on from m after paying
// so much.
func (s *settler) hopeless(m move, paid int64) bool {
	if paid+m.bound > s.least {
		return true
	}
	if s.known != nil {
		if id := s.known.find(m.next); id >= 0 && s.known.paid[id] < paid {
			return true // a cheaper way to the same state is known
		}
	}
	id := s.dead.find(m.next)
	return id >= 0 && s.deadAt[id] <= paid
}

// bury records that a state cannot be completed after paying so much.
func (s *settler) bury(key []uint64, paid int64) {
	id, added := s.dead.put(key)
	if added {
		s.deadAt = append(s.deadAt, paid)
	}
	s.deadAt[id] = min(s.deadAt[id], paid)
	s.gaveUp = s.dead.len() >= s.limit
}
