package print

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/internal/catalogue"
)

func newTestSheet() *sheet {
	return newSheet(Paper{}, frame{vehicle: "Teal", title: "Test", on: sampleDay})
}

// Wrapping loses and invents no letter, and no line is too wide unless it is a
// single letter.
func TestWrapKeepsEveryLetter(t *testing.T) {
	s := newTestSheet()
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.RuneFrom([]rune("abcdefgWM ÄØß°²·–…  \u00a0")), 0, 120, -1).Draw(t, "text")
		w := rapid.Float64Range(3, 90).Draw(t, "width")
		st := rapid.SampledFrom([]style{bodyStyle, strongStyle, smallStyle, titleStyle}).Draw(t, "style")
		lines := s.wrap(text, st, w)
		bare := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		if bare(strings.Join(lines, "")) != bare(s.plain(text)) {
			t.Fatalf("%q became %q", text, lines)
		}
		for _, l := range lines {
			if got := s.width(l, st); got > w+1e-9 && len([]rune(l)) > 1 {
				t.Fatalf("%q is %.2f mm wide, room is %.2f mm", l, got, w)
			}
		}
	})
}

// The typeface has every sign the program's own words and figures use; what it
// lacks becomes a sign it has.
func TestSigns(t *testing.T) {
	s := newTestSheet()
	for in, want := range map[string]string{
		"25 N·m, 90°, 38 mm², 12–15 Ω, ±½ µm ≤ ≥ × − €£ Ø…": "25 N·m, 90°, 38 mm², 12–15 Ω, ±½ µm ≤ ≥ × − €£ Ø…",
		"216\u202f590\u00a0km":     "216\u00a0590\u00a0km",
		"V\u2011belt\tand\nhose\r": "V-belt and hose ",
		"Łódź, Плёнка, Ελιά, ğüş":  "Łódź, Плёнка, Ελιά, ğüş",
		"皮帯 and 🙂\ufe0f!":          "[2 signs not printed] and [1 sign not printed]!",
	} {
		if got := s.plain(in); got != want {
			t.Errorf("%q became %q, want %q", in, got, want)
		}
	}
}

func TestTypefaceCoversTheCatalogue(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	s := newTestSheet()
	for _, k := range cat.Kinds() {
		for i := range k.Checks {
			c := &k.Checks[i]
			words := c.Question + c.How + c.Caution + c.Unit
			for _, a := range c.Answers {
				words += a.Say
			}
			if strings.Count(s.plain(words), "?") != strings.Count(words, "?") {
				t.Errorf("%s %s: a sign cannot be set in: %s", k.ID, c.ID, words)
			}
		}
	}
}

func FuzzPaperTakesAnyText(f *testing.F) {
	f.Add("Belt (6PK) \\ ) ( \x00 \xff \u202e 皮", "note")
	f.Add(strings.Repeat("x", 3000), "\n\n\t")
	f.Fuzz(func(t *testing.T, a, b string) {
		j := sampleJob(3)
		j.Steps[0].Do, j.Steps[1].Cautions, j.Vehicle.Name = a, []string{b}, b
		j.Parts[0].Spec.Name, j.Bear = a, []string{a, b}
		var out bytes.Buffer
		if err := (Paper{Size: Letter}).Job(&out, j); err != nil {
			t.Fatal(err)
		}
		if !bytes.HasPrefix(out.Bytes(), []byte("%PDF-")) {
			t.Fatal("no PDF")
		}
	})
}

// TestClipCutsBetweenWords: what is too wide for a line ends behind a whole word.
func TestClipCutsBetweenWords(t *testing.T) {
	s := newTestSheet()
	for text, wide := range map[string]string{"At the end of its range": "At the end of i", "Dry and clean": "Dry and",
		"Fits": "Fits and more"} {
		got := s.clip(text, stopStyle, s.width(wide, stopStyle))
		cut, clipped := strings.CutSuffix(got, " …")
		if s.width(got, stopStyle) > s.width(wide, stopStyle) || clipped != (text != "Fits") ||
			!slices.Contains(strings.Fields(text), cut[strings.LastIndex(cut, " ")+1:]) {
			t.Errorf("%q in the width of %q: %q", text, wide, got)
		}
	}
}
