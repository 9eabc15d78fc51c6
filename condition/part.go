package condition

import (
	"math"
	"slices"
	"sync"
)

// Part is what is believed of one part after its looks. It is not changed by use and may be shared.
type Part struct {
	post   *Posterior
	nodes  []node      // those that still count
	weight []float64   // of each node, adding up to 1
	phases [][]float64 // of each node, adding up to 1
}

// Chance is a chance, 0 to 1, with the band in which it lies for eight in ten of the kinds that may be true.
type Chance struct{ Mean, Low, High float64 }

// Known is the posterior of a kind that is certain.
func Known(k Kind) (*Posterior, error) { return Prior{Kind: k}.Learn(nil, Options{}) }

// Part follows a part through its own looks. Its history must not be among those learnt from: then use
// [Posterior.Counted], lest it be counted twice. The outcome must be Running, Removed or RemovedBad.
func (p *Posterior) Part(h History) (*Part, error) { return one(p.Several(h, [][]Look{h.Looks})) }

// Several is Part for each of several accounts of what was seen of one part: that it was of some age when it began to
// be watched is worked out once for all.
func (p *Posterior) Several(h History, looks [][]Look) ([]*Part, error) {
	return p.several(h, looks, func(out *Part, tr *trail) error { return out.follow(tr, true) })
}

// Counted follows a part whose history is among those learnt from.
func (p *Posterior) Counted(h History) (*Part, error) {
	return one(p.several(h, [][]Look{h.Looks}, func(out *Part, tr *trail) error { return out.follow(tr, false) }))
}

// PartOf follows a part of whose history only told is among those learnt from, say that it is still running but
// not what was seen of it: the kinds are weighed by what h tells beyond that.
func (p *Posterior) PartOf(h, told History) (*Part, error) {
	return one(p.SeveralOf(h, [][]Look{h.Looks}, told))
}

// SeveralOf is PartOf for each of several accounts of what was seen of one part.
func (p *Posterior) SeveralOf(h History, looks [][]Look, told History) ([]*Part, error) {
	tr, err := p.ready(told)
	if err != nil {
		return nil, placed(err, "told")
	}
	var known []float64 // by node, what was told
	return p.several(h, looks, func(out *Part, seen *trail) error {
		t := out.tracker()
		defer trackers.Put(t)
		for i, nd := range out.nodes {
			if len(known) == i {
				known = append(known, t.told(nd, tr))
			}
			out.weight[i] += out.chunk(t, i, seen, 0, len(seen.steps), true)
			if !math.IsInf(known[i], 0) {
				out.weight[i] -= known[i]
			}
		}
		return nil
	})
}

func one(parts []*Part, err error) (*Part, error) {
	if err != nil {
		return nil, err
	}
	return parts[0], nil
}

// ready checks a history of one part and puts it in order.
func (p *Posterior) ready(h History) (*trail, error) {
	if err := bad(len(h.Blind) == 0, "", "Blind", float64(len(h.Blind)),
		"none: follow the part in each way, see Pool"); err != nil {
		return nil, err
	}
	return p.mode.ready(h)
}

// several follows a part, from when its watching begins, by each account of what was seen.
func (p *Posterior) several(h History, looks [][]Look, follow func(out *Part, tr *trail) error) ([]*Part, error) {
	var begun *Part
	parts := make([]*Part, len(looks))
	for i := range looks {
		h.Looks = looks[i]
		tr, err := p.ready(h)
		if err != nil {
			return nil, placed(err, "part")
		}
		if h.Outcome == Failed || h.Outcome == FoundFailed {
			return nil, &DataError{"part", "Outcome", float64(h.Outcome), "a part that has not failed"}
		}
		if begun == nil {
			begun = p.fresh(tr)
		}
		parts[i] = begun
		if i < len(looks)-1 {
			parts[i] = begun.clone()
		}
		if err := first(follow(parts[i], tr), parts[i].settle()); err != nil {
			return nil, err
		}
	}
	return parts, nil
}

// clone is a part that may be followed by itself.
func (p *Part) clone() *Part {
	out := *p
	out.weight, out.phases = slices.Clone(p.weight), make([][]float64, len(p.phases))
	for i, v := range p.phases {
		out.phases[i] = slices.Clone(v)
	}
	return &out
}

// follow follows a part to the end of a trail; weigh says that the kinds are weighed by what was seen.
func (p *Part) follow(tr *trail, weigh bool) error {
	t := p.tracker()
	defer trackers.Put(t)
	for from := 0; ; from += pruneEvery {
		to := min(from+pruneEvery, len(tr.steps))
		last := to == len(tr.steps)
		for i := range p.nodes {
			p.weight[i] += p.chunk(t, i, tr, from, to, last)
		}
		if last {
			break
		}
		if weigh {
			if err := p.prune(1e-4); err != nil {
				return err
			}
		}
	}
	if !weigh {
		p.recount(t, tr)
	}
	return nil
}

// pruneEvery is after how many looks the kinds that have become unbelievable are dropped.
const pruneEvery = 6

// chunk follows some of a trail's steps under one node and returns their log-likelihood.
func (p *Part) chunk(t *tracker, i int, tr *trail, from, to int, last bool) float64 {
	nd := &p.nodes[i]
	t.follow(nd.chain)
	copy(t.v, p.phases[i])
	part := *tr
	if !last {
		part.outcome = Running
	}
	log := t.filter(tr.steps[from:to], &part, nd.speed, nd.habit)
	copy(p.phases[i], t.v)
	return log
}

// fresh is the part when its watching begins.
func (p *Posterior) fresh(tr *trail) *Part {
	n := len(p.nodes)
	out := &Part{post: p, nodes: p.nodes, weight: make([]float64, n), phases: make([][]float64, n)}
	size := 0
	for _, nd := range p.nodes {
		size += nd.phases
	}
	store := make([]float64, size)
	t := out.tracker()
	defer trackers.Put(t)
	for i, nd := range p.nodes {
		t.follow(nd.chain)
		out.weight[i] = math.Log(nd.weight) + t.begin(tr, nd.speed)
		out.phases[i], store = store[:nd.phases:nd.phases], store[nd.phases:]
		copy(out.phases[i], t.v)
	}
	return out
}

var trackers = sync.Pool{New: func() any { return &tracker{stepper: &stepper{}} }}

// tracker is one, to be given back to trackers, that is as exact as the part's kinds deserve.
func (p *Part) tracker() *tracker {
	t := trackers.Get().(*tracker)
	t.follow(p.nodes[0].chain)
	t.tail = exact
	if len(p.post.nodes) > 1 {
		t.tail = rougher
	}
	return t
}

// begin is a part of the ages it may have when its watching begins, and the log of the chance to live to that.
func (t *tracker) begin(tr *trail, speed float64) float64 {
	t.newPart(t.v)
	if tr.ages == nil {
		return 0
	}
	sum := make([]float64, t.phases)
	for _, a := range tr.ages {
		t.newPart(t.v)
		t.advance(t.v, a.At, speed)
		add(sum, t.v, a.Weight)
	}
	copy(t.v, sum)
	return math.Log(scaled(t.v))
}

// recount takes the weights of the kinds from what was learnt, and lets the part's looks weigh only its own speed.
func (p *Part) recount(t *tracker, tr *trail) {
	for i, nd := range p.nodes {
		if len(ownNodes(p.post.space.base.Kind)) == 1 {
			p.weight[i] = math.Log(nd.weight)
			continue
		}
		p.weight[i] -= t.told(nd, tr)
	}
}

// told is the log-likelihood of a trail under a node's kind, whatever the part's own speed and habit.
func (t *tracker) told(nd node, tr *trail) float64 {
	t.follow(nd.chain)
	logs := make([]float64, nd.speeds)
	for f := range logs {
		logs[f] = math.Log(nd.chain.weight[f]) + t.begin(tr, nd.chain.speed[f])
		logs[f] += t.filter(tr.steps, tr, nd.chain.speed[f], nd.chain.habit[f])
	}
	return logSum(logs)
}

// prune drops the nodes of less than a share of the weight.
func (p *Part) prune(share float64) error {
	total := logSum(p.weight)
	if math.IsInf(total, -1) || math.IsNaN(total) {
		return ErrImpossible
	}
	nodes := make([]node, 0, len(p.nodes))
	kept := 0
	for i, nd := range p.nodes {
		if p.weight[i]-total < math.Log(share) {
			continue
		}
		nodes = append(nodes, nd)
		p.weight[kept], p.phases[kept] = p.weight[i], p.phases[i]
		kept++
	}
	p.nodes, p.weight, p.phases = nodes, p.weight[:kept], p.phases[:kept]
	return nil
}

// settle drops the nodes that do not count and turns log weights into weights.
func (p *Part) settle() error {
	if err := p.prune(1e-7); err != nil {
		return err
	}
	total := logSum(p.weight)
	for i, w := range p.weight {
		p.weight[i] = math.Exp(w - total)
	}
	return nil
}

// Stages is the chance that the part is in each stage, adding up to 1.
func (p *Part) Stages() []float64 {
	out := make([]float64, p.nodes[0].stages)
	for i, nd := range p.nodes {
		for k, j := range nd.stageOf {
			out[j] += p.weight[i] * p.phases[i][k]
		}
	}
	return out
}

// FailWithin is the chance that the part fails within further exposures.
func (p *Part) FailWithin(dx []float64) (Chance, error) {
	each, err := p.failings(dx)
	if err != nil {
		return Chance{}, err
	}
	return chanceOf(each), nil
}

// failings is the chance to fail under each node, with its weight.
func (p *Part) failings(dx []float64) ([]weighed, error) {
	if err := checkAt(dx, p.nodes[0].exposures); err != nil {
		return nil, placed(err, "within")
	}
	t := p.tracker()
	defer trackers.Put(t)
	each := make([]weighed, len(p.nodes))
	for i, nd := range p.nodes {
		each[i] = weighed{p.failing(t, i, nd, dx), p.weight[i]}
	}
	return each, nil
}

// chanceOf is the mean of chances, with their band. It sorts them.
func chanceOf(each []weighed) Chance {
	mean := 0.0
	for _, e := range each {
		mean += e.value * e.weight
	}
	low, high := band(each)
	return Chance{min(mean, 1), low, high}
}

// Curve is the chance that the part has failed after 0, 1, ... steps further steps of way: one number more than steps.
func (p *Part) Curve(way []float64, steps int) ([]float64, error) {
	if err := first(placed(checkAt(way, p.nodes[0].exposures), "way"),
		bad(steps > 0, "", "steps", float64(steps), "1 or more")); err != nil {
		return nil, err
	}
	t := p.tracker()
	defer trackers.Put(t)
	out := make([]float64, steps+1)
	for i, nd := range p.nodes {
		t.follow(nd.chain)
		copy(t.v, p.phases[i])
		for k := 1; k <= steps; k++ {
			t.advance(t.v, way, nd.speed)
			alive := 0.0
			for _, x := range t.v {
				alive += x
			}
			out[k] += p.weight[i] * min(max(1-alive, 0), 1)
		}
	}
	return out, nil
}

// failing is the chance to fail under one node.
func (p *Part) failing(t *tracker, i int, nd node, dx []float64) float64 {
	t.follow(nd.chain)
	copy(t.v, p.phases[i])
	t.advance(t.v, dx, nd.speed)
	alive := 0.0
	for _, x := range t.v {
		alive += x
	}
	return min(max(1-alive, 0), 1)
}

type weighed struct{ value, weight float64 }

// band is the values below which a tenth and nine tenths of the weight lie.
func band(each []weighed) (low, high float64) {
	slices.SortFunc(each, func(a, b weighed) int {
		switch {
		case a.value < b.value:
			return -1
		case a.value > b.value:
			return 1
		}
		return 0
	})
	sum, low, high := 0.0, each[0].value, each[len(each)-1].value
	for _, e := range each {
		if sum <= 0.1 {
			low = e.value
		}
		sum += e.weight
		if sum >= 0.9 {
			return low, e.value
		}
	}
	return low, high
}

// Later is the part after further exposures, given that it has not failed.
func (p *Part) Later(dx []float64) (*Part, error) {
	if err := checkAt(dx, p.nodes[0].exposures); err != nil {
		return nil, placed(err, "later")
	}
	return p.moved(func(t *tracker, nd node) float64 {
		t.advance(t.v, dx, nd.speed)
		return scaled(t.v)
	})
}

// Seen is the part after one more look, now; At is not used.
func (p *Part) Seen(l Look) (*Part, error) {
	l.At = make([]float64, p.nodes[0].exposures)
	if err := p.post.mode.checkLook(&l); err != nil {
		return nil, err
	}
	return p.moved(func(t *tracker, nd node) float64 { return t.see(&l, nd.habit) })
}

func (p *Part) moved(how func(t *tracker, nd node) float64) (*Part, error) {
	out := &Part{post: p.post, nodes: p.nodes}
	t := p.tracker()
	defer trackers.Put(t)
	for i, nd := range p.nodes {
		t.follow(nd.chain)
		copy(t.v, p.phases[i])
		out.weight = append(out.weight, math.Log(p.weight[i])+math.Log(how(t, nd)))
		out.phases = append(out.phases, slices.Clone(t.v))
	}
	return out, out.settle()
}

// NextLook is how many times the exposures of way (say those of one day) may pass before the
// chance of failing unseen reaches bound; at most most.
func (p *Part) NextLook(way []float64, bound, most float64) (float64, error) {
	if err := first(placed(checkAt(way, p.nodes[0].exposures), "way"),
		bad(slices.Max(way) > 0, "", "way", 0, "at least one exposure above 0"),
		bad(bound > 0 && bound < 1, "", "bound", bound, "a fraction between 0 and 1"),
		bad(finite(most) && most > 0, "", "most", most, "above 0")); err != nil {
		return 0, err
	}
	dx := make([]float64, len(way))
	chance := func(times float64) float64 {
		for e := range dx {
			dx[e] = way[e] * times
		}
		c, _ := p.FailWithin(dx)
		return c.Mean
	}
	if chance(most) <= bound {
		return most, nil
	}
	low, high := 0.0, most
	for high-low > 1e-4*high && high > 1e-12*most {
		mid := (low + high) / 2
		if low == 0 {
			mid = high / 4
		}
		if chance(mid) <= bound {
			low = mid
		} else {
			high = mid
		}
	}
	return low, nil
}
