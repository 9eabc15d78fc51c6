package condition

import (
	"fmt"
	"math"
)

// Answer is one answer that a look may give.
type Answer struct {
	Grade  int     // where the sort says grades
	Value  float64 // where it measures: the middle of a small range
	Chance float64 // of this answer
	Fails  float64 // chance of failing within what was asked about, after it
}

// Action is one thing to do: what it costs, and what is to be paid besides if the part fails. To
// change a part is an action whose IfFails is the chance that a new one fails times its cost, moved into
// Cost, and 0 here.
type Action struct{ Cost, IfFails float64 }

// Decision is a choice between actions for the exposures that follow.
type Decision struct {
	Within  []float64
	Actions []Action
}

// Worth is what a look would do for a decision.
type Worth struct {
	Value   float64 // by how much it is expected to lower the cost; 0 where no answer would change the choice
	Perfect float64 // the same of a look that names the stage without fail; never below Value
	Cost    float64 // expected without a look, of the best action
	Action  int     // which that is
	Answers []Answer
	Then    []int // the best action after each answer
}

// joint is, for each stage, the chance to be in it, to be in it and fail, and each answer's chance there.
type joint struct {
	in, fails []float64
	says      [][]float64
	values    []float64
}

// Answers is what a look of a sort may say now, with its chance, and the chance of failing within
// further exposures after each answer. Weighed by their chances the latter add up to the chance without a look.
func (p *Part) Answers(sort int, within []float64) ([]Answer, error) {
	t, err := p.joint(sort, within)
	if err != nil {
		return nil, err
	}
	return t.answers(), nil
}

// Worth is what a look of a sort is worth for a decision. Its misjudging is taken as it is on
// average in each stage, so that a perfect look is the most that any look can be worth.
func (p *Part) Worth(d Decision, sort int) (Worth, error) {
	t, err := p.joint(sort, d.Within)
	if err != nil {
		return Worth{}, err
	}
	if err := d.check(); err != nil {
		return Worth{}, err
	}
	return d.worth(t.answers(), t.perfect(1)), nil
}

// worth is what a look of these answers is worth beside one that names the stage. The cost without a look is that of
// the best action whatever the answer.
func (d Decision) worth(answers, perfect []Answer) Worth {
	w := Worth{Answers: answers}
	total := 0.0
	for _, a := range answers {
		total += a.Chance * a.Fails
	}
	w.Action, w.Cost = d.best(total)
	w.Value, w.Perfect = w.Cost, w.Cost
	for _, a := range answers {
		action, cost := d.best(a.Fails)
		w.Then = append(w.Then, action)
		w.Value -= a.Chance * cost
	}
	for _, a := range perfect {
		_, cost := d.best(a.Fails)
		w.Perfect -= a.Chance * cost
	}
	w.Perfect = max(w.Perfect, 0)
	w.Value = min(max(w.Value, 0), w.Perfect) // what rounding leaves
	return w
}

func (d Decision) check() error {
	if err := bad(len(d.Actions) > 0, "decision", "Actions", 0, "one action or more"); err != nil {
		return err
	}
	for i, a := range d.Actions {
		if !finite(a.Cost) || !finite(a.IfFails) || a.IfFails < 0 {
			return &DataError{fmt.Sprintf("action %d", i), "Cost and IfFails", a.Cost,
				"finite costs, IfFails 0 or above"}
		}
	}
	return nil
}

// best is the cheapest action at a chance of failing, and its expected cost.
func (d Decision) best(fails float64) (action int, cost float64) {
	cost = math.Inf(1)
	for i, a := range d.Actions {
		if c := a.Cost + fails*a.IfFails; c < cost {
			action, cost = i, c
		}
	}
	return action, cost
}

func (t *joint) answers() []Answer {
	var out []Answer
	for g := range t.says[0] {
		a := Answer{Grade: g}
		if t.values != nil {
			a.Grade, a.Value = 0, t.values[g]
		}
		for j, row := range t.says {
			a.Chance += row[g] * t.in[j]
			a.Fails += row[g] * t.fails[j]
		}
		if a.Chance > 0 {
			a.Fails = min(a.Fails/a.Chance, 1)
		}
		out = append(out, a)
	}
	return out
}

// perfect is the answers of a look that names the stage, for a share of the parts.
func (t *joint) perfect(share float64) []Answer {
	var out []Answer
	for j, in := range t.in {
		if in > 0 {
			out = append(out, Answer{Chance: share * in, Fails: min(t.fails[j]/in, 1)})
		}
	}
	return out
}

func (p *Part) joint(sort int, within []float64) (*joint, error) {
	c := p.nodes[0].chain
	if err := first(placed(checkAt(within, c.exposures), "within"),
		bad(sort >= 0 && sort < len(c.looks), "", "sort", float64(sort), fmt.Sprintf("0 to %d",
			len(c.looks)-1))); err != nil {
		return nil, err
	}
	t := &joint{in: make([]float64, c.stages), fails: make([]float64, c.stages), says: make([][]float64, c.stages)}
	cuts := p.cuts(sort)
	answers := c.grades[sort]
	if cuts != nil {
		answers = len(cuts) + 1
		t.values = middles(cuts)
	}
	for j := range t.says {
		t.says[j] = make([]float64, answers)
	}
	s := p.tracker()
	defer trackers.Put(s)
	s.over(p.post, within)
	for i := range p.nodes {
		nd := &p.nodes[i]
		s.to(nd)
		t.add(*nd, p.weight[i], p.phases[i], s.lives(nd), sort, cuts)
	}
	for j, in := range t.in {
		for g := range t.says[j] {
			if in > 0 {
				t.says[j][g] /= in
			}
		}
	}
	return t, nil
}

// add adds what one node says.
func (t *joint) add(nd node, weight float64, phases, lives []float64, sort int, cuts []float64) {
	here := make([]float64, len(t.in))
	for k, j := range nd.stageOf {
		here[j] += weight * phases[k]
		t.fails[j] += weight * phases[k] * max(1-lives[k], 0)
	}
	for j, in := range here {
		t.in[j] += in
		if cuts != nil {
			look := nd.looks[sort]
			below := math.Inf(-1)
			for g := range t.says[j] {
				upTo := math.Inf(1)
				if g < len(cuts) {
					upTo = (cuts[g] - look.level[j]) / look.scatter[0]
				}
				t.says[j][g] += in * normalBetween(below, upTo)
				below = upTo
			}
			continue
		}
		n := len(t.says[j])
		row := nd.looks[sort].says[j*n : (j+1)*n]
		f := in / shifted(row, nd.habit)
		for g, p := range row {
			t.says[j][g] += p * f
			f *= nd.habit
		}
	}
}

// valueRanges is into how many ranges a measured value is cut.
const valueRanges = 60

// cuts divides the values that a measuring look may give; nil where it says grades.
func (p *Part) cuts(sort int) []float64 {
	if p.nodes[0].grades[sort] > 0 {
		return nil
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, nd := range p.nodes {
		look := nd.looks[sort]
		for _, level := range look.level {
			low, high = min(low, level-4*look.scatter[0]), max(high, level+4*look.scatter[0])
		}
	}
	var out []float64
	for i := 1; i < valueRanges; i++ {
		out = append(out, low+(high-low)*float64(i)/valueRanges)
	}
	return out
}

func middles(cuts []float64) []float64 {
	half := (cuts[1] - cuts[0]) / 2
	out := []float64{cuts[0] - half}
	for _, c := range cuts {
		out = append(out, c+half)
	}
	return out
}

// lives writes to way, for each phase, the chance not to fail over exposures dx.
func (s *stepper) lives(dx []float64, speed float64) {
	n := s.phases
	b := s.way
	for i := range n {
		b[i] = 1
	}
	clear(b[n:])
	for range s.rates(dx, speed) {
		w := math.Exp(-s.big)
		left := 1 - w
		for i := range n {
			s.next[i] = w * b[i]
		}
		pairs := s.inPairs() // as advance counts them, lest answers add up to another chance
		for k := 1; (left > s.tail || pairs && k%2 == 0) && k < len(overs); k++ {
			w *= s.big * overs[k]
			left -= w
			for i := range n {
				b[i] = s.coef[0][i]*b[i] + s.coef[1][i+1]*b[i+1] + s.coef[2][min(i+2, n)]*b[min(i+2,
					n)] + s.coef[3][min(i+3, n)]*b[min(i+3, n)]
				s.next[i] += w * b[i]
			}
		}
		for i := range n { // as advance does with the weight left out
			b[i] = s.next[i] + max(left, 0)*b[i]
		}
	}
}
