package ahead

import (
	"cmp"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// NextTime is what comes next for a part, and when: its visit, or the next oil change.
type NextTime struct {
	On   civil.Date
	Name message.Text
}

// Standings returns where a part stands, as figures over time: one for each check of which a figure was
// taken of the part now fitted, the one that its verdict rests on first; or, where nothing was measured, its
// intervals and the looks at it; or none, where there is neither. X counts days.
func Standings(r *advise.Report, j *judge.Judgement, wear []Wearout, next NextTime,
	prefs units.Preferences) []draw.Standing {
	var out []draw.Standing
	for i := range j.Kind.Checks {
		t := track{r: r, j: j, c: &j.Kind.Checks[i], next: next}
		if t.measure(); len(t.Points) == 0 {
			continue
		}
		t.limits(wear)
		t.ahead(wear)
		s := draw.Standing{Head: draw.Head{Title: message.Name(t.c.Title())}, Measured: &t.Measured}
		out = append(out, timed(s, r, t.begins(), t.ends(), next, prefs))
	}
	rests := func(s draw.Standing) int {
		for _, o := range j.Reasons {
			if o.Check != nil && o.Check.Title() == s.Title.String() && o.Governs && o.Verdict == j.Verdict {
				return 0
			}
		}
		return 1
	}
	slices.SortStableFunc(out, func(a, b draw.Standing) int { return cmp.Compare(rests(a), rests(b)) })
	if len(out) == 0 {
		if s, ok := lasting(r, j, next, prefs); ok {
			out = append(out, s)
		}
	}
	return out
}

// track is what was measured by one check.
type track struct {
	draw.Measured
	r    *advise.Report
	j    *judge.Judgement
	c    *catalogue.Check
	next NextTime
}

// measure gathers the figures found on the part now fitted.
func (t *track) measure() {
	if !t.c.Measured() {
		return
	}
	t.Y = draw.Axis{Label: message.Name(t.c.Title()), Unit: t.c.FigureUnit()}
	for _, f := range t.j.Place.Findings {
		if f.Check != t.c.ID || f.Value == nil || !t.j.Place.Fitted.Had(f) {
			continue
		}
		if y, ok := t.figure(*f.Value); ok {
			t.Points = append(t.Points, draw.Point{X: float64(f.Date.Days()), Y: y})
		}
	}
}

// figure returns a figure in the check's own unit, and false where it is of
// another dimension, such as a share of the part's figure.
func (t *track) figure(q units.Quantity) (float64, bool) {
	if t.Y.Unit == "" {
		return q.Value(), q.Dimension() == units.Number
	}
	v, err := q.Convert(t.Y.Unit)
	return v, err == nil
}

// limits gathers the bounds of every authority, those that say the same at the same figure as one line.
func (t *track) limits(wear []Wearout) {
	for _, by := range judge.Speakers(t.c, t.j.Place) {
		for _, l := range by {
			bound := cmp.Or(l.AtLeast, l.MoreThan, l.AtMost, l.LessThan)
			if bound == nil || l.Verdict < fleet.Watch {
				continue
			}
			y, ok := t.figure(*bound)
			if !ok {
				continue
			}
			line := draw.LimitLine{At: y, Authority: l.Authority.Message(), Governs: t.governs(l, wear),
				Name: beyond(l).With(l.Verdict, t.c.Shown(*bound))}
			i := slices.IndexFunc(t.Limits, func(o draw.LimitLine) bool { return o.Name == line.Name })
			if i < 0 {
				t.Limits = append(t.Limits, line)
				continue
			}
			had := &t.Limits[i]
			had.Governs = had.Governs || line.Governs
			if !strings.Contains(had.Authority.String(), line.Authority.String()) {
				had.Authority = message.Of("%s, %s", had.Authority, line.Authority)
			}
		}
	}
}

// governs reports whether a limit is the one that is followed: that the verdict rests on, or else the one that
// the figure is forecast to meet.
func (t *track) governs(l *fleet.Limit, wear []Wearout) bool {
	for _, o := range t.j.Reasons {
		if o.Check != nil && o.Check.ID == t.c.ID && o.Governs && o.Limit != nil && o.Limit.Verdict >= fleet.Watch {
			return o.Limit == l
		}
	}
	return slices.ContainsFunc(wear, func(w Wearout) bool { return w.Governs && w.Limit == l })
}

// beyond says on which side of its bound a limit holds.
func beyond(l *fleet.Limit) message.Text {
	switch {
	case l.MoreThan != nil:
		return "%s above %s"
	case l.LessThan != nil:
		return "%s below %s"
	}
	return "%s at %s"
}

// ahead fills in how the figure is expected to go on, and where it will be next time.
func (t *track) ahead(wear []Wearout) {
	i := slices.IndexFunc(wear, func(w Wearout) bool { return w.Check.ID == t.c.ID && w.Governs })
	if i < 0 {
		i = slices.IndexFunc(wear, func(w Wearout) bool { return w.Check.ID == t.c.ID })
	}
	if i < 0 {
		return
	}
	const steps = 12
	w, last := &wear[i], t.last()
	for k := range steps + 1 {
		day := last.AddDays(int(float64(t.ends().Sub(last)) * float64(k) / steps))
		if b, ok := t.on(w, day); ok {
			t.Path = append(t.Path, b)
		}
	}
	if b, ok := t.on(w, t.next.On); ok && t.r.On.Before(t.next.On) {
		t.Then = &b
	}
}

// on is what the figure is expected to be on a day after the last measurement, by the usual distance.
func (t *track) on(w *Wearout, day civil.Date) (draw.Band, bool) {
	if day.Before(t.last()) {
		return draw.Band{}, false
	}
	at := fleet.Moment{Date: day}
	at.Total, at.HasTotal = t.r.Forecast.Total(day)
	x, ok := w.in.span(w.from, at)
	if !ok || len(w.path) == 0 {
		return draw.Band{}, false
	}
	v := w.Forecast.ValueAt(max(x, w.path[len(w.path)-1].Exposure[w.Basis.Axis]))
	lo := max(v.Low, min(0, v.Mid)) // there is no less tread than none
	b := draw.Band{X: float64(day.Days()), Lo: min(lo, v.Mid), Mid: v.Mid, Hi: v.High}
	const much = 1e9 // a bend that reaches infinity has no band to draw
	return b, b.Hi < much && b.Lo > -much
}

func (t *track) last() civil.Date {
	q := slices.MaxFunc(t.Points, func(a, b draw.Point) int { return cmp.Compare(a.X, b.X) })
	return civil.FromDays(int(q.X))
}

func (t *track) begins() civil.Date {
	q := slices.MinFunc(t.Points, func(a, b draw.Point) int { return cmp.Compare(a.X, b.X) })
	return civil.FromDays(int(q.X))
}

// ends is the end of a measured figure's time: a third of what lies behind, and the next visit at the least.
func (t *track) ends() civil.Date {
	on := t.r.On
	return later(on.AddDays(max(120, on.Sub(t.begins())/3)), t.next.On.AddDays(30))
}

func later(a, b civil.Date) civil.Date {
	if a.Before(b) {
		return b
	}
	return a
}

// lasting shows how long a part lasts as each authority has it, and the looks at it; false where there is
// neither.
func lasting(r *advise.Report, j *judge.Judgement, next NextTime, prefs units.Preferences) (draw.Standing, bool) {
	s := draw.Standing{Head: draw.Head{Title: "How long it lasts"}}
	from := j.Place.Fitted.From.Date
	for _, k := range looksAt(r.Catalogue, j.Place, j.Place.Fitted, j.Kind) {
		s.Looks = append(s.Looks, draw.SeenMark{At: float64(k.Date.Days()),
			Verdict: advise.DrawnVerdict(verdictOf(k.grade))})
		if from.IsZero() {
			from = k.Date
		}
	}
	if from.IsZero() {
		from = later(r.State.Began, r.Vehicle.Built)
	}
	if from.IsZero() || r.On.Before(from) {
		from = r.On
	}
	end := later(r.On.AddDays(180), next.On.AddDays(30))
	far := r.On.AddMonths(12 * barYears)
	for i := range j.Dues {
		d := &j.Dues[i]
		b := draw.DueBar{From: float64(from.Days()), Governs: d.Governs, Words: d.Interval.Authority.Message()}
		if len(d.Interval.Materials) > 0 {
			b.Words = message.Of("%s (%s)", b.Words, strings.Join(d.Interval.Materials, ", "))
		}
		b.Words = message.Of("%s: %s", b.Words, advise.IntervalWords(d.Interval, prefs))
		mark := d.Mark
		if !d.Rough.IsZero() {
			mark = d.Rough
		}
		w := r.When(mark)
		first := cmp.Or(w.Earliest, w.Expected)
		if b.Open = d.OnCondition || d.Untold() && d.Rough.IsZero() || first.IsZero(); !b.Open {
			b.To = float64(first.Days())
			b.Late = max(b.To, float64(cmp.Or(w.Latest, far).Days()))
			b.From = min(b.From, b.To)
			end = later(end, cmp.Or(w.Expected, first))
		}
		if when := r.WhenDue(d); !d.OnCondition && when != "not known" {
			b.Due = message.Of("due %s", when)
		}
		s.Bars = append(s.Bars, b)
	}
	if far.Before(end) {
		end = far
	}
	if len(s.Bars) == 0 && len(s.Looks) == 0 {
		return s, false
	}
	return timed(s, r, from, end.AddDays(end.Sub(from)/20), next, prefs), true
}

// barYears is how far ahead an interval is drawn.
const barYears = 12

// timed gives a standing its axis of time, with the distance under each date.
func timed(s draw.Standing, r *advise.Report, from, to civil.Date, next NextTime,
	prefs units.Preferences) draw.Standing {
	from = from.AddDays(-max(10, to.Sub(from)/50))
	s.X = draw.Axis{Lo: float64(from.Days()), Hi: float64(to.Days())}
	s.Today = float64(r.On.Days())
	if r.On.Before(next.On) {
		s.Next = &draw.Tick{At: float64(next.On.Days()), Text: next.Name}
	}
	for _, day := range dateTicks(from, to) {
		t := draw.Tick{At: float64(day.Days()), Text: told.ShortMonthYear(day)}
		total, ok := r.State.TotalOn(day)
		if !ok && r.On.Before(day) {
			total, ok = r.Forecast.Total(day)
		}
		if ok {
			t.Under = say.Rough(total, prefs)
		}
		s.X.Ticks = append(s.X.Ticks, t)
	}
	return s
}

// dateTicks returns first days of months between two dates, four at most, the steps round.
func dateTicks(from, to civil.Date) []civil.Date {
	for _, step := range []int{1, 2, 3, 6, 12, 24, 36, 60, 120} {
		var out []civil.Date
		for at := (civil.Date{Year: from.Year, Month: 1, Day: 1}); !to.Before(at); at = at.AddMonths(step) {
			if !at.Before(from) {
				out = append(out, at)
			}
		}
		if len(out) <= 4 {
			return out
		}
	}
	return nil
}
