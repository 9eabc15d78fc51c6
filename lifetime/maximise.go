package lifetime

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

const (
	maxSteps     = 300
	decrement    = 1e-18 // g'(-H)⁻¹g, twice the log-likelihood still to gain, below which Newton has arrived
	leastGain    = 1e-6  // what may be left to gain where rounding lets it come no nearer
	longestStep  = 3.0   // of any parameter in one step
	farLogSigma  = 12.0  // |ln sigma| beyond which the likelihood is taken to have no maximum
	oddLogSigma  = 3.0   // |ln sigma| at which a search that does not settle is taken to be running away
	oddDistance  = 2.0   // and the distance of the location from all log ages, likewise
	mostHalvings = 40
)

// tie keeps a maximisation on a line or surface: nothing, one parameter fixed, or a percentile
// fixed, in which the intercept follows sigma as intercept = at - sigma·q.
type tie struct {
	fixed int // index of the parameter that is not free, -1 for none
	also  int // a second one (ln sigma known beforehand), -1 for none
	q     float64
	at    float64
}

var untied = tie{fixed: -1, also: -1}

func (t tie) onPercentile() bool { return t.fixed == 0 }

// settle puts the tied parameters where they belong.
func (t tie) settle(par []float64) {
	if t.fixed < 0 {
		return
	}
	par[t.fixed] = t.at
	if t.onPercentile() {
		par[0] = t.at - math.Exp(par[len(par)-1])*t.q
	}
}

// chain carries the gradient and Hessian over to the surface of the tie.
func (t tie) chain(par, grad, hess []float64) {
	if !t.onPercentile() || t.q == 0 {
		return
	}
	n := len(par)
	d := -math.Exp(par[n-1]) * t.q // derivative of the intercept by ln sigma, first and second
	last := (n - 1) * n
	hess[n*n-1] += 2*d*hess[n-1] + d*d*hess[0] + grad[0]*d
	grad[n-1] += d * grad[0]
	for j := 1; j < n-1; j++ {
		hess[last+j] += d * hess[j]
		hess[j*n+n-1] = hess[last+j]
	}
}

func (t tie) free(n int) []int {
	var out []int
	for i := range n {
		if i != t.fixed && i != t.also {
			out = append(out, i)
		}
	}
	return out
}

// climber holds the working space of one maximisation.
type climber struct {
	p          *problem
	tie        tie
	free       []int
	grad, hess []float64
	step, next []float64
	system     *mat.SymDense
	right      *mat.VecDense
	steps      int
}

func newClimber(p *problem, t tie) *climber {
	n := p.p + 1
	c := &climber{p: p, tie: t, free: t.free(n)}
	c.grad, c.hess = make([]float64, n), make([]float64, n*n)
	c.step, c.next = make([]float64, n), make([]float64, n)
	if k := len(c.free); k > 0 {
		c.system, c.right = mat.NewSymDense(k, nil), mat.NewVecDense(k, nil)
	}
	return c
}

func (c *climber) value(par []float64) float64 {
	c.tie.settle(par)
	v := c.p.evaluate(par, c.grad, c.hess)
	c.tie.chain(par, c.grad, c.hess)
	return v
}

// climb maximises the likelihood from par by Newton's method with Levenberg's damping and step
// halving, leaves the maximum in par and returns its value.
func (c *climber) climb(par []float64) (float64, error) {
	value := c.value(par)
	if len(c.free) == 0 {
		return value, nil
	}
	gain, ok := 0.0, false
	for c.steps = 1; c.steps <= maxSteps; c.steps++ {
		if gain, ok = c.newtonStep(); !ok {
			return 0, ErrUnbounded
		}
		better, moved := c.take(par, value)
		if !moved || gain < decrement {
			return c.arrive(par, better, gain)
		}
		value = better
		if s := par[len(par)-1]; math.Abs(s) > farLogSigma {
			return 0, ErrUnbounded
		}
	}
	if err := c.lost(par); err == ErrUnbounded || gain > leastGain || !finite(value) {
		return 0, err
	}
	return value, nil // as near as rounding lets it: elsewhere than on amd64 it is coarser
}

// lost says what a search that did not settle means: where it has gone far out, that there is
// nothing to find.
func (c *climber) lost(par []float64) error {
	low, high := math.Inf(1), math.Inf(-1)
	for _, o := range c.p.obs {
		y := o.y
		if o.outcome == Between {
			y = o.upper
		}
		if !math.IsInf(y, -1) {
			low, high = math.Min(low, y), math.Max(high, y)
		}
	}
	away := math.Max(low-par[0], par[0]-high)
	if math.Abs(par[len(par)-1]) > oddLogSigma || c.p.p == 1 && away > oddDistance {
		return ErrUnbounded
	}
	return ErrNotConverged
}

// arrive judges whether the place where no step helps any more is a maximum.
func (c *climber) arrive(par []float64, value, gain float64) (float64, error) {
	if gain > leastGain {
		return 0, c.lost(par)
	}
	if !finite(value) {
		return 0, ErrUnbounded
	}
	return value, nil
}

// newtonStep works out the step; gain is twice the rise it promises.
func (c *climber) newtonStep() (gain float64, ok bool) {
	n := len(c.grad)
	size := 0.0
	for _, i := range c.free {
		size = math.Max(size, math.Abs(c.hess[i*n+i]))
	}
	if !finite(size) {
		return 0, false
	}
	var chol mat.Cholesky
	damping := 0.0
	for range 60 {
		for a, i := range c.free {
			c.right.SetVec(a, c.grad[i])
			for b := a; b < len(c.free); b++ {
				c.system.SetSym(a, b, -c.hess[i*n+c.free[b]])
			}
			c.system.SetSym(a, a, c.system.At(a, a)+damping)
		}
		if chol.Factorize(c.system) {
			return c.solve(&chol), true
		}
		damping = math.Max(damping*4, 1e-6*(size+1e-12))
	}
	return 0, false
}

func (c *climber) solve(chol *mat.Cholesky) float64 {
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, c.right); err != nil && x.IsEmpty() {
		return 0
	}
	gain, longest := mat.Dot(&x, c.right), 0.0
	clear(c.step)
	for a, i := range c.free {
		c.step[i] = x.AtVec(a)
		longest = math.Max(longest, math.Abs(c.step[i]))
	}
	if longest > longestStep {
		for i := range c.step {
			c.step[i] *= longestStep / longest
		}
	}
	return gain
}

// take makes the step, halved until it does not lose, and evaluates there.
func (c *climber) take(par []float64, value float64) (better float64, moved bool) {
	size := 1.0
	slack := 1e-13 * math.Abs(value)
	for range mostHalvings {
		for i := range par {
			c.next[i] = par[i] + size*c.step[i]
		}
		v := c.value(c.next)
		if v >= value-slack && finite(v) {
			copy(par, c.next)
			return v, true
		}
		size /= 2
	}
	return c.value(par), false
}
