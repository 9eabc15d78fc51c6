package sequence

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// problem is the checked input, with steps numbered by rank and then ID. When
// the end setting asks for something, one more step stands for it: it comes
// after all others and needs that setting.
type problem struct {
	prices *prices
	start  []uint8 // value per attribute
	end    []uint8
	goal   bool // there is a last step that stands for the end setting

	room   int   // of a set of steps
	caller []int // index into the caller's steps; -1 for the goal
	needs  [][]uint8
	preds  []bitset
	succs  [][]int

	// Per attribute: the steps that need a value, by value; the steps that
	// can be done at a value, by value; the steps that need any value.
	needing  [][]bitset
	allowing [][]bitset
	caring   []bitset

	bounds []attributeBound
}

func (p *problem) size() int { return len(p.caller) }

// newSet returns an empty set of steps. Every set of one problem has room for
// the goal, so that all have the same length.
func (p *problem) newSet() bitset { return newBitset(p.room) }

// compileSteps checks steps and options against the prices and builds the
// problem. The problem is usable only when there are no errors.
func compileSteps(steps []Step, opts Options, ps *prices) (*problem, []*Error) {
	if len(steps) > MaxSteps {
		return nil, []*Error{{Fault: TooMany, Field: "id",
			Msg: fmt.Sprintf("%d steps: at most %d can be ordered at once", len(steps), MaxSteps)}}
	}
	p := &problem{prices: ps, room: len(steps) + 1, caller: byRank(steps)}
	number, errs := numberOf(steps)
	for _, i := range p.caller {
		where := fmt.Sprintf("step %q needs", steps[i].ID)
		needs, needErrs := ps.lookUp(steps[i].Needs, where, "needs", steps[i].ID)
		p.needs = append(p.needs, needs)
		errs = append(errs, needErrs...)
	}
	var startErrs, endErrs []*Error
	p.start, startErrs = ps.lookUp(opts.Start, "start", "start", "")
	p.end, endErrs = ps.lookUp(opts.End, "end", "end", "")
	errs = append(append(errs, startErrs...), endErrs...)
	if len(errs) > 0 {
		return nil, errs
	}

	if errs := p.link(steps, number); len(errs) > 0 {
		return nil, errs
	}
	if onCycle := p.findCycle(); onCycle != nil {
		return nil, []*Error{cycleError(steps, p.caller, onCycle)}
	}
	p.addGoal()
	p.indexNeeds()
	p.bounds = make([]attributeBound, len(ps.attributes))
	topological := p.topological()
	for a := range ps.attributes {
		p.bounds[a] = p.newBound(a, topological)
	}
	return p, nil
}

// byRank returns the indices of steps in order of rank, then ID.
func byRank(steps []Step) []int {
	order := make([]int, len(steps))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(steps[i].Rank, steps[j].Rank), strings.Compare(steps[i].ID, steps[j].ID))
	})
	return order
}

// numberOf maps every ID to its caller's index.
func numberOf(steps []Step) (map[string]int, []*Error) {
	number := make(map[string]int, len(steps))
	var errs []*Error
	for i, s := range steps {
		if s.ID == "" {
			errs = append(errs, &Error{Fault: MissingID, Field: "id",
				Msg: fmt.Sprintf("step %d has no ID: give it one that no other step has", i+1)})
			continue
		}
		if first, taken := number[s.ID]; taken {
			errs = append(errs, &Error{Fault: DuplicateID, Step: s.ID, Field: "id", Value: s.ID,
				Msg: fmt.Sprintf("steps %d and %d are both called %q: give one of them another ID",
					first+1, i+1, s.ID)})
			continue
		}
		number[s.ID] = i
	}
	return number, errs
}

// link turns the After lists into prerequisites and successors.
func (p *problem) link(steps []Step, number map[string]int) []*Error {
	position := make([]int, len(steps)) // caller's index to own number
	for own, i := range p.caller {
		position[i] = own
	}
	p.preds, p.succs = make([]bitset, len(steps)), make([][]int, len(steps))
	for own := range p.preds {
		p.preds[own] = p.newSet()
	}

	var errs []*Error
	for own, i := range p.caller {
		for _, id := range steps[i].After {
			before, known := number[id]
			if !known {
				errs = append(errs, unknownPrerequisite(steps, i, id))
				continue
			}
			if first := position[before]; !p.preds[own].has(first) {
				p.preds[own].add(first)
				p.succs[first] = append(p.succs[first], own)
			}
		}
	}
	return errs
}

func unknownPrerequisite(steps []Step, i int, id string) *Error {
	var known []string
	for j, s := range steps {
		if j != i {
			known = append(known, s.ID)
		}
	}
	near := nearestName(id, known)
	return &Error{Fault: UnknownPrerequisite, Step: steps[i].ID, Field: "after", Value: id, Nearest: near,
		Msg: fmt.Sprintf("step %q comes after %q, which is not a step%s", steps[i].ID, id, suggest(near))}
}

// topological returns the steps in an order that respects the prerequisites;
// it leaves out those on a cycle or behind one.
func (p *problem) topological() []int {
	waiting := make([]int, len(p.preds))
	order := make([]int, 0, len(p.preds))
	for i, pred := range p.preds {
		if waiting[i] = pred.count(); waiting[i] == 0 {
			order = append(order, i)
		}
	}
	for at := 0; at < len(order); at++ {
		for _, next := range p.succs[order[at]] {
			if waiting[next]--; waiting[next] == 0 {
				order = append(order, next)
			}
		}
	}
	return order
}

// findCycle returns the steps of one cycle, each a prerequisite of the next,
// beginning with the lowest numbered; nil when there is none.
func (p *problem) findCycle() []int {
	left := p.newSet()
	for i := range p.preds {
		left.add(i)
	}
	for _, i := range p.topological() {
		left.remove(i)
	}
	at := left.first()
	if at < 0 {
		return nil
	}

	// A step that is left has a prerequisite that is left: walking back must
	// come to a step seen before.
	var walk []int
	for !slices.Contains(walk, at) {
		walk = append(walk, at)
		for before := range p.preds {
			if left.has(before) && p.preds[at].has(before) {
				at = before
				break
			}
		}
	}
	cycle := walk[slices.Index(walk, at):]
	slices.Reverse(cycle)
	lowest := slices.Index(cycle, slices.Min(cycle))
	return slices.Concat(cycle[lowest:], cycle[:lowest])
}

func cycleError(steps []Step, caller, cycle []int) *Error {
	ids := make([]string, len(cycle))
	for i, own := range cycle {
		ids[i] = steps[caller[own]].ID
	}
	return &Error{Fault: Cycle, Step: ids[0], Field: "after", Value: ids[len(ids)-1], Cycle: ids,
		Msg: fmt.Sprintf("steps wait for each other: %s, then %q again: take one of these prerequisites away",
			quotedChain(ids), ids[0])}
}

// quotedChain renders a before b before c, without the middle when it is long.
func quotedChain(ids []string) string {
	const most = 8
	quoted := make([]string, len(ids))
	for i, id := range ids {
		quoted[i] = fmt.Sprintf("%q", id)
	}
	if skipped := len(ids) - most - 1; skipped > 0 {
		quoted = slices.Concat(quoted[:most], []string{fmt.Sprintf("%d more", skipped)}, quoted[len(ids)-1:])
	}
	return strings.Join(quoted, " before ")
}

// addGoal adds the step that stands for the end setting, if that asks for
// anything.
func (p *problem) addGoal() {
	if !slices.ContainsFunc(p.end, func(v uint8) bool { return v != unset }) {
		return
	}
	goal := p.size()
	before := p.newSet()
	for i := range goal {
		if len(p.succs[i]) == 0 { // the others come before one of these
			before.add(i)
			p.succs[i] = append(p.succs[i], goal)
		}
	}
	p.goal = true
	p.caller = append(p.caller, -1)
	p.needs = append(p.needs, p.end)
	p.preds = append(p.preds, before)
	p.succs = append(p.succs, nil)
}

// indexNeeds fills the bitsets of steps by attribute and value.
func (p *problem) indexNeeds() {
	for a, attr := range p.prices.attributes {
		needing, allowing := make([]bitset, len(attr.values)), make([]bitset, len(attr.values))
		for v := range attr.values {
			needing[v], allowing[v] = p.newSet(), p.newSet()
		}
		caring := p.newSet()
		for i, needs := range p.needs {
			if need := int(needs[a]); need != unset {
				needing[need].add(i)
				allowing[need].add(i)
				caring.add(i)
				continue
			}
			for v := range allowing {
				allowing[v].add(i)
			}
		}
		p.needing = append(p.needing, needing)
		p.allowing = append(p.allowing, allowing)
		p.caring = append(p.caring, caring)
	}
}

// plan turns an order of own numbers into a Plan with the changes it takes,
// each made just before the first step that needs it.
func (p *problem) plan(order []int) Plan {
	plan := Plan{Order: make([]int, 0, len(order))}
	current := slices.Clone(p.start)
	for _, i := range order {
		for a, attr := range p.prices.attributes {
			need := int(p.needs[i][a])
			if need == unset {
				continue
			}
			for v := int(current[a]); v != need && v != unset; {
				w := attr.next[v][need]
				plan.Changes = append(plan.Changes, PlannedChange{Before: len(plan.Order), Change: Change{
					Attribute: attr.name, From: attr.values[v], To: attr.values[w], Cost: attr.direct[v][w]}})
				plan.Cost += attr.direct[v][w]
				v = w
			}
			current[a] = uint8(need)
		}
		if p.caller[i] >= 0 {
			plan.Order = append(plan.Order, p.caller[i])
		}
	}
	return plan
}
