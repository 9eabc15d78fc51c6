package drive

import "math"

// spanTable holds every span that could ever lead from one pulley and side to
// another, with the set of pulleys it would pass through, so that a search over
// sides, orders and left-out pulleys needs no geometry of its own.
type spanTable struct {
	n     int
	turn  float64 // of pulleys on the ribs
	cs    [MaxPulleys][2]Circle
	spans []tableSpan
}

type tableSpan struct {
	Span
	ok      bool
	blocked uint32 // bit k: passes through pulley k
}

func newSpanTable(r *Run, turn float64) *spanTable {
	n := len(r.Pulleys)
	t := &spanTable{n: n, turn: turn, spans: make([]tableSpan, 4*n*n)}
	for i := range n {
		p := r.Pulleys[i]
		for s := range 2 {
			p.Side = Side(s)
			t.cs[i][s] = circle(&p, &r.Belt.Section, turn)
		}
	}
	for i := range n {
		for j := range n {
			if i != j {
				t.fill(i, j)
			}
		}
	}
	return t
}

func (t *spanTable) at(i, si, j, sj int) *tableSpan {
	return &t.spans[((i*2+si)*t.n+j)*2+sj]
}

func (t *spanTable) fill(i, j int) {
	for si := range 2 {
		for sj := range 2 {
			e := t.at(i, si, j, sj)
			e.Span, e.ok = tangent(&t.cs[i][si], &t.cs[j][sj])
			if !e.ok {
				continue
			}
			for k := range t.n {
				c := &t.cs[k][0]
				if k != i && k != j && segmentDist2(&e.Span, c.X, c.Y) < c.Rim*c.Rim {
					e.blocked |= 1 << k
				}
			}
		}
	}
}

// candidate is one route that closes.
type candidate struct {
	order    [MaxPulleys]int8
	sides    uint32  // bit k: pulley k on the back
	weakest  int8    // pulley with the least grip
	grip     float64 // its wrap times wedge factor, rad
	wrap     float64 // its wrap, rad
	reversed int     // loaded pulleys that turn the other way
	moved    int     // pulleys on another side than before
	sameAs   bool    // the order is that of the run
}

// walk is a depth-first search for closed routes.
type walk struct {
	t       *spanTable
	members uint32
	seq     []int  // members in order of travel, the driver first
	free    bool   // any order, not only seq
	fixed   uint32 // pulleys whose side is given by was
	was     uint32 // sides before the change
	counts  uint32 // pulleys whose grip counts
	loaded  uint32
	wedge   [MaxPulleys]float64

	order  [MaxPulleys]int8
	wraps  [MaxPulleys]float64 // by place in order
	route  [MaxPulleys]*tableSpan
	sides  uint32
	used   uint32
	nodes  int
	budget int
	found  []candidate
}

func (w *walk) start() {
	first := w.seq[0]
	w.order[0] = int8(first)
	w.used = 1 << first
	w.sides = w.was & (1 << first)
	w.step(1, 0)
}

// step places the pulley at depth; turn is what the belt has turned through so
// far, the wrap at depth-1 not included.
func (w *walk) step(depth int, turn float64) {
	if depth == len(w.seq) {
		w.close(depth, turn)
		return
	}
	if !w.free {
		w.place(w.seq[depth], depth, turn)
		return
	}
	for _, k := range w.seq[1:] {
		if w.used&(1<<k) == 0 {
			w.place(k, depth, turn)
		}
	}
}

func (w *walk) place(k, depth int, turn float64) {
	for s := range 2 {
		if w.fixed&(1<<k) != 0 && s != int(w.was>>k&1) {
			continue
		}
		if w.nodes++; w.nodes > w.budget {
			return
		}
		added, ok := w.lead(k, s, depth)
		if !ok {
			continue
		}
		w.order[depth] = int8(k)
		w.used |= 1 << k
		w.sides |= uint32(s) << k
		w.step(depth+1, turn+added)
		w.used &^= 1 << k
		w.sides &^= 1 << k
	}
}

// lead tries the span from the pulley at depth-1 to pulley k and returns what
// the belt turns through on the pulley it leaves. The first pulley's wrap waits
// for the closing span.
func (w *walk) lead(k, s, depth int) (float64, bool) {
	i := int(w.order[depth-1])
	si := int(w.sides >> i & 1)
	sp := w.t.at(i, si, k, s)
	if !sp.ok || sp.blocked&w.members != 0 {
		return 0, false
	}
	w.route[depth-1] = sp
	if depth == 1 {
		return 0, true
	}
	return w.join(depth-1, 0, &sp.Span, &w.t.cs[i][si])
}

// join works out the wrap at a place and whether the span leaving it crosses one
// before it, counting from the span at place from on.
func (w *walk) join(at, from int, sp *Span, c *Circle) (float64, bool) {
	in := &w.route[at-1].Span
	wr := wrap(in.Dir, sp.Dir, c.Turn)
	w.wraps[at] = wr
	if wr > math.Pi && spansCross(in, sp) {
		return 0, false
	}
	for i := from; i < at-1; i++ {
		if spansCross(&w.route[i].Span, sp) {
			return 0, false
		}
	}
	return c.Turn * wr, true
}

func (w *walk) close(n int, turn float64) {
	last, first := int(w.order[n-1]), int(w.order[0])
	sl, sf := int(w.sides>>last&1), int(w.sides>>first&1)
	sp := w.t.at(last, sl, first, sf)
	if !sp.ok || sp.blocked&w.members != 0 {
		return
	}
	w.route[n-1] = sp
	// The last span meets the first on the driver and isn't tested against it
	// here.
	a, ok := w.join(n-1, 1, &sp.Span, &w.t.cs[last][sl])
	if !ok {
		return
	}
	c := &w.t.cs[first][sf]
	w.wraps[0] = wrap(sp.Dir, w.route[0].Dir, c.Turn)
	if w.wraps[0] > math.Pi && spansCross(&sp.Span, &w.route[0].Span) {
		return
	}
	if math.Abs(turn+a+c.Turn*w.wraps[0]-2*math.Pi*w.t.turn) < 1e-6 {
		w.keep(n)
	}
}

func (w *walk) keep(n int) {
	c := candidate{order: w.order, sides: w.sides, grip: math.Inf(1), sameAs: true}
	for at := range n {
		k := int(w.order[at])
		bit := uint32(1) << k
		c.sameAs = c.sameAs && k == w.seq[at]
		if changed := (w.sides^w.was)&bit != 0; changed {
			c.moved++
			if w.loaded&bit != 0 {
				c.reversed++
			}
		}
		if w.counts&bit == 0 {
			continue
		}
		g := w.wraps[at]
		if w.sides&bit == 0 {
			g *= w.wedge[k]
		}
		if g < c.grip {
			c.grip, c.wrap, c.weakest = g, w.wraps[at], int8(k)
		}
	}
	w.found = append(w.found, c)
}
