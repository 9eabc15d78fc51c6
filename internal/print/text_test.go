package print

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

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
		w.table([]column{{head: "A", width: 10}, {head: "B", width: 26, right: true}, {head: "C", width: 40}}, [][]string{{"x", said, said}})
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
