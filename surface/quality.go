package surface

import (
	"cmp"
	"image"
	"math"
	"slices"
)

// signs are what tells a ribbed belt from other stripes.
type signs struct {
	ribs   int
	clear  float64 // how much better the usual pitch tells the light than a straight line, per sample
	beyond float64 // the same a pitch beyond the edges, of the side where it is greater; 0 where the picture ends
	fit    float64 // mean correlation of sections with the usual one
	rms    float64 // by which grooves lie off the pose, pitches
	level  float64 // of the ribs, 0 to 255
	long   float64 // mm
	wide   float64 // mm
	unlike float64 // how much one pitch differs from another, over the swing of light
	uneven float64 // standard deviation of the ribs' own light, a slope across taken off, over their level
	tilt   float64 // radians
	focus  focus
	scale  float64 // px per mm, the lesser of both
}

// limit is a bound on a sign: beyond warn the reading is doubtful, beyond stop nothing is counted.
type limit struct {
	code       string
	value      float64
	warn, stop float64
	most       bool // the value should be at most warn; otherwise at least
}

// limits were chosen on drawn belts and on drawn things that are none, of other seeds than the tests'. Each is set so
// that hardly a belt crosses it.
func (s signs) limits() []limit {
	return []limit{
		{NotBelt, float64(s.ribs), 8, 9, true},
		{FewRibs, float64(s.ribs), 4, 3, false},
		{NotBelt, s.beyond, -0.7, -0.25, true},
		{NotBelt, s.clear, 0.5, 0.3, false},
		{NotBelt, s.fit, 0.75, 0.65, false},
		{NotBelt, s.rms, 0.03, 0.3, true},
		{NotBelt, s.unlike, 0.2, 0.25, true},
		{NotBelt, s.level, 155, 200, true},
		{NotBelt, s.uneven, 0.07, 0.18, true},
		{Small, s.scale, 5, 4, false},
		{Blurred, s.focus.blur / s.scale, 0.25, 0.4, true},
		{Dark, s.level, 35, 20, false},
		{Glare, s.focus.burnt, 0.08, 0.4, true},
		{Noisy, s.focus.noise / (s.level + 1), 0.12, 0.25, true},
		{Tilted, math.Abs(s.tilt), 0.8, 1.05, true},
		{TooShort, s.long, max(25, 1.7*s.wide), 15, false}, // what is as wide as long may be a pulley,
	}
}

// faults says what is in the way, each code once, the worst of it.
func (s signs) faults() []Fault {
	var out []Fault
	for _, l := range s.limits() {
		beyond := func(bound float64) bool {
			if l.most {
				return !(l.value <= bound)
			}
			return !(l.value >= bound)
		}
		if !beyond(l.warn) {
			continue
		}
		f := Fault{Code: l.code, Value: l.value, Want: l.warn, Stops: beyond(l.stop)}
		if l.code == Blurred {
			f.Value, f.Want = s.focus.blur, l.warn*s.scale
		}
		if k := slices.IndexFunc(out, func(f Fault) bool { return f.Code == l.code }); k < 0 {
			out = append(out, f)
		} else if f.Stops && !out[k].Stops {
			out[k] = f
		}
	}
	return out
}

// signs gathers them.
func (b *belt) signs(f *fit, r *Reading, p *image.Gray) signs {
	cell, sd, swing := b.cell()
	s := signs{ribs: b.ribs, clear: b.clear, level: mean(cell[:]), unlike: mean(sd[:]) / (swing + 1),
		long: r.Frame.Size().Y, wide: r.Frame.Size().X, tilt: r.Tilt.Value,
		scale: min(r.Across.Value, r.Along.Value), focus: r.Frame.focus(p)}
	around := b.windows()
	first := int(b.first + 0.5)
	last := int(b.last() + 0.5)
	s.beyond = max(meanOf(around[max(0, first-perPitch):max(0, first-2)]),
		meanOf(around[min(sectionN, last+2):min(sectionN, last+perPitch)]))
	for _, p := range b.places {
		s.fit += p.fit / float64(len(b.places))
	}
	s.uneven = b.uneven()
	s.rms = f.rms / b.places[len(b.places)/2].pitch
	return s
}

// focus is what the pixels of a belt say about the picture.
type focus struct {
	blur  float64 // px, standard deviation
	noise float64 // light of 255, standard deviation
	burnt float64 // share of the pixels that are white
}

// focus looks at pixels all over a frame. The noise is by Immerkær's mask, which neither level nor slope nor straight
// edges answer (J. Immerkær, Fast noise variance estimation, 1996). The blur is that of the sharpest edges: blurred
// once more by σ, the slope of an edge becomes less by R, and the blur was σ/√(R²-1) (S. Zhuo, T. Sim, Defocus map
// estimation from a single image, 2011). Both from memory.
func (f Frame) focus(p *image.Gray) (out focus) {
	type edge struct{ slope, blur float64 }
	var edges []edge
	l := whole(p)
	size := f.Size()
	n, sum := 0.0, 0.0
	const gap = 0.3 // mm
	lines := make([]Point, f.Ribs()+1)
	for y := gap; y < size.Y; y += gap {
		f.linesAt(y, lines)
		for x := 0.2; x < size.X-0.2; x += gap {
			k := min(int(x/f.Pitch), f.Ribs()-1)
			q := lines[k].plus(lines[k+1].minus(lines[k]).times(x/f.Pitch - float64(k)))
			cx, cy := int(math.Round(q.X)), int(math.Round(q.Y))
			if cx < 3 || cy < 3 || cx >= l.w-3 || cy >= l.h-3 {
				continue
			}
			at := func(dx, dy int) float64 { return float64(l.pix[(cy+dy)*l.stride+cx+dx]) }
			n++
			if at(0, 0) >= 250 {
				out.burnt++
			}
			sum += math.Abs(4*at(0, 0) - 2*(at(1, 0)+at(-1, 0)+at(0, 1)+at(0, -1)) +
				at(1, 1) + at(-1, -1) + at(1, -1) + at(-1, 1))
			if e, ok := edgeBlur(at); ok {
				edges = append(edges, edge{e[0], e[1]})
			}
		}
	}
	if n == 0 {
		return focus{}
	}
	out.burnt /= n
	out.noise = math.Sqrt(math.Pi/2) / 6 * sum / n
	// The steepest fiftieth.
	slices.SortFunc(edges, func(a, b edge) int { return cmp.Compare(b.slope, a.slope) })
	var blurs []float64
	for _, e := range edges[:min(len(edges), max(20, len(edges)/50))] {
		if e.slope > 4*out.noise {
			blurs = append(blurs, e.blur)
		}
	}
	if len(blurs) > 0 {
		out.blur = median(blurs)
	}
	return out
}

// edgeBlur is slope (light a px) and blur (px) of an edge through the middle of a neighbourhood.
func edgeBlur(at func(dx, dy int) float64) (e [2]float64, ok bool) {
	// Slopes by differences over two px, across a mean of three.
	slope := func(dx, dy int, at func(dx, dy int) float64) (x, y float64) {
		for k := -1; k <= 1; k++ {
			w := 0.5 - 0.25*math.Abs(float64(k))
			x += w * (at(dx+1, dy+k) - at(dx-1, dy+k)) / 2
			y += w * (at(dx+k, dy+1) - at(dx+k, dy-1)) / 2
		}
		return x, y
	}
	gx, gy := slope(0, 0, at)
	g := math.Hypot(gx, gy)
	if g < 3 {
		return e, false
	}
	// Again, smoothed by 1 2 1 both ways: of variance 1/2.
	var sx, sy float64
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			w := (0.5 - 0.25*math.Abs(float64(dx))) * (0.5 - 0.25*math.Abs(float64(dy)))
			x, y := slope(dx, dy, at)
			sx, sy = sx+w*x, sy+w*y
		}
	}
	ratio := g / max(math.Hypot(sx, sy), 1e-9)
	if ratio <= 1.01 {
		return e, false
	}
	// The differences themselves blur, by a variance of about 0.6.
	return [2]float64{g, math.Sqrt(max(0.5/(ratio*ratio-1)-0.6, 0))}, true
}

// uneven is by how much ribs differ in light, a slope across taken off, as a share of it.
func (b *belt) uneven() float64 {
	var x, y []float64
	for k := range b.ribs {
		x = append(x, float64(k))
		y = append(y, meanOf(b.wide[max(0, int(b.line(k)+1.5)):min(sectionN, int(b.line(k+1)+0.5))]))
	}
	gain, offset, ok := straight(x, y)
	if !ok {
		return 0
	}
	sum := 0.0
	for k, v := range y {
		sum += sq(v - offset - gain*x[k])
	}
	return math.Sqrt(sum/float64(len(y))) / (meanOf(y) + 1)
}

// meanOf is the mean of what is a number; 0 where nothing is.
func meanOf(v []float64) float64 {
	sum, n := 0.0, 0.0
	for _, x := range v {
		if !math.IsNaN(x) {
			sum, n = sum+x, n+1
		}
	}
	return sum / max(n, 1)
}
