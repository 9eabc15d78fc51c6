package ahead_test

import (
	"math"
	"strings"
	"testing"

	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/demo/demotest"
)

// A picture's chances rise, lie in their band, are no higher with looking than
// without, and agree with what the part's chance says; its looks lie behind today.
func TestPictures(t *testing.T) {
	drawn, looked, less := 0, 0, 0
	for _, r := range demotest.All(t) {
		for i := range r.Judgements {
			j := &r.Judgements[i]
			o := ahead.OutlookOf(r, j)
			p, ok := ahead.PictureOf(r, j, o)
			if !ok {
				continue
			}
			drawn++
			last := 0.0
			for m, b := range p.Without {
				if b.Mid < last-1e-6 || b.Lo > b.Mid || b.Mid > b.Hi || b.Hi > 1 {
					t.Errorf("%s %s month %d: %+v after %g", r.Vehicle.ID, j.Position.ID, m, b, last)
				}
				last = b.Mid
				if len(p.With) > 0 && (p.With[m].Y > b.Mid || m > 0 && p.With[m].Y < p.With[m-1].Y-1e-6) {
					t.Errorf("%s %s month %d: with looking %g, without %g", r.Vehicle.ID, j.Position.ID, m,
						p.With[m].Y, b.Mid)
				}
			}
			on := r.On.AddMonths(12)
			if said := o.Chance.Until(on, r.Total+float64(on.Sub(r.On))*r.PerDay()); said-p.Without[12].Mid > 0.01 ||
				p.Without[12].Mid-said > 0.01 {
				t.Errorf("%s %s: a year ahead drawn %g, said %g", r.Vehicle.ID, j.Position.ID, p.Without[12].Mid, said)
			}
			for _, l := range p.Past {
				if l.At > 0 {
					t.Errorf("%s %s: a look in %g months", r.Vehicle.ID, j.Position.ID, l.At)
				}
			}
			if n := len(p.With); n > 0 {
				if p.Next == nil || p.Gap != max(1, math.Round(*p.Next)) ||
					!strings.Contains(p.Words(r).String(), "as often as the next look is away") {
					t.Errorf("%s %s: looked at every %g months, %q", r.Vehicle.ID, j.Position.ID, p.Gap, p.Words(r))
				}
				looked++
				if p.With[n-1].Y < 0.9*last {
					less++
				}
			}
			if p.Words(r) == "" {
				t.Error("no words")
			}
		}
	}
	if drawn < 50 || looked < 20 || less < 10 {
		t.Errorf("%d pictures, %d with looking, of which %d make a difference", drawn, looked, less)
	}
}
