package drawn

import "math"

// lit is how bright clean rubber is over the belt: a table by place across and station along, of what comes back
// evenly and of what shines.
type lit struct {
	perRib, wide, long int
	first, step        float64 // mm along
	even, sheen        []float32
}

const (
	perRib = 64
	rubber = 0.09 // of the light comes back evenly from black rubber; common practice: a twentieth to an eighth
)

func newLit(s *Scene, belt *section, v *view, first, end float64) *lit {
	l := &lit{perRib: perRib, wide: s.Ribs*perRib + 1, first: first, step: 1.5}
	l.long = int((end-first)/l.step) + 2
	l.even, l.sheen = make([]float32, l.wide*l.long), make([]float32, l.wide*l.long)
	side, up := math.Cos(s.Above), math.Sin(s.Above)
	lamp := vec{side * math.Cos(s.From), side * math.Sin(s.From), up}.times(s.Distance)
	for j := range l.long {
		along := first + float64(j)*l.step
		oy, oz := v.course.outward(along)
		ahead := vec{0, oz, -oy} // along the belt
		for i := range l.wide {
			across := float64(i) / perRib * s.Pitch
			below := belt.at(across)
			py, pz := v.course.place(along, below)
			p := vec{across - v.wide/2, py, pz}
			l.even[j*l.wide+i], l.sheen[j*l.wide+i] = s.shine(belt, across, p, lamp, v.eye, vec{0, oy, oz}, ahead)
		}
	}
	return l
}

// shine is the light that comes back from a point of the belt, evenly and as sheen.
func (s *Scene) shine(belt *section, across float64, p, lamp, eye, out, ahead vec) (even, sheen float32) {
	fall := belt.slope(across)
	n := vec{fall, 0, 0}.add(out).unit()
	i := int(across/s.Pitch*steps) % steps
	left, right := belt.left[i], belt.right[i]
	const edge = 0.25 // no rib stands beside the belt
	if across < edge*s.Pitch {
		left = 0
	}
	if across > (float64(s.Ribs)-edge)*s.Pitch {
		right = 0
	}
	to := lamp.sub(p)
	far := to.dot(to) / (s.Distance * s.Distance)
	d := to.unit()
	height, aside := d.dot(out), d.x
	shade := 0.0
	if height > 0 { // the steepness at which the lamp is seen in the cut, against what stands there
		way := right
		if aside < 0 {
			way = left
		}
		shade = smooth(-0.12, 0.12, math.Atan2(height, math.Abs(aside))-math.Atan(way))
	}
	direct := (1 - s.Diffuse) * shade * max(n.dot(d), 0) / far
	// What of the sky is seen between what stands left and right, weighted by the cosine to the normal.
	lean := math.Atan(fall)
	a, b := min(math.Pi/2-math.Atan(left)+lean, math.Pi/2), min(math.Pi/2-math.Atan(right)-lean, math.Pi/2)
	sky := s.Diffuse * max(math.Sin(a)+math.Sin(b), 0) / 2
	even = float32(rubber * (direct + sky))
	w := eye.sub(p).unit()
	h := w.add(d).unit()
	nl, nv, nh := n.dot(d), n.dot(w), n.dot(h)
	if nl > 0 && nv > 0 {
		alpha := s.Rough * s.Rough
		// A belt is ground along: it spreads light across more than along.
		k := nh*nh*(alpha*alpha-1) + 1
		spread := alpha * alpha / (math.Pi * k * k)
		fresnel := 0.04 + 0.96*math.Pow(1-max(w.dot(h), 0), 5)
		shadow := 1 / ((nl + alpha/2) * (nv + alpha/2))
		sheen = float32(s.Sheen * (1 - s.Diffuse) * shade / far * spread * fresnel * nl / 4 * min(shadow, 8) * math.Pi)
	}
	// The sky shines too, more at a flat angle.
	sheen += float32(s.Sheen * sky * 0.03 * (1 + 4*math.Pow(1-max(nv, 0), 3)))
	return even, sheen
}

// at is both tables at a place.
func (l *lit) at(ribs, along float32) (even, sheen float32) {
	x, y := ribs*float32(l.perRib), (along-float32(l.first))/float32(l.step)
	ix, iy := min(max(int(x), 0), l.wide-2), min(max(int(y), 0), l.long-2)
	fx, fy := min(max(x-float32(ix), 0), 1), min(max(y-float32(iy), 0), 1)
	i := iy*l.wide + ix
	e, g := l.even[i:i+l.wide+2], l.sheen[i:i+l.wide+2]
	w := l.wide
	a, b := e[0]+(e[1]-e[0])*fx, e[w]+(e[w+1]-e[w])*fx
	c, d := g[0]+(g[1]-g[0])*fx, g[w]+(g[w+1]-g[w])*fx
	return a + (b-a)*fy, c + (d-c)*fy
}

// shown is the value of a light in the picture, by the curve of sRGB; linear is its inverse.
func shown(light float64) float64 {
	if light <= 0.0031308 {
		return 12.92 * max(light, 0)
	}
	return 1.055*math.Pow(min(light, 1), 1/2.4) - 0.055
}

func linear(value float64) float64 {
	if value <= 0.04045 {
		return value / 12.92
	}
	return math.Pow((value+0.055)/1.055, 2.4)
}
