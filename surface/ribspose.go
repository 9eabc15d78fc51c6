package surface

import (
	"math"
)

// pose is a belt before a camera: ribs side by side in planes square to one direction, and in those planes all of one
// course, which the surface through the tips of the ribs follows. Lengths are mm by the camera's axes: x right, y down,
// z away from it.
type pose struct {
	focal     float64 // px
	centre    Point   // of the picture, px
	pitch     float64 // mm
	ribs      int
	deep      float64 // mm by which a groove, as it is seen, lies below the tips
	across    vec3
	e1, e2    vec3      // along the belt and away from the camera, square to across
	at        vec3      // of the middle of its width, at 0 mm along
	knots     []float64 // mm along, evenly apart
	tilts     []float64 // at those, radians; straight between them
	nodes     []node
	from, gap float64 // of the nodes, mm along
}

// node is a place of the course.
type node struct {
	at   vec3
	tilt float64
}

type vec3 [3]float64

func (a vec3) plus(k float64, b vec3) vec3 { return vec3{a[0] + k*b[0], a[1] + k*b[1], a[2] + k*b[2]} }

func (p *pose) tiltAt(s float64) float64 {
	n := len(p.knots)
	if n == 1 {
		return p.tilts[0]
	}
	u := (s - p.knots[0]) / (p.knots[1] - p.knots[0])
	i := min(max(int(math.Floor(u)), 0), n-2)
	u = min(max(u-float64(i), -0.5), 1.5)
	return p.tilts[i] + u*(p.tilts[i+1]-p.tilts[i])
}

// walk sets the nodes from one mm along to another.
func (p *pose) walk(from, to float64) {
	n := max(4, min(200, int(math.Ceil((to-from)/1.5))+1))
	p.from, p.gap = from, (to-from)/float64(n-1)
	if cap(p.nodes) < n {
		p.nodes = make([]node, n)
	}
	p.nodes = p.nodes[:n]
	// From 0 mm both ways, by the midpoint rule.
	at := p.at
	const fine = 4
	step := p.gap / fine
	zero := -from / p.gap
	k0 := min(max(int(math.Round(zero)), 0), n-1)
	s := 0.0
	move := func(to float64, steps int) {
		d := (to - s) / float64(steps)
		for range steps {
			sn, c := math.Sincos(p.tiltAt(s + d/2))
			at = at.plus(d*c, p.e1).plus(d*sn, p.e2)
			s += d
		}
	}
	move(from+float64(k0)*p.gap, max(1, int(math.Ceil(math.Abs(from+float64(k0)*p.gap)/step))))
	first, firstS := at, s
	for k := k0; ; k++ {
		p.nodes[k] = node{at, p.tiltAt(s)}
		if k == n-1 {
			break
		}
		move(from+float64(k+1)*p.gap, fine)
	}
	at, s = first, firstS
	for k := k0 - 1; k >= 0; k-- {
		move(from+float64(k)*p.gap, fine)
		p.nodes[k] = node{at, p.tiltAt(s)}
	}
}

// place is a point of the belt: mm across from the middle of its width, a place of the course (nodes, with fractions),
// mm below the tips.
func (p *pose) place(across, t, below float64) vec3 {
	i := min(max(int(t), 0), len(p.nodes)-2)
	f := t - float64(i)
	a, b := p.nodes[i], p.nodes[i+1]
	at := vec3{a.at[0] + f*(b.at[0]-a.at[0]), a.at[1] + f*(b.at[1]-a.at[1]), a.at[2] + f*(b.at[2]-a.at[2])}
	at = at.plus(across, p.across)
	if below != 0 {
		sn, c := math.Sincos(a.tilt + f*(b.tilt-a.tilt))
		at = at.plus(-below*sn, p.e1).plus(below*c, p.e2)
	}
	return at
}

// see is where a point lies in the picture.
func (p *pose) see(at vec3) Point {
	z := max(at[2], 1)
	return Point{p.centre.X + p.focal*at[0]/z, p.centre.Y + p.focal*at[1]/z}
}

// sighting is a groove seen somewhere.
type sighting struct {
	at    Point
	line  int     // of the frame
	sd    float64 // px
	pitch float64 // px
	t     float64 // where on the course, in nodes
	off   float64 // px by which the pose's line passes it
	fall  float64 // weight, from 1 to 0 for what is out of line
}

// offset is the distance from a sighting to its line, px, positive to the side of greater across; it remembers where.
func (p *pose) offset(s *sighting, shift float64) float64 {
	across := (float64(s.line)-float64(p.ribs)/2)*p.pitch + shift
	for range 4 {
		i := float64(min(max(int(s.t), 0), len(p.nodes)-2))
		a, b := p.see(p.place(across, i, p.deep)), p.see(p.place(across, i+1, p.deep))
		way := b.minus(a)
		l2 := way.dot(way)
		u := s.at.minus(a).dot(way) / l2
		d := (way.Y*(s.at.X-a.X) - way.X*(s.at.Y-a.Y)) / math.Sqrt(l2)
		t := i + u
		if (u >= 0 && u <= 1) || math.Abs(t-s.t) < 1e-6 || t < 0 || t > float64(len(p.nodes)-1) {
			s.t = min(max(t, 0), float64(len(p.nodes)-1)-1e-9)
			return d
		}
		s.t = t
	}
	// Between two pieces that both send on: the last distance will do.
	i := float64(min(max(int(s.t), 0), len(p.nodes)-2))
	a, b := p.see(p.place(across, i, p.deep)), p.see(p.place(across, i+1, p.deep))
	way, _ := b.minus(a).unit()
	return way.Y*(s.at.X-a.X) - way.X*(s.at.Y-a.Y)
}
