package drawn

import (
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"image"
)

// dirty lays on the skin what is on it: look-alikes, dirt, print, fibres, cracks.
func (d *render) dirty() {
	k, s, r := d.skin, d.s, d.rand
	k.spots(r, s.Dust, 0.12, 2.2)
	k.spots(r, s.Dirt, 0.35, 0.6)
	for i := range s.Alike {
		d.alike(&s.Alike[i])
	}
	if s.Print {
		d.print()
	}
	for range s.Fibres {
		x, y := r.Float64()*d.v.wide, k.first+r.Float64()*float64(k.long)*k.step
		angle := r.Float64() * 2 * math.Pi
		var path []Point
		for range 10 + r.IntN(25) {
			path = append(path, Point{x, y})
			angle += 0.25 * r.NormFloat64()
			x, y = x+0.25*math.Cos(angle), y+0.25*math.Sin(angle)
		}
		to := float32(1.2 + 1.5*r.Float64())
		k.line(path, 0.03+0.04*r.Float64(), func(cover float32, _ float64, v, g float32) (float32, float32) {
			return v + (to-v)*cover, g * (1 - cover)
		})
	}
	for i := range s.Cracks {
		c := &s.Cracks[i]
		d.open(c.Path, c.Width, c.Contrast)
		for _, b := range c.Branches {
			d.open(b, c.Width*0.7, c.Contrast*0.8)
		}
	}
}

// open cuts a crack: dark in its width, and a lip that catches a little light where the lamp stands along the belt.
func (d *render) open(path []Point, width, contrast float64) {
	gone := float32(contrast)
	lip := float32(0.15 * contrast * math.Cos(d.s.Above) * math.Sin(d.s.From))
	d.skin.line(path, width, func(cover float32, _ float64, v, g float32) (float32, float32) {
		return v * (1 - gone*cover), g * (1 - gone*cover)
	})
	if math.Abs(float64(lip)) < 0.02 {
		return
	}
	d.skin.line(path, width+0.2, func(cover float32, at float64, v, g float32) (float32, float32) {
		if math.Abs(at) < width/2+d.skin.step/2 {
			return v, g
		}
		k := 1 + cover*lip
		if at < 0 {
			k = 1 - cover*lip
		}
		return v * k, g * k
	})
}

func (d *render) alike(a *Alike) {
	k := d.skin
	light := float32(a.Light)
	add := func(t, v, g float32) (float32, float32) { return v * (1 + light*t), g * (1 + light*t) }
	switch a.Kind {
	case "scratch", "seam":
		k.line(a.Path, a.Width, func(cover float32, at float64, v, g float32) (float32, float32) {
			if a.Kind == "seam" { // a ridge: light on one side, a little dark on the other
				cover *= float32(0.6 + 0.4*math.Copysign(1, at)*math.Copysign(1, math.Sin(d.s.From)))
			}
			return add(cover*(1+0.3*k.cloth.at(float32(at*20), v*30)), v, g)
		})
	case "joint": // all of the belt beyond the line
		end := k.first + float64(k.long)*k.step
		k.mark(0, a.Path[0].Y-20, d.v.wide, end, func(px, py float64, v, g float32) (float32, float32) {
			p := a.Path[min(int(px/0.3), len(a.Path)-1)]
			return add(float32(smooth(-0.1, 0.1, py-p.Y)), v, g)
		})
	case "chatter":
		y := a.Path[0].Y
		k.mark(0, y-10, d.v.wide, y+10, func(px, py float64, v, g float32) (float32, float32) {
			t := math.Sin(2*math.Pi*(py-y)/a.Width) * (1 - smooth(6, 10, math.Abs(py-y)))
			return add(float32(t), v, g)
		})
	default: // dirt, scuff, shadow: soft bands
		k.line(a.Path, 2*a.Width, func(_ float32, at float64, v, g float32) (float32, float32) {
			t := 1 - smooth(0.5, 1, math.Abs(at)/a.Width)
			if a.Kind == "scuff" {
				t *= max(0.5+0.6*float64(k.thin.at(float32(at*12), v*5)), 0)
			}
			return add(float32(t), v, g)
		})
	}
}

// words stand on nothing of this world.
var words = []string{"BLACKTAIL 6 X 1180", "RESERVE STORES", "FIT ARROW THIS WAY", "0417 / 26", "DO NOT BEND",
	"SHED 3 SHELF 2"}

// letters is a text as a picture, px high.
func letters(text string, size float64) *image.Alpha {
	f, err := opentype.Parse(gobold.TTF)
	if err != nil {
		panic(err) // the font is part of the program
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72})
	if err != nil {
		panic(err)
	}
	wide := font.MeasureString(face, text).Ceil()
	out := image.NewAlpha(image.Rect(0, 0, wide+2, int(size*1.3)+2))
	w := font.Drawer{Dst: out, Src: image.Opaque, Face: face, Dot: fixed.P(1, int(size))}
	w.DrawString(text)
	return out
}

// print stamps letters along the ribs.
func (d *render) print() {
	k, r := d.skin, d.rand
	high := 2 + 2*r.Float64()
	text := letters(words[r.IntN(len(words))], high/k.step)
	b := text.Bounds()
	x0 := r.Float64() * max(d.v.wide-high, 0.1)
	y0 := -float64(b.Dx()) * k.step * r.Float64()
	x1, y1 := x0+float64(b.Dy())*k.step, y0+float64(b.Dx())*k.step
	k.mark(x0, y0, x1, y1, func(px, py float64, v, g float32) (float32, float32) {
		a := float32(text.AlphaAt(int((py-y0)/k.step), int((px-x0)/k.step)).A) / 255
		a *= 0.7 + 0.2*k.cloth.at(float32(px*10), float32(py*10))
		return v + (2.5-v)*a*0.8, g
	})
}
