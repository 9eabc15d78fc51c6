package units_test

import (
	"math"
	"testing"

	"undertray.example/undertray/units"
)

// Printed factors of NIST SP 811 (2008), Appendix B.8 and B.9. Each row is one
// entry: to convert from "unit" to the SI unit given, multiply by the factor.
// Factors are as printed, seven digits unless exact; they are checked to half a
// unit of the last printed digit (exact ones to 1e-14).
func TestFactorsOfSP811(t *testing.T) {
	const printed, exact = 7e-7, 1e-14
	tests := []struct {
		entry     string
		unit      string
		factor    float64
		si        string  // an SI unit that this package knows
		siPerBase float64 // 1 of the SI unit of the entry is this many si
		tolerance float64
	}{
		{"mile (mi) to meter", "mi", 1.609344e3, "km", 1e-3, exact},
		{"inch (in) to meter", "in", 2.54e-2, "m", 1, exact},
		{"foot (ft) to meter", "ft", 3.048e-1, "m", 1, exact},
		{"mil (0.001 in) to meter", "thou", 2.54e-5, "m", 1, exact},
		{"micron (µ) to meter", "µm", 1e-6, "m", 1, exact},
		{"pound-force foot (lbf · ft) to newton meter", "lbf·ft", 1.355818, "N·m", 1, printed},
		{"pound-force inch (lbf · in) to newton meter", "lbf·in", 1.129848e-1, "N·m", 1, printed},
		{"kilogram-force meter (kgf · m) to newton meter", "kgf·m", 9.80665, "N·m", 1, exact},
		{"pound-force (lbf) to newton", "lbf", 4.448222, "N", 1, printed},
		{"kilogram-force (kgf) to newton", "kgf", 9.80665, "N", 1, exact},
		{"psi (lbf/in2) to pascal", "psi", 6.894757e3, "Pa", 1, printed},
		{"bar (bar) to pascal", "bar", 1e5, "Pa", 1, exact},
		{"millibar (mbar) to pascal", "mbar", 1e2, "Pa", 1, exact},
		{"pound (avoirdupois) (lb) to kilogram", "lb", 4.535924e-1, "kg", 1, printed},
		{"ounce (avoirdupois) (oz) to kilogram", "oz", 2.834952e-2, "kg", 1, printed},
		{"gallon (U.S.) (gal) to cubic meter", "US gal", 3.785412e-3, "l", 1e3, printed},
		{"quart (U.S. liquid) (liq qt) to cubic meter", "US qt", 9.463529e-4, "l", 1e3, printed},
		{"pint (U.S. liquid) (liq pt) to cubic meter", "US pt", 4.731765e-4, "l", 1e3, printed},
		{"ounce (U.S. fluid) (fl oz) to cubic meter", "US fl oz", 2.957353e-5, "l", 1e3, printed},
		{"gallon [Canadian and U.K. (Imperial)] (gal) to cubic meter", "imp gal", 4.54609e-3, "l", 1e3, exact},
		{"ounce [Canadian and U.K. fluid (Imperial)] (fl oz) to cubic meter", "imp fl oz", 2.841306e-5,
			"l", 1e3, printed},
		{"day (d) to second", "days", 8.64e4, "seconds", 1, exact},
		{"hour (h) to second", "hours", 3.6e3, "seconds", 1, exact},
		{"minute (min) to second", "minutes", 6.0e1, "seconds", 1, exact},
		{"mile per hour (mi/h) to meter per second", "mph", 4.4704e-1, "m/s", 1, exact},
		{"kilometer per hour (km/h) to meter per second", "km/h", 2.777778e-1, "m/s", 1, printed},
		{"degree (angle) (°) to radian", "°", 1.745329e-2, "rad", 1, printed},
	}
	for _, tt := range tests {
		got := units.Must(1, tt.unit).In(tt.si)
		want := tt.factor * tt.siPerBase
		if math.Abs(got-want) > tt.tolerance*want {
			t.Errorf("%s: 1 %s = %.12g %s, the table gives %.12g", tt.entry, tt.unit, got, tt.si, want)
		}
	}
}

// Longer figures than the table prints: products of the exact definitions named
// in its footnotes (1 in = 25.4 mm, 1 lb = 0.453 592 37 kg, 9.806 65 m/s²), as
// tabulated for tightening torques in the project's reference data on belts.
func TestExactFactors(t *testing.T) {
	const pound, gravity, inch = 0.45359237, 9.80665, 0.0254
	tests := []struct {
		unit, to string
		want     float64
	}{
		{"lbf", "N", 4.4482216152605},
		{"lbf", "N", pound * gravity},
		{"lbf·ft", "N·m", 1.3558179483314004},
		{"lbf·ft", "N·m", pound * gravity * 12 * inch},
		{"lbf·in", "N·m", 0.1129848290276167},
		{"N·m", "lbf·ft", 0.7375621492772654},
		{"kgf·m", "N·m", 9.80665},
		{"psi", "Pa", pound * gravity / (inch * inch)},
		{"US gal", "ml", 231 * 2.54 * 2.54 * 2.54}, // 231 cubic inches
		{"imp gal", "imp pt", 8},
		{"imp gal", "imp fl oz", 160},
		{"US gal", "US fl oz", 128},
		{"US gal", "US qt", 4},
		{"US qt", "US pt", 2},
		{"lb", "oz", 16},
		{"ft", "in", 12},
		{"in", "thou", 1000},
		{"rad", "°", 180 / math.Pi},
		{"years", "months", 12},
		{"weeks", "hours", 168},
		{"kgf·m", "kgf·cm", 100},
		{"MPa", "bar", 10},
	}
	for _, tt := range tests {
		if got := units.Must(1, tt.unit).In(tt.to); math.Abs(got-tt.want) > 5e-16*tt.want {
			t.Errorf("1 %s = %.17g %s, want %.17g", tt.unit, got, tt.to, tt.want)
		}
	}
	// 25 N·m is 18.4391 lbf·ft to four decimals (the same reference, check K6).
	if got := units.MustParse("25 N·m").In("ft-lb"); math.Abs(got-18.4391) > 1e-4 {
		t.Errorf("25 N·m = %g lbf·ft", got)
	}
}

// SP 811 B.8: t/°C = (t/°F - 32)/1.8 and t/°C = T/K - 273.15. The fixed points
// are the freezing and boiling of water and the temperature where both scales
// agree.
func TestTemperatures(t *testing.T) {
	tests := []struct {
		typed, to string
		want      float64
	}{
		{"32 °F", "°C", 0}, {"212 °F", "°C", 100}, {"-40 °F", "°C", -40}, {"-40 °C", "°F", -40},
		{"0 K", "°C", -273.15}, {"100 °C", "K", 373.15}, {"195 °F", "°C", (195 - 32) / 1.8}, {"68 °F", "K", 293.15},
	}
	for _, tt := range tests {
		if got := units.MustParse(tt.typed).In(tt.to); math.Abs(got-tt.want) > 1e-12*(1+math.Abs(tt.want)) {
			t.Errorf("%s = %.15g %s, want %.15g", tt.typed, got, tt.to, tt.want)
		}
	}
}

// The V-belt rule: a span is deflected by 1/64 inch for every inch of its length
// (an industrial guide of belt makers, given in metric as 16 mm per metre). The
// exact metric figure is 1000/64 = 15.625 mm per metre.
func TestBeltDeflectionRule(t *testing.T) {
	perInch := units.MustParse("1/64 in").Base() / units.MustParse("1 in").Base()
	perMetre := perInch * units.MustParse("1 m").In("mm")
	if perMetre != 15.625 {
		t.Errorf("1/64 in per inch is %v mm per metre, want 15.625", perMetre)
	}
	if rounded := math.Round(perMetre); rounded != 16 {
		t.Errorf("the guide's 16 mm per metre would be %v", rounded)
	}
	// A belt with 10 mm at mid-span, printed as 3/8 in: within half a millimetre.
	if diff := units.MustParse("10 mm").Base() - units.MustParse(`3/8"`).Base(); math.Abs(diff-0.475) > 1e-12 {
		t.Errorf("10 mm and 3/8 in differ by %v mm", diff)
	}
}

// SP 811 B.7.1 gives these as examples of rounding: 36 ft is 11.0 m and not
// 10.9728 m. Its 8 ft, 2.4 m, gets a third digit here (see Quantity.To).
func TestRoundingOfConversions(t *testing.T) {
	tests := []struct{ typed, unit, want string }{
		{"36 ft", "m", "11.0 m"},
		{"8 ft", "m", "2.44 m"},
		{"1 in", "mm", "25.4 mm"},
		{"3/8 in", "mm", "9.525 mm"},
		{"1/64 in", "mm", "0.3969 mm"},
		{"8200 mi", "km", "13197 km"},
		{"1000 kPa", "bar", "10 bar"},
		{"25 N·m", "lbf·ft", "18.4 lbf·ft"},
		{"5 years", "months", "60 months"},
		{"18 months", "years", "1.5 years"},
		{"10 mm", "cm", "1 cm"},
		{"123 in", "mm", "3120 mm"},
		{"195 °F", "°C", "91 °C"},
		{"195.0 °F", "°C", "90.6 °C"},
		{"0 km", "mi", "0 mi"},
		{"0 °C", "°F", "32 °F"},
		{"25.40 mm", "mm", "25.40 mm"},
		{"-30 psi", "kPa", "-207 kPa"},
		{"1000 m", "ft", "3281 ft"},
	}
	for _, tt := range tests {
		if got := units.MustParse(tt.typed).To(tt.unit).String(); got != tt.want {
			t.Errorf("%s to %s is %s, want %s", tt.typed, tt.unit, got, tt.want)
		}
	}
	huge := units.MustParse("900000000000000 MPa")
	if got := huge.To("Pa"); got != huge {
		t.Errorf("a figure that cannot be kept becomes %s", got)
	}
}
