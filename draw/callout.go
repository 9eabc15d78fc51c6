package draw

import (
	"math"
	"slices"
)

// place is a point on the drawing and what must stay clear round it, in px.
type place struct{ x, y float64 }

func (p place) to(q place) float64 { return math.Hypot(p.x-q.x, p.y-q.y) }

// spread moves points apart until no two are nearer than gap, each as little
// as the others allow, inside the rectangle. Points in the same place are
// parted in directions that depend on their order alone, so that the result is
// the same each time. The method is plain relaxation: half of the overlap to
// each of a pair, and a pull home that fades.
func spread(pts []place, gap float64, lo, hi place) []place {
	out := slices.Clone(pts)
	const rounds = 400
	for round := range rounds {
		pull := 0.06 * (1 - float64(round)/(rounds*0.6))
		moved := false
		for i := range out {
			if pull > 0 {
				out[i].x += pull * (pts[i].x - out[i].x)
				out[i].y += pull * (pts[i].y - out[i].y)
			}
			for j := range i {
				moved = part(out, i, j, gap) || moved
			}
		}
		for i := range out {
			out[i].x = math.Max(lo.x, math.Min(hi.x, out[i].x))
			out[i].y = math.Max(lo.y, math.Min(hi.y, out[i].y))
		}
		if !moved && pull <= 0 {
			break
		}
	}
	return out
}

func part(out []place, i, j int, gap float64) bool {
	if dx, dy := out[i].x-out[j].x, out[i].y-out[j].y; math.Abs(dx) >= gap || math.Abs(dy) >= gap {
		return false // most are far apart
	}
	d := out[i].to(out[j])
	if d >= gap-1e-6 {
		return false
	}
	ux, uy := 1.0, 0.0
	if d > 1e-9 {
		ux, uy = (out[i].x-out[j].x)/d, (out[i].y-out[j].y)/d
	} else {
		const golden = 2.399963229728653 // radians: no two directions fall together
		ux, uy = math.Cos(golden*float64(i+1)), math.Sin(golden*float64(i+1))
	}
	half := (gap - d) / 2
	out[i].x += ux * half
	out[i].y += uy * half
	out[j].x -= ux * half
	out[j].y -= uy * half
	return true
}

// column is one margin with numbers: where leaders start and which points it
// serves, by index, from the top down.
type column struct {
	x    float64
	ids  []int
	slot []float64 // y of each, same order
}

// leader is the line from a number to its point.
func (c *column) leader(k int, pts []place) (from, to place) {
	return place{c.x, c.slot[k]}, pts[c.ids[k]]
}

// callouts shares the points between a left and a right column of numbers and
// orders each so that no two leaders cross. Left of the median goes left, so
// leaders of different columns cannot meet. Within a column numbers start in
// order of height and are then exchanged pair by pair wherever that shortens
// the leaders or clears a crossing: exchanging the ends of two crossing
// straight lines always makes them shorter together (triangle inequality), so
// this ends, and it ends without crossings.
func callouts(pts []place, leftX, rightX, top, bottom, gap, clear float64) (left, right column) {
	order := make([]int, len(pts))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmpFloat(pts[a].x, pts[b].x) })
	half := (len(order) + 1) / 2
	if len(order) == 1 && pts[0].x > (leftX+rightX)/2 {
		half = 0
	}
	left = column{x: leftX, ids: slices.Clone(order[:half])}
	right = column{x: rightX, ids: slices.Clone(order[half:])}
	for _, c := range []*column{&left, &right} {
		slices.SortStableFunc(c.ids, func(a, b int) int { return cmpFloat(pts[a].y, pts[b].y) })
		want := make([]float64, len(c.ids))
		for k, id := range c.ids {
			want[k] = pts[id].y
		}
		c.slot = slots(want, gap, top, bottom)
		c.untangle(pts, clear)
	}
	return left, right
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// slots moves wanted heights, given in ascending order, to the nearest ones
// (least squares) that stay gap apart and inside top..bottom: pool adjacent
// violators on want[k] - k*gap (Barlow et al. 1972), then clamped. If they do
// not fit the gap shrinks.
func slots(want []float64, gap, top, bottom float64) []float64 {
	n := len(want)
	if n > 1 && float64(n-1)*gap > bottom-top {
		gap = (bottom - top) / float64(n-1)
	}
	type pool struct {
		sum float64
		n   int
	}
	var pools []pool
	for k, w := range want {
		pools = append(pools, pool{w - float64(k)*gap, 1})
		for len(pools) > 1 {
			a, b := pools[len(pools)-2], pools[len(pools)-1]
			if a.sum/float64(a.n) < b.sum/float64(b.n) {
				break
			}
			pools = append(pools[:len(pools)-2], pool{a.sum + b.sum, a.n + b.n})
		}
	}
	out := make([]float64, 0, n)
	highest := bottom - float64(n-1)*gap
	for _, p := range pools {
		v := math.Max(top, math.Min(highest, p.sum/float64(p.n)))
		for range p.n {
			out = append(out, v+float64(len(out))*gap)
		}
	}
	return out
}

// untangle exchanges numbers while that lowers the cost of the column: length
// of the leaders, plus a penalty where one runs over another's point, plus one
// where two cross.
func (c *column) untangle(pts []place, clear float64) {
	const sweeps = 60
	own := c.alone(pts, clear)
	for range sweeps {
		better := false
		for a := range c.ids {
			for b := range a {
				before := own[a][c.ids[a]] + own[b][c.ids[b]] + c.crossed(a, b, pts)
				c.ids[a], c.ids[b] = c.ids[b], c.ids[a]
				if own[a][c.ids[a]]+own[b][c.ids[b]]+c.crossed(a, b, pts) < before-1e-9 {
					better = true
					continue
				}
				c.ids[a], c.ids[b] = c.ids[b], c.ids[a]
			}
		}
		if !better {
			break
		}
	}
	c.uncross(pts)
}

// uncross clears what crossings the penalties may have left.
func (c *column) uncross(pts []place) {
	for again := true; again; {
		again = false
		for a := range c.ids {
			for b := range a {
				p, q := c.leader(a, pts)
				r, s := c.leader(b, pts)
				if crosses(p, q, r, s) {
					c.ids[a], c.ids[b] = c.ids[b], c.ids[a]
					again = true
				}
			}
		}
	}
}

// alone is what the leader of each number would cost to each point, whatever the
// others do: the points that it could run over are the same in any order.
func (c *column) alone(pts []place, clear float64) [][]float64 {
	const over = 40
	out := make([][]float64, len(c.ids))
	for k := range out {
		out[k] = make([]float64, len(pts)) // those of other columns stay 0
		p := place{c.x, c.slot[k]}
		for _, id := range c.ids {
			cost := p.to(pts[id])
			for _, other := range c.ids {
				if other == id {
					continue
				}
				if d := toSegment(pts[other], p, pts[id]); d < clear {
					cost += over * (1 - d/clear)
				}
			}
			out[k][id] = cost
		}
	}
	return out
}

// crossed is what the crossings of two leaders, with all others and each other,
// cost.
func (c *column) crossed(a, b int, pts []place) float64 {
	const crossing = 1000
	n := 0
	for _, k := range []int{a, b} {
		p, q := c.leader(k, pts)
		for o := range c.ids {
			if o == k || k == b && o == a {
				continue
			}
			if r, s := c.leader(o, pts); crosses(p, q, r, s) {
				n++
			}
		}
	}
	return float64(crossing * n)
}

// crosses reports whether the open segments pq and rs cross.
func crosses(p, q, r, s place) bool {
	return turn(p, q, r)*turn(p, q, s) < 0 && turn(r, s, p)*turn(r, s, q) < 0
}

func turn(a, b, c place) float64 { return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x) }

// toSegment is the distance from p to the segment ab.
func toSegment(p, a, b place) float64 {
	dx, dy := b.x-a.x, b.y-a.y
	l := dx*dx + dy*dy
	if l == 0 {
		return p.to(a)
	}
	t := math.Max(0, math.Min(1, ((p.x-a.x)*dx+(p.y-a.y)*dy)/l))
	return p.to(place{a.x + t*dx, a.y + t*dy})
}
