package sequence

import (
	"cmp"
	"errors"
	"fmt"
)

// Limits on the input, so that no total can overflow and no table grows
// without bound.
const (
	MaxSteps  = 1000          // steps in one call
	MaxValues = 255           // values of one attribute
	MaxCost   = 1_000_000_000 // cost of one change

	// DefaultMaxStates is the number of states the exact search may store
	// when Options.MaxStates is zero. A stored state takes 60 to 150 bytes.
	DefaultMaxStates = 100_000
)

// Setting gives attributes their values, such as {"side": "above"}. An
// attribute that is absent, or has the empty value, does not matter. The
// package never keeps or changes a Setting handed to it.
type Setting map[string]string

// Step is one thing to do.
type Step struct {
	ID    string   // unique and not empty
	After []string // IDs of the steps that must come earlier; repeats are harmless
	Needs Setting  // what must be set while the step is done
	Rank  int      // the caller's preference: lower comes first where cost allows
}

// Change is one attribute going from one value to another, and what that
// costs. The unit of Cost is the caller's (changes, minutes); it is an integer
// so that equal totals are exactly equal.
type Change struct {
	Attribute string
	From, To  string
	Cost      int64 // 0 to MaxCost
}

// BothWays returns the change from a to b and the change from b to a at the
// same cost.
func BothWays(attribute, a, b string, cost int64) []Change {
	return []Change{
		{Attribute: attribute, From: a, To: b, Cost: cost},
		{Attribute: attribute, From: b, To: a, Cost: cost},
	}
}

// Options says where the visit starts and ends and what changes cost.
type Options struct {
	// Start is the setting before the first step. An attribute left out takes
	// the first value that is asked of it at no cost.
	Start Setting

	// End is the setting to return to after the last step. An attribute left
	// out may stay as it is.
	End Setting

	// Changes lists every change that can be made. The attributes and values
	// named here are the known ones; each value of an attribute must lead to
	// each other value of it, directly or through others. The cheapest way is
	// taken, so a change through others may undercut the direct one.
	Changes []Change

	// MaxStates bounds the states stored by the exact search, and again by
	// the search that settles ties. Zero means DefaultMaxStates.
	MaxStates int
}

// PlannedChange is a Change made just before one step of a plan.
type PlannedChange struct {
	// Before is the index into Plan.Order of the step the change makes
	// possible; len(Plan.Order) for a change that returns to Options.End.
	Before int
	Change
}

// Plan is an order of steps with the changes it takes.
type Plan struct {
	Order   []int           // indices into the steps handed in
	Changes []PlannedChange // in the order they are made
	Cost    int64           // the sum over Changes

	// LowerBound is a cost that no order can undercut.
	LowerBound int64

	// Proven reports that no order costs less: Cost equals LowerBound.
	Proven bool

	// Settled reports that the tie rule of the package comment was carried
	// through. False when Proven is false or when the search for ties ran
	// past MaxStates; the plan is then still the same on every call.
	Settled bool

	// States is the number of states the exact search stored.
	States int
}

// Order returns an order of the steps that respects every prerequisite and
// has the least total cost of changes, by the method of the package comment.
// When the exact search would store more than Options.MaxStates states, the
// plan is the best that a beam search finds, and Proven is false unless the
// lower bound happens to show that it is cheapest.
//
// The result does not depend on the order in which steps are handed in, apart
// from the indices. No steps give an empty order. Bad input gives one or more
// *Error values joined by errors.Join, and a zero Plan.
func Order(steps []Step, opts Options) (Plan, error) {
	if opts.MaxStates < 0 {
		return Plan{}, &Error{Fault: BadOption, Field: "max states",
			Msg: fmt.Sprintf("max states is %d: give 0 for the default, or a positive number", opts.MaxStates)}
	}
	prices, errs := compilePrices(opts.Changes)
	if len(errs) > 0 {
		return Plan{}, joinErrors(errs)
	}
	p, errs := compileSteps(steps, opts, prices)
	if len(errs) > 0 {
		return Plan{}, joinErrors(errs)
	}
	return p.solve(cmp.Or(opts.MaxStates, DefaultMaxStates)), nil
}

func joinErrors(errs []*Error) error {
	list := make([]error, len(errs))
	for i, e := range errs {
		list[i] = e
	}
	return errors.Join(list...)
}

// solve runs the three searches: a narrow beam for a first plan, the exact
// search below its cost, and then the tie search or the wide beam.
func (p *problem) solve(limit int) Plan {
	x := newExpander(p)
	root := x.root()
	rootBound := x.boundOf(root)

	best := x.beam(root, narrowBeam, noCost)
	exact := exactResult{bound: best.cost}
	if best.cost > rootBound {
		exact = x.exact(root, best.cost, limit)
		if exact.complete {
			best = exact.route
		}
	}

	proven := exact.bound == best.cost
	if !proven {
		if wide := x.beam(root, wideBeam, best.cost); wide.complete {
			best = wide
		}
		proven = exact.bound == best.cost
	}

	settled := false
	if proven {
		var tied []int
		if tied, settled = x.settle(root, best.cost, limit, exact.states); settled {
			best.triggers = tied
		}
	}

	plan := p.plan(x.replay(best.triggers))
	plan.LowerBound, plan.Proven, plan.Settled = exact.bound, proven, settled
	if exact.states != nil {
		plan.States = exact.states.len()
	}
	return plan
}
