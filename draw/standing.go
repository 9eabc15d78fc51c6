package draw

import (
	"math"
	"slices"

	"undertray.example/undertray/internal/message"
)

// LimitLine is where a measured value changes the verdict, and who says so.
type LimitLine struct {
	At        float64
	Name      message.Text // "put right from 3"
	Authority message.Text // "part maker"
	Governs   bool         // the one that is followed
}

// Measured is what was measured of a part, how it is expected to go on, and every limit it
// meets, on one scale.
type Measured struct {
	Y      Axis
	Points []Point // measured
	Path   []Band  // expected, from the last point on; 8 in 10 fall inside
	Then   *Band   // at the next visit; X is ignored
	Limits []LimitLine
}

// DueBar is how long a part lasts as one authority has it.
type DueBar struct {
	Words    message.Text // "part maker: 80 500 km or 5 years"
	Due      message.Text // "due in April 2027"
	From, To float64
	Late     float64 // how much later it may be reached; at most To: the day is certain
	Governs  bool
	Open     bool // no end is named: by condition, or not known
}

// SeenMark is a look at the part, with what came of it.
type SeenMark struct {
	At      float64
	Verdict Verdict
}

// Shot is a picture of the part, under the day on which it was taken.
type Shot struct {
	At    float64
	Src   string       // address of the small picture
	Href  string       // where it leads
	Label message.Text // what a screen reader says
}

// Standing is where a part stands: what was measured along time, or else its intervals, with
// today and the next visit marked and the pictures that were taken on the same axis.
type Standing struct {
	Head
	X        Axis // time, of which Ticks are marked; a Tick's Under is the vehicle's distance then
	Today    float64
	Next     *Tick     // the next visit, or what else comes next, and its name
	Measured *Measured // nil: nothing is measured of it
	Bars     []DueBar  // drawn where nothing is measured
	Looks    []SeenMark
	Shots    []Shot
}

// Sizes of a standing, px.
const (
	widestGutter = .48  // of the width, beside the scale, for the limits' names
	limitGap     = 25.0 // between two names of two lines each
	barLong      = 42.0 // of a bar with its words
	shotSize     = 34.0
	shotMost     = 8
)

// StandingChart draws one part's standing. Measured: dots, the path expected with its band
// (8 in 10), every limit with its name and who says so beside the scale, names kept apart, and where
// the figure will be at the next visit. Not measured: a bar for each interval, and a mark for
// each look. It fails where there is nothing to show and on numbers that are not finite.
func StandingChart(spec Standing) (Figure, error) {
	if err := spec.check(); err != nil {
		return Figure{}, err
	}
	fig := Figure{Title: spec.Title, Caption: spec.caption()}
	desc := spec.words(spec.Desc)
	if desc == "" {
		desc = spec.words(spec.describe())
	}
	s := &standing{spec: &spec}
	s.left, s.right, s.top = 12, spec.Width-12, 20
	if m := spec.Measured; m != nil {
		s.scaleOf(m)
	} else {
		s.bottom = s.top + float64(len(spec.Bars))*barLong + 4
		if len(spec.Looks) > 0 {
			s.bottom += 24
		}
	}
	s.x = scale{spec.X.Lo, spec.X.Hi, s.left, s.right, false}
	total := s.bottom + 20
	if spec.X.under() {
		total += 13
	}
	if len(spec.Shots) > 0 {
		total += shotSize + 18
	}
	s.c.begin(spec.Head, "standing", desc, spec.Width, total, len(spec.Shots) > 0)
	if spec.Measured != nil {
		s.measured(spec.Measured)
	} else {
		s.bars()
	}
	s.flags()
	if spec.Measured == nil {
		s.dues()
	}
	s.foot()
	s.shots()
	fig.SVG = s.c.finish()
	return fig, nil
}

// under reports whether a tick has a second line.
func (a *Axis) under() bool {
	return slices.ContainsFunc(a.Ticks, func(t Tick) bool { return t.Under != "" })
}

// standing is the paper of a [Standing].
type standing struct {
	plot
	spec *Standing
}

// scaleOf settles where a measured figure's scale stands, as high as its limits' names ask for.
func (s *standing) scaleOf(m *Measured) {
	high := math.Max(math.Min(s.spec.Width*.5, 300), float64(len(m.Limits))*limitGap+8)
	s.top += 13
	s.bottom = s.top + high
	widest := 0.0
	for _, t := range m.Y.ticks(max(3, int(high/44))) {
		widest = math.Max(widest, textWidth(s.spec.words(t.Text), letter))
	}
	s.left = math.Max(22, widest+tickLong+6)
	longest := 0.0
	for _, l := range m.Limits {
		for _, text := range []message.Text{l.Name, l.Authority} {
			longest = math.Max(longest, textWidth(s.spec.words(text), letter)*boldLetter/meanLetter)
		}
	}
	if longest > 0 {
		s.right = s.spec.Width - math.Min(longest+16, s.spec.Width*widestGutter)
	}
	s.y = scale{m.Y.Lo, m.Y.Hi, s.bottom, s.top, false}
}

func (s *standing) measured(m *Measured) {
	c := &s.c
	c.text("d-word", fromLeft, 1, 11, s.spec.words(m.Y.name()))
	for _, t := range m.Y.ticks(max(3, int((s.bottom-s.top)/44))) {
		at := s.y.at(t.At)
		c.line("d-grid", s.left, at, s.right, at)
		c.line("d-frame", s.left-tickLong, at, s.left, at)
		c.text("d-note", toRight, s.left-tickLong-3, at+3.5, s.spec.words(t.Text))
	}
	c.line("d-frame", s.left, s.top, s.left, s.bottom)
	s.band(m.Path, false)
	s.limits(m.Limits)
	s.line("d-ahead", edge(m.Path, false, func(b Band) float64 { return b.Mid }))
	pts := slices.Clone(m.Points)
	slices.SortStableFunc(pts, func(a, b Point) int { return cmpFloat(a.X, b.X) })
	s.line("d-curve", pts)
	for _, q := range pts {
		if s.x.has(q.X) && s.y.has(q.Y) {
			c.circle("d-dot", s.x.at(q.X), s.y.at(q.Y), 3.4)
		}
	}
	if m.Then != nil && s.spec.Next != nil && s.x.has(s.spec.Next.At) {
		at := s.x.at(s.spec.Next.At)
		lo, hi := s.y.at(s.y.clamp(m.Then.Lo)), s.y.at(s.y.clamp(m.Then.Hi))
		ends := new(trace).move(at-4, lo).to(at+4, lo).move(at, lo).to(at, hi).move(at-4, hi).to(at+4, hi)
		c.path("d-curve", ends.d())
		c.circle("d-ring", at, s.y.at(s.y.clamp(m.Then.Mid)), 3)
	}
}

// limits rules a line at each limit and leads it to its name beside the scale; names stand in the
// order of their limits and never touch.
func (s *standing) limits(ls []LimitLine) {
	in := slices.Clone(ls)
	slices.SortStableFunc(in, func(a, b LimitLine) int { return cmpFloat(s.y.at(a.At), s.y.at(b.At)) })
	want := make([]float64, len(in))
	for i, l := range in {
		want[i] = s.y.at(l.At)
	}
	base := slots(want, limitGap, s.top+6, s.bottom-14)
	for i, l := range in {
		y, line, name := s.y.at(l.At), "d-limit", "d-note"
		if l.Governs {
			line, name = "d-limit-first", "d-note-put-right"
		}
		s.c.line(line, s.left, y, s.right, y)
		s.c.path("d-lead", new(trace).move(s.right, y).to(s.right+8, base[i]).to(s.right+11, base[i]).d())
		for k, text := range []message.Text{l.Name, l.Authority} {
			s.c.text(name, fromLeft, s.right+14, base[i]+3+float64(k)*11, s.spec.words(text))
		}
	}
}

// bars draws each interval with its words over it, what has run over its end, and the looks.
func (s *standing) bars() {
	y := s.top + 6
	now := s.x.at(s.x.clamp(s.spec.Today))
	for i := range s.spec.Bars {
		b, words := &s.spec.Bars[i], "d-note"
		if b.Governs {
			words = "d-bold"
		}
		s.c.text(words, fromLeft, s.left, y+9, s.spec.words(b.Words))
		from, to := s.x.at(s.x.clamp(b.From)), s.x.at(s.x.clamp(b.To))
		top, tall := y+15, 8.0
		switch {
		case b.Open:
			s.c.line("d-ahead", from, top+4, s.right, top+4)
		default:
			s.c.rect("d-band", from, top, to-from, tall)
			s.c.path("d-frame", new(trace).move(from, top).to(to, top).to(to, top+tall).to(from, top+tall).close().d())
			if late := s.x.at(s.x.clamp(b.Late)); late > to+1 {
				s.c.path("d-hidden", new(trace).move(to, top).to(late, top).to(late, top+tall).to(to, top+tall).d())
			}
			if b.Governs && to < now {
				s.c.line("d-cross", to, top+4, now, top+4)
			}
			if b.Governs {
				s.c.line("d-limit-first", to, top-3, to, top+tall+3)
			}
		}
		y += barLong
	}
	if len(s.spec.Looks) == 0 {
		return
	}
	for _, l := range s.spec.Looks {
		if s.x.has(l.At) {
			s.c.mark(l.Verdict, s.x.at(l.At), s.bottom-10, .95)
		}
	}
}

// dues writes when each bar ends under its end, within the paper.
func (s *standing) dues() {
	for i := range s.spec.Bars {
		b := &s.spec.Bars[i]
		due := s.spec.words(b.Due)
		w := textWidth(due, letter)
		if w == 0 {
			continue
		}
		x := math.Max(s.left, math.Min(s.right-w, s.x.at(s.x.clamp(b.To))-w))
		y := s.top + 6 + float64(i)*barLong + 32
		s.c.rect("d-halo", x, y-7, w, 6)
		s.c.text("d-note", fromLeft, x, y, due)
	}
}

// flags marks today to the left of its line and the next visit to the right of its own, so that
// their words stay apart however near they are.
func (s *standing) flags() {
	flag := func(at float64, anchor, text string, x float64) {
		if s.x.has(at) {
			s.c.line("d-now", s.x.at(at), s.top-3, s.x.at(at), s.bottom)
			s.c.text("d-note", anchor, x, s.top-6, text)
		}
	}
	today := s.spec.words("today")
	right := math.Max(s.x.at(s.spec.Today), textWidth(today, letter)+1)
	if n := s.spec.Next; n != nil && n.At > s.spec.Today {
		name := s.spec.words(n.Text)
		left := math.Min(math.Max(s.x.at(n.At), right)+3, s.spec.Width-textWidth(name, letter)-1)
		flag(n.At, fromLeft, name, left)
		right = math.Min(right, left-5)
	}
	flag(s.spec.Today, toRight, today, right)
}

// foot draws the axis of time with the distance under each date that has room.
func (s *standing) foot() {
	c := &s.c
	c.line("d-frame", s.left, s.bottom, s.right, s.bottom)
	clear := math.Inf(-1)
	for _, t := range s.spec.X.Ticks {
		if !s.x.has(t.At) {
			continue
		}
		text := s.spec.words(t.Text)
		at, w := s.x.at(t.At), math.Max(textWidth(text, letter), textWidth(t.Under, letter))
		c.line("d-frame", at, s.bottom, at, s.bottom+tickLong)
		mid := math.Max(w/2, math.Min(s.spec.Width-w/2-1, at))
		if mid-w/2 < clear {
			continue
		}
		c.text("d-note", centred, mid, s.bottom+15, text)
		if t.Under != "" {
			c.text("d-note", centred, mid, s.bottom+28, t.Under)
		}
		clear = mid + w/2 + 7
	}
}

// shots sets the newest pictures under their days, side by side, each led to its day.
func (s *standing) shots() {
	in := slices.DeleteFunc(slices.Clone(s.spec.Shots), func(p Shot) bool { return !s.x.has(p.At) })
	slices.SortStableFunc(in, func(a, b Shot) int { return cmpFloat(a.At, b.At) })
	room := int((s.spec.Width - 4) / (shotSize + 6))
	in = in[max(0, len(in)-min(shotMost, room)):]
	want := make([]float64, len(in))
	for i, p := range in {
		want[i] = s.x.at(p.At)
	}
	mids := slots(want, shotSize+6, shotSize/2+1, s.spec.Width-shotSize/2-1)
	top := s.bottom + 30
	if s.spec.X.under() {
		top += 13
	}
	for i, p := range in {
		s.c.circle("d-tip", want[i], s.bottom, 2)
		s.c.link("d-call", p.Href, s.spec.words(p.Label))
		s.c.el("image", "d-part", ` x="`+num(mids[i]-shotSize/2)+`" y="`+num(top)+`" width="`+num(shotSize)+
			`" height="`+num(shotSize)+`" preserveAspectRatio="xMidYMid slice" href="`+esc(p.Src)+`"`)
		s.c.end()
		s.c.line("d-lead", want[i], top-9, mids[i], top-1)
	}
}
