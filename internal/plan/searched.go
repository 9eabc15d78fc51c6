package plan

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/schedule"
)

// searched is a search of the engine and what it found in some steps. The engine has neither a clock nor chance: for
// the very same problem, plan to begin with and steps the plan is recalled where it was found before. The search is
// then gone through only by who goes on with it.
type searched struct {
	from  string // names all that the search was begun with, and its steps
	begun func(context.Context) (*schedule.Search, error)
	steps int
	plan  *schedule.Plan
	whole *schedule.Search // nil: not gone through
}

// search searches in so many steps. Joined are the searches of the vehicles of the problem by themselves, nil where
// it is not one that they share. Where the steps are cut short there is no plan: another time they would give another.
func search(ctx context.Context, memory advise.Memory, p *schedule.Problem, joined []*searched,
	start []schedule.Doing, steps int) (*searched, error) {
	p = unchanging(p)
	s := &searched{steps: steps}
	s.begun = func(context.Context) (*schedule.Search, error) { return schedule.NewSearch(p, start) }
	sum := sha256.New()
	fmt.Fprintf(sum, "%v %#v %#v", gapAim, *p, start)
	for _, one := range joined {
		fmt.Fprintf(sum, " %s", one.from)
	}
	name := fmt.Sprint("search ", hex.EncodeToString(sum.Sum(nil)))
	s.from = fmt.Sprint(name, " ", steps)
	if joined != nil {
		s.begun = func(ctx context.Context) (*schedule.Search, error) {
			own := make([]*schedule.Search, len(joined))
			for i, one := range joined {
				var err error
				if own[i], err = one.further(ctx); err != nil {
					return nil, err
				}
			}
			return schedule.Join(p, own, start)
		}
	}
	for _, from := range []string{name, s.from} {
		if s.plan = recalled(memory, from, p, steps); s.plan != nil {
			return s, nil
		}
	}
	whole, err := s.further(ctx)
	if err != nil {
		return nil, err
	}
	if s.plan, err = whole.Plan(); err != nil || memory == nil {
		return s, err
	}
	from := s.from
	if s.plan.Cost-s.plan.Bound <= gapAim*s.plan.Cost { // more steps find nothing else
		from = name
	}
	if what, err := json.Marshal(found{steps, s.plan}); err == nil {
		memory.Remember(from, what)
	}
	return s, nil
}

// unchanging is a problem whose limits nobody draws in.
func unchanging(p *schedule.Problem) *schedule.Problem {
	out := *p
	out.Calendar, out.Vehicles = slices.Clone(p.Calendar), slices.Clone(p.Vehicles)
	for i := range out.Vehicles {
		out.Vehicles[i].Calendar = slices.Clone(p.Vehicles[i].Calendar)
	}
	return &out
}

// found is what a search found, as it is kept.
type found struct {
	Steps int // within these
	Plan  *schedule.Plan
}

// recalled returns the plan that is kept of a search, or nil where there is none, or one that took more steps or
// does not keep the rules at the cost that it names.
func recalled(memory advise.Memory, from string, p *schedule.Problem, steps int) *schedule.Plan {
	if memory == nil {
		return nil
	}
	var f found
	if json.Unmarshal(memory.Recall(from), &f) != nil || f.Plan == nil || f.Steps > steps {
		return nil
	}
	cost, faults := schedule.Verify(p, f.Plan.Doings())
	if len(faults) > 0 || math.Abs(cost-f.Plan.Cost) > 1e-6*(1+math.Abs(cost)) {
		return nil
	}
	return f.Plan
}

// further is the search itself, which has taken its steps. It returns the context's error where that ends first.
func (s *searched) further(ctx context.Context) (*schedule.Search, error) {
	if s.whole != nil {
		return s.whole, nil
	}
	whole, err := s.begun(ctx)
	if err != nil {
		return nil, err
	}
	err = whole.Run(ctx, schedule.Options{Steps: s.steps, Gap: gapAim})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err == nil {
		s.whole = whole
	}
	return whole, err
}

// step goes on with the search by a step.
func (s *searched) step(ctx context.Context) (*schedule.Plan, error) {
	whole, err := s.further(ctx)
	if err == nil {
		err = whole.Run(ctx, schedule.Options{Steps: 1})
	}
	if err != nil {
		return nil, err
	}
	return whole.Plan()
}
