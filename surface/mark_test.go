package surface_test

import (
	"errors"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"

	"undertray.example/undertray/surface"
)

func find(t testing.TB, p surface.Picture) []surface.Mark {
	t.Helper()
	marks, err := surface.Cracks(p, surface.Usual())
	if err != nil {
		t.Fatal(err)
	}
	return marks
}

// single is one stroke on a ground with little grain.
func single(r *rand.Rand, x, y []float64, width, depth float64) drawn {
	t := texture{w: 200, h: 150, grain: 0.02, coarse: 0.7, blur: 0.6, noise: 0.005}
	s := stroke{x: x, y: y, width: width, depth: depth, fade: make([]float64, len(x))}
	for i := range s.fade {
		s.fade[i] = 1
	}
	return t.drawWith(r, []stroke{s})
}

// TestMeasures: single cracks of 1 to 6 px with round ends in eight directions are one mark each, within 0.3 px of
// their middle, 8 px of their length, -0.5 and +1.2 px of their width (the blur counts into it), and a fifth of their
// width times their contrast.
func TestMeasures(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for _, width := range []float64{1, 2, 3, 4.5, 6} {
		for k := range 8 {
			turn := math.Pi * (float64(k) + 0.3) / 8
			c, s := 45*math.Cos(turn), 45*math.Sin(turn)
			x, y := []float64{100 - c, 100 + c}, []float64{75 - s, 75 + s}
			marks := find(t, single(r, x, y, width, 0.4).picture)
			if len(marks) != 1 {
				t.Errorf("width %v, direction %d: %d marks", width, k, len(marks))
				continue
			}
			m, off := marks[0], 0.0
			for _, p := range m.Path {
				off += math.Abs((p.X-100)*s-(p.Y-75)*c) / 45 / float64(len(m.Path))
			}
			if off > 0.3 {
				t.Errorf("width %v, direction %d: %.2f px beside the middle on average", width, k, off)
			}
			if math.Abs(m.Length-90-width) > 8 {
				t.Errorf("width %v, direction %d: length %.1f px, drawn %v", width, k, m.Length, 90+width)
			}
			if m.Width < width-0.5 || m.Width > width+1.2 {
				t.Errorf("width %v, direction %d: width %.2f px", width, k, m.Width)
			}
			if area := m.Width * m.Contrast; math.Abs(area-0.4*width) > 0.2*0.4*width {
				t.Errorf("width %v, direction %d: width times contrast %.3f px, drawn %.3f", width, k, area, 0.4*width)
			}
		}
	}
}

// TestGaps: a gap of 5 px is crossed, one of 25 px is not.
func TestGaps(t *testing.T) {
	for gap, want := range map[float64]int{5: 1, 25: 2} {
		r := rand.New(rand.NewPCG(7, 1))
		tex := texture{w: 200, h: 100, grain: 0.02, coarse: 0.7, blur: 0.6, noise: 0.005}
		s := stroke{x: []float64{30, 100 - gap/2, 100 + gap/2, 170}, y: []float64{40, 45, 46, 51}, width: 2, depth: 0.4,
			fade: []float64{1, 1, 0, 1}}
		if marks := find(t, tex.drawWith(r, []stroke{s}).picture); len(marks) != want {
			t.Errorf("gap of %v px: %d marks, want %d", gap, len(marks), want)
		}
	}
}

// TestNothing: pictures without a crack have no mark: even ones, shading, edges of shade, a corner, grain.
func TestNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	for name, tex := range map[string]texture{
		"even":    {w: 120, h: 90, blur: 0.6, coarse: 1},
		"shading": {w: 120, h: 90, blur: 0.6, coarse: 1, shade: 0.5},
		"edge":    {w: 120, h: 90, blur: 0.9, coarse: 1, edge: 0.5},
		"grain":   {w: 240, h: 160, blur: 0.7, coarse: 1, grain: 0.1, noise: 0.02},
	} {
		if marks := find(t, tex.draw(r).picture); len(marks) > 0 {
			t.Errorf("%s: %d marks, the first of %.0f px", name, len(marks), marks[0].Length)
		}
	}
	dark := surface.Picture{Width: 30, Height: 20, Light: make([]float64, 600)}
	if marks := find(t, dark); len(marks) > 0 {
		t.Errorf("black: %d marks", len(marks))
	}
}

// TestRenderedTextures holds the search to its score on 60 textures that its settings were not chosen on.
func TestRenderedTextures(t *testing.T) {
	var all tally
	clean := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 77))
		d := anyTexture(r).draw(r)
		s := scored(find(t, d.picture), d.truth, d.picture.Width)
		all.add(s)
		if len(d.cracks) == 0 {
			clean += s.marked
		}
	}
	p, r, f := all.rates()
	t.Logf("precision %.3f, recall %.3f, F %.3f; %d px marked where there are no cracks", p, r, f, clean)
	if f < fRendered || p < 0.9 {
		t.Errorf("precision %.3f, want 0.9; F %.3f, want %.2f", p, f, fRendered)
	}
}

// fRendered is a little below what was measured, 0.848.
const fRendered = 0.835

// TestRoughGround holds the search to its score on 50 pictures of rough ground that nothing was chosen on, and chances
// to what they say: of the length of marks with a chance, that share lies on cracks.
func TestRoughGround(t *testing.T) {
	var all tally
	s := surface.Usual()
	s.Chance = 0
	var right, length, said [4]float64
	for seed := range uint64(50) {
		d := roughGround(rand.New(rand.NewPCG(seed, 78)), 360, 240)
		marks, err := surface.Cracks(d.picture, s)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range marks {
			bin := int(min(m.Chance, 0.999) * 4)
			one := scored([]surface.Mark{m}, d.truth, d.picture.Width)
			right[bin] += float64(one.right)
			length[bin] += float64(one.marked)
			said[bin] += m.Chance * float64(one.marked)
		}
		likely := slices.DeleteFunc(marks, func(m surface.Mark) bool { return m.Chance < surface.Usual().Chance })
		all.add(scored(likely, d.truth, d.picture.Width))
	}
	p, r, f := all.rates()
	t.Logf("precision %.3f, recall %.3f, F %.3f", p, r, f)
	if p < 0.85 || f < fRough {
		t.Errorf("precision %.3f, want 0.85; F %.3f, want %.2f", p, f, fRough)
	}
	for i := range right {
		t.Logf("chance %.2f in the mean: %.2f right of %.0f px", said[i]/length[i], right[i]/length[i], length[i])
		if math.Abs(said[i]-right[i]) > 0.1*length[i] {
			t.Errorf("marks of chance %.2f in the mean: %.2f of their length is right", said[i]/length[i],
				right[i]/length[i])
		}
	}
}

// fRough is a little below what was measured, 0.694.
const fRough = 0.67

// TestLaws: marks stay where the picture is dimmed, and turn with it; a light line is no crack.
func TestLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	d := single(r, []float64{30, 90, 170}, []float64{40, 70, 110}, 2, 0.4)
	base := find(t, d.picture)
	if len(base) != 1 {
		t.Fatalf("%d marks", len(base))
	}
	half := d.picture
	half.Light = slices.Clone(half.Light)
	turned := surface.Picture{Width: half.Height, Height: half.Width, Light: make([]float64, len(half.Light))}
	light := half
	light.Light = make([]float64, len(half.Light))
	for i, v := range d.picture.Light {
		half.Light[i] = v / 2
		light.Light[i] = 1 - v
		turned.Light[i%half.Width*half.Height+i/half.Width] = v
	}
	same := func(name string, p surface.Picture) {
		m := find(t, p)
		if len(m) != 1 || math.Abs(m[0].Length-base[0].Length) > 1.5 || math.Abs(m[0].Width-base[0].Width) > 0.1 ||
			math.Abs(m[0].Contrast-base[0].Contrast) > 0.01 {
			t.Errorf("%s: %d marks, not the one of before", name, len(m))
		}
	}
	same("half the light", half)
	same("turned", turned)
	if m := find(t, light); len(m) > 0 {
		for _, m := range m {
			// Beside a light line the ground is no crack.
			t.Errorf("a light line: a mark of %.0f px", m.Length)
		}
	}
}

// TestRefusals: what cannot be searched is refused with its error.
func TestRefusals(t *testing.T) {
	good := surface.Picture{Width: 3, Height: 2, Light: make([]float64, 6)}
	with := func(change func(*surface.Settings)) surface.Settings {
		s := surface.Usual()
		change(&s)
		return s
	}
	const over = 1 << (bits.UintSize/2 + 8) // squared, more than an int holds
	for _, c := range []struct {
		name string
		p    surface.Picture
		s    surface.Settings
		want error
	}{
		{"nothing", surface.Picture{}, surface.Usual(), surface.ErrPicture},
		{"negative", surface.Picture{Width: -3, Height: -2, Light: make([]float64, 6)}, surface.Usual(),
			surface.ErrPicture},
		{"too few", surface.Picture{Width: 3, Height: 3, Light: make([]float64, 6)}, surface.Usual(),
			surface.ErrPicture},
		{"too large", surface.Picture{Width: over, Height: over}, surface.Usual(), surface.ErrPicture},
		{"not a number", surface.Picture{Width: 1, Height: 1, Light: []float64{math.NaN()}}, surface.Usual(),
			surface.ErrPicture},
		{"no scale", good, with(func(s *surface.Settings) { s.Scales = nil }), surface.ErrScale},
		{"tiny scale", good, with(func(s *surface.Settings) { s.Scales = []float64{0.1} }), surface.ErrScale},
		{"no reach", good, with(func(s *surface.Settings) { s.Reach = math.NaN() }), surface.ErrSettings},
		{"low above high", good, with(func(s *surface.Settings) { s.Low = s.High + 1 }), surface.ErrSettings},
		{"long gap", good, with(func(s *surface.Settings) { s.Gap = 1e9 }), surface.ErrSettings},
	} {
		if _, err := surface.Cracks(c.p, c.s); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	if _, err := surface.DarkLines(good); !errors.Is(err, surface.ErrScale) {
		t.Errorf("no scale: %v", err)
	}
	if _, err := surface.Curvature(surface.Picture{}, 1); !errors.Is(err, surface.ErrPicture) {
		t.Errorf("no picture: %v", err)
	}
	for _, size := range [][2]int{{1, 1}, {1, 40}, {40, 1}, {3, 2}} {
		p := surface.Picture{Width: size[0], Height: size[1], Light: make([]float64, size[0]*size[1])}
		p.Light[0] = 1
		if _, err := surface.Cracks(p, surface.Usual()); err != nil {
			t.Errorf("%v: %v", size, err)
		}
	}
}
