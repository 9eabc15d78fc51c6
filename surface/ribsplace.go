package surface

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"
)

// Seen from aside, a belt's outline is not its tips': the wall of the edge that is nearer is seen, the flank of the
// other is not, and grooves lie deeper. Where the tips lie is told by the section's own light, the outline and the
// outer ribs together.

const (
	tipEven = 3 // what stays where a section is mirrored
	tipOdd  = 6 // what changes its sign
)

// tipUsual, tipEvens and tipOdds are means and inverse covariances of what sections give where their middles are the
// tips'; that of what is odd is nothing on the mean. Fitted on drawn belts, seeds 1 500 000 to 1 500 289.
var (
	tipUsual = [tipEven]float64{0.470, 0.363, -0.055}
	tipEvens = [tipEven][tipEven]float64{{5.12, 2.17, -3.93}, {2.17, 11.78, 1.01}, {-3.93, 1.01, 35.53}}
	tipOdds  = [tipOdd][tipOdd]float64{
		{4.15, 0.68, -5.13, 1.25, -1.46, -3.02},
		{0.68, 15.58, 1.31, -5.58, -0.93, -3.30},
		{-5.13, 1.31, 42.04, 8.94, 3.22, 0.76},
		{1.25, -5.58, 8.94, 40.57, 7.78, -23.15},
		{-1.46, -0.93, 3.22, 7.78, 32.97, -12.90},
		{-3.02, -3.30, 0.76, -23.15, -12.90, 41.87},
	}
)

// leanOfOff is how far a belt leans, radians, where its tips lie a pitch off the middle of its outline, and its spread:
// fitted on the same.
const leanOfOff, leanSpread = 0.94, 0.12

// tipCues is what a section tells of where its tips lie.
type tipCues struct {
	// first and second wave of the usual pitch, from the middle between two lines, of size 1 together
	light [2]complex128
	vary  complex128 // first wave of how much it varies along the belt, over its mean
	outer [2]float64 // by how much the outer half pitches differ from others, first less last: lighter, and anyhow
}

func (b *belt) tipCues() (c tipCues, ok bool) {
	const m = 32
	at := func(v []float64, k, i int) float64 { return between(v, b.line(k)+float64(i)/m*b.step) }
	var cell, inner, vary [m]float64
	for i := range m {
		for k := range b.ribs {
			v := at(b.wide[:], k, i) / float64(b.ribs)
			cell[i] += v
			vary[i] += at(b.spread[:], k, i) / float64(b.ribs)
			if b.ribs > 3 && k > 0 && k < b.ribs-1 {
				inner[i] += v * float64(b.ribs) / float64(b.ribs-2)
			}
		}
	}
	if b.ribs <= 3 {
		inner = cell
	}
	low, high, usual := inner[0], inner[0], 0.0
	for i := range m {
		turn := -2 * math.Pi * float64(i-m/2) / m
		for h := range c.light {
			c.light[h] += complex(cell[i], 0) * cmplx.Rect(1, turn*float64(h+1))
		}
		c.vary += complex(vary[i], 0) * cmplx.Rect(1, turn)
		usual += vary[i]
		low, high = min(low, inner[i]), max(high, inner[i])
	}
	size := math.Hypot(cmplx.Abs(c.light[0]), cmplx.Abs(c.light[1]))
	for h := range c.light {
		c.light[h] /= complex(size, 0)
	}
	c.vary /= complex(usual+m, 0)
	var sum, square [2]float64
	for i := range m / 2 {
		for end, d := range [2]float64{at(b.wide[:], 0, i) - inner[i], at(b.wide[:], b.ribs-1, m/2+i) - inner[m/2+i]} {
			d /= (high - low + 5)
			sum[end] += d / (m / 2)
			square[end] += d * d / (m / 2)
		}
	}
	c.outer = [2]float64{sum[0] - sum[1], math.Sqrt(square[0]) - math.Sqrt(square[1])}
	for i, v := range c.outer {
		c.outer[i] = min(max(v, -1), 1)
	}
	return c, size > 0 && !math.IsNaN(c.outer[0]) && !cmplx.IsNaN(c.vary)
}

// at are the cues as they are where tips lie some pitches further across than the middles between lines.
func (c tipCues) at(off float64) (even [tipEven]float64, odd [tipOdd]float64) {
	turn := 2 * math.Pi * off
	first, second := c.light[0]*cmplx.Rect(1, turn), c.light[1]*cmplx.Rect(1, 2*turn)
	vary := c.vary * cmplx.Rect(1, turn)
	return [tipEven]float64{real(first), real(second), real(vary)},
		[tipOdd]float64{imag(first), imag(second), imag(vary), off, c.outer[0], c.outer[1]}
}

// tipsAt is where tips may lie: pitches further across than the middles between lines, and how unlikely that is, twice
// the negative logarithm of the likelihood.
type tipsAt struct{ off, cost float64 }

// tipsOff is where tips may lie by the normal distribution of the cues, the likeliest first.
func (b *belt) tipsOff() []tipsAt {
	c, ok := b.tipCues()
	if !ok {
		return []tipsAt{{}}
	}
	const most, step = 75, 0.01
	var costs [2*most + 1]float64
	for k := range costs {
		even, odd := c.at(float64(k-most) * step)
		for i := range even {
			for j := range even {
				costs[k] += (even[i] - tipUsual[i]) * tipEvens[i][j] * (even[j] - tipUsual[j])
			}
		}
		for i := range odd {
			for j := range odd {
				costs[k] += odd[i] * tipOdds[i][j] * odd[j]
			}
		}
	}
	var out []tipsAt
	for k, v := range costs {
		if v <= costs[max(k-1, 0)] && v <= costs[min(k+1, 2*most)] {
			out = append(out, tipsAt{float64(k-most) * step, v})
		}
	}
	slices.SortStableFunc(out, func(a, b tipsAt) int { return cmp.Compare(a.cost, b.cost) })
	return out
}

// onTips is by how many mm the lines of a pose lie short of the borders of the tips, across.
func (b *belt) onTips(p *pose, f *fit) float64 {
	off := f.off * b.step / perPitch
	flat := *p
	flat.deep = 0
	var all []float64
	for _, q := range b.places {
		if q.fit < 0.5 {
			continue
		}
		s := sighting{at: q.on(((b.first+b.last())/2-farRibs*perPitch)/perPitch+off, 0), t: f.nearest(p, q.at)}
		s.line = p.ribs / 2
		here := float64(s.line) - float64(p.ribs)/2
		d := flat.offset(&s, 0)
		next := s
		next.line++
		if wide := d - flat.offset(&next, 0); wide > 0 {
			all = append(all, (d/wide+here)*p.pitch)
		}
	}
	if len(all) == 0 {
		return 0
	}
	return median(all)
}

// nearest is where on the course the sighting nearest to a place is, in nodes.
func (f *fit) nearest(p *pose, at Point) float64 {
	best, least := 0.0, math.Inf(1)
	for _, s := range f.seen {
		if d := s.at.distance(at); d < least {
			best, least = s.t, d
		}
	}
	return best
}
