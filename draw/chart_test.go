package draw

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestChartsRefuse(t *testing.T) {
	nan := math.NaN()
	draw := map[string]func() (Figure, error){
		"trend without points": func() (Figure, error) { s := sampleTrend(""); s.Points = nil; return TrendChart(s) },
		"trend NaN": func() (Figure, error) {
			s := sampleTrend("")
			s.Points[1].Y = nan
			return TrendChart(s)
		},
		"trend band upside": func() (Figure, error) { s := sampleTrend(""); s.Path[2].Lo = 9; return TrendChart(s) },
		"trend band order":  func() (Figure, error) { s := sampleTrend(""); s.Path[2].X = 0; return TrendChart(s) },
		"trend limit": func() (Figure, error) {
			s := sampleTrend("")
			s.Limits[0].At = nan
			return TrendChart(s)
		},
		"trend today": func() (Figure, error) { s := sampleTrend(""); s.Today = &nan; return TrendChart(s) },
		"trend reach": func() (Figure, error) { s := sampleTrend(""); s.Reach.Lo = 1e9; return TrendChart(s) },
		"trend axis": func() (Figure, error) {
			s := sampleTrend("")
			s.X.Lo, s.X.Hi = 5, 1
			return TrendChart(s)
		},
		"trend log axis": func() (Figure, error) {
			s := sampleTrend("")
			s.Y.Log = true
			s.Y.Hi = 1
			return TrendChart(s)
		},
		"trend tick": func() (Figure, error) {
			s := sampleTrend("")
			s.X.Ticks = []Tick{{nan, "x"}}
			return TrendChart(s)
		},
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

// Whatever finite points come, the figure is well-formed and has no NaN.
func TestTrendTakesAnyFinitePoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Trend{Head: Head{ID: "any", Title: "any"}}
		for range rapid.IntRange(1, 12).Draw(t, "n") {
			s.Points = append(s.Points, Point{rapid.Float64Range(-1e5, 1e5).Draw(t, "x"),
				rapid.Float64Range(-1e5, 1e5).Draw(t, "y")})
		}
		s.Limits = []LimitLine{{At: rapid.Float64Range(-1e5, 1e5).Draw(t, "limit"), Name: "put right", Governs: true}}
		f, err := TrendChart(s)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(f.SVG), "NaN") || strings.Contains(string(f.SVG), "Inf") {
			t.Fatal(f.SVG)
		}
	})
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
	if !strings.Contains(f.Caption, "At 5.1") || !strings.Contains(f.Caption, "about 8 in 10 are still good") {
		t.Error(f.Caption)
	}
}

func TestTickTextsOfOwnAxis(t *testing.T) {
	s := sampleTrend("")
	s.X.Ticks = []Tick{{140000, "May 2024"}, {180000, "Feb 2026"}, {900000, "never"}}
	f, err := TrendChart(s)
	if err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]bool{"May 2024": true, "Feb 2026": true, "never": false} {
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
			if need := textWidth(ts[i].Text, letter); len(ts) > 2 && gap < need {
				t.Fatalf("%s and %s: %g px for %g", ts[i-1].Text, ts[i].Text, gap, need)
			}
		}
	})
}
