package schedule

import (
	"context"
	"math"
	"slices"
)

// bundle is what is known of the bound as a function of the prices: for every
// task the paths, for every period the visits that were answers so far. Each
// is a column; the least of its columns, at any prices, is a model of a task's
// or period's part that is never below it, and the next prices are those at
// which the sum of the models, less a penalty for the way from the best prices
// known, is greatest. This is the proximal bundle method in its disaggregated
// form (Lemarechal 1975; Kiwiel 1990; Frangioni 2002, SIAM J. Optim. 13,
// 117-156; from memory), the dual view of column generation with a quadratic
// term. Its weights on the columns are a fractional plan.
type bundle struct {
	d      *dual
	blocks []block   // tasks, then periods
	center []float64 // the best prices, row by row as in the dual
	best   float64   // the bound there
	point  []float64 // the prices where the model less the penalty is greatest
	reach  float64   // how far to go: the penalty is a half of distance squared over it
	ready  bool      // there is a center
	width  int       // of a row of prices
	gain   float64   // that the model promises at point
	apart  float64   // by how much the weights miss the best ones, at most
	old    int       // evaluations in a row that taught nothing and gained nothing
	done   bool      // nothing more is promised
}

// block is the columns of one task or period.
type block struct {
	columns []column
	sign    float64 // of the prices in its values: +1 a task pays, -1 a period earns
	live    []int32 // columns that count in the search for weights
	apart   float64 // by how much the weighted mean of their values misses the least
}

// column is one answer of a block.
type column struct {
	cost   float64 // without prices
	at     []int32 // entries of the prices it has
	fours  []int32 // the same, made up to fours by entry 0, whose price is 0
	weight float64
	idle   int // evaluations for which it had no weight
}

// These were chosen on made-up problems other than those of the checks.
const (
	columnIdle  = 8    // a column with no weight for so many evaluations is given up
	bundleTurns = 12   // most turns of a search for the weights over all columns
	bundleInner = 5    // turns over those that count, for each over all
	bundleExact = 0.6  // share of the promise that weights may miss
	bundleNear  = 1e-5 // share of the bound that is not worth an evaluation
)

func newBundle(d *dual) *bundle {
	n, w := len(d.c.tasks), d.c.periods+2
	b := &bundle{d: d, width: w, blocks: make([]block, n+d.c.periods)}
	for i := range b.blocks {
		if b.blocks[i].sign = 1; i >= n {
			b.blocks[i].sign = -1
		}
	}
	b.center, b.point = make([]float64, n*w), make([]float64, n*w)
	return b
}

// prices are those of the dual, in one row.
func (b *bundle) prices() []float64 { return b.d.price[0][:len(b.center)] }

// learn adds the answers of the dual's last evaluation; false if none is new.
func (b *bundle) learn() bool {
	d, fresh := b.d, false
	n, p := len(d.c.tasks), b.prices()
	var at []int32
	for i := range d.c.tasks {
		at = at[:0]
		for t := d.next[i][0]; int(t) <= d.c.periods; t = d.next[i][t] {
			at = append(at, int32(i*b.width+int(t)))
		}
		fresh = b.add(i, at, d.onward[i][0], p) || fresh
	}
	for t := range d.c.periods {
		at = at[:0]
		for _, i := range d.plan[t] {
			at = append(at, i*int32(b.width)+int32(t+1))
		}
		slices.Sort(at)
		fresh = b.add(n+t, at, d.visit[t], p) || fresh
	}
	return fresh
}

// add takes in a column whose value at prices p is given.
func (b *bundle) add(k int, at []int32, value float64, p []float64) bool {
	l := &b.blocks[k]
	cost := value
	for _, e := range at {
		cost -= l.sign * p[e]
	}
	for q := range l.columns {
		if c := &l.columns[q]; slices.Equal(c.at, at) {
			old := c.cost
			c.cost = cost
			return math.Abs(old-cost) > 1e-6*(1+math.Abs(cost))
		}
	}
	c := column{cost: cost}
	c.fours = append(make([]int32, 0, (len(at)+3)/4*4), at...)
	c.at, c.fours = c.fours, c.fours[:cap(c.fours)]
	if len(l.columns) == 0 {
		c.weight = 1
	}
	l.columns = append(l.columns, c)
	return true
}

// prune gives up columns that have long had no weight.
func (b *bundle) prune() {
	for k := range b.blocks {
		l := &b.blocks[k]
		for q := range l.columns {
			if l.columns[q].idle++; l.columns[q].weight > 0 {
				l.columns[q].idle = 0
			}
		}
		l.columns = slices.DeleteFunc(l.columns, func(c column) bool { return c.idle > columnIdle })
	}
}

// aim finds the weights, and with them point and what the model promises: by
// turns over all columns, and cheaper ones over those that count.
func (b *bundle) aim() {
	copy(b.point, b.center)
	for k := range b.blocks {
		l := &b.blocks[k]
		for q := range l.columns {
			if c := &l.columns[q]; c.weight > 0 {
				b.shift(c, l.sign*c.weight*b.reach)
			}
		}
	}
	for turn := 0; ; turn++ {
		model, apart := 0.0, 0.0
		for k := range b.blocks {
			l := &b.blocks[k]
			model, apart = model+b.price(l), apart+l.apart
		}
		b.gain, b.apart = model-b.best, apart
		enough := max(bundleExact*b.gain, b.little())
		if turn == bundleTurns || apart <= enough || b.d.ended != nil && b.d.ended() {
			return
		}
		enough *= 0.2 / float64(len(b.blocks))
		for range bundleInner {
			for k := range b.blocks {
				if l := &b.blocks[k]; l.apart > enough {
					b.balance(l)
				}
			}
		}
	}
}

// price works out the values of all columns of a block, which of them count, and
// how far the weights are apart from the least value, which it returns.
func (b *bundle) price(l *block) float64 {
	least, mean, at := inf, 0.0, 0
	l.live = l.live[:0]
	for q := range l.columns {
		c := &l.columns[q]
		x := b.worth(c, l.sign)
		if x < least {
			least, at = x, q
		}
		if c.weight > 0 {
			mean += c.weight * x
			l.live = append(l.live, int32(q))
		}
	}
	if l.columns[at].weight == 0 {
		l.live = append(l.live, int32(at))
	}
	l.apart = mean - least
	return least
}

func (b *bundle) shift(c *column, by float64) {
	for _, e := range c.at {
		b.point[e] += by
	}
}

func (b *bundle) worth(c *column, sign float64) float64 {
	x, p := 0.0, b.point
	for e := c.fours; len(e) >= 4; e = e[4:] {
		x += (p[e[0]] + p[e[1]]) + (p[e[2]] + p[e[3]])
	}
	return c.cost + sign*x
}

// balance moves weight from the dearest column of a block that has any to the
// cheapest, as far as it pays, among those that count.
func (b *bundle) balance(l *block) {
	lo, hi, low, high := int32(-1), int32(-1), inf, math.Inf(-1)
	for _, q := range l.live {
		c := &l.columns[q]
		x := b.worth(c, l.sign)
		if x < low {
			lo, low = q, x
		}
		if c.weight > 0 && x > high {
			hi, high = q, x
		}
	}
	if lo == hi || high-low < 1e-9 {
		return
	}
	from, to := &l.columns[hi], &l.columns[lo]
	by := from.weight
	if apart := differ(from.at, to.at); apart > 0 {
		by = min(by, (high-low)/(b.reach*float64(apart)))
	}
	to.weight += by
	if from.weight -= by; from.weight < 1e-9 {
		to.weight, from.weight = to.weight+from.weight, 0
	}
	b.shift(to, l.sign*by*b.reach)
	b.shift(from, -l.sign*by*b.reach)
}

// differ is how many entries stand in one of two sorted lists only.
func differ(x, y []int32) int {
	n, i, j := 0, 0, 0
	for i < len(x) && j < len(y) {
		switch {
		case x[i] == y[j]:
			i, j = i+1, j+1
		case x[i] < y[j]:
			i, n = i+1, n+1
		default:
			j, n = j+1, n+1
		}
	}
	return n + len(x) - i + len(y) - j
}

// climb improves the prices of the dual by so many evaluations at most, and
// leaves the best ones found.
func (b *bundle) climb(ctx context.Context, rounds int, target, stop float64) float64 {
	if !b.ready {
		if b.start(target) == inf {
			return inf
		}
	} else if b.done || b.best >= stop {
		return b.best
	}
	for r := 0; r < rounds && b.best < stop && ctx.Err() == nil && b.promising(); r++ {
		copy(b.prices(), b.point)
		x := b.d.evaluate()
		if x == inf {
			return inf
		}
		if ctx.Err() != nil {
			b.take(x)
			break // the answers were worked out in haste
		}
		fresh := b.learn()
		b.judge(x, fresh)
		b.prune()
	}
	copy(b.prices(), b.center)
	b.average()
	return max(b.d.evaluate(), b.best)
}

// start takes the dual's present prices as the center.
func (b *bundle) start(target float64) float64 {
	if b.best = b.d.evaluate(); b.best == inf {
		return inf
	}
	copy(b.center, b.prices())
	b.learn()
	b.ready, b.done = true, false
	if b.reach == 0 {
		b.reach = 3 * b.first(target)
	}
	return b.best
}

// promising aims at the next prices; false if they promise next to nothing, or
// nothing new was learnt for long.
func (b *bundle) promising() bool {
	b.aim()
	for n := 0; n < 20 && b.gain <= b.little() && b.apart > 2*b.little(); n++ {
		b.reach /= 2 // nearer, the weights are found more easily
		b.aim()
	}
	b.done = b.gain <= b.little() || b.old > 8
	return !b.done
}

// average sets the dual's means, for branching, to the fractional plan.
func (b *bundle) average() {
	d, n := b.d, len(b.d.c.tasks)
	for i := range d.mean {
		clear(d.mean[i])
	}
	for k := range d.open {
		clear(d.open[k])
	}
	seen, stamp := make([]int, len(d.open)), 0
	for t := range d.c.periods {
		for _, c := range b.blocks[n+t].columns {
			if c.weight == 0 {
				continue
			}
			stamp++
			for _, e := range c.at {
				i := int(e) / b.width
				d.mean[i][t+1] += c.weight
				for _, k := range d.c.closure[i] {
					if seen[k] != stamp {
						seen[k] = stamp
						d.open[k][t+1] += c.weight
					}
				}
			}
		}
	}
}

// judge takes the new prices as the center if they are better, and sets how far
// the next step may go.
func (b *bundle) judge(x float64, fresh bool) {
	share := (x - b.best) / b.gain
	b.old++
	b.take(x)
	if fresh || share > 0 {
		b.old = 0
	}
	switch {
	case share > 0.5:
		b.reach *= 1.5
	case share < -1 || !fresh:
		b.reach *= 0.7
	}
}

// take makes point the center if the bound there, x, is better.
func (b *bundle) take(x float64) {
	if x > b.best {
		copy(b.center, b.point)
		b.best = x
	}
}

// little is a gain not worth an evaluation.
func (b *bundle) little() float64 { return bundleNear * (1 + math.Abs(b.best)) }

// first is how far the first step goes: such that the bound would reach the
// target if it rose all the way as at its start.
func (b *bundle) first(target float64) float64 {
	for i := range b.point {
		b.point[i] = 0
	}
	for k := range b.blocks {
		for q := range b.blocks[k].columns {
			b.shift(&b.blocks[k].columns[q], b.blocks[k].sign)
		}
	}
	norm := 0.0
	for _, x := range b.point {
		norm += x * x
	}
	return max(target-b.best, 1e-3*(1+math.Abs(target))) / max(norm, 1)
}
