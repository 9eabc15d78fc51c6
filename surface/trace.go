package surface

import (
	"cmp"
	"math"
	"slices"
)

// Point is a place in a picture, px from the middle of its upper left pixel, y down.
type Point struct{ X, Y float64 }

func (a Point) minus(b Point) Point      { return Point{a.X - b.X, a.Y - b.Y} }
func (a Point) plus(b Point) Point       { return Point{a.X + b.X, a.Y + b.Y} }
func (a Point) times(k float64) Point    { return Point{k * a.X, k * a.Y} }
func (a Point) dot(b Point) float64      { return a.X*b.X + a.Y*b.Y }
func (a Point) distance(b Point) float64 { return a.minus(b).size() }
func (a Point) size() float64            { return math.Sqrt(a.X*a.X + a.Y*a.Y) } // no overflow: px
func (a Point) unit() (Point, bool) {
	l := a.size()
	return a.times(1 / max(l, 1e-9)), l > 1e-9
}

// crest is a pixel whose evidence is greatest across its line.
type crest struct {
	at    Point // between pixels
	along Point // unit vector, of either sign
	z     float64
}

// crests keeps the pixels whose evidence is at least low and not less than beside them across their line, each with the
// place of the top of the parabola through the three (non-maximum suppression; Steger 1998 for places between pixels).
// of holds, for each pixel, its crest's index or -1.
func crests(e evidence, low float64) (found []crest, of []int32) {
	of = make([]int32, len(e.z))
	for i := range of {
		of[i] = -1
	}
	for y := range e.h {
		for x := range e.w {
			i := y*e.w + x
			if e.z[i] < float32(low) {
				continue
			}
			nx, ny := normal(e.dir[i])
			before := bilinear(e.z, e.w, e.h, float64(x)-nx, float64(y)-ny)
			here := float64(e.z[i])
			after := bilinear(e.z, e.w, e.h, float64(x)+nx, float64(y)+ny)
			if here < before || here <= after {
				continue
			}
			shift := 0.5 * (before - after) / (before - 2*here + after)
			of[i] = int32(len(found))
			found = append(found, crest{at: Point{float64(x) + shift*nx, float64(y) + shift*ny}, along: Point{-ny, nx},
				z: here})
		}
	}
	return found, of
}

// tracer follows crests from the strongest on.
type tracer struct {
	e      evidence
	s      Settings
	crests []crest
	of     []int32 // crest of a pixel
	path   []int32 // path of a crest, or none or passed
	paths  [][]int32
}

const (
	none   = -1
	passed = -2 // beside a path
)

// trace returns the paths that begin at a crest of at least High and go on as long as there are others (hysteresis;
// Canny 1986), across gaps too.
func trace(e evidence, s Settings) *tracer {
	t := &tracer{e: e, s: s}
	t.crests, t.of = crests(e, s.Low)
	t.path = make([]int32, len(t.crests))
	for i := range t.path {
		t.path[i] = none
	}
	order := make([]int32, 0, len(t.crests))
	for i, c := range t.crests {
		if c.z >= s.High {
			order = append(order, int32(i))
		}
	}
	slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(t.crests[b].z, t.crests[a].z) })
	for _, seed := range order {
		if t.path[seed] == none {
			t.follow(seed)
		}
	}
	return t
}

// follow makes a path of what lies on both sides of a crest, and joins it to a path whose end it meets.
func (t *tracer) follow(seed int32) {
	id := int32(len(t.paths))
	t.path[seed] = id
	forth, end := t.walk(id, []int32{seed}, t.crests[seed].along)
	slices.Reverse(forth)
	both, begin := t.walk(id, forth, t.crests[seed].along.times(-1))
	t.paths = append(t.paths, both)
	t.join(id, end, false)
	t.join(id, begin, true)
}

// walk lengthens a path at its last crest; met is the crest of another path at which it ends, or none.
func (t *tracer) walk(id int32, path []int32, heading Point) (longer []int32, met int32) {
	for {
		from := path[len(path)-1]
		next := t.next(id, from, heading)
		if next == none {
			return path, none
		}
		if t.path[next] >= 0 {
			return append(path, next), next
		}
		t.path[next] = id
		t.passBeside(next)
		path = append(path, next)
		heading = t.heading(path, heading)
	}
}

// heading is where the last few crests of a path lead.
func (t *tracer) heading(path []int32, before Point) Point {
	last := t.crests[path[len(path)-1]]
	back := t.crests[path[max(0, len(path)-6)]]
	way, ok := last.at.minus(back.at).unit()
	if !ok {
		way = before
	}
	along := last.along
	if along.dot(way) < 0 {
		along = along.times(-1)
	}
	if sum, ok := way.plus(along).unit(); ok {
		return sum
	}
	return way
}

// passBeside takes crests beside a crest that run the same way out of the search: they are the same line twice.
func (t *tracer) passBeside(to int32) {
	c := t.crests[to]
	x, y := int(math.Round(c.at.X)), int(math.Round(c.at.Y))
	for dy := -2; dy <= 2; dy++ {
		for dx := -2; dx <= 2; dx++ {
			i := t.crestAt(x+dx, y+dy)
			if i == none || t.path[i] != none || math.Abs(t.crests[i].along.dot(c.along)) < 0.7 {
				continue
			}
			step := t.crests[i].at.minus(c.at)
			if math.Abs(step.dot(c.along)) <= 0.75 && math.Abs(step.X*c.along.Y-step.Y*c.along.X) <= 2.5 {
				t.path[i] = passed
			}
		}
	}
}

func (t *tracer) crestAt(x, y int) int32 {
	if x < 0 || y < 0 || x >= t.e.w || y >= t.e.h {
		return none
	}
	return t.of[y*t.e.w+x]
}

// next is the crest that a path goes on with: the nearest ahead, a turn counting as distance; or, where none is
// near by, the best one across a gap.
func (t *tracer) next(id, from int32, heading Point) int32 {
	if i := t.ahead(id, from, heading, 2.3, 0.35, 0.35); i != none {
		return i
	}
	return t.ahead(id, from, heading, t.s.Gap, 0.85, 0.8)
}

// ahead is the best crest within a distance whose direction and bearing turn by no more than the arc cosines given.
func (t *tracer) ahead(id, from int32, heading Point, far, bearing, direction float64) int32 {
	c := t.crests[from]
	best, cost := int32(none), math.Inf(1)
	x, y, reach := int(math.Round(c.at.X)), int(math.Round(c.at.Y)), int(far+1)
	for dy := -reach; dy <= reach; dy++ {
		for dx := -reach; dx <= reach; dx++ {
			i := t.crestAt(x+dx, y+dy)
			if i == none || i == from || t.path[i] == id || t.path[i] == passed {
				continue
			}
			to := &t.crests[i]
			way := to.at.minus(c.at)
			dist := way.size()
			if way.dot(heading) < bearing*dist || dist < 0.3 || dist > far {
				continue
			}
			if way = way.times(1 / dist); math.Abs(to.along.dot(way)) < direction {
				continue
			}
			if k := dist * (3 - way.dot(heading) - math.Abs(to.along.dot(way))); k < cost {
				best, cost = i, k
			}
		}
	}
	return best
}

// join puts a path that has met the end of another onto it; atBegin says at which of its own ends. One that has met the
// middle of another stays a branch.
func (t *tracer) join(id, met int32, atBegin bool) {
	if met == none {
		return
	}
	other := t.path[met]
	mine, theirs := t.paths[id], t.paths[other]
	if other == id || len(theirs) == 0 || (met != theirs[0] && met != theirs[len(theirs)-1]) {
		return
	}
	if atBegin {
		slices.Reverse(mine)
	}
	mine = mine[:len(mine)-1] // the crest that was met is theirs
	if met == theirs[len(theirs)-1] {
		slices.Reverse(theirs)
	}
	for _, i := range theirs {
		t.path[i] = id
	}
	mine = append(mine, theirs...)
	if atBegin {
		slices.Reverse(mine)
	}
	t.paths[id], t.paths[other] = mine, nil
}
