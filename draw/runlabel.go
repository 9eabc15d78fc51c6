package draw

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/message"
)

// frameBox is a rectangle that must stay clear, px.
type frameBox struct{ x0, y0, x1, y1 float64 }

func (b frameBox) overlap(o frameBox) float64 {
	w := math.Min(b.x1, o.x1) - math.Max(b.x0, o.x0)
	h := math.Min(b.y1, o.y1) - math.Max(b.y0, o.y0)
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h
}

// near is the point of the box nearest to p.
func (b frameBox) near(p place) place {
	return place{math.Max(b.x0, math.Min(b.x1, p.x)), math.Max(b.y0, math.Min(b.y1, p.y))}
}

// tag is a text of a few lines to be placed near something.
type tag struct {
	lines  []string
	class  string // of the first line; the others are notes
	size   float64
	box    frameBox
	target place   // what it belongs to
	reach  float64 // radius of that
	placed bool
}

func (t *tag) dims() (w, h float64) {
	for i, l := range t.lines {
		size := t.size
		switch {
		case len(t.lines) > 1 && i == len(t.lines)-1:
			size = 10 // a note
		case t.class == "d-bold":
			size *= boldLetter / meanLetter
		}
		w = math.Max(w, textWidth(l, size))
	}
	return w + 2, float64(len(t.lines))*(t.size+1.5) + 1
}

// placer finds free paper for tags: free of the belt, of pulleys, of the
// tensioner's travel and of other tags.
type placer struct {
	w, h  float64
	taken []frameBox
	discs []struct {
		at place
		r  float64
	}
	lines [][2]place
	tags  []*tag  // placed already
	half  float64 // half the belt's thickness and some air
}

func (s *sheet) placer() *placer {
	p := &placer{w: s.r.Width, h: s.h, half: s.thick/2 + 1.5}
	add := func(at place, r float64) {
		p.discs = append(p.discs, struct {
			at place
			r  float64
		}{at, r})
	}
	for i := range s.at {
		add(s.at[i], s.rad[i]+s.thick+1.5)
		sp := s.rt.spans[i]
		p.lines = append(p.lines, [2]place{s.px(sp.from), s.px(sp.to)})
	}
	if t := s.r.Tensioner; t != nil {
		i := s.r.index(t.Pulley)
		for _, e := range s.stops {
			add(e, s.rad[i])
		}
		if !t.Slides {
			pivot := s.px(place{t.PivotX, t.PivotY})
			add(pivot, 15)
			p.lines = append(p.lines, [2]place{pivot, s.at[i]})
			ts := s.travelScale()
			for k := range 7 {
				q := ts.at(t.Low+(t.High-t.Low)*float64(k)/6, ts.r+2)
				p.taken = append(p.taken, frameBox{q.x - 4, q.y - 4, q.x + 4, q.y + 4})
			}
		}
	}
	return p
}

// trouble says how badly a box collides: 0 is free paper.
func (p *placer) trouble(b frameBox) float64 {
	sum := 0.0
	for _, v := range []float64{1 - b.x0, 1 - b.y0, b.x1 - p.w + 1, b.y1 - p.h + 1} {
		sum += 20 * math.Max(0, v)
	}
	for _, o := range p.taken {
		if a := b.overlap(o); a > 0 {
			sum += 100 + a
		}
	}
	for _, d := range p.discs {
		if gap := b.near(d.at).to(d.at); gap < d.r {
			sum += 50 + 5*(d.r-gap)
		}
	}
	for _, l := range p.lines {
		if boxMeets(b, l[0], l[1], p.half) {
			sum += 120
		}
	}
	for _, o := range p.tags {
		if a := b.overlap(o.box); a > 0 {
			sum += 100 + a
		}
		if from, to, ok := o.leader(); ok && boxMeets(b, from, to, 1.5) {
			sum += 60
		}
	}
	return sum
}

// boxMeets reports whether a segment meets the box grown by r on each side:
// clipped against its four sides (Liang and Barsky 1984), something is left.
func boxMeets(b frameBox, a, c place, r float64) bool {
	lo, hi := 0.0, 1.0
	clip := func(from, d, min, max float64) bool {
		if d == 0 {
			return from >= min && from <= max
		}
		t0, t1 := (min-from)/d, (max-from)/d
		if t0 > t1 {
			t0, t1 = t1, t0
		}
		lo, hi = math.Max(lo, t0), math.Min(hi, t1)
		return lo <= hi
	}
	return clip(a.x, c.x-a.x, b.x0-r, b.x1+r) && clip(a.y, c.y-a.y, b.y0-r, b.y1+r)
}

// leaderCost counts what a leader from the tag to its target would run over.
func (p *placer) leaderCost(b frameBox, t *tag) float64 {
	end := b.near(t.target)
	cost := 0.0
	for _, o := range p.taken {
		if boxMeets(o, end, t.target, 3) {
			cost += 150
		}
	}
	for _, o := range p.tags {
		if boxMeets(o.box, end, t.target, 3) {
			cost += 150
		}
	}
	for _, l := range p.lines {
		if crosses(end, t.target, l[0], l[1]) {
			cost += 9
		}
	}
	for _, d := range p.discs {
		if d.at != t.target && toSegment(d.at, end, t.target) < d.r-2 {
			cost += 14
		}
	}
	return cost
}

// ringBox is the box of a tag on a ring about its target: it touches the ring
// with the side that faces the target. Places are counted in 32nds of a turn.
func ringBox(t *tag, ring float64, step int) frameBox {
	w, h := t.dims()
	sin, cos := math.Sincos(float64(step) * math.Pi / 16)
	r := t.reach + ring
	x := t.target.x + r*cos - w/2 + w/2*clampUnit(cos*1.6)
	y := t.target.y + r*sin - h/2 + h/2*clampUnit(sin*1.6)
	return frameBox{x, y, x + w, y + h}
}

// room counts the free places next to the target.
func (p *placer) room(t *tag) int {
	n := 0
	for step := range 32 {
		if p.trouble(ringBox(t, 9, step)) == 0 {
			n++
		}
	}
	return n
}

// around tries places on rings about the target and takes the cheapest.
func (p *placer) around(t *tag) {
	best := math.Inf(1)
	for ring := 4.0; ring <= 64 && ring*.5 < best; ring += 5 {
		for step := range 32 {
			b := ringBox(t, ring, step)
			cost := p.trouble(b)*10 + ring*.5
			if ring > 10 && cost < best {
				cost += p.leaderCost(b, t)
			}
			if cost < best-1e-9 {
				best, t.box = cost, b
			}
		}
	}
	t.placed = true
	p.tags = append(p.tags, t)
}

// leader is the line from a tag that stands off to its target.
func (t *tag) leader() (from, to place, ok bool) {
	end := t.box.near(t.target)
	d := end.to(t.target)
	if t.reach == 0 || d-t.reach <= 9 {
		return place{}, place{}, false
	}
	f := (t.reach - 2) / d
	return end, place{t.target.x + (end.x-t.target.x)*f, t.target.y + (end.y-t.target.y)*f}, true
}

// again gives tags a second and third choice of place, once all others stand.
func (p *placer) again(ts []*tag) {
	for range 2 {
		for _, t := range ts {
			p.tags = slices.DeleteFunc(p.tags, func(o *tag) bool { return o == t })
			p.around(t)
		}
	}
}

func clampUnit(v float64) float64 { return math.Max(-1, math.Min(1, v)) }

// alongside tries places beside a segment.
func (p *placer) alongside(t *tag, a, b place) {
	w, h := t.dims()
	l := a.to(b)
	if l < 1 {
		return
	}
	nx, ny := -(b.y-a.y)/l, (b.x-a.x)/l
	best := math.Inf(1)
	for _, f := range []float64{.5, .42, .58, .34, .66, .26, .74, .18, .82} {
		for _, side := range []float64{1, -1} {
			for _, air := range []float64{1, 4, 8} {
				// distance at which the box just clears the belt
				off := p.half + air + math.Abs(nx)*w/2 + math.Abs(ny)*h/2
				x, y := a.x+f*(b.x-a.x)+side*off*nx, a.y+f*(b.y-a.y)+side*off*ny
				box := frameBox{x - w/2, y - h/2, x + w/2, y + h/2}
				cost := p.trouble(box) + air*.4 + math.Abs(f-.5)*8
				if cost < best-1e-9 {
					best, t.box = cost, box
				}
			}
		}
	}
	if t.placed = best < 20; t.placed {
		p.tags = append(p.tags, t)
	}
}

// namesInside writes the names that fit into their pulleys and returns the
// others.
func (s *sheet) namesInside(c *canvas) (out []*tag) {
	for i, pl := range s.r.Pulleys {
		t := s.nameTag(i)
		w, h := t.dims()
		if s.rad[i] <= 24 || math.Hypot(w/2, h+8) >= s.rad[i]*.95 {
			out = append(out, &t)
			continue
		}
		y := s.at[i].y + 9
		if pl.Driver {
			y += 3
		}
		t.box = frameBox{s.at[i].x - w/2, y, s.at[i].x + w/2, y + h}
		t.write(c, s.at[i].x, centred)
	}
	return out
}

// labels writes names, what each pulley touches and its wrap, then lengths of
// the spans and names of the tensioner's marks. Pulleys with the least free
// paper about them come first. It returns where everything went.
func (s *sheet) labels(c *canvas) *placer {
	p := s.placer()
	c.quiet("")
	defer c.end()
	out := s.namesInside(c)
	room := map[place]int{}
	for i := range out {
		room[out[i].target] = p.room(out[i])
	}
	slices.SortStableFunc(out, func(a, b *tag) int { return room[a.target] - room[b.target] })
	for _, t := range out {
		p.around(t)
	}
	out = append(out, s.markTags(p)...)
	p.again(out)
	for _, t := range out {
		t.draw(c)
	}
	for i := range s.rt.spans {
		sp := s.rt.spans[i]
		t := &tag{lines: []string{figure(s.spanLength(i), 0)}, class: "d-note", size: 10}
		p.alongside(t, s.px(sp.from), s.px(sp.to))
		if t.placed {
			t.write(c, (t.box.x0+t.box.x1)/2, centred)
			continue
		}
		a, b := s.px(sp.from), s.px(sp.to)
		t.target, t.reach = place{(a.x + b.x) / 2, (a.y + b.y) / 2}, s.thick/2
		p.around(t)
		t.draw(c)
	}
	return p
}

func (s *sheet) nameTag(i int) tag {
	pl := s.r.Pulleys[i]
	lines := wrap(pl.Name, 11, 84)
	if s.rad[i] < 10 {
		lines = append([]string{strconv.Itoa(pl.Number) + " " + strings.Join(lines, " ")}, nil...)
	}
	on := message.Text("ribs, %s")
	if pl.Back {
		on = "back, %s"
	}
	lines = append(lines, s.r.words(on.With(degrees(s.wrap(i)))))
	return tag{lines: lines, class: "d-bold", size: 11, target: s.at[i], reach: s.rad[i] + s.thick}
}

// markTags places the names of the tensioner's marks.
func (s *sheet) markTags(p *placer) (out []*tag) {
	t := s.r.Tensioner
	if t == nil {
		return nil
	}
	i := s.r.index(t.Pulley)
	ts := travelScale{}
	if !t.Slides {
		ts = s.travelScale()
	}
	for _, m := range t.Marks {
		g := tag{lines: wrap(m.Name, 10, 70), class: "d-note", size: 10,
			target: s.px(t.centre(s.r, m.At)), reach: s.rad[i]}
		if len(g.lines) == 0 {
			continue
		}
		if ts.outer {
			g.target, g.reach = ts.at(m.At, ts.r+5), 1
		}
		p.around(&g)
		out = append(out, &g)
	}
	return out
}

// draw writes a tag, with a leader where it stands off.
func (t *tag) draw(c *canvas) {
	if from, to, ok := t.leader(); ok {
		c.line("d-lead", from.x, from.y, to.x, to.y)
	}
	mid := (t.box.x0 + t.box.x1) / 2
	switch {
	case mid < t.target.x-t.reach:
		t.write(c, t.box.x1-1, toRight)
	case mid > t.target.x+t.reach:
		t.write(c, t.box.x0+1, fromLeft)
	default:
		t.write(c, mid, centred)
	}
}

func (t *tag) write(c *canvas, x float64, anchor string) {
	for i, l := range t.lines {
		class := "d-note"
		if i < len(t.lines)-1 || len(t.lines) == 1 {
			class = t.class
		}
		c.text(class, anchor, x, t.box.y0+float64(i+1)*(t.size+1.5)-1.5, l)
	}
}
