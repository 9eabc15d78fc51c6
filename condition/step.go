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
	big        float64          // jumps expected
	shapedFor  float64          // speed for which coef is set, of one exposure; 0 for none
	tail       float64          // share of the Poisson weight that may be left out

	keep      []float64 // vectors of the way forward, each after a pad of zeros
	way, next []float64 // of each phase, for the way back and for densities; way is padded at the end
	room      []float64
}

const pad = bands - 1

// How much of the Poisson weight is not counted jump by jump: where the kind is certain, while searching, and
// where doubt is far larger.
const (
	exact   = 1e-12
	finer   = 1e-9
	rougher = 1e-6
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
	s.chain, s.shapedFor = c, 0
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
	s.big = 0
	inv, fail, quick, rates, fails := s.inv, s.fail, s.quick, s.run, s.fails[:len(s.run)]
	quick = quick[:len(rates)]
	for j := range rates {
		run, lost := 0.0, 0.0
		of, lose := inv[:len(dx)], fail[:len(dx)]
		for e, d := range dx {
			run += d * of[e]
			lost += d * lose[e]
		}
		inv, fail = inv[len(dx):], fail[len(dx):]
		run *= speed
		rates[j], fails[j] = run, lost
		if b := quick[j]*run + lost; b > s.big {
			s.big = b
		}
	}
	if s.big == 0 {
		return 0
	}
	parts := 1.0
	if s.big > maxJumps {
		parts = math.Ceil(s.big / maxJumps)
		s.big /= parts
	}
	if s.exposures == 1 && s.shapedFor == speed {
		return int(parts) // of one exposure the chances per jump are the same whatever the step
	}
	s.shapedFor = speed
	scale := 1 / (s.big * parts)
	out, stay, pace := s.out, s.coef[0][:len(s.out)], s.pace[:len(s.out)]
	for i, j := range s.stageOf[:len(out)] {
		x := pace[i] * rates[j] * scale
		out[i], stay[i] = x, 1-fails[j]*scale-x
	}
	for d := 1; d <= s.far; d++ {
		to, share := s.coef[d][d:len(out)], s.into[d][d:len(out)]
		for i, x := range out[:len(to)] {
			to[i] = x * share[i]
		}
	}
	return int(parts)
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
	u0, u1, u2, u3, y := u[3:3+n], u[2:2+n], u[1:1+n], u[:n], y[:n]
	switch s.far {
	case 1:
		last := 0.0
		for i := range v {
			x := u0[i]
			r := c0[i]*x + c1[i]*last
			y[i], last = r, x
			v[i] += w * r
		}
	case 2:
		one, two := 0.0, 0.0
		for i := range v {
			x := u0[i]
			r := c0[i]*x + c1[i]*one + c2[i]*two
			y[i], two, one = r, one, x
			v[i] += w * r
		}
	default:
		for i := range v {
			r := c0[i]*u0[i] + c1[i]*u1[i] + c2[i]*u2[i] + c3[i]*u3[i]
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

// overs is one over each number, for as many jumps as maxJumps expected ever need.
var overs = func() (out [4 * maxJumps]float64) {
	for k := 1; k < len(out); k++ {
		out[k] = 1 / float64(k)
	}
	return out
}()

// advance carries v over exposures dx, keeping nothing. The weight left out goes to the last jump counted, so
// that nothing is lost: what comes out is still a mixture of jumps.
func (s *stepper) advance(v, dx []float64, speed float64) {
	u := s.next[:len(v)]
	for range s.rates(dx, speed) {
		w := fallen(s.big)
		left := 1 - w
		for i, x := range v {
			u[i], v[i] = x, w*x
		}
		switch {
		case len(u) == 3 && s.far == 1:
			s.three((*[3]float64)(u), (*[3]float64)(v), w)
			continue
		case s.far == 1:
			left = s.next1(u, v, w, left)
		case s.far == 2:
			left = s.next2(u, v, w, left)
		default:
			for k := 1; left > s.tail && k < len(overs); k++ {
				w *= s.big * overs[k]
				left -= w
				s.jumpInPlace(u, v, w)
			}
		}
		if left > 0 {
			for i, x := range u {
				v[i] += left * x
			}
		}
	}
}

// inPairs reports whether advance takes two jumps at a time.
func (s *stepper) inPairs() bool { return s.far <= 2 && !(s.phases == 3 && s.far == 1) }

// fallen is exp(-x) of an x from 0 to 700, to the last digit or two: quicker than a function for every number.
func fallen(x float64) float64 {
	k := int(x*(32/math.Ln2) + 0.5)
	r := float64(k)*(math.Ln2/32) - x
	p := 1 + r*(1+r*(1./2+r*(1./6+r*(1./24+r*(1./120+r/720)))))
	return p * thirtySeconds[k&31] * math.Float64frombits(uint64(1023-k>>5)<<52)
}

// thirtySeconds is 2 to the power of -k/32.
var thirtySeconds = func() (out [32]float64) {
	for k := range out {
		out[k] = math.Exp2(-float64(k) / 32)
	}
	return out
}()

// next1 is all jumps of phases entered only from the one before, two at a time; it returns the weight left.
func (s *stepper) next1(u, v []float64, w, left float64) float64 {
	n := len(u)
	v = v[:n]
	c0, c1 := s.coef[0][:n], s.coef[1][:n]
	for k := 1; left > s.tail && k < len(overs)-1; k += 2 {
		first := w * s.big * overs[k]
		w = first * s.big * overs[k+1]
		left -= first + w
		x1, y1 := 0.0, 0.0 // the phase before, as it was and after one jump
		for i, x := range u {
			y := c0[i]*x + c1[i]*x1
			z := c0[i]*y + c1[i]*y1
			x1, y1 = x, y
			u[i] = z
			v[i] += first*y + w*z
		}
	}
	return left
}

// next2 is all jumps of phases entered from at most two before them, two at a time.
func (s *stepper) next2(u, v []float64, w, left float64) float64 {
	n := len(u)
	v = v[:n]
	c0, c1, c2 := s.coef[0][:n], s.coef[1][:n], s.coef[2][:n]
	for k := 1; left > s.tail && k < len(overs)-1; k += 2 {
		first := w * s.big * overs[k]
		w = first * s.big * overs[k+1]
		left -= first + w
		x1, x2, y1, y2 := 0.0, 0.0, 0.0, 0.0 // the phases before, as they were and after one jump
		for i, x := range u {
			y := c0[i]*x + c1[i]*x1 + c2[i]*x2
			z := c0[i]*y + c1[i]*y1 + c2[i]*y2
			x2, x1, y2, y1 = x1, x, y1, y
			u[i] = z
			v[i] += first*y + w*z
		}
	}
	return left
}

// three is advance of three phases in a row, the commonest small kind, without a loop over them.
func (s *stepper) three(u, v *[3]float64, w float64) {
	c, d := s.coef[0], s.coef[1]
	c0, c1, c2, d1, d2 := c[0], c[1], c[2], d[1], d[2]
	a0, a1, a2 := u[0], u[1], u[2]
	b0, b1, b2 := v[0], v[1], v[2]
	left, big := 1-w, s.big
	for k := 1; left > s.tail && k < len(overs); k++ {
		w *= big * overs[k]
		left -= w
		a2 = c2*a2 + d2*a1
		a1 = c1*a1 + d1*a0
		a0 *= c0
		b0, b1, b2 = b0+w*a0, b1+w*a1, b2+w*a2
	}
	left = max(left, 0)
	*v = [3]float64{b0 + left*a0, b1 + left*a1, b2 + left*a2}
}

// jumpInPlace is jump from u to u.
func (s *stepper) jumpInPlace(u, v []float64, w float64) {
	n := len(u)
	v = v[:n]
	c0, c1, c2, c3 := s.coef[0][:n], s.coef[1][:n], s.coef[2][:n], s.coef[3][:n]
	one, two, three := 0.0, 0.0, 0.0 // the phases before, as they were
	for i, x := range u {
		y := c0[i]*x + c1[i]*one + c2[i]*two + c3[i]*three
		u[i], three, two, one = y, two, one, x
		v[i] += w * y
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
