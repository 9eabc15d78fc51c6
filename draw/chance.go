package draw

import "fmt"

// PastLook is a look that was made, on the x axis of a [Chance].
type PastLook struct {
	At  float64
	Bad bool // something was found
}

// Chance is the chance that a part has failed by each moment ahead, with the
// looks that were made of it before.
type Chance struct {
	Head
	X       Axis
	Without []Band  // shares 0 to 1 with their band, x ascending: nobody looks at it
	With    []Point // the same where it is looked at; empty where that is not known
	Looks   []PastLook
	Next    *float64 // when it is to be looked at next, on the x axis
}

// ChanceChart draws the chance with its band, the chance with looking in
// strokes, today, and at the foot a tick for each look that was made, a long
// one where something was found. Its Desc is the text alternative, and has to
// be given. It fails on fewer than two points and on shares outside 0 to 1.
func ChanceChart(spec Chance) (Figure, error) {
	if err := spec.check(); err != nil {
		return Figure{}, err
	}
	top := 0.0
	shares := make([]Band, len(spec.Without))
	for i, b := range spec.Without {
		shares[i] = Band{b.X, b.Mid * 100, b.Lo * 100, b.Hi * 100}
		top = max(top, shares[i].Hi)
	}
	with := make([]Point, len(spec.With))
	for i, q := range spec.With {
		with[i] = Point{q.X, q.Y * 100}
		top = max(top, with[i].Y)
	}
	y := Axis{Label: "failed by then", Unit: "%", Lo: 0, Hi: min(100, max(1, top*1.1))}
	if err := spec.X.fit(spec.ID, nil); err != nil {
		return Figure{}, err
	}
	p := newPlot(spec.Head, "chance", spec.words(spec.Desc), &spec.X, &y, 12)
	p.band(shares, false)
	p.flag(0, spec.words("today"))
	if spec.Next != nil && p.x.has(*spec.Next) && *spec.Next > 0 {
		p.flag(*spec.Next, spec.words("next look"))
	}
	p.line("d-ahead", with)
	p.line("d-curve", edge(shares, false, func(b Band) float64 { return b.Mid }))
	var good, bad []float64
	for _, l := range spec.Looks {
		if l.Bad {
			bad = append(bad, l.At)
		} else {
			good = append(good, l.At)
		}
	}
	p.rug(bad, 9)
	p.rug(good, 4.5)
	return Figure{Title: spec.Title, Caption: spec.Desc, SVG: p.c.finish()}, nil
}

func (c *Chance) check() error {
	if err := c.Head.check(); err != nil {
		return err
	}
	if c.Desc == "" {
		return fmt.Errorf("draw: figure %s: a chance needs its text alternative", c.ID)
	}
	if len(c.Without) < 2 {
		return fmt.Errorf("draw: figure %s: a chance needs two points or more", c.ID)
	}
	if err := checkBands(c.ID, "chance", c.Without); err != nil {
		return err
	}
	if err := checkPoints(c.ID, "chance with looking", c.With); err != nil {
		return err
	}
	for _, b := range c.Without {
		if b.Lo < 0 || b.Hi > 1 {
			return fmt.Errorf("draw: figure %s: a chance from %g to %g: between 0 and 1", c.ID, b.Lo, b.Hi)
		}
	}
	for _, q := range c.With {
		if q.Y < 0 || q.Y > 1 {
			return fmt.Errorf("draw: figure %s: a chance of %g: between 0 and 1", c.ID, q.Y)
		}
	}
	return nil
}
