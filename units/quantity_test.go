package units_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"go.yaml.in/yaml/v4"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/units"
)

func TestQuantityKeepsWhatWasTyped(t *testing.T) {
	q := units.MustParse("13 200.50 km")
	if q.Number() != "13200.50" || q.Unit() != "km" || q.Value() != 13200.5 || q.Base() != 13200.5 || q.IsZero() {
		t.Errorf("%#v", q)
	}
	if q != units.MustParse("13200.50km") {
		t.Error("the same quantity in other spacing is not equal")
	}
	if q == units.MustParse("13200.5 km") {
		t.Error("another number of decimals is the same quantity")
	}
	var none units.Quantity
	if !none.IsZero() || none.String() != "" || none.Dimension() != 0 || none.Base() != 0 ||
		units.MustParse("0 km").IsZero() {
		t.Error("the zero quantity is wrong")
	}
}

func TestNew(t *testing.T) {
	tests := []struct {
		value float64
		unit  string
		want  string
	}{
		{8200, "miles", "8200 mi"}, {0.1, "in", "0.1 in"}, {1e-5, "mm", "0.00001 mm"},
		{123456789012345, "km", "123456789012345 km"},
		{math.Copysign(0, -1), "V", "0 V"}, {1e-300, "V", "0 V"}, {3, "", "3"}, {3, "per 75 mm", "3 per 75 mm"},
		{12.345, "GBP", "12.35 GBP"}, {12.5, "JPY", "12 JPY"}, {5, "$", "5.00 USD"},
	}
	for _, tt := range tests {
		q, err := units.New(tt.value, tt.unit)
		if err != nil || q.String() != tt.want {
			t.Errorf("New(%v, %q) = %q, %v, want %q", tt.value, tt.unit, q, err, tt.want)
		}
		if again, err := units.ParseAny(q.String()); err != nil || again != q {
			t.Errorf("%q reads back as %q, %v", q, again, err)
		}
	}
	for _, value := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e15, -2e15, 999999999999999.99} {
		if q, err := units.New(value, "km"); err == nil {
			t.Errorf("New(%v) = %q, want an error", value, q)
		}
	}
	if q, err := units.New(1, "furlong"); err == nil {
		t.Errorf("a furlong is kept: %q", q)
	}
}

func TestConvertRefuses(t *testing.T) {
	tests := []struct {
		q    units.Quantity
		unit string
		want string
	}{
		{units.MustParse("8200 mi"), "mm", `"8200 mi" is a distance and cannot be had in mm: use km or mi`},
		{units.MustParse("8200 mi"), "furlong", `"8200 mi" cannot be had in "furlong": use km or mi`},
		{units.MustParse("5 GBP"), "EUR", `"5 GBP" cannot be had in EUR: keep to GBP: rates of exchange change daily`},
		{units.MustParse("3"), "km", `"3" is a number and cannot be had in km: a pure number has no unit`},
		{units.Quantity{}, "km", `"" is no quantity: give one before converting it`},
	}
	for _, tt := range tests {
		_, err := tt.q.Convert(tt.unit)
		var e *units.Error
		if !errors.As(err, &e) || err.Error() != tt.want {
			t.Errorf("%q to %q: %v, want %s", tt.q, tt.unit, err, tt.want)
		}
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%q.In(%q) does not panic", tt.q, tt.unit)
				}
			}()
			tt.q.In(tt.unit)
		}()
	}
}

func TestCompareIsExact(t *testing.T) {
	tests := []struct {
		a, b string
		want int
	}{
		{"1/2 in", "12.7 mm", 0},
		{"8200 mi", "13196.6208 km", 0},
		{"8200 mi", "13196.62080000000000001 km", -1},
		{"0.1 in", "2.54 mm", 0},
		{"1/3 ft", "4 in", 0},
		{"10 lbf·ft", "13.558179483314004 N·m", 0},
		{"212 °F", "100 °C", 0},
		{"50 °F", "11 °C", -1},
		{"4 years", "48 months", 0},
		{"1 year", "365 days", 1},
		{"0.10000000000000000001 mm", "0.1 mm", 1},
		{"3 per 75 mm", "1 per 25 mm", 0},
		{"4 per 3 in", "3 per 75 mm", 1},
		{"-5 °C", "-4 °C", -1},
		{"24.50 GBP", "24.5 GBP", 0},
		{"3 bar", "300000 Pa", 0},
	}
	for _, tt := range tests {
		a, b := units.MustParse(tt.a), units.MustParse(tt.b)
		if got, err := a.Compare(b); err != nil || got != tt.want {
			t.Errorf("%s against %s: %d, %v, want %d", a, b, got, err, tt.want)
		}
		if got, err := b.Compare(a); err != nil || got != -tt.want {
			t.Errorf("%s against %s: %d, %v, want %d", b, a, got, err, -tt.want)
		}
	}
	for _, pair := range [][2]units.Quantity{
		{units.MustParse("5 km"), units.MustParse("5 mm")},
		{units.MustParse("5 GBP"), units.MustParse("5 EUR")},
		{units.MustParse("5 km"), {}},
		{{}, units.MustParse("5 km")},
		{{}, {}},
	} {
		if _, err := pair[0].Compare(pair[1]); err == nil {
			t.Errorf("%q compares with %q", pair[0], pair[1])
		}
	}
}

func TestSpan(t *testing.T) {
	tests := []struct {
		typed string
		want  civil.Span
	}{
		{"4 years", civil.Span{Months: 48}},
		{"4.5 years", civil.Span{Months: 54}},
		{"1/2 year", civil.Span{Months: 6}},
		{"18 months", civil.Span{Months: 18}},
		{"0.1 years", civil.Span{Months: 1, Days: 0.2 * civil.DaysPerMonth}},
		{"1.5 months", civil.Span{Months: 1, Days: 0.5 * civil.DaysPerMonth}},
		{"2 weeks", civil.Span{Days: 14}},
		{"90 days", civil.Span{Days: 90}},
		{"12 hours", civil.Span{Days: 0.5}},
		{"36 minutes", civil.Span{Days: 0.025}},
	}
	for _, tt := range tests {
		got, err := units.MustParse(tt.typed).Span()
		if err != nil || got.Months != tt.want.Months || math.Abs(got.Days-tt.want.Days) > 1e-9 {
			t.Errorf("%s is %+v, %v, want %+v", tt.typed, got, err, tt.want)
		}
	}
	if _, err := units.MustParse("5 km").Span(); err == nil ||
		!strings.Contains(err.Error(), "is a distance, not a time span") {
		t.Errorf("the span of a distance: %v", err)
	}
}

func TestTextForms(t *testing.T) {
	type limit struct {
		At      units.Quantity  `json:"at" yaml:"at"`
		Warn    units.Quantity  `json:"warn" yaml:"warn"`
		Measure units.Dimension `json:"measure" yaml:"measure"`
	}
	source := "at: 3/8 in\nwarn: 8,200 mi\nmeasure: specific gravity\n"
	var fromYAML limit
	if err := yaml.Unmarshal([]byte(source), &fromYAML); err != nil {
		t.Fatal(err)
	}
	want := limit{At: units.MustParse("3/8 in"), Warn: units.MustParse("8200 mi"), Measure: units.SpecificGravity}
	if fromYAML != want {
		t.Errorf("YAML reads %+v", fromYAML)
	}
	data, err := json.Marshal(want)
	if err != nil || string(data) != `{"at":"3/8 in","warn":"8200 mi","measure":"specific gravity"}` {
		t.Errorf("JSON is %s, %v", data, err)
	}
	var fromJSON limit
	if err := json.Unmarshal(data, &fromJSON); err != nil || fromJSON != want {
		t.Errorf("JSON reads %+v, %v", fromJSON, err)
	}
	again, err := yaml.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var round limit
	if err := yaml.Unmarshal(again, &round); err != nil || round != want {
		t.Errorf("YAML\n%s reads %+v, %v", again, round, err)
	}
	var bare struct{ Count, Gap units.Quantity }
	if err := yaml.Unmarshal([]byte("count: 12\ngap: 0.55\n"), &bare); err != nil || bare.Count.String() != "12" ||
		bare.Gap.String() != "0.55" {
		t.Errorf("bare figures read %v, %v", bare, err)
	}
	if err := yaml.Unmarshal([]byte("at: 8,5 mm\n"), &fromYAML); err == nil ||
		!strings.Contains(err.Error(), "write 8.5 mm") {
		t.Errorf("a decimal comma: %v", err)
	}
	var empty limit
	if err := json.Unmarshal([]byte(`{"at":"","measure":""}`), &empty); err != nil || empty != (limit{}) {
		t.Errorf("empty text reads %+v, %v", empty, err)
	}
}

func TestMoney(t *testing.T) {
	amounts := func(typed ...string) []units.Quantity {
		var qs []units.Quantity
		for _, s := range typed {
			qs = append(qs, units.MustParse(s))
		}
		return qs
	}
	tests := []struct {
		add  []units.Quantity
		want string
	}{
		{nil, ""},
		{amounts("0.10 GBP", "0.20 GBP"), "0.30 GBP"}, // not 0.30000000000000004
		{amounts("£24.50", "£3", "-£0.05"), "27.45 GBP"},
		{amounts("1200 JPY", "34 JPY"), "1234 JPY"},
		{amounts("1.5 KWD", "0.005 KWD"), "1.505 KWD"},
		{amounts("-0.30 EUR", "0.25 EUR"), "-0.05 EUR"},
		{append(amounts("5 USD"), units.Quantity{}), "5.00 USD"},
	}
	for _, tt := range tests {
		if got, err := units.Sum(tt.add...); err != nil || got.String() != tt.want {
			t.Errorf("sum of %v is %q, %v, want %q", tt.add, got, err, tt.want)
		}
	}
	if minor, err := units.MustParse("24.5 GBP").Minor(); err != nil || minor != 2450 {
		t.Errorf("24.5 GBP is %d pence, %v", minor, err)
	}
	for name, add := range map[string][]units.Quantity{
		"two currencies": amounts("5 GBP", "5 EUR"),
		"a distance":     amounts("5 GBP", "5 km"),
		"too much":       amounts("999999999999999 KWD", "999999999999999 KWD"),
	} {
		if got, err := units.Sum(add...); err == nil {
			t.Errorf("%s: sum is %q", name, got)
		}
	}
	if _, err := units.FromMinor(5, "gold"); err == nil {
		t.Error("gold is a currency")
	}
	if q, err := units.FromMinor(math.MinInt64, "GBP"); err == nil {
		t.Errorf("too large an amount is kept: %q", q)
	}
}

func TestDimensionText(t *testing.T) {
	for _, d := range units.Dimensions() {
		text, err := d.MarshalText()
		var back units.Dimension
		if err != nil || back.UnmarshalText([]byte(strings.ToUpper(string(text)))) != nil || back != d {
			t.Errorf("%s does not survive being written", d)
		}
	}
	var d units.Dimension
	if err := d.UnmarshalText([]byte("beauty")); err == nil || !strings.Contains(err.Error(), "torque") {
		t.Errorf("beauty is a dimension: %v", err)
	}
	if got := cmp.Diff(units.Number, units.Dimensions()[0]); got != "" {
		t.Error(got)
	}
}
