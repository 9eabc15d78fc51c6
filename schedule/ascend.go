package schedule

import (
	"context"
	"math"
	"slices"
)

// ascend improves the prices for at most rounds steps towards target (the
// cost of a known plan, or a guess above the bound) and leaves the best prices
// found. It stops early when the bound reaches stop, when the context ends, or
// when steps have become too small to matter. Steps are those of a bundle; or,
// where pairs have prices, which must not fall below 0, of a subgradient with
// the last direction mixed in (Held, Wolfe and Crowder 1974; Camerini, Fratta
// and Maffioli 1975; from memory).
func (d *dual) ascend(ctx context.Context, rounds int, target, stop float64, step float64) float64 {
	d.ended = func() bool { return ctx.Err() != nil }
	defer func() { d.ended = nil }()
	if len(d.pairs) == 0 && len(d.c.tasks) > 0 && !d.plain {
		if d.bundle == nil {
			d.bundle = newBundle(d)
		}
		return d.bundle.climb(ctx, rounds, target, stop)
	}
	best := d.evaluate()
	if best == inf {
		return best
	}
	kept := clonePrices(d.price)
	dir := grid(len(d.price), d.c.periods+2)
	since := 0
	for r := 0; r < rounds && best < stop && ctx.Err() == nil && step > 2e-3; r++ {
		norm := d.direction(dir)
		if norm == 0 {
			break // the two answers agree: optimal prices
		}
		gap := max(target-d.bound, 1e-3*(1+target))
		d.move(dir, step*gap/norm)
		if d.evaluate() == inf {
			return inf
		}
		d.average(0.06)
		if d.bound > best {
			if d.bound > best+1e-6*(1+math.Abs(best)) {
				since = -1
			}
			best = d.bound
			copyPrices(kept, d.price)
		}
		if since++; since >= d.patience {
			since = 0
			step *= 0.7
			copyPrices(d.price, kept)
			d.evaluate()
		}
	}
	copyPrices(d.price, kept)
	return d.evaluate()
}

// direction mixes the present difference between the tasks' and the periods'
// answers into dir and returns the squared length.
func (d *dual) direction(dir [][]float64) float64 {
	norm := 0.0
	d.order(dir[len(d.c.tasks):])
	for i := range d.c.tasks {
		row := dir[i]
		for t := 1; t <= d.c.periods; t++ {
			row[t] *= d.keep
			if d.path[i][t] {
				row[t]++
			}
		}
	}
	for t := range d.c.periods {
		for _, i := range d.plan[t] {
			dir[i][t+1]--
		}
	}
	for i := range dir {
		for _, x := range dir[i] {
			norm += x * x
		}
	}
	return norm
}

// order is direction for the prices of the pairs: up where b has been done
// and a has not, down where it is the other way round.
func (d *dual) order(dir [][]float64) {
	for k, p := range d.pairs {
		a, b := d.path[p[0]], d.path[p[1]]
		row, ahead := dir[k], 0.0
		hadA, hadB := false, false
		for t := 1; t <= d.c.periods; t++ {
			if !hadA && a[t] {
				hadA, ahead = true, ahead-1
			}
			if !hadB && b[t] {
				hadB, ahead = true, ahead+1
			}
			row[t] = d.keep*row[t] + ahead
			if row[t] < 0 && d.price[len(d.c.tasks)+k][t] == 0 {
				row[t] = 0 // cannot go lower
			}
		}
	}
}

func (d *dual) move(dir [][]float64, by float64) {
	for i := range dir {
		for t := 1; t <= d.c.periods; t++ {
			d.price[i][t] += by * dir[i][t]
			if i >= len(d.c.tasks) {
				d.price[i][t] = max(0, d.price[i][t])
			}
		}
	}
}

// average follows the periods' answers for branching.
func (d *dual) average(weight float64) {
	for i := range d.mean {
		for t := range d.mean[i] {
			d.mean[i][t] *= 1 - weight
		}
	}
	for k := range d.open {
		for t := range d.open[k] {
			d.open[k][t] *= 1 - weight
		}
	}
	seen := make([]int, len(d.open))
	for t, tasks := range d.plan {
		for _, i := range tasks {
			d.mean[i][t+1] += weight
			for _, k := range d.c.closure[i] {
				if seen[k] != t+1 {
					seen[k] = t + 1
					d.open[k][t+1] += weight
				}
			}
		}
	}
}

func clonePrices(p [][]float64) [][]float64 {
	q := make([][]float64, len(p))
	for i := range p {
		q[i] = slices.Clone(p[i])
	}
	return q
}

func copyPrices(dst, src [][]float64) {
	for i := range src {
		copy(dst[i], src[i])
	}
}
