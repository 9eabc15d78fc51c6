package units_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/internal/harm"
	"undertray.example/undertray/units"
)

// dimensionsWithUnits lists the dimensions whose units are in the table.
func dimensionsWithUnits() []units.Dimension {
	return slices.DeleteFunc(units.Dimensions(), func(d units.Dimension) bool {
		return d == units.Number || d == units.Money
	})
}

// figure draws a number as one would type it.
func figure(t *rapid.T) string {
	return rapid.OneOf(
		rapid.StringMatching(`-?(0|[1-9][0-9]{0,8})(\.[0-9]{1,6})?`),
		rapid.StringMatching(`-?[1-9][0-9]{0,2}(,[0-9]{3}){1,3}(\.[0-9]{1,3})?`),
		rapid.StringMatching(`-?[1-9][0-9]{0,2}( [0-9]{3}){1,3}`),
		rapid.StringMatching(`-?[1-9][0-9]?/[1-9][0-9]`),
		rapid.StringMatching(`-?[1-9][0-9]{0,2} [1-7]/(8|16|32|64)`),
	).Draw(t, "figure")
}

func TestParsePrintIdentity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(dimensionsWithUnits()).Draw(t, "dimension")
		unit := rapid.SampledFrom(units.Units(d)).Draw(t, "unit")
		space := rapid.SampledFrom([]string{"", " ", "\u00a0", "\u202f"}).Draw(t, "space")
		typed := figure(t) + space + unit
		q, err := units.ParseAny(typed)
		if err != nil {
			t.Fatal(err)
		}
		if q.Dimension() != d || q.Unit() != unit {
			t.Fatalf("%q is %s in %s", typed, q.Dimension(), q.Unit())
		}
		if again, err := units.Parse(q.String(), d); err != nil || again != q {
			t.Fatalf("%q prints as %q, which reads %q, %v", typed, q, again, err)
		}
	})
}

func TestNewKeepsTheValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.Float64Range(-1e12, 1e12).Draw(t, "value")
		q, err := units.New(value, "mm")
		if err != nil {
			t.Fatal(err)
		}
		if q.Value() != value && math.Abs(value) >= 1e-12 {
			t.Fatalf("%v is kept as %v", value, q.Value())
		}
		if again, err := units.ParseAny(q.String()); err != nil || again != q {
			t.Fatalf("%q reads back as %q, %v", q, again, err)
		}
	})
}

// Converting there and back returns the figure to within a few units of the last
// place (of the largest temperature met on the way, for temperatures).
func TestConversionRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(dimensionsWithUnits()).Draw(t, "dimension")
		from := rapid.SampledFrom(units.Units(d)).Draw(t, "from")
		to := rapid.SampledFrom(units.Units(d)).Draw(t, "to")
		value := rapid.Float64Range(-1e6, 1e6).Draw(t, "value")
		q := units.Must(value, from)
		there, err := q.Convert(to)
		if err != nil {
			t.Fatal(err)
		}
		back := units.Must(there, to).In(from)
		tolerance := 8e-16 * math.Abs(value)
		if d == units.Temperature {
			tolerance = 4e-16 * 2 * (math.Abs(value) + 500)
		}
		if there != 0 && math.Abs(there) < 1e-12 {
			return // kept as 0 by New
		}
		if math.Abs(back-q.Value()) > tolerance {
			t.Fatalf("%v %s is %v %s and %v %s", value, from, there, to, back, from)
		}
	})
}

func TestCompareIsAnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(dimensionsWithUnits()).Draw(t, "dimension")
		draw := func() units.Quantity {
			q, err := units.Parse(figure(t)+" "+rapid.SampledFrom(units.Units(d)).Draw(t, "unit"), d)
			if err != nil {
				t.Fatal(err)
			}
			return q
		}
		compare := func(a, b units.Quantity) int {
			c, err := a.Compare(b)
			if err != nil {
				t.Fatal(err)
			}
			return c
		}
		a, b, c := draw(), draw(), draw()
		if compare(a, b) != -compare(b, a) || compare(a, a) != 0 {
			t.Fatalf("%s and %s compare %d and %d", a, b, compare(a, b), compare(b, a))
		}
		if compare(a, b) <= 0 && compare(b, c) <= 0 && compare(a, c) > 0 {
			t.Fatalf("%s, %s and %s are in no order", a, b, c)
		}
		// Clearly different sizes keep their order in any unit.
		unit := rapid.SampledFrom(units.Units(d)).Draw(t, "common unit")
		x, y := a.In(unit), b.In(unit)
		if gap := math.Abs(x - y); gap > 1e-9*(math.Abs(x)+math.Abs(y)+1000) && compare(a, b) != sign(x-y) {
			t.Fatalf("%s and %s compare %d, in %s they are %v and %v", a, b, compare(a, b), unit, x, y)
		}
	})
}

// sign returns -1, 0 or 1.
func sign(x float64) int {
	switch {
	case x < 0:
		return -1
	case x > 0:
		return 1
	default:
		return 0
	}
}

// A rounded conversion stays within half a unit of its third significant digit,
// and Show can always be read again when it is not money.
func TestToAndShow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(dimensionsWithUnits()).Draw(t, "dimension")
		q, err := units.Parse(figure(t)+" "+rapid.SampledFrom(units.Units(d)).Draw(t, "unit"), d)
		if err != nil {
			t.Fatal(err)
		}
		to := rapid.SampledFrom(units.Units(d)).Draw(t, "to")
		rounded := q.To(to)
		if d != units.Temperature && rounded.Unit() == to {
			exact := q.In(to)
			if diff := math.Abs(rounded.Value() - exact); diff > 0.0051*math.Abs(exact)+1e-18 &&
				math.Abs(exact) > 1e-25 {
				t.Fatalf("%s is %s, exactly %v", q, rounded, exact)
			}
		}
		system := rapid.SampledFrom([]units.System{units.Metric, units.Imperial, units.USCustomary}).Draw(t, "system")
		shown := units.Preferences{System: system}.Show(q)
		if again, err := units.ParseAny(shown); err != nil || again.Dimension() != d {
			t.Fatalf("%s shows as %q, which reads %v, %v", q, shown, again, err)
		}
	})
}

func TestSumIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		code := rapid.SampledFrom([]string{"GBP", "JPY", "KWD"}).Draw(t, "code")
		pieces := rapid.SliceOfN(rapid.Int64Range(-1e12, 1e12), 1, 20).Draw(t, "minor units")
		var want int64
		var amounts []units.Quantity
		for _, piece := range pieces {
			want += piece
			q, err := units.FromMinor(piece, code)
			if err != nil {
				t.Fatal(err)
			}
			if again, err := units.Parse(q.String(), units.Money); err != nil || again != q {
				t.Fatalf("%q reads back as %q, %v", q, again, err)
			}
			amounts = append(amounts, q)
		}
		sum, err := units.Sum(amounts...)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := sum.Minor(); err != nil || got != want {
			t.Fatalf("sum is %d, %v, want %d", got, err, want)
		}
	})
}

func FuzzParseAny(f *testing.F) {
	harm.Add(f,
		"8,200 mi", "13\u202f200km", "8,5 mm", `1-1/2"`, "½ in", "3 per 75 mm", "2 per 1 1/2 in", "£24.50",
		"GBP 1 200", "-40°F",
		"Shore A 70", "1.265", "4.5 years", "25 lb-ft", "5 gal", "5-6 mm", "", "\xff", "999999999999999 MPa",
		"0.000000000000000000000000000001 Pa", "- 1/3 rad")
	systems := []units.System{units.Metric, units.Imperial, units.USCustomary}
	f.Fuzz(func(t *testing.T, s string) {
		q, err := units.ParseAny(s)
		if err != nil {
			if err.Error() == "" || !q.IsZero() {
				t.Fatalf("%q gives %q beside %v", s, q, err)
			}
			return
		}
		again, err := units.ParseAny(q.String())
		if err != nil || again != q {
			t.Fatalf("%q prints as %q, which reads %q, %v", s, q, again, err)
		}
		if base := q.Base(); math.IsNaN(base) || math.IsInf(base, 0) {
			t.Fatalf("%q has the size %v", s, base)
		}
		if c, err := q.Compare(again); err != nil || c != 0 {
			t.Fatalf("%q compares with itself %d, %v", s, c, err)
		}
		for _, unit := range units.Units(q.Dimension()) {
			if q.Dimension() != units.Money {
				q.To(unit)
				q.In(unit)
			}
		}
		for _, system := range systems {
			if (units.Preferences{System: system}).Show(q) == "" {
				t.Fatalf("%q shows as nothing", s)
			}
		}
	})
}

func FuzzParse(f *testing.F) {
	f.Add("8200", uint8(units.Distance))
	f.Add("1.265", uint8(units.SpecificGravity))
	f.Add("gbp 12.5", uint8(units.Money))
	f.Add("5 m", uint8(units.TimeSpan))
	f.Add("3 per 0.5 in", uint8(units.Density))
	dim := uint8(0)
	for s := range harm.Harmed("8200", "1.265", "gbp 12.5", "5 m", "3 per 0.5 in") {
		f.Add(s, dim%uint8(len(units.Dimensions())+2))
		dim++
	}
	f.Fuzz(func(t *testing.T, s string, dim uint8) {
		d := units.Dimension(dim)
		q, err := units.Parse(s, d)
		if err != nil {
			return
		}
		if d != 0 && q.Dimension() != d {
			t.Fatalf("Parse(%q, %s) gives %s", s, d, q.Dimension())
		}
		if again, err := units.Parse(q.String(), d); err != nil || again != q {
			t.Fatalf("%q prints as %q, which reads %q, %v", s, q, again, err)
		}
	})
}
