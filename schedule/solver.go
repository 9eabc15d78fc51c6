package schedule

import (
	"container/heap"
	"context"
	"math"
	"math/rand/v2"
)

// solver plans one component, a step at a time.
type solver struct {
	c        *component
	stage    int
	root     *dual
	router   *router
	tree     *tree
	plan     [][]int32
	cost     float64 // +Inf: no plan yet
	bound    float64
	done     bool
	better   bool // a better plan or bound since last asked
	meanOpen float64
	rng      *rand.Rand
	begun    bool   // begin has come to its end
	brief    bool   // other vehicles wait for their share of the time
	apart    *apart // what is known of the vehicles by themselves, nil: nothing
	alone    func() *lone
	lone     *lone     // whose prices are improved first; nil: those of all are
	hint     [][]int32 // a plan to begin with, which may break rules; nil: none
	// Nodes until the next hunt for a plan, and from one to the next.
	wait, pause int
}

func newSolver(c *component) *solver {
	s := &solver{c: c, cost: inf, bound: math.Inf(-1), rng: rand.New(rand.NewPCG(1, 2))}
	for _, x := range c.cost {
		s.meanOpen += x / float64(len(c.cost))
	}
	c.ladders = newLadders(c)
	s.pause = 1
	s.tree = &tree{s: s, tried: 1e9}
	return s
}

// limit is what a plan must stay below to be of use.
func (s *solver) limit() float64 {
	if math.IsInf(s.cost, 1) {
		return s.c.ceiling()
	}
	if q := s.c.quantum; q > 0 {
		return s.cost - q + 1e-3*q
	}
	return s.cost - 1e-7*(1+math.Abs(s.cost))
}

// target is the cost the dual steps towards.
func (s *solver) target(bound float64) float64 {
	if math.IsInf(s.cost, 1) {
		return bound + 0.1*math.Abs(bound) + 1
	}
	return s.cost
}

// offer takes a plan found.
func (s *solver) offer(plan [][]int32) {
	cost := s.c.planCost(plan)
	if cost < s.cost-1e-9*(1+math.Abs(cost)) {
		s.plan, s.cost, s.better = plan, cost, true
	}
}

// raise takes a proven lower bound.
func (s *solver) raise(b float64) {
	if q := s.c.quantum; q > 0 {
		b = math.Ceil(b/q-1e-4) * q
	} else {
		b -= 1e-9 * (1 + math.Abs(b))
	}
	b = min(b, s.cost)
	if b > s.bound {
		s.bound, s.better = b, true
	}
}

// step does one piece of work.
func (s *solver) step(ctx context.Context) {
	switch {
	case s.stage == 0:
		s.first(ctx)
	case s.stage < grown:
		s.refine(ctx)
	default:
		s.grow(ctx)
	}
	if ctx.Err() == nil { // else the step is done once more, if the search goes on
		s.stage++
	}
}

// grown is the stage from which on the tree is worked on.
const grown = 5

// heats of the router in the passes of refine, in mean costs of an opening.
var heats = [grown - 1][2]float64{{4, 2}, {3, 1}, {2, 0.5}, {2, 0.5}}

// begin makes a quick plan and a first bound.
func (s *solver) begin(ctx context.Context) {
	s.root = newDual(s.c)
	if s.apart == nil && s.alone != nil {
		s.lone = s.alone()
	}
	s.rough(s.brief) // prices far from the best need no exact visits
	switch {
	case s.apart != nil:
		copyPrices(s.root.price, s.apart.price)
	case s.lone != nil:
		s.lone.ascend(ctx, 12)
		s.lone.prices(s.root)
	}
	b := s.root.evaluate()
	if b < inf && s.apart == nil && s.lone == nil {
		b = s.root.ascend(ctx, 12, s.target(b), inf, 1)
	}
	if math.IsInf(max(b, s.loneBound()), 1) {
		s.done = true
		return
	}
	s.raise(max(b, s.loneBound()))
	if s.apart != nil {
		s.raise(s.apart.bound)
	}
	s.router = newRouter(s.c, s.rng)
	if s.apart != nil {
		s.share(ctx)
	} else {
		s.warm(ctx)
	}
	for try := 0; s.plan == nil && try < 3; try++ {
		s.route(ctx, 500, 0.5)
	}
	s.begun = ctx.Err() == nil
}

// first finds a plan where begin did not, and improves both plan and bound.
func (s *solver) first(ctx context.Context) {
	if !s.begun {
		s.begin(ctx)
	}
	if s.done {
		return
	}
	for _, w := range []int{8, 60, 300} {
		if s.plan != nil || ctx.Err() != nil {
			break
		}
		if s.brief {
			s.rough(false)
			s.root.evaluate()
		}
		s.beam(ctx, s.root, w)
		s.root.ascend(ctx, 15, s.target(s.root.bound), inf, 1)
	}
	if s.apart != nil && s.plan != nil {
		s.rough(false)
		return // prices and plan come from each by itself
	}
	s.rough(s.brief)
	s.sharpen(ctx, 25)
	s.rough(false)
	s.route(ctx, 2000, 2)
}

// warm takes the plan to begin with as far as it fits.
func (s *solver) warm(ctx context.Context) {
	if s.hint == nil || s.plan != nil || !s.router.mend(s.hint) {
		return
	}
	if !s.router.fits() {
		s.router.stir(ctx, 500, 0.5*s.meanOpen)
	}
	if s.router.fits() {
		s.offer(s.router.plan())
	}
}

// refine sharpens the root and looks wider; the last time it plants the tree.
func (s *solver) refine(ctx context.Context) {
	large := len(s.c.tasks)*s.c.periods > 1500 // layers take long, and find little the router does not
	if s.root.bound < s.limit() {
		for _, heat := range heats[s.stage-1] {
			s.sharpen(ctx, 12)
			s.route(ctx, 70*len(s.c.tasks), heat)
		}
		if s.plan == nil || !large {
			s.beam(ctx, s.root, 60)
		}
		if s.plan == nil {
			s.beam(ctx, s.root, 400)
		}
		if !large {
			s.shake(ctx, 60, 6)
		}
	}
	if max(s.root.bound, s.loneBound()) >= s.limit() {
		s.close()
		return
	}
	if s.stage < grown-1 || ctx.Err() != nil {
		return
	}
	s.together()
	if s.plan == nil {
		s.feasible(ctx, 400)
	}
	s.tree.open = s.tree.open[:0]
	n := &node{bound: s.root.bound, price: clonePrices(s.root.price)}
	n.know(s.root)
	s.tree.push(n)
}

// rough is that of all prices.
func (s *solver) rough(on bool) {
	s.root.rough(on)
	if s.lone != nil {
		s.lone.rough(on)
	}
}

// loneBound is what the vehicles cost by themselves at least.
func (s *solver) loneBound() float64 {
	if s.lone == nil {
		return math.Inf(-1)
	}
	return s.lone.bound
}

// together takes the prices of each vehicle for those of all, which are improved from
// now on.
func (s *solver) together() {
	if s.lone == nil {
		return
	}
	s.lone.prices(s.root)
	s.lone, s.root.bundle = nil, nil
	s.root.evaluate()
}

// sharpen improves the prices of the root, or those of each vehicle first.
func (s *solver) sharpen(ctx context.Context, rounds int) {
	if s.lone != nil {
		done := s.lone.ascend(ctx, rounds)
		s.raise(min(s.lone.bound, s.limit()))
		if done && s.lone.bound < s.limit() {
			s.together()
		}
		return
	}
	b := s.root.ascend(ctx, rounds, s.target(s.root.bound), s.limit(), 1)
	s.raise(min(b, s.limit()))
}

// route improves the plan at hand task by task, or makes one from the prices;
// heat is in mean costs of an opening.
func (s *solver) route(ctx context.Context, rounds int, heat float64) {
	if s.plan != nil {
		s.router.load(s.plan)
	} else if !s.router.fromNothing(s.root.price) {
		return
	}
	s.router.stir(ctx, rounds, heat*s.meanOpen)
	if s.router.fits() {
		s.offer(s.router.plan())
	}
}

// hunt looks for a better plan beside the work on the tree, at prices d: ever
// more rarely while it finds none.
func (s *solver) hunt(ctx context.Context, d *dual) {
	if s.wait--; s.wait > 0 {
		return
	}
	before := s.cost
	s.beam(ctx, d, 60)
	if s.router.fromNothing(d.price) {
		s.router.stir(ctx, 100*len(s.c.tasks), 1.5*s.meanOpen)
		if s.router.fits() {
			s.offer(s.router.plan())
		}
	}
	s.shake(ctx, 60+s.tree.nodes%200, 4)
	if s.pause += 1 + s.pause/8; s.cost < before {
		s.pause = 1
	}
	s.wait = s.pause
}

// beam is a layer search of little width, for a plan.
func (s *solver) beam(ctx context.Context, d *dual, width int) {
	l := layerSearch{d: d, limit: s.limit(), width: width, children: 30, steps: 400, compare: 60}
	if plan, ok := l.run(ctx); ok {
		s.offer(plan)
	}
	s.c.reached = max(s.c.reached, l.deepest)
}

// grow works on the tree.
func (s *solver) grow(ctx context.Context) {
	t := s.tree
	if s.done || len(t.open) == 0 {
		s.close()
		return
	}
	t.grow(ctx)
	if s.plan == nil && t.nodes == 20 {
		s.feasible(ctx, 3000)
	}
	if s.plan == nil && t.nodes%10 == 0 {
		s.beam(ctx, s.root, min(8000, 100*t.nodes))
	}
	if s.done {
		return
	}
	if ctx.Err() != nil {
		return
	}
	if len(t.open) == 0 {
		s.close()
		return
	}
	s.raise(min(t.open[0].bound, s.limit()))
	if t.open[0].bound >= s.limit() {
		s.close()
	}
	heap.Init(&t.open)
}

// close records that the search is complete.
func (s *solver) close() {
	s.done = true
	if s.plan != nil {
		s.bound, s.better = s.cost, true
	}
}

// ceiling is above the cost of any plan.
func (c *component) ceiling() float64 {
	sum := 1.0
	for _, x := range c.cost {
		sum += max(0, x) * float64(c.periods)
	}
	for i := range c.arc {
		most := 0.0
		for _, x := range c.arc[i] {
			if x < inf {
				most = max(most, x)
			}
		}
		sum += most * float64(c.periods+1)
	}
	return sum
}

// planCost is the cost of a plan, +Inf if a task's own rules forbid it.
func (c *component) planCost(plan [][]int32) float64 {
	last := make([]int, len(c.tasks))
	cost := 0.0
	for t := 1; t <= c.periods; t++ {
		opened := make([]bool, len(c.opens))
		open := func(o int32) {
			if !opened[o] {
				opened[o] = true
				cost += c.cost[o]
			}
		}
		for _, o := range c.held[t-1] {
			open(o)
		}
		for _, i := range plan[t-1] {
			cost += c.at(int(i), last[i], t)
			last[i] = t
			for _, o := range c.closure[i] {
				open(o)
			}
		}
	}
	for i := range c.tasks {
		cost += c.at(i, last[i], c.periods+1)
	}
	return cost
}
