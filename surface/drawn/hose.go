package drawn

import (
	"image"
	"math"
	"math/rand/v2"
)

// Hose is a hose seen from the side.
type Hose struct {
	Seed       uint64
	Wide, High int // px

	Outer float64 // sound diameter, mm
	Long  float64 // mm between the ends of the picture or the clamps
	Curve float64 // of its middle line, 1/mm
	Bends []Bend
	Flaws []Flaw

	Scale      float64 // px per mm
	Turn       float64
	Ground     string
	Face, Back float64 // light of the rubber and of what is behind it, linear
	Sheen      float64
	Side       float64 // of the light across the hose, -1 to 1
	Grain      float64
	Wrinkles   int // bands of light and shade across it that change no outline
	Print      bool
	Clamps     bool

	Blur, Noise float64
	Quality     int
}

// Flaw is where a hose is not as it was.
type Flaw struct {
	Kind  string  // "swollen", "necked", "kinked"
	At    float64 // mm along from its middle
	Long  float64 // mm over which it goes; the standard deviation of its bell
	Share float64 // of the diameter that is more, or, below 0, less
	Angle float64 // radians by which a kink bends it
	Inner float64 // share of a kink's flattening on the inside of its bend, where it folds; 0: on both sides alike
}

// Bend is a bend that a hose was moulded with.
type Bend struct {
	At     float64 // mm along from its middle
	Radius float64 // of the middle line, mm
	Angle  float64 // radians
	Flat   float64 // share of the diameter that it is flatter by
}

// turned is how far round a bend a hose has come at mm along, 0 to 1.
func (b Bend) turned(along float64) float64 {
	half := b.Radius * math.Abs(b.Angle) / 2
	soft := 0.15 * half // where it begins and ends
	return (math.Max(0, math.Min(1, (along-b.At+half)/(2*half))) + smooth(b.At-half-soft, b.At+half+soft, along)) / 2
}

// HosePicture is the picture of a hose and the truth about it.
type HosePicture struct {
	*image.Gray
	Hose Hose
	line []station
}

// station is a place of the middle line: mm, by the picture's axes, with the direction.
type station struct{ along, x, y, angle, sin, cos float64 }

// AnyHose draws by lot a hose as an owner could photograph it: sound, or with one flaw.
func AnyHose(seed uint64) Hose {
	r := rand.New(rand.NewPCG(seed, 0x405e))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	h := Hose{Seed: seed, Outer: between(18, 45)}
	h.Wide, h.High = 900, 600+r.IntN(250)
	h.Scale = between(90, 240) / h.Outer
	h.Long = float64(h.Wide) / h.Scale * between(0.8, 1.4)
	h.Turn = between(-0.5, 0.5)
	h.Curve = clamp(0.4*r.NormFloat64(), -0.9, 0.9) / h.Long
	if r.IntN(3) > 0 {
		view := float64(h.Wide) / h.Scale
		f := Flaw{At: between(-0.22, 0.22) * view, Long: between(0.2, 0.5) * h.Outer}
		switch r.IntN(3) {
		case 0:
			f.Kind, f.Share = "swollen", between(0.06, 0.4)
		case 1:
			f.Kind, f.Share = "necked", -between(0.06, 0.3)
		case 2:
			f.Kind, f.Share, f.Long = "kinked", -between(0.15, 0.4), between(0.15, 0.3)*h.Outer
			f.Angle = math.Copysign(between(0.35, 0.9), r.Float64()-0.5)
		}
		h.Flaws = append(h.Flaws, f)
	}
	h.Ground = Grounds[r.IntN(len(Grounds))]
	h.Face, h.Back = between(0.015, 0.08), between(0.2, 0.8)
	if r.IntN(4) == 0 { // a light hose before the dark
		h.Face, h.Back = between(0.15, 0.5), between(0.005, 0.04)
	}
	h.Sheen, h.Side, h.Grain = between(0, 0.5), between(-0.8, 0.8), between(0.02, 0.12)
	h.Wrinkles = r.IntN(8)
	h.Print, h.Clamps = r.IntN(3) == 0, r.IntN(3) == 0
	h.Blur, h.Noise = 1.5*r.Float64(), math.Exp(between(math.Log(0.004), math.Log(0.02)))
	h.Quality = 65 + r.IntN(31)
	return h
}

// AnyBentHose draws by lot a hose with one or two moulded bends, most of a radius of one to two and a half diameters
// (as moulded coolant hoses have: common practice), or straight; sound, kinked, or narrower or wider somewhere with no
// kink, in a bend or beside it. A kink is where a hose has folded: it turns within half a diameter, and flattens there.
func AnyBentHose(seed uint64) Hose {
	r := rand.New(rand.NewPCG(seed, 0x60e5))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	h := AnyHose(seed)
	h.Flaws, h.Curve = nil, h.Curve/3
	view := float64(h.Wide) / h.Scale
	way := func() float64 { return float64(2*r.IntN(2) - 1) }
	for range r.IntN(3) {
		b := Bend{At: between(-0.2, 0.2) * view, Radius: between(0.9, 2.5) * h.Outer, Angle: between(0.3, 1.3) * way(),
			Flat: between(0, 0.03)}
		if len(h.Bends) > 0 { // the other way, further on
			b.At = h.Bends[0].At + (h.Bends[0].Radius+b.Radius)*1.2
			b.Angle = math.Copysign(b.Angle, -h.Bends[0].Angle)
		}
		h.Bends = append(h.Bends, b)
	}
	at := between(-0.2, 0.2) * view
	if len(h.Bends) > 0 && r.IntN(2) == 0 { // in the bend, or where it begins
		at = h.Bends[0].At + between(-0.7, 0.7)*h.Bends[0].Radius*math.Abs(h.Bends[0].Angle)
	}
	switch r.IntN(6) {
	case 0, 1, 2:
		h.Flaws = []Flaw{{Kind: "kinked", At: at, Long: between(0.12, 0.3) * h.Outer, Share: -between(0.08, 0.4),
			Angle: between(0.3, 0.9) * way(), Inner: between(0.5, 0.9)}}
		if len(h.Bends) > 0 && math.Abs(at-h.Bends[0].At) < 1.5*h.Outer { // it goes on bending, and not back on itself
			h.Bends[0].Angle = clamp(h.Bends[0].Angle, -0.7, 0.7)
			h.Flaws[0].Angle = math.Copysign(min(math.Abs(h.Flaws[0].Angle), 0.65), h.Bends[0].Angle)
		}
	case 3:
		h.Flaws = []Flaw{{Kind: "necked", At: at, Long: between(0.2, 0.5) * h.Outer, Share: -between(0.06, 0.3)}}
	case 4:
		h.Flaws = []Flaw{{Kind: "swollen", At: at, Long: between(0.2, 0.5) * h.Outer, Share: between(0.06, 0.3)}}
	}
	return h
}

// halves are how far the two edges are from the middle line at mm along: that of greater across last.
func (h *Hose) halves(along float64) (low, high float64) {
	low, high = h.Outer/2, h.Outer/2
	for _, b := range h.Bends {
		off := h.Outer / 2 * b.Flat * 4 * b.turned(along) * (1 - b.turned(along))
		low, high = low-off, high-off
	}
	for _, f := range h.Flaws {
		t := (along - f.At) / f.Long
		off, inner := h.Outer*f.Share*math.Exp(-t*t/2), f.Inner
		if inner == 0 {
			inner = 0.5
		}
		if f.Angle < 0 {
			inner = 1 - inner
		}
		low, high = low+off*(1-inner), high+off*inner
	}
	return low, high
}

// Diameter is that of the hose at mm along from its middle.
func (h *Hose) Diameter(along float64) float64 {
	low, high := h.halves(along)
	return low + high
}

// widest is how far the hose reaches from its middle line at most, mm.
func (h *Hose) widest() float64 {
	most := h.Outer/2 + 0.8
	for _, f := range h.Flaws {
		most += h.Outer / 2 * max(f.Share, 0)
	}
	return most
}

func (h *Hose) middle() []station {
	const step = 0.5
	n := int(h.Long * 0.75 / step)
	out := make([]station, 2*n+1)
	turn := func(along float64) float64 {
		a := h.Curve * along
		for _, b := range h.Bends {
			a += b.Angle * (b.turned(along) - b.turned(0))
		}
		for _, f := range h.Flaws {
			if f.Kind == "kinked" {
				a += f.Angle * (smooth(f.At-f.Long, f.At+f.Long, along) - smooth(f.At-f.Long, f.At+f.Long, 0))
			}
		}
		return a + h.Turn
	}
	out[n].angle = turn(0)
	for _, way := range []int{1, -1} {
		for i := 1; i <= n; i++ {
			last := out[n+way*(i-1)]
			along := float64(way*i) * step
			s, c := math.Sincos(turn(along - float64(way)*step/2))
			x, y := last.x+float64(way)*step*c, last.y+float64(way)*step*s
			out[n+way*i] = station{along: along, x: x, y: y, angle: turn(along)}
		}
	}
	for i := range out {
		out[i].sin, out[i].cos = math.Sincos(out[i].angle)
	}
	return out
}

// Edges are where the two edges of the outline are at mm along, px.
func (p *HosePicture) Edges(along float64) (a, b Point) {
	h := &p.Hose
	i := min(max(int((along-p.line[0].along)/0.5+0.5), 0), len(p.line)-1)
	q := p.line[i]
	s, c := math.Sincos(q.angle)
	low, high := h.halves(q.along)
	mx, my := float64(h.Wide-1)/2, float64(h.High-1)/2
	a = Point{mx + (q.x+low*s)*h.Scale, my + (q.y-low*c)*h.Scale}
	return a, Point{mx + (q.x-high*s)*h.Scale, my + (q.y+high*c)*h.Scale}
}

// Along is the mm along of the place on the middle line next to a pixel.
func (p *HosePicture) Along(x, y float64) float64 {
	x, y = (x-float64(p.Hose.Wide-1)/2)/p.Hose.Scale, (y-float64(p.Hose.High-1)/2)/p.Hose.Scale
	best, at := math.Inf(1), 0.0
	for _, q := range p.line {
		if d := math.Hypot(q.x-x, q.y-y); d < best {
			best, at = d, q.along
		}
	}
	return at
}

// Render draws the picture of a hose.
func (h Hose) Render() *HosePicture {
	r := rand.New(rand.NewPCG(h.Seed, 0x11e5))
	p := &HosePicture{Hose: h, line: h.middle()}
	c := newCloth(r, 256, map[int]float64{1: 0.7, 2: 0.8, 4: 0.8, 8: 0.6, 16: 0.5})
	back := (&render{s: &Scene{Wide: h.Wide, High: h.High, Ground: h.Ground}, rand: r}).ground()
	mean := 0.0
	for _, v := range back.light {
		mean += float64(min(v, 1)) / float64(len(back.light))
	}
	back.blur(1 + 5*r.Float64())
	wrinkles := make([][3]float64, h.Wrinkles)
	for i := range wrinkles {
		at, wide := (r.Float64()-0.5)*h.Long, (0.02+0.1*r.Float64())*h.Outer
		wrinkles[i] = [3]float64{at, wide, 0.7 * (r.Float64() - 0.5)}
	}
	var text *image.Alpha
	if h.Print {
		text = letters(words[r.IntN(len(words))], 40)
	}
	f := newFilm(h.Wide, h.High)
	const coarse = 4
	near, off := p.nearest(coarse)
	most := h.widest() + 4 + 2*coarse/h.Scale // mm off the middle line beyond which nothing of the hose is
	gw := h.Wide/coarse + 2
	for y := range f.high {
		for x := range f.wide {
			sum := 0.0
			behind := h.Back * clamp(0.4+0.6*float64(back.light[y*f.wide+x])/mean, 0.4, 2)
			if off[y/coarse*gw+x/coarse] > most {
				f.light[y*f.wide+x] = float32(behind)
				continue
			}
			for k := range 4 {
				px, py := float64(x)-0.25+0.5*float64(k&1), float64(y)-0.25+0.5*float64(k>>1)
				along, across := p.where(px, py, near[y/coarse*gw+x/coarse])
				sum += p.light(along, across, c, wrinkles, text, behind)
			}
			f.light[y*f.wide+x] = float32(sum / 4)
		}
	}
	f.blur(h.Blur)
	s := Scene{Noise: h.Noise}
	p.Gray = f.take(r, s.noise(), h.Quality)
	return p
}

// nearest is, by squares of some px, the station next to them, and how far off it is, mm.
func (p *HosePicture) nearest(coarse int) (out []int, off []float64) {
	h := &p.Hose
	gw, gh := h.Wide/coarse+2, h.High/coarse+2
	out, off = make([]int, gw*gh), make([]float64, gw*gh)
	for j := range gh {
		for i := range gw {
			x := (float64(i*coarse) - float64(h.Wide-1)/2) / h.Scale
			y := (float64(j*coarse) - float64(h.High-1)/2) / h.Scale
			best := math.Inf(1)
			for k := 0; k < len(p.line); k += 4 {
				dx, dy := p.line[k].x-x, p.line[k].y-y
				if d := dx*dx + dy*dy; d < best {
					best, out[j*gw+i] = d, k
				}
			}
			off[j*gw+i] = math.Sqrt(best)
		}
	}
	return out, off
}

// where is the mm along and across of a pixel, beginning from a station that is near.
func (p *HosePicture) where(px, py float64, near int) (along, across float64) {
	h := &p.Hose
	x, y := (px-float64(h.Wide-1)/2)/h.Scale, (py-float64(h.High-1)/2)/h.Scale
	k, last := near, 0
	for range 16 {
		q := p.line[k]
		s, c := q.sin, q.cos
		ahead := (x-q.x)*c + (y-q.y)*s
		step := int(math.Round(clamp(ahead/0.5, -20, 20)))
		if step*last < 0 { // outside of a sharp bend it would go to and fro
			step = -last / 2
		}
		last = step
		if step == 0 || k+step < 0 || k+step >= len(p.line) {
			return q.along + ahead, (y-q.y)*c - (x-q.x)*s
		}
		k += step
	}
	q := p.line[k]
	return q.along, (y-q.y)*q.cos - (x-q.x)*q.sin
}

func (p *HosePicture) light(along, across float64, c *cloth, wrinkles [][3]float64, text *image.Alpha,
	back float64) float64 {
	h := &p.Hose
	if math.Abs(across) > h.widest() { // beside it, however wide
		return back
	}
	low, high := h.halves(along)
	face := h.Face
	if h.Clamps && math.Abs(math.Abs(along)-h.Long*0.46) < 5 { // a band of metal, a little wider
		low, high = h.Outer/2+0.8, h.Outer/2+0.8
		face = 0.3 * (1 + 0.3*math.Sin(along*4))
	}
	half := (low + high) / 2
	t := (across - (high-low)/2) / half
	if math.Abs(t) >= 1 {
		return back
	}
	light := face * (0.25 + 0.9*round(t, h.Side) + 4*h.Sheen*math.Pow(round(t, h.Side*0.5), 30))
	light *= 1 + h.Grain*c.f(along*8, math.Asin(t)*half*8)
	for _, f := range h.Flaws {
		if f.Inner > 0 { // the fold is in shade
			d := (along - f.At) / (0.3 * f.Long)
			light *= 1 - 0.6*math.Exp(-d*d/2)*smooth(-0.2, 0.9, t*math.Copysign(1, f.Angle))
		}
	}
	for _, w := range wrinkles {
		d := (along + 0.1*across - w[0]) / w[1]
		light *= 1 + w[2]*math.Exp(-d*d/2)
	}
	if text != nil && math.Abs(t) < 0.35 {
		k := 90 / h.Outer
		a := text.AlphaAt(int((along+0.3*h.Long)*k), int((across+0.3*h.Outer/2)*k)).A
		light += 0.4 * float64(a) / 255 * (0.3 + face)
	}
	return max(light, 0)
}
