package onbelt

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"undertray.example/undertray/surface"
	"undertray.example/undertray/surface/drawn"
)

// usualRib is a new rib as the catalogue has it (from memory): 2.0 to 2.4 mm high, 1.45 to 2.05 mm wide half way up.
var usualRib = []surface.Measure{{Value: 2.2, Low: 2, High: 2.4}, {Value: 1.75, Low: 1.45, High: 2.05}}

// The share worn off drawn ribs is within 5 % of the truth where a new one is known; bands hold nine of ten, with a new
// one known and not. UNDERTRAY_SOAK takes 120.
func TestWornRibs(t *testing.T) {
	all := uint64(6)
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		all = 120
	}
	var good, held, loose, n float64
	for seed := range all {
		d := drawn.AnyProfile(seed + 7000)
		p := d.Render()
		wide := d.Tip + d.Height*math.Tan(d.Flanks/2)
		truth := 0.0
		for _, r := range p.Ribs {
			truth += (1 - r.Height*r.Half/(d.Height*wide)) / float64(len(p.Ribs))
		}
		exact := []surface.Measure{{Value: d.Height, Low: d.Height, High: d.Height},
			{Value: wide, Low: wide, High: wide}}
		for i, usual := range [][]surface.Measure{exact, usualRib} {
			s, err := Read(p.Gray, Options{Of: Profile, Pitch: d.Pitch, Usual: usual})
			if err != nil {
				t.Fatal(err)
			}
			if s.Stops {
				t.Logf("seed %d: %s %v", d.Seed, s.Headline, s.Said)
				continue
			}
			true100 := 100 * max(truth, 0)
			in := s.Low <= true100+0.5 && true100 <= s.High+0.5
			switch {
			case i == 1 && in:
				loose++
			case i == 0:
				n++
				if math.Abs(s.Value-true100) <= 5 {
					good++
				}
				if in {
					held++
				}
			}
		}
	}
	t.Logf("of %.0f read %.0f within 5 %%; bands hold %.0f, with no new one known %.0f", n, good, held, loose)
	if n < 0.9*float64(all) || good < 0.8*n || held < 0.8*n || loose < 0.8*n {
		t.Error("want nine in ten read, right and in their bands")
	}
}

// A swollen hose says by how much, a sound one that none is found; what is struck out no longer counts, comes back from
// a browser and stands for itself.
func TestHoses(t *testing.T) {
	d := drawn.AnyHose(3)
	d.Flaws, d.Clamps, d.Print = nil, false, false
	sound, err := Read(d.Render().Gray, Options{Of: Hose})
	if err != nil || sound.Stops || sound.Value != 0 || sound.High < 4 ||
		!strings.HasPrefix(sound.Headline.String(), "No swelling") {
		t.Fatalf("a sound hose: %v %+v", err, sound)
	}
	d.Flaws = []drawn.Flaw{{Kind: "swollen", Long: 0.35 * d.Outer, Share: 0.15}}
	s, err := Read(d.Render().Gray, Options{Of: Hose})
	if err != nil || s.Stops || s.Value < 12 || s.Value > 18 || s.Low > 15 || s.High < 15 || len(s.Drawn) != 1 ||
		!strings.HasPrefix(s.Drawn[0].Says.String(), "Swelling: 1") || len(s.Lines) != 2 || s.View == "" {
		t.Fatalf("a hose swollen by 15 %%: %v %s %+v", err, s.Headline, s.Drawn)
	}
	text, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	back := new(Seen)
	if err := json.Unmarshal(text, back); err != nil {
		t.Fatal(err)
	}
	back.Out = []int{0, 0, 9}
	if back.Again(); back.Value != 0 || back.Struck != 1 || back.Marks != 0 || !back.Drawn[0].Out ||
		back.Headline.String() == s.Headline.String() || back.Add(10, 10) {
		t.Errorf("struck out: %s, %d struck", back.Headline, back.Struck)
	}
	back.Out = nil
	if back.Again(); back.Headline.String() != s.Headline.String() {
		t.Errorf("put back: %q, at first %q", back.Headline, s.Headline)
	}
}

// The bars of a drawn gauge answer the check above or below as they lie, struck-out ones take no part, and what lies
// within 0.1 mm of the tips is level; a band that reaches further names the other answer too.
func TestGaugeAnswers(t *testing.T) {
	g := drawn.AnyGauge(501)
	p := g.Render()
	truth := 0.0
	for _, b := range p.Bars {
		truth += b.Stand / float64(len(p.Bars))
	}
	s, err := Read(p.Gray, Options{Of: Gauge, Pitch: 3.56})
	if err != nil || s.Stops || len(s.Drawn) != len(p.Bars) || len(s.Lines) != 2 ||
		math.Abs(s.Value-math.Abs(truth)) > 0.1 || !strings.Contains(s.Unit.String(), s.Answer) {
		t.Fatalf("bars %.2f mm above the tips: %v %q %g %s, %s", truth, err, s.Answer, s.Value, s.Unit, s.Headline)
	}
	bars := func(all ...float64) *Seen {
		o := &Outline{Lines: [][]surface.Point{{{X: 1, Y: 1}, {X: 9, Y: 1}}}}
		for _, mm := range all {
			o.Measured = append(o.Measured, Measured{Kind: "bar", Line: []surface.Point{{X: 1, Y: 1}, {X: 2, Y: 1}},
				Figures: []surface.Measure{{Value: mm, Low: mm - 0.06, High: mm + 0.06}}})
		}
		s := &Seen{Of: Gauge, Width: 100, Height: 100, Outline: o}
		s.Again()
		return s
	}
	for _, c := range []struct {
		bars     []float64
		out      []int
		answer   string
		figure   string
		headline string
		others   int
	}{
		{[]float64{0.3, 0.4}, nil, Above, "0.35", "The gauge stands 0.35 mm above the rib tips (0.29 to 0.41).", 0},
		{[]float64{-0.3, -0.5}, nil, Below, "0.40", "The gauge stands 0.40 mm below the rib tips (0.34 to 0.46).", 0},
		{[]float64{0.08, 0}, nil, Level, "0.04",
			"The gauge is level with the rib tips: 0.04 mm above the rib tips (-0.02 to 0.10).", 0},
		{[]float64{0.13, 0.13}, nil, Above, "0.13", "The gauge stands 0.13 mm above the rib tips (0.07 to 0.19).", 1},
		{[]float64{0.3, -0.5}, []int{0}, Below, "0.50",
			"The gauge stands 0.50 mm below the rib tips (0.44 to 0.56).", 0},
		{[]float64{0.3, -0.5}, []int{0, 1}, "", "", "No bar is left to measure.", 0},
	} {
		s := bars(c.bars...)
		s.Out = c.out
		s.Again()
		if s.Stops || s.Answer != c.answer || s.Figure != c.figure || s.Headline.String() != c.headline ||
			len(s.Else) != c.others {
			t.Errorf("%v without %v: %q %s, %s, else %v", c.bars, c.out, s.Answer, s.Figure, s.Headline, s.Else)
		}
	}
}

// A kink is said with its chance, beside the figure.
func TestAKinkIsSaid(t *testing.T) {
	s := &Seen{Of: Hose, Width: 100, Height: 100, Outline: &Outline{Least: 0.04,
		Lines: [][]surface.Point{{{X: 1, Y: 1}, {X: 90, Y: 1}}, {{X: 1, Y: 30}, {X: 90, Y: 30}}},
		Measured: []Measured{{Kind: "kink", Line: []surface.Point{{X: 1, Y: 1}, {X: 1, Y: 30}},
			Figures: []surface.Measure{{Value: -0.2, Low: -0.25, High: -0.15}, {Value: 0.83, Low: 0.83, High: 0.83}}}}}}
	s.Again()
	says := s.Drawn[0].Says.String()
	if s.Stops || says != "Kink: 20 % thinner (15 to 25 %), a kink by 83 in 100" || len(s.Said) != 2 ||
		!strings.Contains(s.Said[1].Wrong.String(), "83 in 100") {
		t.Errorf("%s, %+v", says, s.Said)
	}
	s.Out = []int{0}
	if s.Again(); len(s.Said) != 0 {
		t.Errorf("struck out: %+v", s.Said)
	}
}

// What goes on beyond what is seen counts as far as it is seen, and says so.
func TestWhatGoesOutOfSight(t *testing.T) {
	s := &Seen{Of: Hose, Width: 100, Height: 100, Outline: &Outline{Least: 0.04,
		Lines: [][]surface.Point{{{X: 1, Y: 1}, {X: 90, Y: 1}}, {{X: 1, Y: 30}, {X: 90, Y: 30}}},
		Measured: []Measured{{Kind: "swelling", Line: []surface.Point{{X: 1, Y: 1}, {X: 1, Y: 30}}, Beyond: true,
			Figures: []surface.Measure{{Value: 0.12, Low: 0.1, High: 0.14}}}}}}
	if s.Again(); s.Stops || s.Value != 12 || s.High != 14 ||
		!strings.Contains(s.Drawn[0].Says.String(), "out of sight") {
		t.Errorf("%g (%g to %g): %s", s.Value, s.Low, s.High, s.Drawn[0].Says)
	}
	s.Out = []int{0}
	if s.Again(); s.High != 4 || !strings.HasPrefix(s.Headline.String(), "No swelling of 4 %") {
		t.Errorf("struck out: %g, %s", s.High, s.Headline)
	}
}

// Whatever comes back from a browser is measured or refused, never believed.
func TestOutlinesThatAreNone(t *testing.T) {
	whole := func() *Seen {
		return &Seen{Of: Profile, Width: 100, Height: 100, Outline: &Outline{Usual: usualRib,
			Lines: [][]surface.Point{{{X: 1, Y: 1}, {X: 2, Y: 2}}}, Measured: []Measured{{Kind: "rib",
				Line:    []surface.Point{{X: 1, Y: 1}, {X: 1, Y: 5}},
				Figures: []surface.Measure{{Value: 2, Low: 1.9, High: 2.1}, {Value: 1.7, Low: 1.6, High: 1.8}}}}}}
	}
	s := whole()
	if s.Again(); s.Stops || s.Value < 9 || s.Value > 13 {
		t.Errorf("ribs of 2 by 1.7 mm: %+v", s)
	}
	for name, spoil := range map[string]func(*Seen){
		"no outline": func(s *Seen) { s.Outline = nil },
		"no ribs":    func(s *Seen) { s.Outline.Measured = nil },
		"one figure": func(s *Seen) { s.Outline.Measured[0].Figures = s.Outline.Measured[0].Figures[:1] },
		"no number":  func(s *Seen) { s.Outline.Measured[0].Figures[0].Value = math.NaN() },
		"no new rib": func(s *Seen) { s.Outline.Usual = nil },
		"a new rib of nothing": func(s *Seen) {
			s.Outline.Usual = []surface.Measure{{}, {}}
		},
		"a point for a line": func(s *Seen) { s.Outline.Lines[0] = s.Outline.Lines[0][:1] },
	} {
		s := whole()
		spoil(s)
		if s.Again(); !s.Stops || s.Value != 0 || s.Outline != nil {
			t.Errorf("%s: %s", name, s.Headline)
		}
	}
}
