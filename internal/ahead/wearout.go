package ahead

import (
	"cmp"
	"errors"
	"math"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/units"
	"undertray.example/undertray/wear"
)

// Wearout is when a measured figure is expected to meet a limit.
type Wearout struct {
	Check    *catalogue.Check
	Limit    *fleet.Limit
	Bound    units.Quantity // the figure at which the limit holds
	Governs  bool           // of the authority that the owner follows
	Forecast *wear.Forecast
	Basis    wear.Basis
	When     advise.When // 8 in 10
	Crossed  bool
	// Surprise compares the newest finding with what was forecast before it;
	// nil with fewer than two findings, and but in an Outlook.
	Surprise *wear.Surprise
	Prior    bool // nothing but prior belief stands behind the rate

	in   exposure
	from fleet.Moment
	path wear.Path
	kind *wear.Kind
}

// wearKey names what is prepared once. It is a part's own: what is believed of it
// beforehand goes by its vehicle, and it is no peer of itself.
type wearKey struct {
	part  *fleet.Part
	check string
	limit wear.Limit
	axes  int
}

type preparedWear struct {
	kind *wear.Kind
	err  error
}

// Wearouts forecasts every measured figure of a part against each authority's
// limit that asks for a change, in the order of the kind's checks. Figures the
// catalogue does not know to wear are left out, and so are those of which too
// little is known.
func Wearouts(r *advise.Report, j *judge.Judgement) []Wearout { return wearouts(r, j, false) }

// wearouts is Wearouts, with the newest figures compared with what was forecast
// before them, which takes several times as long, or not.
func wearouts(r *advise.Report, j *judge.Judgement, compared bool) []Wearout {
	var out []Wearout
	for i := range j.Kind.Checks {
		c := &j.Kind.Checks[i]
		if c.Wear == nil {
			continue
		}
		first := len(out)
		for _, l := range wearLimits(c, j) {
			if w, err := wearoutOf(r, j, c, l); err == nil {
				out = append(out, *w)
			}
		}
		if compared {
			surprised(out[first:])
		}
	}
	return out
}

// surprised compares the newest figure with what was forecast before it: once
// for all limits of a check, by the forecast to the one that is met first.
func surprised(ws []Wearout) {
	if len(ws) == 0 {
		return
	}
	next := &ws[0]
	for i := range ws {
		if !ws[i].When.Expected.IsZero() &&
			(next.When.Expected.IsZero() || ws[i].When.Expected.Before(next.When.Expected)) {
			next = &ws[i]
		}
	}
	s := surprise(next.kind, next.path, next.Basis.Axis)
	for i := range ws {
		ws[i].Surprise = s
	}
}

// wearLimits returns the limits of a check, one for each speaker, at which the
// part is to be changed; a share of a figure of the part is none of them.
func wearLimits(c *catalogue.Check, j *judge.Judgement) []*fleet.Limit {
	var out []*fleet.Limit
	for _, group := range judge.Speakers(c, j.Place) {
		for _, l := range group {
			bound := cmp.Or(l.AtLeast, l.MoreThan, l.AtMost, l.LessThan)
			if l.Verdict >= fleet.PutRight && bound != nil && bound.Dimension() == c.Dimension() {
				out = append(out, l)
				break
			}
		}
	}
	return out
}

// errUnmeasured says that there is nothing to forecast from.
var errUnmeasured = errors.New("not measured yet")

func wearoutOf(r *advise.Report, j *judge.Judgement, c *catalogue.Check, l *fleet.Limit) (*Wearout, error) {
	w := &Wearout{Check: c, Limit: l, from: j.Place.Fitted.From}
	limit := w.limit(c, l)
	axes := axes(r, j, c)
	w.path = ownPath(j.Place, j.Place.Fitted, c, axes)
	if len(w.path) == 0 {
		return nil, errUnmeasured
	}
	kind, err := prepared(r, j, c, limit, axes)
	if err != nil {
		return nil, err
	}
	w.kind = kind
	if w.Forecast, err = kind.Forecast(w.path); err != nil {
		return nil, err
	}
	w.Basis = w.Forecast.Basis()
	w.in = axes[w.Basis.Axis]
	w.Prior = w.Basis.Own < 2 && w.Basis.Peers == 0
	cross := w.Forecast.Crossing()
	w.Crossed = cross.Crossed
	w.When = crossing(r, w.from, w.in, cross)
	w.Governs = governs(j, c, l)
	return w, nil
}

// limit turns a catalogue limit into the engine's.
func (w *Wearout) limit(c *catalogue.Check, l *fleet.Limit) wear.Limit {
	out := wear.Limit{Counts: c.Type == catalogue.Count}
	switch {
	case l.AtLeast != nil:
		w.Bound = *l.AtLeast
	case l.MoreThan != nil:
		w.Bound = *l.MoreThan
	case l.AtMost != nil:
		w.Bound, out.Falling = *l.AtMost, true
	default:
		w.Bound, out.Falling = *l.LessThan, true
	}
	out.Value = figure(c, w.Bound)
	return out
}

// figure is a quantity as the plain number that is forecast: in the check's
// own unit.
func figure(c *catalogue.Check, q units.Quantity) float64 {
	if v, err := q.Convert(c.Unit); err == nil {
		return v
	}
	return q.Value()
}

// axes returns the exposures a part's findings are known in: distance and
// time, or time alone.
func axes(r *advise.Report, j *judge.Judgement, c *catalogue.Check) []exposure {
	from := j.Place.Fitted.From
	for _, f := range j.Place.Findings {
		if f.Check == c.ID && f.Value != nil && !f.Moment.HasTotal {
			return []exposure{byTime}
		}
	}
	if !from.HasTotal {
		return []exposure{byTime}
	}
	return []exposure{byDistance, byTime}
}

// ownPath returns the figures found on one part, by exposure since its
// fitting, the last of those found at the same moment.
func ownPath(place *fleet.Place, part *fleet.Part, c *catalogue.Check, axes []exposure) wear.Path {
	var out wear.Path
	for _, f := range place.Findings {
		if f.Check != c.ID || f.Value == nil || f.Value.Dimension() != c.Dimension() || !part.Had(f) {
			continue
		}
		o := wear.Observation{Value: figure(c, *f.Value)}
		if f.Counted != nil {
			o.SD = f.Counted.SD()
		}
		for _, a := range axes {
			x, ok := a.span(part.From, f.Moment)
			if !ok {
				break
			}
			o.Exposure = append(o.Exposure, x)
		}
		if len(o.Exposure) < len(axes) {
			continue
		}
		if n := len(out); n > 0 && out[n-1].Exposure[0] == o.Exposure[0] {
			out[n-1] = o
			continue
		}
		out = append(out, o)
	}
	return out
}

func prepared(r *advise.Report, j *judge.Judgement, c *catalogue.Check, limit wear.Limit,
	axes []exposure) (*wear.Kind, error) {
	x := r.Experienced()
	material := j.Place.Fitted.Material()
	key := wearKey{part: j.Place.Fitted, check: c.ID, limit: limit, axes: len(axes)}
	p := x.Once(key, func() any {
		var peers []wear.Path
		for _, l := range x.Of(j.Kind.ID, r.Vehicle.Counts.Dimension()) {
			if l.Part == j.Place.Fitted || !sameMaterial(material, l.Part.Material()) {
				continue
			}
			if p := ownPath(l.Place, l.Part, c, axes); len(p) > 1 {
				peers = append(peers, p)
			}
		}
		kind, err := wear.Prepare(limit, wearPrior(r, j, c, axes), peers, len(axes))
		return &preparedWear{kind, err}
	}).(*preparedWear)
	return p.kind, p.err
}

// wearPrior believes, until something is measured, that a part meets its
// limit about when its interval says.
func wearPrior(r *advise.Report, j *judge.Judgement, c *catalogue.Check, axes []exposure) wear.Prior {
	var p wear.Prior
	if s := c.Wear.Start; s != nil {
		p.Start, p.HasStart = figure(c, *s), true
	}
	due := replacementInterval(j)
	if due == nil {
		return p
	}
	perDay := r.PerDay()
	for _, a := range axes {
		life := 0.0
		if q := due.Interval.Time; q != nil {
			life = q.Base()
		}
		if q := due.Interval.Distance; q != nil && perDay > 0 && (life == 0 || q.Base()/perDay < life) {
			life = q.Base() / perDay
		}
		if a == byDistance {
			life *= perDay
		}
		if life <= 0 {
			return wear.Prior{Start: p.Start, HasStart: p.HasStart}
		}
		p.Life = append(p.Life, life)
	}
	return p
}

// crossing turns exposures at which a limit is met into distance and dates.
func crossing(r *advise.Report, from fleet.Moment, in exposure, c wear.Crossing) advise.When {
	early, mid, late := markAt(r, from, in, c.Earliest), markAt(r, from, in, c.Expected), markAt(r, from, in, c.Latest)
	w := r.When(mid)
	w.Earliest, w.Latest = r.When(early).Expected, r.When(late).Expected
	w.Reached = c.Crossed
	return w
}

func markAt(r *advise.Report, from fleet.Moment, in exposure, x float64) judge.Mark {
	if math.IsInf(x, 1) || x > 1e7 {
		return judge.Mark{}
	}
	if in == byDistance {
		return judge.Mark{Total: from.Total + x, HasTotal: true}
	}
	return judge.Mark{Date: from.Date.AddDays(int(x))}
}

// surprise compares the newest figure with the forecast made before it.
func surprise(kind *wear.Kind, path wear.Path, axis int) *wear.Surprise {
	n := len(path)
	if n < 2 {
		return nil
	}
	before, err := kind.Forecast(path[:n-1])
	if err != nil || axis >= len(path[n-1].Exposure) {
		return nil
	}
	s, err := before.Compare(path[n-1].Exposure[before.Basis().Axis], path[n-1].Value)
	if err != nil {
		return nil
	}
	return &s
}

func governs(j *judge.Judgement, c *catalogue.Check, l *fleet.Limit) bool {
	for _, r := range j.Reasons {
		if r.Check != nil && r.Check.ID == c.ID && r.Authority == l.Authority && r.Source.Equal(l.Source) {
			return r.Governs || r.Limit == l
		}
	}
	return false
}
