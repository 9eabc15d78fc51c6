package surface_test

import (
	"image"
	"image/color"
	_ "image/jpeg" // pictures
	_ "image/png"  // masks
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/surface"
)

// TestRoadCracks measures the search on 60 photographs of cracked road with masks drawn by hand (the CrackForest set:
// Y. Shi, L. Cui, Z. Qi, F. Meng, Z. Chen, IEEE Transactions on Intelligent Transportation Systems 17, 2016), by the
// rule of 5 px. No setting was chosen on them, and nothing of them is kept here.
func TestRoadCracks(t *testing.T) {
	dir := given.Data(t, "data", "cracks")
	masks, err := filepath.Glob(filepath.Join(dir, "*_mask.png"))
	if err != nil || len(masks) != 60 {
		t.Fatal(err, len(masks))
	}
	var all tally
	for _, name := range masks {
		p := greyPicture(t, strings.Replace(name, "_mask.png", ".jpg", 1))
		m := greyPicture(t, name)
		if m.Width != p.Width || m.Height != p.Height {
			t.Fatalf("%s: %d by %d, its picture %d by %d", name, m.Width, m.Height, p.Width, p.Height)
		}
		mask := make([]bool, len(m.Light))
		for i, v := range m.Light {
			mask[i] = v > 0.5
		}
		s := scored(find(t, p), mask, p.Width)
		precision, recall, f := s.rates()
		t.Logf("%s: precision %.3f, recall %.3f, F %.3f", filepath.Base(name), precision, recall, f)
		all.add(s)
	}
	precision, recall, f := all.rates()
	t.Logf("all: precision %.3f, recall %.3f, F %.3f", precision, recall, f)
	if f < fRoads {
		t.Errorf("F %.3f, want %.2f", f, fRoads)
	}
}

// fRoads is a little below what was measured, 0.804; 0.85 was aimed at.
const fRoads = 0.8

func greyPicture(t *testing.T, name string) surface.Picture {
	t.Helper()
	file, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	pic, _, err := image.Decode(file)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	b := pic.Bounds()
	p := surface.Picture{Width: b.Dx(), Height: b.Dy()}
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			g := color.Gray16Model.Convert(pic.At(x, y)).(color.Gray16)
			p.Light = append(p.Light, float64(g.Y)/0xffff)
		}
	}
	return p
}
