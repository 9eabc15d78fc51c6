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

var kinds = map[string]string{"swollen": "swelling", "necked": "necking", "kinked": "kink"}

// hoseErrors is how readings of drawn hoses compare with their truth.
type hoseErrors struct {
	sound, falseFlaw, refused       int
	flawed, found, kindRight, spare int
	beyond                          int // sound ones with something that goes on where nothing is seen
	shares, places                  []float64
	shareIn, placeIn                int
}

func (e *hoseErrors) read(t *testing.T, seed uint64) {
	t.Helper()
	h := belts.AnyHose(seed)
	p := h.Render()
	got, err := surface.ReadHose(p.Gray, surface.HoseOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Faults) > 0 {
		e.refused++
		t.Logf("seed %d: %+v (%s, flaws %+v)", seed, got.Faults, h.Ground, h.Flaws)
		return
	}
	if all := len(got.Flaws); all > 0 {
		got.Flaws = slices.DeleteFunc(got.Flaws, func(f surface.HoseFlaw) bool { return f.Beyond })
		if len(h.Flaws) == 0 && len(got.Flaws) < all {
			e.beyond++
			t.Logf("seed %d: sound, with an end that is off", seed)
		}
	}
	if len(h.Flaws) == 0 {
		e.sound++
		if len(got.Flaws) > 0 {
			e.falseFlaw++
			t.Logf("seed %d: sound, read as %+v", seed, got.Flaws)
		}
		return
	}
	e.flawed++
	want := h.Flaws[0]
	for _, f := range got.Flaws {
		at := p.Along(f.At.X, f.At.Y)
		if math.Abs(at-want.At) > h.Outer {
			e.spare++
			t.Logf("seed %d: %+v at %.0f mm, want %+v", seed, f, at, want)
			continue
		}
		e.found++
		if f.Kind == kinds[want.Kind] {
			e.kindRight++
		} else {
			t.Logf("seed %d: %+v, want %+v", seed, f, want)
		}
		if want.Kind == "kinked" {
			return
		}
		e.shares = append(e.shares, math.Abs(f.Share.Value-want.Share))
		if math.Abs(f.Share.Value-want.Share) > 0.03 {
			t.Logf("seed %d: share %.3f, want %.3f", seed, f.Share.Value, want.Share)
		}
		if f.Share.Low <= want.Share && want.Share <= f.Share.High {
			e.shareIn++
		}
		off := (at - want.At) / h.Outer
		e.places = append(e.places, math.Abs(off))
		if math.Abs(off) <= (f.Along.High-f.Along.Low)/2 {
			e.placeIn++
		}
		return
	}
	t.Logf("seed %d: not found %+v of %.0f mm, sound %v", seed, want, h.Outer, got.Sound)
}

// TestHoses: of drawn hoses, of which a third is sound, flaws are found, named, placed and measured; 20 pictures, 120
// with UNDERTRAY_SOAK, which alone tells how much bands hold. Constants were chosen on seeds from 1000 on.
func TestHoses(t *testing.T) {
	n, slack := uint64(20), 0.15 // a dozen flaws tell a share to a tenth
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		n, slack = 120, 0
	}
	var e hoseErrors
	for seed := range n {
		e.read(t, seed)
	}
	m := float64(len(e.shares))
	slices.Sort(e.shares)
	slices.Sort(e.places)
	t.Logf("%d refused; %d sound, %d of them called flawed; %d flawed, %d found, %d named right, %d found elsewhere",
		e.refused, e.sound, e.falseFlaw, e.flawed, e.found, e.kindRight, e.spare)
	t.Logf("shares: median error %.4f, nine in ten below %.4f, bands hold %.3f; places: %.3f diameters, %.3f",
		e.shares[len(e.shares)/2], e.shares[len(e.shares)*9/10], float64(e.shareIn)/m, e.places[len(e.places)*9/10],
		float64(e.placeIn)/m)
	few := 1 + int(n/20)
	t.Logf("%d sound ones with an end that is off", e.beyond)
	if e.beyond > e.sound/4+1 {
		t.Errorf("%d of %d sound hoses have an end that is off", e.beyond, e.sound)
	}
	if e.refused > few || e.falseFlaw > few || e.spare > few {
		t.Errorf("%d refused, %d sound ones called flawed, %d flaws where none is; want %d at most",
			e.refused, e.falseFlaw, e.spare, few)
	}
	if float64(e.found) < (0.9-slack/2)*float64(e.flawed) || float64(e.kindRight) < (0.9-slack/2)*float64(e.found) {
		t.Errorf("of %d flaws %d are found, %d named right", e.flawed, e.found, e.kindRight)
	}
	if share(e.shares, 0.03) < 0.9-slack/2 {
		t.Errorf("shares are within 0.03 in %.3f", share(e.shares, 0.03))
	}
	for _, in := range []int{e.shareIn, e.placeIn} {
		if v := float64(in) / m; m > 40 && (v < 0.81 || v > 0.99) { // some 60 tell a share to 0.04
			t.Errorf("bands hold %.3f", v)
		}
	}
}

// TestSwollenEnds: a swelling that goes on to where the picture ends is told as such, and by how much as far as it is
// seen.
func TestSwollenEnds(t *testing.T) {
	told := 0
	for seed := uint64(500); seed < 503; seed++ {
		h := belts.AnyHose(seed)
		h.Flaws, h.Clamps, h.Print, h.Wrinkles, h.Curve = nil, false, false, 0, 0
		half := float64(min(h.Wide, h.High)) / h.Scale / 2
		h.Flaws = []belts.Flaw{{Kind: "swollen", At: half, Long: 0.6 * h.Outer, Share: 0.15}}
		got, err := surface.ReadHose(h.Render().Gray, surface.HoseOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range got.Flaws {
			if f.Beyond && f.Kind == "swelling" && f.Share.Value > 0.06 && f.Share.Value < 0.2 {
				told++
			}
		}
		t.Logf("seed %d: %+v %+v", seed, got.Faults, got.Flaws)
	}
	if told < 2 {
		t.Errorf("%d of 3 swollen ends told", told)
	}
}

// TestHosesThatWillNotDo: where the outline is not seen, or is too small, that is said and nothing else.
func TestHosesThatWillNotDo(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*belts.Hose)
		codes []string
	}{
		{"before the like", func(h *belts.Hose) { h.Face, h.Back, h.Sheen = 0.05, 0.035, 0 },
			[]string{surface.NoHose, surface.NoOutline, surface.TooShort}},
		{"far off", func(h *belts.Hose) { h.Scale, h.Wide, h.High, h.Ground = 14/h.Outer, 500, 400, "none" },
			[]string{surface.Small}},
	} {
		for seed := range uint64(3) {
			h := belts.AnyHose(seed)
			h.Flaws, h.Clamps, h.Print, h.Wrinkles = nil, false, false, 0
			c.spoil(&h)
			got, err := surface.ReadHose(h.Render().Gray, surface.HoseOptions{})
			if err != nil {
				t.Fatal(err)
			}
			if len(got.Faults) != 1 || !got.Faults[0].Stops || len(got.Flaws) > 0 || len(got.Sections) > 0 ||
				!slices.Contains(c.codes, got.Faults[0].Code) {
				t.Errorf("%s, seed %d: %+v and flaws %+v, want one of %v", c.name, seed, got.Faults, got.Flaws, c.codes)
			}
		}
	}
	p := image.NewGray(image.Rect(0, 0, 60, 50))
	got, err := surface.ReadHose(p, surface.HoseOptions{})
	if err != nil || len(got.Faults) != 1 || got.Faults[0].Code != surface.NoHose {
		t.Errorf("a black picture: %v, %+v", err, got)
	}
	if _, err := surface.ReadHose(p, surface.HoseOptions{Outer: -3}); !errors.Is(err, surface.ErrSettings) {
		t.Errorf("a diameter of -3: %v", err)
	}
}

// kinkTally is how kinks of drawn hoses with moulded bends are told.
type kinkTally struct {
	kinked, named, placed, others, wrong, refused int
	chance, right                                 [2]float64 // of what is less likely a kink than not, and more
	n                                             [2]float64
}

func (k *kinkTally) read(t *testing.T, seed uint64) {
	t.Helper()
	h := belts.AnyBentHose(seed)
	p := h.Render()
	got, err := surface.ReadHose(p.Gray, surface.HoseOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Faults) > 0 {
		k.refused++
		t.Logf("seed %d: %+v", seed, got.Faults)
		return
	}
	at := math.Inf(1)
	if len(h.Flaws) > 0 && h.Flaws[0].Kind == "kinked" {
		at = h.Flaws[0].At
		k.kinked++
	} else {
		k.others++
	}
	named, wrong := false, false
	for _, f := range got.Flaws {
		off := math.Abs(p.Along(f.At.X, f.At.Y)-at) / h.Outer
		if f.Chance > 0 {
			i := 0
			if f.Chance >= 0.5 {
				i = 1
			}
			k.n[i], k.chance[i] = k.n[i]+1, k.chance[i]+f.Chance
			if off < 0.6 {
				k.right[i]++
			}
		}
		if f.Kind == "kink" {
			named, wrong = named || off < 0.6, wrong || off >= 0.6
			if off < 0.25 {
				k.placed++
			}
		}
	}
	if named {
		k.named++
	}
	if wrong && math.IsInf(at, 1) {
		k.wrong++
	}
	if named == math.IsInf(at, 1) || wrong {
		t.Logf("seed %d: %+v and bends %+v, read as %+v", seed, h.Flaws, h.Bends, got.Flaws)
	}
}

// TestKinks: of drawn hoses, straight or with moulded bends, kinks are told from bends they were made with and from
// what is only narrower there; 6 pictures, and 120 with UNDERTRAY_SOAK, which alone tells whether chances hold.
// Constants were chosen on seeds from 7 000 000 on.
func TestKinks(t *testing.T) {
	n, named, wrong := uint64(6), 0.6, 0.2
	if soak() {
		n, named, wrong = 120, 0.75, 0.15
	}
	var k kinkTally
	for seed := range n {
		k.read(t, seed)
	}
	t.Logf("%d refused; of %d kinked %d are called kinked, %d within a quarter of a diameter; of %d others %d",
		k.refused, k.kinked, k.named, k.placed, k.others, k.wrong)
	for i := range k.n {
		t.Logf("%.0f narrower places of a mean chance of %.2f: %.2f are kinks", k.n[i], k.chance[i]/k.n[i],
			k.right[i]/k.n[i])
		if k.n[i] > 30 && math.Abs(k.chance[i]-k.right[i])/k.n[i] > 0.15 {
			t.Errorf("of a mean chance of %.2f %.2f are kinks", k.chance[i]/k.n[i], k.right[i]/k.n[i])
		}
	}
	if float64(k.named) < named*float64(k.kinked) || float64(k.wrong) > 1+wrong*float64(k.others) ||
		k.refused > 1+int(n/20) {
		t.Errorf("of %d kinked %d are called kinked, of %d others %d; %d refused", k.kinked, k.named, k.others, k.wrong,
			k.refused)
	}
}

// TestMouldedBendIsNoKink: a bend of a radius of a diameter and a half that a hose was made with has no kink, and the
// same hose folded there has.
func TestMouldedBendIsNoKink(t *testing.T) {
	h := belts.AnyHose(700)
	h.Flaws, h.Clamps, h.Print, h.Wrinkles, h.Curve, h.Turn = nil, false, false, 0, 0, 0.3
	h.Bends = []belts.Bend{{Radius: 1.5 * h.Outer, Angle: -0.9, Flat: 0.02}}
	kinks := func() (out []surface.HoseFlaw) {
		got, err := surface.ReadHose(h.Render().Gray, surface.HoseOptions{})
		if err != nil || len(got.Faults) > 0 {
			t.Fatalf("%v %+v", err, got.Faults)
		}
		for _, f := range got.Flaws {
			if f.Kind == "kink" {
				out = append(out, f)
			}
		}
		return out
	}
	if got := kinks(); len(got) > 0 {
		t.Errorf("a moulded bend: %+v", got)
	}
	h.Bends = nil
	h.Flaws = []belts.Flaw{{Kind: "kinked", Long: 0.22 * h.Outer, Share: -0.25, Angle: -0.8, Inner: 0.75}}
	if got := kinks(); len(got) != 1 || got[0].Chance < 0.7 {
		t.Errorf("a fold: %+v", got)
	}
}

func BenchmarkReadHose(b *testing.B) {
	p := belts.AnyHose(0).Render().Gray
	for b.Loop() {
		if _, err := surface.ReadHose(p, surface.HoseOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
