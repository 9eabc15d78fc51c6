package draw

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// bad is a standing with something amiss.
func bad(amiss func(*Standing)) func() (Figure, error) {
	return func() (Figure, error) { s := sampleStanding(""); amiss(&s); return StandingChart(s) }
}

func TestChartsRefuse(t *testing.T) {
	nan := math.NaN()
	draw := map[string]func() (Figure, error){
		"standing without points": bad(func(s *Standing) { s.Measured.Points = nil }),
		"standing of nothing":     bad(func(s *Standing) { s.Measured = nil }),
		"standing NaN":            bad(func(s *Standing) { s.Measured.Points[1].Y = nan }),
		"standing band upside":    bad(func(s *Standing) { s.Measured.Path[2].Lo = 9 }),
		"standing band order":     bad(func(s *Standing) { s.Measured.Path[2].X = 0 }),
		"standing limit":          bad(func(s *Standing) { s.Measured.Limits[0].At = nan }),
		"standing today":          bad(func(s *Standing) { s.Today = nan }),
		"standing then":           bad(func(s *Standing) { s.Measured.Then.Lo = 1e9 }),
		"standing axis":           bad(func(s *Standing) { s.X.Lo, s.X.Hi = 5, 1 }),
		"standing no axis":        bad(func(s *Standing) { s.X.Lo, s.X.Hi = 0, 0 }),
		"standing log axis":       bad(func(s *Standing) { s.Measured.Y.Log, s.Measured.Y.Hi = true, 1 }),
		"standing tick":           bad(func(s *Standing) { s.X.Ticks = []Tick{{At: nan, Text: "x"}} }),
		"standing shot":           bad(func(s *Standing) { s.Shots[0].Src = "vbscript:x" }),
		"standing bar":            bad(func(s *Standing) { s.Bars = []DueBar{{From: 2, To: 1}} }),
		"survival one point": func() (Figure, error) {
			s := sampleSurvival("")
			s.Curve = s.Curve[:1]
			return SurvivalChart(s)
		},
		"survival over 1": func() (Figure, error) {
			s := sampleSurvival("")
			s.Curve[0].Hi = 1.2
			return SurvivalChart(s)
		},
		"survival case": func() (Figure, error) {
			s := sampleSurvival("")
			s.Failed[0] = nan
			return SurvivalChart(s)
		},
		"survival now": func() (Figure, error) { s := sampleSurvival(""); s.Now = &nan; return SurvivalChart(s) },
		"spectrum short": func() (Figure, error) {
			s := sampleSpectrum("")
			s.Line = s.Line[:1]
			return SpectrumChart(s)
		},
		"spectrum order": func() (Figure, error) {
			s := sampleSpectrum("")
			s.Line[3].X = 0
			return SpectrumChart(s)
		},
		"spectrum candidate": func() (Figure, error) {
			s := sampleSpectrum("")
			s.Candidates[0].At[0] = nan
			return SpectrumChart(s)
		},
		"months none": func() (Figure, error) { s := sampleMonths(""); s.Names = nil; return MonthsAhead(s) },
		"months late": func() (Figure, error) { s := sampleMonths(""); s.Visits[0].At = 9; return MonthsAhead(s) },
		"months verdict": func() (Figure, error) {
			s := sampleMonths("")
			s.Visits[0].Tasks[0].Verdict = "x"
			return MonthsAhead(s)
		},
		"months href": func() (Figure, error) {
			s := sampleMonths("")
			s.Visits[0].Tasks[0].Href = "vbscript:x"
			return MonthsAhead(s)
		},
	}
	for name, f := range draw {
		if fig, err := f(); err == nil || fig.SVG != "" {
			t.Errorf("%s: no error", name)
		}
	}
}

// Whatever finite points and limits come, a standing is drawn without NaN, the names of the limits stand in their
// order and no two texts touch.
func TestStandingTakesAnyFinitePoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Standing{Head: Head{ID: "any", Title: "any"}, X: Axis{Lo: -1e5, Hi: 2e5}, Measured: &Measured{}}
		s.Today = rapid.Float64Range(-1e5, 2e5).Draw(t, "today")
		s.Next = &Tick{At: s.Today + rapid.Float64Range(0, 5e4).Draw(t, "until"), Text: "next oil change"}
		for range rapid.IntRange(1, 12).Draw(t, "n") {
			s.Measured.Points = append(s.Measured.Points, Point{rapid.Float64Range(-1e5, 1e5).Draw(t, "x"),
				rapid.Float64Range(-1e5, 1e5).Draw(t, "y")})
		}
		for i := range rapid.IntRange(0, 14).Draw(t, "limits") {
			s.Measured.Limits = append(s.Measured.Limits, LimitLine{At: rapid.Float64Range(-1e5, 1e5).Draw(t, "limit"),
				Name: "put right", Authority: "common practice", Governs: i == 0})
		}
		for i := range 7 {
			s.X.Ticks = append(s.X.Ticks, Tick{float64(i) * 3e4, "Jan 2026", "168 000 km"})
		}
		f, err := StandingChart(s)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(f.SVG), "NaN") || strings.Contains(string(f.SVG), "Inf") {
			t.Fatal(f.SVG)
		}
		apart(t, f.SVG)
	})
}

// A bar's words and when it ends never touch those of the next one.
func TestDuesStandApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sampleDues("")
		s.Bars = nil
		for range rapid.IntRange(1, 6).Draw(t, "n") {
			from := rapid.Float64Range(-500, 1000).Draw(t, "from")
			to := from + rapid.Float64Range(0, 3000).Draw(t, "long")
			s.Bars = append(s.Bars, DueBar{Words: "common practice: 161 000 km", Due: "due in April 2032", From: from,
				To: to, Late: to + rapid.Float64Range(0, 500).Draw(t, "late")})
		}
		f, err := StandingChart(s)
		if err != nil {
			t.Fatal(err)
		}
		apart(t, f.SVG)
	})
}

var textAt = regexp.MustCompile(`<text class="([^"]*)"[^>]* x="([^"]*)" y="([^"]*)"` +
	`(?: text-anchor="([a-z]*)")?>([^<]*)<`)

// apart fails where two texts of a figure touch.
func apart(t *rapid.T, svg SVG) {
	type box struct {
		l, r, b float64
		text    string
	}
	var all []box
	for _, m := range textAt.FindAllStringSubmatch(string(svg), -1) {
		x, _ := strconv.ParseFloat(m[2], 64)
		y, _ := strconv.ParseFloat(m[3], 64)
		w := textWidth(m[5], letter)
		switch m[4] {
		case "middle":
			x -= w / 2
		case "end":
			x -= w
		}
		all = append(all, box{x, x + w, y, m[5]})
	}
	if len(all) < 2 {
		t.Fatal("the texts were not found")
	}
	for i, a := range all {
		for _, b := range all[i+1:] {
			if a.l < b.r-.5 && b.l < a.r-.5 && math.Abs(a.b-b.b) < 9.4 {
				t.Fatalf("%q and %q touch: %+v %+v\n%s", a.text, b.text, a, b, svg)
			}
		}
	}
}

// Thinning keeps the highest and the lowest point.
func TestThinKeepsPeaks(t *testing.T) {
	s := sampleSpectrum("")
	for i := range 40000 {
		s.Line = append(s.Line, Point{1000, float64(i%7) - 60})
	}
	s.X = Axis{Lo: 10, Hi: 1000}
	y := Axis{Lo: -80, Hi: 0}
	p := newPlot(Head{ID: "x", Title: "x", Width: 360}, "spectrum", "", &s.X, &y, 24)
	got := p.thin(s.Line)
	extreme := func(line []Point) (lo, hi float64) {
		lo, hi = math.Inf(1), math.Inf(-1)
		for _, q := range line {
			lo, hi = math.Min(lo, q.Y), math.Max(hi, q.Y)
		}
		return lo, hi
	}
	al, ah := extreme(s.Line)
	bl, bh := extreme(got)
	if al != bl || ah != bh || len(got) > 2*360 {
		t.Errorf("%d points kept, %g to %g of %g to %g", len(got), bl, bh, al, ah)
	}
}

// The sentence under a survival curve agrees with the curve.
func TestSurvivalCaptionReadsTheCurve(t *testing.T) {
	f, err := SurvivalChart(sampleSurvival(""))
	if err != nil {
		t.Fatal(err)
	}
	// at 5.1 years the step from 5 on holds: 0.80
	if !strings.Contains(f.Caption.String(), "At 5.1") || !strings.Contains(f.Caption.String(),
		"about 8 in 10 are still good") {
		t.Error(f.Caption)
	}
}

func TestTickTextsOfOwnAxis(t *testing.T) {
	s := sampleStanding("")
	s.X.Ticks = []Tick{{0, "May 2024", "128 000 km"}, {800, "Feb 2026", ""}, {9000, "never", ""}}
	f, err := StandingChart(s)
	if err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]bool{"May 2024": true, "128 000 km": true, "Feb 2026": true, "never": false} {
		if strings.Contains(string(f.SVG), ">"+text+"<") != want {
			t.Errorf("%s: shown is not %v", text, want)
		}
	}
}

// Texts at the foot of a chart never touch.
func TestTickTextsStandApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(0, 3e5).Draw(t, "lo")
		hi := lo + rapid.Float64Range(.01, 3e5).Draw(t, "size")
		x, y := Axis{Lo: lo, Hi: hi}, Axis{Lo: 0, Hi: 1}
		p := newPlot(Head{ID: "x", Title: "x", Width: 360}, "trend", "", &x, &y, 0)
		ts := p.fitting(&x)
		for i := 1; i < len(ts); i++ {
			gap := p.x.at(ts[i].At) - p.x.at(ts[i-1].At)
			if need := textWidth(ts[i].Text.String(), letter); len(ts) > 2 && gap < need {
				t.Fatalf("%s and %s: %g px for %g", ts[i-1].Text, ts[i].Text, gap, need)
			}
		}
	})
}
