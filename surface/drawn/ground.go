package drawn

import (
	"math"
	"slices"
)

// Grounds are what a belt is seen against: darkness, an engine's bay, printed paper, or one of the odd things.
var Grounds = []string{"dark", "dark", "bay", "bay", "bay", "paper", "planks", "gravel", "weave", "tiles", "wood",
	"bricks", "hand", "street", "keyboard", "leaves"}

// ground draws what is behind the belt, in the light of the picture.
func (d *render) ground() *film {
	const coarse = 2 // the ground is out of focus
	f := newFilm(d.s.Wide/coarse+2, d.s.High/coarse+2)
	r := d.rand
	c := newCloth(r, 256, map[int]float64{4: 0.3, 16: 0.5, 64: 1})
	p := func(x, y float64) float64 { return 0.6 * (1 + 0.1*c.f(x, y)) }
	look := func(x, y float64) (u, v float64) { return x / 3, y / 3 }
	blur := 0.5 + 3*r.Float64()
	switch i := slices.IndexFunc(odds, func(o odd) bool { return o.kind == d.s.Ground }); {
	case i >= 0:
		unit := float64(max(f.wide, f.high)) / lerp(odds[i].from, odds[i].to, r.Float64())
		look = aim(r, unit, float64(f.wide), float64(f.high))
		p = odds[i].draw(r, newCloth(r, 256, map[int]float64{1: 0.6, 2: 0.7, 4: 0.8, 8: 0.6, 16: 0.6}))
	case d.s.Ground == "dark":
		p = func(x, y float64) float64 { return 0.02 * (1 + 0.3*c.f(x, y)) }
	case d.s.Ground == "bay":
		p = func(x, y float64) float64 { return 0.08 * (1 + 0.3*c.f(x, y)) }
	}
	bright := 0.4 + r.Float64()
	for y := range f.high {
		for x := range f.wide {
			u, v := look(float64(x), float64(y))
			f.light[y*f.wide+x] = max(float32(bright*p(u, v)), 0.002)
		}
	}
	switch d.s.Ground {
	case "bay":
		d.bay(f)
	case "paper":
		d.paper(f)
	}
	f.blur(blur)
	out := newFilm(d.s.Wide, d.s.High)
	for y := range out.high {
		for x := range out.wide {
			out.light[y*out.wide+x] = f.at(float32(x)/coarse, float32(y)/coarse)
		}
	}
	return out
}

// bay is full of hoses, bars and lines.
func (d *render) bay(f *film) {
	r := d.rand
	for range 25 {
		t := tube{x: r.Float64() * float64(f.wide), y: r.Float64() * float64(f.high), wide: 10 + 50*r.Float64(),
			light: float32(0.02 + 0.1*r.ExpFloat64())}
		t.bend = 0.006 / t.wide * r.NormFloat64()
		t.sin, t.cos = math.Sincos(r.Float64() * math.Pi)
		t.draw(f)
	}
}

// paper has lines of letters.
func (d *render) paper(f *film) {
	r := d.rand
	for y := 10; y < f.high-30; y += 20 + r.IntN(15) {
		t := letters(words[r.IntN(len(words))], 8+10*r.Float64())
		x0 := r.IntN(f.wide)
		for j := range t.Bounds().Dy() {
			for i := range t.Bounds().Dx() {
				if x := x0 + i; x < f.wide && y+j < f.high {
					f.light[(y+j)*f.wide+x] *= 1 - 0.9*float32(t.AlphaAt(i, j).A)/255
				}
			}
		}
	}
}

// tube is a hose or bar across the picture: round, lit from one side, with a shadow beside it.
type tube struct {
	x, y, sin, cos, wide, bend float64 // px
	light                      float32
}

// at is where a place is across the tube: its edges are at -1 and 1.
func (t *tube) at(x, y float64) float64 {
	dx, dy := x-t.x, y-t.y
	along := dx*t.cos + dy*t.sin
	return (dy*t.cos - dx*t.sin + t.bend*along*along) / t.wide * 2
}

func (t *tube) draw(f *film) {
	lit := make([]float32, 401)
	for i := range lit {
		u := float64(i)/200 - 1
		n := math.Sqrt(max(1-u*u, 0))
		lit[i] = t.light * float32(max(0.5*u+0.85*n, 0.05)+0.8*math.Pow(max(0.35*u+0.93*n, 0), 60))
	}
	edge := 2 / t.wide
	for y := range f.high {
		for x := range f.wide {
			u := t.at(float64(x), float64(y))
			v := &f.light[y*f.wide+x]
			switch over := math.Abs(u); {
			case over <= 1:
				cover := float32(min((1-over)/edge, 1))
				*v += (lit[int(u*200)+200] - *v) * cover
			case over < 1.5:
				*v *= float32(0.5 + (over - 1))
			}
		}
	}
}
