package condition

import (
	"math"
	"slices"
)

// tracker follows one history through one chain, and back for derivatives.
type tracker struct {
	*stepper
	v     []float64 // phases now, adding up to 1
	marks []mark
	parts []part    // of all steps
	vecs  []float64 // phases before each look, one after another
	said  []float64 // of each stage
	by    []float64
	byOut []float64 // of each phase
	dRun  []float64 // of each stage
	dCoef [bands][]float64
	pois  []float64

	later  *chain // see laterOf
	dx     []float64
	step   passing
	rowsOf []float64
	closed bool // the step is had in closed form
}

// mark is where a step of the way forward lies in what was kept.
type mark struct {
	from, to int     // its parts
	scale    float64 // chance of what was seen at its end
}

// part is one of the equal parts in which a step is taken.
type part struct{ at, jumps int }

func newTracker(c *chain) *tracker {
	t := &tracker{stepper: newStepper(c)}
	t.follow(c)
	return t
}

// over sets a step for all kinds that may be true.
func (t *tracker) over(p *Posterior, dx []float64) {
	if t.later, t.dx = p.later, dx; p.later != nil {
		t.step.over(p.later, dx)
	}
}

// to works the step out for one of them.
func (t *tracker) to(nd *node) {
	if t.closed = t.later != nil && t.step.of(nd.chain, t.dx); !t.closed {
		t.follow(nd.chain)
	}
}

// carry carries phases over the step.
func (t *tracker) carry(nd *node, v []float64) {
	if t.closed {
		t.step.carry(v)
	} else {
		t.advance(v, t.dx, nd.speed)
	}
}

// born carries the phases of a new part over the step.
func (t *tracker) born(nd *node, v []float64) {
	if t.closed {
		t.step.born(v, nd.skip[0])
	} else {
		t.carry(nd, v)
	}
}

// lives is the chance of each phase not to fail over the step.
func (t *tracker) lives(nd *node) []float64 {
	if t.closed {
		return t.step.lives()
	}
	t.stepper.lives(t.dx, nd.speed)
	return t.way[:nd.phases]
}

// follow makes the tracker follow another chain.
func (t *tracker) follow(c *chain) {
	t.use(c)
	if len(t.v) != c.phases {
		t.v, t.byOut = zeros(t.v, c.phases), zeros(t.byOut, c.phases)
		for d := range t.dCoef {
			t.dCoef[d] = zeros(t.dCoef[d], c.phases+pad)
		}
	}
	if len(t.said) != c.stages {
		t.said, t.by, t.dRun = zeros(t.said, c.stages), zeros(t.by, c.stages), zeros(t.dRun, c.stages)
	}
}

// zeros is n zeros, in the room of v where there is enough.
func zeros(v []float64, n int) []float64 {
	v = room(v, n)
	clear(v)
	return v
}

// room is n numbers, in the room of v where there is enough.
func room(v []float64, n int) []float64 {
	if cap(v) < n {
		return make([]float64, n)
	}
	return v[:n]
}

// scaled divides v by its sum and returns the sum.
func scaled(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	if sum > 0 {
		if sum < 1e-290 { // hardly possible; its inverse may be beyond numbers
			for i := range v {
				v[i] /= sum
			}
			return sum
		}
		inverse := 1 / sum
		for i := range v {
			v[i] *= inverse
		}
	}
	return sum
}

// see weighs the phases by a look, scales them and returns the chance of what it said.
func (t *tracker) see(l *Look, habit float64) float64 {
	t.weigh(l, habit)
	return scaled(t.v)
}

// weigh weighs the phases by a look.
func (t *tracker) weigh(l *Look, habit float64) {
	t.emit(l, habit, t.said)
	t.times(t.v, t.said)
}

// times weighs phases by a number of each stage.
func (c *chain) times(v, by []float64) {
	for j, p := range by {
		for i := c.start[j]; i < c.start[j+1]; i++ {
			v[i] *= p
		}
	}
}

// filter carries t.v through the steps of a trail and its end, and returns the log-likelihood,
// -Inf where impossible. Afterwards t.v is the chance of each phase (of no meaning after a failure).
func (t *tracker) filter(steps []step, tr *trail, speed, habit float64) float64 {
	sum := 0.0
	for i := range steps {
		s := &steps[i]
		if i == len(steps)-1 && tr.outcome == FoundFailed {
			break
		}
		t.advance(t.v, s.dx, speed)
		measured := false
		if s.look != nil {
			t.weigh(s.look, habit)
			measured = t.grades[s.look.Sort] == 0 // of which one value may be as good as impossible
		}
		if measured || i%scaleEvery == scaleEvery-1 {
			sum += math.Log(scaled(t.v))
		}
	}
	p := scaled(t.v)
	if math.IsInf(sum, 0) || math.IsNaN(sum) || !(p > 0) {
		return math.Inf(-1)
	}
	if tr.outcome != Running && tr.outcome != Removed {
		p *= t.end(steps, tr, speed, habit)
	}
	return sum + math.Log(p)
}

// scaleEvery is after how many looks the phases are scaled: one logarithm for many looks.
const scaleEvery = 8

// end is the chance or density of the end of a trail.
func (t *tracker) end(steps []step, tr *trail, speed, habit float64) float64 {
	p := 1.0
	switch tr.outcome {
	case Failed:
		t.density(tr.dir, speed, t.way)
		p = 0
		for i, x := range t.v {
			p += x * t.way[i]
		}
	case FoundFailed:
		t.advance(t.v, steps[len(steps)-1].dx, speed)
		for _, x := range t.v {
			p -= x
		}
	case RemovedBad:
		t.emitBad(tr.off, habit, t.said)
		for i, j := range t.stageOf {
			t.v[i] *= t.said[j]
		}
		p = scaled(t.v)
	}
	if !(p > 0) {
		return 0
	}
	return p
}

// gradient is filter from a new part, at one node of what is its own, adding the derivatives of the
// log-likelihood to g.
func (t *tracker) gradient(steps []step, tr *trail, node int, g *chain) float64 {
	speed := t.speed[node]
	t.keep, t.vecs, t.marks, t.parts = t.keep[:0], t.vecs[:0], t.marks[:0], t.parts[:0]
	t.newPart(t.v)
	sum := 0.0
	for i := range steps {
		t.recorded(&steps[i], speed)
		p := 0.0
		if i == len(steps)-1 && tr.outcome == FoundFailed {
			p = 1 - scaled(t.v)
		} else if l := steps[i].look; l != nil {
			p = t.see(l, t.habit[node])
		} else {
			p = scaled(t.v)
		}
		if !(p > 0) {
			return math.Inf(-1)
		}
		t.marks[i].scale = p
		sum += math.Log(p)
	}
	beta := t.next
	for i := range beta {
		beta[i] = 1
	}
	p := 1.0
	if tr.outcome == Failed || tr.outcome == RemovedBad {
		if p = t.backEnd(tr, node, beta, g); !(p > 0) {
			return math.Inf(-1)
		}
	}
	t.wayBack(steps, tr, node, beta, g)
	return sum + math.Log(p)
}

// recorded takes a step keeping its vectors.
func (t *tracker) recorded(s *step, speed float64) {
	from := len(t.parts)
	for range t.rates(s.dx, speed) {
		at := len(t.keep)
		t.parts = append(t.parts, part{at, t.forward(t.v)})
	}
	t.marks = append(t.marks, mark{from: from, to: len(t.parts)})
	t.vecs = append(t.vecs, t.v...)
}

// backEnd starts the way back at the end: derivatives by the phases into beta, by the parameters into g.
func (t *tracker) backEnd(tr *trail, node int, beta []float64, g *chain) float64 {
	p := 0.0
	if tr.outcome == RemovedBad {
		t.emitBad(tr.off, t.habit[node], t.said)
		clear(t.by)
		for i, j := range t.stageOf {
			p += t.v[i] * t.said[j]
			t.by[j] += t.v[i]
		}
		for i, j := range t.stageOf {
			beta[i] = t.said[j] / p
		}
		for j := range t.by {
			t.by[j] /= p
		}
		t.backBad(tr.off, node, t.by, g)
		return p
	}
	unit := t.density(tr.dir, t.speed[node], t.way)
	for i, x := range t.v {
		p += x * t.way[i]
	}
	for i, j := range t.stageOf {
		beta[i] = t.way[i] / p
		run := 0.0
		if j == t.stages-1 && t.leaves[i] {
			g.pace[i] += t.v[i] * t.run[j] * unit / p
			run = t.v[i] * t.pace[i] * unit / p
		}
		t.spread(j, tr.dir, node, run, t.v[i]*unit/p, g)
	}
	return p
}

// spread passes derivatives by a stage's rates over exposures dx on to the parameters.
func (t *tracker) spread(j int, dx []float64, node int, run, fail float64, g *chain) {
	speed := t.speed[node]
	for e, d := range dx {
		at := j*t.exposures + e
		g.inv[at] += run * speed * d
		g.speed[node] += run * d * t.inv[at]
		g.fail[at] += fail * d
	}
}

// wayBack carries beta back over all steps.
func (t *tracker) wayBack(steps []step, tr *trail, node int, beta []float64, g *chain) {
	n := t.phases
	for i := len(steps) - 1; i >= 0; i-- {
		m, before := &t.marks[i], t.vecs[i*n:(i+1)*n]
		found := i == len(steps)-1 && tr.outcome == FoundFailed
		switch l := steps[i].look; {
		case found:
			for k := range beta {
				beta[k] = -1 / m.scale
			}
		case l != nil:
			t.emit(l, t.habit[node], t.said)
			clear(t.by)
			for k, j := range t.stageOf {
				t.by[j] += before[k] * beta[k] / m.scale
				beta[k] *= t.said[j] / m.scale
			}
			t.back(l, node, t.said, t.by, g)
		default:
			for k := range beta {
				beta[k] /= m.scale
			}
		}
		t.backStep(&steps[i], m, node, beta, g)
		if found {
			for k := range beta {
				beta[k] += 1 / m.scale
			}
		}
	}
	if t.start[1] > 1 {
		g.skip[0] += beta[1] - beta[0]
	}
}

// backStep carries beta back over one step.
func (t *tracker) backStep(s *step, m *mark, node int, beta []float64, g *chain) {
	parts := t.parts[m.from:m.to]
	if len(parts) == 0 {
		return
	}
	t.rates(s.dx, t.speed[node])
	for d := range t.dCoef {
		clear(t.dCoef[d])
	}
	for _, p := range slices.Backward(parts) {
		t.backJumps(p.at, p.jumps, beta)
	}
	scale := 1 / (t.big * float64(len(parts)))
	clear(t.dRun)
	clear(t.by)
	by := t.byOut
	for i, j := range t.stageOf {
		by[i] = -t.dCoef[0][i]
		t.by[j] += by[i] * scale
	}
	for _, l := range t.links {
		d := t.dCoef[l.to-l.from][l.to]
		by[l.from] += d * l.share
		g.skip[l.stage] += d * t.out[l.from] * l.slope
	}
	for i, j := range t.stageOf {
		g.pace[i] += by[i] * t.run[j] * scale
		t.dRun[j] += by[i] * t.pace[i] * scale
	}
	for j := range t.stages {
		t.spread(j, s.dx, node, t.dRun[j], t.by[j], g)
	}
}

// backJumps is the way back over the jumps that forward took: derivatives by the phases into beta, by
// the matrix into dCoef.
func (t *tracker) backJumps(at, jumps int, beta []float64) {
	n := t.phases
	w := math.Exp(-t.big)
	t.pois = append(t.pois[:0], w)
	for k := 1; k <= jumps; k++ {
		w = w * t.big / float64(k)
		t.pois = append(t.pois, w)
	}
	a := t.way[:n+pad]
	for i := range beta {
		a[i] = t.pois[jumps] * beta[i]
	}
	from := func(k int) []float64 { return t.keep[at+k*(n+pad) : at+(k+1)*(n+pad)] }
	k := jumps - 1
	for ; k > 0 && t.far <= 2; k -= 2 {
		if t.far == 1 {
			t.backTwo1(from(k), from(k-1), a, beta, t.pois[k], t.pois[k-1])
		} else {
			t.backTwo2(from(k), from(k-1), a, beta, t.pois[k], t.pois[k-1])
		}
	}
	for ; k >= 0; k-- {
		t.backJump(from(k), a, beta, t.pois[k])
	}
	copy(beta, a)
}

// backTwo1 is the way back over two jumps, the later one from u and the one before it from s, where each phase is
// entered only from the one before: from the last phase to the first, so that nothing is read twice.
func (t *tracker) backTwo1(u, s, a, beta []float64, w, w2 float64) {
	n := len(beta)
	c0, c1 := t.coef[0][:n], t.coef[1][:n]
	d0, d1 := t.dCoef[0][:n], t.dCoef[1][:n]
	a, u0, u1, s0, s1 := a[:n], u[3:3+n], u[2:2+n], s[3:3+n], s[2:2+n]
	x1, y1, e1 := 0.0, 0.0, 0.0 // of the phase behind: as it was, after one jump, the chance of going there
	for i := n - 1; i >= 0; i-- {
		x, b, c := a[i], beta[i], c0[i]
		y := c*x + e1*x1 + w*b
		d0[i] = d0[i] + u0[i]*x + s0[i]*y
		d1[i] = d1[i] + u1[i]*x + s1[i]*y
		a[i] = c*y + e1*y1 + w2*b
		x1, y1, e1 = x, y, c1[i]
	}
}

// backTwo2 is backTwo1 where phases are entered from at most two before them.
func (t *tracker) backTwo2(u, s, a, beta []float64, w, w2 float64) {
	n := len(beta)
	c0, c1, c2 := t.coef[0][:n], t.coef[1][:n], t.coef[2][:n]
	d0, d1, d2 := t.dCoef[0][:n], t.dCoef[1][:n], t.dCoef[2][:n]
	a, u0, u1, u2 := a[:n], u[3:3+n], u[2:2+n], u[1:1+n]
	s0, s1, s2 := s[3:3+n], s[2:2+n], s[1:1+n]
	x1, x2, y1, y2, e1, f1, f2 := 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
	for i := n - 1; i >= 0; i-- {
		x, b, c := a[i], beta[i], c0[i]
		y := c*x + e1*x1 + f2*x2 + w*b
		d0[i] = d0[i] + u0[i]*x + s0[i]*y
		d1[i] = d1[i] + u1[i]*x + s1[i]*y
		d2[i] = d2[i] + u2[i]*x + s2[i]*y
		a[i] = c*y + e1*y1 + f2*y2 + w2*b
		x1, x2, y1, y2, e1, f1, f2 = x, x1, y, y1, c1[i], c2[i], f1
	}
}

// backJump is the way back over one jump from u, padded at its start; a is padded at its end.
func (t *tracker) backJump(u, a, beta []float64, w float64) {
	n := len(beta)
	c0, c1, c2, c3 := t.coef[0][:n], t.coef[1][1:n+1], t.coef[2][2:n+2], t.coef[3][3:n+3]
	d0, d1, d2, d3 := t.dCoef[0][:n], t.dCoef[1][:n], t.dCoef[2][:n], t.dCoef[3][:n]
	u0, u1, u2, u3 := u[3:3+n], u[2:2+n], u[1:1+n], u[:n]
	a, a1, a2, a3 := a[:n], a[1:n+1], a[2:n+2], a[3:n+3]
	switch t.far {
	case 1:
		for i, b := range beta {
			x := a[i]
			d0[i] += u0[i] * x
			d1[i] += u1[i] * x
			a[i] = c0[i]*x + c1[i]*a1[i] + w*b
		}
	case 2:
		for i, b := range beta {
			x := a[i]
			d0[i] += u0[i] * x
			d1[i] += u1[i] * x
			d2[i] += u2[i] * x
			a[i] = c0[i]*x + c1[i]*a1[i] + c2[i]*a2[i] + w*b
		}
	default:
		for i, b := range beta {
			x := a[i]
			d0[i] += u0[i] * x
			d1[i] += u1[i] * x
			d2[i] += u2[i] * x
			d3[i] += u3[i] * x
			a[i] = c0[i]*x + c1[i]*a1[i] + c2[i]*a2[i] + c3[i]*a3[i] + w*b
		}
	}
}
