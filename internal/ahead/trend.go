package ahead

import (
	"cmp"

	"undertray/draw"
	"undertray/internal/advise"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/units"
)

// Trend is what was measured at one check of the part now fitted, over the
// vehicle's distance, how it is expected to go on, and the limits it meets.
type Trend struct {
	Check    *catalogue.Check
	Unit     string // of the figures; "" for bare ones
	Distance string // the unit of distances
	Points   []draw.Point
	Path     []draw.Band // by the forecast to the limit that governs
	Limits   []draw.LimitLine
	// Reach is where the limit that governs is expected to be met, 8 in 10; nil
	// where that is not known or the limit is passed.
	Reach *draw.Band
}

// Trends returns the trend of each check with two figures or more, distances in
// the unit given.
func Trends(r *advise.Report, j *judge.Judgement, wear []Wearout, distance string) []Trend {
	var out []Trend
	for i := range j.Kind.Checks {
		t := Trend{Check: &j.Kind.Checks[i], Unit: j.Kind.Checks[i].FigureUnit(), Distance: distance}
		if t.measure(j); len(t.Points) < 2 {
			continue
		}
		for k := range wear {
			if w := &wear[k]; w.Check.ID == t.Check.ID && w.Governs {
				t.ahead(r, w)
				break
			}
		}
		t.limits(j)
		out = append(out, t)
	}
	return out
}

// measure gathers the figures found on the part now fitted.
func (t *Trend) measure(j *judge.Judgement) {
	if !t.Check.Measured() {
		return
	}
	for _, f := range j.Place.Findings {
		if f.Check != t.Check.ID || f.Value == nil || !f.HasTotal || !j.Place.Fitted.Had(f) {
			continue
		}
		if y, ok := t.figure(*f.Value); ok {
			t.Points = append(t.Points, draw.Point{X: t.far(f.Total), Y: y})
		}
	}
}

// far turns a total into the unit of distances, or leaves it in hours.
func (t *Trend) far(x float64) float64 { return x / units.Must(1, t.Distance).Base() }

// figure returns a figure in the check's own unit, and false where it is of
// another dimension, such as a share of the part's figure.
func (t *Trend) figure(q units.Quantity) (float64, bool) {
	if t.Unit == "" {
		return q.Value(), q.Dimension() == units.Number
	}
	v, err := q.Convert(t.Unit)
	return v, err == nil
}

// ahead fills in how the figure is expected to go on.
func (t *Trend) ahead(r *advise.Report, w *Wearout) {
	for _, a := range w.Path(r) {
		lo := max(a.Low, min(0, a.Mid)) // there is no less tread than none
		t.Path = append(t.Path, draw.Band{X: t.far(a.Total), Mid: a.Mid, Lo: lo, Hi: a.High})
	}
	if w.Crossed || w.When.Expected.IsZero() || w.When.Latest.IsZero() {
		return
	}
	lo, ok1 := r.Forecast.At(w.When.Earliest)
	mid, ok2 := r.Forecast.At(w.When.Expected)
	hi, ok3 := r.Forecast.At(w.When.Latest)
	if ok1 && ok2 && ok3 {
		t.Reach = &draw.Band{Lo: t.far(lo.Expected), Mid: t.far(mid.Expected), Hi: t.far(hi.Expected)}
	}
}

// limits gathers the bounds that the opinions on the part rest on.
func (t *Trend) limits(j *judge.Judgement) {
	for _, r := range j.Reasons {
		if r.Check == nil || r.Check.ID != t.Check.ID {
			continue
		}
		for i := range t.Check.Limits {
			l := &t.Check.Limits[i]
			bound := cmp.Or(l.AtLeast, l.MoreThan, l.AtMost, l.LessThan)
			if bound == nil || l.Authority != r.Authority || !l.Source.Equal(r.Source) || l.Verdict < fleet.PutRight {
				continue
			}
			if y, ok := t.figure(*bound); ok {
				t.Limits = append(t.Limits, draw.LimitLine{At: y, Name: l.Verdict.String(),
					Authority: string(l.Authority), Governs: r.Governs && l == r.Limit})
			}
		}
	}
}
