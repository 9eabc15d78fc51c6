package surface_test

import (
	"math"
	"math/rand/v2"

	"undertray.example/undertray/surface"
)

// A texture drawn for tests: grain, grit, shading, edges and noise, with cracks of known course, width and depth. It
// shares no code with what it tests: cracks are areas of pixels seen by 4 by 4 rays, blur is a sum over neighbours.
type drawn struct {
	picture surface.Picture
	cracks  []stroke
	truth   []bool // pixels more than half within a crack
}

type stroke struct {
	x, y  []float64
	width float64
	depth float64   // share of the light that is gone
	fade  []float64 // of each piece, share of the depth; 0 where it is not drawn
}

type texture struct {
	w, h      int
	cracks    int
	grain     float64 // share of light, standard deviation
	coarse    float64 // px
	grit      float64 // stones per 1000 px
	gritDepth float64
	shade     float64
	edge      float64 // share of light beyond a straight edge
	blur      float64 // px
	noise     float64
	width     [2]float64
	depth     [2]float64
}

// anyTexture draws what a texture is like.
func anyTexture(r *rand.Rand) texture {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	t := texture{w: 240, h: 160, cracks: 1 + r.IntN(4), grain: between(0.01, 0.12), coarse: between(0.5, 1.8),
		grit: between(0, 12), gritDepth: between(0.05, 0.3), shade: between(0, 0.5), blur: between(0.4, 1.3),
		noise: between(0.002, 0.02), width: [2]float64{1, 6}, depth: [2]float64{0.12, 0.55}}
	switch r.IntN(5) {
	case 0:
		t.cracks = 0
	case 1:
		t.edge = between(0.1, 0.5)
	}
	return t
}

func (t texture) draw(r *rand.Rand) drawn {
	strokes := make([]stroke, t.cracks)
	for i := range strokes {
		strokes[i] = t.stroke(r)
	}
	return t.drawWith(r, strokes)
}

// drawWith draws a texture with given cracks.
func (t texture) drawWith(r *rand.Rand, strokes []stroke) drawn {
	n := t.w * t.h
	light, gone := make([]float64, n), make([]float64, n)
	d := drawn{truth: make([]bool, n), cracks: strokes}
	base, turn := 0.35+0.3*r.Float64(), 2*math.Pi*r.Float64()
	ex, ey := float64(t.w)*r.Float64(), float64(t.h)*r.Float64()
	eturn := math.Pi * r.Float64()
	for i := range light {
		x, y := float64(i%t.w), float64(i/t.w)
		slant := ((x/float64(t.w)-0.5)*math.Cos(turn) + (y/float64(t.h)-0.5)*math.Sin(turn)) * t.shade
		light[i] = base * (1 + slant)
		if (x-ex)*math.Cos(eturn)+(y-ey)*math.Sin(eturn) > 0 {
			light[i] *= 1 - t.edge
		}
	}
	grain := make([]float64, n)
	for i := range grain {
		grain[i] = r.NormFloat64()
	}
	grain = smear(grain, t.w, t.coarse)
	dev := 0.0
	for _, g := range grain {
		dev += g * g / float64(n)
	}
	for i, g := range grain {
		light[i] *= math.Exp(t.grain * g / math.Sqrt(dev))
	}
	for range int(t.grit * float64(n) / 1000) {
		t.stone(r, light)
	}
	for _, s := range strokes {
		t.cut(s, gone, false)
	}
	for i := range light {
		d.truth[i] = gone[i] > 0.5
	}
	for _, s := range d.cracks {
		cover := make([]float64, n)
		t.cut(s, cover, true)
		for i, c := range cover {
			light[i] *= 1 - s.depth*c
		}
	}
	light = smear(light, t.w, t.blur)
	for i := range light {
		v := light[i] + t.noise*r.NormFloat64()
		light[i] = math.Round(255*min(max(v, 0), 1)) / 255
	}
	d.picture = surface.Picture{Width: t.w, Height: t.h, Light: light}
	return d
}

// stone sets a stone, darker or lighter than its ground.
func (t texture) stone(r *rand.Rand, light []float64) {
	cx, cy := float64(t.w)*r.Float64(), float64(t.h)*r.Float64()
	a, b, turn := 0.7+2.3*r.Float64(), 0.7+2.3*r.Float64(), math.Pi*r.Float64()
	k := 1 + t.gritDepth*(2*r.Float64()-1)*1.5
	for y := max(0, int(cy)-4); y < min(t.h, int(cy)+5); y++ {
		for x := max(0, int(cx)-4); x < min(t.w, int(cx)+5); x++ {
			u, v := float64(x)-cx, float64(y)-cy
			p, q := u*math.Cos(turn)+v*math.Sin(turn), v*math.Cos(turn)-u*math.Sin(turn)
			if p*p/(a*a)+q*q/(b*b) < 1 {
				light[y*t.w+x] *= k
			}
		}
	}
}

// stroke is a course that wanders, with a width and now and then a gap.
func (t texture) stroke(r *rand.Rand) stroke {
	s := stroke{width: t.width[0] + (t.width[1]-t.width[0])*r.Float64()*r.Float64(),
		depth: t.depth[0] + (t.depth[1]-t.depth[0])*r.Float64()}
	x, y, turn := float64(t.w)*r.Float64(), float64(t.h)*r.Float64(), 2*math.Pi*r.Float64()
	wander := 0.1 + 0.5*r.Float64()
	main, fade := turn, 1.0
	for range 6 + r.IntN(34) {
		s.x, s.y, s.fade = append(s.x, x), append(s.y, y), append(s.fade, fade)
		if fade = min(max(fade+0.2*r.NormFloat64(), 0.4), 1); r.Float64() < 0.04 {
			s.fade[len(s.fade)-1] = 0
		}
		turn = main + 0.7*(turn-main) + wander*r.NormFloat64()
		x, y = x+6*math.Cos(turn), y+6*math.Sin(turn)
	}
	return s
}

// cut sets the share of each pixel that lies within a stroke, faded or not, where it is greater than what is there.
func (t texture) cut(s stroke, cover []float64, faded bool) {
	for k := 1; k < len(s.x); k++ {
		most := s.fade[k]
		if most == 0 {
			continue
		}
		if !faded {
			most = 1
		}
		ax, ay, bx, by := s.x[k-1], s.y[k-1], s.x[k], s.y[k]
		m := s.width/2 + 1
		for y := max(0, int(min(ay, by)-m)); y <= min(t.h-1, int(max(ay, by)+m)); y++ {
			for x := max(0, int(min(ax, bx)-m)); x <= min(t.w-1, int(max(ax, bx)+m)); x++ {
				in := 0.0
				for j := range 16 {
					px, py := float64(x)+(float64(j%4)-1.5)/4, float64(y)+(float64(j/4)-1.5)/4
					if fromPiece(px, py, ax, ay, bx, by) <= s.width/2 {
						in += 1. / 16
					}
				}
				cover[y*t.w+x] = max(cover[y*t.w+x], most*in)
			}
		}
	}
}

// fromPiece is the distance of a point from a piece of a line.
func fromPiece(px, py, ax, ay, bx, by float64) float64 {
	dx, dy := bx-ax, by-ay
	u := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		u = min(max(((px-ax)*dx+(py-ay)*dy)/l, 0), 1)
	}
	return math.Hypot(px-ax-u*dx, py-ay-u*dy)
}

// smear blurs by a plain sum over neighbours; beyond an edge lies what is at it.
func smear(v []float64, w int, sigma float64) []float64 {
	h, reach := len(v)/w, int(3*sigma+1)
	pass := func(v []float64, dx, dy int) []float64 {
		out := make([]float64, len(v))
		for y := range h {
			for x := range w {
				sum, total := 0.0, 0.0
				for j := -reach; j <= reach; j++ {
					k := math.Exp(-float64(j*j) / (2 * sigma * sigma))
					sum += k * v[min(max(y+j*dy, 0), h-1)*w+min(max(x+j*dx, 0), w-1)]
					total += k
				}
				out[y*w+x] = sum / total
			}
		}
		return out
	}
	return pass(pass(v, 1, 0), 0, 1)
}

// tally counts by the rule of 5 px.
type tally struct{ marked, right, wanted, found int }

func (t *tally) add(o tally) {
	t.marked, t.right, t.wanted, t.found = t.marked+o.marked, t.right+o.right, t.wanted+o.wanted, t.found+o.found
}

func (t tally) rates() (precision, recall, f float64) {
	precision, recall = float64(t.right)/max(float64(t.marked), 1), float64(t.found)/max(float64(t.wanted), 1)
	return precision, recall, 2 * precision * recall / max(precision+recall, 1e-12)
}

// scored compares marks, set as pixels, with a mask: a marked pixel within 5 px of the mask is right, a pixel of the
// mask within 5 px of a marked one is found.
func scored(marks []surface.Mark, mask []bool, w int) tally {
	set := make([]bool, len(mask))
	h := len(mask) / w
	for _, m := range marks {
		for k := 1; k < len(m.Path); k++ {
			a, b := m.Path[k-1], m.Path[k]
			n := int(math.Ceil(2*math.Hypot(b.X-a.X, b.Y-a.Y))) + 1
			for j := range n + 1 {
				u := float64(j) / float64(n)
				x, y := int(math.Round(a.X+u*(b.X-a.X))), int(math.Round(a.Y+u*(b.Y-a.Y)))
				set[min(max(y, 0), h-1)*w+min(max(x, 0), w-1)] = true
			}
		}
	}
	var t tally
	nearMask, nearSet := within(mask, w, 5), within(set, w, 5)
	for i := range mask {
		if set[i] {
			t.marked++
			if nearMask[i] {
				t.right++
			}
		}
		if mask[i] {
			t.wanted++
			if nearSet[i] {
				t.found++
			}
		}
	}
	return t
}

// within marks what lies within a distance (px) of a set pixel.
func within(set []bool, w, far int) []bool {
	out, h := make([]bool, len(set)), len(set)/w
	for i, s := range set {
		if !s {
			continue
		}
		for dy := -far; dy <= far; dy++ {
			for dx := -far; dx <= far; dx++ {
				x, y := i%w+dx, i/w+dy
				if dx*dx+dy*dy <= far*far && x >= 0 && y >= 0 && x < w && y < h {
					out[y*w+x] = true
				}
			}
		}
	}
	return out
}
