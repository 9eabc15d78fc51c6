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

// Several is Part for each of several accounts of what was seen of one part: what they have in common is worked out
// once for all, most where their looks were at the same times.
func (p *Posterior) Several(h History, looks [][]Look) ([]*Part, error) {
	return p.several(h, looks, func(parts []*Part, trails []*trail) error { return follow(parts, trails, true) })
}

// Counted follows a part whose history is among those learnt from: the weights of the kinds are those learnt, and its
// looks weigh only its own speed and habit.
func (p *Posterior) Counted(h History) (*Part, error) {
	return one(p.several(h, [][]Look{h.Looks}, func(parts []*Part, trails []*trail) error {
		err := follow(parts, trails, false)
		told := []float64(nil)
		if p.nodes[0].speeds > 1 {
			told = p.told(p.fresh(trails[0]), trails[0])
		}
		for i, nd := range parts[0].nodes {
			if told == nil {
				parts[0].weight[i] = math.Log(nd.weight)
			} else {
				parts[0].weight[i] -= told[i]
			}
		}
		return err
	}))
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
	var known []float64
	return p.several(h, looks, func(parts []*Part, trails []*trail) error {
		if known == nil {
			begun := parts[0].clone()
			if !slices.EqualFunc(trails[0].ages, tr.ages, Age.same) {
				begun = p.fresh(tr)
			}
			known = p.told(begun, tr)
		}
		err := follow(parts, trails, false)
		for _, part := range parts {
			for i := range part.nodes {
				if !math.IsInf(known[i], 0) {
					part.weight[i] -= known[i]
				}
			}
		}
		return err
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

// clone is a part that may be followed by itself.
func (p *Part) clone() *Part {
	out := *p
	size := len(p.weight)
	for _, v := range p.phases {
		size += len(v)
	}
	store := append(make([]float64, 0, size), p.weight...)
	out.weight, out.phases = store[:len(store):len(store)], make([][]float64, len(p.phases))
	for i, v := range p.phases {
		from := len(store)
		store = append(store, v...)
		out.phases[i] = store[from:len(store):len(store)]
	}
	return &out
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

// prune drops the nodes of less than a share of the weight.
func (p *Part) prune(share float64) error {
	total := logSum(p.weight)
	if math.IsInf(total, -1) || math.IsNaN(total) {
		return ErrImpossible
	}
	light := func(w float64) bool { return w-total < math.Log(share) }
	if !slices.ContainsFunc(p.weight, light) {
		return nil
	}
	nodes := make([]node, 0, len(p.nodes)) // those before are another's as well
	kept := 0
	for i, nd := range p.nodes {
		if light(p.weight[i]) {
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
	all, err := failings([]*Part{p}, dx)
	if err != nil {
		return Chance{}, err
	}
	return chanceOf(all[0]), nil
}

// failings is the chance to fail under each node of each account of a part, with its weight.
func failings(parts []*Part, dx []float64) ([][]weighed, error) {
	if err := checkAt(dx, parts[0].nodes[0].exposures); err != nil {
		return nil, placed(err, "within")
	}
	t := parts[0].tracker()
	defer trackers.Put(t)
	out := make([][]weighed, len(parts))
	for k, p := range parts {
		out[k] = make([]weighed, len(p.nodes))
	}
	t.over(parts[0].post, dx)
	f := &following{parts: parts, at: make([]int, len(parts)), next: make([]int, len(parts))}
	f.each(func(_ int, nd *node) {
		t.to(nd)
		lives := t.lives(nd)
		for k, n := range f.at {
			if n >= 0 {
				p := parts[k]
				alive := 0.0
				for i, x := range p.phases[n] {
					alive += x * lives[i]
				}
				out[k][n] = weighed{min(max(1-alive, 0), 1), p.weight[n]}
			}
		}
	})
	return out, nil
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
	t.over(p.post, way)
	for i := range p.nodes {
		nd, v := &p.nodes[i], slices.Clone(p.phases[i])
		t.to(nd)
		for k := 1; k <= steps; k++ {
			t.carry(nd, v)
			alive := 0.0
			for _, x := range v {
				alive += x
			}
			out[k] += p.weight[i] * min(max(1-alive, 0), 1)
		}
	}
	return out, nil
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
	return p.moved(func(t *tracker, nd *node, v []float64) {
		t.over(p.post, dx)
		t.to(nd)
		t.carry(nd, v)
	})
}

// Seen is the part after one more look, now; At is not used.
func (p *Part) Seen(l Look) (*Part, error) {
	l.At = make([]float64, p.nodes[0].exposures)
	if err := p.post.mode.checkLook(&l); err != nil {
		return nil, err
	}
	return p.moved(func(t *tracker, nd *node, v []float64) {
		nd.emit(&l, nd.habit, t.said)
		nd.times(v, t.said)
	})
}

func (p *Part) moved(how func(t *tracker, nd *node, v []float64)) (*Part, error) {
	out := p.clone()
	t := p.tracker()
	defer trackers.Put(t)
	for i := range out.nodes {
		how(t, &out.nodes[i], out.phases[i])
		out.weight[i] = math.Log(out.weight[i]) + math.Log(scaled(out.phases[i]))
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
