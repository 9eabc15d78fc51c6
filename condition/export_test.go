package condition

import (
	"math"
	"math/rand/v2"
)

// Draw is a kind drawn from the prior.
func (p Prior) Draw(r *rand.Rand) (Kind, error) {
	if p.Else.Weight > 0 && r.Float64() < p.Else.Weight {
		p = p.otherwise()
	}
	s, err := p.space()
	if err != nil {
		return Kind{}, err
	}
	z := make([]float64, len(s.params))
	for i := range z {
		z[i] = r.NormFloat64()
	}
	return s.kind(s.point(z)), nil
}

// Closed is how far the closed form of a step lies, at the most, from the same step taken jump by jump, over all phases
// of the kinds that may be true, and of how many kinds it is had.
func (p *Posterior) Closed(dx []float64) (off float64, kinds int) {
	if p.later == nil {
		return 0, 0
	}
	var s passing
	s.over(p.later, dx)
	for _, nd := range p.nodes {
		if !s.of(nd.chain, dx) {
			continue
		}
		kinds++
		lives, jumps := s.lives(), newStepper(nd.chain)
		for i := range nd.phases {
			a, b, alive := make([]float64, nd.phases), make([]float64, nd.phases), 0.0
			a[i], b[i] = 1, 1
			s.carry(a)
			jumps.advance(b, dx, nd.speed)
			for k := range b {
				alive += b[k]
				off = max(off, math.Abs(a[k]-b[k]))
			}
			off = max(off, math.Abs(lives[i]-alive))
		}
	}
	return off, kinds
}
