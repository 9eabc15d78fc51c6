package drive

import (
	"math"
)

// Bearing is the rolling bearing of a pulley. Fields left 0 are unknown and
// what needs them is left out.
type Bearing struct {
	DynamicN   float64 // dynamic load rating C, N
	Roller     bool    // rollers instead of balls
	Elements   int     // rolling elements in one row
	ElementMM  float64 // their diameter
	PitchMM    float64 // diameter of the circle of their centres
	ContactDeg float64
	OuterTurns bool    // the outer ring turns, as in an idler on a fixed stud
	Share      float64 // of the hub load this bearing takes; 0 means 1
}

func (b *Bearing) validate(name string) error {
	ok := within(b.DynamicN, 0, 1e9) && within(b.ElementMM, 0, 1e4) && within(b.PitchMM, 0, 1e4) &&
		within(b.ContactDeg, 0, 89) && within(b.Share, 0, 100) && b.Elements >= 0 && b.Elements < 1000
	if !ok || (b.PitchMM > 0 && b.ElementMM >= b.PitchMM) {
		return badInput("bearing figures", called("pulley", name), figure("rating", b.DynamicN, "N"),
			figure("elements", float64(b.Elements), ""),
			figure("element", b.ElementMM, "mm"), figure("pitch", b.PitchMM, "mm"))
	}
	return nil
}

// BearingLife is the basic rating life: when one bearing in ten of a large number
// has failed by fatigue. It is not remaining life, which must stand beside it
// wherever it is shown.
type BearingLife struct {
	MillionRevs float64
	Hours       float64
	TooHeavy    bool // load above half the rating: outside the formula's validity
}

// L10 is the basic rating life of a bearing with rating C under an equivalent
// load P (N) at rpm: (C/P)^p million revolutions, p = 3 for balls and 10/3 for
// rollers (ISO 281:2007). Pure radial load is its own equivalent load.
func L10(ratingN, loadN, rpm float64, roller bool) (BearingLife, error) {
	if !within(ratingN, 1, 1e9) || !within(loadN, 1e-3, 1e9) || !within(rpm, 1e-3, 1e6) {
		return BearingLife{}, badInput("bearing load", figure("rating", ratingN, "N"), figure("load", loadN, "N"),
			figure("speed", rpm, "rpm"))
	}
	p := 3.0
	if roller {
		p = 10.0 / 3
	}
	revs := math.Pow(ratingN/loadN, p)
	return BearingLife{MillionRevs: revs, Hours: revs * 1e6 / (60 * rpm), TooHeavy: loadN > ratingN/2}, nil
}

// BearingTones are the rates at which places in a bearing pass one another, Hz.
// Real bearings slip by 1 to 2 %.
type BearingTones struct {
	CageHz    float64 // cage round the fixed ring
	OuterHz   float64 // elements over a place on the outer ring
	InnerHz   float64 // elements over a place on the inner ring
	ElementHz float64 // spin of an element
	BallHz    float64 // a place on an element striking both rings: twice the spin
	Turning   string  // ring whose place moves through the load: "inner" or "outer"
}

// Tones are the rates at a relative speed of the rings in rpm: with
// g = (d/D) cos(a), cage (1-g)/2, outer n(1-g)/2, inner n(1+g)/2, element
// (D/2d)(1-g^2) times the turning rate. Where the outer ring turns the cage goes
// (1+g)/2 round the fixed inner ring and the others stay; belts.md section 7,
// checked against published multipliers.
func (b Bearing) Tones(rpm float64) (BearingTones, error) {
	if err := b.validate("pulley"); err != nil {
		return BearingTones{}, err
	}
	if b.Elements < 2 || b.ElementMM <= 0 || b.PitchMM <= 0 || !within(rpm, 0, 1e6) {
		return BearingTones{}, badInput("bearing tones", figure("elements", float64(b.Elements), ""),
			figure("element", b.ElementMM, "mm"),
			figure("pitch", b.PitchMM, "mm"), figure("speed", rpm, "rpm"))
	}
	hz, n := rpm/60, float64(b.Elements)
	g := b.ElementMM / b.PitchMM * math.Cos(rad(b.ContactDeg))
	spin := hz * b.PitchMM / (2 * b.ElementMM) * (1 - g*g)
	t := BearingTones{
		CageHz: hz * (1 - g) / 2, OuterHz: hz * n * (1 - g) / 2, InnerHz: hz * n * (1 + g) / 2,
		ElementHz: spin, BallHz: 2 * spin, Turning: "inner",
	}
	if b.OuterTurns {
		t.CageHz, t.Turning = hz*(1+g)/2, "outer"
	}
	return t, nil
}
