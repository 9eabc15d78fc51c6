package survey

import (
	"math"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"undertray.example/undertray/drive"
)

// Unknowns are kept near 1 so that one step of differences suits them all: lengths in steps of unit mm.
const unit = 100

// problem is one adjustment: a run whose pulleys are sought, and what they are held against.
type problem struct {
	run   drive.Run
	ms    []taken
	bear  drive.Point    // direction from the first pulley to the second, kept as in the sketch
	line  []drive.Circle // the sense of each pulley and, as R, line radius less rim radius; nil before it is laid
	photo *photo         // nil in the tape-measure mode
}

// shape is a state of the pulleys.
type shape struct {
	c    []drive.Point
	d    []float64
	line []drive.Circle
}

// size is how many unknowns the pulleys have: diameters, one distance for the second, two for each further.
func (p *problem) size() int { return 3*len(p.run.Pulleys) - 3 }

// shape reads the pulleys out of the unknowns.
func (p *problem) shape(x []float64) *shape {
	n := len(p.run.Pulleys)
	s := &shape{make([]drive.Point, n), make([]float64, n), p.line}
	for i := range n {
		s.d[i] = x[i] * unit
		switch {
		case i == 1:
			s.c[i] = drive.Point{X: p.bear.X * x[n] * unit, Y: p.bear.Y * x[n] * unit}
		case i > 1:
			s.c[i] = drive.Point{X: x[n+2*i-3] * unit, Y: x[n+2*i-2] * unit}
		}
	}
	return s
}

// unknowns is the other way round: centres are moved so that the first is the origin, and turned so that the second
// lies where the sketch has it.
func (p *problem) unknowns(s *shape) []float64 {
	n := len(s.c)
	x := make([]float64, p.size())
	o := s.c[0]
	dx, dy := s.c[1].X-o.X, s.c[1].Y-o.Y
	far := math.Hypot(dx, dy)
	cos, sin := (dx*p.bear.X+dy*p.bear.Y)/far, (dx*p.bear.Y-dy*p.bear.X)/far
	for i := range n {
		x[i] = s.d[i] / unit
		dx, dy := s.c[i].X-o.X, s.c[i].Y-o.Y
		switch {
		case i == 1:
			x[n] = far / unit
		case i > 1:
			x[n+2*i-3], x[n+2*i-2] = (cos*dx-sin*dy)/unit, (sin*dx+cos*dy)/unit
		}
	}
	return x
}

// length is the belt's effective length round a shape, mm: NaN where it has no way round.
func (s *shape) length() float64 {
	if s.line == nil {
		return math.NaN()
	}
	var cs [drive.MaxPulleys]drive.Circle
	for i, l := range s.line {
		cs[i] = drive.Circle{X: s.c[i].X, Y: s.c[i].Y, R: s.d[i]/2 + l.R, Turn: l.Turn}
	}
	var solver drive.Solver
	path, f := solver.Solve(cs[:len(s.line)])
	if !f.OK() {
		return math.NaN()
	}
	return path.LengthMM
}

// at is the run with its pulleys as the unknowns have them.
func (p *problem) at(x []float64) drive.Run {
	run, s := p.run, p.shape(x)
	run.Pulleys = append([]drive.Pulley(nil), run.Pulleys...)
	for i := range run.Pulleys {
		run.Pulleys[i].Centre, run.Pulleys[i].DiameterMM = s.c[i], s.d[i]
	}
	return run
}

// lay asks drive how the belt lies round the pulleys as they are.
func (p *problem) lay(x []float64) error {
	d, err := drive.New(p.at(x))
	if err != nil {
		return err
	}
	line := make([]drive.Circle, len(p.run.Pulleys))
	for i, at := range d.Drawn().Pulleys {
		line[i] = drive.Circle{R: at.RadiusMM - p.shape(x).d[i]/2, Turn: float64(at.Turns)}
	}
	p.line = line
	return nil
}

// count is how many residuals there are.
func (p *problem) count() int {
	n := len(p.ms)
	if p.photo != nil {
		n += p.photo.count()
	}
	return n
}

// residuals are the differences from what was measured, over their standard errors. A belt counts once it is laid.
func (p *problem) residuals(dst, x []float64) {
	s := p.shape(x)
	for i := range p.ms {
		m := &p.ms[i]
		dst[i] = 0
		if m.Kind != Belt || p.line != nil {
			dst[i] = (m.of(s) - m.MM) / m.SDMM
		}
	}
	if p.photo != nil {
		p.photo.residuals(dst[len(p.ms):], s, x[p.size():])
	}
}

// cost is half the sum of squares.
func (p *problem) cost(x []float64) float64 {
	r := make([]float64, p.count())
	p.residuals(r, x)
	return floats.Dot(r, r) / 2
}

// jacobian holds how the residuals change with the unknowns, by central differences.
func (p *problem) jacobian(x []float64) *mat.Dense {
	j := mat.NewDense(p.count(), len(x), nil)
	if p.photo == nil {
		fd.Jacobian(j, p.residuals, x, &fd.JacobianSettings{Formula: fd.Central})
		return j
	}
	if m := len(p.ms); m > 0 {
		taped := *p
		taped.photo = nil
		fd.Jacobian(j.Slice(0, m, 0, p.size()).(*mat.Dense), taped.residuals, x[:p.size()],
			&fd.JacobianSettings{Formula: fd.Central})
	}
	up, down := make([]float64, p.photo.count()), make([]float64, p.photo.count())
	y := make([]float64, len(x))
	for _, group := range p.groups() {
		at := func(step float64, dst []float64) {
			copy(y, x)
			for _, k := range group {
				if k >= 0 {
					y[k] += step
				}
			}
			p.photo.residuals(dst, p.shape(y), y[p.size():])
		}
		at(fd.Central.Step, up)
		at(-fd.Central.Step, down)
		for r := range up {
			k := group[0]
			if rim := p.photo.rimOf(r); len(group) > 1 && rim < 0 {
				continue
			} else if len(group) > 1 {
				k = group[rim]
			}
			if k >= 0 {
				j.Set(len(p.ms)+r, k, (up[r]-down[r])/(2*fd.Central.Step))
			}
		}
	}
	return j
}

// groups are unknowns that can be moved at once, since no touch feels two of them (Curtis, Powell and Reid 1974): one
// of each rim, -1 where it has none, or one of the camera alone.
func (p *problem) groups() [][]int {
	n := len(p.run.Pulleys)
	out := make([][]int, 4)
	for i := range n {
		x, y := n+2*i-3, n+2*i-2
		switch i {
		case 0:
			x, y = -1, -1
		case 1:
			x, y = n, -1
		}
		for k, at := range []int{i, x, y, p.size() + cOut + i} {
			out[k] = append(out[k], at)
		}
	}
	for k := range cOut {
		out = append(out, []int{p.size() + k})
	}
	return out
}

const (
	mostSteps = 300
	settled   = 1e-11 // of the unknowns, which are about 1
	exact     = 1e-15 // of the sum of squares
	rough     = 1e-3  // the same, to choose among beginnings

	contradict = 25 // squares each by which measures that determine nothing contradict one another rather
)

// solve moves the unknowns to the least sum of squares near them: Levenberg's and Marquardt's damped steps. False
// where no finite sum is found. It ends when steps no longer matter, or three lower the sum by less than a share.
func (p *problem) solve(x []float64, least float64) bool {
	n := len(x)
	r, next := make([]float64, p.count()), make([]float64, n)
	cost, damp, still := p.cost(x), 1e-3, 0
	for range mostSteps {
		j := p.jacobian(x)
		p.residuals(r, x)
		var normal mat.SymDense
		normal.SymOuterK(1, j.T())
		var slope mat.VecDense
		slope.MulVec(j.T(), mat.NewVecDense(len(r), r))
		moved, ok := 0.0, false
		for ; damp < 1e12; damp *= 8 {
			var step mat.VecDense
			if !damped(&step, &normal, &slope, damp) {
				continue
			}
			moved = 0
			for i := range next {
				next[i] = x[i] - step.AtVec(i)
				moved = math.Max(moved, math.Abs(step.AtVec(i)))
			}
			c := p.cost(next)
			if ok = c <= cost*(1+1e-13); ok {
				if still++; c < cost*(1-least) {
					still = 0
				}
				cost = c
				break
			}
		}
		if !ok {
			break
		}
		copy(x, next)
		damp = math.Max(damp/10, 1e-14)
		if moved < settled || still >= 2 {
			break
		}
	}
	return !math.IsNaN(cost) && !math.IsInf(cost, 0)
}

// damped solves (A + damp diag A) step = slope.
func damped(step *mat.VecDense, a *mat.SymDense, slope *mat.VecDense, damp float64) bool {
	n := a.SymmetricDim()
	m := mat.NewSymDense(n, nil)
	m.CopySym(a)
	for i := range n {
		m.SetSym(i, i, a.At(i, i)*(1+damp)+1e-9*damp)
	}
	var c mat.Cholesky
	return c.Factorize(m) && c.SolveVecTo(step, slope) == nil
}

// covariance is that of the unknowns. Where the measures leave some of them open it is nil, and those are marked.
func (p *problem) covariance(x []float64) (*mat.SymDense, []bool) {
	j, n := p.jacobian(x), len(x)
	rows, _ := j.Dims()
	full := mat.NewDense(max(rows, n), n, nil) // as many rows as unknowns at least
	full.Slice(0, rows, 0, n).(*mat.Dense).Copy(j)
	var svd mat.SVD
	if sum := mat.Sum(full); sum-sum != 0 { // not finite
		return nil, make([]bool, n)
	}
	if !svd.Factorize(full, mat.SVDThin) {
		return nil, make([]bool, n)
	}
	var v mat.Dense
	svd.VTo(&v)
	s := svd.Values(nil)
	open, some := make([]bool, n), false
	for k := range s {
		if s[k] > 1e-7*s[0] && s[k] > 1e-6 {
			for i := range open {
				v.Set(i, k, v.At(i, k)/s[k])
			}
			continue
		}
		for i := range open {
			if math.Abs(v.At(i, k)) > 1e-3 {
				open[i], some = true, true
			}
		}
	}
	if some {
		return nil, open
	}
	c := mat.NewSymDense(n, nil)
	c.SymOuterK(1, &v)
	return c, nil
}

// finish adjusts, asks how the belt lies, adjusts with its length, and works out how sure it all is.
func (p *problem) finish(x []float64) (*Result, error) {
	if !p.solve(x, exact) {
		return nil, fault(NotSettled, 0)
	}
	if p.belt() >= 0 {
		if err := p.laid(x); err != nil {
			return nil, err
		}
		if !p.solve(x, exact) {
			return nil, fault(NotSettled, 0)
		}
	}
	cov, open := p.covariance(x)
	if cov == nil {
		if 2*p.cost(x) > contradict*float64(p.count()) {
			return nil, fault(NotSettled, 0)
		}
		return nil, p.undetermined(open)
	}
	if err := p.lay(x); err != nil {
		return nil, err
	}
	return p.result(x, cov)
}

// laid lays the belt; where nothing but its length tells the scale, the pulleys are first scaled to it.
func (p *problem) laid(x []float64) error {
	if p.photo == nil || p.scaled() {
		return p.lay(x)
	}
	for range 3 {
		if err := p.lay(x); err != nil {
			return err
		}
		p.photo.scale(x, p.size(), p.ms[p.belt()].MM/p.shape(x).length())
	}
	return p.lay(x)
}

func (p *problem) belt() int {
	for i := range p.ms {
		if p.ms[i].Kind == Belt {
			return i
		}
	}
	return -1
}

// scaled reports whether any measure but the belt's tells how large things are.
func (p *problem) scaled() bool {
	for i := range p.ms {
		if p.ms[i].Kind != Belt {
			return true
		}
	}
	return false
}

// undetermined names the pulleys that stay open.
func (p *problem) undetermined(open []bool) error {
	f, n := fault(Undetermined, 0), len(p.run.Pulleys)
	for i := range n {
		moves := open[i] || i == 1 && open[n] || i > 1 && (open[n+2*i-3] || open[n+2*i-2])
		if moves {
			f.Pulleys = append(f.Pulleys, p.run.Pulleys[i].Name)
		}
	}
	if f.Pulleys == nil {
		return fault(NotSettled, 0)
	}
	return f
}
