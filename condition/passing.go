package condition

import "math"

// passing is one step in closed form, for kinds that differ in the first stage alone, whose phases are a row of equal
// pace, and whose later phases are passed one by one and in the same way whichever kind is true; nothing fails but
// after the last. How many phases of the row are passed is a Poisson number. The chance G(q, m) to be in later phase q
// after the step, having begun it with m phases of the row to go, follows from Laplace transforms: each phase divides
// that of the phase before by (b+s)/b, and each phase of the row by (a+s)/a, so that with a and b exits expected of a
// phase of the row and of q over the step, and b' of the phase before q,
//
//	(a-b) G(q, m) = a G(q, m-1) - b' G(q-1, m)
//
// with the last phase of the row as phase before the first. It is gone through in the direction in which errors shrink:
// up in m where b is more than 2a, down in m from where nothing arrives otherwise.
type passing struct {
	later stepper     // of the later stages
	exits []float64   // of each later phase, expected over the step
	stays []float64   // of each later phase: where what begins there is after the step
	count []float64   // chance to pass so many phases of the row
	into  [][]float64 // G: of each later phase, by phases of the row to go
	lived []float64   // of each phase of the whole, not to fail over the step
	out   []float64
	after []float64 // a row
	n, k  int       // phases of the row, later ones

	a      float64 // exits expected of a phase of the row
	worked bool    // G is worked out
}

// Steps in which fewer phases of the row are passed, expected, are taken jump by jump, and so are those of more; and
// all where there are more later phases, from each of which to the next errors may double.
const (
	fewPassed  = 0.01
	mostPassed = 120
	mostLater  = 4
)

// laterOf is the later stages of the kinds that may be true, where passing serves them; nil elsewhere.
func laterOf(nodes []node, points []point) *chain {
	first := points[0]
	if len(first.Stages) < 2 {
		return nil
	}
	for i, p := range points {
		if nodes[i].speed != 1 || nodes[i].habit != 1 {
			return nil
		}
		for j, s := range p.Stages {
			for e, m := range s.Mean {
				if fails(s, e) > 0 || j > 0 && (m != first.Stages[j].Mean[e] || p.shapes[j] != first.shapes[j]) {
					return nil
				}
			}
		}
	}
	k := Kind{Stages: first.Stages[1:]}
	c := k.form(first.shapes[1:], nil).room()
	c.fill(k, first.shapes[1:])
	if c.phases > mostLater || c.far > 1 || c.skip[0] > 0 || c.leaves[0] && c.start[1] > 1 {
		return nil
	}
	return c
}

// over sets the step.
func (s *passing) over(later *chain, dx []float64) {
	if s.later.chain != later {
		s.later.tail = exact
		s.later.use(later)
	}
	s.k = later.phases
	if len(s.exits) < s.k {
		s.exits, s.stays, s.into = make([]float64, s.k), make([]float64, s.k*s.k), make([][]float64, s.k)
	}
	s.later.rates(dx, 1)
	for q, j := range later.stageOf {
		s.exits[q] = later.pace[q] * s.later.run[j]
	}
	clear(s.stays)
	last := s.k - 1
	for q := range last {
		row := s.stays[q*s.k : (q+1)*s.k]
		row[q] = 1
		s.later.advance(row, dx, 1)
	}
	s.stays[last*s.k+last] = math.Exp(-s.exits[last])
}

// of sets the kind; false where the step is not to be had in closed form.
func (s *passing) of(c *chain, dx []float64) bool {
	a := 0.0
	for e, d := range dx {
		a += d * c.inv[e]
	}
	s.a, s.n, s.worked = a*c.pace[0], c.start[1], false
	return c.whole[0] > 0 && s.a >= fewPassed && s.a <= mostPassed
}

// arrivals works out G.
func (s *passing) arrivals() {
	if s.worked {
		return
	}
	a, far := s.a, 0 // later phases up to the last that is gone through from where nothing arrives
	for q, b := range s.exits[:s.k] {
		if b <= 2*a {
			far = q + 1
		}
	}
	s.passed(far > 0)
	before, exits := s.count, a // of the phase before, shifted by one for the row
	for q, b := range s.exits[:s.k] {
		top := s.n
		if q < far {
			top = len(s.count)
		}
		s.into[q] = room(s.into[q], top+1)
		g := s.into[q]
		if b > 2*a {
			g[0] = s.stays[q]
			rises(g, before, exits/(b-a), a/(b-a))
		} else {
			g[top] = 0
			falls(g, before, exits/a, 1-b/a)
		}
		before, exits = g[1:], b
	}
	s.worked = true
}

// rises and falls go through one later phase: by the phase before, and by how much that and the last count.
func rises(g, before []float64, more, less float64) {
	x := g[0]
	before = before[:len(g)-1]
	g = g[1 : len(before)+1]
	for m, y := range before {
		if x = more*y - less*x; x < 0 { // by rounding
			x = 0
		}
		g[m] = x
	}
}

func falls(g, before []float64, more, last float64) {
	x := 0.0
	before = before[:len(g)-1]
	for m := len(before) - 1; m >= 0; m-- {
		if x = more*before[m] + last*x; x < 0 {
			x = 0
		}
		g[m] = x
	}
}

// passed sets the chance to pass so many phases of the row: those there are or, if far, all that anything passes.
func (s *passing) passed(far bool) {
	count, a := s.count[:0], s.a
	w := fallen(a)
	for m := 0; m < s.n || far && m+1 < len(overs) && (float64(m) < a || w > 1e-15); m++ {
		count = append(count, w)
		w *= a * overs[m+1]
	}
	s.count = count
}

// carry carries the phases v of a part over the step.
func (s *passing) carry(v []float64) {
	s.stay(v[s.n:], s.leave(v[:s.n]), 1)
}

// born writes to v where a new part is after the step, which begins with the first phase or skips it.
func (s *passing) born(v []float64, skips float64) {
	s.arrivals()
	before := 0.0
	for j, w := range s.count[:s.n] {
		v[j], before = (1-skips)*w+skips*before, w
	}
	for q, g := range s.into[:s.k] {
		v[s.n+q] = (1 - skips) * g[s.n]
		if skips > 0 {
			v[s.n+q] += skips * g[s.n-1]
		}
	}
}

// leave carries a row over the step and returns what comes out of it, by later phase. What comes into phase q from
// phase m of a row without end follows by parts, with r and r' exits expected of q and of the phase before as shares
// of a:
//
//	(1-r) I(q, m) = I(q, m-1) - r' I(q-1, m) + row(m) G(q, 0)
//
// with row(m) after the step for the last of the row. Where errors grow on that way, G tells.
func (s *passing) leave(row []float64) []float64 {
	s.out = room(s.out, 3*s.k)
	out, inverse, shares := s.out[:s.k], s.out[s.k:2*s.k], s.out[2*s.k:]
	clear(out)
	steady := true
	for q, b := range s.exits[:s.k] {
		left := 1 - b/s.a
		steady = steady && math.Abs(left) >= steadyFrom[s.n]
		inverse[q], shares[q] = 1/left, b/s.a
	}
	if !steady {
		s.arrivals()
		for q := range out {
			out[q] = against(row, s.into[q][1:s.n+1])
		}
	} else if !s.worked {
		s.passed(false)
	}
	s.after = room(s.after, s.n)
	after := s.after
	for j := range row {
		after[j] = against(row[:j+1], s.count[:j+1])
	}
	for m := range row {
		if x, old := after[m], row[m]; steady {
			for q, y := range out {
				y = (y - x + old*s.stays[q]) * inverse[q]
				out[q], x = y, y*shares[q]
			}
		}
		row[m] = after[m]
	}
	for q, y := range out {
		out[q] = max(y, 0) // by rounding
	}
	return out
}

// steadyFrom is the number by which so many divisions make errors a thousand times as large.
var steadyFrom = func() (out [maxShape + 2]float64) {
	for n := range out {
		out[n] = math.Pow(1e-3, 1/float64(max(n, 1)))
	}
	return out
}()

// stay carries later phases over the step, to which some comes out of the row.
func (s *passing) stay(later, out []float64, times float64) {
	for q := len(later) - 1; q >= 0; q-- {
		sum := times * out[q]
		for p, x := range later[:q+1] {
			sum += x * s.stays[p*s.k+q]
		}
		later[q] = sum
	}
}

// against is the sum of products of a with b from its end.
func against(a, b []float64) float64 {
	s0, s1, s2, s3 := 0.0, 0.0, 0.0, 0.0
	for len(a) > 3 && len(b) > 3 {
		k := len(b)
		s0 += a[0] * b[k-1]
		s1 += a[1] * b[k-2]
		s2 += a[2] * b[k-3]
		s3 += a[3] * b[k-4]
		a, b = a[4:], b[:k-4]
	}
	for i, x := range a {
		s0 += x * b[len(b)-1-i]
	}
	return s0 + s1 + (s2 + s3)
}

// lives sets lived.
func (s *passing) lives() []float64 {
	s.arrivals()
	s.lived = zeros(s.lived, s.n+s.k)
	alive := 0.0
	for m := 1; m <= s.n; m++ {
		alive += s.count[m-1]
		sum := alive
		for _, g := range s.into[:s.k] {
			sum += g[m]
		}
		s.lived[s.n-m] = sum
	}
	for p := range s.k {
		for _, x := range s.stays[p*s.k : (p+1)*s.k] {
			s.lived[s.n+p] += x
		}
	}
	return s.lived
}
