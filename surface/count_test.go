package surface_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"undertray.example/undertray/surface"
)

// plainFrame lays out ribs so many mm long.
func plainFrame(ribs int, long float64) surface.Frame {
	f := surface.Frame{Pitch: 3.56}
	for _, y := range []float64{0, long / 3, long} {
		s := surface.Station{Along: y}
		for k := range ribs + 1 {
			s.Lines = append(s.Lines, surface.Point{X: 35.6 * float64(k), Y: 10 * y})
		}
		f.Stations = append(f.Stations, s)
	}
	return f
}

// across is a crack over ribs at mm along.
func across(along, chance float64, ribs ...int) surface.Crack {
	from, to := 3.56*float64(ribs[0]), 3.56*float64(ribs[len(ribs)-1]+1)
	return surface.Crack{Path: []surface.Point{{X: from, Y: along - 0.4}, {X: to, Y: along + 0.4}}, Ribs: ribs,
		Chance: chance}
}

// TestCounts: the most cracks on 75 and on 25 mm, worked out by hand.
func TestCounts(t *testing.T) {
	f := plainFrame(5, 150)
	var cracks []surface.Crack
	for k := range 12 { // every 12 mm on rib 1: seven on 75 mm
		cracks = append(cracks, across(5+12*float64(k), 1, 1))
	}
	for k := range 4 { // four within 9 mm on rib 3
		cracks = append(cracks, across(40+3*float64(k), 1, 3))
	}
	c := surface.CountCracks(f, cracks)
	if !slices.Equal(c.Ribs, []int{0, 12, 0, 4, 0}) || c.Worst != 1 || c.Of75.Value != 7 ||
		c.Of25.Value != 4 || c.Seen != 150 {
		t.Errorf("%+v", c)
	}
	c = surface.CountCracks(f, []surface.Crack{across(30, 1, 1, 2, 3)})
	if !slices.Equal(c.Ribs, []int{0, 1, 1, 1, 0}) {
		t.Errorf("a crack across three ribs: %+v", c)
	}
	if c := surface.CountCracks(surface.Frame{}, cracks); c.Ribs != nil || c.Of75.Value != 0 {
		t.Errorf("without a frame: %+v", c)
	}
}

// TestCountLaws: a mark by hand adds one on each of its ribs, and one struck out never raises a count or an end of its
// band.
func TestCountLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for range 300 {
		f := plainFrame(4+r.IntN(5), 20+130*r.Float64())
		long := f.Size().Y
		var cracks []surface.Crack
		for range r.IntN(40) {
			cracks = append(cracks, across(long*r.Float64(), 0.5+0.5*r.Float64(), r.IntN(f.Ribs())))
		}
		before := surface.CountCracks(f, cracks)
		hand := across(long*r.Float64(), 0, r.IntN(f.Ribs()))
		hand.Hand = true
		after := surface.CountCracks(f, append(slices.Clone(cracks), hand))
		for k := range before.Ribs {
			want := before.Ribs[k]
			if k == hand.Ribs[0] {
				want++
			}
			if after.Ribs[k] != want {
				t.Fatalf("rib %d: %d marks with one by hand, %d before", k, after.Ribs[k], before.Ribs[k])
			}
		}
		if !notMore(before, after) {
			t.Fatalf("%+v with a mark by hand, %+v before", after, before)
		}
		for k := range cracks {
			if c := surface.CountCracks(f, slices.Delete(slices.Clone(cracks), k, k+1)); !notMore(c, before) {
				t.Fatalf("%+v with one struck out, %+v before", c, before)
			}
		}
	}
}

func notMore(a, b surface.Count) bool {
	return a.Of75.Value <= b.Of75.Value && a.Of25.Value <= b.Of25.Value
}
