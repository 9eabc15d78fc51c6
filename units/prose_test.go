package units

import (
	"strings"
	"testing"
)

// Words for readers in the United States and in Great Britain (NIST SP 811, Appendix
// B for the factors; each result worked out by hand from 25.4 mm, 1.609344 km, 4.448222 N,
// 6.894757 kPa, 1.355818 N·m, 3.785412 l and t/°F = 1.8 t/°C + 32).
func TestWordsForAReader(t *testing.T) {
	us := Preferences{System: USCustomary}
	uk := Preferences{Units: map[Dimension]string{Distance: "mi", RoadSpeed: "mph", Pressure: "psi"}}
	bar := Preferences{Units: map[Dimension]string{Pressure: "bar"}}
	for _, c := range []struct {
		p        Preferences
		in, want string
	}{
		{us, "keep 20 mm clear", "keep 0.79 in (20 mm) clear"},
		{us, "every 5000 km.", "every 3100 mi (5000 km)."},
		{us, "27 to 35 lbf·in (3.1 to 4.0 N·m): slacken", "27 to 35 lbf·in (3.1 to 4.0 N·m): slacken"},
		{us, "cracks in 75 mm (3 in) of a rib", "cracks in 3 in (75 mm) of a rib"},
		{us, "Great heat (over 32 °C, 90 °F) or", "Great heat (over 90 °F (32 °C)) or"},
		{us, "PK section (3.56 mm from rib to rib)", "PK section (0.14 in, 3.56 mm from rib to rib)"},
		{us, "Between 160 and 180 °C it boils", "Between 320 and 356 °F (160 and 180 °C) it boils"},
		{us, "silicone -55 to 175 °C, nitrile", "silicone -67 to 347 °F (-55 to 175 °C), nitrile"},
		{us, "loosen it with a 13 mm socket", "loosen it with a 13 mm socket"},
		{us, "a 6PK1420, M8 and 2.5 mm² of copper", "a 6PK1420, M8 and 2.5 mm² of copper"},
		{us, "press with 45 N at 10 mm per metre of span",
			"press with 10 lbf (45 N) at 0.12 in per foot (10 mm per metre) of span"},
		{us, "3 per 75 mm or 1.5 l and 2 US qt", "3 per 3 in (3 per 75 mm) or 1.6 US qt (1.5 l) and 2 US qt"},
		{us, "1/2 in (12.7 mm) hose, 10 000 km", "1/2 in (12.7 mm) hose, 6200 mi (10 000 km)"},
		{uk, "5000 km at 90 km/h and 20 mm", "3100 mi (5000 km) at 56 mph (90 km/h) and 20 mm"},
		{uk, "about 1 in 40; a 3 in gap", "about 1 in 40; a 3 in gap"},
		{uk, "110 kPa (16 psi)", "16 psi (110 kPa)"},
		{bar, "held at 110 kPa", "held at 1.1 bar (110 kPa)"},
		{Preferences{}, "27 lbf·in and 3 in", "27 lbf·in and 3 in"},
	} {
		if got := c.p.Text(c.in); got != c.want {
			t.Errorf("%q: %q, want %q", c.in, got, c.want)
		}
		if got := c.p.Text(c.p.Text(c.in)); got != c.want {
			t.Errorf("%q rewritten twice: %q", c.in, got)
		}
	}
}

// A bound is never shown beyond the original, whatever it is and whoever reads it.
func TestBoundsRoundToTheSafeSide(t *testing.T) {
	us, imperial := Preferences{System: USCustomary}, Preferences{System: Imperial}
	for _, unit := range []string{"mm", "km", "N·m", "kPa", "bar", "N", "l", "°C", "kg", "km/h", "per 75 mm"} {
		for _, size := range []float64{0.05, 0.3, 1, 1.6, 3, 7.5, 10, 12.7, 20, 25, 45, 99.9, 110, 187, 230, 2500} {
			for _, p := range []Preferences{us, imperial} {
				q := Must(size, unit)
				for direction, shown := range map[int]string{-1: p.Floor(q), 1: p.Ceil(q)} {
					cut := len(shown) - len(" ("+dress(q.num.text, q.unit)+")")
					figure, err := ParseAny(strings.ReplaceAll(shown[:cut], "−", "-"))
					if err != nil {
						t.Fatalf("%s: %v", shown, err)
					}
					way, err := figure.Compare(q)
					if err != nil || way == -direction {
						t.Errorf("%s is shown as %s: past it by the rounding (%v)", q, shown, err)
					}
					off := (figure.Base() - q.Base()) / q.Base()
					if q.dim != Temperature && (off > 0.011 || off < -0.011) {
						t.Errorf("%s is shown as %s: %.1f %% off", q, shown, 100*off)
					}
				}
			}
		}
	}
}
