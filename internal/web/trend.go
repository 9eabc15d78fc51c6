package web

import (
	"cmp"
	"html/template"
	"strconv"

	"undertray/draw"
	"undertray/internal/advise"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/units"
)

// trends draws the measured checks of the part now fitted over the distance
// run, one chart for each check with two figures or more, with the limits the
// authorities set.
func (d *desk) trends(j *judge.Judgement, wear []advise.Wearout) []drawing {
	var out []drawing
	for i := range j.Kind.Checks {
		c := &j.Kind.Checks[i]
		points := d.measured(j, c)
		if len(points) < 2 {
			continue
		}
		unit := d.yard.Settings.Units.Preferred(units.Distance)
		fig, err := draw.TrendChart(draw.Trend{
			Head: draw.Head{ID: "trend-" + strconv.Itoa(i), Title: c.Title(), Width: planWidth},
			X:    draw.Axis{Label: "vehicle's distance", Unit: unit}, Y: draw.Axis{Label: c.Title(), Unit: checkUnit(c)},
			Points: points, Path: d.path(c, wear), Limits: d.limitLines(j, c), Reach: d.reach(c, wear)})
		if err != nil {
			continue // figures all of one day leave nothing to draw
		}
		out = append(out, drawing{Title: fig.Title, Caption: fig.Caption, SVG: template.HTML(fig.SVG)})
	}
	return out
}

func checkUnit(c *catalogue.Check) string {
	if c.Unit == catalogue.NoUnit {
		return ""
	}
	return c.Unit
}

// measured returns the figures found on the part now fitted, in the check's
// unit over the distance in the owner's.
func (d *desk) measured(j *judge.Judgement, c *catalogue.Check) []draw.Point {
	if !c.Measured() {
		return nil
	}
	unit := d.yard.Settings.Units.Preferred(units.Distance)
	var out []draw.Point
	for _, f := range j.Place.Findings {
		if f.Check != c.ID || f.Value == nil || !f.HasTotal || f.Date.Before(j.Place.Fitted.From.Date) {
			continue
		}
		if y, ok := inUnit(*f.Value, c); ok {
			out = append(out, draw.Point{X: inOwn(f.Total, unit), Y: y})
		}
	}
	return out
}

// inOwn turns a distance in km into the owner's unit.
func inOwn(km float64, unit string) float64 { return units.Must(km, "km").In(unit) }

// inUnit returns a figure in the check's own unit, and false where it is of
// another dimension, such as a share of the part's figure.
func inUnit(q units.Quantity, c *catalogue.Check) (float64, bool) {
	if checkUnit(c) == "" {
		return q.Value(), q.Dimension() == units.Number
	}
	v, err := q.Convert(c.Unit)
	return v, err == nil
}

// path is how the figure is expected to go on, by the forecast to the limit
// that governs.
func (d *desk) path(c *catalogue.Check, wear []advise.Wearout) []draw.Band {
	for i := range wear {
		if w := &wear[i]; w.Check.ID == c.ID && w.Governs {
			var out []draw.Band
			for _, a := range w.Path(d.report) {
				lo := max(a.Low, min(0, a.Mid)) // there is no less tread than none
				out = append(out, draw.Band{X: inOwn(a.Total, d.unit()), Mid: a.Mid, Lo: lo, Hi: a.High})
			}
			return out
		}
	}
	return nil
}

// reach is where on the distance axis the limit that governs is expected to be
// met, 8 in 10, or nil where that is not known or the limit is passed.
func (d *desk) reach(c *catalogue.Check, wear []advise.Wearout) *draw.Band {
	for i := range wear {
		w := &wear[i].When
		if wear[i].Check.ID != c.ID || !wear[i].Governs || wear[i].Crossed || w.Expected.IsZero() || w.Latest.IsZero() {
			continue
		}
		lo, ok1 := d.report.Forecast.At(w.Earliest)
		mid, ok2 := d.report.Forecast.At(w.Expected)
		hi, ok3 := d.report.Forecast.At(w.Latest)
		if ok1 && ok2 && ok3 {
			unit := d.unit()
			return &draw.Band{Lo: inOwn(lo.Expected, unit), Mid: inOwn(mid.Expected, unit), Hi: inOwn(hi.Expected, unit)}
		}
	}
	return nil
}

// limitLines returns the bounds that can be drawn on a check's chart.
func (d *desk) limitLines(j *judge.Judgement, c *catalogue.Check) []draw.LimitLine {
	var out []draw.LimitLine
	for _, r := range j.Reasons {
		if r.Check == nil || r.Check.ID != c.ID {
			continue
		}
		for i := range c.Limits {
			l := &c.Limits[i]
			bound := cmp.Or(l.AtLeast, l.MoreThan, l.AtMost, l.LessThan)
			if bound == nil || l.Authority != r.Authority || !l.Source.Equal(r.Source) || l.Verdict < fleet.PutRight {
				continue
			}
			if y, ok := inUnit(*bound, c); ok {
				out = append(out, draw.LimitLine{At: y, Name: l.Verdict.String(), Authority: string(l.Authority), Governs: r.Governs && l == r.Limit})
			}
		}
	}
	return out
}
