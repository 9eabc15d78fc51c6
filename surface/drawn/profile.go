package drawn

import (
	"image"
	"math"
	"math/rand/v2"
)

// Profile is a ribbed belt seen along its ribs: a cut end, or a fold before what is behind it.
type Profile struct {
	Seed       uint64
	Wide, High int // px

	Ribs   int
	Pitch  float64 // mm
	Height float64 // of a new rib, mm
	Tip    float64 // flat of a new rib's tip, mm
	Flanks float64 // between the two of a rib, radians
	// Of each rib: what is worn off each flank square to it, and off its tip, mm; and by how much the groove before
	// it (and after the last) is filled or, below 0, dug deeper, mm.
	Worn, Low, Fill []float64
	// TipRound and GrooveRound are the mm over which tips and grooves are rounded.
	TipRound, GrooveRound float64

	Scale float64 // px per mm
	Turn  float64 // in the plane of the picture; ribs stand up at 0
	// Aside and Over are the line of sight from the ribs' direction, radians: sideways, and from above. What the ribs
	// show
	// of themselves beyond the cut, Behind mm long, or beyond the top of a fold of radius Bend mm, makes them wider.
	Aside, Over  float64
	Behind, Bend float64
	Fold         bool // a fold and no cut: no cords, the face is rounded
	Ground       string
	Face, Back   float64 // light of the rubber and of what is behind it, linear
	Grain        float64
	Shade        float64 // slope of the light over the picture
	Spill        float64 // share by which a cut face is darker in the grooves and lighter at edges
	Fibres       int

	Blur, Noise float64
	Quality     int
}

// Rib is what one rib measures.
type Rib struct {
	Height float64 // mm, from the mean of the two bottoms beside it to its tip
	Half   float64 // mm, its width half a new rib's height above that mean
	Angle  float64 // between its flanks, radians
	At     float64 // mm across, of its middle
}

// ProfilePicture is the picture of a profile and the truth about it.
type ProfilePicture struct {
	*image.Gray
	Profile Profile
	Ribs    []Rib
	Tips    []Point // px, of each rib
	Bottoms []Point // px, of each groove, with the half ones at both edges
	below   []float64
}

const fineness = 200 // steps of an outline in a mm

// AnyProfile draws by lot a profile as an owner could photograph it, new or worn, 10 to 20 px per mm.
func AnyProfile(seed uint64) Profile {
	r := rand.New(rand.NewPCG(seed, 0x9f0f))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	p := Profile{Seed: seed, Ribs: 4 + r.IntN(5), Pitch: 3.56, Height: between(2, 2.4), Tip: between(0.7, 1.2),
		Flanks: between(38, 42) * math.Pi / 180, TipRound: between(0.1, 0.6), GrooveRound: between(0.1, 0.8)}
	worn, low, fill := 0.0, 0.0, 0.0
	if r.IntN(3) > 0 {
		worn, low, fill = between(0, 0.4), between(0, 0.4), between(-0.15, 0.3)
	}
	for range p.Ribs {
		p.Worn = append(p.Worn, max(worn*(1+0.25*r.NormFloat64()), 0))
		p.Low = append(p.Low, max(low*(1+0.25*r.NormFloat64()), 0))
	}
	for range p.Ribs + 1 {
		p.Fill = append(p.Fill, fill*(1+0.3*r.NormFloat64()))
	}
	p.Scale = between(10, 20)
	p.Wide = int((float64(p.Ribs)*p.Pitch + between(6, 20)) * p.Scale)
	p.High = int(between(14, 24) * p.Scale)
	p.Turn = 0.12 * r.NormFloat64()
	if r.IntN(3) == 0 {
		p.Turn = between(-math.Pi, math.Pi)
	}
	if side := math.Abs(math.Sin(p.Turn)); side > 0.4 {
		p.High = p.Wide
	}
	// Somebody who looks along the ribs is off by a degree or so, 3 at most.
	p.Aside, p.Over = clamp(0.021*r.NormFloat64(), -0.052, 0.052), clamp(0.012*r.NormFloat64(), -0.03, 0.03)
	p.Behind, p.Bend = between(0.5, 3), between(10, 25)
	p.Fold = r.IntN(3) == 0
	p.Ground = Grounds[r.IntN(len(Grounds))]
	p.Face, p.Back = between(0.02, 0.08), between(0.25, 0.8)
	if r.IntN(4) == 0 { // lit from before: the face is lighter than what is behind
		p.Face, p.Back = between(0.12, 0.35), between(0.004, 0.03)
	}
	p.Grain, p.Shade, p.Spill = between(0.02, 0.12), between(0, 0.4), between(0, 0.3)
	p.Fibres = r.IntN(6)
	p.Blur = 1.4 * r.Float64()
	p.Noise, p.Quality = math.Exp(between(math.Log(0.004), math.Log(0.02))), 65+r.IntN(31)
	return p
}

// outline is how far below a new belt's tips the surface is, by mm across times fineness.
func (p *Profile) outline() []float64 {
	n := int(float64(p.Ribs) * p.Pitch * fineness)
	raw := make([]float64, n)
	lean := math.Tan(p.Flanks / 2)
	for i := range raw {
		x := (float64(i) + 0.5) / fineness
		k := min(int(x/p.Pitch), p.Ribs-1)
		d := math.Abs(x - (float64(k)+0.5)*p.Pitch)
		groove := k
		if x > (float64(k)+0.5)*p.Pitch {
			groove = k + 1
		}
		half := p.Tip/2 - p.Worn[k]/math.Cos(p.Flanks/2)
		raw[i] = clamp((d-half)/lean, p.Low[k], p.Height-p.Fill[groove])
	}
	out := make([]float64, n)
	for pass := range 2 { // twice, for no corner is left
		for i := range raw {
			w := lerp(p.TipRound, p.GrooveRound, clamp(raw[i]/p.Height, 0, 1)) / (1 + float64(pass))
			m := int(w * fineness / 2)
			sum := 0.0
			for j := -m; j <= m; j++ {
				sum += raw[min(max(i+j, 0), n-1)]
			}
			out[i] = sum / float64(2*m+1)
		}
		raw, out = out, raw
	}
	return raw
}

func (p *Profile) measure(below []float64) (ribs []Rib, tips, bottoms []Point) {
	at := func(x float64) float64 { return below[min(max(int(x*fineness), 0), len(below)-1)] }
	for k := range p.Ribs + 1 {
		deepest := Point{Y: math.Inf(-1)}
		for x := (float64(k) - 0.4) * p.Pitch; x < (float64(k)+0.4)*p.Pitch; x += 0.01 {
			if x > 0 && x < float64(p.Ribs)*p.Pitch && at(x) > deepest.Y {
				deepest = Point{x, at(x)}
			}
		}
		deepest.X = clamp(float64(k)*p.Pitch, 0.02, float64(p.Ribs)*p.Pitch-0.02)
		bottoms = append(bottoms, deepest)
	}
	for k := range p.Ribs {
		mid := (float64(k) + 0.5) * p.Pitch
		top := math.Inf(1)
		for x := mid - 0.3*p.Pitch; x < mid+0.3*p.Pitch; x += 0.01 {
			top = min(top, at(x))
		}
		base := (bottoms[k].Y + bottoms[k+1].Y) / 2
		cut := func(level, way float64) float64 {
			x := mid
			for at(x) < level && math.Abs(x-mid) < p.Pitch/2 {
				x += way / fineness
			}
			return math.Abs(x - mid)
		}
		level := base - p.Height/2
		lean := func(way float64) float64 {
			upper, lower := lerp(base, top, 0.6), lerp(base, top, 0.4)
			return math.Atan((cut(lower, way) - cut(upper, way)) / (lower - upper))
		}
		ribs = append(ribs, Rib{base - top, cut(level, 1) + cut(level, -1), lean(1) + lean(-1), mid})
		tips = append(tips, Point{mid, top})
	}
	return ribs, tips, bottoms
}

// Render draws the picture of a profile.
func (p Profile) Render() *ProfilePicture { return p.render(nil) }

// render draws a profile with what a gauge changes of its light.
func (p Profile) render(g *gaugeLaid) *ProfilePicture {
	r := rand.New(rand.NewPCG(p.Seed, 0x3d1e))
	below := p.outline()
	out := &ProfilePicture{Profile: p, below: below}
	var tips, bottoms []Point
	out.Ribs, tips, bottoms = p.measure(below)
	for _, q := range tips {
		out.Tips = append(out.Tips, p.place(q))
	}
	for _, q := range bottoms {
		out.Bottoms = append(out.Bottoms, p.place(q))
	}
	c := newCloth(r, 256, map[int]float64{1: 0.7, 2: 0.8, 4: 0.8, 8: 0.6, 16: 0.5})
	back := (&render{s: &Scene{Wide: p.Wide, High: p.High, Ground: p.Ground}, rand: r}).ground()
	mean := 0.0
	for _, v := range back.light {
		mean += float64(min(v, 1)) / float64(len(back.light))
	}
	back.blur(2 + 5*r.Float64()) // far behind
	if g != nil {
		g.lay(below, tips)
	}
	f := newFilm(p.Wide, p.High)
	toward := r.Float64() * 2 * math.Pi
	for y := range f.high {
		for x := range f.wide {
			sum := 0.0
			behind := p.Back * clamp(0.5+0.5*float64(back.light[y*f.wide+x])/mean, 0.5, 2)
			for k := range 4 {
				q := p.look(float64(x)-0.25+0.5*float64(k&1), float64(y)-0.25+0.5*float64(k>>1))
				light := p.light(q, below, c, behind)
				if g != nil {
					light = g.light(q, below, c, light)
				}
				sum += light
			}
			dx, dy := float64(x)/float64(p.Wide)-0.5, float64(y)/float64(p.High)-0.5
			slope := 1 + p.Shade*(dx*math.Cos(toward)+dy*math.Sin(toward))
			f.light[y*f.wide+x] = float32(sum / 4 * slope)
		}
	}
	for range p.Fibres {
		p.fibre(r, f, tips)
	}
	f.blur(p.Blur)
	s := Scene{Noise: p.Noise}
	out.Gray = f.take(r, s.noise(), p.Quality)
	return out
}

// place is where a point of the face is in the picture: mm across, and below a new belt's tips.
func (p *Profile) place(q Point) Point {
	x := (q.X - float64(p.Ribs)*p.Pitch/2) * math.Cos(p.Aside) * p.Scale
	y := (q.Y - 2) * math.Cos(p.Over) * p.Scale
	s, c := math.Sincos(p.Turn)
	return Point{x*c - y*s + float64(p.Wide-1)/2, x*s + y*c + float64(p.High-1)/2}
}

func (p *Profile) look(x, y float64) Point {
	x, y = x-float64(p.Wide-1)/2, y-float64(p.High-1)/2
	s, c := math.Sincos(p.Turn)
	return Point{(x*c+y*s)/p.Scale/math.Cos(p.Aside) + float64(p.Ribs)*p.Pitch/2,
		(y*c-x*s)/p.Scale/math.Cos(p.Over) + 2}
}

// light is what is seen at a point of the face's plane.
func (p *Profile) light(q Point, below []float64, c *cloth, back float64) float64 {
	at := func(x float64) float64 {
		if i := int(x * fineness); x >= 0 && i < len(below) {
			return below[i]
		}
		return math.Inf(1)
	}
	grain := 1 + p.Grain*c.f(q.X*14, q.Y*14)
	if surface := at(q.X); q.Y >= surface && q.Y < thick {
		return p.face(q, surface, c) * grain
	}
	// What is seen beyond the cut goes up in the picture by the sine of the angle, and aside; beyond a fold's top it
	// falls.
	aside, over := math.Sin(p.Aside), math.Sin(p.Over)
	if q.Y+max(over, 0)*p.Behind < 0 { // above all tips
		return back
	}
	for far := 0.1; far < p.Behind; far += 0.2 {
		x := q.X - far*aside
		y := q.Y + far*over
		if p.Fold {
			y -= far * far / (2 * p.Bend)
		}
		if y >= at(x) && y < thick {
			return p.Face * (0.8 + 0.6*hash(int(x/p.Pitch*2), 5)) * (1 - 0.5*far/p.Behind) * grain
		}
	}
	return back
}

// face is the light of the cut, or of the fold.
func (p *Profile) face(q Point, surface float64, c *cloth) float64 {
	deep := q.Y - surface
	light := p.Face * (1 + p.Spill*(0.5-deep/2))
	if p.Fold { // it turns away downwards, and its flanks catch the light
		return light * max(1-0.12*deep+0.15*math.Sin(2*math.Pi*q.X/p.Pitch+1), 0.2)
	}
	cord := math.Hypot(math.Mod(q.X, 1)-0.5, q.Y-p.Height-0.7) / 0.32
	light *= 1 + 1.5*(1-smooth(0.8, 1.1, cord))*(1+0.5*c.f(q.X*30, q.Y*30))
	return light * (1 + 0.15*c.f(q.X*2+q.Y*1.5, q.Y*40-q.X*25)) // the knife's marks
}

// fibre is a thread that stands out of the outline.
func (p *Profile) fibre(r *rand.Rand, f *film, tips []Point) {
	at := tips[r.IntN(len(tips))]
	at.X += (r.Float64() - 0.5) * p.Pitch * 0.6
	at.Y += r.Float64() * 0.5
	angle := -math.Pi * r.Float64()
	light := float32(lerp(p.Face, p.Back, 0.3))
	for range int((0.3 + r.Float64()) * 60) {
		angle += 0.05 * r.NormFloat64()
		at = Point{at.X + 0.017*math.Cos(angle), at.Y + 0.017*math.Sin(angle)}
		q := p.place(at)
		if x, y := int(q.X+0.5), int(q.Y+0.5); x >= 0 && y >= 0 && x < f.wide && y < f.high {
			v := &f.light[y*f.wide+x]
			*v += (light - *v) * 0.5
		}
	}
}
