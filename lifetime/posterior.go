package lifetime

import "math"

// GridOptions set how finely a posterior is worked out. The zero value is right for nearly all
// uses.
type GridOptions struct {
	// Nodes along each axis; 0 means 25. For smooth densities the sum over an even grid gains
	// digits exponentially with the nodes: 13 keep a chance to about 0.005, 17 to 0.001, 25 to 0.00001.
	Nodes int
}

const (
	defaultNodes = 25
	coarseNodes  = 17 // of the search for where the posterior lies
	// log density below its top at which the posterior ends: e^-18 = 1.5e-8, that of a normal at 6 sd
	deep = 18.0
)

// node is one life of the grid and its weight.
type node struct {
	life   Life
	weight float64
}

// Posterior is what is believed of a life after observations: a weighted set of lives on a grid.
// It is a [Law]: its Survival is that of a part picked at random. It is read-only and may be used
// from several goroutines.
type Posterior struct {
	Prior       Prior
	LogEvidence float64 // ln of the chance (density) of the observations under the prior
	Parts       float64 // observations used, sum of weights
	Failures    float64
	nodes       []node
}

// Update works out the posterior given observations, which may be none. Covariates are refused.
// Errors: [DataError]. The cost is Nodes times observations, plus Nodes squared times failures known
// only to an interval, exponentials for a Weibull life, and Nodes squared times observations for a lognormal.
func (p Prior) Update(obs []Observation, opts GridOptions) (*Posterior, error) {
	if err := firstError(p.check(), checkAll(obs)); err != nil {
		return nil, err
	}
	n := opts.Nodes
	if n == 0 {
		n = defaultNodes
	}
	if n < 5 || n > 2001 {
		return nil, parameter("Nodes", float64(opts.Nodes), "5 to 2001, or 0 for the default")
	}
	post := &Posterior{Prior: p}
	g := newGrid(p, len(obs))
	for i, o := range obs {
		if len(o.Covariates) > 0 {
			return nil, &DataError{i, "Covariates", float64(len(o.Covariates)),
				"no covariates: a prior is for one set of conditions"}
		}
		post.Parts += o.weight()
		if o.failed() {
			post.Failures += o.weight()
		}
		g.add(logObservation(o))
	}
	if len(obs) > 0 {
		g.narrow()
	}
	if !g.sum(n, post) {
		return nil, ErrUnbounded
	}
	if p.AnyAge > 0 {
		other, err := p.ageless().Update(obs, opts)
		if err != nil {
			return nil, err
		}
		post.mix(other, p.AnyAge)
	}
	return post, nil
}

// mix adds what is believed where something else holds, so likely beforehand and afterwards by how likely the
// observations are with it.
func (p *Posterior) mix(other *Posterior, weight float64) {
	here, there := math.Log1p(-weight)+p.LogEvidence, math.Log(weight)+other.LogEvidence
	p.LogEvidence = max(here, there) + math.Log1p(math.Exp(-math.Abs(here-there)))
	for i := range p.nodes {
		p.nodes[i].weight *= math.Exp(here - p.LogEvidence)
	}
	for _, n := range other.nodes {
		n.weight *= math.Exp(there - p.LogEvidence)
		p.nodes = append(p.nodes, n)
	}
}

// grid evaluates prior times likelihood.
type grid struct {
	prior  Prior
	q      float64
	shape  axis // ln shape
	age    axis // ln of the prior's percentile
	sums   weibullSums
	others []logged // terms that need each node
}

func newGrid(p Prior, size int) *grid {
	g := &grid{prior: p, q: p.quantile(), shape: p.shapeAxis(), age: p.ageAxis()}
	g.sums.terms = make([]powerTerm, 0, 2*size)
	return g
}

// weibullSums hold what exact and running observations of a Weibull life add up to: at one shape,
// the likelihood is a closed form of eta.
type weibullSums struct {
	failures float64
	logAges  float64 // sum of ln t of failures
	top      float64 // largest ln t
	terms    []powerTerm
	gaps     []gap
}

// gap is a failure between two ages: R(low)-R(high) = R(low)·(1 - exp(low^beta - high^beta)) in
// units of eta; R(low) is among the terms.
type gap struct {
	low, high, weight float64
	width             float64 // (high/top)^beta - (low/top)^beta at the row's shape
}

func (s *weibullSums) reach(y float64) {
	if y > s.top || len(s.terms) == 0 && len(s.gaps) < 2 {
		s.top = y
	}
}

type powerTerm struct{ y, weight float64 } // adds weight·t^beta

func (g *grid) add(o logged) {
	if g.prior.Family == Lognormal {
		g.others = append(g.others, o)
		return
	}
	s := &g.sums
	if o.outcome == Between {
		s.gaps = append(s.gaps, gap{low: o.y, high: o.upper, weight: o.weight})
		s.reach(o.upper)
		if o.fromNew {
			s.gaps[len(s.gaps)-1].low = math.Inf(-1)
		}
	}
	if o.outcome == Failed {
		s.failures += o.weight
		s.logAges += o.weight * o.y
	}
	s.power(o.y, o.weight)
	if o.entered {
		s.power(o.entry, -o.weight)
	}
}

func (s *weibullSums) power(y, weight float64) {
	if math.IsInf(y, -1) {
		return
	}
	if y > s.top || len(s.terms) == 0 && len(s.gaps) == 0 {
		s.top = y
	}
	s.terms = append(s.terms, powerTerm{y, weight})
}

// at returns the sum of weight·(t/top)^beta.
func (s *weibullSums) at(beta float64) float64 {
	total := 0.0
	for _, t := range s.terms {
		total += t.weight * math.Exp(beta*(t.y-s.top))
	}
	return math.Max(total, 0)
}

// row is what one shape fixes.
type row struct {
	u, beta, power, base float64
}

func (g *grid) row(u float64) row {
	s := &g.sums
	beta := math.Exp(u)
	for i := range s.gaps {
		p := &s.gaps[i]
		p.width = math.Exp(beta*(p.high-s.top)) - math.Exp(beta*(p.low-s.top))
	}
	return row{
		u: u, beta: beta, power: s.at(beta),
		base: g.shape.logDensity(u) + s.failures*u + (beta-1)*s.logAges,
	}
}

// fill computes the log density of a row at len(values) ages evenly along an axis and returns the
// largest.
func (g *grid) fill(r row, along axis, values []float64) float64 {
	s, n := &g.sums, len(values)
	best := math.Inf(-1)
	life := Life{Family: g.prior.Family, Sigma: 1 / r.beta}
	first, step := along.at(0, n), along.spacing(n)
	shift, slope := g.q*life.Sigma, r.beta*s.failures
	base := r.base + along.logTop()
	scale := 0.0
	if !along.known() {
		scale = 1 / along.sd
	}
	for j := range values {
		v := first + float64(j)*step
		z := (v - along.mean) * scale
		life.Mu = v - shift
		d := base - z*z/2 - slope*life.Mu
		if r.power > 0 || len(s.gaps) > 0 {
			k := math.Exp(r.beta * (s.top - life.Mu))
			if r.power > 0 {
				d -= r.power * k
			}
			for i := range s.gaps {
				d += s.gaps[i].weight * math.Log(-math.Expm1(-k*s.gaps[i].width))
			}
		}
		for k := range g.others {
			d += g.others[k].weight * g.others[k].logLikelihood(life)
		}
		if math.IsNaN(d) {
			d = math.Inf(-1)
		}
		values[j] = d
		best = math.Max(best, d)
	}
	return best
}

// logLikelihood is the value of term, without derivatives.
func (l *logged) logLikelihood(life Life) float64 {
	f, z := life.Family, func(y float64) float64 { return (y - life.Mu) / life.Sigma }
	v := 0.0
	switch {
	case l.outcome == Failed && f == Lognormal:
		v = normalLogDensity(z(l.y)) - math.Log(life.Sigma) - l.y
	case l.outcome == Failed:
		v = f.logDensity(z(l.y)).v - math.Log(life.Sigma) - l.y
	case l.outcome == Running && !math.IsInf(l.y, -1):
		v = f.logSurvivalValue(z(l.y))
	case l.outcome == Between && l.fromNew:
		v = failedBy(f, z(l.upper), 1).v
	case l.outcome == Between:
		v = f.logBetweenValue(z(l.y), z(l.upper))
	}
	if l.entered {
		v -= f.logSurvivalValue(z(l.entry))
	}
	return v
}

// narrow shrinks the grid to where the posterior lies: nodes of a coarse grid within deep of the
// top, and one more on each side, again and again while that helps.
func (g *grid) narrow() {
	rows, columns := g.shape.nodes(coarseNodes), g.age.nodes(coarseNodes)
	values, tops := make([]float64, rows*columns), make([]float64, max(rows, columns))
	for range 12 {
		best := math.Inf(-1)
		for i := range rows {
			top := g.fill(g.row(g.shape.at(i, rows)), g.age, values[i*columns:(i+1)*columns])
			tops[i] = top
			best = math.Max(best, top)
		}
		if math.IsInf(best, -1) {
			return
		}
		shape := g.shape.cut(tops[:rows], best-deep)
		for j := range columns {
			tops[j] = math.Inf(-1)
			for i := range rows {
				tops[j] = math.Max(tops[j], values[i*columns+j])
			}
		}
		if age := g.age.cut(tops[:columns], best-deep); !shape && !age {
			return
		}
	}
}

// cut limits the axis to the nodes whose value is at least a floor, and one more on each side, where
// that takes off more than a third, and says whether it did.
func (a *axis) cut(values []float64, floor float64) bool {
	n := len(values)
	if a.known() {
		return false
	}
	low, high := 0, n-1
	for low < n-1 && values[low] < floor {
		low++
	}
	for high > low && values[high] < floor {
		high--
	}
	low, high = max(low-1, 0), min(high+1, n-1)
	if 3*(high-low) >= 2*(n-1) {
		return false
	}
	a.low, a.high = a.at(low, n), a.at(high, n)
	return true
}

// stagger shifts a row's nodes by a part of their spacing that differs from row to row, so that
// rows do not repeat the same ages and quantiles do not come in stairs. The trapezoid rule loses
// nothing by it.
func (a *axis) stagger(row, n int) {
	if a.known() {
		return
	}
	_, part := math.Modf(float64(row) * goldenRatio)
	shift := (part - 0.5) * a.spacing(n)
	a.low, a.high = a.low+shift, a.high+shift
}

// sum weighs the nodes of the final grid by the trapezoid rule, which on a density that vanishes at
// its ends is as good as any, and fills the posterior. Each row of ages is cut to where it has
// density of its own, since ages are told the more sharply the larger the shape. It fails where all densities are 0.
func (g *grid) sum(n int, post *Posterior) bool {
	rows, columns := g.shape.nodes(n), g.age.nodes(n)
	values := make([]float64, columns)
	nodes := make([]node, 0, rows*columns)
	best := math.Inf(-1)
	for i := range rows {
		r, along := g.row(g.shape.at(i, rows)), g.age
		top := g.fill(r, along, values)
		for range 12 {
			if math.IsInf(top, -1) || !along.cut(values, top-deep) {
				break
			}
			top = g.fill(r, along, values)
		}
		along.stagger(i, columns)
		top = g.fill(r, along, values)
		if top < best-deep {
			continue
		}
		best = math.Max(best, top)
		spacing := math.Log(along.spacing(columns))
		for j, v := range values {
			if v > best-deep {
				nodes = append(nodes, node{g.prior.life(r.u, along.at(j, columns), g.q), v + spacing})
			}
		}
	}
	if !finite(best) {
		return false
	}
	post.nodes, post.LogEvidence = weigh(nodes)
	post.LogEvidence += math.Log(g.shape.spacing(rows))
	return true
}

// weigh turns log weights into weights that sum to 1, drops what is negligible, and returns the
// logarithm of their sum.
func weigh(nodes []node) ([]node, float64) {
	best := math.Inf(-1)
	for _, n := range nodes {
		best = math.Max(best, n.weight)
	}
	total, kept := 0.0, nodes[:0]
	for _, n := range nodes {
		if n.weight < best-deep {
			continue
		}
		n.weight = math.Exp(n.weight - best)
		total += n.weight
		kept = append(kept, n)
	}
	for i := range kept {
		kept[i].weight /= total
	}
	return kept, best + math.Log(total)
}
