package draw

import (
	"math"
	"strconv"
	"testing"
)

type rgb [3]float64

func hex(t *testing.T, s string) rgb {
	t.Helper()
	v, err := strconv.ParseUint(s[1:], 16, 32)
	if err != nil || len(s) != 7 {
		t.Fatalf("colour %q", s)
	}
	return rgb{float64(v>>16) / 255, float64(v>>8&255) / 255, float64(v&255) / 255}
}

// linear undoes the sRGB transfer function (IEC 61966-2-1).
func (c rgb) linear() rgb {
	var out rgb
	for i, v := range c {
		if v <= 0.04045 {
			out[i] = v / 12.92
		} else {
			out[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return out
}

// contrast is WCAG 2.2, "contrast ratio" and "relative luminance".
func contrast(a, b rgb) float64 {
	lum := func(c rgb) float64 { l := c.linear(); return 0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2] }
	la, lb := lum(a), lum(b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

// Machado, Oliveira and Fernandes, "A physiologically-based model for
// simulation of color vision deficiency", IEEE TVCG 15(6), 2009: matrices at
// severity 1.0, on linear RGB, as printed in many open programs alike.
var deficiencies = map[string][3]rgb{
	"normal vision": {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216},
		{-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

func seenWith(m [3]rgb, c rgb) (out rgb) {
	l := c.linear()
	for i := range out {
		out[i] = math.Max(0, math.Min(1, m[i][0]*l[0]+m[i][1]*l[1]+m[i][2]*l[2]))
	}
	return out
}

// lab converts linear RGB (sRGB primaries, D65) to CIELAB.
func lab(l rgb) [3]float64 {
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124*l[0] + 0.3576*l[1] + 0.1805*l[2]) / 0.95047)
	y := f(0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2])
	z := f((0.0193*l[0] + 0.1192*l[1] + 0.9505*l[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// ciede2000 is the colour difference of CIE 142-2001, written after Sharma, Wu
// and Dalal, Color Res. Appl. 30 (2005).
func ciede2000(p, q [3]float64) float64 {
	deg := math.Pi / 180
	c1, c2 := math.Hypot(p[1], p[2]), math.Hypot(q[1], q[2])
	g := func(c float64) float64 { c7 := math.Pow(c, 7); return math.Sqrt(c7 / (c7 + math.Pow(25, 7))) }
	k := 1 + 0.5*(1-g((c1+c2)/2))
	a1, a2 := p[1]*k, q[1]*k
	d1, d2 := math.Hypot(a1, p[2]), math.Hypot(a2, q[2])
	angle := func(a, b float64) float64 {
		if a == 0 && b == 0 {
			return 0
		}
		return math.Mod(math.Atan2(b, a)/deg+360, 360)
	}
	h1, h2 := angle(a1, p[2]), angle(a2, q[2])
	dh, mean := h2-h1, (h1+h2)/2
	switch {
	case d1*d2 == 0:
		dh, mean = 0, h1+h2
	case math.Abs(dh) > 180:
		if dh = dh - 360*math.Copysign(1, dh); h1+h2 < 360 {
			mean += 180
		} else {
			mean -= 180
		}
	}
	dl, dc := q[0]-p[0], d2-d1
	dH := 2 * math.Sqrt(d1*d2) * math.Sin(dh/2*deg)
	l, c := (p[0]+q[0])/2, (d1+d2)/2
	t := 1 - 0.17*math.Cos((mean-30)*deg) + 0.24*math.Cos(2*mean*deg) +
		0.32*math.Cos((3*mean+6)*deg) - 0.20*math.Cos((4*mean-63)*deg)
	sl := 1 + 0.015*(l-50)*(l-50)/math.Sqrt(20+(l-50)*(l-50))
	sc, sh := 1+0.045*c, 1+0.015*c*t
	rt := -2 * g(c) * math.Sin(60*math.Exp(-math.Pow((mean-275)/25, 2))*deg)
	x, y, z := dl/sl, dc/sc, dH/sh
	return math.Sqrt(x*x + y*y + z*z + rt*y*z)
}

// Pairs from the test data of Sharma, Wu and Dalal (2005), table 1.
func TestColourDifferenceAgainstPublishedPairs(t *testing.T) {
	for _, c := range []struct {
		p, q [3]float64
		want float64
	}{
		{[3]float64{50, 2.6772, -79.7751}, [3]float64{50, 0, -82.7485}, 2.0425},
		{[3]float64{50, 3.1571, -77.2803}, [3]float64{50, 0, -82.7485}, 2.8615},
		{[3]float64{50, 2.8361, -74.0200}, [3]float64{50, 0, -82.7485}, 3.4412},
		{[3]float64{50, -1.3802, -84.2814}, [3]float64{50, 0, -82.7485}, 1.0000},
		{[3]float64{50, 0, 0}, [3]float64{50, -1, 2}, 2.3669},
		{[3]float64{50, 2.5, 0}, [3]float64{50, 0, -2.5}, 4.3065},
		{[3]float64{50, 2.5, 0}, [3]float64{73, 25, -18}, 27.1492},
		{[3]float64{60.2574, -34.0099, 36.2677}, [3]float64{60.4626, -34.1751, 39.4387}, 1.2644},
		{[3]float64{22.7233, 20.0904, -46.6940}, [3]float64{23.0331, 14.9730, -42.5619}, 2.0373},
	} {
		near(t, "CIEDE2000", ciede2000(c.p, c.q), c.want, 1e-4)
	}
}

// WCAG 2.2, definition of contrast ratio: white on black is 21, and #767676
// on white is the well-known first grey to pass 4.5 (from memory).
func TestContrastFormula(t *testing.T) {
	white, black := hex(t, "#ffffff"), hex(t, "#000000")
	near(t, "black on white", contrast(white, black), 21, 1e-9)
	near(t, "#767676 on white", contrast(white, hex(t, "#767676")), 4.54, 5e-3)
}

var papers = map[string]func(Tone) string{
	"day":   func(t Tone) string { return t.Day },
	"night": func(t Tone) string { return t.Night },
	"print": func(t Tone) string { return t.Print },
}

func tonesOn(t *testing.T, pick func(Tone) string) map[string]rgb {
	m := map[string]rgb{}
	for _, tone := range Tones() {
		m[tone.Name] = hex(t, pick(tone))
	}
	return m
}

// WCAG 2.2, 1.4.3: text 4.5:1. 1.4.11: marks and lines that carry meaning 3:1.
func TestContrastOfEveryPair(t *testing.T) {
	for paperName, pick := range papers {
		m := tonesOn(t, pick)
		for _, text := range []string{"ink", "soft", "watch", "act"} {
			for _, ground := range []string{"paper", "wash"} {
				if c := contrast(m[text], m[ground]); c < 4.5 {
					t.Errorf("%s: %s on %s is %.2f:1, under 4.5", paperName, text, ground, c)
				}
			}
		}
		// park is ink reversed
		if c := contrast(m["paper"], m["ink"]); c < 7 {
			t.Errorf("%s: paper on ink is %.2f:1", paperName, c)
		}
	}
}

// Verdict tones stay apart for all kinds of colour vision: CIEDE2000 above 15
// (from 5 on two colours are plainly different side by side; 15 leaves room
// for small marks on poor screens).
func TestTonesDifferForEveryone(t *testing.T) {
	for paperName, pick := range papers {
		m := tonesOn(t, pick)
		for eye, matrix := range deficiencies {
			for _, pair := range [][2]string{{"watch", "act"}, {"watch", "ink"}, {"act", "ink"}, {"watch", "paper"},
				{"act", "paper"}} {
				p, q := lab(seenWith(matrix, m[pair[0]])), lab(seenWith(matrix, m[pair[1]]))
				d := ciede2000(p, q)
				t.Logf("%s, %s: %s and %s %.1f", paperName, eye, pair[0], pair[1], d)
				if d <= 15 {
					t.Errorf("%s, %s: %s and %s differ by %.1f only", paperName, eye, pair[0], pair[1], d)
				}
			}
		}
	}
}
