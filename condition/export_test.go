package condition

import "math/rand/v2"

// Draw is a kind drawn from the prior.
func (p Prior) Draw(r *rand.Rand) (Kind, error) {
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
