package condition

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// follow follows several accounts of one part to the end of their trails, which go by the same steps; weigh says that
// kinds which have become unbelievable are dropped on the way.
func follow(parts []*Part, trails []*trail, weigh bool) error {
	f := &following{parts: parts, trails: trails, at: make([]int, len(parts)), next: make([]int, len(parts)),
		tracker: parts[0].tracker()}
	defer trackers.Put(f.tracker)
	f.begin()
	for i, s := range trails[0].steps {
		f.over(parts[0].post, s.dx)
		f.hear(i)
		f.each(func(at int, nd *node) { f.take(at, nd, i) })
		if i%pruneEvery == pruneEvery-1 && i < len(trails[0].steps)-1 {
			for _, p := range parts {
				f.scale(p)
				if weigh {
					if err := p.prune(1e-4); err != nil {
						return err
					}
				}
			}
		}
	}
	f.end()
	return nil
}

// following is accounts of one part on their way. Whatever is seen says the same of all phases of the first stage, so
// that what becomes of them is alike in all accounts up to a factor: where steps are had in closed form they are
// followed once, as a row for each kind, and the first of a part's phases holds its factor.
type following struct {
	*tracker
	parts    []*Part
	trails   []*trail
	rows     [][]float64
	said     []float64
	heard    [][]float64 // of each account: of each stage, what the look at hand said of it; nil for nothing
	at, next []int
}

// pruneEvery is after how many looks the kinds that have become unbelievable are dropped.
const pruneEvery = 6

// each calls do for every kind that may be true of any of the parts, with where it stands among all. at is where it
// stands in each of them then, below 0 where it was dropped.
func (f *following) each(do func(i int, nd *node)) {
	clear(f.next)
	all := f.parts[0].post.nodes
	for i := range all {
		counts := false
		for k, p := range f.parts {
			f.at[k] = -1
			if n := f.next[k]; n < len(p.nodes) && p.nodes[n].chain == all[i].chain {
				f.at[k], f.next[k], counts = n, n+1, true
			}
		}
		if counts {
			do(i, &all[i])
		}
	}
}

func (f *following) begin() {
	post := f.parts[0].post
	f.heard, f.said = make([][]float64, len(f.parts)), make([]float64, len(f.parts)*post.nodes[0].stages)
	if post.later == nil {
		return
	}
	f.rows = make([][]float64, len(post.nodes))
	f.rowsOf = f.rowsOf[:0]
	for i, nd := range post.nodes {
		from := len(f.rowsOf)
		f.rowsOf = append(f.rowsOf, f.parts[0].phases[i][:nd.start[1]]...)
		f.rows[i] = f.rowsOf[from:len(f.rowsOf):len(f.rowsOf)] // those before may lie elsewhere by now, and stay there
		for _, p := range f.parts {
			p.phases[i][0] = 1
		}
	}
}

// end gives the rows back to the parts.
func (f *following) end() {
	if f.rows != nil {
		f.each(func(i int, _ *node) {
			for k, n := range f.at {
				if n >= 0 {
					v := f.parts[k].phases[n]
					for j, by := len(f.rows[i])-1, v[0]; j >= 0; j-- {
						v[j] = by * f.rows[i][j]
					}
				}
			}
		})
		f.rows = nil
	}
	for _, p := range f.parts {
		f.scale(p)
	}
}

// hear sets what each account says of the stages at the end of a step, where that is alike for all kinds.
func (f *following) hear(step int) {
	nd := &f.parts[0].nodes[0]
	for k, tr := range f.trails {
		said := f.said[k*nd.stages : (k+1)*nd.stages]
		if f.heard[k] = nil; f.rows != nil && nd.says(tr, step, said) {
			f.heard[k] = said
			if top := slices.Max(said); nd.measures(tr, step) && top > 0 {
				for j := range said {
					said[j] /= top
				}
			}
		}
	}
}

// says writes what is seen at the end of a step to said; false where nothing is.
func (nd *node) says(tr *trail, step int, said []float64) bool {
	l := tr.steps[step].look
	switch {
	case tr.outcome == RemovedBad && step == len(tr.steps)-1:
		nd.emitBad(tr.off, nd.habit, said)
	case l == nil || l.Blind && nd.habit == 1:
		return false
	default:
		nd.emit(l, nd.habit, said)
	}
	return true
}

// measures says whether a value is measured at the end of a step, which may be as good as impossible.
func (nd *node) measures(tr *trail, step int) bool {
	l := tr.steps[step].look
	return l != nil && nd.grades[l.Sort] == 0
}

// take takes a step under one kind.
func (f *following) take(i int, nd *node, step int) {
	if f.rows != nil {
		f.takeRow(f.rows[i], nd)
		return
	}
	f.to(nd)
	said := f.said[:nd.stages]
	for k, n := range f.at {
		if n < 0 {
			continue
		}
		p := f.parts[k]
		f.carry(nd, p.phases[n])
		if nd.says(f.trails[k], step, said) {
			nd.times(p.phases[n], said)
		}
		if nd.measures(f.trails[k], step) {
			p.weight[n] += math.Log(scaled(p.phases[n]))
		}
	}
}

// takeRow does so where the first stage is followed once for all accounts.
func (f *following) takeRow(row []float64, nd *node) {
	moved, first := slices.Max(f.dx) > 0, len(row)
	var in []float64 // what comes out of the row over the step, of each later phase
	if moved {
		in = f.leave(nd, row)
	}
	for k, n := range f.at {
		if n < 0 {
			continue
		}
		v := f.parts[k].phases[n]
		if moved {
			f.step.stay(v[first:], in, v[0])
		}
		if said := f.heard[k]; said != nil {
			v[0] *= said[0]
			for q := first; q < len(v); q++ {
				v[q] *= said[nd.stageOf[q]]
			}
		}
	}
}

// leave carries a row over the step and returns what comes out of it.
func (f *following) leave(nd *node, row []float64) []float64 {
	f.to(nd)
	if f.closed {
		return f.step.leave(row)
	}
	v := zeros(f.v, nd.phases)
	copy(v, row)
	f.advance(v, f.dx, nd.speed)
	copy(row, v)
	return v[len(row):]
}

// scale turns what the phases of an account add up to into weight.
func (f *following) scale(p *Part) {
	i := 0
	for n, v := range p.phases {
		if f.rows == nil {
			p.weight[n] += math.Log(scaled(v))
			continue
		}
		for p.post.nodes[i].chain != p.nodes[n].chain {
			i++
		}
		later := v[len(f.rows[i]):]
		sum := v[0] * floats.Sum(f.rows[i])
		for _, x := range later {
			sum += x
		}
		p.weight[n] += math.Log(sum)
		v[0] /= sum
		for q := range later {
			later[q] /= sum
		}
	}
}

// fresh is the part when its watching begins.
func (p *Posterior) fresh(tr *trail) *Part {
	n := len(p.nodes)
	out := &Part{post: p, nodes: p.nodes, weight: make([]float64, n), phases: make([][]float64, n)}
	size := 0
	for _, nd := range p.nodes {
		size += nd.phases
	}
	store := make([]float64, 2*size)
	t := out.tracker()
	defer trackers.Put(t)
	for i, nd := range p.nodes {
		out.phases[i], store = store[:nd.phases:nd.phases], store[nd.phases:]
		if tr.ages == nil {
			nd.newPart(out.phases[i])
		}
	}
	for _, a := range tr.ages {
		t.over(p, a.At)
		for i := range p.nodes {
			nd, v := &p.nodes[i], store[:p.nodes[i].phases]
			nd.newPart(v)
			if slices.Max(a.At) > 0 {
				t.to(nd)
				t.born(nd, v)
			}
			add(out.phases[i], v, a.Weight)
		}
	}
	for i, nd := range p.nodes {
		out.weight[i] = math.Log(nd.weight) + math.Log(scaled(out.phases[i]))
	}
	return out
}

// several follows a part, from when its watching begins, by each account of what was seen: by those at once whose
// looks were at the same times.
func (p *Posterior) several(h History, looks [][]Look, along func(parts []*Part, trails []*trail) error) ([]*Part,
	error) {
	trails := make([]*trail, len(looks))
	for i := range looks {
		h.Looks = looks[i]
		var err error
		if trails[i], err = p.ready(h); err != nil {
			return nil, placed(err, "part")
		}
		if h.Outcome == Failed || h.Outcome == FoundFailed {
			return nil, &DataError{"part", "Outcome", float64(h.Outcome), "a part that has not failed"}
		}
	}
	parts := []*Part{p.fresh(trails[0])}
	for range looks[1:] {
		parts = append(parts, parts[0].clone())
	}
	for from, to := 0, 0; from < len(parts); from = to {
		for to = from + 1; to < len(parts) && trails[from].alongside(trails[to]); {
			to++
		}
		if err := along(parts[from:to], trails[from:to]); err != nil {
			return nil, err
		}
	}
	for _, part := range parts {
		if err := part.settle(); err != nil {
			return nil, err
		}
	}
	return parts, nil
}

// alongside says whether two trails go by the same steps.
func (t *trail) alongside(o *trail) bool {
	return slices.EqualFunc(t.steps, o.steps, func(a, b step) bool { return slices.Equal(a.dx, b.dx) })
}

// told is the log-likelihood of a trail under each node's kind, whatever the part's own speed and habit. begun is the
// part when its watching begins, and is used up.
func (p *Posterior) told(begun *Part, tr *trail) []float64 {
	out := make([]float64, len(p.nodes))
	if p.nodes[0].speeds == 1 {
		if follow([]*Part{begun}, []*trail{tr}, false) == nil {
			for i, nd := range p.nodes {
				out[i] = begun.weight[i] - math.Log(nd.weight)
			}
		}
		return out
	}
	t := trackers.Get().(*tracker)
	defer trackers.Put(t)
	t.tail = rougher
	for i, nd := range p.nodes {
		t.follow(nd.chain)
		logs := make([]float64, nd.speeds)
		for f := range logs {
			logs[f] = math.Log(nd.chain.weight[f]) + t.begin(tr, nd.chain.speed[f])
			logs[f] += t.filter(tr.steps, tr, nd.chain.speed[f], nd.chain.habit[f])
		}
		out[i] = logSum(logs)
	}
	return out
}
