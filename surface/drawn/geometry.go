package drawn

import "math"

// Point is a place: px in a picture, or mm across (X) and along (Y) on a belt.
type Point struct{ X, Y float64 }

type vec struct{ x, y, z float64 }

func (a vec) add(b vec) vec              { return vec{a.x + b.x, a.y + b.y, a.z + b.z} }
func (a vec) sub(b vec) vec              { return vec{a.x - b.x, a.y - b.y, a.z - b.z} }
func (a vec) times(k float64) vec        { return vec{a.x * k, a.y * k, a.z * k} }
func (a vec) dot(b vec) float64          { return a.x*b.x + a.y*b.y + a.z*b.z }
func (a vec) unit() vec                  { return a.times(1 / math.Sqrt(a.dot(a))) }
func (a vec) cross(b vec) vec            { return vec{a.y*b.z - a.z*b.y, a.z*b.x - a.x*b.z, a.x*b.y - a.y*b.x} }
func (m turn) apply(v vec) vec           { return vec{m[0].dot(v), m[1].dot(v), m[2].dot(v)} }
func (m turn) back(v vec) vec            { return m[0].times(v.x).add(m[1].times(v.y)).add(m[2].times(v.z)) }
func (m turn) column(x, y, z int) vec    { return m.apply(vec{float64(x), float64(y), float64(z)}) }
func lerp(a, b, t float64) float64       { return a + (b-a)*t }
func clamp(v, low, high float64) float64 { return min(max(v, low), high) }

// turn is a rotation, by its rows.
type turn [3]vec

func (m turn) then(n turn) turn { // n after m
	a, b, c := n.apply(m.column(1, 0, 0)), n.apply(m.column(0, 1, 0)), n.apply(m.column(0, 0, 1))
	return turn{{a.x, b.x, c.x}, {a.y, b.y, c.y}, {a.z, b.z, c.z}}
}

func about(axis int, angle float64) turn {
	s, c := math.Sincos(angle)
	switch axis {
	case 0:
		return turn{{1, 0, 0}, {0, c, -s}, {0, s, c}}
	case 1:
		return turn{{c, 0, s}, {0, 1, 0}, {-s, 0, c}}
	}
	return turn{{c, -s, 0}, {s, c, 0}, {0, 0, 1}}
}

// smooth goes from 0 at a to 1 at b without corners.
func smooth(a, b, x float64) float64 {
	t := clamp((x-a)/(b-a), 0, 1)
	return t * t * (3 - 2*t)
}

// course is a belt's line seen from the side: straight, an arc with its back on a pulley, straight. The surface that
// touches the tips lies on it; at 0 mm it passes the origin, with its normal along z.
type course struct {
	radius     float64 // of the tips, 0 for straight
	first, end float64 // mm along, of the arc
	sin, cos   float64 // of the angle from the arc's middle to 0 mm
	y0, z0     float64 // where 0 mm is, seen from the arc's middle
}

func newCourse(radius, middle, wrap float64) course {
	c := course{radius: radius}
	if radius <= 0 {
		return c
	}
	half := radius * wrap / 2
	c.first, c.end = middle-half, middle+half
	c.sin, c.cos = 0, 1
	y, z, angle := c.fromMiddle(0, 0)
	c.y0, c.z0 = y, z
	c.sin, c.cos = math.Sincos(angle)
	return c
}

func (c course) fromMiddle(along, below float64) (y, z, angle float64) {
	middle := (c.first + c.end) / 2
	on := clamp(along, c.first, c.end)
	angle = (on - middle) / c.radius
	s, k := math.Sincos(angle)
	return (c.radius-below)*s + (along-on)*k, (c.radius-below)*k - (along-on)*s - c.radius, angle
}

// place is where a point of the belt is, by its own axes: y along, z outwards at 0 mm.
func (c course) place(along, below float64) (y, z float64) {
	if c.radius <= 0 {
		return along, -below
	}
	y, z, _ = c.fromMiddle(along, below)
	y, z = y-c.y0, z-c.z0
	return y*c.cos - z*c.sin, y*c.sin + z*c.cos
}

// outward is the normal there.
func (c course) outward(along float64) (y, z float64) {
	if c.radius <= 0 {
		return 0, 1
	}
	_, _, angle := c.fromMiddle(along, 0)
	y, z = math.Sincos(angle)
	return y*c.cos - z*c.sin, y*c.sin + z*c.cos
}

// meet is where a ray from o along d first meets the surface so far below the tips: its length in d and the mm along.
func (c course) meet(o, d vec, below float64) (length, along float64, ok bool) {
	if c.radius <= 0 {
		if d.z >= 0 {
			return 0, 0, false
		}
		length = (-below - o.z) / d.z
		return length, o.y + length*d.y, length > 0
	}
	oy, oz := o.y*c.cos+o.z*c.sin+c.y0, o.z*c.cos-o.y*c.sin+c.z0
	dy, dz := d.y*c.cos+d.z*c.sin, d.z*c.cos-d.y*c.sin
	middle := (c.first + c.end) / 2
	half := (c.end - c.first) / 2 / c.radius
	a, b := dy*dy+dz*dz, oy*dy+(oz+c.radius)*dz
	r := c.radius - below
	if disc := b*b - a*(oy*oy+(oz+c.radius)*(oz+c.radius)-r*r); disc > 0 {
		length = (-b - math.Sqrt(disc)) / a
		angle := math.Atan2(oy+length*dy, oz+length*dz+c.radius)
		if length > 0 && math.Abs(angle) <= half {
			return length, middle + angle*c.radius, true
		}
	}
	s, k := math.Sincos(half)
	for _, side := range [2]float64{1, -1} {
		ny, nz := side*s, k
		toward := dy*ny + dz*nz
		if toward >= 0 {
			continue
		}
		length = ((r*ny-oy)*ny + (r*nz-c.radius-oz)*nz) / toward
		py, pz := oy+length*dy-r*ny, oz+length*dz-(r*nz-c.radius)
		if on := side * (py*k - side*pz*s); length > 0 && on >= 0 {
			return length, middle + side*(half*c.radius+on), true
		}
	}
	return 0, 0, false
}

// view is a camera and a belt before it.
type view struct {
	course course
	belt   turn    // belt's axes -> camera's, x right, y down, z away
	at     vec     // the belt's 0 mm, in the middle of its width, by the camera's axes
	eye    vec     // the camera, by the belt's axes
	wide   float64 // mm of belt
	focal  float64 // px
	cx, cy float64 // px, where the camera's axis goes through the picture
}

// through is the direction, by the belt's axes, in which a pixel looks.
func (v *view) through(x, y float64) vec {
	return v.belt.back(vec{(x - v.cx) / v.focal, (y - v.cy) / v.focal, 1})
}

// project is where a point of the belt is in the picture, whether hidden or not.
func (v *view) project(across, along, below float64) (Point, bool) {
	y, z := v.course.place(along, below)
	p := v.belt.apply(vec{across - v.wide/2, y, z}).add(v.at)
	if p.z <= 0 {
		return Point{}, false
	}
	return Point{v.cx + v.focal*p.x/p.z, v.cy + v.focal*p.y/p.z}, true
}

// see is the point of the surface so far below the tips that a pixel looks at.
func (v *view) see(x, y, below float64) (across, along float64, ok bool) {
	d := v.through(x, y)
	length, along, ok := v.course.meet(v.eye, d, below)
	return v.eye.x + length*d.x + v.wide/2, along, ok
}
