package schedule

import "math"

// fixer works out, from the prices of a dual, which tasks can no longer stand
// in which period, or have to, in any plan below a limit: forcing the one
// answer adds to the bound what the task's path and the period's visit lose by
// it.
type fixer struct {
	d       *dual
	from    []float64 // period -> least cost of a path up to a doing there
	through []float64 // period -> least cost of a path that stands there
	avoid   []float64 // period -> least cost of a path that does not
	in, out [][]float64
}

// fixes lists what is decided below limit beyond what the component says
// already.
func (d *dual) fixes(limit float64) []fix {
	if d.climb == nil {
		return nil
	}
	n := d.c.periods
	f := &fixer{d: d, from: make([]float64, n+2), through: make([]float64, n+1), avoid: make([]float64, n+1)}
	f.in, f.out = grid(n+1, len(d.c.tasks)), grid(n+1, len(d.c.tasks))
	for t := 1; t <= n; t++ {
		f.visit(t)
	}
	var out []fix
	for i := range d.c.tasks {
		best := f.paths(i)
		node := int32(len(d.c.opens) + i)
		for t := 1; t <= n; t++ {
			if d.fixed[t][i] != 0 {
				continue
			}
			switch {
			case d.bound+f.through[t]-best+f.in[t][i] >= limit:
				out = append(out, fix{t, node, false})
			case d.bound+f.avoid[t]-best+f.out[t][i] >= limit:
				out = append(out, fix{t, node, true})
			}
		}
	}
	return out
}

// visit sets what the visit of period t loses if a task must be part of it, or
// cannot.
func (f *fixer) visit(t int) {
	d := f.d
	for i := range d.c.tasks {
		d.prof[i], d.stat[i] = d.price[i][t], d.fixed[t][i]
	}
	k := d.climb
	if !k.load(t, d.prof, d.stat, math.Inf(-1), false) {
		return
	}
	none := math.Inf(-1)
	if k.optional {
		none = 0
	}
	for _, p := range k.parts {
		rest := k.lid // what is not of this part
		if len(k.parts) > 1 {
			rest = k.bound - float64(p.value)/k.scale
		}
		p.forced(t, d.stat, func(i int32, with, without int64) {
			f.in[t][i] = max(0, -d.visit[t-1]-rest-float64(with)/k.scale)
			f.out[t][i] = max(0, -d.visit[t-1]-max(none, rest+float64(without)/k.scale))
		})
	}
}

// forced hands on, for every task, a bound on the value with it and without.
func (p *part) forced(t int, stat []int8, loss func(i int32, with, without int64)) {
	l := p.l
	mu := p.warmPrice(t)
	p.relax(stat, mu)
	for s := range p.to {
		p.to[s] = never
	}
	p.to[0] = mu * int64(p.room)
	for q, i := range l.tasks {
		with, without := int64(never), int64(never)
		for s := l.first[q]; s < l.first[q+1]; s++ {
			r, x := l.rungs[s], p.to[s]
			if x < never/2 {
				continue
			}
			if r.skip >= 0 && stat[i] <= 0 {
				p.to[r.skip] = max(p.to[r.skip], x)
				without = max(without, x+p.rest[r.skip])
			}
			if r.take >= 0 && stat[i] >= 0 {
				y := x + p.bent[q] - p.bentP[r.fresh]
				p.to[r.take] = max(p.to[r.take], y)
				with = max(with, y+p.rest[r.take])
			}
		}
		loss(i, with, without)
	}
}

// paths sets what the cheapest path of task i costs that stands in a period,
// or does not, and returns the cheapest of all.
func (f *fixer) paths(i int) float64 {
	d, n := f.d, f.d.c.periods
	w := n + 2
	arc, onward, price := d.c.arc[i], d.onward[i], d.price[i]
	for t := range f.avoid {
		f.through[t], f.avoid[t] = inf, inf
	}
	for t := range f.from {
		f.from[t] = inf
	}
	f.from[0] = 0
	for last := 0; last <= n; last++ {
		a := f.from[last]
		if a == inf {
			continue
		}
		if last > 0 {
			f.through[last] = a + onward[last]
		}
		low := inf // of steps that leap over t
		for u := n + 1; u > last; u-- {
			if c := arc[last*w+u]; c < inf {
				whole := a + c
				if u <= n {
					whole += price[u]
					if last == 0 && d.lead != nil {
						whole += d.lead[i][u]
					}
					f.from[u] = min(f.from[u], whole)
					whole += onward[u]
				}
				low = min(low, whole)
			}
			if u-1 > last {
				f.avoid[u-1] = min(f.avoid[u-1], low)
			}
		}
	}
	return onward[0]
}
