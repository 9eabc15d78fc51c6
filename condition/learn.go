package condition

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

func (k Kind) trails(histories []History) ([]*trail, error) {
	if err := k.Check(); err != nil {
		return nil, err
	}
	var out []*trail
	for i, h := range histories {
		t, err := k.ready(h)
		if err != nil {
			return nil, placed(err, "history %d", i)
		}
		out = append(out, t)
	}
	return out, nil
}

// Options of [Prior.Learn].
type Options struct {
	Nodes int // how many kinds, weighed, stand for what is not known; 0 for 48

	// Peak is what [Posterior.Peak] gave once for the same prior, histories and Nodes: they are then not searched
	// again. It is the caller's word that they are the same. Nil where nothing is known.
	Peak *Peak
}

// Peak is where [Prior.Learn] found the most likely kind and how kinds are spread around it: all that took it long.
type Peak struct {
	At     []float64 // one number for each unknown, in the prior's standard deviations from its middle
	Root   []float64 // row by row, a square root of the covariance around it
	Weight []float64 // of each kind drawn around it, adding up to 1
	LogLik float64   // see [Posterior.LogLik]
	Likely float64   // logarithm of how likely the histories are, on average over what the prior holds
	Else   *Peak     // the same where [Prior.Else] holds; nil where there is none
}

const defaultNodes = 48

// Posterior is what is believed of a kind after histories: a few dozen weighed kinds. It is not
// changed by use and may be shared.
type Posterior struct {
	mode  Kind
	peak  Peak
	count int
	nodes []node
	later *chain // see laterOf
}

// node is one kind that may be true, with a speed and a habit that a part of it may have.
type node struct {
	*chain
	speed  float64
	habit  float64
	weight float64
}

// Mode is the most likely kind: with a [Flat] prior that of greatest likelihood, with [Prior.Else] the most likely of
// the others.
func (p *Posterior) Mode() Kind { return p.mode.clone() }

// LogLik is the log-likelihood of the histories at the mode, without the prior.
func (p *Posterior) LogLik() float64 { return p.peak.LogLik }

// Peak is what [Options] take to make the posterior again without a search. Nobody changes it.
func (p *Posterior) Peak() Peak { return p.peak }

// Histories is how many were learnt from.
func (p *Posterior) Histories() int { return p.count }

// target is what is minimised: minus log of likelihood and prior, as a function of z.
type target struct {
	*space
	trails []*trail
}

// value is the negative log density, with its gradient where grad is not nil.
func (t *target) value(z, grad []float64) float64 {
	p := t.point(z)
	if !p.sane() {
		return math.Inf(1)
	}
	e := newEvaluator(t.chain(p))
	e.tail = finer
	var g *chain
	if grad != nil {
		g = e.chain.room()
	}
	sum := 0.0
	for _, tr := range t.trails {
		sum -= tr.weight * e.logLik(tr, tr.weight, g)
	}
	if math.IsNaN(sum) || math.IsInf(sum, 0) {
		return math.Inf(1)
	}
	if grad != nil {
		t.chainRule(z, e.chain, g, grad)
	}
	for i, q := range t.params {
		sum += q.precision() * z[i] * z[i] / 2
		if grad != nil {
			grad[i] = -grad[i] + q.precision()*z[i]
		}
	}
	return sum
}

// sane keeps the search from numbers out of range and from tables in which a worse grade speaks for a better stage.
func (p point) sane() bool {
	for _, s := range p.Stages {
		for e, m := range s.Mean {
			if !(m >= 0 && m < 1e15) || m == 0 && s.Mean[e] != 0 || !(fails(s, e) < 1e15) {
				return false
			}
		}
	}
	for _, l := range p.Looks {
		if !l.measured() && !l.ordered() {
			return false
		}
	}
	return true
}

// chainRule turns derivatives by the chain's numbers into those by z, by central differences of the
// chain, which costs little.
func (t *target) chainRule(z []float64, c, g *chain, grad []float64) {
	const h = 1e-5
	up, down := c.room(), c.room()
	w := append([]float64(nil), z...)
	for i := range z {
		w[i] = z[i] + h
		p := t.point(w)
		up.fill(p.Kind, p.shapes)
		w[i] = z[i] - h
		p = t.point(w)
		down.fill(p.Kind, p.shapes)
		w[i] = z[i]
		grad[i] = 0
		for k, d := range g.flat {
			if d != 0 {
				grad[i] += d * (up.flat[k] - down.flat[k]) / (2 * h)
			}
		}
	}
}

// Learn corrects the prior by histories, from none upwards. The most likely kind is found by a
// quasi-Newton search with exact derivatives; around it the logarithms of the numbers are taken as jointly
// normal (Laplace), and a fixed Latin hypercube of kinds (a lattice where two numbers are unknown) is drawn from that.
// The same input gives the same output.
func (p Prior) Learn(histories []History, o Options) (*Posterior, error) {
	if o.Nodes <= 0 {
		o.Nodes = defaultNodes
	}
	all, err := p.branches(o.Nodes)
	if err != nil {
		return nil, err
	}
	if o.Peak == nil {
		if o.Peak, err = peakOf(all, histories); err != nil {
			return nil, err
		}
	}
	post := &Posterior{peak: *o.Peak, count: len(histories)}
	for i, peak := 0, o.Peak; i < len(all); i, peak = i+1, peak.Else {
		if all[i].peak = peak; peak == nil {
			return nil, bad(false, "peak", "Else", 0, "one, as the prior has")
		}
		if err := all[i].check(); err != nil {
			return nil, err
		}
	}
	post.draw(all)
	return post, nil
}

// peak searches for the most likely kind by histories, and weighs so many around it.
func (s *space) peak(histories []History, nodes int) (*Peak, error) {
	trails, err := s.base.trails(histories)
	if err != nil {
		return nil, err
	}
	t := &target{s, trails}
	z := make([]float64, len(s.params))
	if math.IsInf(t.value(z, nil), 1) {
		return nil, ErrImpossible
	}
	if len(z) > 0 && len(trails) > 0 {
		if z, err = search(t.value, z); err != nil {
			return nil, err
		}
	}
	out := &Peak{At: z, LogLik: -t.value(z, nil)}
	for i, q := range s.params {
		out.LogLik += q.precision() * z[i] * z[i] / 2
	}
	if len(z) > 0 {
		out.Root = t.spread(z).RawMatrix().Data
	}
	t.weigh(out, nodes)
	return out, nil
}

// spread is a square root of the covariance around z, of one number or more. Slopes are compared about one standard
// deviation to either side: the density has kinks where a shape passes a whole number, and bends between them, so that
// what it does close by says nothing of how wide it is.
func (t *target) spread(z []float64) *mat.Dense {
	n := len(z)
	step := t.steps(z)
	up, down := make([]float64, n), make([]float64, n)
	w := slices.Clone(z)
	second := mat.NewDense(n, n, nil)
	for i := range z {
		w[i] = z[i] + step[i]
		inside := !math.IsInf(t.value(w, up), 0)
		w[i] = z[i] - step[i]
		inside = inside && !math.IsInf(t.value(w, down), 0)
		w[i] = z[i]
		for k := range z {
			if inside {
				second.Set(i, k, (up[k]-down[k])/(2*step[i]))
			}
		}
	}
	h := mat.NewSymDense(n, nil)
	for i := range n {
		for k := i; k < n; k++ {
			h.SetSym(i, k, (second.At(i, k)+second.At(k, i))/2)
		}
	}
	return t.root(h)
}

// steps is how far each number lies from z where the log density has fallen by about a half; at most 1.
func (t *target) steps(z []float64) []float64 {
	here, w, out := t.value(z, nil), slices.Clone(z), make([]float64, len(z))
	for i := range z {
		s := 1.0
		for range 8 {
			w[i] = z[i] + s
			fall := t.value(w, nil)
			w[i] = z[i] - s
			fall = (fall+t.value(w, nil))/2 - here
			if !(fall > 1) {
				break
			}
			s *= max(math.Sqrt(0.5/fall), 0.2)
		}
		w[i], out[i] = z[i], s
	}
	return out
}

// least is the smallest curvature allowed: a direction of which neither prior nor histories tell is known to a
// few units.
const least = 0.1

// root is a matrix whose product with its transpose is the inverse of h, its eigenvalues kept above
// what the prior alone gives.
func (t *target) root(h *mat.SymDense) *mat.Dense {
	n := h.SymmetricDim()
	var eigen mat.EigenSym
	if !eigen.Factorize(h, true) {
		return mat.NewDense(n, n, nil)
	}
	floor := least
	if t.proper() {
		floor = 1
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	out := mat.NewDense(n, n, nil)
	for k, value := range eigen.Values(nil) {
		for i := range n {
			out.Set(i, k, vectors.At(i, k)/math.Sqrt(max(value, floor)))
		}
	}
	return out
}

func (t *target) proper() bool {
	for _, q := range t.params {
		if q.precision() == 0 {
			return false
		}
	}
	return true
}

// draw makes the kinds around the peaks.
func (p *Posterior) draw(all []branch) {
	var points []point
	var weight []float64
	for i, share := range shares(all) {
		b := &all[i]
		b.grid = gridOf(len(b.params), b.count)
		for k, w := range b.peak.Weight {
			points = append(points, b.point(b.peak.place(b.grid, k%b.half(), sign(k, b.half()))))
			weight = append(weight, share*w)
		}
	}
	mode := all[0].point(all[0].peak.At)
	p.mode = all[0].kind(mode)
	looks := meanLooks(mode.Looks, points, weight)
	for i := range points {
		points[i].Looks = looks
	}
	for _, b := range all {
		for k := range b.count {
			i, speed, habit := len(p.nodes), 1.0, 1.0
			if b.count > 1 {
				own := b.grid[len(b.params):]
				speed = math.Exp(points[i].SpeedLogSD * own[0][k%b.half()] * sign(k, b.half()))
				habit = math.Exp(points[i].HabitSD * own[1][k%b.half()] * sign(k, b.half()))
			}
			p.nodes = append(p.nodes, node{b.chain(points[i]), speed, habit, weight[i]})
		}
	}
	p.later = laterOf(p.nodes, points)
}

// gridOf is where so many kinds lie around a peak of n numbers, and by their own speed and habit: half of them, of
// which the other half is the mirror.
func gridOf(n, count int) [][]float64 {
	grid := hypercube(n+2, (count+1)/2)
	if n == 1 || n == 2 {
		lattice(grid[:n], count)
	}
	return grid
}

// hypercube is a Latin hypercube of normal numbers in so many dimensions: half of the nodes, of which the other
// half is the mirror.
func hypercube(dimensions, half int) [][]float64 {
	grid := make([][]float64, dimensions)
	r := rand.New(rand.NewPCG(20, 26))
	for d := range grid {
		grid[d] = make([]float64, half)
		for i, k := range r.Perm(half) {
			u := (float64(k) + r.Float64()) / float64(half)
			grid[d][i] = distuv.UnitNormal.Quantile(u)
		}
	}
	return grid
}

// wider is by how much the nodes of a lattice spread beyond what they stand for: an old part that still runs is one of
// the few kinds that last so long.
const wider = 1.4

// lattice puts nodes of one or two unknown numbers, the commonest cases, on a lattice by the golden section, each
// number at as many different places as there are nodes. What they stand for is told by their density.
func lattice(grid [][]float64, count int) {
	for i := range grid[0] {
		k := float64(i) - float64(count-1)/2
		grid[0][i] = wider * distuv.UnitNormal.Quantile(0.5+k/float64(count))
		if len(grid) > 1 {
			u := 0.5 + k*0.6180339887498949
			grid[1][i] = wider * distuv.UnitNormal.Quantile(u-math.Floor(u))
		}
	}
}

// meanLooks is how each sort of look misleads on average over what may be true: an answer of one part is no judge of
// the eye, but the eye may be worse than most likely. Where the average table is not in order, and for measured
// values, it is the most likely.
func meanLooks(mode []Sort, points []point, weight []float64) []Sort {
	out := Kind{Looks: mode}.clone().Looks
	for i, sort := range out {
		for j, row := range sort.Says {
			clear(row)
			for k, q := range points {
				add(row, q.Looks[i].Says[j], weight[k])
			}
		}
		if !sort.measured() && !sort.ordered() {
			out[i] = mode[i]
		}
	}
	return out
}

// place is one place of the grid.
func (p *Peak) place(grid [][]float64, at int, sign float64) []float64 {
	z, n := slices.Clone(p.At), len(p.At)
	for i := range z {
		for d := range z {
			z[i] += p.Root[i*n+d] * grid[d][at] * sign
		}
	}
	return z
}

// sign turns the second half of the grid over.
func sign(i, half int) float64 {
	if i >= half {
		return -1
	}
	return 1
}
