package judge

import (
	"cmp"
	"math"
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// Meaning is what one answer to a check, or any figure of a band, means on the part
// at a position by itself.
type Meaning struct {
	Answer string // of a check answered in words: the answer's id
	// To is the upper end of a band of figures, in the check's unit, and Within
	// whether it belongs to it. The last band has no end. Each begins where the one
	// before it ends.
	To     *float64
	Within bool
	// Reason governs of what is said of such a finding; nil: nobody speaks.
	Reason *Reason
}

// Meanings is what every answer to a check means at a position that was judged: one
// for each answer, or for each band of figures from the lowest on. It returns false
// where that does not rest on the answer alone: something worse was found by the
// same check on that day, and holds until it is settled.
func (in *Input) Meanings(j *Judgement, check *catalogue.Check) ([]Meaning, bool) {
	today := j.Place.Latest[check.ID]
	if today != nil && today.Date == in.State.On && in.verdictOf(j.Place, j.Kind, today) > fleet.Keep {
		return nil, false
	}
	means := func(found *fleet.Found) *Reason {
		found.Position, found.Check = j.Position.ID, check.ID
		f := &fleet.Finding{Found: found, Moment: fleet.Moment{Date: in.State.On}}
		reasons := in.findingReasons(j.Place, j.Kind, f)
		slices.SortStableFunc(reasons, byGovernment)
		if len(reasons) == 0 || !reasons[0].Governs {
			return nil
		}
		return &reasons[0]
	}
	var out []Meaning
	for _, a := range check.Answers {
		out = append(out, Meaning{Answer: a.ID, Reason: means(&fleet.Found{Answer: a.ID})})
	}
	if !check.Measured() {
		return out, true
	}
	of := func(figure float64) (*Reason, bool) {
		q, err := units.New(figure, check.FigureUnit())
		if err != nil {
			return nil, false
		}
		return means(&fleet.Found{Value: &q}), true
	}
	return bands(in.bounds(j, check), of)
}

// byGovernment puts the opinions that govern first, then the graver.
func byGovernment(a, b Reason) int {
	return cmp.Or(FalseFirst(b.Governs, a.Governs), cmp.Compare(b.Verdict, a.Verdict))
}

// bounds lists the figures, in a check's unit, at which what is said may change,
// from the lowest on.
func (in *Input) bounds(j *Judgement, check *catalogue.Check) []float64 {
	var out []float64
	for _, limits := range bySpeaker(check, j.Place) {
		for _, l := range limits {
			for _, q := range []*units.Quantity{l.AtLeast, l.MoreThan, l.AtMost, l.LessThan} {
				if x, ok := figureOf(q, check, j.Place.Fitted); ok && !slices.Contains(out, x) {
					out = append(out, x)
				}
			}
		}
	}
	slices.Sort(out)
	return out
}

// figureOf is a bound in a check's unit: of one in % of a figure of the part, that
// share of it.
func figureOf(bound *units.Quantity, check *catalogue.Check, part *fleet.Part) (float64, bool) {
	if bound == nil {
		return 0, false
	}
	if whole, ok := part.Spec.Spec[check.Of]; ok && bound.Dimension() == units.Percent &&
		check.Dimension() != units.Percent {
		x, err := whole.Convert(check.FigureUnit())
		return asWritten(bound.Value() / 100 * x), err == nil
	}
	if bound.Dimension() != check.Dimension() {
		return 0, false
	}
	if bound.Dimension() == units.Number {
		return bound.Value(), true
	}
	x, err := bound.Convert(check.FigureUnit())
	return asWritten(x), err == nil
}

// asWritten takes away what the conversion of units adds beyond twelve digits.
func asWritten(x float64) float64 {
	if x == 0 {
		return 0
	}
	step := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-11)
	return math.Round(x/step) * step
}

// bands asks what is said at each bound and between them, and joins neighbours of
// which the same is said.
func bands(at []float64, of func(float64) (*Reason, bool)) ([]Meaning, bool) {
	var out []Meaning
	add := func(m Meaning, figure float64) bool {
		var ok bool
		if m.Reason, ok = of(figure); !ok {
			return false
		}
		if n := len(out); n > 0 && saysTheSame(out[n-1].Reason, m.Reason) {
			out = out[:n-1]
		}
		out = append(out, m)
		return true
	}
	for i, x := range at {
		below := x - 1
		if i > 0 {
			below = (at[i-1] + x) / 2
		}
		if !add(Meaning{To: &at[i]}, below) || !add(Meaning{To: &at[i], Within: true}, x) {
			return nil, false
		}
	}
	beyond := 1.0
	if len(at) > 0 {
		beyond = at[len(at)-1] + 1
	}
	ok := add(Meaning{}, beyond)
	return out, ok
}

// saysTheSame reports whether two opinions are one: how far a figure is from a limit
// that it keeps is left aside.
func saysTheSame(a, b *Reason) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Verdict == b.Verdict && a.Authority == b.Authority && a.Source.Equal(b.Source) && a.Says == b.Says &&
		(a.Limit == nil) == (b.Limit == nil)
}
