package sequence

import "fmt"

// Verify replays a plan and returns an error that names the first thing wrong
// with it: a step missing or done twice, a step before one of its
// prerequisites, a change that Options.Changes does not list at that cost or
// that does not begin at the value set, a step or an end whose needs are not
// met, a wrong total, or bounds that contradict it. It does not judge whether
// a cheaper order exists. It shares no code with Order, so that each checks
// the other. Steps and options are taken to be such as Order accepts.
func Verify(steps []Step, opts Options, plan Plan) error {
	v := replayer{steps: steps, now: map[string]string{}, listed: map[Change]bool{}, done: map[string]bool{}}
	for _, c := range opts.Changes {
		v.listed[c] = true
	}
	for name, value := range opts.Start {
		v.now[name] = value
	}

	changes := plan.Changes
	for at, index := range plan.Order {
		for len(changes) > 0 && changes[0].Before <= at {
			if err := v.change(changes[0], at); err != nil {
				return err
			}
			changes = changes[1:]
		}
		if err := v.step(at, index); err != nil {
			return err
		}
	}
	for _, c := range changes {
		if err := v.change(c, len(plan.Order)); err != nil {
			return err
		}
	}
	if err := v.meets(opts.End); err != nil {
		return fmt.Errorf("the end: %w", err)
	}
	if len(plan.Order) != len(steps) {
		return fmt.Errorf("the order has %d steps, not %d", len(plan.Order), len(steps))
	}
	return v.totals(plan)
}

// replayer is the workshop while a plan is replayed.
type replayer struct {
	steps  []Step
	now    map[string]string
	listed map[Change]bool
	done   map[string]bool
	paid   int64
}

func (v *replayer) change(c PlannedChange, at int) error {
	if c.Before != at {
		return fmt.Errorf("change of %s is out of place: before %d, met at %d", c.Attribute, c.Before, at)
	}
	if !v.listed[c.Change] {
		return fmt.Errorf("change of %s from %q to %q at cost %d is not listed", c.Attribute, c.From, c.To, c.Cost)
	}
	if v.now[c.Attribute] != c.From {
		return fmt.Errorf("change of %s begins at %q, but %q is set", c.Attribute, c.From, v.now[c.Attribute])
	}
	v.now[c.Attribute] = c.To
	v.paid += c.Cost
	return nil
}

func (v *replayer) step(at, index int) error {
	if index < 0 || index >= len(v.steps) {
		return fmt.Errorf("place %d of the order holds %d: there are %d steps", at, index, len(v.steps))
	}
	s := v.steps[index]
	if v.done[s.ID] {
		return fmt.Errorf("step %q is done twice", s.ID)
	}
	for _, id := range s.After {
		if !v.done[id] {
			return fmt.Errorf("step %q is done before %q", s.ID, id)
		}
	}
	if err := v.meets(s.Needs); err != nil {
		return fmt.Errorf("step %q: %w", s.ID, err)
	}
	v.done[s.ID] = true
	return nil
}

// meets reports whether the workshop is set as asked. An attribute that nobody
// has set takes the first value asked of it.
func (v *replayer) meets(needs Setting) error {
	for name, value := range needs {
		if value == "" {
			continue
		}
		if v.now[name] == "" {
			v.now[name] = value
		}
		if v.now[name] != value {
			return fmt.Errorf("%s must be %q, but is %q", name, value, v.now[name])
		}
	}
	return nil
}

func (v *replayer) totals(plan Plan) error {
	switch {
	case v.paid != plan.Cost:
		return fmt.Errorf("the changes cost %d in all, not %d", v.paid, plan.Cost)
	case plan.LowerBound > plan.Cost:
		return fmt.Errorf("the lower bound %d is above the cost %d", plan.LowerBound, plan.Cost)
	case plan.Proven != (plan.LowerBound == plan.Cost):
		return fmt.Errorf("proven is %t with lower bound %d and cost %d", plan.Proven, plan.LowerBound, plan.Cost)
	case plan.Settled && !plan.Proven:
		return fmt.Errorf("ties are settled, but the cost is not proven")
	}
	return nil
}
