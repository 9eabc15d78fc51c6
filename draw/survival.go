package draw

import (
	"fmt"

	"undertray.example/undertray/internal/message"
)

// Survival is the share of parts still good at each age.
type Survival struct {
	Head
	X        Axis     // age: distance or time
	Curve    []Band   // shares 0 to 1 with their band, x ascending
	Step     bool     // estimated from cases, in steps; else a smooth curve
	Now      *float64 // age of the part that is fitted
	Failed   []float64
	Censored []float64 // taken out while still good, or still running
}

// SurvivalChart draws the curve with its band, the cases it rests on as ticks
// at the foot (failed: long; taken out good: short), and the age of the part
// that is fitted. It fails on shares outside 0 to 1 and on fewer than two
// points.
func SurvivalChart(spec Survival) (Figure, error) {
	if err := spec.check(); err != nil {
		return Figure{}, err
	}
	var xs []float64
	for _, b := range spec.Curve {
		xs = append(xs, b.X)
	}
	xs = append(append(xs, spec.Failed...), spec.Censored...)
	if spec.Now != nil {
		xs = append(xs, *spec.Now)
	}
	if err := spec.X.fit(spec.ID, xs); err != nil {
		return Figure{}, err
	}
	fig := Figure{Title: spec.Title, Caption: spec.caption()}
	desc := spec.words(spec.Desc)
	if desc == "" {
		desc = spec.words(fig.Caption)
	}
	y := Axis{Label: "still good", Unit: "%", Lo: 0, Hi: 100}
	p := newPlot(spec.Head, "survival", desc, &spec.X, &y, 12)
	shares := make([]Band, len(spec.Curve))
	for i, b := range spec.Curve {
		shares[i] = Band{b.X, b.Mid * 100, b.Lo * 100, b.Hi * 100}
	}
	p.band(shares, spec.Step)
	if spec.Now != nil {
		p.flag(*spec.Now, spec.words("this part"))
	}
	p.line("d-curve", edge(shares, spec.Step, func(b Band) float64 { return b.Mid }))
	p.rug(spec.Failed, 9)
	p.rug(spec.Censored, 4.5)
	fig.SVG = p.c.finish()
	return fig, nil
}

// rug sets a tick for each case on the x axis.
func (p *plot) rug(at []float64, long float64) {
	var t trace
	for _, v := range at {
		if p.x.has(v) {
			t.move(p.x.at(v), p.bottom).to(p.x.at(v), p.bottom-long)
		}
	}
	if d := t.d(); d != "" {
		p.c.path("d-frame", d)
	}
}

func (s *Survival) check() error {
	if err := s.Head.check(); err != nil {
		return err
	}
	if len(s.Curve) < 2 {
		return fmt.Errorf("draw: figure %s: a curve needs two points or more", s.ID)
	}
	if err := checkBands(s.ID, "share", s.Curve); err != nil {
		return err
	}
	for i, b := range s.Curve {
		if b.Lo < 0 || b.Hi > 1 {
			return fmt.Errorf("draw: figure %s: share %d: %g to %g: shares run from 0 to 1", s.ID, i+1, b.Lo, b.Hi)
		}
	}
	for _, v := range append(append([]float64{}, s.Failed...), s.Censored...) {
		if !finite(v) {
			return fmt.Errorf("draw: figure %s: age of a case %g", s.ID, v)
		}
	}
	if s.Now != nil && !finite(*s.Now) {
		return fmt.Errorf("draw: figure %s: age now %g", s.ID, *s.Now)
	}
	return nil
}

func (s *Survival) caption() message.Text {
	var cases, now message.Text
	if failed, good := len(s.Failed), len(s.Censored); failed+good > 0 {
		cases = message.Of("At the foot, the cases it rests on: %s, %s",
			message.Counted(failed, "%d failed (long tick)", "%d failed (long ticks)", failed),
			message.Counted(good, "%d taken out or still running good (short tick)",
				"%d taken out or still running good (short ticks)", good))
	}
	if s.Now != nil {
		v := s.at(*s.Now)
		d := axisDecimals(s.X.Lo, s.X.Hi)
		at := message.Name(figure(*s.Now, d))
		if s.X.Unit != "" {
			at = message.Of("%s %s", at, s.X.unit())
		}
		now = message.Of("At %s about %s in 10 are still good", at, figure(v*10, 0))
	}
	return sentences("Share of parts still good at each age; shaded: 8 in 10", now, cases)
}

// at reads the curve's middle, held beyond its ends.
func (s *Survival) at(x float64) float64 {
	c := s.Curve
	if x <= c[0].X {
		return c[0].Mid
	}
	for i := 1; i < len(c); i++ {
		if x < c[i].X {
			if s.Step {
				return c[i-1].Mid
			}
			f := (x - c[i-1].X) / (c[i].X - c[i-1].X)
			return c[i-1].Mid + f*(c[i].Mid-c[i-1].Mid)
		}
	}
	return c[len(c)-1].Mid
}
