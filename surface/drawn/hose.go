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

// Diameter is that of the hose at mm along from its middle.
func (h *Hose) Diameter(along float64) float64 {
	d := h.Outer
	for _, f := range h.Flaws {
		t := (along - f.At) / f.Long
		d += h.Outer * f.Share * math.Exp(-t*t/2)
	}
	return d
}

func (h *Hose) middle() []station {
	const step = 0.5
	n := int(h.Long * 0.75 / step)
	out := make([]station, 2*n+1)
	turn := func(along float64) float64 {
		a := h.Curve * along
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
	half := h.Diameter(q.along) / 2
	mx, my := float64(h.Wide-1)/2, float64(h.High-1)/2
	a = Point{mx + (q.x+half*s)*h.Scale, my + (q.y-half*c)*h.Scale}
	return a, Point{mx + (q.x-half*s)*h.Scale, my + (q.y+half*c)*h.Scale}
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
	near := p.nearest(coarse)
	gw := h.Wide/coarse + 2
	for y := range f.high {
		for x := range f.wide {
			sum := 0.0
			behind := h.Back * clamp(0.4+0.6*float64(back.light[y*f.wide+x])/mean, 0.4, 2)
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

// nearest is, by squares of some px, the station next to them.
func (p *HosePicture) nearest(coarse int) []int {
	h := &p.Hose
	gw, gh := h.Wide/coarse+2, h.High/coarse+2
	out := make([]int, gw*gh)
	for j := range gh {
		for i := range gw {
			x := (float64(i*coarse) - float64(h.Wide-1)/2) / h.Scale
			y := (float64(j*coarse) - float64(h.High-1)/2) / h.Scale
			best := math.Inf(1)
			for k := 0; k < len(p.line); k += 4 {
				if d := math.Hypot(p.line[k].x-x, p.line[k].y-y); d < best {
					best, out[j*gw+i] = d, k
				}
			}
		}
	}
	return out
}

// where is the mm along and across of a pixel, beginning from a station that is near.
func (p *HosePicture) where(px, py float64, near int) (along, across float64) {
	h := &p.Hose
	x, y := (px-float64(h.Wide-1)/2)/h.Scale, (py-float64(h.High-1)/2)/h.Scale
	k := near
	for range 12 {
		q := p.line[k]
		s, c := q.sin, q.cos
		ahead := (x-q.x)*c + (y-q.y)*s
		step := int(math.Round(clamp(ahead/0.5, -20, 20)))
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
	most := h.Outer/2 + 0.8
	for _, f := range h.Flaws {
		most += h.Outer / 2 * max(f.Share, 0)
	}
	if math.Abs(across) > most { // beside it, however wide
		return back
	}
	half := h.Diameter(along) / 2
	face := h.Face
	if h.Clamps && math.Abs(math.Abs(along)-h.Long*0.46) < 5 { // a band of metal, a little wider
		half = h.Outer/2 + 0.8
		face = 0.3 * (1 + 0.3*math.Sin(along*4))
	}
	t := across / half
	if math.Abs(t) >= 1 {
		return back
	}
	light := face * (0.25 + 0.9*round(t, h.Side) + 4*h.Sheen*math.Pow(round(t, h.Side*0.5), 30))
	light *= 1 + h.Grain*c.f(along*8, math.Asin(t)*half*8)
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
