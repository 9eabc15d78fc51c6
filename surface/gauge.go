package surface

import (
	"image"
	"math"
	"slices"
)

// GaugeBar is a bar of a wear gauge in the groove of a belt. Lengths in mm.
type GaugeBar struct {
	Groove int     `json:"groove"` // from 0, the first between two ribs
	Top    Point   `json:"top"`    // px
	Tips   Point   `json:"tips"`   // px: the middle between the tips beside it
	Stand  Measure `json:"stand"`  // of its top above that, below 0 beneath it
}

// GaugeReading is a picture along the ribs of a belt with a wear gauge in its grooves, read.
type GaugeReading struct {
	Version string     `json:"version"` // of the method
	Bars    []GaugeBar `json:"bars"`
	Stand   Measure    `json:"stand"` // of the bars on the mean above the tips, mm
	PerMM   float64    `json:"perMM"` // px, by the pitch
	Blur    float64    `json:"blur"`  // of the ribs' outline, px, standard deviation
	Outline []Point    `json:"outline,omitempty"`
	Faults  []Fault    `json:"faults,omitempty"`
}

// NoGauge is the fault that no bars of another light than ribs and background stand out in the grooves: Value bars
// found, Want at least.
const NoGauge = "no-gauge"

const (
	gaugeVersion = "gauge 1"
	leastBars    = 2
	leastDark    = 0.6  // of the ribs' outline: where a bar touches a flank it may be as dark
	overTips     = 1.7  // mm above the tips that are looked at
	sameBars     = 0.25 // mm by which a bar may lie off the line of the others
	mostLean     = 0.06 // of that line against the belt, radians
	alikeBars    = 0.4  // logarithm of the light of one over another's
)

// ReadGauge measures by how much the bars of a wear gauge stand above the tips of the ribs between which they lie, in a
// picture along the ribs at the gauge's end: dark ribs, a lighter background, and the gauge of another light than both.
// The pitch gives the scale. The error wraps [ErrPicture] or [ErrSettings]; what is wrong with what is in the picture
// is a Fault, and where one stops there are no bars.
//
// Ribs are found as [ReadProfile] does, by what is dark alone, so that a lighter bar fills no groove. On lines down
// into the grooves a bar's top is an edge below which is neither rubber nor background; of all such edges those are
// taken that lie in one line.
func ReadGauge(p *image.Gray, o ProfileOptions) (GaugeReading, error) {
	o, err := o.filled()
	if err != nil {
		return GaugeReading{}, err
	}
	if err := checkGray(p); err != nil {
		return GaugeReading{}, err
	}
	out := GaugeReading{Version: gaugeVersion, Bars: []GaugeBar{}}
	stop := func(f Fault) (GaugeReading, error) {
		f.Stops = true
		out.Faults = []Fault{f}
		return out, nil
	}
	row := findDarkRow(p)
	if len(row.tips) < leastRibs {
		return stop(Fault{Code: NoBelt, Value: float64(len(row.tips)), Want: leastRibs})
	}
	m := measuring{ProfileOptions: o, row: row, edge: sharpen(p, row.line, row.pitch, true)}
	for _, q := range m.edge.points {
		out.Outline = append(out.Outline, q.at)
	}
	if m.edge.seen < leastDark {
		return stop(Fault{Code: NoOutline, Value: m.edge.seen, Want: leastDark})
	}
	straight := m.scale()
	if out.PerMM = m.perMM; m.perMM == 0 {
		out.PerMM = row.pitch / o.Pitch
	}
	switch {
	case out.PerMM < leastPerMM:
		return stop(Fault{Code: Small, Value: out.PerMM, Want: leastPerMM})
	case !straight || m.spread > 0.08*m.perMM:
		return stop(Fault{Code: NotBelt})
	}
	out.Blur = blurOf(p, m.onFlanks(), 0.16*row.pitch)
	if most := mostBlurMM * m.perMM; out.Blur > most {
		return stop(Fault{Code: Blurred, Value: out.Blur, Want: most})
	}
	g := gauging{measuring: &m, p: p}
	bars := g.inLine(g.bars())
	if len(bars) < leastBars {
		return stop(Fault{Code: NoGauge, Value: float64(len(bars)), Want: leastBars})
	}
	out.report(bars, &m)
	return out, nil
}

// report sets bars and their mean. Bars of one picture err alike, by where an edge lies that is blurred and by the line
// of sight.
func (r *GaugeReading) report(bars []barSeen, m *measuring) {
	sum, square, n := 0.0, 0.0, float64(len(bars))
	alike := math.Sqrt(sq(0.125/m.perMM) + sq(0.085*r.Blur/m.perMM) + sq(gaugeSight))
	for _, b := range bars {
		v := (b.top - b.tips) / m.perMM
		sum, square = sum+v, square+v*v
		r.Bars = append(r.Bars, GaugeBar{Groove: b.groove, Top: m.px(Point{b.at, b.top}),
			Tips: m.px(Point{b.at, b.tips}), Stand: within(v, math.Hypot(alike, 0.25/m.perMM))})
	}
	scatter := math.Sqrt(max(square/n-sq(sum/n), 0) / n)
	r.Stand = within(sum/n, math.Hypot(alike, scatter))
}

// gaugeSight is the standard deviation, mm, that the line of sight gives: bars and ribs do not end and begin at one
// place.
const gaugeSight = 0.025

// findDarkRow looks for ribs in the borders of what is darker than some levels. What is darkest within is preferred: of
// a level between gauge and background ribs and bars together are the outline.
func findDarkRow(p *image.Gray) row {
	light, w, h, step := shrink(p, workSize)
	var best row
	most := 0.0
	for _, level := range levels(light) {
		for _, line := range borders(light, w, h, level, true) {
			for _, r := range rows(line) {
				score := r.score(light, w, h, level, true) - 20*r.within(light, w, h)
				if len(best.tips) == 0 || score > most {
					best, most = r, score
				}
			}
		}
	}
	return best.times(step)
}

// within is the light inside of an outline, near it.
func (r row) within(light []float32, w, h int) float64 {
	normals := normalsOf(r.line, 4)
	var all []float64
	for i := 0; i < len(r.line); i += 3 {
		x, y := int(r.line[i].X-3*normals[i].X+0.5), int(r.line[i].Y-3*normals[i].Y+0.5)
		all = append(all, float64(light[min(max(y, 0), h-1)*w+min(max(x, 0), w-1)]))
	}
	return mean(all)
}

// barSeen is a bar in the coordinates of measuring.
type barSeen struct {
	groove        int
	at, top, tips float64 // px along, and up
	light, step   float64 // of it; and of the edge over that from background to rib
}

// gauging looks for bars in the grooves of ribs.
type gauging struct {
	*measuring
	p *image.Gray
}

const (
	lineStep = 0.5  // px from place to place on a line down
	barHalf  = 0.45 // mm to both sides of a bar's middle that are looked at
	ribHalf  = 0.2  // the same of a rib's tip
)

// bars are what may be bars in the grooves between ribs, with the tips beside each.
func (g *gauging) bars() []barSeen {
	one := g.Pitch * g.perMM
	tips := make([]float64, len(g.middles))
	for i, x := range g.middles {
		rough, _ := g.extreme(x, 0.25*one, 1)
		tips[i] = g.tip(x, rough)
	}
	var out []barSeen
	for i := 1; i < len(g.middles); i++ {
		at := (g.middles[i-1] + g.middles[i]) / 2
		low, _ := g.extreme(at, 0.3*one, -1)
		out = append(out, g.inGroove(barSeen{groove: i - 1, at: at, tips: (tips[i-1] + tips[i]) / 2}, low)...)
	}
	return out
}

// down is the light on lines down from a height to another, to both sides of a place along by half a mm or so, and
// their mean.
func (g *gauging) down(x, half, from, to float64) (lines [][]float64, whole []float64) {
	n, steps := max(int(2*half*g.perMM), 5), max(int((from-to)/lineStep), 1)
	lines, whole = make([][]float64, n), make([]float64, steps)
	for j := range lines {
		lines[j] = make([]float64, steps)
		for k := range steps {
			q := g.px(Point{x + g.off(j, n, half)*g.perMM, from - lineStep*float64(k)})
			lines[j][k] = lightAt(g.p, q.X, q.Y)
			whole[k] += lines[j][k] / float64(n)
		}
	}
	return lines, whole
}

// off is by how many mm the j-th of n lines lies off their middle.
func (g *gauging) off(j, n int, half float64) float64 {
	return (2*(float64(j)+0.5)/float64(n) - 1) * half
}

// tip is how far up a rib's tip is, about as far as is said: beside bars the outline has light of theirs in it, so the
// edge is looked for anew, from the light above this rib to that of its rubber.
func (g *gauging) tip(x, rough float64) float64 {
	from := rough + 0.8*g.perMM
	lines, whole := g.down(x, ribHalf, from, rough-0.8*g.perMM)
	third := len(whole) / 3
	if third < 1 {
		return rough
	}
	out, in := median(slices.Clone(whole[:third])), median(slices.Clone(whole[len(whole)-third:]))
	if in >= out {
		return rough
	}
	var pts []Point
	for j, v := range lines {
		if k, ok := through(v, len(v)/2, (in+out)/2, true, len(v)/2); ok {
			pts = append(pts, Point{g.off(j, len(lines), ribHalf), from - lineStep*k})
		}
	}
	if len(pts) < len(lines)/2 {
		return rough
	}
	return peak(pts)
}

// inGroove are edges that may be a bar's top, down into a groove whose bottom is as low as is said: what lies below is
// neither what was above nor rubber, and alike for half a mm.
func (g *gauging) inGroove(s barSeen, low float64) []barSeen {
	rib := g.inside(s.at, low)
	from := s.tips + overTips*g.perMM
	lines, whole := g.down(s.at, barHalf, from, low)
	px := func(mm float64) int { return max(int(mm*g.perMM/lineStep), 2) }
	wide, gap, long := px(0.25), max(int(2*g.edge.blur/lineStep), 1), px(0.5)
	if len(whole) < 2*(wide+gap)+long {
		return nil
	}
	behind := median(slices.Clone(whole[:px(0.6)])) // above all bars
	full := max(behind-rib, 0.02)
	change := func(k int) float64 { return mean(whole[k+gap:k+gap+wide]) - mean(whole[k-gap-wide:k-gap]) }
	var found []barSeen
	for k := wide + gap; k+gap+long < len(whole); k++ {
		d := change(k)
		if math.Abs(d) < leastEdge*full {
			continue
		}
		best := true
		for j := max(k-wide-gap, wide+gap); j <= min(k+wide+gap, len(whole)-gap-wide-1); j++ {
			if other := change(j); math.Abs(other) > math.Abs(d) || math.Abs(other) == math.Abs(d) && j < k {
				best = false
			}
		}
		out, in := mean(whole[k-gap-wide:k-gap]), mean(whole[k+gap:k+gap+wide])
		next := mean(whole[k+gap+wide : k+gap+long])
		if !best || in < rib+leastBar*full || math.Abs(out-behind) > 0.6*math.Abs(d) ||
			math.Abs(next-in) > 0.3*math.Abs(d) {
			continue
		}
		var pts []Point
		for j, v := range lines {
			if k, ok := through(v, k, (out+in)/2, in < out, px(0.3)); ok {
				pts = append(pts, Point{g.off(j, len(lines), barHalf), from - lineStep*k})
			}
		}
		if len(pts) > len(lines)*2/3 {
			b := s
			b.top, b.light, b.step = peak(pts), in, math.Abs(d)/full
			found = append(found, b)
		}
	}
	return found
}

// inside is the light of the rubber below a groove.
func (g *gauging) inside(x, low float64) float64 {
	var all []float64
	for dx := -0.4; dx <= 0.4; dx += 0.1 {
		for dy := 0.3; dy <= 0.7; dy += 0.1 {
			q := g.px(Point{x + dx*g.perMM, low - dy*g.perMM})
			all = append(all, lightAt(g.p, q.X, q.Y))
		}
	}
	return median(all)
}

const (
	leastEdge = 0.12 // of the light of the background over the ribs: an edge
	leastBar  = 0.12 // the same: what is lighter than ribs by more is a bar
)

// through is where, in steps, a line goes through a level next to a place, within reach.
func through(v []float64, near int, level float64, falling bool, reach int) (float64, bool) {
	for d := range reach {
		for _, k := range []int{near + d, near - d - 1} {
			if k < 0 || k+1 >= len(v) {
				continue
			}
			a, b := v[k], v[k+1]
			if falling && a > level && b <= level || !falling && a < level && b >= level {
				return float64(k) + (level-a)/(b-a), true
			}
		}
	}
	return 0, false
}

// peak is how high a parabola through places is in their middle; what is off it weighs less (Huber's weights).
func peak(pts []Point) float64 {
	weight := make([]float64, len(pts))
	for i := range weight {
		weight[i] = 1
	}
	at := 0.0
	for range 5 {
		var a [3][3]float64
		var b [3]float64
		for i, p := range pts {
			f := [3]float64{1, p.X, p.X * p.X}
			for r := range f {
				for c := range f {
					a[r][c] += weight[i] * f[r] * f[c]
				}
				b[r] += weight[i] * f[r] * p.Y
			}
		}
		x, ok := solve([][]float64{a[0][:], a[1][:], a[2][:]}, b[:], 1e-9)
		if !ok {
			return at
		}
		at = x[0]
		off := make([]float64, len(pts))
		for i, p := range pts {
			off[i] = math.Abs(p.Y - x[0] - x[1]*p.X - x[2]*p.X*p.X)
		}
		sd := max(median(slices.Clone(off))/0.6745, 0.1)
		for i := range weight {
			weight[i] = min(1, 1.5*sd/max(off[i], 1e-9))
		}
	}
	return at
}

// inLine chooses, of what may be bars, what lies in one line and is alike, one in each groove: a gauge is of one piece.
func (g *gauging) inLine(all []barSeen) []barSeen {
	var best []barSeen
	most := 0.0
	for i := range all {
		for j := range all[:i] {
			a, b := all[j], all[i]
			lean := (b.top - a.top) / (b.at - a.at)
			if a.groove == b.groove || math.Abs(lean) > mostLean {
				continue
			}
			in, sum := []barSeen(nil), 0.0
			for _, c := range all {
				off := math.Abs(c.top - a.top - lean*(c.at-a.at))
				if off > sameBars*g.perMM || math.Abs(math.Log(c.light/a.light)) > alikeBars {
					continue
				}
				if n := len(in) - 1; n >= 0 && in[n].groove == c.groove {
					if c.step > in[n].step {
						sum += c.step - in[n].step
						in[n] = c
					}
					continue
				}
				in, sum = append(in, c), sum+c.step
			}
			if sum > most {
				best, most = in, sum
			}
		}
	}
	return best
}
