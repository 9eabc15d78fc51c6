package ahead

import (
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
)

// FigureSaid is a figure that was found, and the middle eight in ten of what was
// forecast for that moment, all in the check's unit.
type FigureSaid struct{ Found, Low, Mid, High float64 }

// MetBy reports whether a finding is at or beyond the bound that was forecast.
func (w *Wearout) MetBy(f *fleet.Finding) bool {
	c, err := f.Value.Compare(w.Bound)
	switch l := w.Limit; {
	case err != nil:
		return false
	case l.AtLeast != nil:
		return c >= 0
	case l.MoreThan != nil:
		return c > 0
	case l.AtMost != nil:
		return c <= 0
	}
	return c < 0
}

// FigureAt returns what was forecast for the moment of a later finding, and false where
// that is not known. A count is taken for what lies up to half beside it.
func (w *Wearout) FigureAt(f *fleet.Finding) (FigureSaid, bool) {
	x, ok := w.in.span(w.from, f.Moment)
	if !ok || f.Value == nil || len(w.path) == 0 || x <= w.path[len(w.path)-1].Exposure[w.Basis.Axis] {
		return FigureSaid{}, false
	}
	b := w.Forecast.ValueAt(x)
	if w.Check.Type == catalogue.Count {
		b.Low, b.High = b.Low-0.5, b.High+0.5
	}
	return FigureSaid{Found: figure(w.Check, *f.Value), Low: b.Low, Mid: b.Mid, High: b.High}, true
}
