package schedule

import (
	"cmp"
	"container/heap"
	"context"
	"math"
	"slices"
)

// fix decides one opening (a visit included) or task in one period.
type fix struct {
	period int
	node   int32 // opening, or openings + task
	on     bool
}

// node is an open part of the tree: everything that keeps its fixes.
type node struct {
	fixes []fix
	bound float64
	price [][]float64
	known []block // what the bundle of its parent knew; nil: none
	reach float64
	id    int
}

type nodeHeap []*node

func (h nodeHeap) Len() int { return len(h) }
func (h nodeHeap) Less(i, j int) bool {
	if h[i].bound != h[j].bound {
		return h[i].bound < h[j].bound
	}
	return h[i].id < h[j].id
}
func (h nodeHeap) Swap(i, j int) { h[i], h[j] = h[j], h[i] }
func (h *nodeHeap) Push(x any)   { *h = append(*h, x.(*node)) }
func (h *nodeHeap) Pop() any {
	old := *h
	n := old[len(old)-1]
	*h = old[:len(old)-1]
	return n
}

// restrict is the component with fixes applied.
func (c *component) restrict(fixes []fix) *component {
	if len(fixes) == 0 {
		return c
	}
	r := *c
	r.arc = slices.Clone(c.arc)
	r.held = slices.Clone(c.held)
	r.closedAt = slices.Clone(c.closedAt)
	own := make([]bool, len(c.tasks))
	table := func(i int) []float64 {
		if !own[i] {
			own[i], r.arc[i] = true, slices.Clone(c.arc[i])
		}
		return r.arc[i]
	}
	for _, f := range fixes {
		k := int32(len(c.opens))
		switch {
		case f.node < k && f.on:
			r.held[f.period-1] = union(r.held[f.period-1], c.needs[f.node])
		case f.node < k:
			row := slices.Clone(r.closedAt[f.period-1])
			row[f.node] = true
			r.closedAt[f.period-1] = row
			for i := range c.tasks {
				if contains(c.closure[i], f.node) {
					forbid(table(i), f.period, c.periods)
				}
			}
		case f.on:
			demand(table(int(f.node-k)), f.period, c.periods)
		default:
			forbid(table(int(f.node-k)), f.period, c.periods)
		}
	}
	return &r
}

func union(a, b []int32) []int32 {
	out := slices.Clone(a)
	for _, x := range b {
		if !contains(out, x) {
			out = append(out, x)
		}
	}
	return out
}

// forbid removes every step into period t.
func forbid(arc []float64, t, n int) {
	for last := 0; last < t; last++ {
		arc[last*(n+2)+t] = inf
	}
}

// demand removes every step over period t.
func demand(arc []float64, t, n int) {
	for last := 0; last < t; last++ {
		for u := t + 1; u <= n+1; u++ {
			arc[last*(n+2)+u] = inf
		}
	}
}

// tree is the branch and bound over visits and openings.
type tree struct {
	s     *solver
	open  nodeHeap
	next  int
	tried float64 // gaps up to here are worth a full layer search
	nodes int
}

// grow takes the open node with the least bound, sharpens it, tries to settle
// it by layers, and splits it in two if that fails.
func (b *tree) grow(ctx context.Context) {
	s := b.s
	n := heap.Pop(&b.open).(*node)
	limit := s.limit()
	if n.bound >= limit {
		return
	}
	b.nodes++
	d := newDual(s.c.restrict(n.fixes))
	copyPrices(d.price, n.price)
	d.learnt(n)
	d.keep, d.patience = 0.7, 12
	target := s.target(n.bound)
	bound := d.ascend(ctx, nodeRounds, target, limit, nodeStep)
	if bound >= limit || math.IsInf(bound, 1) {
		return
	}
	n.bound = max(n.bound, bound)
	more := d.fixes(limit)
	if len(more) > 0 {
		n.fixes = append(slices.Clone(n.fixes), more...)
		if d = b.again(d, n); d.bound >= limit {
			return
		}
		n.bound = max(n.bound, d.bound)
	}
	s.hunt(ctx, d)
	if ctx.Err() == nil && limit-n.bound <= b.tried && b.settle(ctx, d, n) {
		return
	}
	if ctx.Err() != nil {
		b.push(n)
		return
	}
	b.split(ctx, d, n)
}

// again is d under the fixes that n has by now.
func (b *tree) again(d *dual, n *node) *dual {
	e := newDual(b.s.c.restrict(n.fixes))
	copyPrices(e.price, d.price)
	n.know(d)
	e.learnt(n)
	e.mean, e.open = d.mean, d.open
	e.keep, e.patience = d.keep, d.patience
	e.evaluate()
	return e
}

// know notes in n what the bundle of d knows.
func (n *node) know(d *dual) {
	if d.bundle != nil {
		n.known, n.reach = d.bundle.keep(), d.bundle.reach
	}
}

// learnt begins a bundle for d with what n knows.
func (d *dual) learnt(n *node) {
	if n.known != nil {
		d.bundle = newBundle(d)
		d.bundle.inherit(n.known, n.reach)
	}
}

const (
	nodeRounds   = 45   // steps of the dual per node
	nodeStep     = 0.6  // their first length
	settleLabels = 4000 // labels a layer search of a node may keep
)

func (b *tree) push(n *node) {
	n.id = b.next
	b.next++
	heap.Push(&b.open, n)
}

// settle searches the node by layers; true if nothing below the limit is left
// in it.
func (b *tree) settle(ctx context.Context, d *dual, n *node) bool {
	s := b.s
	gap := s.limit() - n.bound
	l := layerSearch{d: d, limit: s.limit(), width: settleLabels, total: settleLabels, children: 1 << 20, steps: 20000,
		compare: 200, strict: true}
	plan, ok := l.run(ctx)
	if ok {
		s.offer(plan)
	}
	if ctx.Err() != nil {
		return false
	}
	if l.dropped < s.limit() {
		b.tried = max(0.9*min(b.tried, gap*2), min(b.tried, 0.9*gap))
		return false
	}
	b.tried = max(b.tried, 1.1*gap)
	return true
}

// split branches on the opening and period where the periods' averaged
// answers disagree most, weighted by what it costs.
func (b *tree) split(ctx context.Context, d *dual, n *node) {
	opts := b.options(d, n)
	if len(opts) == 0 {
		// Nothing left to decide by openings: settle whatever the width.
		l := layerSearch{d: d, limit: b.s.limit(), width: 1 << 30, children: 1 << 30, steps: math.MaxInt, compare: 200}
		if plan, ok := l.run(ctx); ok {
			b.s.offer(plan)
		}
		if ctx.Err() != nil {
			b.push(n)
		}
		return
	}
	f := slices.MaxFunc(opts, func(x, y option) int { return cmp.Compare(x.score, y.score) }).fix
	n.know(d)
	for _, on := range []bool{true, false} {
		f.on = on
		b.push(&node{fixes: append(slices.Clone(n.fixes), f), bound: n.bound, price: clonePrices(d.price),
			known: n.known, reach: n.reach})
	}
}

// option is a candidate to branch on.
type option struct {
	fix   fix
	score float64
}

// options lists what can be branched on: openings in periods, early ones and
// dear ones first; tasks once all openings are decided.
func (b *tree) options(d *dual, n *node) []option {
	c := d.c
	var opts []option
	consider := func(id int32, t int, mean, weight float64) {
		if slices.ContainsFunc(n.fixes, func(f fix) bool { return f.node == id && f.period == t }) {
			return
		}
		opts = append(opts, option{fix{period: t, node: id},
			(min(mean, 1-mean) + 1e-3) * weight / (1 + 0.1*float64(t))})
	}
	for k := range c.opens {
		for t := 1; t <= c.periods; t++ {
			if c.closedAt[t-1][k] || contains(c.held[t-1], int32(k)) {
				continue
			}
			weight := c.cost[k] + 1e-3
			if c.opens[k].opening < 0 {
				weight = 2*weight + b.s.meanOpen
			}
			consider(int32(k), t, d.open[k][t], weight)
		}
	}
	if len(opts) == 0 {
		for i := range c.tasks {
			for t := 1; t <= c.periods; t++ {
				if d.fixed[t][i] == 0 {
					consider(int32(len(c.opens)+i), t, d.mean[i][t], 1)
				}
			}
		}
	}
	return opts
}
