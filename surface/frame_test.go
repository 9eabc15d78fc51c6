package surface_test

import (
	"errors"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"undertray.example/undertray/surface"
)

// bentFrame is a frame of uneven cells.
func bentFrame(r *rand.Rand) surface.Frame {
	f := surface.Frame{Pitch: 3.56}
	ribs, along := 1+r.IntN(8), 0.0
	for k := range 2 + r.IntN(30) {
		s := surface.Station{Along: along}
		for i := range ribs + 1 {
			s.Lines = append(s.Lines, surface.Point{
				X: 200 + 50*float64(i) - 3*float64(k) + 0.05*float64(k*k) + 3*r.Float64(),
				Y: 100 + 30*float64(k) + 4*float64(i) + 3*r.Float64()})
		}
		f.Stations = append(f.Stations, s)
		along += 1 + 3*r.Float64()
	}
	return f
}

// TestFrameBothWays: what lies somewhere in a picture is found on the belt again; lines and stations are met.
func TestFrameBothWays(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 200 {
		f := bentFrame(r)
		size := f.Size()
		for range 20 {
			want := surface.Point{X: size.X * r.Float64(), Y: size.Y * r.Float64()}
			got, ok := f.Belt(f.Picture(want))
			if !ok || math.Hypot(got.X-want.X, got.Y-want.Y) > 1e-5 {
				t.Fatalf("%v came back as %v, %v", want, got, ok)
			}
		}
		k, i := r.IntN(len(f.Stations)), r.IntN(f.Ribs()+1)
		at := f.Picture(surface.Point{X: float64(i) * f.Pitch, Y: f.Stations[k].Along})
		if want := f.Stations[k].Lines[i]; math.Hypot(at.X-want.X, at.Y-want.Y) > 1e-9 {
			t.Fatalf("line %d of station %d lies at %v, want %v", i, k, at, want)
		}
		if _, ok := f.Belt(surface.Point{X: -500, Y: -500}); ok {
			t.Fatal("a place beside the belt lies on it")
		}
	}
	if p := (surface.Frame{}).Picture(surface.Point{}); !math.IsNaN(p.X) {
		t.Errorf("an empty frame lays 0, 0 at %v", p)
	}
	if _, ok := (surface.Frame{}).Belt(surface.Point{}); ok {
		t.Error("an empty frame has a place on the belt")
	}
}

// TestPicturesRefused: what is no picture, or no setting, is an error; any other picture is not, however small.
func TestPicturesRefused(t *testing.T) {
	good := image.NewGray(image.Rect(0, 0, 30, 20))
	for name, p := range map[string]*image.Gray{
		"none":      nil,
		"no pixels": image.NewGray(image.Rect(0, 0, 0, 10)),
		"short":     {Pix: make([]uint8, 30*19), Stride: 30, Rect: image.Rect(0, 0, 30, 20)},
		"stride":    {Pix: make([]uint8, 600), Stride: 10, Rect: image.Rect(0, 0, 30, 20)},
		"far":       {Pix: make([]uint8, 600), Stride: math.MaxInt / 2, Rect: image.Rect(0, 0, 30, 20)},
		"huge":      {Pix: make([]uint8, 600), Stride: 30, Rect: image.Rect(0, 0, 30, math.MaxInt/2)},
	} {
		if _, err := surface.ReadBelt(p, surface.BeltOptions{}); !errors.Is(err, surface.ErrPicture) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, o := range []surface.BeltOptions{{Pitch: -1}, {Pitch: math.NaN()}, {Pitch: 1000}, {Focal: -3},
		{Focal: math.Inf(1)}, {Focal: math.NaN()}} {
		if _, err := surface.ReadBelt(good, o); !errors.Is(err, surface.ErrSettings) {
			t.Errorf("%v: %v", o, err)
		}
	}
	for _, size := range [][2]int{{1, 1}, {1, 300}, {300, 1}, {2, 2}, {33, 31}, {90, 90}} {
		r, err := surface.ReadBelt(image.NewGray(image.Rect(0, 0, size[0], size[1])), surface.BeltOptions{})
		if err != nil || len(r.Faults) == 0 || !r.Faults[0].Stops || len(r.Cracks) != 0 {
			t.Errorf("%v: %v, %v", size, r, err)
		}
	}
}
