package condition

import "math"

// evaluator works out log-likelihoods of histories, and their derivatives, for one chain.
type evaluator struct {
	*tracker
	nodes []*chain // derivatives at each node of speed
	logs  []float64
	ways  []*chain // derivatives in each way of being blind
	each  []*chain // derivatives at each age
}

func newEvaluator(c *chain) *evaluator {
	e := &evaluator{tracker: newTracker(c), logs: make([]float64, c.speeds)}
	for range c.speeds {
		e.nodes = append(e.nodes, c.room())
	}
	return e
}

// logLik is the log-likelihood of a trail; where g is not nil its derivatives times weight are added.
func (e *evaluator) logLik(tr *trail, weight float64, g *chain) float64 {
	if tr.ways == nil {
		return e.aged(tr, weight, g)
	}
	logs := make([]float64, len(tr.ways))
	for i, w := range tr.ways {
		var d *chain
		if g != nil {
			if len(e.ways) == i {
				e.ways = append(e.ways, e.chain.room())
			}
			d = e.ways[i]
			clear(d.flat)
		}
		logs[i] = math.Log(w.share) + e.aged(w.trail, 1, d)
	}
	total := logSum(logs)
	if g != nil && !math.IsInf(total, -1) {
		for i := range tr.ways {
			add(g.flat, e.ways[i].flat, weight*math.Exp(logs[i]-total))
		}
	}
	return total
}

// aged is the log-likelihood of a trail in one way, whatever the part's age when its watching began.
func (e *evaluator) aged(tr *trail, weight float64, g *chain) float64 {
	if tr.ages == nil {
		return e.mixed(tr.steps, tr, weight, g)
	}
	logs := make([]float64, len(tr.ages))
	for i, a := range tr.ages {
		var d *chain
		if g != nil {
			if len(e.each) == i {
				e.each = append(e.each, e.chain.room())
			}
			d = e.each[i]
			clear(d.flat)
		}
		lead := append(make([]step, 0, 1+len(tr.steps)), step{dx: a.At})
		logs[i] = math.Log(a.Weight) - e.mixed(lead, &alive, -1, d) + e.mixed(append(lead, tr.steps...), tr, 1, d)
	}
	total := logSum(logs)
	if g != nil {
		for i := range logs {
			add(g.flat, e.each[i].flat, weight*math.Exp(logs[i]-total))
		}
	}
	return total
}

// alive is the trail of a part of which no more is known than that it has not failed.
var alive = trail{outcome: Running}

// mixed sums over the part's own speed.
func (e *evaluator) mixed(steps []step, tr *trail, weight float64, g *chain) float64 {
	if g == nil && e.speeds == 1 {
		e.newPart(e.v)
		return e.filter(steps, tr, e.speed[0], e.habit[0])
	}
	for f := range e.speeds {
		if g == nil {
			e.newPart(e.v)
			e.logs[f] = e.filter(steps, tr, e.speed[f], e.habit[f]) + math.Log(e.weight[f])
			continue
		}
		clear(e.nodes[f].flat)
		e.logs[f] = e.gradient(steps, tr, f, e.nodes[f]) + math.Log(e.weight[f])
	}
	total := logSum(e.logs)
	if g == nil || math.IsInf(total, -1) {
		return total
	}
	for f := range e.speeds {
		if r := math.Exp(e.logs[f] - total); r > 0 {
			add(g.flat, e.nodes[f].flat, weight*r)
		}
	}
	return total
}

func add(to, what []float64, times float64) {
	for i, x := range what {
		to[i] += times * x
	}
}

func logSum(logs []float64) float64 {
	if len(logs) == 1 {
		return logs[0]
	}
	top := math.Inf(-1)
	for _, l := range logs {
		top = max(top, l)
	}
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for _, l := range logs {
		sum += math.Exp(l - top)
	}
	return top + math.Log(sum)
}

// Ready is histories checked and put in order once, for kinds of the same stages, exposures and looks.
type Ready struct{ trails []*trail }

// Ready checks histories and puts them in order.
func (k Kind) Ready(histories []History) (*Ready, error) {
	trails, err := k.trails(histories)
	if err != nil {
		return nil, err
	}
	return &Ready{trails}, nil
}

// LogLik is the log-likelihood of histories under the kind as it stands: full densities, per unit
// of the first exposure that runs, for failures at a known exposure; densities for measured values. It is -Inf
// where a history is impossible. The kind must be like that for which they were made ready, in all but its numbers.
func (k Kind) LogLik(h *Ready) (float64, error) {
	if err := k.Check(); err != nil {
		return 0, err
	}
	e := newEvaluator(k.compile())
	sum := 0.0
	for _, t := range h.trails {
		sum += t.weight * e.logLik(t, 1, nil)
	}
	return sum, nil
}
