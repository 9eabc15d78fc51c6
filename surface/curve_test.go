package surface_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	belts "undertray.example/undertray/surface/drawn"
)

// TestScaleCurve tells how errors of scale grow with tilt, blur and px per mm, the table of docs/surface.md, which
// docs/surface.svg draws: 12 belts a row, in the soak only. Along is held to 3 % up to 15 degrees, and across to 1 %,
// in three quarters of each row.
func TestScaleCurve(t *testing.T) {
	if !soak() {
		t.Skip("in the soak only")
	}
	type row struct {
		name string
		set  func(*belts.Scene)
		hold bool
	}
	var rows []row
	for _, d := range []float64{0, 10, 15, 25, 35} {
		rows = append(rows, row{fmt.Sprintf("tilt %v degrees", d),
			func(s *belts.Scene) { s.Tilt = d * math.Pi / 180 }, d <= 15})
	}
	for _, v := range []float64{0.3, 1, 2, 3} {
		rows = append(rows, row{fmt.Sprintf("blur %v px", v), func(s *belts.Scene) { s.Blur = v }, v < 3})
	}
	for _, v := range []float64{5, 8, 12, 20} {
		rows = append(rows, row{fmt.Sprintf("%v px per mm", v),
			func(s *belts.Scene) { s.Focal *= v / s.Scale; s.Scale = v }, v >= 8})
	}
	const n = 12
	var table strings.Builder
	for _, row := range rows {
		seeds := make([]uint64, n)
		for i := range seeds {
			seeds[i] = uint64(5000 + i)
		}
		got := make([]scaled, n)
		each(seeds, func(i int, seed uint64) {
			s := plainBelt(seed)
			s.Ribs, s.Quality = 4+int(seed%5), 85
			row.set(&s)
			got[i] = scaleOf(t, s)
		})
		var across, along []float64
		failed := 0
		for _, s := range got {
			if s.refused || s.miscounted {
				failed++
				continue
			}
			across, along = append(across, 100*math.Abs(s.across)), append(along, 100*math.Abs(s.along))
		}
		slices.Sort(across)
		slices.Sort(along)
		if len(across) < n*3/4 {
			fmt.Fprintf(&table, "| %s | %d of %d | | | | |\n", row.name, failed, n)
			if row.hold {
				t.Errorf("%s: %d of %d not read", row.name, failed, n)
			}
			continue
		}
		at := func(v []float64, k float64) float64 { return v[int(k*float64(len(v)-1)+0.5)] }
		fmt.Fprintf(&table, "| %s | %d of %d | %.2f | %.2f | %.2f | %.2f |\n", row.name, failed, n, at(across, 0.5),
			at(across, 0.9), at(along, 0.5), at(along, 0.9))
		if row.hold && !(at(across, 0.75) < 1 && at(along, 0.75) < 3) {
			t.Errorf("%s: across %.2f %%, along %.2f %% at the third quartile", row.name, at(across, 0.75),
				at(along, 0.75))
		}
	}
	t.Logf("\n%s", table.String())
}
