package drive

import "math"

// The textbook formulas of a belt about to slip. They hold for impending slip
// only: below it the ratio of tensions follows from the load, not from friction.
// Tensions in N, friction coefficients and wraps (rad) without unit.

// CapstanRatio is the largest ratio of tight to slack tension before a belt
// slips: exp(mu * wrap). With speed, it holds for the tensions less
// [CentrifugalN].
func CapstanRatio(mu, wrapRad float64) float64 { return math.Exp(mu * wrapRad) }

// FrictionFor is the inverse of CapstanRatio: the coefficient that a ratio of
// contact tensions needs on a wrap.
func FrictionFor(ratio, wrapRad float64) float64 { return math.Log(ratio) / wrapRad }

// CentrifugalN is the tension that bends the belt's own mass round the pulleys
// and presses on nothing: m v^2, kg/m and m/s.
func CentrifugalN(kgPerM, beltMS float64) float64 { return kgPerM * beltMS * beltMS }

// SlackTension is the slack tension at impending slip under a tight tension:
// Tc + (T1 - Tc)/exp(mu wrap).
func SlackTension(tightN, centrifugalN, mu, wrapRad float64) float64 {
	return centrifugalN + (tightN-centrifugalN)/CapstanRatio(mu, wrapRad)
}

// PowerW is the power a belt carries: (T1 - T2) v.
func PowerW(tightN, slackN, beltMS float64) float64 { return (tightN - slackN) * beltMS }

// InitialTension is the textbook design of a two-pulley drive (Shigley, ch. 17):
// for a difference of tensions deltaN, centrifugal tension and grip
// exp(mu*wrap) it returns the tight and slack tensions at impending slip and the
// initial tension F_i = (F1 + F2)/2 - Fc.
func InitialTension(deltaN, centrifugalN, grip float64) (tight, slack, initial float64) {
	tight = centrifugalN + deltaN*grip/(grip-1)
	slack = tight - deltaN
	return tight, slack, (tight+slack)/2 - centrifugalN
}

// HubLoadN is the pull of two contact tensions on a pulley's shaft:
// sqrt(T1^2 + T2^2 - 2 T1 T2 cos wrap).
func HubLoadN(t1, t2, wrapRad float64) float64 {
	s := math.Sin(wrapRad / 2)
	return math.Sqrt((t1-t2)*(t1-t2) + 4*t1*t2*s*s)
}

// GuideTensionN is an installation tension of 60 N per kW of drive power, from
// SAE J1596 (cancelled) as seen in a summary; the text does not say whether it
// is per span or on the hub.
func GuideTensionN(powerW float64) float64 { return 0.06 * powerW }

// TwoPulley is the closed form of a belt over two pulleys.
type TwoPulley struct {
	SmallRad, LargeRad float64 // wraps
	SpanMM             float64
	LengthMM           float64
	RoughMM            float64 // handbook approximation 2C + pi(D+d)/2 + (D-+d)^2/4C
}

// OpenBelt is an open belt over diameters large and small at a centre distance
// (Shigley eq. 17-1). Circles that touch or contain one another are refused.
func OpenBelt(largeMM, smallMM, centreMM float64) (TwoPulley, error) {
	diff := largeMM - smallMM
	if !twoPulleyInput(largeMM, smallMM, centreMM) || diff < 0 || 2*centreMM <= diff {
		return TwoPulley{}, badInput("open belt", figure("large", largeMM, "mm"), figure("small", smallMM, "mm"),
			figure("apart", centreMM, "mm"))
	}
	b := math.Asin(diff / (2 * centreMM))
	t := TwoPulley{SmallRad: math.Pi - 2*b, LargeRad: math.Pi + 2*b,
		SpanMM: math.Sqrt(4*centreMM*centreMM-diff*diff) / 2}
	t.LengthMM = 2*t.SpanMM + (largeMM*t.LargeRad+smallMM*t.SmallRad)/2
	t.RoughMM = 2*centreMM + math.Pi*(largeMM+smallMM)/2 + diff*diff/(4*centreMM)
	return t, nil
}

// CrossedBelt is a belt crossed between two pulleys (Shigley eq. 17-2). It suits
// flat and round belts only; a [Run] refuses it.
func CrossedBelt(largeMM, smallMM, centreMM float64) (TwoPulley, error) {
	sum := largeMM + smallMM
	if !twoPulleyInput(largeMM, smallMM, centreMM) || 2*centreMM <= sum {
		return TwoPulley{}, badInput("crossed belt", figure("large", largeMM, "mm"), figure("small", smallMM, "mm"),
			figure("apart", centreMM, "mm"))
	}
	w := math.Pi + 2*math.Asin(sum/(2*centreMM))
	t := TwoPulley{SmallRad: w, LargeRad: w, SpanMM: math.Sqrt(4*centreMM*centreMM-sum*sum) / 2}
	t.LengthMM = 2*t.SpanMM + sum*w/2
	t.RoughMM = 2*centreMM + math.Pi*sum/2 + sum*sum/(4*centreMM)
	return t, nil
}

func twoPulleyInput(large, small, centre float64) bool {
	return within(large, 1e-9, tooBig) && within(small, 1e-9, tooBig) && within(centre, 1e-9, tooBig)
}
