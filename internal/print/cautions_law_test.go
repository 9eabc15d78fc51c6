package print

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
)

// counted counts how often each caution is read on a printed sheet.
func counted(t *testing.T, cautions map[string]int, write func(io.Writer) error) (counts map[string]int, sides int) {
	t.Helper()
	var pdf bytes.Buffer
	if err := write(&pdf); err != nil {
		t.Fatal(err)
	}
	raw := poppler(t, "pdftotext", "-raw", written(t, pdf.Bytes()), "-")
	text, counts := flat(raw), map[string]int{}
	for _, c := range byLength(cautions) { // a short one may be part of a longer
		counts[c] = strings.Count(text, flat(c))
		text = strings.ReplaceAll(text, flat(c), "-")
	}
	return counts, strings.Count(raw, "\f")
}

func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

// byLength lists cautions, the longest first.
func byLength(cautions map[string]int) []string {
	return slices.SortedFunc(maps.Keys(cautions), func(a, b string) int {
		return cmp.Or(len(b)-len(a), cmp.Compare(a, b))
	})
}

// On paper a round says a caution once on each side; a job sheet once in each section that
// needs it, and again where the page was turned.
func TestCautionsAreCountedOnPaper(t *testing.T) {
	for _, r := range demotest.All(t) {
		round, err := visit.NewRound(r, visit.RoundOptions{Open: []string{visit.OpenAll}})
		if err != nil {
			t.Fatal(err)
		}
		for _, size := range []Size{A4, Letter} {
			var pdf bytes.Buffer
			if err := (Paper{Size: size}).Round(&pdf, round); err != nil {
				t.Fatal(err)
			}
			raw := poppler(t, "pdftotext", "-raw", written(t, pdf.Bytes()), "-")
			for side, words := range strings.Split(raw, "\f") {
				text := flat(words)
				for _, c := range byLength(cautionsOf(round)) {
					if n := strings.Count(text, c); n > 1 {
						t.Errorf("%s, %s, side %d: %q stands %d times", r.Vehicle.ID, size, side+1, c, n)
					}
					text = strings.ReplaceAll(text, c, "-") // a short one may be part of a longer
				}
			}
		}
		job, err := visit.NewJob(r, visit.JobOptions{Positions: everyChange(r)})
		if err != nil {
			t.Fatal(err)
		}
		want := map[string]int{}
		var here map[string]bool // said since the engine began to turn, or came to rest
		for i := range job.Steps {
			if i == 0 || job.Steps[i].Use.Turns() != job.Steps[i-1].Use.Turns() {
				here = map[string]bool{}
			}
			for _, c := range sentences(told.InEnglish(job.Steps[i].Before())...) {
				if want[c]++; here[c] {
					t.Errorf("%s, job: %q is said again at step %d", r.Vehicle.ID, c, i+1)
				}
				here[c] = true
			}
		}
		got, sides := counted(t, want, func(w io.Writer) error { return (Paper{}).Job(w, job) })
		again := 0
		for c, n := range want {
			if again += max(0, got[c]-n); got[c] < n {
				t.Errorf("%s, job: %q stands %d times, %d sections need it", r.Vehicle.ID, c, got[c], n)
			}
		}
		if len(want) < 20 || again > 4*sides {
			t.Errorf("%s, job: %d cautions, %d of them again over %d sides", r.Vehicle.ID, len(want), again, sides)
		}
	}
}

// The card and the tag say nothing twice on a side.
func TestTheCardSaysEachThingOnce(t *testing.T) {
	for _, r := range demotest.All(t) {
		want := map[string]int{}
		for _, s := range r.CardView().Signs {
			if want[s.Then.String()]++; want[s.Then.String()] > 1 {
				t.Errorf("%s: %q stands twice", r.Vehicle.ID, s.Then)
			}
		}
		got, sides := counted(t, want, func(w io.Writer) error { return (Paper{}).Card(w, r) })
		for c, n := range got {
			if n > 1 {
				t.Errorf("%s, card: %q stands %d times", r.Vehicle.ID, c, n)
			}
		}
		if len(want) < 8 || sides != 1 {
			t.Errorf("%s: %d signs on %d sides", r.Vehicle.ID, len(want), sides)
		}
	}
}

// cautionsOf is every sentence that a round cautions by.
func cautionsOf(round *visit.Round) map[string]int {
	out := map[string]int{}
	add := func(cautions ...string) {
		for _, c := range sentences(cautions...) {
			out[flat(c)]++
		}
	}
	for _, o := range round.Closing() {
		add(o.Cautions...)
	}
	for i := range round.Stages {
		st := &round.Stages[i]
		for _, o := range st.Open {
			add(o.Cautions...)
		}
		add(slices.Concat(st.Cautions, ofStops(st))...)
	}
	return out
}

// sentences are those of cautions, each told by itself.
func sentences(cautions ...string) []string {
	var out []string
	for _, c := range cautions {
		for s := range strings.SplitAfterSeq(c, ". ") {
			if s = strings.TrimSpace(s); s != "" {
				out = append(out, s)
			}
		}
	}
	return out
}

// everyChange is every fourth part of a vehicle, so that a sheet has many sections.
func everyChange(r *advise.Report) []string {
	var out []string
	for i := 0; i < len(r.Judgements); i += 4 {
		out = append(out, r.Judgements[i].Position.ID)
	}
	return out
}

// A round of about sixty positions, everything open, goes on two sides of either paper in
// letters of at least 7 pt; each stop has its line, and before the first of a section
// stands every caution of that section, or its letter with the caution further up on that side.
func TestARoundGoesOnTwoSides(t *testing.T) {
	for _, r := range demotest.All(t) {
		round, err := visit.NewRound(r, visit.RoundOptions{Open: []string{visit.OpenAll}})
		if err != nil {
			t.Fatal(err)
		}
		positions := map[string]bool{}
		for _, st := range round.Stages {
			for _, stop := range st.Stops {
				positions[stop.Position.ID] = true
			}
		}
		if len(positions) < 50 {
			t.Errorf("%s: %d positions, too few to tell anything", r.Vehicle.ID, len(positions))
		}
		for _, size := range []Size{A4, Letter} {
			var pdf bytes.Buffer
			if err := (Paper{Size: size}).Round(&pdf, round); err != nil {
				t.Fatal(err)
			}
			file := written(t, pdf.Bytes())
			raw := poppler(t, "pdftotext", "-raw", file, "-")
			if sides := strings.Count(raw, "\f"); sides > 2 && (len(positions) <= 60 || sides > 3) {
				t.Errorf("%s, %s: %d positions on %d sides", r.Vehicle.ID, size, len(positions), sides)
			}
			for _, m := range regexp.MustCompile(`<fontspec [^>]*size="(\d+)"`).FindAllStringSubmatch(
				poppler(t, "pdftohtml", "-xml", "-stdout", "-i", "-zoom", "1", file), -1) {
				if pt, _ := strconv.Atoi(m[1]); pt < 7 {
					t.Errorf("%s, %s: letters of %d pt", r.Vehicle.ID, size, pt)
				}
			}
			stopsStandBehindCautions(t, round, raw)
		}
	}
}

func stopsStandBehindCautions(t *testing.T, round *visit.Round, raw string) {
	t.Helper()
	letter := regexp.MustCompile(`\b([A-Z]{1,2})\) `)
	sides := strings.Split(raw, "\f")
	for i := range sides {
		sides[i] = flat(sides[i])
	}
	needs := func(title string, cautions []string, before, page int, text string) {
		t.Helper()
		head := strings.LastIndex(text[:before], title)
		if head < 0 {
			t.Errorf("side %d: %q is not before its first line", page+1, title)
			return
		}
		for _, c := range sentences(cautions...) {
			at := strings.LastIndex(text[:before], flat(c))
			if at < 0 {
				t.Errorf("%s: %q does not stand before its first line, on side %d", title, c, page+1)
				continue
			}
			if at > head {
				continue
			}
			var by string
			if all := letter.FindAllStringSubmatch(text[:at], -1); len(all) > 0 {
				by = all[len(all)-1][1]
			}
			if by == "" || !regexp.MustCompile(`As above: [A-Z, ]*\b`+by+`[,.]`).MatchString(text[head:before]) {
				t.Errorf("%s: %q is not called by its letter %q", title, c, by)
			}
		}
	}
	page, last := 0, 0
	find := func(words string) bool {
		for ; page < len(sides); page, last = page+1, 0 {
			if at := strings.Index(sides[page][last:], words); at >= 0 {
				last += at
				return true
			}
		}
		return false
	}
	for i := range round.Stages {
		st := &round.Stages[i]
		if len(st.Open) > 0 {
			var all []string
			for _, o := range st.Open {
				all = append(all, o.Cautions...)
			}
			if first := string([]rune(st.Open[0].Name)[:12]); find(openedHead.String()) && find(first) {
				needs(openedHead.String(), all, last, page, sides[page])
			} else {
				t.Fatalf("%q is not on the sheet in its place", first)
			}
		}
		for k, stop := range st.Stops {
			name := string([]rune(stop.Position.Name)[:min(8, len([]rune(stop.Position.Name)))])
			if !find(fmt.Sprintf("%d %s", stop.N, name)) {
				t.Fatalf("stop %d, %s, is not on the sheet in its place", stop.N, stop.Position.Name)
			}
			if k == 0 {
				needs(st.Title().String(), slices.Concat(st.Cautions, ofStops(st)), last, page, sides[page])
			}
		}
	}
}
