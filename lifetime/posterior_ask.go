package lifetime

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// MeanOf is the posterior mean of a function of the life, such as Life.Shape or Life.Scale.
func (p *Posterior) MeanOf(of func(Life) float64) float64 {
	sum := 0.0
	for _, n := range p.nodes {
		sum += n.weight * of(n.life)
	}
	return sum
}

// SDOf is the posterior standard deviation of a function of the life.
func (p *Posterior) SDOf(of func(Life) float64) float64 {
	mean := p.MeanOf(of)
	return math.Sqrt(p.MeanOf(func(l Life) float64 {
		d := of(l) - mean
		return d * d
	}))
}

// QuantileOf is the posterior quantile q, between 0 and 1, of a function of the life, to the
// resolution of the grid: a few percent with the default nodes, up to a tenth far in a tail; 1 % with 201.
func (p *Posterior) QuantileOf(q float64, of func(Life) float64) (float64, error) {
	if err := fraction("q", q); err != nil {
		return 0, err
	}
	type pair struct{ x, w float64 }
	pairs := make([]pair, len(p.nodes))
	for i, n := range p.nodes {
		pairs[i] = pair{of(n.life), n.weight}
	}
	sort.SliceStable(pairs, func(i, j int) bool { return pairs[i].x < pairs[j].x })
	target := distuv.UnitNormal.Quantile(q)
	before, lastX, lastZ := 0.0, pairs[0].x, math.Inf(-1)
	for i := 0; i < len(pairs); {
		v := pairs[i]
		for i++; i < len(pairs) && pairs[i].x-v.x <= 1e-12*math.Abs(v.x); i++ {
			v.w += pairs[i].w // nodes of one row share their shape
		}
		// between nodes the quantile is interpolated where a normal distribution is straight
		z := distuv.UnitNormal.Quantile(math.Min(before+v.w/2, 1))
		if z >= target {
			if math.IsInf(lastZ, -1) || math.IsInf(z, 1) {
				return v.x, nil
			}
			return lastX + (v.x-lastX)*(target-lastZ)/(z-lastZ), nil
		}
		before, lastX, lastZ = before+v.w, v.x, z
	}
	return lastX, nil
}

// Survival is the chance that a part picked at random is still good at age t.
func (p *Posterior) Survival(t float64) float64 {
	if t <= 0 {
		return 1
	}
	y, sum := math.Log(t), 0.0
	for i := range p.nodes {
		l := &p.nodes[i].life
		sum += p.nodes[i].weight * math.Exp(l.Family.logSurvivalValue((y-l.Mu)/l.Sigma))
	}
	return sum
}

// FailWithin is the chance that a part good at an age fails within the next x, for a part that is
// not itself among the observations: 1 - E[R(age+x)]/E[R(age)]. That it lived to its age speaks
// for longer lives, and is taken into account. Chances so far out that nothing is believed to live there are 1.
func (p *Posterior) FailWithin(age, x float64) (float64, error) {
	if err := firstError(notNegative("age", age), notNegative("x", x)); err != nil {
		return 0, err
	}
	before := p.Survival(age)
	if before < 1e-250 {
		return 1, nil
	}
	return math.Max(0, 1-p.Survival(age+x)/before), nil
}

// FailWithinCounted is the same chance for a part whose life until that age is already among the
// observations, as a running one: E[1 - R(age+x)/R(age)]. Using FailWithin for such a part would
// count its survival twice.
func (p *Posterior) FailWithinCounted(age, x float64) (float64, error) {
	if err := firstError(notNegative("age", age), notNegative("x", x)); err != nil {
		return 0, err
	}
	sum, y, before := 0.0, math.Log(age+x), math.Log(age)
	if x == 0 {
		return 0, nil
	}
	for i := range p.nodes {
		l := &p.nodes[i].life
		inv := 1 / l.Sigma
		log := l.Family.logSurvivalValue((y - l.Mu) * inv)
		if age > 0 {
			log -= l.Family.logSurvivalValue((before - l.Mu) * inv)
		}
		sum -= p.nodes[i].weight * math.Expm1(log)
	}
	return math.Min(sum, 1), nil
}

// Hazard is the failure rate at age t of a part picked at random and still good.
func (p *Posterior) Hazard(t float64) float64 {
	var density, survival float64
	for _, n := range p.nodes {
		s := n.weight * n.life.Survival(t)
		survival += s
		if s > 0 {
			density += s * n.life.Hazard(t)
		}
	}
	if survival == 0 {
		return math.Inf(1)
	}
	return density / survival
}

// MeanUpTo is ∫ of Survival from 0 to t.
func (p *Posterior) MeanUpTo(t float64) float64 {
	return p.MeanOf(func(l Life) float64 { return l.MeanUpTo(t) })
}

// Mean is the mean life of a part picked at random.
func (p *Posterior) Mean() float64 { return p.MeanOf(Life.Mean) }

// Quantile is the age by which a part picked at random has failed with chance q, between 0 and 1.
func (p *Posterior) Quantile(q float64) (float64, error) {
	return p.QuantileFrom(0, q)
}

// QuantileFrom is the age by which a part good at a given age, and not among the observations, has
// failed with chance q.
func (p *Posterior) QuantileFrom(age, q float64) (float64, error) {
	if err := firstError(notNegative("age", age), fraction("q", q)); err != nil {
		return 0, err
	}
	target := p.Survival(age) * (1 - q)
	if target <= 0 {
		return age, nil
	}
	low, high := math.Inf(1), 0.0
	for _, n := range p.nodes {
		low = math.Min(low, n.life.Mu+n.life.Sigma*n.life.Family.quantile(1e-12))
		high = math.Max(high, n.life.Mu+n.life.Sigma*n.life.Family.quantile(1-1e-12))
	}
	if age > 0 {
		low = math.Max(low, math.Log(age))
	}
	high = math.Max(high, low) + 1
	y := root(func(y float64) float64 { return target - p.Survival(math.Exp(y)) }, low, high)
	return math.Exp(y), nil
}
