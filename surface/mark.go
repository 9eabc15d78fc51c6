package surface

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Settings say what a search takes for a crack. Those of [Usual] were chosen on rendered ground.
type Settings struct {
	Scales   []float64 // standard deviations of the Gaussian across a line, px: about half the widths looked for
	Reach    float64   // standard deviation along a line over which it is summed, px, 1 to 50
	High     float64   // evidence that a crack has somewhere, in standard deviations of the grain
	Low      float64   // evidence that it has all along, not more than High
	Gap      float64   // the longest gap that is crossed, px, 0 to 100
	Shortest float64   // the shortest crack, px
	// Above is the evidence above Low, summed along the path, that a crack has in all, px times standard deviations: a
	// faint one must be long.
	Above  float64
	Chance float64 // the least chance of a crack, 0 to 1; 0 keeps all that the rest lets through
}

// Usual is for cracks one to six pixels wide.
func Usual() Settings {
	return Settings{Scales: []float64{1, 2, 3.5}, Reach: 5, High: 3.6, Low: 2.6, Gap: 8, Shortest: 12, Above: 10,
		Chance: 0.55}
}

func (s Settings) check() error {
	if err := checkScales(s.Scales); err != nil {
		return err
	}
	for _, c := range []struct {
		name        string
		v, from, to float64
	}{
		{"Reach", s.Reach, 1, 50}, {"Low", s.Low, 0.1, 1000}, {"High", s.High, s.Low, 1000}, {"Gap", s.Gap, 0, 100},
		{"Shortest", s.Shortest, 0, 1e6}, {"Above", s.Above, 0, 1e6},
		{"Chance", s.Chance, 0, 1},
	} {
		if !(c.v >= c.from && c.v <= c.to) {
			return fmt.Errorf("%w: %s %v, want %v to %v", ErrSettings, c.name, c.v, c.from, c.to)
		}
	}
	if len(s.Scales) > 16 {
		return fmt.Errorf("%w: %d scales, want 16 at most", ErrSettings, len(s.Scales))
	}
	return nil
}

// Mark is one crack as a line: from one end to the other, or to where it meets another.
type Mark struct {
	Path   []Point // about a pixel apart, more across a gap
	Length float64 // of the path, px
	// Width is that of a bar as dark as the crack's middle and of the same area below its sides, px; what the lens
	// blurs counts into it.
	Width float64
	// Depth is by how much the middle is darker than its sides, light; Contrast is that over the light of the sides.
	Depth, Contrast float64
	// Evidence is the mean along the path, in standard deviations of the grain.
	Evidence float64
	// Chance is that it is a crack and not ground that looks like one, as far as rendered rough ground tells.
	Chance float64

	clues clues
}

// Cracks finds dark lines on a lighter ground, strongest first. Errors wrap [ErrPicture], [ErrScale] and [ErrSettings].
func Cracks(p Picture, s Settings) ([]Mark, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	if err := s.check(); err != nil {
		return nil, err
	}
	t := trace(gather(p, s.Scales, s.Reach), s)
	var marks []Mark
	for _, path := range t.paths {
		for _, whole := range t.unbroken(p, path) {
			for _, piece := range t.pieces(nil, whole) {
				if m, ok := t.mark(p, piece); ok {
					marks = append(marks, m)
				}
			}
		}
	}
	marks = once(marks, p.Width, p.Height)
	judge(marks, p.Width, p.Height)
	marks = slices.DeleteFunc(marks, func(m Mark) bool { return m.Chance < s.Chance })
	slices.SortStableFunc(marks, func(a, b Mark) int { return cmp.Compare(b.Evidence, a.Evidence) })
	return marks, nil
}

// once leaves out marks that lie for more than half within the width of longer ones: the same crack again.
func once(marks []Mark, w, h int) []Mark {
	slices.SortStableFunc(marks, func(a, b Mark) int { return cmp.Compare(b.Length, a.Length) })
	taken := make([]bool, w*h)
	return slices.DeleteFunc(marks, func(m Mark) bool {
		again := 0
		for _, p := range m.Path {
			x, y := min(max(int(math.Round(p.X)), 0), w-1), min(max(int(math.Round(p.Y)), 0), h-1)
			if taken[y*w+x] {
				again++
			}
		}
		if 2*again > len(m.Path) {
			return true
		}
		for k := 1; k < len(m.Path); k++ {
			m.take(taken, w, h, m.Path[k-1].plus(m.Path[k]).times(0.5))
		}
		return false
	})
}

// take marks what lies within the width of a mark of a place on it, and 2 px at least.
func (m Mark) take(taken []bool, w, h int, at Point) {
	far := max(2, min(m.Width, 50))
	for y := max(0, int(at.Y-far)); y <= min(h-1, int(at.Y+far)); y++ {
		for x := max(0, int(at.X-far)); x <= min(w-1, int(at.X+far)); x++ {
			if at.distance(Point{float64(x), float64(y)}) <= far {
				taken[y*w+x] = true
			}
		}
	}
}

// mark measures a path; ok is false where it is too short, too faint, or beside an edge and not between two sides.
func (t *tracer) mark(p Picture, path []int32) (m Mark, ok bool) {
	if len(path) < 2 || !t.enough(path) {
		return m, false
	}
	sigma, above := t.scale(p, path), 0.0
	path = t.trim(p, path, sigma)
	m.Path = t.centre(p, path, sigma)
	for k, i := range path {
		c := t.crests[i]
		if k > 0 {
			step := m.Path[k].distance(m.Path[k-1])
			m.Length += step
			above += (c.z - t.s.Low) * min(step, 2) // a gap tells nothing
			m.clues.strength += max(0, c.z-faint) * min(step, 2)
		}
		m.Evidence += c.z / float64(len(path))
	}
	if m.Length < t.s.Shortest || above < t.s.Above {
		return m, false
	}
	if !m.measure(p, sigma) {
		return m, false
	}
	m.clues.chord = m.Path[0].distance(m.Path[len(m.Path)-1]) / max(m.Length, 1e-9)
	m.clues.steady = steadiness(p, m.Path, sigma)
	return m, true
}

// dull is the evidence from which on a crest counts for its path, and sharper by how much more it has to have for each
// that the path has above bright in the mean: where an end has less, something else begins.
const dull, sharper, bright = 3.1, 0.3, 3.3

// pieces adds to out the piece of a path whose evidence above that is the greatest in sum, and the pieces of what is
// left on both sides.
func (t *tracer) pieces(out [][]int32, path []int32) [][]int32 {
	middle := 0.0
	for _, i := range path {
		middle += t.crests[i].z / float64(len(path))
	}
	least := dull + sharper*max(0, middle-bright)
	best, from, to, sum, begin := 0.0, 0, 0, 0.0, 0
	for k, i := range path {
		if sum += t.crests[i].z - least; sum <= 0 {
			sum, begin = 0, k+1
		} else if sum > best {
			best, from, to = sum, begin, k+1
		}
	}
	if to-from < 2 {
		if len(path) > 1 {
			out = append(out, path)
		}
		return out
	}
	out = append(out, path[from:to])
	if from > 1 {
		out = t.pieces(out, path[:from+1])
	}
	if to < len(path)-1 {
		out = t.pieces(out, path[to-1:])
	}
	return out
}

// unbroken cuts a path where for longer than a gap the picture has less than a quarter of the path's usual depth:
// evidence, which is summed along lines, bridges more.
func (t *tracer) unbroken(p Picture, path []int32) (out [][]int32) {
	if len(path) < 2 || !t.enough(path) {
		return nil
	}
	deep := t.depths(p, path, t.scale(p, path))
	least := median(deep) / 4
	from, last := 0, 0 // where a piece begins, and the last crest that is deep enough
	for k := range path {
		if deep[k] < least {
			continue
		}
		if t.crests[path[k]].at.distance(t.crests[path[last]].at) > t.s.Gap+4 {
			out = append(out, path[from:last+1])
			from = k
		}
		last = k
	}
	return append(out, path[from:])
}

// enough tells whether a path may pass before it is measured, which costs more: it gets no longer by that, but for a
// little at its bends.
func (t *tracer) enough(path []int32) bool {
	length, above := 0.0, 0.0
	for k, i := range path[1:] {
		c := t.crests[i]
		step := c.at.distance(t.crests[path[k]].at)
		length, above = length+step, above+(c.z-t.s.Low)*min(step, 2)
	}
	return 1.5*length >= t.s.Shortest && 1.5*above >= t.s.Above
}

// measure reads width and depth off the mean section across the path, from which both sides are known some widths away.
// ok is false where the darker side is not lighter than the middle by a third of what the lightest place is: an edge,
// or ground beside a light line.
func (m *Mark) measure(p Picture, sigma float64) (ok bool) {
	const step = 0.25
	reach := int(math.Ceil((4*sigma + 2) / step))
	section := make([]float64, 2*reach+1)
	n, ends := 0.0, min(2, len(m.Path)/6) // the ends are half beyond it
	for k := ends; k < len(m.Path)-ends; k++ {
		way, ok := heading(m.Path, k)
		if !ok {
			continue
		}
		n++
		for j := range section {
			u := float64(j-reach) * step
			section[j] += p.at(m.Path[k].X-u*way.Y, m.Path[k].Y+u*way.X)
		}
	}
	if n == 0 {
		return false
	}
	for j := range section {
		section[j] /= n
	}
	quarter := reach / 4
	left, right := mean(section[:quarter]), mean(section[len(section)-quarter:])
	middle := slices.Min(section[reach-int(1/step) : reach+int(1/step)+1])
	if lesser := min(left, right) - middle; lesser <= 0 || lesser < (slices.Max(section)-middle)/3 {
		return false
	}
	// The ground between both sides is a straight line.
	at := func(j int) float64 { return left + (right-left)*float64(j)/float64(len(section)-1) }
	area := 0.0
	for j, v := range section {
		area += max(0, at(j)-v) * step
	}
	m.Depth = at(reach) - middle
	if m.Depth <= 0 {
		return false
	}
	m.Width, m.Contrast = area/m.Depth, m.Depth/max(at(reach), 1e-9)
	return true
}

// heading is where a path leads at its k-th point.
func heading(path []Point, k int) (Point, bool) {
	return path[min(k+2, len(path)-1)].minus(path[max(k-2, 0)]).unit()
}

// centre moves the crests of a path across it, by 2 px at the most, to where the second derivative of the picture, not
// limited as the evidence is, is greatest; of a mean section of seven crests, by the parabola through three.
func (t *tracer) centre(p Picture, path []int32, sigma float64) []Point {
	const far = 2 * perPixel
	kernel := gaussian(perPixel*sigma, 2)
	reach := far + len(kernel)
	at, across, sections := t.sections(p, t.smoothed(path, int(math.Round(2*sigma))), reach)
	out, section := make([]Point, len(path)), make([]float64, 2*reach+1)
	for k := range path {
		clear(section)
		for _, s := range sections[max(0, k-3):min(len(path), k+4)] {
			for j, v := range s {
				section[j] += v
			}
		}
		out[k] = at[k].plus(across[k].times(top(section, kernel, far) / perPixel))
	}
	return out
}

const perPixel = 2 // samples of a section

// smoothed is where the crests of a path lie, each as a mean with so many on both sides: the evidence of wide lines is
// coarse.
func (t *tracer) smoothed(path []int32, beside int) []Point {
	out := make([]Point, len(path))
	for k := range path {
		b := min(beside, k, len(path)-1-k)
		for _, i := range path[k-b : k+b+1] {
			out[k] = out[k].plus(t.crests[i].at.times(1 / float64(2*b+1)))
		}
	}
	return out
}

// sections samples the picture across a path, up to reach samples to both sides of each of its places.
func (t *tracer) sections(p Picture, at []Point, reach int) (_, across []Point, sections [][]float64) {
	across, sections = make([]Point, len(at)), make([][]float64, len(at))
	all := make([]float64, len(at)*(2*reach+1))
	for k := range at {
		way, _ := heading(at, k)
		across[k] = Point{-way.Y, way.X}
		sections[k], all = all[:2*reach+1], all[2*reach+1:]
		for j := range sections[k] {
			q := at[k].plus(across[k].times(float64(j-reach) / perPixel))
			sections[k][j] = p.at(q.X, q.Y)
		}
	}
	return at, across, sections
}

// scale is the scale at which the mean section of a path answers most, times σ² (Lindeberg 1998). That of its evidence
// is another: what a pixel counts there is limited. One crest in four tells it.
func (t *tracer) scale(p Picture, path []int32) float64 {
	reach := int(truncate*slices.Max(t.s.Scales)) + 2
	section := make([]float64, 2*reach+1)
	for k := 1; k < len(path); k += 4 {
		c := &t.crests[path[k]]
		for j := range section {
			u := float64(j - reach)
			section[j] += p.at(c.at.X-u*c.along.Y, c.at.Y+u*c.along.X)
		}
	}
	best, most := 0.0, math.Inf(-1)
	for _, sigma := range t.s.Scales {
		if v := sigma * sigma * sumAt(section, gaussian(sigma, 2), reach); v > most {
			best, most = sigma, v
		}
	}
	return best
}

// sumAt is the convolution of a section with a half kernel at one sample.
func sumAt(section, half []float64, at int) float64 {
	v := half[0] * section[at]
	for j := 1; j < len(half); j++ {
		v += half[j] * (section[at-j] + section[at+j])
	}
	return v
}

// top is where, up to far samples from the middle, the convolution of a section with a kernel is greatest, in samples.
func top(section, kernel []float64, far int) float64 {
	middle, best := len(section)/2, 0
	sum := make([]float64, 2*far+3)
	for u := -far - 1; u <= far+1; u++ {
		v := sumAt(section, kernel, middle+u)
		sum[u+far+1] = v
		if u >= -far && u <= far && (u == -far || v > sum[best+far+1]) {
			best = u
		}
	}
	before, here, after := sum[best+far], sum[best+far+1], sum[best+far+2]
	if here <= before || here <= after {
		return 0 // the greatest lies further off: not this crack's
	}
	return float64(best) + 0.5*(before-after)/(before-2*here+after)
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// trim takes off what lies beyond the ends of a crack. Evidence is summed along lines, so that it goes on beyond an
// end; the picture itself does not: an end is where a crack is half as deep as further in, and never where it has less
// than a quarter of its usual depth.
func (t *tracer) trim(p Picture, path []int32, sigma float64) []int32 {
	deep := t.depths(p, path, sigma)
	least := median(deep) / 4
	inward := int(5 * t.s.Reach)
	from, to := 0, len(path)
	for from < to-1 && deep[from] < max(least, median(deep[from+1:min(to, from+1+inward)])/2) {
		from++
	}
	for from < to-1 && deep[to-1] < max(least, median(deep[max(from, to-1-inward):to-1])/2) {
		to--
	}
	return path[from:to]
}

// depths is by how much each crest of a path is darker than both sides, as a mean of five.
func (t *tracer) depths(p Picture, path []int32, sigma float64) []float64 {
	each, out := make([]float64, len(path)), make([]float64, len(path))
	for k, i := range path {
		c := t.crests[i]
		side := Point{-c.along.Y, c.along.X}.times(2*sigma + 1)
		a, b := c.at.plus(side), c.at.minus(side)
		each[k] = (p.at(a.X, a.Y)+p.at(b.X, b.Y))/2 - p.at(c.at.X, c.at.Y)
	}
	for k := range each {
		out[k] = mean(each[max(0, k-2):min(len(each), k+3)])
	}
	return out
}

func median(v []float64) float64 { return slices.Sorted(slices.Values(v))[len(v)/2] }
