package drawn

import (
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// TestShow writes pictures to the folder UNDERTRAY_DRAWN names, to be looked at.
func TestShow(t *testing.T) {
	folder := os.Getenv("UNDERTRAY_DRAWN")
	if folder == "" {
		t.Skip("UNDERTRAY_DRAWN names no folder")
	}
	var cracked, clean []*image.Gray
	for seed := range uint64(12) {
		cracked = append(cracked, Any(seed+500).Render().Gray)
		clean = append(clean, Clean(seed+500).Render().Gray)
	}
	save(t, folder, "any", sheet(4, 600, cracked...))
	save(t, folder, "clean", sheet(4, 600, clean...))
	var odd []*image.Gray
	for seed := range uint64(60) {
		_, p := Odd(seed)
		odd = append(odd, p)
	}
	save(t, folder, "odd", sheet(10, 240, odd...))
	var profiles, hoses []*image.Gray
	for seed := range uint64(16) {
		profiles = append(profiles, AnyProfile(seed).Render().Gray)
		hoses = append(hoses, AnyHose(seed).Render().Gray)
	}
	save(t, folder, "profiles", sheet(4, 500, profiles...))
	save(t, folder, "hoses", sheet(4, 500, hoses...))
}

func save(t *testing.T, folder, name string, p *image.Gray) {
	t.Helper()
	f, err := os.Create(filepath.Join(folder, name+".png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, p); err != nil {
		t.Fatal(err)
	}
}

// TestPlaces: what a place of the belt is projected to looks back at that place, and middle, tilt and scale are those
// asked for.
func TestPlaces(t *testing.T) {
	for seed := range uint64(60) {
		s := Any(seed)
		s.Quality, s.Noise = 0, 0
		v := s.look()
		p := &Picture{Scene: s, view: v, belt: newSection(s.Pitch, s.Height, s.Tip, s.Flanks, s.Round, s.Worn)}
		p.measure()
		mid := p.Place(v.wide/2, 0, 0)
		if math.Hypot(mid.X-float64(s.Wide-1)/2, mid.Y-float64(s.High-1)/2) > 1e-6 {
			t.Fatalf("seed %d: the middle is at %v", seed, mid)
		}
		if math.Abs(p.Tilt-s.Tilt*1) > 0.02 && math.Abs(s.Lean) < 0.01 {
			t.Errorf("seed %d: tilt %v, want %v", seed, p.Tilt, s.Tilt)
		}
		for _, along := range []float64{-20, -3, 0, 9, 15} {
			at := p.Place(2, along, 0)
			if back, ok := p.Belt(at.X, at.Y); ok && math.Hypot(back.X-2, back.Y-along) > 1e-6 {
				// A bend may hide it: then something nearer is seen.
				if s.Bend == 0 {
					t.Fatalf("seed %d: %v mm along is at %v, which looks at %v", seed, along, at, back)
				}
			} else if !ok {
				t.Fatalf("seed %d: nothing at %v", seed, at)
			}
		}
	}
}

func BenchmarkRender(b *testing.B) {
	seed, px := uint64(0), 0
	for b.Loop() {
		p := Any(seed).Render()
		px += len(p.Pix)
		seed++
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(px), "ns/px")
}

// TestOdd: each is a picture, the same each time, and no two of a round are of one kind.
func TestOdd(t *testing.T) {
	if len(odds) > OddCount {
		t.Fatalf("%d kinds, more than the %d pictures", len(odds), OddCount)
	}
	kinds := map[string]bool{}
	for _, o := range odds {
		kinds[o.kind] = true
	}
	if len(kinds) != len(odds) {
		t.Errorf("%d kinds have %d names", len(odds), len(kinds))
	}
	for _, seed := range []uint64{7, 199} {
		kind, a := Odd(seed)
		again, b := Odd(seed)
		if kind != again || !slices.Equal(a.Pix, b.Pix) {
			t.Errorf("seed %d is drawn otherwise the second time", seed)
		}
	}
}

func BenchmarkOdd(b *testing.B) {
	seed := uint64(0)
	for b.Loop() {
		Odd(seed % OddCount)
		seed++
	}
}

// TestRange: what is drawn by lot is within what a reader is asked for, and each crack is clear enough or as wide and
// deep as they come.
func TestRange(t *testing.T) {
	cracked := 0
	for seed := range uint64(400) {
		s := Any(seed)
		blur := math.Sqrt(s.Blur*s.Blur + s.Motion*s.Motion/12)
		tilt := math.Acos(math.Cos(s.Tilt) * math.Cos(s.Lean))
		// The longer side of the whole picture, of which this may be a part, is seen under 75 degrees at most.
		view := 2 * math.Atan(float64(max(s.Wide, s.High))/2/s.Focal)
		if s.Ribs < 4 || s.Ribs > 8 || s.Scale < 8 || s.Scale > 20 || blur > 1.5 || tilt > 0.7 || view > 1.32 {
			t.Errorf("seed %d: %d ribs, %.1f px per mm, blur %.2f, tilt %.2f, view %.2f",
				seed, s.Ribs, s.Scale, blur, tilt, view)
		}
		for _, c := range s.Cracks {
			if c.Width < 0.1 || c.Width > 0.5 || c.Contrast < 0.05 || c.Contrast > 0.9 || len(c.Ribs) == 0 {
				t.Errorf("seed %d: crack %.2f mm wide, contrast %.2f, on ribs %v", seed, c.Width, c.Contrast, c.Ribs)
			}
			if s.Clarity(c) < Seen && (c.Width < 0.5 || c.Contrast < 0.9) {
				t.Errorf("seed %d: a crack has clarity %.1f", seed, s.Clarity(c))
			}
		}
		if len(s.Cracks) > 0 {
			cracked++
		}
		if len(Clean(seed).Cracks) > 0 {
			t.Errorf("seed %d: a clean belt has cracks", seed)
		}
	}
	if cracked < 300 {
		t.Errorf("%d of 400 have cracks", cracked)
	}
}

// TestCrackIsWhereItIsSaid: what a crack takes from the light lies along its course, and is as much as its width and
// contrast say. A straight belt under even light, without noise, with a crack and without.
func TestCrackIsWhereItIsSaid(t *testing.T) {
	for seed := range uint64(6) {
		s := Any(seed)
		s.Wide, s.High, s.Bend, s.Turn, s.Blur, s.Motion = 400, 300, 0, 0.3*float64(seed), 0.8, 0
		s.Diffuse, s.Sheen, s.Noise, s.Quality, s.Dirt, s.Dust, s.Fibres = 1, 0, 0, 0, 0, 0, 0
		s.Alike, s.Pieces, s.Frays, s.Print, s.Begin, s.Stop = nil, nil, nil, false, 0, 0
		s.Cracks = nil
		k := float64(s.Ribs/2) + 0.5
		c := Crack{Path: []Point{{(k - 0.45) * s.Pitch, -0.4}, {(k + 0.45) * s.Pitch, 0.4}},
			Width: 0.2 + 0.05*float64(seed), Contrast: 0.5, Ribs: []int{s.Ribs / 2}}
		without := s.Render()
		s.Cracks = []Crack{c}
		with := s.Render()
		slope := math.Hypot(0.9*s.Pitch, 0.8) / (0.9 * s.Pitch)
		// Along a line on the tip, across the crack: light missing and where.
		missing, at := 0.0, 0.0
		light := func(p *Picture, q Point) float64 {
			ix, iy := int(q.X), int(q.Y)
			fx, fy := q.X-float64(ix), q.Y-float64(iy)
			v := func(x, y int) float64 { return linear(float64(p.GrayAt(x, y).Y) / 255) }
			return lerp(lerp(v(ix, iy), v(ix+1, iy), fx), lerp(v(ix, iy+1), v(ix+1, iy+1), fx), fy)
		}
		const step = 0.02
		share := func(y float64) float64 {
			q := with.Place(k*s.Pitch, y, 0)
			return light(with, q) / light(without, q)
		}
		// The two are exposed a little differently.
		beside := (share(-1.9) + share(-1.5) + share(1.5) + share(1.9)) / 4
		for y := -2.0; y < 2; y += step {
			gone := 1 - share(y)/beside
			missing, at = missing+gone*step, at+gone*y*step
		}
		if want := c.Width * c.Contrast * slope; math.Abs(missing-want) > 0.12*want {
			t.Errorf("seed %d: %.3f mm of light are missing, want %.3f", seed, missing, want)
		}
		if at /= missing; math.Abs(at) > 0.06 {
			t.Errorf("seed %d: the crack is %.3f mm from where it should be", seed, at)
		}
	}
}

// TestOutlinesAreWhereTheyAreSaid: across the edge of a profile's tips and of a hose the picture goes from one
// light to the other in the middle, within half a pixel.
func TestOutlinesAreWhereTheyAreSaid(t *testing.T) {
	for seed := range uint64(4) {
		p := AnyProfile(seed)
		p.Grain, p.Noise, p.Quality, p.Fibres, p.Spill, p.Over, p.Aside, p.Ground = 0, 0, 0, 0, 0, 0, 0, "none"
		p.Fold, p.Shade, p.Blur = true, 0, 0.7
		pic := p.Render()
		for k, tip := range pic.Tips {
			s, c := math.Sincos(p.Turn)
			if off := crossing(pic.Gray, tip, -s, c); math.Abs(off) > 0.5 {
				t.Errorf("profile %d: tip %d is off by %.2f px", seed, k, off)
			}
			if r := pic.Ribs[k]; r.Height < 0.8 || r.Height > 2.7 || r.Half < 0.5 || r.Half > 2.6 {
				t.Errorf("profile %d: rib %d is %+v", seed, k, r)
			}
		}
		h := AnyHose(seed)
		h.Grain, h.Noise, h.Quality, h.Sheen, h.Wrinkles, h.Ground, h.Side = 0, 0, 0, 0, 0, "none", 0
		h.Face, h.Back, h.Clamps, h.Print, h.Blur = 0.05, 0.6, false, false, 0.7
		hose := h.Render()
		for _, along := range []float64{-20, 0, 15} {
			a, b := hose.Edges(along)
			long := math.Hypot(b.X-a.X, b.Y-a.Y)
			dx, dy := (b.X-a.X)/long, (b.Y-a.Y)/long
			if off := crossing(hose.Gray, a, dx, dy); math.Abs(off) > 0.6 {
				t.Errorf("hose %d: an edge is off by %.2f px at %v mm", seed, off, along)
			}
			if off := crossing(hose.Gray, b, -dx, -dy); math.Abs(off) > 0.6 {
				t.Errorf("hose %d: the other edge is off by %.2f px at %v mm", seed, off, along)
			}
		}
	}
}

// crossing is how far from a place, along a direction, the light is half way from that 4 px before to that 4 px
// beyond.
func crossing(p *image.Gray, at Point, dx, dy float64) float64 {
	light := func(d float64) float64 {
		x, y := at.X+d*dx, at.Y+d*dy
		ix, iy := int(x), int(y)
		v := func(x, y int) float64 { return linear(float64(p.GrayAt(x, y).Y) / 255) }
		fx, fy := x-float64(ix), y-float64(iy)
		return lerp(lerp(v(ix, iy), v(ix+1, iy), fx), lerp(v(ix, iy+1), v(ix+1, iy+1), fx), fy)
	}
	half := (light(-4) + light(4)) / 2
	for d := -4.0; d < 4; d += 0.02 {
		if (light(d) > half) != (light(-4) > half) {
			return d
		}
	}
	return 9
}
