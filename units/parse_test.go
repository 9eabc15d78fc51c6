package units_test

import (
	"errors"
	"strings"
	"testing"

	"undertray.example/undertray/units"
)

func TestParseAny(t *testing.T) {
	tests := []struct {
		typed, want string
		dim         units.Dimension
	}{
		{"8200", "8200", units.Number},
		{"8,200", "8200", units.Number},
		{"0.85", "0.85", units.Number},
		{".5", "0.5", units.Number},
		{"-0", "0", units.Number},
		{"+5", "5", units.Number},
		{"007", "7", units.Number},
		{"3/4", "3/4", units.Number},
		{"8,200 mi", "8200 mi", units.Distance},
		{"8200mi", "8200 mi", units.Distance},
		{"8200 Miles", "8200 mi", units.Distance},
		{"13200km", "13200 km", units.Distance},
		{"13 200 km", "13200 km", units.Distance},
		{"13\u202f200\u00a0km", "13200 km", units.Distance}, // narrow no-break and no-break space
		{"13\u2009200 KM", "13200 km", units.Distance},      // thin space
		{"1,234,567.8 km", "1234567.8 km", units.Distance},
		{" 1.50  mm ", "1.50 mm", units.Length},
		{"5 MM", "5 mm", units.Length},
		{`3/8"`, "3/8 in", units.Length},
		{"3/8 in.", "3/8 in", units.Length},
		{"1 1/2 in", "1 1/2 in", units.Length},
		{"1-1/2 inches", "1 1/2 in", units.Length},
		{"1½ in", "1 1/2 in", units.Length},
		{"3⁄8″", "3/8 in", units.Length},
		{"6'", "6 ft", units.Length},
		{"2.5 m", "2.5 m", units.Length},
		{"12 mil", "12 thou", units.Length},
		{"5 um", "5 µm", units.Length},
		{"25 N·m", "25 N·m", units.Torque},
		{"25Nm", "25 N·m", units.Torque},
		{"25 N.m", "25 N·m", units.Torque},
		{"25 n-m", "25 N·m", units.Torque},
		{"18 lbf·ft", "18 lbf·ft", units.Torque},
		{"18 ft-lb", "18 lbf·ft", units.Torque},
		{"18 lb-ft", "18 lbf·ft", units.Torque},
		{"18 ft·lbf", "18 lbf·ft", units.Torque},
		{"18 ftlb", "18 lbf·ft", units.Torque},
		{"18 ft lbs", "18 lbf·ft", units.Torque},
		{"90 in-lb", "90 lbf·in", units.Torque},
		{"90 in-lbf", "90 lbf·in", units.Torque},
		{"2.5 kgf·m", "2.5 kgf·m", units.Torque},
		{"2.5 mkg", "2.5 kgf·m", units.Torque},
		{"90 °C", "90 °C", units.Temperature},
		{"90C", "90 °C", units.Temperature},
		{"195 deg F", "195 °F", units.Temperature},
		{"−40°C", "-40 °C", units.Temperature},
		{"300 K", "300 K", units.Temperature},
		{"110 kPa", "110 kPa", units.Pressure},
		{"110 KPA", "110 kPa", units.Pressure},
		{"3 mpa", "3 MPa", units.Pressure},
		{"15 PSI", "15 psi", units.Pressure},
		{"1.1 bar", "1.1 bar", units.Pressure},
		{"45 N", "45 N", units.Force},
		{"10 lb force", "10 lbf", units.Force},
		{"1.2 kN", "1.2 kN", units.Force},
		{"£24.50", "24.50 GBP", units.Money},
		{"£ 1,024", "1024 GBP", units.Money},
		{"-£5", "-5 GBP", units.Money},
		{"$40", "40 USD", units.Money},
		{"€ 12.00", "12.00 EUR", units.Money},
		{"12 €", "12 EUR", units.Money},
		{"SEK 1 200", "1200 SEK", units.Money},
		{"1 200 SEK", "1200 SEK", units.Money},
		{"4.5 years", "4.5 years", units.TimeSpan},
		{"1 yr", "1 year", units.TimeSpan},
		{"18 Months", "18 months", units.TimeSpan},
		{"90d", "90 days", units.TimeSpan},
		{"20 hrs", "20 hours", units.TimeSpan},
		{"20 h", "20 h", units.EngineHours},
		{"1,240.5 engine hours", "1240.5 h", units.EngineHours},
		{"12.65V", "12.65 V", units.Voltage},
		{"100 mV", "100 mV", units.Voltage},
		{"50 mA", "50 mA", units.Current},
		{"10 kohm", "10 kΩ", units.Resistance},
		{"12 degrees", "12°", units.Angle},
		{"0.2 rad", "0.2 rad", units.Angle},
		{"40%", "40 %", units.Percent},
		{"120 hz", "120 Hz", units.Frequency},
		{"800 RPM", "800 rpm", units.Speed},
		{"60 mph", "60 mph", units.RoadSpeed},
		{"90 kph", "90 km/h", units.RoadSpeed},
		{"3 lbs", "3 lb", units.Mass},
		{"5.5 L", "5.5 l", units.Volume},
		{"5 litres", "5 l", units.Volume},
		{"2 gal (US)", "2 US gal", units.Volume},
		{"3 per 75 mm", "3 per 75 mm", units.Density},
		{"12 per inch", "12 per in", units.Density},
		{"12/in", "12 per in", units.Density},
		{"4 per 3 in", "4 per 3 in", units.Density},
		{`4 per 3"`, "4 per 3 in", units.Density},
		{"2 per 1 1/2 in", "2 per 1 1/2 in", units.Density},
		{"400 ppm", "400 ppm", units.Concentration},
		{"70 Shore A", "70 Shore A", units.Hardness},
		{"Shore A 70", "70 Shore A", units.Hardness},
		{"1.265 sg", "1.265 SG", units.SpecificGravity},
	}
	for _, tt := range tests {
		q, err := units.ParseAny(tt.typed)
		if err != nil || q.String() != tt.want || q.Dimension() != tt.dim {
			t.Errorf("%q reads %q, %s (%v), want %q, %s", tt.typed, q, q.Dimension(), err, tt.want, tt.dim)
			continue
		}
		if again, err := units.Parse(tt.typed, tt.dim); err != nil || again != q {
			t.Errorf("Parse(%q, %s) = %q, %v", tt.typed, tt.dim, again, err)
		}
	}
}

func TestParseBareFigures(t *testing.T) {
	if q, err := units.Parse("1.265", units.SpecificGravity); err != nil || q.String() != "1.265 SG" {
		t.Errorf("a bare specific gravity reads %q, %v", q, err)
	}
	if q, err := units.Parse("gbp 12", units.Money); err != nil || q.String() != "12 GBP" {
		t.Errorf("a code in small letters reads %q, %v", q, err)
	}
	for _, d := range units.Dimensions() {
		_, err := units.Parse("12", d)
		if accepted := d == units.Number || d == units.SpecificGravity; accepted != (err == nil) {
			t.Errorf("a bare figure as %s: %v", d, err)
		}
	}
}

func TestParseSaysWhatWouldBeRight(t *testing.T) {
	tests := []struct {
		typed string
		dim   units.Dimension // 0 for any
		want  string
	}{
		{"8200", units.Distance, `"8200" has no unit: write 8200 km or 8200 mi`},
		{"25", units.Torque, `"25" has no unit: write 25 N·m or 25 lbf·ft`},
		{"12", units.Angle, `"12" has no unit: write 12° or 12 rad`},
		{"", units.Distance, `"" holds no quantity: write for example 8200 mi`},
		{"soon", units.TimeSpan, `"soon" does not begin with a figure: write for example 4 years`},
		{"8,5 mm", 0, `"8,5 mm" has a comma where the decimal point belongs: write 8.5 mm`},
		{"8,5", units.Length, `"8,5" has a comma where the decimal point belongs: write 8.5 mm or 8.5 in`},
		{"0,125 in", 0, `write 0.125 in`},
		{"-0,5 V", 0, `write -0.5 V`},
		{"13 200,5 km", 0, `write 13200.5 km`},
		{"1,2345 km", 0, `write 1.2345 km`},
		{"1,23,456 km", 0, `digits that are not grouped in threes`},
		{"12 34 km", 0, `digits that are not grouped in threes`},
		{"1,234 567 km", 0, `digits that are not grouped in threes`},
		{"5. mm", 0, `ends or continues wrongly after the point`},
		{"1.2.3 mm", 0, `ends or continues wrongly after the point`},
		{"1/0 in", 0, `divides by zero`},
		{"1 9/8 in", 0, `not smaller than one`},
		{"5 m", units.Distance, `"5 m" is a length, not a distance (m is the metre): write 5 km or 5 mi`},
		{"5 m", units.TimeSpan, `write 5 months or 5 minutes`},
		{"10 lb", units.Force, `"10 lb" is a mass, not a force: write 10 lbf`},
		{"25 N·m", units.Distance, `"25 N·m" is a torque, not a distance: write for example 8200 mi`},
		{"40 °", units.Temperature, `write 40 °C or 40 °F`},
		{"30 mPa", 0, `has a unit that is not known, "mPa"`},
		{"5 MV", 0, `not known, "MV"`},
		{"5 gal", units.Volume, `"5 gal" does not say which gallon: write 5 imp gal or 5 US gal`},
		{"1 pt", 0, `does not say which pint`},
		{"8200 klm", units.Distance, `not known, "klm": write 8200 km`},
		{"5 mmm", 0, `not known, "mmm": write 5 mm`},
		{"5 GPa", 0, `not known, "GPa": write for example`},
		{"5-6 mm", units.Length, `"5-6 mm" holds more than one figure: write one quantity, such as 9.5 mm`},
		{`5' 6"`, 0, `holds more than one figure`},
		{"24.555 GBP", 0, `has more decimals than GBP is counted in: write 24.56 GBP`},
		{"1200.5 JPY", 0, `write 1201 JPY`},
		{"1/2 GBP", 0, `an amount of money with a fraction`},
		{"12 gbp", 0, `not known, "gbp": write 12 GBP`},
		{"3 per 0 mm", 0, `is counted over no length that is known, "0 mm": write 3 per 75 mm or 3 per 3 in`},
		{"3 per hour", 0, `is counted over no length that is known, "hour"`},
		{"1234567890123456 km", 0, `more digits than can be kept`},
		{"5 .", 0, `not known, "."`},
		{"\x00\xff 5", 0, `"??`},
	}
	for _, tt := range tests {
		q, err := units.Parse(tt.typed, tt.dim)
		if err == nil {
			t.Errorf("Parse(%q, %s) = %q, want an error", tt.typed, tt.dim, q)
			continue
		}
		if !strings.Contains(err.Error(), tt.want) {
			t.Errorf("Parse(%q, %s): %v, want it to say %s", tt.typed, tt.dim, err, tt.want)
		}
		var e *units.Error
		if !errors.As(err, &e) || e.Text != tt.typed || e.Problem == "" || e.Suggestion == "" {
			t.Errorf("Parse(%q) gives %#v", tt.typed, err)
			continue
		}
		if tt.dim != 0 && !strings.Contains(e.Want, tt.dim.String()) {
			t.Errorf("Parse(%q, %s) wants %q", tt.typed, tt.dim, e.Want)
		}
	}
}

func TestLookup(t *testing.T) {
	if symbol, d, ok := units.Lookup("ft-lbs"); !ok || symbol != "lbf·ft" || d != units.Torque {
		t.Errorf("ft-lbs is %q, %s, %v", symbol, d, ok)
	}
	if _, _, ok := units.Lookup("furlong"); ok {
		t.Error("a furlong is known")
	}
	if got := strings.Join(units.Units(units.Distance), " "); got != "km mi" {
		t.Errorf("units of distance: %s", got)
	}
	if len(units.Units(units.Number)) != 0 || len(units.Units(units.Money)) == 0 {
		t.Error("units of numbers and money are wrong")
	}
}
