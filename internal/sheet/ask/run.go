package ask

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/sheet"
)

// laid is a belt with its pulleys in their places.
type laid struct {
	Belt
	kind           *BeltKind
	id, name, stem string
	off            string // the opening that takes it off
	facts          facts
	vars           map[string]string
	pulleys        []placed // the crankshaft's first
	tensioner      *table
}

// placed is a pulley in its place, mm from the crankshaft's centre, seen from where
// the belts are.
type placed struct {
	*Machine
	name    string // on the run
	x, y, d float64
	vars    map[string]string
}

// layBelts names the belts and places their pulleys.
func (b *builder) layBelts() error {
	taken := map[string]bool{}
	for i, belt := range b.r.Belts {
		l := laid{Belt: belt, kind: b.kit.beltKind(belt.Kind), facts: maps.Clone(b.r.facts)}
		l.facts["belt-kind"], l.facts["belt-turns"] = words{belt.Kind}, belt.Turns
		l.facts["only"], l.facts["place"] = words{strings.Join(b.driven(belt), " ")}, words{strconv.Itoa(i + 1)}
		for _, n := range b.kit.BeltNames {
			if l.id == "" && l.facts.meet(n.When) && !taken[n.ID] {
				l.id, l.name = n.ID, n.Name
			}
		}
		taken[l.id] = true
		l.stem = strings.TrimSuffix(l.id, "-belt")
		l.off = l.id + "-off"
		if l.kind.Cut {
			l.off = l.id + "-cut"
		}
		if err := b.place(&l); err != nil {
			return err
		}
		before := ""
		if i > 0 {
			before = b.laid[i-1].off
		}
		l.vars = map[string]string{"belt": l.id, "belt name": l.name, "Belt name": say.Capital(l.name),
			"belt off": l.off, "belt before": before, "belt turns": b.turns(belt), "belt x": strconv.Itoa(79 - 2*i),
			"belt y": strconv.Itoa(20 + 2*i)}
		b.describe(&l, i)
		b.laid = append(b.laid, l)
	}
	return nil
}

// driven is what a belt turns, idlers and tensioners left out.
func (b *builder) driven(belt Belt) []string {
	return slices.DeleteFunc(slices.Clone(belt.Turns), func(id string) bool { return b.kit.machine(id).Guide })
}

// turns says what a belt turns.
func (b *builder) turns(belt Belt) string {
	names := []string{"crankshaft"}
	for _, id := range b.driven(belt) {
		names = append(names, say.LowerFirst(b.kit.machine(id).Say))
	}
	return say.Listing(names)
}

// place finds places in which the belt lies as it was answered: pulleys on its ribs
// touch a circle from inside, so that each is wrapped; those on its back press in
// between two of them. Room between them is widened until the run can be worked out.
func (b *builder) place(l *laid) error {
	l.pulleys = []placed{{Machine: b.kit.Crank, name: b.kit.Crank.Say, d: 150}}
	idlers := 0
	for _, id := range l.Turns {
		m := b.kit.machine(id)
		d, _ := strconv.ParseFloat(strings.TrimSuffix(m.Diameter, " mm"), 64)
		p := placed{Machine: m, name: m.Say, d: d}
		switch {
		case m.Tightens:
			p.name = "Tensioner"
		case m.Guide:
			if p.name = "Idler"; idlers > 0 {
				p.name = fmt.Sprintf("Idler %d", idlers+1)
			}
			idlers++
		}
		l.pulleys = append(l.pulleys, p)
	}
	var err error
	for _, room := range []float64{1, 1.4, 1.9, 2.6} {
		arrange(l.pulleys, room)
		l.tensioner = l.tight()
		if err = b.lies(l); err == nil {
			return nil
		}
	}
	return fmt.Errorf("belt %s cannot be laid out: %w", l.Belt, err) // not met by any order that Resolve takes
}

// lies reports whether the run can be worked out.
func (b *builder) lies(l *laid) error {
	t := b.runOf(l, func(int) string { return "" })
	for _, key := range []string{"id", "belt"} {
		t.drop(key)
	}
	t.set("section", l.kind.Section)
	w := &writer{}
	w.block(t, "", "", true)
	s, err := sheet.ReadRun("run", []byte(w.String()))
	if err == nil && len(s.Warnings) > 0 {
		err = s.Warnings[0]
	}
	return err
}

// arrange places pulleys; room widens what lies between them.
func arrange(ps []placed, room float64) {
	var ring []int // those on the ribs
	for i, p := range ps {
		if !p.Back {
			ring = append(ring, i)
		}
	}
	n := len(ring)
	apart := make([]float64, n) // from each to the next on the ring
	for i, at := range ring {
		next := ring[(i+1)%n]
		apart[i] = ps[at].d/2 + ps[next].d/2 + 45*room
		if backs := between(ps, at); len(backs) > 0 {
			for _, k := range backs {
				apart[i] += (ps[k].d + 40) * room
			}
		}
	}
	radius, angles := circle(ps, ring, apart)
	turn := -math.Pi / 2 // the crankshaft lies lowest
	if n == 2 {
		turn = -math.Pi + 0.3 // what a belt of two turns lies beside it
	}
	for i, at := range ring {
		r := radius - ps[at].d/2
		ps[at].x, ps[at].y = r*math.Cos(turn), r*math.Sin(turn)
		turn -= angles[i]
	}
	for i, at := range ring {
		press(ps, at, ring[(i+1)%n], between(ps, at))
	}
	x, y := ps[0].x, ps[0].y
	for i := range ps {
		ps[i].x, ps[i].y = math.Round(ps[i].x-x), math.Round(ps[i].y-y)
	}
}

// between lists the pulleys on the belt's back that follow one on its ribs.
func between(ps []placed, at int) []int {
	var out []int
	for i := at + 1; i < len(ps) && ps[i].Back; i++ {
		out = append(out, i)
	}
	return out
}

// circle is the radius of the circle that pulleys touch from inside, and the angle
// from each to the next, so that all stand apart as far as they want.
func circle(ps []placed, ring []int, apart []float64) (radius float64, angles []float64) {
	n := len(ring)
	r := func(i int) float64 { return ps[ring[i%n]].d / 2 }
	if n == 2 {
		return (max(apart[0], apart[1]) + r(0) + r(1)) / 2, []float64{math.Pi, math.Pi}
	}
	const widest = 150 * math.Pi / 180
	at := func(radius float64) (angles []float64, sum, most float64) {
		angles = make([]float64, n)
		for i := range n {
			a, c := radius-r(i), radius-r(i+1)
			cos := (a*a + c*c - apart[i]*apart[i]) / (2 * a * c)
			angles[i] = math.Acos(min(1, max(-1, cos)))
			sum, most = sum+angles[i], max(most, angles[i])
		}
		return angles, sum, most
	}
	lo, hi := 0.0, 1e4
	for i := range n {
		lo = max(lo, r(i)+1)
	}
	for range 60 {
		radius = (lo + hi) / 2
		if _, sum, most := at(radius); sum > 2*math.Pi || most > widest {
			lo = radius
		} else {
			hi = radius
		}
	}
	angles, sum, _ := at(hi)
	for i := range angles { // what room is left is shared out
		angles[i] += (2*math.Pi - sum) / float64(n)
	}
	return hi, angles
}

// press sets pulleys on the belt's back between two on its ribs, from outside.
func press(ps []placed, from, to int, backs []int) {
	if len(backs) == 0 {
		return
	}
	a, c := ps[from], ps[to]
	dx, dy := c.x-a.x, c.y-a.y
	d := math.Hypot(dx, dy)
	// The belt leaves a and meets c on their outer tangent, which lies to the left of
	// a belt that travels clockwise.
	tilt := math.Asin((c.d - a.d) / 2 / d)
	ux, uy := math.Cos(math.Atan2(dy, dx)+tilt), math.Sin(math.Atan2(dy, dx)+tilt)
	nx, ny := -uy, ux
	sx, sy := a.x+nx*a.d/2, a.y+ny*a.d/2
	length := d * math.Cos(tilt)
	for i, k := range backs {
		along := length * float64(i+1) / float64(len(backs)+1)
		out := ps[k].d/2 - (18 + ps[k].d/4)
		ps[k].x, ps[k].y = sx+ux*along+nx*out, sy+uy*along+ny*out
	}
}

// tight is the tensioner of a run, nil where its centres are fixed.
func (l *laid) tight() *table {
	t := newTable()
	t.set("kind", l.kind.Holds)
	i := slices.IndexFunc(l.pulleys, func(p placed) bool { return p.Tightens })
	switch {
	case l.kind.Tensioners == "none":
		t.set("set", "420 N")
		return t
	case i < 0:
		return nil
	}
	p, n := l.pulleys[i], len(l.pulleys)
	before, after := l.pulleys[i-1], l.pulleys[(i+1)%n]
	along := math.Atan2(after.y-before.y, after.x-before.x)
	t.set("pulley", p.name)
	if l.kind.Tensioners == "one" {
		t.set("pivot_x", mm(p.x+75*math.Cos(along)))
		t.set("pivot_y", mm(p.y+75*math.Sin(along)))
		t.set("low", "-12°")
		t.set("high", "12°")
		t.set("spring", "60 N·m")
		t.set("rise", "0.3 N·m")
		return t
	}
	slide := math.Round(along*180/math.Pi + 90)
	if p.Back { // it slides in, towards the belt
		slide -= 180
	}
	t.set("slide", fmt.Sprintf("%.0f°", math.Mod(slide+720, 360)))
	t.set("low", "-10 mm")
	t.set("high", "10 mm")
	t.set("set", "350 N")
	return t
}

func mm(v float64) string { return fmt.Sprintf("%.0f mm", math.Round(v)+0) }

// runOf is the run as it is written; position names that of a pulley.
func (b *builder) runOf(l *laid, position func(i int) string) *table {
	t := newTable()
	t.set("id", l.stem+"-run")
	t.set("name", say.Capital(l.name))
	if l.id != "" {
		t.set("belt", l.id)
	}
	t.set("typical", "true")
	t.set("turns", "clockwise")
	if b.vars["idle"] != "" {
		t.set("idle", b.vars["idle"])
		t.set("usual", b.vars["usual"])
		t.set("maximum", b.vars["top"])
	}
	if l.tensioner != nil {
		t.set("tensioner", l.tensioner)
	}
	var pulleys []any
	for i, p := range l.pulleys {
		q := newTable()
		q.set("name", p.name)
		if id := position(i); id != "" {
			q.set("position", id)
		}
		q.set("x", mm(p.x))
		q.set("y", mm(p.y))
		q.set("diameter", mm(p.d))
		q.set("side", map[bool]string{true: "back", false: "ribs"}[p.Back])
		if i == 0 {
			q.set("driver", "true")
		} else if l.kind.Section == "" {
			for _, key := range slices.Sorted(maps.Keys(p.Load)) {
				q.set(key, p.Load[key])
			}
			q.set("maximum", p.Maximum)
		}
		pulleys = append(pulleys, q)
	}
	t.set("pulleys", pulleys)
	return t
}

// describe says where each pulley is to be found on the vehicle.
func (b *builder) describe(l *laid, plane int) {
	top := 0.0
	for _, p := range l.pulleys {
		top = max(top, p.y)
	}
	along := b.r.Answer["lies"] != "across"
	idlers := 0
	for i := range l.pulleys {
		p := &l.pulleys[i]
		id := p.ID
		switch {
		case p.Tightens:
			id = l.stem + "-tensioner"
		case p.Guide:
			if id = l.stem + "-idler"; idlers > 0 {
				id += "-" + strconv.Itoa(idlers+1)
			}
			idlers++
		}
		high := p.y > 0.4*top
		side := math.Round(p.x * 0.07)
		where, at, from, way := "", "", "above", "belts-front"
		level := map[bool]string{true: "high", false: "low"}[high]
		if along {
			at = fmt.Sprintf("%.0f %d", min(95, max(5, 50-side)), 21+plane)
			where = level + sideWord(side, " on the engine's left", " in the middle", " on the engine's right")
			if !high {
				from, way = "below", "below"
			}
		} else {
			at = fmt.Sprintf("%d %.0f", 78-plane, min(95, max(8, 45-side)))
			where = level + sideWord(side, " at the front", " in the middle", " at the rear") + " of the belt end"
			from, way = "below", "belts-side"
		}
		p.vars = maps.Clone(l.vars)
		maps.Copy(p.vars, map[string]string{"pulley id": id, "Pulley name": p.name, "pulley from": from,
			"pulley at": at, "pulley where": where, "pulley way": way})
	}
}

// sideWord says on which side a pulley is: x to the right as one looks at the belts is
// the vehicle's left, and its front where the belts are at its right.
func sideWord(side float64, right, middle, left string) string {
	switch {
	case side > 4:
		return right
	case side < -4:
		return left
	}
	return middle
}

// writeRuns writes the belt runs.
func (b *builder) writeRuns(w *writer) {
	w.WriteString(`
# Runs: each belt with the pulleys it goes over, in the order in which it travels, seen
# from where the belts are: x to the right, y upwards from the crankshaft's centre.
# "typical: true" says that the pulleys stand where such pulleys commonly do, in the
# order you gave: nothing of it was measured. Measure or trace yours, then take it out.
runs:
`)
	for i := range b.laid {
		l := &b.laid[i]
		w.block(b.runOf(l, func(n int) string { return b.positionOf(l, n) }), "  - ", "    ", true)
	}
	for _, t := range b.runs {
		t.set("typical", "true")
		w.block(t, "  - ", "    ", true)
	}
}

// positionOf names the position of a pulley, empty where it has none.
func (b *builder) positionOf(l *laid, n int) string {
	p := &l.pulleys[n]
	for _, id := range append(slices.Clone(p.Positions), p.vars["pulley id"]) {
		if slices.ContainsFunc(b.positions, func(t *table) bool { return t.text("id") == id }) {
			return id
		}
	}
	return ""
}
