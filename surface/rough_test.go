package surface_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"slices"

	"undertray.example/undertray/surface"
)

// Rough ground, drawn for tests: what asphalt and concrete look like from a metre or so, as far as it is generally
// known. Light varies at all scales with a falling spectrum (Field 1987) and heavy tails (Simoncelli and Wainwright
// 2000: mixtures of normal values); stones cover each other as dead leaves do, their sizes by a power law (Lee,
// Mumford, Huang 2001), with a lit and a shaded rim in the binder; pits, seams, hairs, stains, oil, wet patches, soft
// shadows, worn paint, brushed lines and tyre marks lie over it; a lens, sharpening, noise and JPEG come last. Cracks
// wander at all scales, branch, change width, fade, break up into pieces that step aside, and have ragged borders with
// stones in them. All sources from memory.
type rough struct {
	w, h  int
	r     *rand.Rand
	light []float64
	sun   [2]float64 // where shade falls
}

func (g *rough) between(a, b float64) float64 { return a + (b-a)*g.r.Float64() }
func (g *rough) now(chance float64) bool      { return g.r.Float64() < chance }

// field is noise on a lattice of side s px with smooth steps between, of deviation about 1, stretched along an angle.
func (g *rough) field(s, stretch, turn float64) []float64 {
	out := make([]float64, g.w*g.h)
	c, n := math.Cos(turn), math.Sin(turn)
	diag := math.Hypot(float64(g.w), float64(g.h))
	nu, nv := int(diag/(s*stretch))+4, int(diag/s)+4
	lattice := make([]float64, nu*nv)
	for i := range lattice {
		lattice[i] = g.r.NormFloat64()
	}
	ou, ov := g.r.Float64(), g.r.Float64()
	step := func(f float64) float64 { return f * f * (3 - 2*f) }
	for y := range g.h {
		for x := range g.w {
			dx, dy := float64(x)-float64(g.w)/2, float64(y)-float64(g.h)/2
			u := (dx*c+dy*n+diag/2)/(s*stretch) + ou
			v := (dy*c-dx*n+diag/2)/s + ov
			iu, iv := int(u), int(v)
			fu, fv := step(u-float64(iu)), step(v-float64(iv))
			at := lattice[iv*nu+iu:]
			top, bottom := at[0]+fu*(at[1]-at[0]), at[nu]+fu*(at[nu+1]-at[nu])
			out[y*g.w+x] = 1.5 * (top + fv*(bottom-top))
		}
	}
	return out
}

func (g *rough) times(f func(i int) float64) {
	for i := range g.light {
		g.light[i] *= f(i)
	}
}

// roughGround draws a picture of w by h px with or without cracks.
func roughGround(r *rand.Rand, w, h int) drawn {
	g := &rough{w: w, h: h, r: r, light: make([]float64, w*h)}
	turn := 2 * math.Pi * r.Float64()
	g.sun = [2]float64{math.Cos(turn), math.Sin(turn)}
	base := g.between(0.3, 0.6)
	for i := range g.light {
		g.light[i] = base
	}
	g.grain(g.between(0.04, 0.18))
	if g.now(0.85) {
		if g.now(0.6) { // stones stand close, lighter than the binder between them
			g.stones(g.between(1, 3), g.between(0.05, 0.25), g.between(0.05, 0.5), g.between(1, 1.8))
		} else {
			g.stones(g.between(0.2, 1.5), g.between(0.05, 0.25), g.between(0.1, 0.6), 1)
		}
	}
	g.pits(g.between(0, 5), g.between(0.2, 0.7))
	if g.now(0.6) {
		g.seams(g.between(0.05, 0.45))
	}
	if g.now(0.5) {
		g.hairs(g.between(0.05, 0.7), g.between(0.15, 0.5))
	}
	if g.now(0.15) {
		lines, k := g.field(g.between(1, 2.5), 30, math.Pi*r.Float64()), g.between(0.01, 0.05)
		g.times(func(i int) float64 { return math.Exp(k * lines[i]) })
	}
	g.patches()
	d := drawn{truth: make([]bool, w*h)}
	if !g.now(0.12) {
		g.cracks(&d)
	}
	g.lighting()
	g.light = smear(g.light, w, g.between(0.4, 1.2))
	if g.now(0.5) { // cameras sharpen
		k, soft := g.between(0.2, 1.2), smear(g.light, w, g.between(0.8, 1.5))
		for i, v := range soft {
			g.light[i] += k * (g.light[i] - v)
		}
	}
	d.picture = surface.Picture{Width: w, Height: h,
		Light: compressed(g.light, w, g.between(0.002, 0.02), 60+r.IntN(36), r)}
	return d
}

// grain multiplies by light at all scales from a pixel on.
func (g *rough) grain(size float64) {
	fall := g.between(0.1, 0.9) // power of the scale by which light gets weaker
	sum, total := make([]float64, len(g.light)), 0.0
	for s := 1.3; s < 60; s *= 2 {
		k := math.Pow(s, -fall)
		total += k * k
		for i, v := range g.field(s, 1, math.Pi*g.r.Float64()) {
			sum[i] += k * v
		}
	}
	heavy, k := g.field(g.between(3, 12), 1, 0), g.between(0, 0.7)
	skew := g.between(-0.3, 0.15)
	g.times(func(i int) float64 {
		v := sum[i] / math.Sqrt(total) * math.Exp(k*heavy[i]-k*k/2)
		return math.Exp(size * (v + skew*(v*v-1)))
	})
}

// stones lays stones over each other, so many times the area of the ground in all, lighter than it by a factor.
func (g *rough) stones(cover, uneven, rim, lighter float64) {
	ground := slices.Clone(g.light)
	for i := range g.light {
		g.light[i] /= lighter
	}
	least, most := g.between(0.9, 3), g.between(3.5, 11)
	for area := cover * float64(g.w*g.h); area > 0; {
		// Radius by a power law of -3.
		u := g.r.Float64()
		a := 1 / math.Sqrt(1/(least*least)+u*(1/(most*most)-1/(least*least)))
		area -= math.Pi * a * a
		b, turn := a*g.between(0.6, 1), math.Pi*g.r.Float64()
		cx, cy := float64(g.w)*g.r.Float64(), float64(g.h)*g.r.Float64()
		own := math.Exp(uneven * g.r.NormFloat64())
		if g.now(0.05) {
			own *= g.between(1, 1.5)
		}
		corner, phase, c, s := g.between(0, 0.25), 2*math.Pi*g.r.Float64(), math.Cos(turn), math.Sin(turn)
		depth, band := rim*g.r.Float64(), g.between(0.7, 1.6)
		far := int(a+band) + 2
		for y := max(0, int(cy)-far); y <= min(g.h-1, int(cy)+far); y++ {
			for x := max(0, int(cx)-far); x <= min(g.w-1, int(cx)+far); x++ {
				dx, dy := float64(x)-cx, float64(y)-cy
				p, q := dx*c+dy*s, dy*c-dx*s
				from := math.Hypot(p/a, q/b) * (1 + corner*math.Cos(3*math.Atan2(q, p)+phase))
				i := y*g.w + x
				out := (from - 1) * b // px beyond its border, about
				switch side := (dx*g.sun[0] + dy*g.sun[1]) / max(math.Hypot(dx, dy), 0.5); {
				case out < 0:
					g.light[i] = ground[i] * own * (1 - 0.3*depth*side*min(1, from))
				case out < band:
					g.light[i] *= 1 - depth*(0.45+0.55*side)*(1-out/band)
				}
			}
		}
	}
}

// seams darken ground along crooked lines that close upon themselves and run out: gaps that weather opens between
// stones, crazed skin, rims of dried water. They are where a noise is near 0 (ridged noise, Musgrave 1994).
func (g *rough) seams(depth float64) {
	s := g.between(3, 14)
	f, fine, where := g.field(s, 1, 0), g.field(s/2.5, 1, 0), g.field(g.between(1, 5)*s, 1, 0)
	wide, some := g.between(0.08, 0.35), g.between(-0.5, 1)
	g.times(func(i int) float64 {
		return 1 - depth*max(0, 1-math.Abs(f[i]+0.4*fine[i])/wide)*min(max(where[i]-some+0.5, 0), 1)
	})
}

// pits sets dark holes, longer than wide.
func (g *rough) pits(each, depth float64) {
	for range int(each * float64(g.w*g.h) / 1000) {
		b := 0.5 / math.Sqrt(0.06+g.r.Float64())
		g.spot(float64(g.w)*g.r.Float64(), float64(g.h)*g.r.Float64(), b*g.between(1, 3), b, math.Pi*g.r.Float64(),
			1-depth*g.r.Float64(), 0.5)
	}
}

// hairs sets short dark lines that nobody calls a crack: scratches, straws, rows of pores, edges of stones.
func (g *rough) hairs(each, depth float64) {
	for range int(each * float64(g.w*g.h) / 1000) {
		x, y, way := float64(g.w)*g.r.Float64(), float64(g.h)*g.r.Float64(), 2*math.Pi*g.r.Float64()
		bend, wide, dark := 0.15*g.r.NormFloat64(), g.between(0.4, 1.2), depth*g.r.Float64()
		for range int(5 + 25*g.r.Float64()*g.r.Float64()) {
			g.spot(x, y, 0.8, wide, way, 1-dark*g.r.Float64(), 0.3)
			way += bend + 0.25*g.r.NormFloat64()
			x, y = x+math.Cos(way), y+math.Sin(way)
		}
	}
}

// spot multiplies an ellipse with a soft border.
func (g *rough) spot(cx, cy, a, b, turn, k, soft float64) {
	c, s, far := math.Cos(turn), math.Sin(turn), int(max(a, b)+4*soft)+1
	for y := max(0, int(cy)-far); y <= min(g.h-1, int(cy)+far); y++ {
		for x := max(0, int(cx)-far); x <= min(g.w-1, int(cx)+far); x++ {
			dx, dy := float64(x)-cx, float64(y)-cy
			out := (math.Hypot((dx*c+dy*s)/a, (dy*c-dx*s)/b) - 1) * b
			g.light[y*g.w+x] *= 1 - (1-k)/(1+math.Exp(out/soft*2))
		}
	}
}

func (g *rough) patches() {
	soft := func(v, edge float64) float64 { return 1 / (1 + math.Exp(-v/edge)) }
	for range g.r.IntN(3) { // stains and wet patches with crooked borders
		f, fine := g.field(g.between(25, 90), 1, 0), g.field(g.between(4, 10), 1, 0)
		k, at, edge, crooked := g.between(0.05, 0.35), g.between(0.5, 2), g.between(0.03, 0.4), g.between(0, 0.2)
		g.times(func(i int) float64 { return 1 - k*soft(f[i]+crooked*fine[i]-at, edge) })
	}
	if g.now(0.3) { // drops of oil
		for range 1 + g.r.IntN(12) {
			a := 2 + 14*g.r.Float64()*g.r.Float64()
			g.spot(float64(g.w)*g.r.Float64(), float64(g.h)*g.r.Float64(), a*g.between(1, 1.6), a,
				math.Pi*g.r.Float64(), g.between(0.6, 0.95), g.between(0.6, 3))
		}
	}
	cross := func() func(i int) float64 {
		turn, x, y := 2*math.Pi*g.r.Float64(), float64(g.w)*g.r.Float64(), float64(g.h)*g.r.Float64()
		c, s := math.Cos(turn), math.Sin(turn)
		return func(i int) float64 { return (float64(i%g.w)-x)*c + (float64(i/g.w)-y)*s }
	}
	if g.now(0.15) { // a painted line, worn
		u, wide, worn, rag := cross(), g.between(12, 40), g.field(g.between(2, 6), 1, 0), g.field(3, 1, 0)
		k, wear := g.between(0.15, 0.7), g.between(-2.5, 0)
		g.times(func(i int) float64 {
			return 1 + k*soft(wide/2-math.Abs(u(i)+0.7*rag[i]), 0.4)*soft(worn[i]-wear, 0.3)
		})
	}
	if g.now(0.15) { // a tyre's marks
		u, wide, k := cross(), g.between(10, 40), g.between(0.04, 0.2)
		g.times(func(i int) float64 { return 1 - k*soft(wide/2-math.Abs(u(i)), g.between(2, 3)) })
	}
	if g.now(0.25) { // shadow with a soft, crooked rim
		u, f, edge, crooked, k := cross(), g.field(g.between(8, 40), 1, 0), g.between(1, 8), g.between(0, 8),
			g.between(0.2, 0.6)
		g.times(func(i int) float64 { return 1 - k*soft(u(i)+crooked*f[i], edge) })
	}
}

func (g *rough) lighting() {
	turn, slant, rim := 2*math.Pi*g.r.Float64(), g.between(0, 0.5), g.between(0, 0.25)
	c, s := math.Cos(turn), math.Sin(turn)
	g.times(func(i int) float64 {
		x, y := float64(i%g.w)/float64(g.w)-0.5, float64(i/g.w)/float64(g.h)-0.5
		return (1 + slant*(x*c+y*s)) * (1 - rim*2*(x*x+y*y))
	})
}

// cracks cuts a few cracks, or a net of them.
func (g *rough) cracks(d *drawn) {
	width, depth := 1.5+4.5*g.r.Float64(), g.between(0.4, 0.8)
	n := 1 + g.r.IntN(3)
	if g.now(0.15) {
		n, width = 5+g.r.IntN(5), min(width, 2.5)
	}
	deep := make([]float64, len(g.light))
	for range n {
		x, y := float64(g.w)*g.r.Float64(), float64(g.h)*g.r.Float64()
		turn := 2 * math.Pi * g.r.Float64()
		long := g.between(80, 1.2*float64(g.w))
		wide, dark := width*g.between(0.6, 1.3), depth*g.between(0.7, 1.2)
		g.crack(d, deep, x, y, turn, long, wide, dark, 2)
		if g.now(0.6) { // on to the other side
			g.crack(d, deep, x, y, turn+math.Pi, long*g.r.Float64(), wide, dark, 2)
		}
	}
	// Stones stand in cracks, and their insides are uneven.
	f, k := g.field(g.between(1.5, 4), 1, 0), g.between(0.05, 0.5)
	g.times(func(i int) float64 { return 1 - deep[i]*min(max(1-k*max(f[i], 0), 0), 1) })
}

// crack goes on a pixel a step; branches leave it.
func (g *rough) crack(d *drawn, deep []float64, x, y, turn, long, wide, dark float64, branches int) {
	main, slow, quick := turn, 0.0, 0.0
	curve, shake := g.between(0.005, 0.03), g.between(0.05, 0.35)
	fade, breaks, gap := 1.0, g.between(0, 0.01), 0
	rag := [2]float64{}
	for s := 0.0; s < long; s++ {
		main += curve * g.r.NormFloat64()
		slow = 0.95*slow + 0.3*shake*g.r.NormFloat64()
		quick = 0.75*quick + shake*g.r.NormFloat64()
		way := main + slow + quick
		x, y = x+math.Cos(way), y+math.Sin(way)
		if x < -20 || y < -20 || x > float64(g.w)+20 || y > float64(g.h)+20 {
			return
		}
		fade = min(max(fade+0.07*g.r.NormFloat64(), 0.35), 1.15)
		if gap--; gap < -10 && g.now(breaks) {
			gap = 3 + g.r.IntN(10)
			aside := 2.5 * g.r.NormFloat64() // pieces step aside
			x, y = x-aside*math.Sin(main), y+aside*math.Cos(main)
		}
		end := min(1, (long-s)/25)
		if gap <= 0 {
			for k := range rag {
				rag[k] = 0.7*rag[k] + 0.25*g.r.NormFloat64()
			}
			half := wide / 2 * (0.5 + 0.5*min(fade, 1)) * (0.5 + 0.5*end)
			g.cut(d, deep, x, y, way, half*(1+rag[0]), half*(1+rag[1]), min(0.85, dark*fade*(0.5+0.5*end)))
		}
		if branches > 0 && g.now(0.012) {
			side := 1.0
			if g.now(0.5) {
				side = -1
			}
			g.crack(d, deep, x, y, main+side*g.between(0.4, 1.4), g.between(15, 0.5*long+15),
				max(1, wide*g.between(0.5, 0.9)), dark*g.between(0.7, 1), branches-1)
		}
	}
}

// cut darkens what lies within a px along and left and right across of a place, by rays within pixels.
func (g *rough) cut(d *drawn, deep []float64, x, y, way, left, right, dark float64) {
	c, s := math.Cos(way), math.Sin(way)
	far := int(max(left, right)) + 2
	ix, iy := int(math.Round(x)), int(math.Round(y))
	if ix >= 0 && iy >= 0 && ix < g.w && iy < g.h {
		d.truth[iy*g.w+ix] = true
	}
	for py := max(0, iy-far); py <= min(g.h-1, iy+far); py++ {
		for px := max(0, ix-far); px <= min(g.w-1, ix+far); px++ {
			in := 0.0
			for j := range 9 {
				dx, dy := float64(px)-x+(float64(j%3)-1)/3, float64(py)-y+(float64(j/3)-1)/3
				if u, v := dx*c+dy*s, dy*c-dx*s; math.Abs(u) < 0.9 && v < right && v > -left {
					in += 1. / 9
				}
			}
			i := py*g.w + px
			deep[i] = max(deep[i], in*dark)
			if in > 0.5 {
				d.truth[i] = true
			}
		}
	}
}

// compressed is what a camera keeps: noise, 256 steps, JPEG.
func compressed(light []float64, w int, noise float64, quality int, r *rand.Rand) []float64 {
	img := image.NewGray(image.Rect(0, 0, w, len(light)/w))
	for i, v := range light {
		img.Pix[i] = uint8(math.Round(255 * min(max(v+noise*r.NormFloat64(), 0), 1)))
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		panic(err)
	}
	back, err := jpeg.Decode(&b)
	if err != nil {
		panic(err)
	}
	out, pix := make([]float64, len(light)), back.(*image.Gray)
	for i := range out {
		out[i] = float64(pix.Pix[i/w*pix.Stride+i%w]) / 255
	}
	return out
}
