package condition

import "math"

// bands is how far a phase is from those it is entered from: itself, and up to three before it.
const bands = 4

// stepper carries phase vectors over exposures by uniformisation (Jensen 1953): with a rate at
// least that of every phase's exit, the number of jumps is Poisson and each jump a cheap product with a matrix
// of four diagonals. It owns its buffers and keeps what the way back needs.
type stepper struct {
	*chain

	coef       [bands][]float64 // coef[d][i]: chance per jump to go from phase i-d to phase i; padded at the end
	run, fails []float64        // of each stage over the step: mean stays passed, failures
	out        []float64        // of each phase: chance per jump of an exit that is no failure
	far        int              // the last band in use
	big        float64          // jumps expected
	tail       float64          // share of the Poisson weight that may be left out

	keep      []float64 // vectors of the way forward, each after a pad of zeros
	way, next []float64 // of each phase, for the way back and for densities; way is padded at the end
	room      []float64
}

const pad = bands - 1

// How much of the Poisson weight is left out: in answers, and while searching for parameters.
const (
	exact   = 1e-14
	rougher = 1e-9
)

func newStepper(c *chain) *stepper {
	s := &stepper{tail: exact}
	s.use(c)
	return s
}

// use makes the stepper follow another chain.
func (s *stepper) use(c *chain) {
	n := c.phases
	if size := bands*(n+pad) + 3*n + pad + 2*c.stages; cap(s.room) < size {
		s.room = make([]float64, size)
	}
	rest := s.room[:cap(s.room)]
	take := func(n int) []float64 {
		part := rest[:n:n]
		rest = rest[n:]
		return part
	}
	s.chain = c
	for d := range s.coef {
		s.coef[d] = take(n + pad)
		clear(s.coef[d])
	}
	s.out, s.next, s.way = take(n), take(n), take(n+pad)
	clear(s.way)
	s.run, s.fails = take(c.stages), take(c.stages)
}

// maxJumps keeps exp(-jumps) in range; a longer step is taken in parts.
const maxJumps = 64

// rates sets the step's rates for exposures dx at a part's own speed, and returns how many equal parts it is best
// taken in.
func (s *stepper) rates(dx []float64, speed float64) int {
	for j := range s.stages {
		run, fail := 0.0, 0.0
		for e, d := range dx {
			run += d * s.inv[j*s.exposures+e]
			fail += d * s.fail[j*s.exposures+e]
		}
		s.run[j], s.fails[j] = run*speed, fail
	}
	s.big = 0
	for i, j := range s.stageOf {
		s.big = max(s.big, s.pace[i]*s.run[j]+s.fails[j])
	}
	if s.big == 0 {
		return 0
	}
	parts := math.Ceil(s.big / maxJumps)
	s.big /= parts
	scale := 1 / (s.big * parts)
	s.far = 1
	for d := 1; d < bands; d++ {
		clear(s.coef[d])
	}
	for i, j := range s.stageOf {
		s.out[i] = s.pace[i] * s.run[j] * scale
		s.coef[0][i] = 1 - s.out[i] - s.fails[j]*scale
		if !s.leaves[i] {
			s.coef[1][i+1] = s.out[i]
			continue
		}
		s.entries(i, j+1, func(d, to int, share, _ float64) {
			s.coef[d][to] += s.out[i] * share
			s.far = max(s.far, d)
		})
	}
	return int(parts)
}

// entries calls back for each phase by which stage is entered from phase i: how far it is, which,
// the share that takes it, and how that share changes with the stage's skip.
func (s *stepper) entries(i, stage int, to func(d, phase int, share, slope float64)) {
	if stage == s.stages {
		return
	}
	at := s.start[stage]
	if s.start[stage+1]-at == 1 {
		to(at-i, at, 1, 0)
		return
	}
	to(at-i, at, 1-s.skip[stage], -1)
	to(at+1-i, at+1, s.skip[stage], 1)
}

// forward carries v over the set rates in place, keeping the vectors; it returns how many jumps were counted.
func (s *stepper) forward(v []float64) int {
	n := s.phases
	at := len(s.keep)
	s.grow(n + pad)
	clear(s.keep[at : at+pad])
	copy(s.keep[at+pad:], v)
	w := math.Exp(-s.big)
	left := 1 - w
	for i := range v {
		v[i] *= w
	}
	k := 0
	for left > s.tail && (float64(k) <= s.big || w > s.tail/16) {
		k++
		w *= s.big / float64(k)
		left -= w
		s.grow(n + pad)
		u, y := s.keep[at:at+n+pad], s.keep[at+n+pad:at+2*(n+pad)]
		clear(y[:pad])
		s.jump(u, y[pad:], v, w)
		at += n + pad
	}
	return k
}

// jump writes the vector after u, which is padded at its start, to y, and adds w times it to v.
func (s *stepper) jump(u, y, v []float64, w float64) {
	n := len(v)
	c0, c1, c2, c3 := s.coef[0][:n], s.coef[1][:n], s.coef[2][:n], s.coef[3][:n]
	u, y = u[:n+pad], y[:n]
	switch s.far {
	case 1:
		last := 0.0
		for i := range v {
			x := u[i+3]
			r := c0[i]*x + c1[i]*last
			y[i], last = r, x
			v[i] += w * r
		}
	case 2:
		for i := range v {
			r := c0[i]*u[i+3] + c1[i]*u[i+2] + c2[i]*u[i+1]
			y[i] = r
			v[i] += w * r
		}
	default:
		for i := range v {
			r := c0[i]*u[i+3] + c1[i]*u[i+2] + c2[i]*u[i+1] + c3[i]*u[i]
			y[i] = r
			v[i] += w * r
		}
	}
}

// grow makes room for n more kept numbers.
func (s *stepper) grow(n int) {
	if len(s.keep)+n <= cap(s.keep) {
		s.keep = s.keep[:len(s.keep)+n]
		return
	}
	s.keep = append(s.keep, make([]float64, n)...)
}

// advance carries v over exposures dx, keeping nothing.
func (s *stepper) advance(v, dx []float64, speed float64) {
	for range s.rates(dx, speed) {
		s.keep = s.keep[:0]
		s.forward(v)
	}
}

// density is the chance of failing per unit of the first exposure that runs, along direction dx,
// as a weight of each phase.
func (s *stepper) density(dx []float64, speed float64, out []float64) float64 {
	s.rates(dx, speed)
	unit := 0.0
	for _, d := range dx {
		if d > 0 {
			unit = 1 / d
			break
		}
	}
	for i, j := range s.stageOf {
		out[i] = s.fails[j] * unit
		if j == s.stages-1 && s.leaves[i] {
			out[i] += s.pace[i] * s.run[j] * unit
		}
	}
	return unit
}
