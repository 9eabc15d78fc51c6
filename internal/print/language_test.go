package print

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/handover"
	"undertray.example/undertray/internal/message/languages"
	"undertray.example/undertray/internal/message/messagetest"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/buying"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/yard"
)

// TestSheetsInAnotherLanguage sets every sheet of the made-up yard in the pseudo-language and reads it back with
// Poppler: none has more that is not a message than it had, none of it is cut off, leaves the page or lies on another.
// What the yard's own files hold is in Greek letters first.
func TestSheetsInAnotherLanguage(t *testing.T) {
	pseudo := languages.With(ask.Texts).Pseudo
	held := messagetest.Hold(t, "testdata/left-in-english.txt")
	known := strings.NewReplacer(typed(t)...)
	for name, set := range demoSheets(t) {
		for _, size := range []Size{A4, Letter} {
			var pdf bytes.Buffer
			if err := set(Paper{Size: size, Language: pseudo}, &pdf); err != nil {
				t.Fatal(name, err)
			}
			if !bytes.Contains(pdf.Bytes(), []byte("/Lang (qps)")) {
				t.Errorf("%s is not said to be in qps", name)
			}
			file := written(t, pdf.Bytes())
			wordsApart(t, name+" on "+string(size), file, size)
			if size == A4 {
				held.Check(t, name, leftOn(t, file, known))
			}
		}
	}
	held.Done(t)
}

// typed are commands and lines of files on sheets, and the keys of sources: the same in any language.
func typed(t *testing.T) []string {
	out := []string{"undertray findings round.yaml", "", "round.yaml", "", "vehicle: ", "", "sheet: ", "",
		"sound: 1-20 22", "", "odometer:", "", "found:", "", "date: ", "", "undertray", ""}
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, source := range cat.Sources() {
		out = append(out, source.ID, "")
	}
	return out
}

// leftOn are the words of a sheet that are in English: where its lines end is another thing in another language.
func leftOn(t *testing.T, file string, known *strings.Replacer) messagetest.Left {
	t.Helper()
	all := strings.Join(strings.Fields(poppler(t, "pdftotext", "-raw", file, "-")), " ")
	left := slices.DeleteFunc(messagetest.Words(all, known), letter.MatchString)
	return messagetest.Left{English: left,
		Open: strings.Count(all, languages.Opens) - strings.Count(all, languages.Closes)}
}

// letter matches what a warning, or a check of a stop, is called by.
var letter = regexp.MustCompile(`^[A-Z]$`)

var wordAt = regexp.MustCompile(`<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*)</word>`)

// wordsApart fails where a word stands outside the margins, or on another one: what is wider than its cell does.
func wordsApart(t *testing.T, name, file string, size Size) {
	t.Helper()
	w, h := size.millimetres()
	const slack = 0.4 // mm, as in English
	type box struct {
		at   [4]float64 // left, top, right, bottom, mm
		word string
	}
	for n, page := range strings.Split(poppler(t, "pdftotext", "-bbox", file, "-"), "<page ") {
		var all []box
		for _, m := range wordAt.FindAllStringSubmatch(page, -1) {
			b := box{word: html.UnescapeString(m[5])}
			for i := range b.at {
				x, _ := strconv.ParseFloat(m[i+1], 64)
				b.at[i] = x * 25.4 / 72
			}
			if b.at[0] < marginLeft-slack || b.at[2] > w-marginRight+slack || b.at[1] < 7.4 || b.at[3] > h-7.4 {
				t.Errorf("%s, page %d: %q lies outside the margins (mm: %.1f)", name, n, b.word, b.at)
			}
			for _, o := range all {
				across := min(b.at[2], o.at[2]) - max(b.at[0], o.at[0])
				down := min(b.at[3], o.at[3]) - max(b.at[1], o.at[1])
				if across > slack && down > (b.at[3]-b.at[1])/2 {
					t.Errorf("%s, page %d: %q lies on %q (mm: %.1f, %.1f)", name, n, b.word, o.word, b.at, o.at)
				}
			}
			all = append(all, b)
		}
	}
}

// demoSheets are all sheets of the made-up yard, by name.
func demoSheets(t *testing.T) map[string]func(Paper, io.Writer) error {
	t.Helper()
	dir := t.TempDir()
	if err := demo.Sheets(dir); err != nil {
		t.Fatal(err)
	}
	y, err := yard.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	entries, err := demo.Entries(y)
	if err != nil {
		t.Fatal(err)
	}
	vehicles := y.Vehicles()
	messagetest.Greek(y.Settings, vehicles, entries)
	reports := advise.Yard(y.Catalogue, vehicles, entries, demo.Today)
	out := map[string]func(Paper, io.Writer) error{}
	for _, id := range []string{"ribbed-belt", "harness"} {
		out["wall "+id] = func(p Paper, w io.Writer) error {
			return p.Wall(w, y.Catalogue, y.Catalogue.Kind(id), demo.Today)
		}
	}
	all, err := plan.MakeYard(context.Background(), reports, plan.YardOptions{Rules: y.Settings.Visits})
	if err != nil {
		t.Fatal(err)
	}
	out["plan"] = func(p Paper, w io.Writer) error { return p.YardPlan(w, all) }
	out["shopping"] = func(p Paper, w io.Writer) error {
		list, err := buying.OfYard(all)
		if err != nil {
			return err
		}
		return p.Shopping(w, list)
	}
	for i, made := range all.Plans {
		ofVehicle(t, out, reports[i], made)
	}
	return out
}

func ofVehicle(t *testing.T, out map[string]func(Paper, io.Writer) error, r *advise.Report, made *plan.Plan) {
	t.Helper()
	id := r.Vehicle.ID
	round, err := visit.NewRound(r, visit.RoundOptions{Open: []string{"all"}})
	if err != nil {
		t.Fatal(err)
	}
	job, err := made.NextJob()
	if err != nil {
		t.Fatal(err)
	}
	out["round "+id] = func(p Paper, w io.Writer) error { return p.Round(w, round) }
	out["job "+id] = func(p Paper, w io.Writer) error { return p.Job(w, job) }
	out["parts "+id] = func(p Paper, w io.Writer) error { return p.Parts(w, job) }
	out["plan "+id] = func(p Paper, w io.Writer) error { return p.Plan(w, made) }
	out["card "+id] = func(p Paper, w io.Writer) error { return p.Card(w, r) }
	if len(r.Open()) > 0 {
		out["tag "+id] = func(p Paper, w io.Writer) error { return p.Tag(w, r) }
	}
	for _, whom := range handover.Whom() {
		out[fmt.Sprintf("handover %s %s", id, whom)] = func(p Paper, w io.Writer) error {
			p.Picture = func(string) ([]byte, error) { return nil, &fleet.Error{Kind: fleet.NotFound} }
			return p.Handover(w, handover.New(r, whom, handover.With{}))
		}
	}
}
