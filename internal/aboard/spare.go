package aboard

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/units"
)

// Spare is what is used up by mending a part once, where it is aboard.
type Spare struct {
	Entry   *fleet.Entry // by which it is aboard
	FitsOne bool         // it is of a size that fits one part
	// Days is how long it has been aboard, and Lasts the interval by which it ages
	// unused, nil where it does not; Good is the share, 0 to 1, of spares of that age
	// that are still good.
	Days  float64
	Lasts *units.Quantity
	Good  float64 // falls from 1 as the kind's law of life has it
	// For is the other part that it is counted for, which is likelier to need it; nil
	// where it is counted for this one.
	For *judge.Judgement
}

// Old reports whether it has been aboard for longer than the interval by which it ages.
func (s *Spare) Old() bool { return s.Lasts != nil && s.Days > s.Lasts.Base() }

// spareOf is the spare aboard for a part, or nil.
func spareOf(cat *catalogue.Catalogue, s *fleet.State, j *judge.Judgement) *Spare {
	about := j.Kind.Life.Mend.Spare
	if about == nil {
		return nil
	}
	e := Carried(s, about.Thing)
	if e == nil {
		return nil
	}
	out := &Spare{Entry: e, FitsOne: about.FitsOne, Days: max(0, float64(s.On.Sub(e.Date))), Good: 1}
	if about.Ages {
		out.Lasts = lasts(j)
	}
	if out.Lasts != nil {
		read := cat.Lives()
		share, shape := cmp.Or(j.Kind.Life.Share, read.Share), cmp.Or(j.Kind.Life.Shape, read.Shape)
		out.Good = math.Pow(1-share, math.Pow(out.Days/out.Lasts.Base(), shape))
	}
	return out
}

// lasts is the interval of time that governs a part or, where that names a distance
// alone, the soonest that names a time; nil for none.
func lasts(j *judge.Judgement) *units.Quantity {
	var out *units.Quantity
	for i := range j.Dues {
		d := &j.Dues[i]
		if d.OnCondition || d.Interval.Time == nil {
			continue
		}
		if d.Governs {
			return d.Interval.Time
		}
		if out == nil || d.Interval.Time.Base() < out.Base() {
			out = d.Interval.Time
		}
	}
	return out
}

// once names what is used up by mending, where it is aboard and its parts can be
// mended with it, or is "".
func (m *Mend) once() string {
	if m.Holds == 0 || m.Spare == nil {
		return ""
	}
	return strings.ToLower(m.Spare.Entry.Aboard.Thing)
}

// Failing is a part that may fail, with the chance that it does.
type Failing struct {
	Part *judge.Judgement
	P    float64
	Mend Mend
}

// Serve counts each spare that fits one part alone for the part that is likeliest to
// be mended with it.
func Serve(all []Failing) {
	for i := range all {
		if best := served(all, &all[i].Mend); best != nil && best != &all[i] {
			spare := *all[i].Mend.Spare
			spare.For = best.Part
			all[i].Mend.Spare, all[i].Mend.Holds = &spare, 0
		}
	}
}

// served is the part that a spare which fits one alone is counted for, or nil.
func served(all []Failing, m *Mend) *Failing {
	if m.once() == "" || !m.Spare.FitsOne {
		return nil
	}
	var best *Failing
	for i := range all {
		f := &all[i]
		if f.Mend.once() == m.once() && (best == nil || f.P*f.Mend.Holds > best.P*best.Mend.Holds) {
			best = f
		}
	}
	return best
}

// Through is the chance, 0 to 1, of getting through with what is aboard, of parts
// that fail independently of each other. What is used up by mending helps the first
// that fails of those it fits.
func Through(all []Failing) float64 {
	alive := 1.0
	for i := range all {
		if f := &all[i]; f.Once() == "" {
			alive *= 1 - f.Mend.Strands(f.P)
		} else {
			alive *= 1 - f.P
		}
	}
	for _, s := range Pools(all) {
		alive *= 1 + s.Odds
	}
	return min(alive, 1)
}

// Pools lists the spares that parts may need.
func Pools(all []Failing) []Pool {
	var out []Pool
	for i := range all {
		f := &all[i]
		if f.Once() == "" {
			continue
		}
		k := slices.IndexFunc(out, func(s Pool) bool { return s.Thing == f.Once() })
		if k < 0 {
			k = len(out)
			out = append(out, Pool{Thing: f.Once()})
		}
		out[k].Odds += f.Odds()
	}
	return out
}

// Pool is a spare that several parts may need, with the odds that one of them alone
// fails and is mended with it, against none failing.
type Pool struct {
	Thing string
	Odds  float64
}

// Once names the spare that mending the part uses up, in small letters; "" for none, or
// where it fails for certain.
func (f *Failing) Once() string {
	if f.P >= 1 {
		return ""
	}
	return f.Mend.once()
}

// Odds is what a part adds to those of its spare.
func (f *Failing) Odds() float64 { return f.Mend.Holds * f.P / (1 - f.P) }
