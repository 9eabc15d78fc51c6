package drawn

import (
	"math"
	"math/rand/v2"
)

// Gauge is a wear gauge whose bars lie in the grooves of a ribbed belt, seen along the ribs at its end.
type Gauge struct {
	Belt   Profile
	First  int     // the groove of the first bar, from 1, the first between two ribs
	Bars   int     // how many lie side by side
	Radius float64 // of round bars, mm; 0: they are wedges with the flanks' angle and a flat top
	Stand  float64 // of wedges: the flat top above the tips, mm, where neither flank nor tip is worn off
	Roll   float64 // by how much further a bar stands up for each mm across
	Light  float64 // of the gauge, linear
	Top    float64 // light of what is seen of the bars beyond their ends, as a share of it
	Ahead  float64 // mm by which its end is nearer than the belt's
	Long   float64 // mm of a bar
}

// Bar is one bar in its groove.
type Bar struct {
	Groove int
	Stand  float64 // mm by which its top is above the middle between the tips beside it
	Top    Point   // px
	deep   float64 // mm of its top below a new belt's tips
	half   float64 // of a wedge's top
	at     float64 // mm across
}

// GaugePicture is the picture of a gauge in its belt and the truth about it.
type GaugePicture struct {
	*ProfilePicture
	Gauge Gauge
	Bars  []Bar
}

// AnyGauge draws by lot a gauge in a belt as an owner could photograph it: a light wall behind, and the gauge of
// another light than both. A bar lies where its groove's flanks hold it, the deeper the more they are worn.
func AnyGauge(seed uint64) Gauge {
	r := rand.New(rand.NewPCG(seed, 0x6a9e))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	g := Gauge{Belt: AnyProfile(seed)}
	p := &g.Belt
	p.Fold, p.Face, p.Back = false, between(0.02, 0.07), between(0.3, 0.8)
	p.Behind = between(2, 8)
	if r.IntN(3) > 0 { // a card or a wall
		p.Ground = "none"
	}
	p.Tip = between(0.7, 1.1)
	for k := range p.Worn { // flanks wear by a tenth of a mm or three while a gauge is still asked
		p.Worn[k] = min(p.Worn[k], 0.35)
	}
	// What stands above the tips needs room.
	g.First, g.Bars = 1, p.Ribs-1
	if p.Ribs > 4 && r.IntN(3) == 0 {
		g.Bars = 3 + r.IntN(p.Ribs-4)
		g.First = 1 + r.IntN(p.Ribs-g.Bars)
	}
	if r.IntN(2) == 0 {
		// A bar between flanks at 40 degrees is flush with the tips of a new rib where its radius is 0.7 of half the
		// groove there; up to a tenth more stands above.
		room := (p.Pitch - p.Tip) / 2
		g.Radius = room * between(0.65, 0.84)
	} else {
		g.Stand = between(-0.3, 0.9)
	}
	g.Roll = 0.006 * r.NormFloat64()
	for g.Light = p.Back; g.Light/p.Back > 0.62 && g.Light/p.Back < 1.5 || g.Light < 2.5*p.Face; {
		g.Light = between(0.12, 0.9)
	}
	g.Top = between(0.75, 1.3)
	g.Ahead, g.Long = between(-1.5, 3), between(3, 10)
	return g
}

// gaugeLaid is a gauge where its belt holds it.
type gaugeLaid struct {
	Gauge
	bars []Bar
}

// lay puts the bars where they meet the flanks.
func (g *gaugeLaid) lay(below []float64, tips []Point) {
	p := &g.Belt
	middle := (float64(g.First) + float64(g.Bars-1)/2) * p.Pitch
	mean := 0.0
	for k := g.First; k < g.First+g.Bars; k++ {
		b := Bar{Groove: k, at: float64(k) * p.Pitch, half: (p.Pitch-p.Tip)/2 + g.Stand*math.Tan(p.Flanks/2)}
		for b.deep = -2.5; b.deep < p.Height && g.clear(b, below); b.deep += 0.004 {
		}
		mean += b.deep / float64(g.Bars)
		g.bars = append(g.bars, b)
	}
	// All are of one piece: they lie in one line, as they do on the mean, turned by the roll.
	for i := range g.bars {
		b := &g.bars[i]
		b.deep = mean - g.Roll*(b.at-middle)
		b.Stand = (tips[b.Groove-1].Y+tips[b.Groove].Y)/2 - b.deep
		b.Top = p.place(Point{b.at, b.deep})
	}
}

// clear is whether a bar meets no rubber.
func (g *Gauge) clear(b Bar, below []float64) bool {
	for dx := -1.7; dx <= 1.7; dx += 0.02 {
		i := min(max(int((b.at+dx)*fineness), 0), len(below)-1)
		if low, ok := g.underside(b, dx); ok && low > below[i] {
			return false
		}
	}
	return true
}

// underside is how far below a new belt's tips the lower side of a bar is, mm off its middle.
func (g *Gauge) underside(b Bar, dx float64) (float64, bool) {
	if g.Radius > 0 {
		if math.Abs(dx) >= g.Radius {
			return 0, false
		}
		return b.deep + g.Radius + math.Sqrt(g.Radius*g.Radius-dx*dx), true
	}
	lean := math.Tan(g.Belt.Flanks / 2)
	if math.Abs(dx) >= b.half {
		return 0, false
	}
	return b.deep + min((b.half-math.Abs(dx))/lean, 2.1), true
}

// upper is the same of its upper side.
func (g *Gauge) upper(b Bar, dx float64) float64 {
	if g.Radius > 0 {
		return b.deep + g.Radius - math.Sqrt(g.Radius*g.Radius-dx*dx)
	}
	if edge := b.half - 0.15 - math.Abs(dx); edge < 0 { // rounded
		return b.deep + 0.15 - math.Sqrt(max(0.15*0.15-edge*edge, 0))
	}
	return b.deep
}

// light is what is seen at a point of the belt's face where that shows a light: the bars' ends, or what is seen of
// them beyond.
func (g *gaugeLaid) light(q Point, below []float64, c *cloth, light float64) float64 {
	p := &g.Belt
	if i := int(q.X * fineness); g.Ahead < 0 && i >= 0 && i < len(below) && q.Y >= below[i] && q.Y < thick {
		return light // before the bars' ends
	}
	if q.Y < -2 || q.Y > thick { // no bar is so high or low
		return light
	}
	aside, over := math.Sin(p.Aside), math.Sin(p.Over)
	for far := -g.Ahead; far < g.Long-g.Ahead; far += 0.5 {
		x, y := q.X-far*aside, q.Y+far*over
		k := int(math.Round(x/p.Pitch)) - g.First
		if k < 0 || k >= len(g.bars) {
			continue
		}
		b := g.bars[k]
		low, ok := g.underside(b, x-b.at)
		if !ok || y > low || y < g.upper(b, x-b.at) {
			continue
		}
		if far == -g.Ahead {
			return g.Light * (1 + 0.5*p.Grain*c.f(q.X*9, q.Y*9))
		}
		if i := int(q.X * fineness); i >= 0 && i < len(below) && q.Y >= below[i] {
			return light
		}
		return g.Light * g.Top
	}
	return light
}

// Render draws the picture of a gauge in its belt.
func (g Gauge) Render() *GaugePicture {
	laid := &gaugeLaid{Gauge: g}
	out := &GaugePicture{ProfilePicture: g.Belt.render(laid), Gauge: g}
	out.Bars = laid.bars
	return out
}
