package survey

import (
	"image"
	"math"
	"math/rand/v2"
	"slices"

	"undertray.example/undertray/drive"
)

const (
	rays      = 7   // lines across a rim about each touch
	rayDeg    = 6.0 // between them
	reachPX   = 9.0 // how far from where it is thought to be by touches
	closePX   = 3.0 // the same, by edges
	stepPX    = 0.5 // along such a line
	blurPX    = 1.0 // of the derivative
	sidePX    = 2   // samples averaged along the rim, either way
	clearStep = 4.0 // grey levels per px below which nothing is an edge
	nearPX    = 0.8 // how near to a circle an edge is one of its
	tries     = 400 // circles laid through three edges
	worth     = 0.2 // of one more edge on the circle, in half squares of the touches' standard errors
	fewest    = 7   // edges that make a circle
	enough    = 0.4 // of the lines: a rim that agrees on fewer may be another edge, such as the belt's
	contrary  = 3.5 // standard errors by which the touches' mean may be off the edges
	misleads  = 1.3 // times as much that the edges of all other rims are off, in squares, by those of one
)

// candidate is an edge of the picture that may be of a rim, and where it is in the rim's plane.
type candidate struct {
	ray  int
	up   bool // lighter outside
	at   Touch
	x, y float64
	mm   float64 // per px across the rim
}

// off is how far it is outside a circle, px.
func (e *candidate) off(x, y, r float64) float64 { return (math.Hypot(e.x-x, e.y-y) - r) / e.mm }

// trace puts edges of the picture in the place of touches. Around each rim as it is thought to lie, edges are looked
// for on lines across it near each touch, since elsewhere it may be hidden; of the circles through three of them
// (Fischler and Bolles 1981) the one is taken that has most edges on it, all lighter outside or all darker, and is near
// the touches. A rim that shows too few edges keeps its touches. Near: those that had edges are sought close by.
func (p *problem) trace(g *image.Gray, x []float64, near bool) {
	s, c := p.shape(x), x[p.size():]
	v := p.photo.view(c)
	had := make([]bool, p.photo.rims)
	for _, t := range p.photo.touches {
		had[t.rim] = t.edge
	}
	var all []touch
	for i := range p.photo.rims {
		z := c[cOut+i] * unit
		var marked []touch
		var at []candidate
		for _, t := range p.photo.marked {
			if t.rim == i {
				marked = append(marked, t)
				at = append(at, v.candidate(t.at, s.c[i], s.d[i]/2, z))
			}
		}
		var found []candidate
		best, reach := math.Inf(-1), reachPX
		if near && had[i] {
			reach = closePX
		}
		edges := v.edges(g, at, reach, s.c[i], s.d[i]/2, z)
		for _, up := range []bool{true, false} {
			if on, score := agreed(edges[up], at, marked[0].sd); score > best {
				found, best = on, score
			}
		}
		n := float64(len(at))
		if float64(len(found)) < enough*rays*n || apart(found, at) > contrary*marked[0].sd/math.Sqrt(n) {
			all = append(all, marked...)
			continue
		}
		for _, e := range found {
			all = append(all, touch{i, e.at, edgePX, true})
		}
	}
	p.photo.touches = all
}

func (v *view) candidate(t Touch, c drive.Point, r, z float64) candidate {
	x, y := v.on(t, z)
	px, _, _ := v.off(t, c, r, z)
	mm := (math.Hypot(x-c.X, y-c.Y) - r) / px
	if px == 0 {
		mm = 1
	}
	return candidate{at: t, x: x, y: y, mm: mm}
}

// edges are those within reach of a circle of the plane near touches, by which side is lighter.
func (v *view) edges(g *image.Gray, touches []candidate, reach float64,
	c drive.Point, r, z float64) map[bool][]candidate {
	out := map[bool][]candidate{}
	n := int(reach / stepPX)
	steep := make([]float64, 2*n+1)
	for i, t := range touches {
		for k := range rays {
			sin, cos := math.Sincos(math.Atan2(t.y-c.Y, t.x-c.X) + float64(k-rays/2)*rayDeg*math.Pi/180)
			at := v.sees(c.X+r*cos, c.Y+r*sin, z)
			_, nx, ny := v.off(at, c, r, z)
			for j := range steep {
				d := float64(j-n) * stepPX
				steep[j] = slope(g, at.X+d*nx, at.Y+d*ny, nx, ny)
			}
			for j := 1; j < 2*n; j++ {
				before, here, after := math.Abs(steep[j-1]), math.Abs(steep[j]), math.Abs(steep[j+1])
				if here < clearStep || here < before || here <= after {
					continue
				}
				d := (float64(j-n) + (before-after)/(2*(before-2*here+after))) * stepPX
				e := v.candidate(Touch{at.X + d*nx, at.Y + d*ny}, c, r, z)
				e.ray, e.up = i*rays+k, steep[j] > 0
				out[e.up] = append(out[e.up], e)
			}
		}
	}
	return out
}

// agreed are the edges that lie on one circle, near the touches, and how well.
func agreed(edges, touches []candidate, sd float64) (best []candidate, most float64) {
	if len(edges) < fewest {
		return nil, math.Inf(-1)
	}
	r := rand.New(rand.NewPCG(1, 2)) // the same picture gives the same edges
	most = math.Inf(-1)
	for range tries {
		a, b, c := &edges[r.IntN(len(edges))], &edges[r.IntN(len(edges))], &edges[r.IntN(len(edges))]
		if a.ray == b.ray || b.ray == c.ray || c.ray == a.ray {
			continue
		}
		x, y, rad, _, ok := circle([][2]float64{{a.x, a.y}, {b.x, b.y}, {c.x, c.y}})
		if !ok {
			continue
		}
		on := lying(edges, x, y, rad)
		score := 0.0
		for _, e := range on {
			q := e.off(x, y, rad) / nearPX
			score += worth * (1 - q*q)
		}
		for k := range touches {
			q := touches[k].off(x, y, rad) / sd
			score -= q * q / 2
		}
		if score > most {
			most, best = score, on
		}
	}
	for range 3 {
		if len(best) < fewest {
			return nil, math.Inf(-1)
		}
		pts := make([][2]float64, len(best))
		for k, e := range best {
			pts[k] = [2]float64{e.x, e.y}
		}
		x, y, rad, _, ok := circle(pts)
		if !ok {
			return nil, math.Inf(-1)
		}
		best = lying(edges, x, y, rad)
	}
	return best, most
}

// apart is how far touches lie off the circle of some edges on average, px.
func apart(edges, touches []candidate) float64 {
	pts, sum := make([][2]float64, len(edges)), 0.0
	for k, e := range edges {
		pts[k] = [2]float64{e.x, e.y}
	}
	x, y, r, _, ok := circle(pts)
	if !ok {
		return math.Inf(1)
	}
	for k := range touches {
		sum += touches[k].off(x, y, r)
	}
	return math.Abs(sum) / float64(len(touches))
}

// lying are the edges on a circle, the nearest of each ray.
func lying(edges []candidate, x, y, r float64) (out []candidate) {
	for _, e := range edges {
		off := math.Abs(e.off(x, y, r))
		if off > nearPX {
			continue
		}
		if k := len(out) - 1; k >= 0 && out[k].ray == e.ray {
			if off < math.Abs(out[k].off(x, y, r)) {
				out[k] = e
			}
			continue
		}
		out = append(out, e)
	}
	return out
}

// misled takes the edges of a rim back, its touches in their place, where those of all others lie much better without
// them: what was taken for the rim was another edge, and turned the whole picture to itself.
func (p *problem) misled(x []float64) (*problem, []float64, bool) {
	best, most := (*problem)(nil), misleads
	var at []float64
	for k := range p.photo.rims {
		q, ph := *p, *p.photo
		q.photo = &ph
		ph.touches = slices.DeleteFunc(slices.Clone(ph.touches), func(t touch) bool { return t.rim == k && t.edge })
		if len(ph.touches) == len(p.photo.touches) {
			continue
		}
		for _, t := range ph.marked {
			if t.rim == k {
				ph.touches = append(ph.touches, t)
			}
		}
		y := slices.Clone(x)
		if !q.solve(y, rough) {
			continue
		}
		if gain := p.others(x, k) / q.others(y, k); gain > most {
			best, at, most = &q, y, gain
		}
	}
	return best, at, best != nil
}

// others is the sum of squares of the edges of all rims but one.
func (p *problem) others(x []float64, but int) (sum float64) {
	s, c := p.shape(x), x[p.size():]
	v := p.photo.view(c)
	for _, t := range p.photo.touches {
		if t.edge && t.rim != but {
			px, _, _ := v.off(t.at, s.c[t.rim], s.d[t.rim]/2, c[cOut+t.rim]*unit)
			sum += px * px
		}
	}
	return sum
}

// drop leaves out edges that are far off their rim as adjusted and lets those count less that are somewhat off
// (Huber 1964). How sure edges are is taken from how they lie about the rims as adjusted.
func (p *problem) drop(x []float64) {
	s, c := p.shape(x), x[p.size():]
	v := p.photo.view(c)
	p.photo.touches = slices.DeleteFunc(p.photo.touches, func(t touch) bool {
		px, _, _ := v.off(t.at, s.c[t.rim], s.d[t.rim]/2, c[cOut+t.rim]*unit)
		return t.edge && math.Abs(px) > 4*edgePX
	})
	off, n, sum := make([]float64, len(p.photo.touches)), 0, 0.0
	for i, t := range p.photo.touches {
		off[i], _, _ = v.off(t.at, s.c[t.rim], s.d[t.rim]/2, c[cOut+t.rim]*unit)
		if t.edge {
			n, sum = n+1, sum+off[i]*off[i]
		}
	}
	sd := edgePX
	if free := n - 3*p.photo.rims - cOut; free > 0 {
		sd = min(max(math.Sqrt(sum/float64(free)), leastPX), edgePX)
	}
	for i := range p.photo.touches {
		if t := &p.photo.touches[i]; t.edge {
			t.sd = sd * math.Sqrt(max(math.Abs(off[i])/(1.5*sd), 1))
		}
	}
}

// slope is the change of grey per px along a direction: a derivative of a normal curve, averaged along the edge.
func slope(g *image.Gray, x, y, nx, ny float64) (sum float64) {
	norm := 0.0
	for k := -6; k <= 6; k++ {
		d := float64(k) * blurPX / 2
		w := d * math.Exp(-d*d/(2*blurPX*blurPX))
		norm += w * d
		for j := -sidePX; j <= sidePX; j++ {
			sum += w * grey(g, x+d*nx-float64(j)*ny, y+d*ny+float64(j)*nx) / (2*sidePX + 1)
		}
	}
	return sum / norm
}

// grey reads a picture between its pixels; beyond its border it goes on as at the border.
func grey(g *image.Gray, x, y float64) float64 {
	x, y = x-0.5, y-0.5
	x0, y0 := math.Floor(x), math.Floor(y)
	at := func(i, j int) float64 {
		r := g.Rect
		i, j = min(max(i, 0), r.Dx()-1), min(max(j, 0), r.Dy()-1)
		return float64(g.GrayAt(r.Min.X+i, r.Min.Y+j).Y)
	}
	i, j, fx, fy := int(x0), int(y0), x-x0, y-y0
	return (at(i, j)*(1-fx)+at(i+1, j)*fx)*(1-fy) + (at(i, j+1)*(1-fx)+at(i+1, j+1)*fx)*fy
}
