package measured

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/sheet"
)

// A triangle of 3, 4 and 5 hundred mm, measured in three ways.
const taped = `
section: PK
ribs: 6
pulleys:
  - {name: Crank, diameter: 160 mm, measured: outside, side: ribs, driver: true}
  - {name: Pump, x: 4 mm, y: 0 mm, diameter: 130 mm, measured: outside, side: ribs}
  - {name: Alternator, x: 0 mm, y: 3 mm, measured: outside, side: ribs}
measures:
  - {kind: centres, of: Crank, and: Pump, reads: 400 mm}
  - {kind: over, of: Crank, and: alternator, reads: 410 mm}
  - {kind: gap, of: Pump, and: Alternator, reads: 405 mm}
  - {kind: diameter, of: Alternator, reads: 60 mm, within: 0.1 mm}
`

// TestATapedTriangle: by hand, its right angle; the length round it is that of package belt's own answer.
func TestATapedTriangle(t *testing.T) {
	p, err := ReadFile("taped.yaml", []byte(taped))
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range [][3]float64{{0, 0, 160}, {400, 0, 130}, {0, 300, 60}} {
		q := p.As.Run.Pulleys[i]
		if math.Hypot(q.X.Base()-want[0], q.Y.Base()-want[1]) > 0.06 || math.Abs(q.Diameter.Base()-want[2]) > 0.06 {
			t.Errorf("%s lies at %s, %s, %s across; want %v", q.Name, q.X, q.Y, q.Diameter, want)
		}
	}
	if off := math.Abs(p.LengthMM() - p.As.Layout.EffectiveMM); off > 0.3 {
		t.Errorf("%.2f mm by the adjustment, %.2f mm by the run", p.LengthMM(), p.As.Layout.EffectiveMM)
	}
	if got := len(p.Keep().Measures); got != 6 {
		t.Errorf("%d measures are kept, want four and two diameters", got)
	}
	if _, err := json.Marshal(p.View()); err != nil {
		t.Error(err)
	}
}

// TestAMeasureInTheWrongPlaceIsNamed: what cannot be is said where it stands.
func TestAMeasureInTheWrongPlaceIsNamed(t *testing.T) {
	for change, want := range map[[2]string]string{
		{"kind: gap, of: Pump, and: Alternator", "kind: gap, of: Pump, and: Alternater"}: "Alternater",
		{"kind: over", "kind: across"}:                                      "across",
		{"of: Crank, and: Pump", "of: Crank, and: Crank"}:                   "to itself",
		{"kind: diameter, of: Alternator", "kind: belt, of: Pump"}:          "names no pulley",
		{"reads: 405 mm", "reads: -405 mm"}:                                 "405 mm",
		{"diameter: 160 mm, ", ""}:                                          "nothing says yet",
		{"  - {kind: gap, of: Pump, and: Alternator, reads: 405 mm}\n", ""}: "Alternator",
		{"reads: 400 mm", "reads: 40 mm"}:                                   "no run was found",
	} {
		src := strings.Replace(taped, change[0], change[1], 1)
		if src == taped {
			t.Fatalf("nothing is changed by %q", change)
		}
		_, err := ReadFile("taped.yaml", []byte(src))
		if err == nil || !strings.Contains(strings.ToLower(err.Error()), strings.ToLower(want)) ||
			fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%q: %v, want %q", change, err, want)
		}
	}
}

// TestLaidOntoTheSheet: a run that is measured anew comes out where the sheet has it, however the sketch was turned.
func TestLaidOntoTheSheet(t *testing.T) {
	rs, err := sheet.ReadMeasured("taped.yaml", []byte(taped))
	if err != nil {
		t.Fatal(err)
	}
	like := *rs.Run
	like.Pulleys = nil
	sin, cos := math.Sincos(0.7)
	for i, at := range [][2]float64{{0, 0}, {400, 0}, {0, 300}} {
		q := rs.Run.Pulleys[i]
		q.X, q.Y = millimetres(20+cos*at[0]-sin*at[1]), millimetres(-35+sin*at[0]+cos*at[1])
		like.Pulleys = append(like.Pulleys, q)
	}
	p, err := Place(Ask{Run: rs.Run, Belt: rs.Belt, Like: &like})
	if err != nil {
		t.Fatal(err)
	}
	for i := range like.Pulleys {
		a, b := p.As.Run.Pulleys[i], like.Pulleys[i]
		if math.Hypot(a.X.Base()-b.X.Base(), a.Y.Base()-b.Y.Base()) > 0.2 {
			t.Errorf("%s at %s, %s; the sheet has %s, %s", a.Name, a.X, a.Y, b.X, b.Y)
		}
	}
}

// TestRefusalsNameWhatIsMissing: of a photograph without touches, and without a scale.
func TestRefusalsNameWhatIsMissing(t *testing.T) {
	rs, err := sheet.ReadMeasured("taped.yaml", []byte(taped))
	if err != nil {
		t.Fatal(err)
	}
	rim := func(x float64, n int) (out []Touch) {
		for k := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			out = append(out, Touch{X: x + 100*cos, Y: 500 + 100*sin})
		}
		return out
	}
	bare := *rs.Run
	bare.Measures, bare.Pulleys = nil, nil
	for _, q := range rs.Run.Pulleys {
		q.Diameter = fleet.Pulley{}.Diameter
		bare.Pulleys = append(bare.Pulleys, q)
	}
	for want, rims := range map[string][][]Touch{
		"too few touches on the rim of the alternator": {rim(300, 6), rim(900, 6), rim(600, 2)},
		"no two rims":            {rim(300, 6), rim(900, 3), rim(600, 3)},
		"nothing says how large": {rim(300, 6), rim(900, 6), rim(600, 3)},
		"is no figure":           {rim(300, 6), rim(9000, 6), rim(600, 3)},
	} {
		_, err := Place(Ask{Run: &bare, Belt: rs.Belt, Photo: &Photo{WidthPX: 1200, HeightPX: 1000, Rims: rims}})
		var e *fleet.Error
		if !errors.As(err, &e) || !strings.Contains(e.Msg.String(), want) || e.Hint == "" {
			t.Errorf("want %q, got %v", want, fmt.Sprint(err))
		}
	}
}
