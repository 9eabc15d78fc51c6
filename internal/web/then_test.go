package web

import (
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message/languages"
	"undertray.example/undertray/surface/drawn"
)

const thenAt = "/v/heron/count/then?position=main-belt&check=cracks"

// agedBelt is a belt of six ribs drawn at two times: some mm further on and by another lamp the second time, with three
// cracks more; and another stretch of it.
var agedBelt = sync.OnceValue(func() (out [3]*image.Gray) {
	s := drawn.Clean(6)
	s.Wide, s.High, s.Scale, s.Focal, s.Ribs = 800, 1300, 15, 1500, 6
	s.OffX, s.OffY, s.Tilt, s.Lean, s.Turn, s.Bend, s.Motion, s.Blur, s.Noise = 0, 0, 0.03, 0.02, 0.05, 0, 0, 0.7, 0.01
	s.Pieces, s.Frays, s.Alike, s.Print, s.Fibres, s.Dirt, s.Dust = nil, nil, nil, false, 0, 0, 0
	s.Ground, s.Level = "bench", 0.42
	lay := func(r *rand.Rand, rib int, y, width float64) {
		x := (float64(rib) + 0.5) * s.Pitch
		s.Cracks = append(s.Cracks, drawn.Crack{Width: width, Contrast: 0.5, Ribs: []int{rib}, Path: []drawn.Point{
			{X: x - 1.5, Y: y}, {X: x, Y: y + 0.4*r.Float64()}, {X: x + 1.5, Y: y + 0.2*r.Float64()}}})
	}
	belt := func(seed uint64) {
		s.Cracks = nil
		r := rand.New(rand.NewPCG(seed, 5))
		for rib, n := range []int{3, 3, 5, 3, 0, 0} {
			for i := range n {
				lay(r, rib, -34+68*(float64(i)+0.2+0.6*r.Float64())/float64(n), 0.35)
			}
		}
	}
	belt(2)
	out[2] = s.Render().Gray
	belt(1)
	out[0] = s.Render().Gray
	r := rand.New(rand.NewPCG(3, 5))
	lay(r, 5, -12, 0.45)
	lay(r, 5, 6, 0.45)
	lay(r, 5, 18, 0.45)
	for i := range s.Cracks {
		for k := range s.Cracks[i].Path {
			s.Cracks[i].Path[k].Y += 6
		}
	}
	s.Seed, s.From, s.Tilt, s.Lean, s.Turn, s.Scale = 77, s.From+0.8, -0.05, 0.04, -0.04, 14.5
	out[1] = s.Render().Gray
	return out
})

// keepCount has a picture counted and kept on a day; cracks whose places are named are struck out.
func (s *site) keepCount(p image.Image, day string, out ...int) {
	s.t.Helper()
	page := parse(s.t, s.sendBelt(jpegOf(s.t, p), beltFields()).body)
	seen := seenIn(s.t, page)
	hash := value(page.find("#keep [name=hash]")[0], "value")
	f := beltFields("do", "keep", "batch", journal.NewID(), "hash", hash, "ticks", "1",
		"seen", value(page.find("#keep [name=seen]")[0], "value"), "date", day, "odometer", "", "sure", "1")
	gone := map[int]bool{}
	for _, i := range out {
		gone[i] = true
	}
	for i := range seen.Cracks {
		if !gone[i] {
			f.Add("on", strconv.Itoa(i))
		}
	}
	if a := s.post("/v/heron/count", f); a.StatusCode != http.StatusSeeOther {
		s.t.Fatal(a.Status, parse(s.t, a.body).text(".faults"))
	}
}

// then is the page's twin as it is read.
type then struct {
	Headline, Wrong, Better, Counts string
	Marks                           []struct{ Sign, Says string }
	Two                             [2]struct{ Strip, Count string }
}

func (s *site) then(path string) (out then) {
	s.t.Helper()
	a := s.get(path, "Accept", "application/json")
	if err := json.Unmarshal([]byte(a.body), &out); err != nil || a.StatusCode != http.StatusOK {
		s.t.Fatal(a.Status, a.body, err)
	}
	return out
}

func (t then) of(sign string) (says []string) {
	for _, m := range t.Marks {
		if m.Sign == sign {
			says = append(says, m.Says)
		}
	}
	return says
}

// TestTwoCountsAreLaidOver: of one belt at two times the page tells two of the three new cracks or all, no other, by
// rib, and the history says so where the later count stands; a mark that a hand struck out is not laid over; of
// another stretch it says that it does not fit and what would help, and compares the counts all the same.
func TestTwoCountsAreLaidOver(t *testing.T) {
	s := demoSite(t)
	belts := agedBelt()
	if a := s.get(thenAt); a.StatusCode != http.StatusNotFound || !strings.Contains(a.body, "no two counts") {
		t.Errorf("without a count: %s", a.Status)
	}
	s.keepCount(belts[0], "2026-08-01")
	s.keepCount(belts[1], "2026-10-01")
	got := s.then(thenAt)
	fresh := got.of("new")
	told := fmt.Sprintf("%d cracks look new in ", len(fresh))
	if len(fresh) < 2 || len(fresh) > 3 || !strings.HasPrefix(got.Headline, told) ||
		len(strings.Fields(got.Headline)) > 14 || len(got.of("both")) < 2*9 || got.Wrong != "" {
		t.Errorf("%s %v, %d in both, %s", got.Headline, fresh, len(got.of("both")), got.Wrong)
	}
	sixth := 0
	for _, says := range fresh {
		if strings.Contains(says, "rib 6") || strings.Contains(says, "rib 1,") {
			sixth++
		}
	}
	if sixth != len(fresh) {
		t.Errorf("the new ones are on an outer rib: %v", fresh)
	}
	p := s.page(thenAt)
	checkPage(t, thenAt, p)
	if p.text("h1") != got.Headline || len(p.find("figure svg .new")) != len(fresh) ||
		len(p.find("table tbody tr")) != 2 ||
		!strings.Contains(p.text("main"), got.Counts) {
		t.Errorf("the page says %q", p.text("main"))
	}
	for _, side := range got.Two {
		a := s.get(side.Strip)
		img, err := jpeg.Decode(strings.NewReader(a.body))
		if err != nil {
			t.Fatal(a.Status, err)
		}
		if size := img.Bounds().Size(); size.X < 250 || size.Y < 700 || len(a.body) > 150_000 {
			t.Errorf("a strip of %v, %d bytes", size, len(a.body))
		}
	}
	if a := s.get("/v/heron/picture/" + strings.Repeat("a", 64) + "/strip"); a.StatusCode != http.StatusNotFound {
		t.Errorf("a strip of no count: %s", a.Status)
	}
	history := s.page("/v/heron/p/main-belt").text("main")
	if !strings.Contains(history, told) || !strings.Contains(history, "mm since 1 Aug 2026") {
		t.Error("the history does not tell what is new")
	}
	s.keepCount(belts[1], "2026-10-02", newPlace(t, s, belts[1], fresh[0]))
	if again := s.then(thenAt); len(again.of("new")) != len(fresh)-1 {
		t.Errorf("with one struck out: %v", again.of("new"))
	}
	s.keepCount(belts[2], "2026-11-01")
	other := s.then(thenAt)
	if other.Wrong == "" || !strings.Contains(other.Better, "mark the same stretch") || other.Counts == "" ||
		len(other.of("new"))+len(other.of("both")) > 0 {
		t.Errorf("another stretch: %+v", other)
	}
	checkPage(t, "another stretch", s.page(thenAt))
}

// newPlace is which mark of a picture a new one is, by the words that name it.
func newPlace(t *testing.T, s *site, p image.Image, says string) int {
	t.Helper()
	where := strings.TrimPrefix(says, "New: ")
	seen := seenIn(t, parse(t, s.sendBelt(jpegOf(t, p), beltFields()).body))
	for i, m := range seen.Drawn {
		rib, _, _ := strings.Cut(where, ",")
		if strings.Contains(m.Says.String(), rib+",") && near(m.Says.String(), where) {
			return i
		}
	}
	t.Fatalf("no mark is %q", says)
	return 0
}

// near reports whether two words of a mark name places within 1 mm.
func near(a, b string) bool {
	at := func(s string) int {
		fields := strings.Fields(s)
		for i, f := range fields {
			if f == "mm" {
				n, _ := strconv.Atoi(fields[i-1])
				return n
			}
		}
		return -100
	}
	d := at(a) - at(b)
	return d >= -1 && d <= 1
}

// TestThenAndNowInABrowser: opened from the count, at no width anything reaches beyond the screen, by day and by night
// axe-core has nothing to say, nor html-validate of the markup, both pictures are there, and the page is no longer than
// it may be.
func TestThenAndNowInABrowser(t *testing.T) {
	axe, err := os.ReadFile(pageTools(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	s, b := demoSite(t), openBrowser(t)
	belts := agedBelt()
	s.keepCount(belts[0], "2026-08-01")
	s.keepCount(belts[1], "2026-10-01")
	b.at(390, 844)
	b.do(chromedp.Navigate(s.url + s.lastCountAt()))
	js[any](b, `document.querySelector('a[href*="/count/then?"]').click()`)
	b.until(`location.pathname.endsWith("/count/then")`)
	for name, width := range map[string]int64{"then": 390, "then-wide": 1280, "then-small": 320} {
		b.do(chromedp.EmulateViewport(width, 844))
		b.widthHolds(name)
		for _, scheme := range []string{"dark", "light"} {
			b.prefer(scheme)
			b.look(name + "-" + scheme)
			rules := map[string]string{"dark": contrastOnly, "light": wcag22}[scheme]
			for _, v := range b.auditHere(string(axe), rules) {
				for _, n := range v.Nodes {
					t.Errorf("%s, %s: %s (%s): %s %s", name, scheme, v.Help, v.ID, n.HTML, n.Summary)
				}
			}
		}
	}
	b.at(390, 844)
	b.fit("then and now")
	b.within("/v/heron/count/then")
	loaded := js[int](b, `performance.getEntriesByType("resource").filter(e => e.name.endsWith("/strip")).length`)
	if loaded != 2 {
		t.Errorf("%d strips were loaded", loaded)
	}
	b.quiet("then and now")
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "then.html"), []byte(s.get(thenAt).body), 0o644); err != nil {
		t.Fatal(err)
	}
	validMarkup(t, dir)
}

// lastCountAt is where the newest count is opened.
func (s *site) lastCountAt() string {
	found, _ := s.lastCount()
	return countAt + "&hash=" + found.Found.Counted.Picture
}

// TestCountsInAnotherLanguage: what is said of a picture that was counted, or could not be, and of two counts laid over
// each other leaves nothing in English but the names of units; in JSON neither, which scripts show.
func TestCountsInAnotherLanguage(t *testing.T) {
	s := demoSite(t)
	known := typedByOthers(t, s)
	told := func(of string, a answer) {
		t.Helper()
		left := leftIn(parse(t, strings.ReplaceAll(a.body, "per 75 mm", "")), known)
		if a.StatusCode != http.StatusOK || len(left.English)+len(left.Pieces)+left.Open > 0 {
			t.Errorf("%s: %s, left: %q %q %d", of, a.Status, left.English, left.Pieces, left.Open)
		}
	}
	told("a count", s.sendBelt(jpegOf(t, crackedBelt()), beltFields(), "Accept-Language", "qps"))
	told("no belt", s.sendBelt(photo(t, 900, 700, 5), beltFields(), "Accept-Language", "qps"))
	belts := agedBelt()
	s.keepCount(belts[0], "2026-08-01")
	s.keepCount(belts[1], "2026-10-01")
	told("then and now", s.get(thenAt, "Accept-Language", "qps"))
	a := s.get(thenAt, "Accept-Language", "qps", "Accept", "application/json")
	var twin then
	if err := json.Unmarshal([]byte(a.body), &twin); err != nil || !strings.HasPrefix(twin.Headline, languages.Opens) ||
		!strings.HasPrefix(twin.Marks[0].Says, languages.Opens) {
		t.Errorf("%v: %s, %q", err, twin.Headline, twin.Marks[0].Says)
	}
}
