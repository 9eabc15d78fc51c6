package schedule

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Plan is what to do when.
type Plan struct {
	// Visits in order of period, then of vehicle.
	Visits []Visit
	// Cost of the plan; no plan costs less than Bound. Proven: they are equal
	// (to one part in ten million).
	Cost, Bound float64
	Proven      bool
	// Nodes of the search tree looked at.
	Nodes int
}

// Visit is one visit of one vehicle.
type Visit struct {
	Vehicle  string
	Period   int
	Tasks    []string
	Openings []string
	// Hours of work and Money paid (visit, openings, task costs).
	Hours, Money float64
}

// Doings is the plan in the form Verify takes.
func (p *Plan) Doings() []Doing {
	out := make([]Doing, len(p.Visits))
	for i, v := range p.Visits {
		out[i] = Doing{v.Vehicle, v.Period, v.Tasks}
	}
	return out
}

// Gap is how much of the cost might still be saved, as a share: 0 if proven.
func (p *Plan) Gap() float64 {
	if p.Cost <= 0 {
		return 0
	}
	return max(0, (p.Cost-p.Bound)/p.Cost)
}

// Options steer a search. The zero value searches until proven or until the
// context ends.
type Options struct {
	// Start is a plan to begin with, such as the one before a change: see
	// NewSearch.
	Start []Doing
	// Steps is the number of pieces of work to do at most, the same on every
	// machine: 1 per vehicle gives a first plan, 5 a good one, more works
	// through the search tree. 0: no limit. Vehicles under a shared limit
	// count as one.
	Steps int
	// Gap stops the search when Plan.Gap is no more.
	Gap float64
	// Progress is called with each better plan or bound. Cost is +Inf until
	// there is a plan.
	Progress func(Progress)
}

// Progress is how far a search has come.
type Progress struct {
	Cost, Bound float64
	Steps       int
}

// ErrNoPlan is returned, wrapped, when the search was stopped before it found
// a plan or could show that there is none.
var ErrNoPlan = errors.New("schedule: stopped before a plan was found")

// Solve finds a plan at least cost. It returns the best plan so far when the
// context ends or the steps are used up; the steps, unlike the context, leave
// time for a first plan whatever their number. Errors: *InputError (joined),
// *Infeasible, or ErrNoPlan, with the context's error if that has ended. The
// same problem and Steps give the same plan.
func Solve(ctx context.Context, p *Problem, o Options) (*Plan, error) {
	s, err := NewSearch(p, o.Start)
	if err != nil {
		return nil, err
	}
	if err := s.Run(ctx, o); err != nil {
		return nil, err
	}
	return s.Plan()
}

// Search is a search for a plan that can be gone on with: Run for as long as a
// reader may wait, take the Plan with its gap, and Run again later. It is not
// for use by several goroutines at once, and keeps hold of the problem, which
// must not be changed meanwhile.
type Search struct {
	p       *Problem
	o       Options
	start   []Doing
	solvers []*solver
	steps   int
}

// NewSearch checks a problem and readies a search for its plan. Start is a plan
// to begin with, of a problem like this one, nil if there is none: what of it
// still fits is kept. Errors: *InputError (joined), or *Infeasible where that is
// plain to see.
func NewSearch(p *Problem, start []Doing) (*Search, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	cs := split(p)
	for _, c := range cs {
		if why := c.diagnose(p); why != nil {
			return nil, why
		}
	}
	r := &Search{p: p, start: start}
	for _, c := range cs {
		s := newSolver(c)
		s.brief, s.alone = len(p.Vehicles) > 1, func() *lone { return newLone(p, c) }
		r.solvers = append(r.solvers, s)
	}
	return r, nil
}

// Run goes on with the search until the context ends, Options.Steps more are
// done, or the gap is small enough. It returns *Infeasible once it is shown that
// there is no plan. Options.Start is not looked at. Processor use ends within
// 200 ms of the context.
func (r *Search) Run(ctx context.Context, o Options) error {
	r.o, r.steps = o, 0
	for _, s := range r.solvers {
		if s.plan == nil && len(r.start) > 0 {
			s.hint = s.c.read(r.p, r.start)
		}
	}
	err := r.all(ctx)
	if err == nil && ctx.Err() != nil && !r.planned() {
		return fmt.Errorf("%w: %w", ErrNoPlan, ctx.Err())
	}
	return err
}

// planned reports whether every component has a plan.
func (r *Search) planned() bool {
	return !slices.ContainsFunc(r.solvers, func(s *solver) bool { return s.plan == nil })
}

// all gives every component its first step, then works on the one with most
// left to gain.
func (r *Search) all(ctx context.Context) error {
	for _, s := range r.solvers { // a plan for each before any is improved
		if !s.begun && !s.done && ctx.Err() == nil {
			s.begin(ctx)
		}
		if s.done && s.plan == nil {
			return s.c.exhausted(r.p)
		}
	}
	for {
		s := r.next()
		if s == nil || r.stop(ctx, s) {
			return nil
		}
		s.step(ctx)
		r.steps++
		if s.done && s.plan == nil {
			return s.c.exhausted(r.p)
		}
		if s.better && r.o.Progress != nil {
			s.better = false
			cost, bound := r.sums()
			r.o.Progress(Progress{cost, bound, r.steps})
		}
	}
}

func (r *Search) next() *solver {
	var best *solver
	for _, s := range r.solvers {
		if s.done {
			continue
		}
		if s.stage == 0 {
			return s
		}
		if best == nil || s.stage < min(best.stage, grown) ||
			(min(s.stage, grown) == min(best.stage, grown) && s.cost-s.bound > best.cost-best.bound) {
			best = s
		}
	}
	return best
}

func (r *Search) stop(ctx context.Context, s *solver) bool {
	if ctx.Err() != nil {
		return true
	}
	if s.stage == 0 {
		return false
	}
	if r.o.Steps > 0 && r.steps >= r.o.Steps {
		return true
	}
	cost, bound := r.sums()
	return cost < inf && cost-bound <= r.o.Gap*cost
}

func (r *Search) sums() (cost, bound float64) {
	for _, s := range r.solvers {
		cost += s.cost
		bound += max(s.bound, 0)
	}
	return cost, bound
}

// Plan is the best plan found so far with a proven bound, or ErrNoPlan.
func (r *Search) Plan() (*Plan, error) {
	out := &Plan{Proven: true}
	out.Cost, out.Bound = r.sums()
	for _, s := range r.solvers {
		if s.plan == nil {
			return nil, ErrNoPlan
		}
		out.Nodes += s.tree.nodes
		for t, tasks := range s.plan {
			out.Visits = append(out.Visits, s.c.visits(r.p, t+1, tasks)...)
		}
	}
	out.Proven = out.Cost-out.Bound <= 1e-7*(1+math.Abs(out.Cost))
	if out.Proven {
		out.Bound = out.Cost
	}
	slices.SortStableFunc(out.Visits, func(a, b Visit) int { return a.Period - b.Period })
	return out, nil
}

// read is a plan in the component's own numbers; what it does not know is left
// out. Windows are left to the search.
func (c *component) read(p *Problem, plan []Doing) [][]int32 {
	number := map[[2]string]int32{}
	for i, r := range c.tasks {
		if r.task >= 0 {
			v := &p.Vehicles[r.vehicle]
			number[[2]string{v.ID, v.Tasks[r.task].ID}] = int32(i)
		}
	}
	out := make([][]int32, c.periods)
	for _, d := range plan {
		if d.Period < 1 || d.Period > c.periods {
			continue
		}
		for _, id := range d.Tasks {
			if i, ok := number[[2]string{d.Vehicle, id}]; ok && !contains(out[d.Period-1], i) {
				out[d.Period-1] = append(out[d.Period-1], i)
			}
		}
	}
	return out
}

// visits writes one period of a component's plan with names.
func (c *component) visits(p *Problem, t int, tasks []int32) []Visit {
	opened := c.opened(t, tasks)
	var out []Visit
	for k, on := range opened {
		if !on || c.opens[k].opening >= 0 {
			continue
		}
		v := c.opens[k].vehicle
		veh := &p.Vehicles[v]
		w := Visit{Vehicle: veh.ID, Period: t, Money: veh.VisitCost}
		for _, i := range tasks {
			if r := c.tasks[i]; r.vehicle == v && r.task >= 0 {
				task := &veh.Tasks[r.task]
				w.Tasks = append(w.Tasks, task.ID)
				w.Hours, w.Money = w.Hours+task.Hours, w.Money+task.Cost
			}
		}
		for q, open := range opened {
			if r := c.opens[q]; open && r.vehicle == v && r.opening >= 0 {
				o := &veh.Openings[r.opening]
				w.Openings = append(w.Openings, o.ID)
				w.Hours, w.Money = w.Hours+o.Hours, w.Money+o.Cost
			}
		}
		out = append(out, w)
	}
	return out
}

// opened marks what is open in period t when tasks are done.
func (c *component) opened(t int, tasks []int32) []bool {
	on := make([]bool, len(c.opens))
	for _, o := range c.held[t-1] {
		on[o] = true
	}
	for _, i := range tasks {
		for _, o := range c.closure[i] {
			on[o] = true
		}
	}
	return on
}
