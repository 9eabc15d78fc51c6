package schedule

import "context"

// feasible looks for any plan at all: with every cost struck out, labels that
// have done more lately beat the others, so few states remain. It takes the
// plan it finds, or closes the search if nothing was dropped on the way; width
// says how hard it tries.
func (s *solver) feasible(ctx context.Context, width int) {
	c := s.c.costless()
	d := newDual(c)
	for i := range d.price {
		clear(d.price[i])
	}
	if d.evaluate() == inf {
		s.done = true
		return
	}
	l := layerSearch{d: d, limit: 0.5, width: width, children: width, steps: 10 * width, compare: width}
	plan, ok := l.run(ctx)
	s.c.reached = max(s.c.reached, l.deepest)
	if ok {
		s.offer(plan)
		return
	}
	s.done = ctx.Err() == nil && l.dropped >= l.limit
}

// costless is the component with all costs 0 and all limits kept.
func (c *component) costless() *component {
	r := *c
	r.cost = make([]float64, len(c.cost))
	r.arc = make([][]float64, len(c.arc))
	for i := range c.arc {
		r.arc[i] = make([]float64, len(c.arc[i]))
		for j, x := range c.arc[i] {
			if x == inf {
				r.arc[i][j] = inf
			}
		}
	}
	return &r
}
