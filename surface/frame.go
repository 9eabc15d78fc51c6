package surface

import "math"

// Ribs is the number of ribs of a frame.
func (f Frame) Ribs() int {
	if len(f.Stations) == 0 {
		return 0
	}
	return max(0, len(f.Stations[0].Lines)-1)
}

// Size is how much belt a frame lays out, mm across and along.
func (f Frame) Size() Point {
	if len(f.Stations) == 0 {
		return Point{}
	}
	return Point{float64(f.Ribs()) * f.Pitch, f.Stations[len(f.Stations)-1].Along}
}

// sound says whether a frame can be used: two stations or more, in order, of as many lines each, two at least.
func (f Frame) sound() bool {
	if len(f.Stations) < 2 || f.Ribs() < 1 || !(f.Pitch > 0) {
		return false
	}
	for k, s := range f.Stations {
		if len(s.Lines) != f.Ribs()+1 || k > 0 && !(s.Along > f.Stations[k-1].Along) {
			return false
		}
	}
	return true
}

// Picture is where a place on the belt (X mm across, Y mm along) lies in the picture, px. Beyond the outer lines and
// stations the frame goes on straight. Of a frame with fewer than two stations or lines it is not a number.
func (f Frame) Picture(at Point) Point {
	if !f.sound() {
		return Point{math.NaN(), math.NaN()}
	}
	k := f.station(at.Y)
	a, b := f.Stations[k], f.Stations[k+1]
	t := (at.Y - a.Along) / (b.Along - a.Along)
	u := at.X / f.Pitch
	i := min(max(int(math.Floor(u)), 0), f.Ribs()-1)
	u -= float64(i)
	p := a.Lines[i].plus(a.Lines[i+1].minus(a.Lines[i]).times(u))
	q := b.Lines[i].plus(b.Lines[i+1].minus(b.Lines[i]).times(u))
	return p.plus(q.minus(p).times(t))
}

// station is the last station before a place along, of those that have one behind them.
func (f Frame) station(along float64) int {
	low, high := 0, len(f.Stations)-1
	for high-low > 1 {
		if m := (low + high) / 2; f.Stations[m].Along <= along {
			low = m
		} else {
			high = m
		}
	}
	return low
}

// Belt is which place on the belt (X mm across, Y mm along) a place in the picture (px) shows; false where it lies
// beyond the outer lines or stations.
func (f Frame) Belt(at Point) (Point, bool) {
	if !f.sound() {
		return Point{}, false
	}
	best, near := -1, math.Inf(1)
	for k := range len(f.Stations) - 1 {
		for i := range f.Ribs() {
			c := f.cell(k, i)
			middle := c[0].plus(c[1]).plus(c[2]).plus(c[3]).times(0.25)
			size := c[0].distance(c[3]) + c[1].distance(c[2])
			d := middle.distance(at)
			if d > size {
				continue
			}
			u, v, ok := inCell(c, at)
			const edge = 1e-7
			if ok && u >= -edge && v >= -edge && u <= 1+edge && v <= 1+edge && d < near {
				best, near = k*f.Ribs()+i, d
			}
		}
	}
	if best < 0 {
		return Point{}, false
	}
	k, i := best/f.Ribs(), best%f.Ribs()
	u, v, _ := inCell(f.cell(k, i), at)
	from, to := f.Stations[k].Along, f.Stations[k+1].Along
	return Point{f.Pitch * (float64(i) + u), from + v*(to-from)}, true
}

// cell is the corners of a piece of rib between two stations: first and second line of the one, then of the other.
func (f Frame) cell(k, i int) [4]Point {
	a, b := f.Stations[k].Lines, f.Stations[k+1].Lines
	return [4]Point{a[i], a[i+1], b[i], b[i+1]}
}

// inCell turns a bilinear map back by Newton's method.
func inCell(c [4]Point, at Point) (u, v float64, ok bool) {
	u, v = 0.5, 0.5
	for range 12 {
		along0, along1 := c[2].minus(c[0]), c[3].minus(c[1])
		across0, across1 := c[1].minus(c[0]), c[3].minus(c[2])
		p := c[0].plus(across0.times(u)).plus(along0.times(v)).plus(across1.minus(across0).times(u * v))
		du := across0.plus(across1.minus(across0).times(v))
		dv := along0.plus(along1.minus(along0).times(u))
		det := du.X*dv.Y - du.Y*dv.X
		if math.Abs(det) < 1e-12 {
			return 0, 0, false
		}
		e := at.minus(p)
		a, b := (e.X*dv.Y-e.Y*dv.X)/det, (du.X*e.Y-du.Y*e.X)/det
		u, v = u+a, v+b
		if math.Abs(u)+math.Abs(v) > 1e3 {
			return 0, 0, false
		}
		if math.Abs(a)+math.Abs(b) < 1e-12 {
			return u, v, true
		}
	}
	return u, v, true
}
