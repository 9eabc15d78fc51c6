package drawn

import (
	"math"
	"math/rand/v2"
	"slices"
)

// cloth is a square of noise that repeats: mean 0, standard deviation 1.
type cloth struct {
	n     int
	value []float32
}

// newCloth adds noise of several sizes, px, each as strong as its weight.
func newCloth(r *rand.Rand, n int, weights map[int]float64) *cloth {
	c := &cloth{n, make([]float32, n*n)}
	for _, size := range []int{1, 2, 4, 8, 16, 32, 64} {
		w := weights[size]
		if w == 0 {
			continue
		}
		m := n / size
		knots := make([]float32, m*m)
		for i := range knots {
			knots[i] = float32(w * (r.Float64() + r.Float64() + r.Float64() - 1.5) * 2)
		}
		for y := range n {
			ky, fy := y/size, eased(float32(y%size)/float32(size))
			up, down := knots[ky*m:ky*m+m], knots[(ky+1)%m*m:]
			for x := range n {
				kx, fx := x/size, eased(float32(x%size)/float32(size))
				k1 := (kx + 1) % m
				a := up[kx] + (up[k1]-up[kx])*fx
				b := down[kx] + (down[k1]-down[kx])*fx
				c.value[y*n+x] += a + (b-a)*fy
			}
		}
	}
	c.level()
	return c
}

func eased(t float32) float32 { return t * t * (3 - 2*t) }

func (c *cloth) level() {
	sum, square := 0.0, 0.0
	for _, v := range c.value {
		sum += float64(v)
		square += float64(v) * float64(v)
	}
	mean := sum / float64(len(c.value))
	sd := math.Sqrt(square/float64(len(c.value)) - mean*mean)
	for i, v := range c.value {
		c.value[i] = float32((float64(v) - mean) / sd)
	}
}

// at is the noise at a place, px.
func (c *cloth) at(x, y float32) float32 {
	x += 1 << 14
	y += 1 << 14
	ix, iy := int(x), int(y)
	fx, fy := x-float32(ix), y-float32(iy)
	m := c.n - 1 // n is a power of two
	x0, x1, y0, y1 := ix&m, (ix+1)&m, iy&m*c.n, (iy+1)&m*c.n
	a := c.value[y0+x0] + (c.value[y0+x1]-c.value[y0+x0])*fx
	b := c.value[y1+x0] + (c.value[y1+x1]-c.value[y1+x0])*fx
	return a + (b-a)*fy
}

// skin is what lies on the unrolled surface: how much light comes back, as a share of that of clean rubber.
type skin struct {
	wide, long  int
	step        float64 // mm
	first       float64 // mm along of the first row
	light       []float32
	gloss       []float32 // share of the sheen
	belt        *section
	ribs        int
	cloth, thin *cloth
}

func newSkin(r *rand.Rand, s *Scene, belt *section, first, end, step float64) *skin {
	k := &skin{step: step, first: first, belt: belt, ribs: s.Ribs}
	k.wide = int(float64(s.Ribs)*s.Pitch/step) + 2
	k.long = int((end-first)/step) + 2
	k.light = make([]float32, k.wide*k.long)
	k.gloss = make([]float32, k.wide*k.long)
	k.cloth = newCloth(r, 256, map[int]float64{1: 0.7, 2: 0.8, 4: 0.8, 8: 0.6, 16: 0.5})
	k.thin = newCloth(r, 256, map[int]float64{1: 0.3, 2: 1, 8: 0.3})
	return k
}

// weave lays rubber: grain, streaks along, blotches, chalk in the grooves.
func (k *skin) weave(r *rand.Rand, s *Scene) {
	grain, streak, blotch, chalk := float32(s.Grain), float32(s.Streak), float32(s.Blotch), float32(s.Chalk)
	fine := float32(k.step / 0.06)
	ox, oy := r.Float32()*200, r.Float32()*200
	deep := make([]float32, k.wide)
	rib := make([]float32, s.Ribs+1)
	for i := range rib {
		rib[i] = 1 + float32(s.Uneven)*float32(r.NormFloat64())
	}
	for x := range deep {
		deep[x] = float32(smooth(0.35, 0.95, k.belt.at(float64(x)*k.step)/k.belt.deep))
	}
	for y := range k.long {
		fy := float32(y)
		row := k.light[y*k.wide : y*k.wide+k.wide]
		gloss := k.gloss[y*k.wide : y*k.wide+k.wide]
		for x := range row {
			fx := float32(x)
			g := k.cloth.at(fx*fine+ox, fy*fine+oy)
			t := k.thin.at(fx*fine*0.8+oy, fy*fine*0.03+ox)
			b := k.cloth.at(fx*fine*0.08+oy, fy*fine*0.06+oy)
			v := max(1+grain*g+streak*t+blotch*b, 0.25) * rib[min(int(fx*float32(k.step/s.Pitch)), s.Ribs-1)]
			shine := max(1+1.5*grain*g+streak*t, 0.2)
			if chalk > 0 {
				c := chalk * deep[x] * max(0.6+0.5*b+0.25*g, 0)
				v, shine = v+c, shine/(1+2*c)
			}
			row[x], gloss[x] = v, shine
		}
	}
}

// mark changes a patch of the skin: how is asked for each place within it, by its mm across and along.
func (k *skin) mark(x0, y0, x1, y1 float64, how func(x, y float64, light, gloss float32) (float32, float32)) {
	ix0, iy0 := max(int(x0/k.step), 0), max(int((y0-k.first)/k.step), 0)
	ix1, iy1 := min(int(x1/k.step)+1, k.wide-1), min(int((y1-k.first)/k.step)+1, k.long-1)
	for y := iy0; y <= iy1; y++ {
		for x := ix0; x <= ix1; x++ {
			i := y*k.wide + x
			k.light[i], k.gloss[i] = how(float64(x)*k.step, k.first+float64(y)*k.step, k.light[i], k.gloss[i])
		}
	}
}

// spots lays specks of a size, mm, that let a share of the light back; some are long.
func (k *skin) spots(r *rand.Rand, per100 float64, size, light float64) {
	area := float64(k.wide*k.long) * k.step * k.step
	for range int(per100 * area / 100) {
		x, y := r.Float64()*float64(k.wide)*k.step, k.first+r.Float64()*float64(k.long)*k.step
		a := size * (0.3 + r.ExpFloat64())
		a = min(a, 4*size)
		b := a * (0.5 + 0.5*r.Float64())
		s, c := math.Sincos(r.Float64() * math.Pi)
		to := float32(light * (0.7 + 0.6*r.Float64()))
		k.mark(x-a, y-a, x+a, y+a, func(px, py float64, v, g float32) (float32, float32) {
			dx, dy := px-x, py-y
			d := math.Hypot((dx*c+dy*s)/a, (dy*c-dx*s)/b)
			d += 0.25 * float64(k.cloth.at(float32(px*16), float32(py*16)))
			t := float32(1 - smooth(0.5, 1, d))
			return v + (to-v)*t*0.9, g * (1 - 0.8*t)
		})
	}
}

// covering is what a line does to the light and the gloss of a place: cover is how much of it the line covers, d how
// far it is from the middle of the line, mm, below 0 on one side.
type covering func(cover float32, d float64, light, gloss float32) (float32, float32)

// line draws along a path: how much of the line covers each place, from 0 to 1, is handed on.
func (k *skin) line(path []Point, width float64, how covering) {
	reach := width/2 + 2*k.step
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range path {
		x0, x1, y0, y1 = min(x0, p.X), max(x1, p.X), min(y0, p.Y), max(y1, p.Y)
	}
	left, right := max(int((x0-reach)/k.step), 0), min(int((x1+reach)/k.step)+1, k.wide-1)
	top, foot := max(int((y0-reach-k.first)/k.step), 0), min(int((y1+reach-k.first)/k.step)+1, k.long-1)
	if left > right || top > foot {
		return
	}
	w := right - left + 1
	far := float32(reach)
	best := slices.Repeat([]float32{far}, w*(foot-top+1))
	for i := 1; i < len(path); i++ {
		a, b := path[i-1], path[i]
		dx, dy := float32(b.X-a.X), float32(b.Y-a.Y)
		length2 := dx*dx + dy*dy
		if length2 == 0 {
			continue
		}
		ix0, ix1 := int((min(a.X, b.X)-reach)/k.step), int((max(a.X, b.X)+reach)/k.step)+1
		iy0, iy1 := int((min(a.Y, b.Y)-reach-k.first)/k.step), int((max(a.Y, b.Y)+reach-k.first)/k.step)+1
		for y := max(iy0, top); y <= min(iy1, foot); y++ {
			py := float32(k.first + float64(y)*k.step - a.Y)
			row := best[(y-top)*w : (y-top+1)*w]
			for x := max(ix0, left); x <= min(ix1, right); x++ {
				px := float32(float64(x)*k.step - a.X)
				t := min(max((px*dx+py*dy)/length2, 0), 1)
				ex, ey := px-t*dx, py-t*dy
				d := ex*ex + ey*ey
				if old := row[x-left]; d < old*old {
					d = float32(math.Sqrt(float64(d)))
					if dx*py-dy*px < 0 {
						d = -d
					}
					row[x-left] = d
				}
			}
		}
	}
	for y := top; y <= foot; y++ {
		for x := left; x <= right; x++ {
			d := float64(best[(y-top)*w+x-left])
			if math.Abs(d) >= reach {
				continue
			}
			i := y*k.wide + x
			over := min(math.Abs(d)+k.step/2, width/2) - max(math.Abs(d)-k.step/2, -width/2)
			k.light[i], k.gloss[i] = how(float32(clamp(over/k.step, 0, 1)), d, k.light[i], k.gloss[i])
		}
	}
}
