package drawn

import (
	"image"
	"math"
	"math/rand/v2"
)

// OddCount is how many things that are no ribbed belt there are to draw: Odd(0) to Odd(OddCount-1).
const OddCount = 200

// pattern is how light a plane is at a place; one unit is a stripe, tile or letter's height or so.
type pattern func(x, y float64) float64

// odd is a kind of thing: how it is drawn by lot, and how many units are across the picture, from and to.
type odd struct {
	kind     string
	from, to float64
	draw     func(r *rand.Rand, c *cloth) pattern
}

// Odd draws something that is no ribbed belt with its ribs up, and says what.
func Odd(seed uint64) (kind string, picture *image.Gray) {
	r := rand.New(rand.NewPCG(seed, 0x0dd))
	o := odds[seed%uint64(len(odds))]
	c := newCloth(r, 256, map[int]float64{1: 0.6, 2: 0.7, 4: 0.8, 8: 0.6, 16: 0.6})
	p := o.draw(r, c)
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	long := between(700, 1000)
	f := newFilm(int(long), int(long*between(0.6, 0.8)))
	if r.IntN(2) == 0 {
		f = newFilm(f.high, f.wide)
	}
	unit := long / math.Exp(between(math.Log(o.from), math.Log(o.to)))
	look := aim(r, unit, float64(f.wide), float64(f.high))
	side, fall := between(-math.Pi, math.Pi), between(0, 0.35)
	ss, cs := math.Sincos(side)
	for y := range f.high {
		for x := range f.wide {
			sum := 0.0
			for k := range 4 {
				u, v := look(float64(x)+0.5*float64(k&1), float64(y)+0.5*float64(k>>1))
				sum += p(u, v)
			}
			lit := 1 + fall*((float64(x)/long-0.5)*cs+(float64(y)/long-0.5)*ss)*2
			f.light[y*f.wide+x] = float32(sum / 4 * lit)
		}
	}
	f.blur(between(0.3, 1.4))
	s := Scene{Noise: math.Exp(between(math.Log(0.004), math.Log(0.02)))}
	return o.kind, f.take(r, s.noise(), 60+r.IntN(36))
}

// aim looks at a plane from a distance, tilted.
func aim(r *rand.Rand, unit, wide, high float64) func(x, y float64) (u, v float64) {
	turned := 0.15 * r.NormFloat64()
	if r.IntN(3) == 0 {
		turned = r.Float64() * 2 * math.Pi
	}
	tilt, way := 0.6*r.Float64()*r.Float64(), r.Float64()*2*math.Pi
	s, c := math.Sincos(turned)
	kx, ky := tilt*math.Cos(way)/max(wide, high), tilt*math.Sin(way)/max(wide, high)
	ou, ov := r.Float64()*100, r.Float64()*100
	return func(x, y float64) (u, v float64) {
		x, y = x-wide/2, y-high/2
		w := 1 / (unit * (1 + kx*x + ky*y))
		x, y = x*w, y*w
		return x*c - y*s + ou, x*s + y*c + ov
	}
}

// part is where in its cell a coordinate is, 0 to 1, and which cell.
func part(x float64) (at float64, cell int) {
	f := math.Floor(x)
	return x - f, int(f)
}

// hash is a number from 0 to 1 that belongs to a cell.
func hash(a, b int) float64 {
	h := uint64(a)*0x9e3779b97f4a7c15 ^ uint64(b)*0xc2b2ae3d27d4eb4f
	h ^= h >> 29
	h *= 0xbf58476d1ce4e5b9
	h ^= h >> 32
	return float64(h>>11) / (1 << 53)
}

// bar is 1 within a share of a cell, with soft sides.
func bar(at, share, soft float64) float64 {
	d := math.Abs(at - 0.5)
	return 1 - smooth(share/2-soft, share/2+soft, d)
}

func (c *cloth) f(x, y float64) float64 { return float64(c.at(float32(x), float32(y))) }

// round is the light on a bar or cable seen from the side, at -1 to 1 across it, lit from one side.
func round(t, side float64) float64 {
	n := math.Sqrt(max(1-t*t, 0))
	return max(side*t+math.Sqrt(1-side*side)*n, 0)
}

// plain makes a kind of a pattern that is drawn by no lot but its noise.
func plain(p func(x, y float64, c *cloth) float64) func(*rand.Rand, *cloth) pattern {
	return func(_ *rand.Rand, c *cloth) pattern {
		return func(x, y float64) float64 { return max(p(x, y, c), 0) }
	}
}

// stripes is a kind of stripes side by side: section is the light over one stripe.
func stripes(section func(at float64, cell int) float64, grain, warp float64) func(*rand.Rand, *cloth) pattern {
	return func(r *rand.Rand, c *cloth) pattern {
		fine := 8 + 20*r.Float64()
		return func(x, y float64) float64 {
			if warp > 0 {
				x += warp * c.f(x*0.9, y*0.9)
			}
			at, cell := part(x)
			return max(section(at, cell)*(1+grain*c.f(x*fine, y*fine)), 0)
		}
	}
}

var odds = []odd{
	{"tiles", 3, 9, plain(func(x, y float64, c *cloth) float64 {
		fx, ix := part(x)
		fy, iy := part(y)
		joint := bar(fx, 0.95, 0.01) * bar(fy, 0.95, 0.01)
		return lerp(0.25, (0.5+0.15*hash(ix, iy))*(1+0.05*c.f(x*9, y*9)), joint)
	})},
	{"planks", 4, 12, plain(func(x, y float64, c *cloth) float64 {
		fx, ix := part(x)
		grain := c.f(x*25+float64(ix)*31, y*0.8)
		return lerp(0.02, (0.25+0.15*hash(ix, 1))*(1+0.25*grain), bar(fx, 0.97, 0.01))
	})},
	{"card", 15, 60, stripes(func(at float64, _ int) float64 { return 0.35 + 0.12*math.Sin(2*math.Pi*at) }, 0.05, 0)},
	{"card edge", 10, 30, plain(func(x, y float64, c *cloth) float64 {
		fy, iy := part(y / 3)
		wave := 0.5 + 0.4*math.Sin(2*math.Pi*(x+0.3*float64(iy)))
		sheet := max(1-smooth(0.05, 0.12, math.Abs(fy-wave)), bar(fy, 0.1, 0.03))
		return lerp(0.06, 0.5, sheet) * (1 + 0.1*c.f(x*12, y*12))
	})},
	{"fence", 6, 20, plain(func(x, y float64, c *cloth) float64 {
		fx, ix := part(x)
		behind := 0.15 + 0.06*c.f(x*3, y*3)
		return lerp(behind, (0.45+0.1*hash(ix, 3))*(1+0.15*c.f(x*20, y*1.2)), bar(fx, 0.7, 0.02))
	})},
	{"fins", 25, 80, plain(func(x, y float64, c *cloth) float64 {
		fy, iy := part(y / 9)
		fx, _ := part(x + 0.15*c.f(x*0.5, y) + 0.5*hash(iy, 4))
		return lerp(0.4*(1+0.1*c.f(x, y*9)), 0.02+0.5*bar(fx, 0.4, 0.15), bar(fy, 0.8, 0.03))
	})},
	{"comb", 15, 50, plain(func(x, y float64, c *cloth) float64 {
		at, _ := part(x)
		v := math.Mod(y, 40)
		back := 0.6 * (1 + 0.03*c.f(x*2, y*2))
		if v < 14 {
			return 0.05 + 0.02*c.f(x, y)
		}
		tooth := bar(at, 0.6, 0.05) * (1 - smooth(30, 31, v))
		return lerp(back, 0.06+0.1*round(2*(at-0.5), 0.4), tooth)
	})},
	{"dog", 1.2, 2.2, dog},
	{"chess", 5, 16, plain(func(x, y float64, c *cloth) float64 {
		_, ix := part(x)
		_, iy := part(y)
		return (0.06 + 0.5*float64((ix+iy)&1)) * (1 + 0.1*c.f(x*30, y*4))
	})},
	{"text", 15, 45, text},
	{"keyboard", 6, 16, plain(func(x, y float64, c *cloth) float64 {
		fy, iy := part(y)
		fx, ix := part(x + 0.25*float64(iy))
		key := bar(fx, 0.82, 0.02) * bar(fy, 0.82, 0.02)
		sign := bar(fx, 0.15+0.2*hash(ix, iy), 0.02) * bar(fy, 0.25, 0.02) * math.Round(hash(iy, ix)+0.3)
		return lerp(0.02, 0.08+0.05*(1-fy)+0.5*sign, key) * (1 + 0.05*c.f(x*20, y*20))
	})},
	{"bricks", 8, 24, plain(func(x, y float64, c *cloth) float64 {
		fy, iy := part(y)
		fx, ix := part(x/2.2 + 0.5*float64(iy&1))
		brick := bar(fx, 0.93, 0.02) * bar(fy, 0.85, 0.03)
		return lerp(0.35, 0.12+0.1*hash(ix, iy), brick) * (1 + 0.15*c.f(x*12, y*12))
	})},
	{"thread", 15, 50, plain(func(x, y float64, c *cloth) float64 {
		v := math.Mod(y, 30)/10 - 1.5
		if math.Abs(v) > 1 {
			return 0.4 * (1 + 0.05*c.f(x, y))
		}
		at, _ := part(x + 0.3*math.Asin(clamp(v, -1, 1)))
		return (0.05 + 0.45*math.Abs(at-0.5)*2*round(v, 0.5)) * (1 + 0.05*c.f(x*2, y*9))
	})},
	{"zebra", 6, 20, plain(func(x, y float64, c *cloth) float64 {
		at, _ := part(x + 0.35*c.f(x*0.8, y*0.6))
		return lerp(0.02, 0.6, bar(at, 0.5, 0.04)) * (1 + 0.15*c.f(x*9, y*25))
	})},
	{"blinds", 8, 30, stripes(func(at float64, _ int) float64 { return 0.15 + 0.6*at*bar(at, 0.9, 0.03) }, 0.02, 0)},
	{"tread", 4, 9, plain(func(x, y float64, c *cloth) float64 {
		fx, ix := part(x)
		fy, _ := part(y*1.6 + 0.4*math.Abs(fx-0.5) + 0.37*float64(ix))
		sipe, _ := part(y * 6)
		block := bar(fx, 0.8, 0.02) * bar(fy, 0.8, 0.02) * (0.4 + 0.6*bar(sipe, 0.85, 0.05))
		return (0.01 + 0.1*block) * (1 + 0.12*c.f(x*20, y*20))
	})},
	{"corduroy", 12, 50, stripes(func(at float64, _ int) float64 { return 0.04 + 0.2*bar(at, 0.6, 0.25) }, 0.25, 0.05)},
	{"ruler", 30, 120, ruler},
	{"toothed belt", 8, 30, plain(func(x, y float64, c *cloth) float64 {
		v := math.Mod(y, 14)
		if v > 5 {
			return 0.3 * (1 + 0.1*c.f(x, y))
		}
		at, _ := part(x)
		return (0.03 + 0.1*bar(at, 0.5, 0.08) + 0.12*bar(at-0.22, 0.12, 0.05)) * (1 + 0.08*c.f(x*14, y*14))
	})},
	{"noise", 100, 400, plain(func(x, y float64, c *cloth) float64 { return 0.2 + 0.1*c.f(x, y) })},
	{"black", 1, 2, plain(func(x, y float64, c *cloth) float64 { return 0.001 })},
	{"white", 1, 2, plain(func(x, y float64, c *cloth) float64 { return 1.2 })},
	{"gradient", 1, 2, func(r *rand.Rand, _ *cloth) pattern {
		a := 0.2 + 2*r.Float64()
		return func(x, y float64) float64 { return 0.3 + 0.25*math.Sin(a*x+0.4*y) }
	}},
	{"cables", 6, 20, plain(func(x, y float64, c *cloth) float64 {
		at, i := part(x + 0.06*c.f(x*0.1, y*0.5))
		if j := ((i % 12) + 12) % 12; j > 6 {
			return 0.3 * (1 + 0.1*c.f(x*3, y*3))
		}
		t := 2*at - 1
		return (0.05+0.3*hash(i, 9))*round(t, 0.5) + 0.3*math.Pow(round(t, 0.3), 40)*hash(i, 8)
	})},
	{"bars of a code", 20, 80, plain(func(x, y float64, c *cloth) float64 {
		_, i := part(x)
		if math.Mod(y, 60) > 25 {
			return 0.7
		}
		return 0.7 * math.Round(hash(i, 77))
	})},
	{"grass", 10, 30, plain(func(x, y float64, c *cloth) float64 {
		return 0.15 + 0.1*c.f(x*8+2*c.f(x, y), y*1.2)
	})},
	{"gravel", 15, 60, plain(func(x, y float64, c *cloth) float64 {
		return stones(x, y, 0.02) * (1 + 0.1*c.f(x*9, y*9))
	})},
	{"sky", 1, 3, plain(func(x, y float64, c *cloth) float64 { return 0.45 + 0.08*c.f(x*6, y*9) })},
	{"corrugated roof", 8, 30, stripes(func(at float64, _ int) float64 {
		return 0.1 + 0.5*round(2*at-1, 0.8)
	}, 0.08, 0)},
	{"grating", 8, 25, plain(func(x, y float64, c *cloth) float64 {
		fx, _ := part(x)
		fy, _ := part(y / 3)
		return lerp(0.02, 0.4*(1+0.1*c.f(x*9, y*9)), max(1-bar(fx, 0.75, 0.02), 1-bar(fy, 0.9, 0.01)))
	})},
	{"spring", 8, 25, plain(func(x, y float64, c *cloth) float64 {
		v := math.Mod(y, 12)/3 - 2
		if math.Abs(v) > 1 {
			return 0.3 * (1 + 0.08*c.f(x, y))
		}
		at, _ := part(x + 0.2*v)
		return 0.02 + 0.5*bar(at, 0.7, 0.01)*round(clamp((at-0.5)/0.35, -1, 1), 0.4)*(0.5+0.5*round(v, 0.2))
	})},
	{"books", 10, 25, plain(func(x, y float64, c *cloth) float64 {
		at, i := part(x)
		mark, _ := part(y / (3 + 2*hash(i, 2)))
		back := (0.05 + 0.5*hash(i, 5)) * bar(at, 0.96, 0.03) * (1 + 0.05*c.f(x*9, y*9))
		return back + 0.3*bar(mark, 0.1, 0.01)*bar(at, 0.6, 0.02)
	})},
	{"piano", 8, 25, plain(func(x, y float64, c *cloth) float64 {
		at, i := part(x)
		white := 0.7 * bar(at, 0.96, 0.01)
		black, k := part(x + 0.5)
		if j := ((k % 7) + 7) % 7; j != 0 && j != 3 && math.Mod(y, 20) < 12 {
			return lerp(white, 0.02, bar(black, 0.55, 0.02))
		}
		return white * (1 + 0.01*hash(i, 0))
	})},
	{"stairs", 5, 15, stripes(func(at float64, _ int) float64 {
		if at > 0.45 {
			return 0.45
		}
		return 0.2
	}, 0.08, 0)},
	{"hatching", 20, 70, stripes(func(at float64, cell int) float64 {
		return 0.75 - 0.6*bar(at, 0.15+0.1*hash(cell, 6), 0.05)
	}, 0.03, 0.06)},
	{"wood", 6, 20, plain(func(x, y float64, c *cloth) float64 {
		at, _ := part(x + 0.8*c.f(x*0.3, y*0.08))
		return 0.15 + 0.12*at + 0.03*c.f(x*20, y*0.8)
	})},
	{"weave", 25, 90, plain(func(x, y float64, c *cloth) float64 {
		fx, ix := part(x)
		fy, iy := part(y)
		over := round(2*fx-1, 0.3)
		if (ix+iy)&1 == 0 {
			over = round(2*fy-1, 0.3)
		}
		return (0.03 + 0.25*over) * (1 + 0.12*c.f(x*9, y*9))
	})},
	{"mesh", 6, 20, plain(func(x, y float64, c *cloth) float64 {
		a, _ := part(x + y)
		b, _ := part(x - y)
		return lerp(0.2+0.08*c.f(x*2, y*2), 0.5, max(bar(a, 0.12, 0.02), bar(b, 0.12, 0.02)))
	})},
	{"bubbles", 8, 25, plain(func(x, y float64, c *cloth) float64 {
		fy, iy := part(y * 1.15)
		fx, _ := part(x + 0.5*float64(iy&1))
		d := math.Hypot(fx-0.5, fy-0.5) / 0.45
		return 0.3 + 0.3*round(clamp(d, 0, 1)*math.Copysign(1, fx-0.5), 0.6)*(1-smooth(0.95, 1, d)) + 0.01*c.f(x, y)
	})},
	{"flat belt", 1.5, 4, func(r *rand.Rand, c *cloth) pattern {
		t := letters(words[r.IntN(len(words))], 60)
		return func(x, y float64) float64 {
			v := math.Mod(y, 3)
			if v > 1 {
				return 0.35 * (1 + 0.1*c.f(x*30, y*30))
			}
			a := float64(t.AlphaAt(int(math.Mod(x*150, 1200)), int((v-0.3)*180)).A) / 255
			return (0.06 + 0.4*a) * (1 + 0.1*c.f(x*90, y*90))
		}
	}},
	{"grooved pulley", 10, 22, plain(func(x, y float64, c *cloth) float64 {
		v := math.Mod(y, 16)/5 - 1.6
		at, i := part(x)
		if j := ((i % 10) + 10) % 10; j > 5 || math.Abs(v) > 1 {
			return 0.2 * (1 + 0.2*c.f(x*3, y*3))
		}
		return (0.02 + 0.3*math.Abs(at-0.5)*2) * (0.2 + 0.9*math.Pow(round(v, 0.3), 3)) * (1 + 0.08*c.f(x*30, y*1.5))
	})},
	{"hand", 1.2, 2.5, plain(func(x, y float64, c *cloth) float64 {
		at, i := part(x * 2.2)
		if j := ((i % 7) + 7) % 7; j > 3 || math.Mod(y, 3) > 1.6+0.3*hash(i, 5) {
			return 0.12 * (1 + 0.2*c.f(x*5, y*5))
		}
		knuckle := math.Exp(-math.Pow((math.Mod(y, 3)-0.8)/0.05, 2))
		return 0.4 * round(2*at-1, 0.3) * (1 + 0.05*c.f(x*90, y*90) - 0.2*knuckle*math.Abs(c.f(x*4, y*60)))
	})},
	{"wall cracks", 2, 6, plain(func(x, y float64, c *cloth) float64 {
		d := math.Abs(c.f(x*1.5, y*1.5) - 0.3)
		return (0.4 + 0.05*c.f(x*20, y*20)) * (1 - 0.6*(1-smooth(0.01, 0.03, d)))
	})},
	{"stack of paper", 30, 120, stripes(func(at float64, cell int) float64 {
		return (0.5 + 0.2*hash(cell, 1)) * bar(at, 0.9, 0.08)
	}, 0.05, 0.02)},
	{"heater", 6, 16, stripes(func(at float64, _ int) float64 {
		return 0.15 + 0.5*bar(at, 0.75, 0.1)*round(2*at-1, 0.2)
	}, 0.01, 0)},
	{"street", 2, 6, plain(func(x, y float64, c *cloth) float64 {
		at, _ := part(x / 2)
		dash, _ := part(y / 2)
		paint := bar(at, 0.06, 0.003) * bar(dash, 0.6, 0.01)
		return lerp(0.12*(1+0.2*c.f(x*60, y*60)), 0.6, paint)
	})},
	{"circles", 4, 15, plain(func(x, y float64, c *cloth) float64 {
		fx, fy := math.Mod(x, 12)-6, math.Mod(y, 12)-6
		at, _ := part(math.Hypot(fx, fy) * 2)
		return 0.1 + 0.4*bar(at, 0.6, 0.1) + 0.02*c.f(x*9, y*9)
	})},
	{"saw", 10, 40, plain(func(x, y float64, c *cloth) float64 {
		at, _ := part(x)
		v := math.Mod(y, 20)
		if v < 8+0.8*at {
			return 0.4 * (1 + 0.1*c.f(x, y))
		}
		return 0.2 * (1 + 0.15*c.f(x*0.5, y*20))
	})},
	{"leaves", 3, 8, plain(func(x, y float64, c *cloth) float64 {
		return stones(x, y*0.6, 0.01) * (0.6 + 0.1*c.f(x*9, y*9))
	})},
	{"ribs of a shirt", 12, 40, plain(func(x, y float64, c *cloth) float64 {
		at, _ := part(x + 0.3*c.f(x*0.2, y*0.2))
		loop, _ := part(y * 1.5)
		return (0.1 + 0.25*bar(at, 0.6, 0.2)*(0.7+0.3*bar(loop, 0.6, 0.2))) * (1 + 0.15*c.f(x*9, y*9))
	})},
}

// stones are cells of nearest points, dark between them.
func stones(x, y, gap float64) float64 {
	_, ix := part(x)
	_, iy := part(y)
	near, next, light := 9.0, 9.0, 0.0
	for j := -1; j <= 1; j++ {
		for i := -1; i <= 1; i++ {
			px, py := float64(ix+i)+hash(ix+i, iy+j), float64(iy+j)+hash(iy+j, ix+i+7)
			d := math.Hypot(x-px, y-py)
			if d < near {
				near, next, light = d, near, hash(ix+i+3, iy+j)
			} else if d < next {
				next = d
			}
		}
	}
	return (0.1 + 0.4*light) * smooth(0, 0.15+gap, next-near)
}

// dog is a head of ellipses with fur.
func dog(r *rand.Rand, c *cloth) pattern {
	tone := 0.1 + 0.4*r.Float64()
	type oval struct{ x, y, a, b, light float64 }
	ovals := []oval{{-0.42, -0.1, 0.16, 0.36, tone * 0.5}, {0.42, -0.1, 0.16, 0.36, tone * 0.5},
		{0, 0, 0.42, 0.46, tone},
		{0, 0.25, 0.22, 0.2, tone * 1.5}, {0, 0.16, 0.08, 0.055, 0.01}, {-0.17, -0.08, 0.055, 0.05, 0.01},
		{0.17, -0.08, 0.055, 0.05, 0.01}, {-0.155, -0.095, 0.012, 0.012, 0.9}, {0.185, -0.095, 0.012, 0.012, 0.9},
		{0, 0.38, 0.06, 0.09, 0.25}}
	return func(x, y float64) float64 {
		x, y = math.Mod(x, 1.6)-0.8, math.Mod(y, 1.6)-0.8
		light := 0.25 + 0.03*c.f(x*9, y*9)
		for _, o := range ovals {
			d := math.Hypot((x-o.x)/o.a, (y-o.y)/o.b) + 0.06*c.f(x*30, y*30)
			hair := c.f((x*20+4*math.Atan2(y, x))*6, math.Hypot(x, y)*20)
			light = lerp(light, o.light*(1+0.25*hair), 1-smooth(0.95, 1.02, d))
		}
		return max(light, 0)
	}
}

// text is a page of it.
func text(r *rand.Rand, _ *cloth) pattern {
	var lines []*image.Alpha
	for range 9 {
		line := ""
		for len(line) < 60 {
			line += words[r.IntN(len(words))] + " "
		}
		lines = append(lines, letters(line, 24))
	}
	return func(x, y float64) float64 {
		_, i := part(y)
		t := lines[((i%9)+9)%9]
		u := math.Mod(x, 50)
		v, _ := part(y)
		return 0.7 - 0.65*float64(t.AlphaAt(int(u*26), int(v*32)).A)/255
	}
}

// ruler has a mark each unit, longer ones at fives and tens, and numbers.
func ruler(r *rand.Rand, c *cloth) pattern {
	var digits []*image.Alpha
	for i := range 10 {
		digits = append(digits, letters(string(rune('0'+i)), 40))
	}
	base := 0.3 + 0.4*r.Float64()
	return func(x, y float64) float64 {
		v := math.Mod(y, 30)
		if v > 20 {
			return 0.15 * (1 + 0.2*c.f(x, y))
		}
		at, i := part(x)
		long := 4.0
		if i%5 == 0 {
			long = 6
		}
		if i%10 == 0 {
			long = 8
		}
		light := base
		if v < long {
			light = lerp(base, 0.02, bar(at, 0.2, 0.04))
		}
		_, ten := part(x / 10)
		u := math.Mod(x, 10)
		if u < 4 && v > 8 && v < 14 {
			light *= 1 - float64(digits[((ten%10)+10)%10].AlphaAt(int(u*9), int((v-8)*9)).A)/260
		}
		return light
	}
}
