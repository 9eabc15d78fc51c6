package print

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"undertray/internal/demo/demotest"
	"undertray/units"
)

// Whatever is written, no line is wider than the screen unless one word is,
// and the digits of a figure are never parted.
func TestTextKeepsToItsWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		km := units.Format(float64(rapid.IntRange(10000, 9999999).Draw(t, "km")), "", 0)
		words := rapid.SliceOfN(rapid.StringMatching(`[a-zØé°²]{1,12}[,.;]?`), 1, 60).Draw(t, "words")
		at := rapid.IntRange(0, len(words)).Draw(t, "at")
		said := strings.Join(append(append(append([]string{}, words[:at]...), km), words[at:]...), " ")
		var out bytes.Buffer
		w := NewText(&out, units.Preferences{})
		w.Line(said)
		w.Item("     ! ", said)
		w.table([]column{{head: "A", width: 10}, {head: "B", width: 26, right: true}, {head: "C", width: 40}},
			[][]string{{"x", said, said}})
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		for _, l := range strings.Split(out.String(), "\n") {
			if n := utf8.RuneCountInString(l); n > Width {
				t.Fatalf("%d columns: %q", n, l)
			}
		}
		if n := strings.Count(out.String(), km); n != 4 {
			t.Fatalf("%q stands whole %d times, want 4:\n%s", km, n, out.String())
		}
	})
}

// Each caution of a part stands once, before what is done about it.
func TestCautionsOfAPartStandFirstAndOnce(t *testing.T) {
	told := 0
	for _, r := range demotest.All(t) {
		for i := range r.Judgements {
			j := &r.Judgements[i]
			var out strings.Builder
			NewText(&out, units.Preferences{}).Position(r, j)
			caution, first := strings.Index(out.String(), "\nCaution\n"), strings.Index(out.String(), "\nBefore that\n")
			if first >= 0 && len(j.Cautions) > 0 {
				if told++; caution < 0 || caution > first {
					t.Errorf("%s %s: the caution comes after what is done", r.Vehicle.ID, j.Position.ID)
				}
			}
			for n, c := range j.Cautions {
				if slices.Contains(j.Cautions[n+1:], c) {
					t.Errorf("%s %s: %q stands twice", r.Vehicle.ID, j.Position.ID, c)
				}
			}
		}
	}
	if told < 3 {
		t.Errorf("%d parts have cautions and something before their change", told)
	}
}
