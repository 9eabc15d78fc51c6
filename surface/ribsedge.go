package surface

import (
	"math"
	"slices"
)

// mostRibs is the greatest number of ribs looked for; what goes on beyond is not a belt's.
const mostRibs = 12

// countRibs says where the ribbed face begins and how many pitches wide it is. Within it each pitch is like the next,
// and the light stays the same along the belt; beside it neither holds. Of all intervals of a whole number of pitches
// that is taken whose samples are likelier a belt's than not by most.
func (b *belt) countRibs() {
	b.ribs = 0
	if !b.even() {
		return
	}
	like := b.likelihoods()
	even := b.evenness()
	var sum, both [sectionN + 1]float64
	for i, v := range like {
		sum[i+1], both[i+1] = sum[i]+v, both[i]+v+even[i]
	}
	edge := b.edges()
	best := 0.0
	for n := 2; n <= mostRibs; n++ {
		for _, step := range [...]float64{0.96, 0.98, 1, 1.02, 1.04} {
			step *= perPitch
			w := int(math.Round(float64(n) * step))
			for i := 1; i+w < sectionN; i++ {
				if i >= b.to || i+w <= b.from {
					continue
				}
				l, r := edge[0][i], edge[1][i+w]
				if v := both[i+w] - both[i] + edgeCounts*(l+r+2*math.Sqrt(l*r)) - math.Abs(step-perPitch); v > best {
					best, b.ribs, b.first, b.step = v, n, float64(i)-0.5, float64(w)/float64(n)
				}
			}
		}
	}
	if b.ribs == 0 {
		return
	}
	from, to := int(b.first+0.5), int(b.last()+0.5)
	b.clear = (sum[to] - sum[from]) / float64(to-from)
}

// line is the sample at which a line lies; last is that of the last.
func (b *belt) line(k int) float64 { return b.first + float64(k)*b.step }
func (b *belt) last() float64      { return b.line(b.ribs) }

// edgeCounts is how much an edge counts beside the likelihood of samples.
const edgeCounts = 4

// edges say how much like a belt's edge each place before a sample is, from 0 to 2: by the step of light there, and by
// how much more the light varies along the belt beyond it. The first is for the edge from which across is counted.
func (b *belt) edges() (edge [2]section) {
	_, _, swing := b.cell()
	for i := 3; i+3 < sectionN; i++ {
		d := math.Abs(b.wide[i] + b.wide[i+1] - b.wide[i-1] - b.wide[i-2])
		step := min(d/2/(swing+8), 1)
		more := 0.5 * math.Log((b.spread[i-3]+3)/(b.spread[i+2]+3))
		for side, m := range [2]float64{more, -more} {
			if v := step + min(max(m, 0), 1); v == v {
				edge[side][i] = v
			}
		}
	}
	return edge
}

// evenness says of each sample how much likelier by how little it varies along it lies on the belt than beside it: the
// logarithm of the mean of what varies there and here over it.
func (b *belt) evenness() (even section) {
	var here, all []float64
	for i, v := range b.spread {
		if !math.IsNaN(v) {
			all = append(all, v)
			if i >= b.from && i < b.to {
				here = append(here, v)
			}
		}
	}
	if len(here) == 0 {
		return even
	}
	slices.Sort(all)
	in, out := median(here)+1, all[len(all)*7/8]+1
	if out < in*1.5 {
		return even
	}
	for i, v := range b.spread {
		if !math.IsNaN(v) {
			even[i] = min(max(math.Log(math.Sqrt(in*out)/(v+1)), -1), mostEven) / 2
		}
	}
	return even
}

// mostEven is the most that speaks for the belt: much of the ground is even too.
const mostEven = 0.3

// even sets the usual section with the light evened out along the belt, and how much it varies.
func (b *belt) even() bool {
	var mean section
	b.average(&mean, 0, len(b.places))
	rows := make([]section, 0, len(b.places))
	for _, p := range b.places {
		if p.fit < 0.5 {
			continue
		}
		gain, offset, ok := straight(mean[b.from:b.to], p.light[b.from:b.to])
		if !ok || gain < 0.2 {
			continue
		}
		row := p.light
		for i := range row {
			row[i] = (row[i] - offset) / gain
		}
		rows = append(rows, row)
	}
	if len(rows) < 4 {
		return false
	}
	column := make([]float64, 0, len(rows))
	for i := range mean {
		column = column[:0]
		for k := range rows {
			if !math.IsNaN(rows[k][i]) {
				column = append(column, rows[k][i])
			}
		}
		if 2*len(column) < len(rows) {
			b.wide[i], b.spread[i] = math.NaN(), math.NaN()
			continue
		}
		slices.Sort(column)
		n := len(column)
		b.wide[i] = column[n/2]
		b.spread[i] = (column[n*84/100] - column[n*16/100]) / 2
	}
	return true
}

// straight fits y = gain x + offset.
func straight(x, y []float64) (gain, offset float64, ok bool) {
	var n, sx, sy, sxx, sxy float64
	for i, v := range x {
		w := y[i]
		if math.IsNaN(v) || math.IsNaN(w) {
			continue
		}
		n, sx, sy, sxx, sxy = n+1, sx+v, sy+w, sxx+v*v, sxy+v*w
	}
	d := n*sxx - sx*sx
	if !(d > 1e-9) {
		return 0, 0, false
	}
	gain = (n*sxy - sx*sy) / d
	return gain, (sy - gain*sx) / n, true
}

// average is the mean section of places that fit.
func (b *belt) average(out *section, from, to int) {
	var n [sectionN]float64
	*out = section{}
	for _, p := range b.places[from:min(to, len(b.places))] {
		if p.fit < 0.5 {
			continue
		}
		for i, v := range p.light {
			if !math.IsNaN(v) {
				out[i] += v
				n[i]++
			}
		}
	}
	for i := range out {
		out[i] /= n[i]
	}
}

// likelihoods say of each sample how much better the usual pitch, moved up or down, tells what lies around it than a
// straight line does: half the logarithm of the ratio of what is left of the variance.
// Of the windows in which a sample lies that counts which shows a belt best, for one across an edge shows nothing.
func (b *belt) likelihoods() (like section) {
	around := b.windows()
	for i := range like {
		like[i] = slices.Max(around[max(0, i-likeWing):min(sectionN, i+likeWing+1)])
	}
	return like
}

const likeWing = perPitch * 3 / 8

func (b *belt) windows() (like section) {
	cell, sd, swing := b.cell()
	const wing = likeWing
	noise := 1 + 0.01*swing*swing + 0.5*mean(sd[:])*mean(sd[:])
	for i := range like {
		like[i] = -1.5
		if i < wing || i+wing >= sectionN {
			continue
		}
		var n, sy, sxx, sxy, syy, sd, sdd float64
		for j := -wing; j <= wing; j++ {
			y, x := b.wide[i+j], float64(j)
			d := y - cell[(i+j)%perPitch]
			n, sy, sxx, sxy, syy = n+1, sy+y, sxx+x*x, sxy+x*y, syy+y*y
			sd, sdd = sd+d, sdd+d*d
		}
		smooth := (syy - sy*sy/n - sxy*sxy/sxx) / n
		on := (sdd - sd*sd/n) / n
		moved := sd / n / (swing + 10)
		if l := 0.5 * math.Log((smooth+noise)/(on+noise)); l == l {
			like[i] = min(max(l-moved*moved, -1.5), 1.5)
		}
	}
	return like
}

// cell is the section folded to one pitch, by phase, from what was compared; how much one pitch differs from another,
// and how much it goes up and down.
func (b *belt) cell() (cell, sd [perPitch]float64, swing float64) {
	var n [perPitch]float64
	for i := b.from; i < b.to; i++ {
		if v := b.wide[i]; !math.IsNaN(v) {
			cell[i%perPitch] += v
			sd[i%perPitch] += v * v
			n[i%perPitch]++
		}
	}
	low, high := math.Inf(1), math.Inf(-1)
	for k := range cell {
		cell[k] /= n[k]
		sd[k] = math.Sqrt(max(sd[k]/n[k]-cell[k]*cell[k], 0))
		low, high = min(low, cell[k]), max(high, cell[k])
	}
	return cell, sd, high - low
}

// period is how many samples a pitch has in the usual section: of shifts by several pitches that at which it is most
// like itself.
func (b *belt) period() float64 {
	from, to := int(b.first+1), int(b.last())
	from, to = max(0, from), min(sectionN, to)
	best, most := float64(perPitch), 0.0
	var moved [sectionN]float64
	for e := -1.0; e <= 1.0; e += 0.05 {
		sum := 0.0
		for m := 1; m <= max(1, b.ribs-2); m++ {
			shift := float64(m) * (perPitch + e)
			n := to - from - int(shift) - 1
			if n < perPitch {
				break
			}
			for i := range n {
				moved[i] = between(b.wide[:], float64(from+i)+shift)
			}
			sum += float64(n) * correlation(b.wide[from:from+n], moved[:n])
		}
		if sum > most {
			best, most = perPitch+e, sum
		}
	}
	return best
}
