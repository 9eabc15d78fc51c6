package listen

import (
	"cmp"
	"math"
	"slices"
)

// What is asked of a tone of a running engine.
const (
	toneFrom   = 500.0 // Hz; below, the engine's own lines rule
	toneTo     = 9000.0
	toneFrame  = 0.35   // s
	toneOver   = 4.0    // power over the strongest lines near
	toneCell   = 0.01   // relative width of the cells hits are gathered in
	toneShare  = 0.25   // of the frames
	leastHits  = 8      // frames at least
	mostTones  = 8      // looked at
	lockedSD   = 0.0014 // scatter of a tone's order, from which it is not locked
	freeSD     = 0.0018
	steadyAt   = 0.7    // median over mean of a tone's power, below which it comes in bursts
	steadyStep = 0.004  // s
	steadyBand = 150.0  // Hz to either side
	toneSD     = 0.0075 // scatter of a tone's frequency, from which it is none
	ownOrder   = 0.08   // orders from a half order within which a tone may be the engine's
	tonePlaces = 13     // firing orders whose strongest lines make the background
)

// bond of a tone with the crank.
type bond int

const (
	undecided bond = iota // the speed is too steady to tell, or the tone too unsteady
	locked
	free
)

// heldTone stays, from frame to frame.
type heldTone struct {
	hz                    float64 // median
	order                 float64 // of the crank, median
	share                 float64 // of the frames it was found in
	level                 float64 // mean log of the power over the background [nats]
	bound                 bond
	sdHz, sdOrder, steady float64
}

// toneHit is one frame's peak.
type toneHit struct{ at, hz, over float64 }

// tones that stand 6 dB above the strongest lines of the engine near them in a quarter of the frames, most telling
// first. Each is followed from frame to frame and its frequency set against the crank's speed: a tone whose order
// scatters less than 0.14 % and much less than its frequency is locked to the drive, one whose order scatters more
// than its frequency is free.
func (h *hearing) tones(x []float64, rate float64) []heldTone {
	h.inTime = newSource(x, rate)
	cells, frames := toneCells(x, rate, h.drive.Engine.Firing()*h.crank.Hz)
	var out []heldTone
	for _, cell := range cells {
		if t, ok := h.follow(cell, frames); ok {
			out = append(out, t)
		}
	}
	return out
}

// toneCells are the hits that gather at a frequency, strongest gatherings first, of each frame the highest, in
// order of time.
func toneCells(x []float64, rate, firing float64) (cells [][]toneHit, frames int) {
	hits, frames := toneHits(x, rate, firing)
	slices.SortFunc(hits, func(a, b toneHit) int { return cmp.Compare(a.hz, b.hz) })
	for range mostTones {
		cell := bestCell(hits)
		if len(cell) < leastHits {
			break
		}
		mid := cell[len(cell)/2].hz
		slices.SortFunc(cell, func(a, b toneHit) int {
			return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(b.over, a.over))
		})
		cells = append(cells, slices.CompactFunc(cell, func(a, b toneHit) bool { return a.at == b.at }))
		hits = slices.DeleteFunc(hits, func(q toneHit) bool { return math.Abs(q.hz/mid-1) < 2*toneCell })
	}
	return cells, frames
}

// toneHits are the peaks of all frames over the strongest lines within some firing orders [Hz].
func toneHits(x []float64, rate, firing float64) (hits []toneHit, frames int) {
	size := shorter(min(int(toneFrame*rate), len(x)))
	step := rate / float64(size)
	block := max(int(firing/step), 3)
	top := min(int(toneTo/step), size/2-1)
	eachSegment(x, size, size/2, func(start int, c []complex128) {
		frames++
		p := make([]float64, top+1)
		for k := range p {
			p[k] = abs2(c[k])
		}
		bg := strongest(p, block)
		s := Spectrum{step, p}
		for k := int(toneFrom / step); k < top; k++ {
			over := p[k] / max(bg[k/block], 1e-300)
			if over > toneOver && p[k] >= p[k-1] && p[k] > p[k+1] {
				hits = append(hits, toneHit{(float64(start) + float64(size)/2) / rate,
					(float64(k) + s.vertex(k)) * step, math.Log(over)})
			}
		}
	})
	return hits, frames
}

// strongest is, for each block of bins one firing order wide, the median of the highest bins of the blocks about it.
func strongest(p []float64, block int) []float64 {
	m := make([]float64, (len(p)+block-1)/block)
	for k, v := range p {
		m[k/block] = max(m[k/block], v)
	}
	return runningMedian(m, tonePlaces)
}

// bestCell is the run of hits, sorted by frequency, within one cell that gathers most.
func bestCell(hits []toneHit) []toneHit {
	var best []toneHit
	sum, top, from := 0.0, 0.0, 0
	for i, q := range hits {
		sum += q.over
		for hits[from].hz < q.hz*(1-2*toneCell) {
			sum -= hits[from].over
			from++
		}
		if sum > top {
			top, best = sum, hits[from:i+1]
		}
	}
	return slices.Clone(best)
}

// follow makes a tone of the hits of a cell; false if it does not stay.
func (h *hearing) follow(cell []toneHit, frames int) (heldTone, bool) {
	n := float64(len(cell))
	if len(cell) < leastHits || n < toneShare*float64(frames) {
		return heldTone{}, false
	}
	t := heldTone{share: n / float64(frames)}
	for _, q := range cell {
		t.level += q.over / n
	}
	hz, order := alongTrack(cell, h.crank.Track)
	t.hz, t.order = median(hz), median(order)
	t.sdHz, t.sdOrder, t.steady = scatterOf(hz), scatterOf(order), h.steadiness(cell, t.hz)
	t.bound = bondOf(scatterOf(hz), scatterOf(order))
	return t, scatterOf(hz) < toneSD || t.bound == locked
}

// alongTrack is the frequency of each hit, and its order of the crank then.
func alongTrack(cell []toneHit, t Track) (hz, order []float64) {
	for _, q := range cell {
		from, slope, _ := t.piece(q.at)
		hz = append(hz, q.hz)
		order = append(order, q.hz/(from+slope*q.at))
	}
	return hz, order
}

// bondOf judges by the relative scatter of a tone's frequency and of its order.
func bondOf(hz, order float64) bond {
	switch {
	case order < lockedSD && order < 0.75*hz:
		return locked
	case order > freeSD && order > 0.8*hz, order > 1.5*hz && order > 0.0006:
		return free
	}
	return undecided
}

// scatterOf is the relative standard deviation, from the median absolute deviation.
func scatterOf(x []float64) float64 {
	m := median(x)
	d := make([]float64, len(x))
	for i, v := range x {
		d[i] = math.Abs(v/m - 1)
	}
	return madToSD * median(d)
}

// squeals takes a free tone for a squeal, unless a pulley is known to sing there, when it is the crank's track that
// is off, or it comes in bursts.
func (h *hearing) squeals(n *NoiseSort, all []heldTone) bool {
	i := slices.IndexFunc(all, func(t heldTone) bool {
		return t.bound == free && len(singers(h.drive.Pulleys, t.order)) == 0 && t.steady >= steadyAt
	})
	if i < 0 {
		return false
	}
	n.Sort, n.Tone = Squeal, all[i].hz
	return true
}

// steadiness of a tone: the median over the mean of its power in steps of 4 ms, over the frames it was found in.
func (h *hearing) steadiness(cell []toneHit, hz float64) float64 {
	e := h.inTime.squaredEnvelope(Plain, Band{hz - steadyBand, hz + steadyBand}, 2*steadyBand)
	per := float64(len(e)) / (float64(h.inTime.n) / h.inTime.rate)
	var power []float64
	for _, q := range cell {
		for s := q.at - toneFrame/4; s < q.at+toneFrame/4; s += steadyStep {
			a, b := max(int(s*per), 0), min(int((s+steadyStep)*per), len(e))
			if b > a {
				power = append(power, mean(e[a:b])+1)
			}
		}
	}
	if len(power) == 0 {
		return 0
	}
	return median(power) / mean(power)
}

// whines takes a locked tone for a whine, or one that cannot be told at an order that a pulley is known to sing.
func (h *hearing) whines(n *NoiseSort, all []heldTone) bool {
	for _, t := range all {
		who := singers(h.drive.Pulleys, t.order)
		half := math.Abs(t.order/h.half - math.Round(t.order/h.half))
		if t.bound == locked && (len(who) > 0 || half*h.half > ownOrder) || t.bound == undecided && len(who) > 0 {
			n.Sort, n.Tone, n.Matches = Whine, t.hz, who
			return true
		}
	}
	return false
}

// singers lists the pulleys with a tone, or its octave, at an order of the crank.
func singers(pulleys []Pulley, order float64) []string {
	var out []string
	for _, p := range pulleys {
		for _, t := range p.Tones {
			o := t.Order * p.Ratio
			if min(math.Abs(order/o-1), math.Abs(order/(2*o)-1)) < 2*p.sd() && !slices.Contains(out, p.Name) {
				out = append(out, p.Name)
			}
		}
	}
	return out
}
