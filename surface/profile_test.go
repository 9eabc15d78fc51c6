package surface_test

import (
	"errors"
	"image"
	"math"
	"os"
	"slices"
	"testing"

	"undertray.example/undertray/surface"
	belts "undertray.example/undertray/surface/drawn"
)

// profileErrors are how far readings of drawn profiles are from their truth, mm, and whether the bands held it.
type profileErrors struct {
	height, flank, angle           []float64
	heightIn, flankIn, angleIn     int
	pictures, refused, wrongNumber int
}

func readProfiles(t *testing.T, first, n uint64) profileErrors {
	t.Helper()
	var e profileErrors
	for seed := first; seed < first+n; seed++ {
		s := belts.AnyProfile(seed)
		p := s.Render()
		width := s.Tip + s.Height*math.Tan(s.Flanks/2)
		got, err := surface.ReadProfile(p.Gray, surface.ProfileOptions{Height: s.Height, Width: width})
		if err != nil {
			t.Fatal(err)
		}
		e.pictures++
		if len(got.Ribs) == 0 {
			e.refused++
			t.Logf("seed %d: %+v", seed, got.Faults)
			continue
		}
		if len(got.Ribs) != s.Ribs {
			e.wrongNumber++
			t.Logf("seed %d: %d ribs, want %d", seed, len(got.Ribs), s.Ribs)
		}
		for _, r := range got.Ribs {
			k := nearestTip(p.Tips, r.Tip)
			e.add(t, seed, k, r, p.Ribs[k], width)
		}
	}
	return e
}

func nearestTip(tips []belts.Point, at surface.Point) int {
	best := 0
	for k, q := range tips {
		if math.Hypot(q.X-at.X, q.Y-at.Y) < math.Hypot(tips[best].X-at.X, tips[best].Y-at.Y) {
			best = k
		}
	}
	return best
}

func (e *profileErrors) add(t *testing.T, seed uint64, k int, r surface.RibShape, want belts.Rib, width float64) {
	flank := (width - want.Half) / 2 * math.Cos(20*math.Pi/180)
	dh, df, da := r.Height.Value-want.Height, r.Flank.Value-flank, r.Angle.Value-want.Angle
	e.height, e.flank = append(e.height, math.Abs(dh)), append(e.flank, math.Abs(df))
	e.angle = append(e.angle, math.Abs(da))
	holds := func(m surface.Measure, v float64) int {
		if m.Low <= v && v <= m.High {
			return 1
		}
		return 0
	}
	e.heightIn += holds(r.Height, want.Height)
	e.flankIn += holds(r.Flank, flank)
	e.angleIn += holds(r.Angle, want.Angle)
	if math.Abs(dh) > 0.1 || math.Abs(df) > 0.1 {
		t.Logf("seed %d rib %d: height off %.3f, flank off %.3f, angle off %.3f", seed, k, dh, df, da)
	}
}

func share(v []float64, most float64) float64 {
	n := 0
	for _, x := range v {
		if x <= most {
			n++
		}
	}
	return float64(n) / float64(max(len(v), 1))
}

// TestProfiles: ribs of drawn profiles are measured to 0.1 mm in nine of ten, and bands of 90 % hold 85 to 95 % of
// the truth; 30 pictures, and 300 with UNDERTRAY_SOAK. Constants were chosen on seeds from 1000 on.
func TestProfiles(t *testing.T) {
	n := uint64(30)
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		n = 300
	}
	e := readProfiles(t, 0, n)
	ribs := float64(len(e.height))
	held := []float64{float64(e.heightIn) / ribs, float64(e.flankIn) / ribs, float64(e.angleIn) / ribs}
	for _, v := range [][]float64{e.height, e.flank, e.angle} {
		slices.Sort(v)
	}
	t.Logf("%d pictures, %d refused, %d with another number of ribs; within 0.1 mm: height %.3f, flank %.3f",
		e.pictures, e.refused, e.wrongNumber, share(e.height, 0.1), share(e.flank, 0.1))
	for i, v := range [][]float64{e.height, e.flank, e.angle} {
		t.Logf("%s: median error %.3f, nine in ten below %.3f; bands hold %.3f", []string{"height, mm", "flank, mm",
			"angle, rad"}[i], v[len(v)/2], v[len(v)*9/10], held[i])
	}
	if share(e.height, 0.1) < 0.9 || share(e.flank, 0.1) < 0.9 {
		t.Error("fewer than nine ribs in ten are measured to 0.1 mm")
	}
	if float64(e.refused) > 0.05*float64(n) || float64(e.wrongNumber) > 0.05*float64(n) {
		t.Errorf("%d of %d refused, %d with another number of ribs", e.refused, n, e.wrongNumber)
	}
	// A hundred and fifty ribs of thirty pictures tell a share to about 0.05, since those of a picture are alike.
	slack := 0.05
	if n > 100 {
		slack = 0
	}
	for i, v := range held {
		if v < 0.85-slack || v > 0.95+slack {
			t.Errorf("bands %d hold %.3f", i, v)
		}
	}
}

// TestProfilesThatWillNotDo: what can't be measured is said, as the fault that it is.
func TestProfilesThatWillNotDo(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*belts.Profile)
		codes []string
	}{
		{"far off", func(p *belts.Profile) { p.Scale, p.Wide, p.High = 4, 400, 300 },
			[]string{surface.Small, surface.NoBelt}},
		{"out of focus", func(p *belts.Profile) { p.Blur = 4 }, []string{surface.Blurred, surface.NoBelt}},
		{"before the like", func(p *belts.Profile) { p.Face, p.Back = 0.06, 0.065 },
			[]string{surface.NoBelt, surface.NoOutline, surface.NotBelt, surface.Small}},
	} {
		for seed := range uint64(3) {
			p := belts.AnyProfile(seed)
			c.spoil(&p)
			got, err := surface.ReadProfile(p.Render().Gray, surface.ProfileOptions{})
			if err != nil {
				t.Fatal(err)
			}
			if len(got.Ribs) > 0 || len(got.Faults) != 1 || !got.Faults[0].Stops ||
				!slices.Contains(c.codes, got.Faults[0].Code) {
				t.Errorf("%s, seed %d: %d ribs, %+v, want one of %v", c.name, seed, len(got.Ribs), got.Faults, c.codes)
			}
		}
	}
}

// TestVAndU: with its flanks worn a rib's tip goes to a V and the groove beside it to a U.
func TestVAndU(t *testing.T) {
	round := func(worn float64) (r, g float64) {
		p := belts.AnyProfile(3)
		p.Tip, p.TipRound, p.GrooveRound, p.Height = 1.1, 0.2, 0.3, 2.3
		for i := range p.Worn {
			p.Worn[i], p.Low[i] = worn, 0
		}
		for i := range p.Fill {
			p.Fill[i] = 0
		}
		got, err := surface.ReadProfile(p.Render().Gray, surface.ProfileOptions{})
		if err != nil || len(got.Ribs) < 3 {
			t.Fatalf("%v %+v", err, got.Faults)
		}
		return got.Ribs[1].Round, got.Ribs[1].Groove
	}
	newTip, newGroove := round(0)
	tip, groove := round(0.35)
	if tip > 0.6*newTip || groove < 1.4*newGroove {
		t.Errorf("worn: a tip of %.2f mm after %.2f, a groove of %.2f after %.2f", tip, newTip, groove, newGroove)
	}
}

// TestOptionsOfProfiles: a setting that can't be is refused by name.
func TestOptionsOfProfiles(t *testing.T) {
	p := image.NewGray(image.Rect(0, 0, 20, 20))
	if _, err := surface.ReadProfile(p, surface.ProfileOptions{Height: -1}); !errors.Is(err, surface.ErrSettings) {
		t.Errorf("a height of -1: %v", err)
	}
	if _, err := surface.ReadProfile(nil, surface.ProfileOptions{}); !errors.Is(err, surface.ErrPicture) {
		t.Errorf("no picture: %v", err)
	}
	got, err := surface.ReadProfile(p, surface.ProfileOptions{})
	if err != nil || len(got.Faults) != 1 || got.Faults[0].Code != surface.NoBelt {
		t.Errorf("a black picture: %v, %+v", err, got)
	}
}

// TestOddProfiles: of a tenth of the odd pictures (all with UNDERTRAY_SOAK) next to none is taken for ribs: what has
// teeth of a belt's shape at its pitch is one, for this.
func TestOddProfiles(t *testing.T) {
	step, wrong := 10, 0
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		step = 1
	}
	for seed := 1; seed < belts.OddCount; seed += step {
		kind, p := belts.Odd(uint64(seed))
		got, err := surface.ReadProfile(p, surface.ProfileOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Ribs) > 0 {
			wrong++
			t.Logf("seed %d: %s has %d ribs", seed, kind, len(got.Ribs))
		}
	}
	if most := belts.OddCount / step / 50; wrong > most {
		t.Errorf("%d are taken for ribs, want %d at most", wrong, most)
	}
}

func BenchmarkReadProfile(b *testing.B) {
	p := belts.AnyProfile(0).Render().Gray
	for b.Loop() {
		if _, err := surface.ReadProfile(p, surface.ProfileOptions{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(p.Pix))/1e6, "Mpx")
}
