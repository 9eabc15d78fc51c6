package tally

import (
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/surface"
)

// marksOf is so many marks of a kind.
func marksOf(n int) []int { return make([]int, n) }

// TestWordsOfTwoCounts: the headline keeps to 14 words; no growth is told that the band does not bear out; what is not
// called new and what is not seen again are said, and each only where there is one.
func TestWordsOfTwoCounts(t *testing.T) {
	o := surface.Overlay{From: 10, To: 62.4, New: marksOf(3), Pairs: make([]surface.Pair, 9), Faint: marksOf(2),
		Gone: marksOf(1), Flipped: true, Growth: surface.Measure{Value: 1.1, Low: 0.2, High: 2}}
	const want = "3 cracks look new in 52 mm that both pictures show."
	if got := headlineOf(&o).String(); got != want || len(strings.Fields(got)) > 14 {
		t.Error(got)
	}
	all := message.Joined(linesOf(&o), "\n").String()
	for _, want := range []string{"9 cracks are in both: longer by 1.1 mm in the middle of all (0.2 to 2.0 mm).",
		"2 more marks may be new", "1 mark of the earlier picture not seen again", "from the other end"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not in %s", want, all)
		}
	}
	o = surface.Overlay{From: 0, To: 40, New: marksOf(0), Pairs: make([]surface.Pair, 1),
		Growth: surface.Measure{Value: 0.3, Low: -0.4, High: 1}}
	if got := message.Joined(linesOf(&o), "\n").String(); strings.Contains(got, "longer by") ||
		strings.Contains(got, "\n") || !strings.Contains(got, "1 crack is in both") ||
		!strings.Contains(got, "(−0.4 to 1.0 mm)") {
		t.Error(got)
	}
	if got := headlineOf(&o).String(); !strings.HasPrefix(got, "No crack looks new in 40 mm") {
		t.Error(got)
	}
	before := &fleet.Finding{Moment: fleet.Moment{Date: civil.Date{Year: 2025, Month: 10, Day: 1}}}
	if got := sinceWords(&o, before).String(); got != "no crack looks new in 40 mm since 1 Oct 2025" {
		t.Error(got)
	}
}

// TestWordsOfPicturesThatDoNotFit: each fault says its own cause with its figures; one that another picture mends says
// how to take that.
func TestWordsOfPicturesThatDoNotFit(t *testing.T) {
	seen := map[string]bool{}
	for _, f := range []surface.Fault{{Code: surface.OtherRibs, Value: 5, Want: 6}, {Code: surface.FewMarks, Value: 3,
		Want: 4}, {Code: surface.NoMatch, Value: 0.4}} {
		w, b := faultWords(&f)
		wrong, better := w.String(), b.String()
		if seen[wrong] || better == "" || f.Code == surface.OtherRibs && !strings.Contains(wrong, "5 ribs") ||
			f.Code == surface.FewMarks && !strings.Contains(wrong, "3 marks") ||
			f.Code != surface.OtherRibs && !strings.Contains(better, "chalk") {
			t.Errorf("%s: %q %q", f.Code, wrong, better)
		}
		seen[wrong] = true
	}
}

// TestSureness: what chance gives less often is told as surer, and none as certain.
func TestSureness(t *testing.T) {
	for chance, want := range map[float64]string{2e-4: "once in 5 000 ", 4e-5: "once in 25 000 ",
		1e-30: "once in a million "} {
		if got := sureWords(chance).String(); !strings.Contains(got, want) {
			t.Errorf("%g: %q", chance, got)
		}
	}
}

// TestCountsByThemselves: bands that meet tell nothing.
func TestCountsByThemselves(t *testing.T) {
	of := func(low, high float64) Once {
		return Once{Found: &fleet.Finding{Found: &fleet.Found{Counted: &fleet.Counted{Low: low, High: high}}}}
	}
	for _, c := range []struct {
		a, b Once
		want string
	}{{of(3, 5), of(6, 9), "there are more"}, {of(3, 5), of(5, 9), "cannot tell"}, {of(6, 9), of(3, 5), "fewer"}} {
		if got := countsWords(c.a, c.b).String(); !strings.Contains(got, c.want) {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
