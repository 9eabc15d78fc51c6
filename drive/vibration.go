package drive

import "math"

// SpanHz is the lowest tone of a span at rest: sqrt(T/m)/(2 l), a perfect
// string. Tension in N, mass in kg/m, free length in mm. Bending stiffness
// raises the real tone, most on short spans.
func SpanHz(tensionN, kgPerM, spanMM float64) float64 {
	return math.Sqrt(math.Max(0, tensionN)/kgPerM) / (2 * spanMM / 1000)
}

// MovingSpanHz is the lowest tone of a span that travels at beltMS:
// f (1 - v^2/c^2) with c^2 = T/m, T the whole tension in the cord. From memory
// (theory of the axially moving string); 0 when the span has no contact tension
// left.
func MovingSpanHz(tensionN, kgPerM, spanMM, beltMS float64) float64 {
	spare := tensionN - CentrifugalN(kgPerM, beltMS)
	if tensionN <= 0 || spare <= 0 {
		return 0
	}
	return SpanHz(tensionN, kgPerM, spanMM) * spare / tensionN
}

// SpanReading is a span's tone measured at rest.
type SpanReading struct {
	Hz, SpanMM, KgPerM            float64
	HzError, SpanError, MassError float64 // in the same units, either way
	ThickMM                       float64 // belt thickness; 0: don't judge the span's length
}

// SpanTension is the tension read from a tone.
type SpanTension struct {
	TensionN  float64
	ErrorN    float64 // worst case, either way: dT/T = 2 df/f + 2 dl/l + dm/m
	IfOctaveN float64 // if the tone taken was the second mode: a quarter
	IfHalfN   float64 // if it was half the true tone: four times
	ShortSpan bool    // shorter than 20 thicknesses: stiffness makes the tension read high
}

// TensionFromHz is T = 4 m l^2 f^2 (string formula; the same with another unit
// for mass stands in tension-meter manuals, belts.md section 3).
func TensionFromHz(r SpanReading) (SpanTension, error) {
	if !within(r.Hz, 0.1, 1e5) || !within(r.SpanMM, 1, tooBig) || !within(r.KgPerM, 1e-5, 1000) {
		return SpanTension{}, badInput("tone of a span", figure("tone", r.Hz, "Hz"), figure("span", r.SpanMM, "mm"),
			figure("mass", r.KgPerM, "kg/m"))
	}
	if !within(r.HzError, 0, r.Hz) || !within(r.SpanError, 0, r.SpanMM) || !within(r.MassError, 0, r.KgPerM) ||
		!within(r.ThickMM, 0, tooBig) {
		return SpanTension{}, badInput("errors of a tone", figure("tone", r.HzError, "Hz"),
			figure("span", r.SpanError, "mm"), figure("mass", r.MassError, "kg/m"))
	}
	l := r.SpanMM / 1000
	t := 4 * r.KgPerM * l * l * r.Hz * r.Hz
	share := 2*r.HzError/r.Hz + 2*r.SpanError/r.SpanMM + r.MassError/r.KgPerM
	return SpanTension{
		TensionN: t, ErrorN: t * share, IfOctaveN: t / 4, IfHalfN: 4 * t,
		ShortSpan: r.SpanMM < 20*r.ThickMM,
	}, nil
}
