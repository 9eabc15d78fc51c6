package drive

import (
	"cmp"
	"errors"
	"math"
	"slices"
)

// The changes below return a changed copy of a run and leave the run alone. The
// copy is checked by New, not here.

func (r Run) named(name string) (Run, int, error) {
	i := r.Index(name)
	if i < 0 {
		return Run{}, -1, badInput("no such pulley", called("pulley", name))
	}
	return r.clone(), i, nil
}

// WithDiameter is the run with another diameter on one pulley, measured as the
// old one was, mm.
func (r Run) WithDiameter(name string, mm float64) (Run, error) {
	c, i, err := r.named(name)
	if err != nil {
		return c, err
	}
	c.Pulleys[i].DiameterMM = mm
	return c, nil
}

// WithCentre is the run with one pulley elsewhere, mm.
func (r Run) WithCentre(name string, at Point) (Run, error) {
	c, i, err := r.named(name)
	if err != nil {
		return c, err
	}
	c.Pulleys[i].Centre = at
	return c, nil
}

// Without is the run with one pulley left out and every other kept on its side
// of the belt. Leaving out the tensioner's pulley leaves fixed centres; the
// driver can't be left out.
func (r Run) Without(name string) (Run, error) {
	c, i, err := r.named(name)
	switch {
	case err != nil:
		return c, err
	case c.Pulleys[i].Driver:
		return Run{}, badInput("driver left out", called("pulley", name))
	case len(c.Pulleys) <= MinPulleys:
		return Run{}, refuse(Fault{Reason: PulleyCount, A: len(c.Pulleys) - 1}, nil)
	}
	c.Pulleys = slices.Delete(c.Pulleys, i, i+1)
	if c.Tensioner.Pulley == name && c.Tensioner.Kind != NoTensioner {
		c.Tensioner = Tensioner{SetN: c.Tensioner.SetN}
	}
	return c, nil
}

// WithPulley is the run with one more pulley, met right after another.
func (r Run) WithPulley(p Pulley, after string) (Run, error) {
	c, i, err := r.named(after)
	switch {
	case err != nil:
		return c, err
	case r.Index(p.Name) >= 0:
		return Run{}, badInput("name taken", called("pulley", p.Name))
	case len(r.Pulleys) >= MaxPulleys:
		return Run{}, refuse(Fault{Reason: PulleyCount, A: len(r.Pulleys) + 1}, nil)
	}
	c.Pulleys = slices.Insert(c.Pulleys, i+1, p)
	return c, nil
}

// Difference is one pulley before and after a change.
type Difference struct {
	Pulley             string
	WrapDeg, WrapWas   float64 // 0 where the pulley is absent
	Ratio, RatioWas    float64 // to the driver; 0 where absent
	Turns, TurnsWas    int     // 0 where absent
	Reversed           bool    // turns the other way now
	Clearance, RoomWas float64 // mm
}

// Comparison is a run before and after a change, both as drawn.
type Comparison struct {
	LengthMM, LengthWas float64 // effective, mm
	Pulleys             []Difference
	BeltFits            bool     // the belt of the run before fits the run after
	Fit                 *Fit     // where it then stands; nil where it doesn't fit
	NoFit               *Refusal // why it doesn't fit; nil where it does, or its length is unknown
}

// Compare lays out two runs and sets them side by side. Without either of them
// it refuses.
func Compare(before, after *Drive) (Comparison, error) {
	if before == nil || after == nil {
		return Comparison{}, badInput("nothing to compare")
	}
	a, b := before.Drawn(), after.Drawn()
	sa, err := before.Speeds(1)
	if err != nil {
		return Comparison{}, err
	}
	c := Comparison{LengthMM: b.EffectiveMM, LengthWas: a.EffectiveMM}
	at := map[string]int{}
	for i, p := range a.Pulleys {
		at[p.Name] = i
		c.Pulleys = append(c.Pulleys, Difference{Pulley: p.Name, WrapWas: p.WrapDeg, RatioWas: sa.Pulleys[i].Ratio,
			TurnsWas: p.Turns, RoomWas: p.ClearanceMM})
	}
	for i, p := range b.Pulleys {
		k, ok := at[p.Name]
		if !ok {
			k = len(c.Pulleys)
			c.Pulleys = append(c.Pulleys, Difference{Pulley: p.Name})
		}
		d := &c.Pulleys[k]
		d.WrapDeg, d.Turns, d.Clearance = p.WrapDeg, p.Turns, p.ClearanceMM
		d.Ratio = after.pitch[after.driver] / after.pitch[i]
		d.Reversed = d.TurnsWas != 0 && d.Turns != d.TurnsWas
	}
	c.judgeBelt(before, after)
	return c, nil
}

// judgeBelt puts the belt of one run on another.
func (c *Comparison) judgeBelt(before, after *Drive) {
	l := before.run.Belt.LengthMM
	if l == 0 {
		return
	}
	f, err := after.Fit(l)
	if err != nil {
		errors.As(err, &c.NoFit)
		return
	}
	c.BeltFits, c.Fit = true, &f
}

// BeltChoice is one belt that fits.
type BeltChoice struct {
	LengthMM float64
	Fit      Fit
}

// BeltsThatFit picks from lengths to be had those that fit with their whole
// tolerance, best first: the tensioner nearest to where it is drawn.
func (d *Drive) BeltsThatFit(lengths []float64) ([]BeltChoice, error) {
	r, err := d.Lengths()
	if err != nil {
		return nil, err
	}
	var out []BeltChoice
	for _, l := range lengths {
		tol := LengthToleranceMM(l)
		if d.mv.idx >= 0 && (l-tol < r.ShortestMM || l+tol > r.LongestMM) {
			continue
		}
		if f, err := d.Fit(l); err == nil {
			out = append(out, BeltChoice{l, f})
		}
	}
	slices.SortStableFunc(out, func(a, b BeltChoice) int {
		return cmp.Compare(math.Abs(a.LengthMM-r.DrawnMM), math.Abs(b.LengthMM-r.DrawnMM))
	})
	return out, nil
}
