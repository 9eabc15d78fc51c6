package surface

import (
	"cmp"
	"math"
	"slices"
)

// Lengths of rib on which limits count cracks, mm.
const (
	longSpan  = 75.0
	shortSpan = 25.0
)

// onRib is a crack on one rib: where along it, mm, and the chance that it is there.
type onRib struct{ along, chance float64 }

// CountCracks counts cracks on each rib and on the worst. It is to be called again after marks were struck out (left
// out of cracks) or set by hand (Hand), which count for sure. The band of a count knows of three things: the chances of
// its marks; cracks too faint for the picture, judged by how many of those seen are faint; and, where less of the belt
// was seen than 75 or 25 mm, how uneven cracks lie on what was not.
func CountCracks(f Frame, cracks []Crack) Count {
	if len(f.Stations) < 2 || len(f.Stations[0].Lines) < 2 {
		return Count{}
	}
	ribs := len(f.Stations[0].Lines) - 1
	c := Count{Ribs: make([]int, ribs), Seen: f.Stations[len(f.Stations)-1].Along - f.Stations[0].Along}
	on := make([][]onRib, ribs)
	for _, k := range cracks {
		chance := min(max(k.Chance, 0), 1)
		if k.Hand {
			chance = 1
		}
		for _, r := range k.Ribs {
			if r < 0 || r >= ribs {
				continue
			}
			on[r] = append(on[r], onRib{along: k.alongRib(f.Pitch, r), chance: chance})
			c.Ribs[r]++
		}
	}
	for r := range on {
		slices.SortFunc(on[r], func(a, b onRib) int { return cmp.Compare(a.along, b.along) })
	}
	worst := func(a, b int) int {
		return cmp.Or(cmp.Compare(len(mostOn(on[a], longSpan)), len(mostOn(on[b], longSpan))),
			cmp.Compare(len(mostOn(on[a], shortSpan)), len(mostOn(on[b], shortSpan))),
			cmp.Compare(len(on[a]), len(on[b])))
	}
	for r := 1; r < ribs; r++ {
		if worst(r, c.Worst) > 0 {
			c.Worst = r
		}
	}
	c.Of75, c.Of25 = spanCount(f, on, longSpan, c.Seen), spanCount(f, on, shortSpan, c.Seen)
	return c
}

// alongRib is where along the belt a crack crosses the middle of a rib: the mean of its path there.
func (c Crack) alongRib(pitch float64, rib int) float64 {
	from, to := pitch*float64(rib), pitch*float64(rib+1)
	sum, length, near, far := 0.0, 0.0, 0.0, math.Inf(1)
	for k, p := range c.Path {
		if d := math.Abs(p.X - (from+to)/2); d < far {
			near, far = p.Y, d
		}
		if k == 0 {
			continue
		}
		q := c.Path[k-1]
		a, b := max(from, min(p.X, q.X)), min(to, max(p.X, q.X))
		if b > a {
			sum += (b - a) * (q.Y + (p.Y-q.Y)*((a+b)/2-q.X)/(p.X-q.X))
			length += b - a
		}
	}
	if length == 0 {
		return near
	}
	return sum / length
}

// mostOn is the most of a rib's cracks, in order along it, that a length of it holds.
func mostOn(on []onRib, length float64) []onRib {
	var most []onRib
	from := 0
	for to := range on {
		for on[to].along-on[from].along > length {
			from++
		}
		if to+1-from > len(most) {
			most = on[from : to+1]
		}
	}
	return most
}

// doubt is by how much, in log odds, the chances of all marks of a picture may be off together: so that nine of ten
// bands hold on drawn belts that have a crack or a mark (269 of the seeds from 5 600 000 and 7 000 000 on; with 1.0, as
// it was before there was a net, 95 % did, in bands half as wide again).
const doubt = 0.5

// spanCount is the most on a length of one rib, with its band: from the chances, rib by rib, of each number on the
// length of it that has most marks.
func spanCount(f Frame, on [][]onRib, span, seen float64) Measure {
	var m Measure
	scale := 1.0
	if seen > 0 && seen < span {
		scale = span / seen
	}
	most := make([][]onRib, len(on))
	for r := range on {
		most[r] = mostOn(on[r], span)
		m.Value = max(m.Value, scale*float64(len(most[r])))
	}
	usual := 0.0
	for _, marks := range most {
		usual += float64(len(marks)) / float64(len(on))
	}
	// Chances of up to so many on every rib, for three ways in which the picture may deceive.
	var below [maxCount]float64
	for k, weight := range []float64{0.25, 0.5, 0.25} {
		off := doubt * float64(k-1) * math.Sqrt2
		all := [maxCount]float64{}
		for n := range all {
			all[n] = weight
		}
		for r := range on {
			p := chances(most[r], f.faint(r)*min(span, max(seen, 0))*math.Exp(off), off, scale, usual)
			sum := 0.0
			for n := range all {
				if n < len(p) {
					sum += p[n]
				}
				all[n] *= min(sum, 1)
			}
		}
		for n := range all {
			below[n] += all[n]
		}
	}
	m.Low, m.High = m.Value, m.Value
	for n := maxCount - 1; n >= 0; n-- {
		if below[n] > 0.05 {
			m.Low = min(m.Value, float64(n))
		}
		if below[n] >= 0.95 {
			m.High = max(m.Value, float64(n))
		}
	}
	return m
}

// fellows is what the other ribs of a belt say about how many cracks one has where it was not seen, as a count.
const fellows = 2.0

const maxCount = 240 // on a length of one rib

// faint is how many cracks a mm of a rib are expected that are too faint for a mark.
func (f Frame) faint(rib int) float64 {
	if rib < len(f.Faint) {
		return max(f.Faint[rib], 0)
	}
	return 0
}

// chances are those of 0, 1, 2, ... cracks on a length of rib: its marks, each with its chance, others too faint, of
// which so many are expected, and where less was seen than that length as many more in proportion, as uneven as what
// is counted is by chance (Poisson's law, with a rate known from what was seen of this rib and usual on the others).
func chances(marks []onRib, faint, off, scale, usual float64) []float64 {
	p := []float64{1}
	for _, k := range marks {
		chance := k.chance
		if chance < 1 {
			chance = logistic(math.Log(max(chance, 1e-6)/(1-chance)) + off)
		}
		p = with(p, chance)
	}
	p = spreadBy(p, func(int) []float64 { return negative(faint, 1e6) })
	if scale > 1 {
		p = spreadBy(p, func(n int) []float64 {
			shape := float64(n) + fellows
			return negative((scale-1)*shape/(1+fellows/(usual+0.3)), shape)
		})
	}
	return p
}

// spreadBy adds to each number another, by its own chances.
func spreadBy(p []float64, more func(n int) []float64) []float64 {
	out := make([]float64, maxCount)
	for n, v := range p {
		if v < 1e-9 {
			continue
		}
		for k, w := range more(n) {
			out[min(n+k, maxCount-1)] += v * w
		}
	}
	return out
}

// negative is the negative binomial law of a mean and a shape: Poisson's where the shape is great.
func negative(mean, shape float64) []float64 {
	if mean < 1e-9 {
		return []float64{1}
	}
	q := mean / (mean + shape)
	p := math.Exp(-shape * math.Log1p(mean/shape))
	out, sum := []float64{p}, p
	for k := 1; k < maxCount && sum < 1-1e-7; k++ {
		p *= q * (shape + float64(k-1)) / float64(k)
		out, sum = append(out, p), sum+p
	}
	return out
}

// with adds to the chances of 0, 1, 2, ... one more that is there with a chance.
func with(p []float64, chance float64) []float64 {
	out := make([]float64, len(p)+1)
	for n, v := range p {
		out[n] += v * (1 - chance)
		out[n+1] += v * chance
	}
	return out
}
