// Package surveytest makes pictures of belt runs that are known exactly. It shares no code with package survey, which
// is to be checked by them.
package surveytest

import (
	"fmt"
	"image"
	"math"
	"math/rand/v2"

	"undertray.example/undertray/drive"
)

// The renderer: its own projection (a lens that bends by two terms, forwards), its own ray casting. It shares no code
// with what it is to check, and gives rims as discs of their own depth with a belt behind their fronts, sides seen
// aslant, hubs, hoses and brackets in front.

// Width and Height are those of a picture, px.
const Width, Height = 3000, 2250

const (
	frontZ = -11.0 // of the belt: every rim stands before it
	backZ  = -33.0
	beltUp = 4.0 // of the belt above the rim
)

// Scene is a run before a camera.
type Scene struct {
	R     *rand.Rand
	Run   drive.Run
	out   []float64 // of each rim's front before the plane
	face  []float64
	hub   []float64
	Lay   drive.Layout
	hides [][3]float64 // discs in front, px
	hoses [][5]float64 // two ends and half a width, px
	wave  [6][3]float64

	eye                [3]float64
	right, down, ahead [3]float64
	f, cx, cy, k1, k2  float64
	tilt               float64
}

// Uniform draws from lo to hi.
func Uniform(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

// MadeRun is a belt run of six to nine pulleys round a ring, about a third of them on the back and pushed inwards.
func MadeRun(r *rand.Rand) drive.Run {
	for {
		n := 6 + r.IntN(4)
		run := drive.Run{Belt: drive.Belt{Section: drive.PK(), Ribs: 6}}
		wide, high := Uniform(r, 170, 260), Uniform(r, 190, 300)
		for i := range n {
			a := -math.Pi/2 + 2*math.Pi*(float64(i)+Uniform(r, -0.2, 0.2))/float64(n)
			p := drive.Pulley{Name: fmt.Sprintf("p%d", i), Driver: i == 0, Measured: drive.Outside}
			in := 1.0
			switch {
			case i == 0:
				p.DiameterMM = Uniform(r, 135, 175)
			case r.IntN(3) == 0:
				p.Side, p.Measured, in = drive.BackSide, drive.Plain, Uniform(r, 0.45, 0.8)
				p.DiameterMM = Uniform(r, 60, 85)
			default:
				p.DiameterMM = Uniform(r, 52, 145)
			}
			p.Centre = drive.Point{X: in * wide * math.Cos(a), Y: in * high * math.Sin(a)}
			run.Pulleys = append(run.Pulleys, p)
		}
		if d, err := drive.New(run); err == nil && roomy(d.Drawn()) {
			return run
		}
	}
}

func roomy(l drive.Layout) bool {
	for _, p := range l.Pulleys {
		if p.ClearanceMM < 8 || p.WrapDeg < 20 {
			return false
		}
	}
	return true
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func normed(a [3]float64) [3]float64 {
	l := math.Sqrt(dot(a, a))
	return [3]float64{a[0] / l, a[1] / l, a[2] / l}
}

func crossed(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// NewScene makes a run and a camera that has all of it in its picture.
func NewScene(seed uint64) *Scene {
	r := rand.New(rand.NewPCG(seed, 77))
	for {
		s := &Scene{R: r, Run: MadeRun(r)}
		d, _ := drive.New(s.Run)
		s.Lay = d.Drawn()
		var mx, my float64
		for _, p := range s.Run.Pulleys {
			mx, my = mx+p.Centre.X/float64(len(s.Run.Pulleys)), my+p.Centre.Y/float64(len(s.Run.Pulleys))
			s.out = append(s.out, Uniform(r, -10, 10))
			s.face = append(s.face, Uniform(r, 70, 230))
			s.hub = append(s.hub, Uniform(r, 0.25, 0.8))
		}
		for i := range s.wave {
			s.wave[i] = [3]float64{Uniform(r, -0.15, 0.15), Uniform(r, -0.15, 0.15), Uniform(r, 0, 6.3)}
		}
		s.tilt = Uniform(r, 0, 35)
		away, at := Uniform(r, 1500, 2500), Uniform(r, 0, 2*math.Pi)
		look := [3]float64{mx + Uniform(r, -60, 60), my + Uniform(r, -60, 60), 0}
		sin, cos := math.Sincos(s.tilt * math.Pi / 180)
		s.eye = [3]float64{look[0] + away*sin*math.Cos(at), look[1] + away*sin*math.Sin(at), away * cos}
		s.ahead = normed([3]float64{look[0] - s.eye[0], look[1] - s.eye[1], look[2] - s.eye[2]})
		roll := Uniform(r, -0.2, 0.2)
		s.right = normed(crossed(s.ahead, [3]float64{math.Sin(roll), math.Cos(roll), 0}))
		s.down = crossed(s.ahead, s.right)
		s.f = 3750 / 43.27 * math.Exp(Uniform(r, math.Log(24), math.Log(52))) // as on 35 mm film
		s.cx, s.cy = Width/2+12*r.NormFloat64(), Height/2+12*r.NormFloat64()
		s.k1 = 0.06 * r.NormFloat64()
		s.k2 = -s.k1 * Uniform(r, 0, 1.5)
		if s.inPicture() {
			s.hide()
			return s
		}
	}
}

// inPicture wants every rim inside and the run to fill a good part, as anybody would take it.
func (s *Scene) inPicture() bool {
	lo, hi := [2]float64{1e9, 1e9}, [2]float64{-1e9, -1e9}
	for i := range s.Run.Pulleys {
		for a := 0.0; a < 6.3; a += 0.3 {
			x, y := s.rim(i, a, 1)
			lo, hi = [2]float64{min(lo[0], x), min(lo[1], y)}, [2]float64{max(hi[0], x), max(hi[1], y)}
		}
	}
	return lo[0] > 40 && lo[1] > 40 && hi[0] < Width-40 && hi[1] < Height-40 &&
		max((hi[0]-lo[0])/Width, (hi[1]-lo[1])/Height) > 0.5
}

// project is where a place stands in the picture.
func (s *Scene) project(p [3]float64) (x, y float64) {
	q := [3]float64{p[0] - s.eye[0], p[1] - s.eye[1], p[2] - s.eye[2]}
	x, y = dot(q, s.right)/dot(q, s.ahead), dot(q, s.down)/dot(q, s.ahead)
	r2 := x*x + y*y
	k := s.f * (1 + s.k1*r2 + s.k2*r2*r2)
	return s.cx + k*x, s.cy + k*y
}

func (s *Scene) rim(i int, angle, share float64) (x, y float64) {
	p := s.Run.Pulleys[i]
	sin, cos := math.Sincos(angle)
	r := share * p.DiameterMM / 2
	return s.project([3]float64{p.Centre.X + r*cos, p.Centre.Y + r*sin, s.out[i]})
}

// ray is the line of sight through a place on the picture.
func (s *Scene) ray(px, py float64) [3]float64 {
	dx, dy := (px-s.cx)/s.f, (py-s.cy)/s.f
	x, y := dx, dy
	for range 6 {
		r2 := x*x + y*y
		k := 1 + s.k1*r2 + s.k2*r2*r2
		x, y = dx/k, dy/k
	}
	var d [3]float64
	for k := range d {
		d[k] = s.ahead[k] + x*s.right[k] + y*s.down[k]
	}
	return d
}

// hide puts a bracket before about half of the rims and two hoses across.
func (s *Scene) hide() {
	for i := range s.Run.Pulleys {
		if s.R.IntN(2) == 0 {
			continue
		}
		x0, y0 := s.rim(i, 0, 0)
		x, y := s.rim(i, Uniform(s.R, 0, 6.3), Uniform(s.R, 1, 1.5))
		s.hides = append(s.hides, [3]float64{x, y, Uniform(s.R, 0.4, 0.9) * math.Hypot(x-x0, y-y0)})
	}
	for range 2 {
		from, to := Uniform(s.R, 0, Width), Uniform(s.R, 0, Width)
		s.hoses = append(s.hoses, [5]float64{from, 0, to, Height, Uniform(s.R, 15, 45)})
	}
}

// hit is what a line of sight meets first: the pulley, if it is a face, and how light it is.
func (s *Scene) hit(px, py float64) (face int, light float64) {
	for k, h := range s.hides {
		if math.Hypot(px-h[0], py-h[1]) < h[2] {
			return -1, 60 + 30*float64(k%5)
		}
	}
	for k, h := range s.hoses {
		x := h[0] + (h[2]-h[0])*py/Height
		if d := math.Abs(px-x) / h[4]; d < 1 {
			return -1, 30 + 60*float64(k) + 40*math.Sqrt(1-d*d)
		}
	}
	d := s.ray(px, py)
	best := math.Inf(1)
	face = -1
	at := func(t float64) (x, y, z float64) { return s.eye[0] + t*d[0], s.eye[1] + t*d[1], s.eye[2] + t*d[2] }
	for i, p := range s.Run.Pulleys {
		r, c := p.DiameterMM/2, p.Centre
		// far from the pulley in the plane: nothing of it can be met
		mx, my, _ := at(-s.eye[2] / d[2])
		if math.Hypot(mx-c.X, my-c.Y) > r+60 {
			continue
		}
		if t := (s.out[i] - s.eye[2]) / d[2]; t < best {
			if x, y, _ := at(t); math.Hypot(x-c.X, y-c.Y) < r {
				best, face, light = t, i, s.faceLight(i, (x-c.X)/r, (y-c.Y)/r)
			}
		}
		if t, _, _, ok := s.side(d, c, r, backZ, s.out[i]); ok && t < best {
			best, face, light = t, -1, 0.6*s.face[i]
		}
		l := s.Lay.Pulleys[i]
		from, wrap := math.Atan2(l.Enter.Y-c.Y, l.Enter.X-c.X), l.WrapDeg*math.Pi/180
		onBelt := func(x, y float64) bool {
			a := math.Mod(float64(l.Turns)*(math.Atan2(y-c.Y, x-c.X)-from)+8*math.Pi, 2*math.Pi)
			return a < wrap
		}
		if t := (frontZ - s.eye[2]) / d[2]; t < best {
			if x, y, _ := at(t); math.Abs(math.Hypot(x-c.X, y-c.Y)-r-beltUp/2) < beltUp/2 && onBelt(x, y) {
				best, face, light = t, -1, 45
			}
		}
		if t, x, y, ok := s.side(d, c, r+beltUp, backZ, frontZ); ok && t < best && onBelt(x, y) {
			best, face, light = t, -1, 30
		}
	}
	for _, sp := range s.Lay.Spans {
		if t := (frontZ - s.eye[2]) / d[2]; t < best {
			x, y, _ := at(t)
			x, y = x-sp.From.X, y-sp.From.Y
			along, across := x*sp.Dir.X+y*sp.Dir.Y, x*sp.Dir.Y-y*sp.Dir.X
			if along > 0 && along < sp.LengthMM && math.Abs(across) < beltUp/2 {
				best, face, light = t, -1, 45
			}
		}
	}
	if math.IsInf(best, 1) {
		x, y, _ := at((-60 - s.eye[2]) / d[2])
		light = 90
		for _, w := range s.wave {
			light += 11 * math.Sin(w[0]*x+w[1]*y+w[2])
		}
	}
	return face, light
}

// faceLight is a pulley's face: a hub, a recess, five holes.
func (s *Scene) faceLight(i int, x, y float64) float64 {
	r := math.Hypot(x, y)
	switch a := math.Mod(math.Atan2(y, x)+7, 2*math.Pi/5) - math.Pi/5; {
	case r < 0.2:
		return 0.5 * s.face[i]
	case math.Hypot(r-0.5, 0.5*a) < 0.12:
		return 25
	case r < s.hub[i]:
		return 0.8 * s.face[i]
	}
	return s.face[i] * (1 - 0.1*x)
}

// side is where a line of sight enters a cylinder from z = lo to hi.
func (s *Scene) side(d [3]float64, c drive.Point, r, lo, hi float64) (t, x, y float64, ok bool) {
	ox, oy := s.eye[0]-c.X, s.eye[1]-c.Y
	a, b, q := d[0]*d[0]+d[1]*d[1], ox*d[0]+oy*d[1], ox*ox+oy*oy-r*r
	disc := b*b - a*q
	if disc < 0 || a < 1e-12 {
		return 0, 0, 0, false
	}
	t = (-b - math.Sqrt(disc)) / a
	z := s.eye[2] + t*d[2]
	return t, s.eye[0] + t*d[0], s.eye[1] + t*d[1], z > lo && z < hi
}

// Touches marks a rim n times, spread over what is seen of it, each off by an error of its own of sd px either way;
// nil where too little is seen.
func (s *Scene) Touches(i, n int, sd float64) (out [][2]float64) {
	var seen []float64
	const steps = 240
	for k := range steps {
		a := 2 * math.Pi * float64(k) / steps
		if face, _ := s.hit(s.rim(i, a, 0.985)); face == i {
			seen = append(seen, a)
		}
	}
	if len(seen) < steps*3/10 {
		return nil
	}
	first := s.R.Float64()
	for k := range n {
		a := seen[int((float64(k)+first+Uniform(s.R, -0.2, 0.2)+float64(n))*float64(len(seen))/float64(n))%len(seen)]
		x, y := s.rim(i, a, 1)
		out = append(out, [2]float64{x + sd*s.R.NormFloat64(), y + sd*s.R.NormFloat64()})
	}
	return out
}

// Draw gives the picture near the rims; elsewhere it is plain, since nothing else is looked at.
func (s *Scene) Draw() *image.Gray {
	g := image.NewGray(image.Rect(0, 0, Width, Height))
	done := make([]bool, Width*Height)
	for i := range s.Run.Pulleys {
		for a := 0.0; a < 2*math.Pi; a += 0.02 {
			tx, ty := s.rim(i, a, 1)
			for y := max(int(ty)-19, 0); y < min(int(ty)+20, Height); y++ {
				for x := max(int(tx)-19, 0); x < min(int(tx)+20, Width); x++ {
					if k := y*Width + x; !done[k] && math.Hypot(float64(x)-tx, float64(y)-ty) < 19 {
						done[k] = true
						g.Pix[k] = s.pixel(x, y)
					}
				}
			}
		}
	}
	return g
}

// pixel is the mean of nine lines of sight about a pixel's middle, spread as a lens and its sensor blur, and noise.
func (s *Scene) pixel(x, y int) uint8 {
	sum := 3 * s.R.NormFloat64()
	for _, dx := range [...]float64{-0.85, 0, 0.85} {
		for _, dy := range [...]float64{-0.85, 0, 0.85} {
			_, l := s.hit(float64(x)+0.5+dx+Uniform(s.R, -0.3, 0.3), float64(y)+0.5+dy+Uniform(s.R, -0.3, 0.3))
			sum += l / 9
		}
	}
	return uint8(min(max(sum, 0), 255))
}

// OnBelt is where the belt lies on a pulley, in the middle of what it wraps.
func (s *Scene) OnBelt(i int) [2]float64 {
	l, c := s.Lay.Pulleys[i], s.Run.Pulleys[i].Centre
	sin, cos := math.Sincos(math.Atan2(l.Enter.Y-c.Y, l.Enter.X-c.X) + float64(l.Turns)*l.WrapDeg*math.Pi/360)
	r := s.Run.Pulleys[i].DiameterMM/2 + beltUp/2
	x, y := s.project([3]float64{c.X + r*cos, c.Y + r*sin, frontZ})
	return [2]float64{x, y}
}
