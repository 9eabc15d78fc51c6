package units_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"undertray.example/undertray/units"
)

// plain shows the narrow no-break space as an underscore.
func plain(s string) string { return strings.ReplaceAll(s, units.GroupSpace, "_") }

func TestFormat(t *testing.T) {
	tests := []struct {
		value    float64
		unit     string
		decimals int
		want     string
	}{
		{184310.4, "km", 0, "184_310 km"},
		{8200, "mi", 0, "8200 mi"},
		{13200, "km", 0, "13_200 km"},
		{1234567.891, "km", 1, "1_234_567.9 km"},
		{-5.25, "degC", 1, "−5.2 °C"},
		{-0.01, "V", 1, "0.0 V"},
		{-12345, "N", 0, "−12_345 N"},
		{12, "deg", 0, "12°"},
		{1, "years", 0, "1 year"},
		{1, "years", 1, "1.0 years"},
		{2, "years", 0, "2 years"},
		{24.5, "GBP", 2, "£24.50"},
		{-24.5, "£", 2, "−£24.50"},
		{12345.5, "SEK", 2, "12_345.50 SEK"},
		{3.5, "", 2, "3.50"},
		{3, "widgets", 0, "3 widgets"},
		{25, "ft-lb", -3, "25 lbf·ft"},
		{math.NaN(), "km", 0, "no value"},
		{math.Inf(-1), "km", 0, "no value"},
	}
	for _, tt := range tests {
		if got := plain(units.Format(tt.value, tt.unit, tt.decimals)); got != tt.want {
			t.Errorf("Format(%v, %q, %d) = %q, want %q", tt.value, tt.unit, tt.decimals, got, tt.want)
		}
	}
}

func TestShow(t *testing.T) {
	metric := units.Preferences{}
	imperial := units.Preferences{System: units.Imperial}
	mixed := units.Preferences{Units: map[units.Dimension]string{units.Distance: "mi", units.Pressure: "psi",
		units.Length: "mm", units.TimeSpan: "months"}}
	tests := []struct {
		prefs units.Preferences
		typed string
		want  string
	}{
		{metric, "8200 mi", "13_197 km"},
		{metric, "184310.43 km", "184_310 km"},
		{metric, "7.25 km", "7.3 km"},
		{metric, "1.50 mm", "1.50 mm"},
		{metric, "9.52531 mm", "9.525 mm"},
		{metric, "3/8 in", "9.525 mm"},
		{metric, "6 ft", "1.83 m"},
		{metric, "2 cm", "2 cm"},
		{metric, "1.1 bar", "1.1 bar"},
		{metric, "15 psi", "103 kPa"},
		{metric, "18 lbf·ft", "24.4 N·m"},
		{metric, "195 °F", "91 °C"},
		{metric, "5 US qt", "4.73 l"},
		{metric, "4 per 3 in", "3.94 per 75 mm"},
		{metric, "18 months", "18 months"},
		{metric, "24.5 GBP", "£24.50"},
		{metric, "1200 SEK", "1200 SEK"},
		{metric, "12.6543 V", "12.65 V"},
		{metric, "1.265 SG", "1.265 SG"},
		{metric, "12345", "12_345"},
		{imperial, "13200 km", "8202 mi"},
		{imperial, "25 N·m", "18.4 lbf·ft"},
		{imperial, "3/8 in", "3/8 in"},
		{imperial, "3 mm", "0.118 in"},
		{imperial, "2 m", "6.56 ft"},
		{imperial, "-20 °C", "−4 °F"},
		{imperial, "5.5 l", "9.68 imp pt"},
		{imperial, "50 mA", "50 mA"},
		{units.Preferences{System: units.USCustomary}, "5.5 l", "5.81 US qt"},
		{units.Preferences{System: units.USCustomary}, "1 imp gal", "4.80 US qt"},
		{mixed, "13200 km", "8202 mi"},
		{mixed, "1.1 bar", "16.0 psi"},
		{mixed, "2 cm", "20 mm"},
		{mixed, "3 years", "36 months"},
		{mixed, "25 N·m", "25 N·m"},
	}
	for _, tt := range tests {
		if got := plain(tt.prefs.Show(units.MustParse(tt.typed))); got != tt.want {
			t.Errorf("%s for a reader of %s is %q, want %q", tt.typed, tt.prefs.System, got, tt.want)
		}
	}
	// What was set and not read: NIST SP 811 (2008) B.7.1 on the digits it claims.
	for typed, want := range map[string]string{"30000 mi": "48_300 km", "100000 mi": "161_000 km",
		"7500 mi": "12_100 km", "12345 mi": "19_867 km",
		"9600 km": "9600 km", "0 mi": "0 km", "30.0 psi": "207 kPa"} {
		if got := plain(metric.ShowNominal(units.MustParse(typed))); got != want {
			t.Errorf("%s as set is %q, want %q", typed, got, want)
		}
	}
	if got := metric.Show(units.Quantity{}); got != "" {
		t.Errorf("none shows as %q", got)
	}
}

func TestPreferredUnitsFit(t *testing.T) {
	for _, system := range []units.System{units.Metric, units.Imperial, units.USCustomary} {
		p := units.Preferences{System: system}
		for _, d := range units.Dimensions() {
			symbol := p.Preferred(d)
			if d == units.Number || d == units.Money {
				if symbol != "" {
					t.Errorf("%s has a unit, %q", d, symbol)
				}
				continue
			}
			if got, dim, ok := units.Lookup(symbol); !ok || got != symbol || dim != d {
				t.Errorf("%s is shown in %q in %s", d, symbol, system)
			}
		}
	}
}

func TestPreferencesText(t *testing.T) {
	in := units.Preferences{System: units.USCustomary, Units: map[units.Dimension]string{units.Distance: "km"}}
	data, err := json.Marshal(in)
	if err != nil || string(data) != `{"system":"US customary","units":{"distance":"km"}}` {
		t.Fatalf("%s, %v", data, err)
	}
	var out units.Preferences
	if err := json.Unmarshal(data, &out); err != nil || out.System != in.System ||
		out.Preferred(units.Distance) != "km" {
		t.Errorf("reads %+v, %v", out, err)
	}
	if err := in.Validate(); err != nil {
		t.Error(err)
	}
	wrong := units.Preferences{Units: map[units.Dimension]string{units.Torque: "bar"}}
	if err := wrong.Validate(); err == nil ||
		!strings.Contains(err.Error(), `"bar" is no unit to show a torque in: use N·m or lbf·ft`) {
		t.Errorf("torque in bar: %v", err)
	}
	if got := wrong.Show(units.MustParse("25 N·m")); got != "25 N·m" {
		t.Errorf("a unit that does not fit is used: %s", got)
	}
	if err := json.Unmarshal([]byte(`{"system":"troy"}`), &out); err == nil {
		t.Error("troy is a system")
	}
}

func ExampleParse() {
	limit, err := units.Parse(`3/8"`, units.Length)
	fmt.Println(limit, limit.In("mm"), err)
	_, err = units.Parse("8200", units.Distance)
	fmt.Println(err)
	// Output:
	// 3/8 in 9.525 <nil>
	// "8200" has no unit: write 8200 km or 8200 mi
}

func ExamplePreferences_Show() {
	home := units.Preferences{Units: map[units.Dimension]string{units.Distance: "mi"}}
	fmt.Println(home.Show(units.MustParse("9600 km")), "at", home.Show(units.MustParse("18 lbf·ft")))
	// Output: 5965 mi at 24.4 N·m
}
