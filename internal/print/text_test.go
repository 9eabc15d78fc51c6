package print

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
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
		wide := rapid.IntRange(Narrowest, Widest).Draw(t, "wide")
		w := Screen{Columns: wide}.Text(&out, units.Preferences{})
		w.Line(message.Name(said))
		w.Item("     ! ", message.Name(said))
		w.table([]column{{head: "A"}, {head: "B"}, {head: "C"}},
			[][]any{{"x", said, said}})
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		for _, l := range strings.Split(out.String(), "\n") {
			if n := utf8.RuneCountInString(l); n > wide {
				t.Fatalf("%d columns: %q", n, l)
			}
		}
		if n := strings.Count(out.String(), km); n != 4 {
			t.Fatalf("%q stands whole %d times, want 4:\n%s", km, n, out.String())
		}
	})
}

// The cells of a table keep their words and the order of these at every width; figures stay in
// one piece, and only where words find no room side by side a row is written down its headings.
func TestTablesGiveWayAtWords(t *testing.T) {
	stacks := 0
	rapid.Check(t, func(t *rapid.T) {
		cols := []column{{head: "Where"}, {head: "How much", right: true}, {head: "What it says"}}
		var rows [][]string
		for range rapid.IntRange(1, 4).Draw(t, "rows") {
			words := rapid.SliceOfN(rapid.StringMatching(`[a-z]{1,30}`), 1, 30)
			rows = append(rows, []string{strings.Join(words.Draw(t, "where"), " "),
				strings.Repeat("9", rapid.IntRange(1, 12).Draw(t, "figure")), strings.Join(words.Draw(t, "said"), " ")})
		}
		var out bytes.Buffer
		w := Screen{Columns: rapid.IntRange(30, Widest).Draw(t, "wide")}.Text(&out, units.Preferences{})
		widths, beside := w.widths(cols, rows)
		cells := make([][]any, len(rows))
		for i, r := range rows {
			cells[i] = []any{r[0], r[1], r[2]}
		}
		w.table(cols, cells)
		w.Close()
		lines := strings.Split(strings.TrimRight(out.String(), "\n"), "\n")
		var want, got []string
		for _, r := range rows {
			want = append(want, strings.Join(r, " "))
		}
		if !beside {
			stacks++
			for _, l := range lines {
				for _, c := range cols {
					l = strings.TrimPrefix(l, c.head.String())
				}
				got = append(got, l)
			}
		} else {
			cells := make([]string, len(cols))
			for _, l := range lines[slices.IndexFunc(lines, func(l string) bool {
				return strings.Trim(l, "-") == ""
			})+1:] {
				at := 0
				for i, n := range widths {
					rest := l[min(at, len(l)):]
					cells[i] += " " + rest[:min(n, len(rest))]
					at += n + gap
				}
			}
			// down each column, as the rows lie one below the other
			want = nil
			for i := range cols {
				for _, r := range rows {
					want = append(want, r[i])
				}
			}
			got = cells
		}
		a, b := strings.Fields(strings.Join(want, " ")), strings.Fields(strings.Join(got, " "))
		if !slices.Equal(a, b) {
			t.Fatalf("set %q\nread %q\n%s", a, b, out.String())
		}
	})
	if stacks == 0 {
		t.Error("no table was too wide for its screen")
	}
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
