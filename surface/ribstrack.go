package surface

import (
	"math"
	"slices"
)

const (
	perPitch = 16 // samples of a section to a pitch
	farRibs  = 12 // pitches that a section reaches to each side
	sectionN = 2*farRibs*perPitch + 1
)

// section is the light along a line across ribs, in steps of a sixteenth of a pitch from farRibs pitches before the
// middle to as far behind it; what lies outside the picture is NaN.
type section [sectionN]float64

// place is where ribs are crossed. Lengths are px of the whole picture.
type place struct {
	at    Point
	along Point   // unit vector; across is a quarter turn from it
	pitch float64 // px
	fit   float64 // correlation with the mean section
	light section
}

func (p place) across() Point { return Point{p.along.Y, -p.along.X} }

// on is a point u pitches across and v pitches along from a place.
func (p place) on(u, v float64) Point {
	a := p.across()
	return Point{p.at.X + p.pitch*(u*a.X+v*p.along.X), p.at.Y + p.pitch*(u*a.Y+v*p.along.Y)}
}

// take reads a place's section as a mean over a length of half pitches to both sides along it.
func (p *place) take(l *layer, half float64, lines int) { p.takePart(l, half, lines, 0, sectionN) }

// takePart reads some of its samples.
func (p *place) takePart(l *layer, half float64, lines, from, to int) {
	a := p.across()
	step, k := p.pitch/perPitch, 1/float64(lines)
	gap := 2 * half * p.pitch * k
	back := gap * (float64(lines) - 1) / 2
	for i := from; i < to; i++ {
		u := float64(i-farRibs*perPitch) * step
		x, y := p.at.X+u*a.X, p.at.Y+u*a.Y
		if !l.inside(Point{x, y}, 0.5*float64(l.by)) {
			p.light[i] = math.NaN()
			continue
		}
		x, y = x-back*p.along.X, y-back*p.along.Y
		sum := 0.0
		for range lines {
			sum += l.at(x, y)
			x, y = x+gap*p.along.X, y+gap*p.along.Y
		}
		p.light[i] = sum * k
	}
}

// belt is a bundle of ribs as it was followed through a picture.
type belt struct {
	layer    *layer
	places   []place // along it
	from, to int     // samples of the sections that were compared
	mean     section
	wide     section // median of all, light evened out along the belt
	spread   section // by how much it varies along it
	first    float64 // the sample of the first line
	step     float64 // samples from one line to the next
	ribs     int
	clear    float64 // how clearly the belt stands out of what is beside it, per sample
	fine     bool    // it was followed once more
}

// start makes a place of a square of stripes: its direction and pitch are tried out. ok is false where two pitches
// side by side aren't alike.
func start(all []*layer, s stripes) (b belt, p place, ok bool) {
	l := finest(all, s.period, 12)
	b.layer = l
	best := -1.0
	for k := -5; k <= 5; k++ {
		turn := float64(k) * 0.02
		c, sn := math.Cos(turn), math.Sin(turn)
		a := Point{s.across.X*c - s.across.Y*sn, s.across.X*sn + s.across.Y*c}
		q := place{at: s.at, along: downward(Point{-a.Y, a.X}), pitch: s.period}
		const from, to = (farRibs - 2) * perPitch, (farRibs + 2) * perPitch
		q.takePart(l, 2, 10, from, to)
		if v := swing(q.light[:], from, to); v > best {
			best, p = v, q
		}
	}
	p.take(l, 2, 16)
	for range 2 {
		lag, ok := p.lag()
		if !ok {
			return b, p, false
		}
		p.pitch *= lag / perPitch
		b.layer = finest(all, p.pitch, 12)
		p.take(b.layer, 2, 16)
	}
	b.from, b.to = p.bracket()
	b.mean = p.light
	return b, p, b.to-b.from >= 2*perPitch
}

// downward is a direction or its opposite, the one that leads down the picture, or to the right where it does neither.
func downward(a Point) Point {
	if a.Y < -1e-9 || math.Abs(a.Y) <= 1e-9 && a.X < 0 {
		return a.times(-1)
	}
	return a
}

// swing is the variance of samples; 0 where some lie outside the picture.
func swing(v []float64, from, to int) float64 {
	sum, square, n := 0.0, 0.0, float64(to-from)
	for _, x := range v[from:to] {
		sum, square = sum+x, square+x*x
	}
	if x := square/n - sum*sum/n/n; x > 0 {
		return x
	}
	return 0
}

// lag is the shortest shift, in samples, at which a section is about as like itself around its middle as at any.
func (p *place) lag() (float64, bool) {
	const c, wing, first, last = farRibs * perPitch, 2 * perPitch, perPitch * 3 / 8, perPitch * 9 / 4
	var r [last + 2]float64
	most := 0.0
	peak := func(k int) bool { return r[k] >= r[k-1] && r[k] > r[k+1] }
	for k := first - 1; k < len(r); k++ {
		r[k] = correlation(p.light[c-wing-k/2:c+wing-k/2], p.light[c-wing-k/2+k:])
	}
	for k := first; k <= last; k++ {
		if peak(k) {
			most = max(most, r[k])
		}
	}
	for k := first; k <= last; k++ {
		if peak(k) && r[k] > 0.3 && r[k] > 0.88*most {
			return float64(k) + 0.5*(r[k-1]-r[k+1])/(r[k-1]-2*r[k]+r[k+1]), true
		}
	}
	return 0, false
}

// correlation of a with as many values of b; 0 where any is missing or nothing changes.
func correlation(a, b []float64) float64 {
	b = b[:len(a)]
	var sa, sb, aa, bb, ab float64
	for i, x := range a {
		y := b[i]
		sa, sb, aa, bb, ab = sa+x, sb+y, aa+x*x, bb+y*y, ab+x*y
	}
	n := float64(len(a))
	d := (aa - sa*sa/n) * (bb - sb*sb/n)
	if !(d > 1e-9) {
		return 0
	}
	return (ab - sa*sb/n) / math.Sqrt(d)
}

// bracket is the range of samples around the middle over which each pitch is like the next one.
func (p *place) bracket() (from, to int) {
	const c = farRibs * perPitch
	ok := func(i int) bool {
		return i >= 0 && i+2*perPitch <= sectionN &&
			correlation(p.light[i:i+perPitch], p.light[i+perPitch:]) > 0.6
	}
	middle := -1
	for d := 0; d <= 2*perPitch && middle < 0; d++ {
		if ok(c - perPitch + d) {
			middle = c - perPitch + d
		} else if ok(c - perPitch - d) {
			middle = c - perPitch - d
		}
	}
	if middle < 0 {
		return c, c
	}
	for from = middle; ok(from - 1); from-- {
	}
	for to = middle; ok(to + 1); to++ {
	}
	return from, to + 2*perPitch
}

// follow walks from a place to both sides as long as the sections agree.
func (b *belt) follow(p place) {
	p.fit = 1
	forth := b.walk(p)
	back := p
	back.along = p.along.times(-1)
	slices.Reverse(back.light[:])
	slices.Reverse(b.mean[:])
	b.from, b.to = sectionN-b.to, sectionN-b.from
	other := b.walk(back)
	for i := range other {
		other[i].along = other[i].along.times(-1)
		slices.Reverse(other[i].light[:])
	}
	b.from, b.to = sectionN-b.to, sectionN-b.from
	slices.Reverse(b.mean[:])
	slices.Reverse(other)
	b.places = append(append(other, p), forth...)
}

const followStep = 0.5 // pitches

func (b *belt) walk(p place) []place {
	var out []place
	path := []Point{p.at}
	missed := 0
	for len(out) < 2000 {
		q := p
		q.at = p.on(0, followStep)
		if !b.layer.inside(q.on(float64(b.from-farRibs*perPitch)/perPitch, 0), 0) ||
			!b.layer.inside(q.on(float64(b.to-1-farRibs*perPitch)/perPitch, 0), 0) {
			break
		}
		b.register(&q)
		if q.fit < 0.5 {
			if missed++; missed > 6 {
				break
			}
			// The direction and pitch of before, through what hides them.
			q.at, q.along, q.pitch = p.on(0, followStep), p.along, p.pitch
		} else {
			missed = 0
		}
		path = append(path, q.at)
		if k := min(len(path)-1, 10); k >= 3 && missed == 0 {
			if way, ok := direction(path[len(path)-1-k:]); ok {
				q.along = way
			}
		}
		out = append(out, q)
		p = q
	}
	return out[:len(out)-min(missed, len(out))]
}

// direction is that of a straight line through points, weighted towards the last.
func direction(path []Point) (Point, bool) {
	var n, sx, sy, st, stt, sxt, syt float64
	for i, p := range path {
		t, w := float64(i), 1.0
		n, sx, sy, st = n+w, sx+w*p.X, sy+w*p.Y, st+w*t
		stt, sxt, syt = stt+w*t*t, sxt+w*t*p.X, syt+w*t*p.Y
	}
	return Point{sxt - st*sx/n, syt - st*sy/n}.unit()
}

// register moves a place across the ribs and changes its pitch until its section lies on the mean one: least squares
// over shift, stretch, gain and offset.
func (b *belt) register(q *place) {
	const c = farRibs * perPitch
	for range 6 {
		q.takePart(b.layer, 0.4, 5, b.from, b.to)
		var a [4][4]float64
		var right [4]float64
		for i := max(b.from, 1); i < min(b.to, sectionN-1); i++ {
			v, m := q.light[i], b.mean[i]
			if math.IsNaN(v) || math.IsNaN(m) {
				continue
			}
			slope := (b.mean[i+1] - b.mean[i-1]) / 2 * perPitch
			if math.IsNaN(slope) {
				continue
			}
			f := [4]float64{1, m, slope, slope * float64(i-c) / perPitch}
			for j := range f {
				for k := range f {
					a[j][k] += f[j] * f[k]
				}
				right[j] += f[j] * v
			}
		}
		x, ok := solve([][]float64{a[0][:], a[1][:], a[2][:], a[3][:]}, right[:], 1e-9)
		if !ok || x[1] <= 0 {
			q.fit = 0
			return
		}
		shift, stretch := min(max(-x[2]/x[1], -0.25), 0.25), min(max(-x[3]/x[1], -0.03), 0.03)
		q.at = q.on(shift, 0)
		q.pitch *= 1 + stretch
		if math.Abs(shift) < 0.005 && math.Abs(stretch) < 0.001 {
			break
		}
	}
	q.take(b.layer, 0.4, 5)
	q.fit = correlation(b.mean[b.from:b.to], q.light[b.from:b.to])
	if q.fit > 0.7 {
		for i, v := range q.light {
			if !math.IsNaN(v) && !math.IsNaN(b.mean[i]) {
				b.mean[i] += 0.1 * (v - b.mean[i])
			} else if !math.IsNaN(v) {
				b.mean[i] = v
			}
		}
	}
}
