package draw

import (
	"fmt"
	"math"
	"slices"
)

// LimitLine is where a measured value changes the verdict, and who says so.
type LimitLine struct {
	At        float64
	Name      string // "put right", "watch"
	Authority string // "part maker"
	Governs   bool   // the one that is followed
}

// Trend is measured wear and where it is heading.
type Trend struct {
	Head
	X, Y   Axis
	Points []Point // measured
	Path   []Band  // expected, from the last point on, with its band
	Limits []LimitLine
	Today  *float64 // on the x axis
	Reach  *Band    // where on the x axis the governing limit is reached: Lo, Mid, Hi; X is ignored
}

// TrendChart draws measured points, the path expected with its band (8 in 10),
// a line at each limit with its authority, and where the path meets the limit
// that governs. It fails without points and on numbers that are not finite.
func TrendChart(spec Trend) (Figure, error) {
	if err := spec.check(); err != nil {
		return Figure{}, err
	}
	if err := spec.fit(); err != nil {
		return Figure{}, err
	}
	fig := Figure{Title: spec.Title, Caption: spec.caption()}
	desc := spec.Desc
	if desc == "" {
		desc = spec.describe()
	}
	p := newPlot(spec.Head, "trend", desc, &spec.X, &spec.Y, 12)
	p.band(spec.Path, false)
	p.limits(spec.Limits, spec.Reach)
	p.line("d-ahead", edge(spec.Path, false, func(b Band) float64 { return b.Mid }))
	if spec.Today != nil {
		p.flag(*spec.Today, "today")
	}
	pts := slices.Clone(spec.Points)
	slices.SortStableFunc(pts, func(a, b Point) int { return cmpFloat(a.X, b.X) })
	p.line("d-curve", pts)
	for _, q := range pts {
		if p.x.has(q.X) && p.y.has(q.Y) {
			p.c.circle("d-dot", p.x.at(q.X), p.y.at(q.Y), 3.4)
		}
	}
	fig.SVG = p.c.finish()
	return fig, nil
}

// fit settles the axes so that all there is to show lies on the paper.
func (t *Trend) fit() error {
	var xs, ys []float64
	for _, q := range t.Points {
		xs, ys = append(xs, q.X), append(ys, q.Y)
	}
	for _, b := range t.Path {
		xs, ys = append(xs, b.X), append(ys, b.Lo, b.Hi)
	}
	for _, l := range t.Limits {
		ys = append(ys, l.At)
	}
	if t.Today != nil {
		xs = append(xs, *t.Today)
	}
	if t.Reach != nil {
		xs = append(xs, t.Reach.Lo, t.Reach.Hi)
	}
	if len(t.Limits) > 0 { // room for the name over the highest line
		lo, hi := slices.Min(ys), slices.Max(ys)
		ys = append(ys, hi+(hi-lo)*.07)
	}
	if err := t.X.fit(t.ID, xs); err != nil {
		return err
	}
	return t.Y.fit(t.ID, ys)
}

func (t *Trend) check() error {
	if err := t.Head.check(); err != nil {
		return err
	}
	if len(t.Points) == 0 {
		return fmt.Errorf("draw: figure %s: a trend needs at least one measured point", t.ID)
	}
	if err := checkPoints(t.ID, "point", t.Points); err != nil {
		return err
	}
	if err := checkBands(t.ID, "expected value", t.Path); err != nil {
		return err
	}
	for _, l := range t.Limits {
		if !finite(l.At) {
			return fmt.Errorf("draw: figure %s: limit %q at %g", t.ID, l.Name, l.At)
		}
	}
	if t.Today != nil && !finite(*t.Today) {
		return fmt.Errorf("draw: figure %s: today at %g", t.ID, *t.Today)
	}
	if r := t.Reach; r != nil && (!finite(r.Lo, r.Mid, r.Hi) || r.Lo > r.Mid || r.Mid > r.Hi) {
		return fmt.Errorf("draw: figure %s: the limit is reached between %g and %g, at %g: finite and in order", t.ID,
			r.Lo, r.Hi, r.Mid)
	}
	return nil
}

// limits rules a line at each limit, its name and authority at the left where
// the path has not come yet, names kept apart.
func (p *plot) limits(ls []LimitLine, reach *Band) {
	var in []LimitLine
	for _, l := range ls {
		if p.y.has(l.At) {
			in = append(in, l)
		}
	}
	slices.SortStableFunc(in, func(a, b LimitLine) int { return cmpFloat(p.y.at(a.At), p.y.at(b.At)) })
	want := make([]float64, len(in))
	for i, l := range in {
		want[i] = p.y.at(l.At) - 4
	}
	base := slots(want, 12.5, p.top+9, p.bottom-4)
	for i, l := range in {
		y := p.y.at(l.At)
		class, words := "d-limit", "d-note"
		if l.Governs {
			class, words = "d-limit-first", "d-note-put-right"
		}
		p.c.line(class, p.left, y, p.right, y)
		text := l.text()
		w := textWidth(text, letter)
		if l.Governs {
			w *= boldLetter / meanLetter
		}
		p.c.rect("d-halo", p.left+7, base[i]-7, w, 6)
		p.c.text(words, fromLeft, p.left+6, base[i], text)
		if l.Governs && reach != nil {
			p.reach(y, reach)
		}
	}
}

func (l *LimitLine) text() string {
	if l.Authority == "" {
		return l.Name
	}
	return l.Name + ": " + l.Authority
}

// reach brackets the stretch of the x axis in which the limit is reached.
func (p *plot) reach(y float64, r *Band) {
	a, b := p.x.at(p.x.clamp(r.Lo)), p.x.at(p.x.clamp(r.Hi))
	p.c.line("d-now", a, y, a, p.bottom)
	p.c.line("d-now", b, y, b, p.bottom)
	p.c.path("d-cross", new(trace).move(a, p.bottom-5).to(a, p.bottom).to(b, p.bottom).to(b, p.bottom-5).d())
	if p.x.has(r.Mid) {
		m := p.x.at(r.Mid)
		p.c.path("d-put-right", arrowHead(place{m, p.bottom - 1}, math.Pi/2, 8))
	}
}

func (t *Trend) governing() *LimitLine {
	for i := range t.Limits {
		if t.Limits[i].Governs {
			return &t.Limits[i]
		}
	}
	return nil
}

func (t *Trend) caption() string {
	first := "Dots: measured"
	if len(t.Path) > 1 {
		first += "; broken line: expected; shaded: 8 in 10 fall inside"
	}
	limit := ""
	if g := t.governing(); g != nil {
		limit = "Heavy line: the limit followed, " + g.text()
		if len(t.Limits) > 1 {
			limit += "; chain lines: the other limits"
		}
	}
	return sentence(first, limit, t.reachWords())
}

func (t *Trend) reachWords() string {
	if t.Reach == nil {
		return ""
	}
	d := axisDecimals(t.X.Lo, t.X.Hi)
	unit := ""
	if t.X.Unit != "" {
		unit = " " + t.X.Unit
	}
	return "Bracket: reached between " + figure(t.Reach.Lo, d) + " and " + figure(t.Reach.Hi,
		d) + unit + ", most likely at " + figure(t.Reach.Mid, d) + unit
}

// axisDecimals is how many decimals tell three figures apart on an axis.
func axisDecimals(lo, hi float64) int {
	return int(math.Max(0, math.Min(6, 2-math.Floor(math.Log10(hi-lo)))))
}

func (t *Trend) describe() string {
	last := t.Points[0]
	for _, q := range t.Points {
		if q.X >= last.X {
			last = q
		}
	}
	d := axisDecimals(t.Y.Lo, t.Y.Hi)
	s := plural(len(t.Points), "measurement", "measurements") + " of " + t.Y.Label + ", the last " + figure(last.Y, d)
	if t.Y.Unit != "" {
		s += " " + t.Y.Unit
	}
	for _, l := range t.Limits {
		s += "; limit " + l.text() + ", " + figure(l.At, d)
	}
	return sentence(s, t.reachWords())
}
