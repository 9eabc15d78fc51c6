package condition

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

const (
	maxSteps = 600
	settled  = 2e-8 // fall in a step, relative to the value, that counts as none
)

// search finds a minimum of f from z by the quasi-Newton method of Broyden, Fletcher, Goldfarb and
// Shanno. Steps are only halved until the value falls enough (Armijo), never held to a slope: the value has kinks
// where a shape passes a whole number. f writes its gradient where grad is not nil.
func search(f func(z, grad []float64) float64, z []float64) ([]float64, error) {
	n := len(z)
	grad, next, newGrad, way := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	value := f(z, grad)
	inverse := unit(n)
	fresh, idle := true, 0
	for range maxSteps {
		slope := direction(inverse, grad, way)
		if slope >= 0 {
			inverse, fresh = unit(n), true
			slope = direction(inverse, grad, way)
		}
		if slope > -1e-14 {
			return z, nil
		}
		lower, found := descend(f, z, way, next, newGrad, value, slope, fresh)
		if !found && fresh {
			return z, nil // no way down even along the gradient
		}
		if !found {
			inverse, fresh = unit(n), true
			continue
		}
		if idle++; value-lower > settled*(1+math.Abs(lower)) {
			idle = 0
		}
		update(inverse, z, next, grad, newGrad)
		z, next, grad, newGrad, value, fresh = next, z, newGrad, grad, lower, false
		if idle >= 3 {
			return z, nil
		}
	}
	return nil, ErrNotConverged
}

func unit(n int) *mat.SymDense {
	m := mat.NewSymDense(n, nil)
	for i := range n {
		m.SetSym(i, i, 1)
	}
	return m
}

// direction writes the way to go and returns the slope along it.
func direction(inverse *mat.SymDense, grad, way []float64) float64 {
	var w mat.VecDense
	w.MulVec(inverse, mat.NewVecDense(len(grad), grad))
	for i := range way {
		way[i] = -w.AtVec(i)
	}
	if long := floats.Norm(way, math.Inf(1)); long > 2 {
		floats.Scale(2/long, way)
	}
	return floats.Dot(grad, way)
}

// descend steps along way from z to next until the value falls enough.
func descend(f func(z, grad []float64) float64, z, way, next, grad []float64, value, slope float64,
	fresh bool) (float64, bool) {
	size := 1.0
	if fresh {
		size = min(1, 0.5/floats.Norm(way, 2))
	}
	for range 40 {
		floats.AddScaledTo(next, z, size, way)
		if lower := f(next, grad); lower <= value+1e-4*size*slope {
			return lower, true
		}
		size /= 2.5
	}
	return value, false
}

// update corrects the inverse curvature by what a step showed.
func update(inverse *mat.SymDense, z, next, grad, newGrad []float64) {
	n := len(z)
	step, turn := make([]float64, n), make([]float64, n)
	floats.SubTo(step, next, z)
	floats.SubTo(turn, newGrad, grad)
	along := floats.Dot(step, turn)
	if along <= 1e-10*floats.Norm(step, 2)*floats.Norm(turn, 2) {
		return
	}
	var w mat.VecDense
	w.MulVec(inverse, mat.NewVecDense(n, turn))
	bend := 1 + floats.Dot(turn, w.RawVector().Data)/along
	for i := range n {
		for k := i; k < n; k++ {
			d := bend*step[i]*step[k] - w.AtVec(i)*step[k] - step[i]*w.AtVec(k)
			inverse.SetSym(i, k, inverse.At(i, k)+d/along)
		}
	}
}
