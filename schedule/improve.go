package schedule

import (
	"context"
	"slices"
)

// shake searches some neighbourhoods of the plan at hand by layers: everything
// free in a stretch of periods, or some tasks free in all periods, the rest
// kept.
func (s *solver) shake(ctx context.Context, width, times int) {
	if s.plan == nil {
		return
	}
	n := s.c.periods
	for range times {
		if ctx.Err() != nil {
			return
		}
		if s.rng.IntN(2) == 0 {
			span := min(n, 5+s.rng.IntN(10))
			a := 1 + s.rng.IntN(n-span+1)
			s.neighbour(ctx, width, func(_, t int) bool { return t >= a && t < a+span })
			continue
		}
		s.freeTasks(ctx, width, s.around(s.rng.IntN(len(s.c.opens)), 7+s.rng.IntN(9)))
	}
}

// around picks count tasks, those that use opening k first, filled up with
// others at random.
func (s *solver) around(k, count int) []int32 {
	var users, others []int32
	for i := range s.c.tasks {
		if contains(s.c.closure[i], int32(k)) {
			users = append(users, int32(i))
		} else {
			others = append(others, int32(i))
		}
	}
	mix := func(x []int32) {
		s.rng.Shuffle(len(x), func(a, b int) { x[a], x[b] = x[b], x[a] })
	}
	mix(users)
	mix(others)
	pick := append(users, others...)
	return pick[:min(len(pick), count)]
}

func (s *solver) freeTasks(ctx context.Context, width int, tasks []int32) {
	free := make([]bool, len(s.c.tasks))
	for _, i := range tasks {
		free[i] = true
	}
	s.neighbour(ctx, width, func(i, _ int) bool { return free[i] })
}

// neighbour searches the plans that agree with the present one wherever free
// is false.
func (s *solver) neighbour(ctx context.Context, width int, free func(task, period int) bool) {
	n := s.c.periods
	keep := make([][]int8, n+1)
	for t := 1; t <= n; t++ {
		keep[t] = make([]int8, len(s.c.tasks))
		for i := range keep[t] {
			if !free(i, t) {
				keep[t][i] = -1
			}
		}
		for _, i := range s.plan[t-1] {
			if !free(int(i), t) {
				keep[t][i] = 1
			}
		}
	}
	l := layerSearch{d: s.root, limit: s.limit(), width: width, children: 20, steps: 300, compare: 30, keep: keep}
	if plan, ok := l.run(ctx); ok {
		s.offer(slices.Clone(plan))
	}
}
