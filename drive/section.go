package drive

import (
	"fmt"
	"math"
	"strings"

	"undertray.example/undertray/internal/message"
)

// Family is the shape of a belt section.
type Family uint8

// Families of section.
const (
	Ribbed Family = iota // several ribs in matching grooves
	Vee                  // one trapezoidal strand, or several side by side
	Flat                 // plain on both sides
)

// Standing says how well a figure is supported.
type Standing uint8

// Standings, from best to least.
const (
	Published  Standing = iota // seen in a published text
	SecondHand                 // seen in a text that reports the standard, not in the standard
	Computed                   // follows from other figures
	FromMemory                 // not verified; check before relying on it
)

// String names the standing in plain words.
func (s Standing) String() string { return s.Message().String() }

// Message is String as a text.
func (s Standing) Message() message.Text {
	return [...]message.Text{"published", "second-hand", "computed", "from memory"}[min(s, FromMemory)]
}

// Figure is one figure with where it comes from, for showing beside a result.
type Figure struct {
	Name     string
	Value    float64
	Unit     string
	Standing Standing
	Source   message.Text
}

// Section is the cross-section of a belt and the pulley groove that suits it.
// The functions [PK], [PJ], [AV10], [AV13] and [FlatSection] return ready ones;
// every field may be changed afterwards, LineMM above all, since belt makers
// differ. Lengths in mm, angles in degrees.
type Section struct {
	Name       string
	Family     Family
	PitchMM    float64 // from rib to rib; 0 unless ribbed
	GrooveDeg  float64 // full groove angle; 0 for flat
	BallMM     float64 // measuring ball; 0 where diameters aren't measured so
	OverBallMM float64 // diameter over balls less effective diameter
	TipMM      float64 // effective less outside diameter at GrooveDeg
	TipPerDeg  float64 // rise of TipMM per degree of groove angle
	LineMM     float64 // b_e: pitch radius less effective radius, used for ratios
	OtherLine  float64 // a second opinion on LineMM, shown beside it; 0 for none
	BackMM     float64 // H_b: from the back surface to the cord
	ThickMM    float64 // whole thickness
	RibKgPerM  float64 // mass per metre and rib, strand or, if flat, mm of width
	MinMM      float64 // smallest recommended effective diameter
	MinBackMM  float64 // smallest recommended pulley on the back; 0 unknown
	MaxSpeed   float64 // m/s
	Figures    []Figure
}

// PK is the profile of ISO 9981 for vehicle accessories. LineMM is the 2 mm
// that ISO 9981:2020 clause 5.4 gives for speed ratios; OtherLine the 1.6 mm
// remembered from DIN 7867.
func PK() Section {
	return Section{
		Name: "PK", Family: Ribbed, PitchMM: 3.56, GrooveDeg: 40, BallMM: 2.5,
		OverBallMM: 0.990, TipMM: 0.885, TipPerDeg: (0.885 - 0.815) / 3,
		LineMM: 2.0, OtherLine: 1.6, BackMM: 1.2, ThickMM: 4.5, RibKgPerM: 0.0207,
		MinMM: 45, MinBackMM: 90, MaxSpeed: 50,
		Figures: []Figure{
			{"rib pitch", 3.56, "mm", Published, "ISO 9982, glossary entry"},
			{"groove angle", 40, "deg", SecondHand, "SAE J1459, summary; a 37 deg groove exists"},
			{"measuring ball", 2.5, "mm", Published, "SAE J1459, preview text"},
			{"over balls less effective", 0.990, "mm", SecondHand, "SAE J1459, summary"},
			{"effective less outside", 0.885, "mm", Computed, "difference of two diameters in SAE J1459, summary"},
			{"effective line differential", 2.0, "mm", Published, "ISO 9981:2020, 5.4, nominal, for speed ratio"},
			{"effective line differential, other", 1.6, "mm", FromMemory, "DIN 7867"},
			{"back to cord", 1.2, "mm", FromMemory, "1.0 to 1.5; measure the belt"},
			{"thickness", 4.5, "mm", FromMemory, "4 to 5; measure the belt"},
			{"mass per rib", 0.0207, "kg/m", FromMemory, "0.018 to 0.024; weigh the belt"},
			{"smallest effective diameter", 45, "mm", Published,
				"ISO 9981:2020, 5.2; 50 practical, SAE J1596, summary"},
			{"smallest pulley on the back", 90, "mm", SecondHand, "SAE J1596, summary, K section"},
			{"belt speed", 50, "m/s", SecondHand, "SAE J1596, summary"},
		},
	}
}

// PJ is the small ribbed profile of ISO 9982. Its difference between diameter
// over balls and effective diameter is checked by the groove geometry (a tip
// rounded to 0.2 mm gives 0.226 mm); the rest is from memory.
func PJ() Section {
	const memory = "ISO 9982, not verified"
	return Section{
		Name: "PJ", Family: Ribbed, PitchMM: 2.34, GrooveDeg: 40, BallMM: 1.5,
		OverBallMM: 0.23, TipMM: 0.4, LineMM: 1.25, BackMM: 1.0, ThickMM: 3.8,
		RibKgPerM: 0.0082, MinMM: 20, MaxSpeed: 50,
		Figures: []Figure{
			{"rib pitch", 2.34, "mm", FromMemory, memory},
			{"groove angle", 40, "deg", FromMemory, memory},
			{"measuring ball", 1.5, "mm", FromMemory, memory},
			{"over balls less effective", 0.23, "mm", Computed, "groove geometry with a tip radius of 0.2 mm"},
			{"effective less outside", 0.4, "mm", FromMemory, "0 to 0.81; measure over balls instead"},
			{"effective line differential", 1.25, "mm", FromMemory, memory},
			{"back to cord", 1.0, "mm", FromMemory, "measure the belt"},
			{"thickness", 3.8, "mm", FromMemory, "measure the belt"},
			{"mass per rib", 0.0082, "kg/m", FromMemory, "weigh the belt"},
			{"smallest effective diameter", 20, "mm", FromMemory, memory},
			{"belt speed", 50, "m/s", Published, "a ribbed-belt catalogue extract"},
		},
	}
}

// AV10 is the 10 mm V-belt of ISO 2790 for vehicle accessories. ISO 2790:2020
// defines a belt by top width and effective length; the figures are from memory.
func AV10() Section {
	return vee("AV10", 2.07, 2.6, 8, 0.074, 57)
}

// AV13 is the 13 mm V-belt of ISO 2790; see [AV10].
func AV13() Section {
	return vee("AV13", 2.87, 3.4, 10, 0.125, 70)
}

// vee builds a V section. The pitch line lies inside the effective line, so
// LineMM is negative: half the difference between outside and pitch length over
// 2*pi, 13 and 18 mm for the two widths.
func vee(name string, inside, back, thick, kg, least float64) Section {
	const memory = "ISO 2790, not verified"
	return Section{
		Name: name, Family: Vee, GrooveDeg: 36, LineMM: -inside, BackMM: back,
		ThickMM: thick, RibKgPerM: kg, MinMM: least, MaxSpeed: 50,
		Figures: []Figure{
			{"groove angle", 36, "deg", FromMemory, memory},
			{"effective line differential", -inside, "mm", FromMemory, "outside less pitch length over 2 pi"},
			{"back to cord", back, "mm", FromMemory, "measure the belt"},
			{"thickness", thick, "mm", FromMemory, memory},
			{"mass per strand", kg, "kg/m", FromMemory, "weigh the belt"},
			{"smallest effective diameter", least, "mm", FromMemory, memory},
			{"belt speed", 50, "m/s", SecondHand, "SAE J1596, summary, K section; no figure for V-belts seen"},
		},
	}
}

// FlatSection is a plain belt of the given thickness, mm. The pitch line is
// taken at half thickness, the effective line at the inner surface (common
// practice). Mass assumes 1100 kg/m3 (from memory): weigh the belt.
func FlatSection(thickMM float64) Section {
	kg := 1100e-6 * thickMM
	return Section{
		Name: "flat", Family: Flat, LineMM: thickMM / 2, BackMM: thickMM / 2,
		ThickMM: thickMM, RibKgPerM: kg, MaxSpeed: 50,
		Figures: []Figure{
			{"effective line differential", thickMM / 2, "mm", FromMemory, "half thickness, common practice"},
			{"mass per mm of width", kg, "kg/m", FromMemory, "1100 kg/m3; weigh the belt"},
			{"belt speed", 50, "m/s", SecondHand, "SAE J1596, summary, K section; no figure for flat belts seen"},
		},
	}
}

// SectionNamed returns the ready section of that name: PK, PJ, AV10, AV13 or
// flat (2 mm thick). Case and spaces do not matter.
func SectionNamed(name string) (Section, error) {
	switch strings.ToUpper(strings.ReplaceAll(name, " ", "")) {
	case "PK":
		return PK(), nil
	case "PJ":
		return PJ(), nil
	case "AV10":
		return AV10(), nil
	case "AV13":
		return AV13(), nil
	case "FLAT":
		return FlatSection(2), nil
	}
	return Section{}, badInput("no such section", called("section", name))
}

// Measure says how a pulley's diameter was taken.
type Measure uint8

// Ways of stating a diameter. The first three mean a grooved pulley (for a flat
// section, any pulley), the last a plain rim.
const (
	Effective Measure = iota // the effective diameter, as marked or drawn
	Outside                  // with a caliper over the groove tips
	OverBalls                // over two measuring balls or pins in opposite grooves
	Plain                    // outside of a smooth pulley
)

// String names the way of measuring.
func (m Measure) String() string {
	switch m {
	case Effective:
		return "effective"
	case Outside:
		return "outside"
	case OverBalls:
		return "over balls"
	case Plain:
		return "plain"
	}
	return fmt.Sprintf("measure %d", uint8(m))
}

// tip is effective less outside diameter at a groove angle.
func (s *Section) tip(grooveDeg float64) float64 {
	if s.Family != Ribbed {
		return s.TipMM
	}
	return s.TipMM + (grooveDeg-s.GrooveDeg)*s.TipPerDeg
}

// EffectiveMM converts a diameter of a grooved pulley to the effective diameter
// (belts.md section 1): less 0.990 mm over balls and plus 0.885 mm (0.815 mm in
// a 37 degree groove) over the tips for PK. grooveDeg 0 means the section's own
// angle. A plain rim has no effective diameter; its own comes back.
func (s Section) EffectiveMM(mm float64, as Measure, grooveDeg float64) float64 {
	if grooveDeg == 0 {
		grooveDeg = s.GrooveDeg
	}
	switch as {
	case Outside:
		return mm + s.tip(grooveDeg)
	case OverBalls:
		return mm - s.OverBallMM
	}
	return mm
}

// GrooveApexMM is the diameter at which the flanks of a groove would meet, less
// the diameter over balls: 2(p/2 / tan(a/2) - b/2 / sin(a/2) - b/2) for pitch p,
// ball b, full angle a in degrees. It ties pitch, ball and angle together;
// derived in belts.md, check G6.
func GrooveApexMM(pitchMM, ballMM, angleDeg float64) float64 {
	h := rad(angleDeg) / 2
	return 2 * (pitchMM/2/math.Tan(h) - ballMM/2/math.Sin(h) - ballMM/2)
}

// WedgeFactor is how much a groove of full angle grooveDeg multiplies friction:
// 1/sin(angle/2), 2.92 at 40 degrees; 1 for 0 (no groove). It is an upper bound
// for ribbed belts, and a worn belt that bottoms out loses it.
func WedgeFactor(grooveDeg float64) float64 {
	if grooveDeg <= 0 {
		return 1
	}
	return 1 / math.Sin(rad(grooveDeg)/2)
}
