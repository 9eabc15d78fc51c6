package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"image"
	"image/jpeg"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"strconv"
	"strings"
	"sync"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/tally/onbelt"
	"undertray.example/undertray/surface"
	"undertray.example/undertray/surface/drawn"
)

// crackedBelt is a picture of a belt of six ribs with 3, 5, 9, 4, 2 and no cracks on 68 mm.
var crackedBelt = sync.OnceValue(func() *image.Gray { return drawn.Sample().Render().Gray })

// jpegOf codes a picture as a camera does.
func jpegOf(t *testing.T, p image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, p, &jpeg.Options{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

const countAt = "/v/heron/count?position=main-belt&check=cracks"

// sendBelt sends a picture, if there is one, with fields to be counted on.
func (s *site) sendBelt(src []byte, fields url.Values, header ...string) answer {
	s.t.Helper()
	return s.postFile("/v/heron/count", fields, "picture", "belt.jpg", src, header...)
}

func beltFields(more ...string) url.Values {
	out := url.Values{"position": {"main-belt"}, "check": {"cracks"}, "section": {"PK"}}
	for i := 0; i+1 < len(more); i += 2 {
		out.Add(more[i], more[i+1])
	}
	return out
}

// TestACountIsKeptAndOpenedAgain: without script a picture is sent, a mark struck out by its tick, the count kept with
// picture and marks, told in the history, and opened as it was kept.
func TestACountIsKeptAndOpenedAgain(t *testing.T) {
	s := demoSite(t)
	a := s.sendBelt(jpegOf(t, crackedBelt()), beltFields())
	if a.StatusCode != http.StatusOK {
		t.Fatal(a.Status, parse(t, a.body).text("main"))
	}
	p := parse(t, a.body)
	checkPage(t, "a count", p)
	seen := seenIn(t, p)
	if seen.Stops || seen.Marks < 10 || seen.Value < 6 || seen.Value > 12 ||
		len(p.find("#ticks input")) != len(seen.Cracks) {
		t.Fatalf("%s: %d marks, %d ticks, %v", seen.Headline, seen.Marks, len(p.find("#ticks input")), seen.Faults)
	}
	if m := p.text("#means"); !strings.Contains(m, ": ") || m != s.meansOf(seen.Value) {
		t.Errorf("%g per 75 mm means %q, by the judge %q", seen.Value, m, s.meansOf(seen.Value))
	}
	if s.journal.landings.Load() != 0 {
		t.Error("it is kept before anyone said so")
	}
	if when := p.find("#keep [name=date]"); value(when[0], "value") == "" ||
		!fleet.IsID(value(p.find("#keep [name=batch]")[0], "value")) {
		t.Error("the form to keep it has no day or no batch")
	}
	worst := -1 // a mark on the rib with the most
	for i, c := range seen.Cracks {
		if c.Ribs[0] == seen.Count.Worst {
			worst = i
		}
	}
	batch := journal.NewID()
	f := beltFields("batch", batch, "hash", value(p.find("#keep [name=hash]")[0], "value"), "ticks", "1",
		"seen", value(p.find("#keep [name=seen]")[0], "value"), "date", "2026-10-01", "odometer", "")
	for i := range seen.Cracks {
		if i != worst {
			f.Add("on", strconv.Itoa(i))
		}
	}
	f.Set("do", "again")
	once := seenIn(t, parse(t, s.post("/v/heron/count", f).body))
	if once.Marks != seen.Marks-1 || once.Struck != 1 || once.Value >= seen.Value || once.Value < seen.Value-2 {
		t.Errorf("%d marks and %g after one of %d and %g was struck out", once.Marks, once.Value, seen.Marks,
			seen.Value)
	}
	f.Set("do", "keep")
	for range 2 { // sent twice
		if a := s.post("/v/heron/count", f); a.StatusCode != http.StatusSeeOther {
			t.Fatal(a.Status, parse(t, a.body).text(".faults"))
		}
	}
	if n := s.journal.landings.Load(); n != 1 {
		t.Errorf("%d landings", n)
	}
	found, shots := s.lastCount()
	c := found.Found.Counted
	if v := once.Value; len(shots) != 1 || c == nil || c.Marks != once.Marks || c.Struck != 1 ||
		c.ByHand != 0 || c.Version != seen.Version || found.Found.Value.Value() != v || c.Low > v || c.High < v {
		t.Errorf("kept as %+v, %+v with %d pictures", found.Found, c, len(shots))
	}
	if at := s.closestKept(); at != strconv.Itoa(once.Closest)+" per 25 mm" {
		t.Errorf("where they stand closest %d are counted, %q is kept", once.Closest, at)
	}
	history := s.page("/v/heron/p/main-belt").text("main")
	if !strings.Contains(history, "counted on a photograph, ") || !strings.Contains(history, "1 struck out") {
		t.Error("the history does not say how it was counted")
	}
	entry := s.page("/v/heron/journal/" + found.ID)
	open := ""
	for _, n := range entry.find("a") {
		if to, _ := attr(n, "href"); strings.Contains(to, "/count?") && strings.Contains(to, "hash=") {
			open = to
		}
	}
	if open == "" {
		t.Fatalf("nothing leads to the count: %s", entry.text("main"))
	}
	again := s.page(open)
	checkPage(t, open, again)
	if kept := seenIn(t, again); kept.Value != once.Value || kept.Struck != 1 || len(kept.Cracks) != len(seen.Cracks) ||
		!strings.Contains(again.text("main"), "Kept on 1 October 2026") {
		t.Errorf("opened again it is %+v: %s", kept, again.text("main"))
	}
	anew := s.sendBelt(nil, beltFields("hash", c.Picture), "Accept", "application/json")
	var fresh onbelt.Seen
	if err := json.Unmarshal([]byte(anew.body), &fresh); err != nil || fresh.Value != seen.Value {
		t.Errorf("read anew: %v, %g, at first %g", err, fresh.Value, seen.Value)
	}
}

// closestKept is the last figure kept of where cracks stand closest.
func (s *site) closestKept() (figure string) {
	s.t.Helper()
	all, err := s.journal.Entries(s.t.Context(), journal.Filter{Vehicle: "heron"})
	if err != nil {
		s.t.Fatal(err)
	}
	for _, e := range all {
		if e.Found != nil && e.Found.Check == "cracks-closest" {
			figure = e.Found.Value.String()
		}
	}
	return figure
}

// TestCracksThatCrowd: ten cracks in an inch end a belt of any material by the trade's limit, though the 75 mm around
// them hold no more than those, which the limits per 75 mm let an EPDM belt have.
func TestCracksThatCrowd(t *testing.T) {
	s := demoSite(t)
	const at = "/v/bittern/count" // whose belt is known to be of EPDM
	p := parse(t, s.postFile(at, beltFields(), "picture", "belt.jpg", jpegOf(t, crackedBelt())).body)
	seen := seenIn(t, p)
	all := seen.Frame.Stations
	from := (all[0].Along + all[len(all)-1].Along) / 2
	for _, crowd := range []struct {
		apart float64 // mm
		want  string
	}{{6.5, "watch"}, {2, "put right"}} {
		seen.Cracks = nil
		for i := range 10 {
			y, x := from+crowd.apart*(float64(i)-4.5), seen.Frame.Pitch
			line := []surface.Point{{X: 0.1 * x, Y: y}, {X: 0.9 * x, Y: y}}
			seen.Cracks = append(seen.Cracks, surface.Crack{Path: line, Ribs: []int{0}, Length: 0.8 * x, Width: 0.2,
				Hand: true})
		}
		src, err := json.Marshal(seen)
		if err != nil {
			t.Fatal(err)
		}
		f := beltFields("hash", value(p.find("#keep [name=hash]")[0], "value"), "seen", string(src), "do", "again")
		got := parse(t, s.post(at, f).body)
		if m := got.text("#means"); !strings.HasPrefix(m, crowd.want+": ") {
			t.Errorf("ten cracks %g mm apart: %q, %s", crowd.apart, m, got.text("#basis"))
		}
	}
}

// seenIn is what a page holds of a count.
func seenIn(t *testing.T, p parsed) *onbelt.Seen {
	t.Helper()
	out := new(onbelt.Seen)
	fields := p.find("#keep [name=seen]")
	if len(fields) == 0 {
		t.Fatal("no count on the page: " + p.text("main"))
	}
	if err := json.Unmarshal([]byte(value(fields[0], "value")), out); err != nil {
		t.Fatalf("%v: %.200s", err, value(fields[0], "value"))
	}
	return out
}

// meansOf is what the page of a position lets a device look up for a figure.
func (s *site) meansOf(figure float64) string {
	s.t.Helper()
	src := html.UnescapeString(s.page("/v/heron/p/main-belt").text("template[data-table]"))
	var table answerTable
	if err := json.Unmarshal([]byte(src), &table); err != nil {
		s.t.Fatalf("%v: %.200s", err, src)
	}
	for _, b := range table.Checks[table.Of["a.main-belt.cracks"]].Bands {
		if b.To == nil || figure < *b.To || b.Within && figure == *b.To {
			m := table.Means[b.Means]
			return fmt.Sprintf("%s: %s", m[1:]...)
		}
	}
	return ""
}

// lastCount is the newest finding that was counted, and all pictures there are.
func (s *site) lastCount() (found *fleet.Entry, shots []*fleet.Entry) {
	s.t.Helper()
	all, err := s.journal.Entries(s.t.Context(), journal.Filter{Vehicle: "heron"})
	if err != nil {
		s.t.Fatal(err)
	}
	for _, e := range all {
		switch {
		case e.Found != nil && e.Found.Counted != nil:
			found = e
		case e.Picture != nil:
			shots = append(shots, e)
		}
	}
	if found == nil {
		s.t.Fatal("no count is kept")
	}
	return found, shots
}

// The check of the rib gauge is answered by a picture along the ribs: the page says which answer and what it means, and
// keeps it with the figure in its note, the picture, and the outline on it.
func TestAGaugeAnswersItsCheck(t *testing.T) {
	s := demoSite(t)
	g := drawn.AnyGauge(501)
	p := g.Render()
	above := p.Bars[0].Stand > 0.15
	if !above && p.Bars[0].Stand > -0.15 {
		t.Fatalf("bars %.2f mm above the tips: choose another seed", p.Bars[0].Stand)
	}
	answer, mark := onbelt.Below, "put-right"
	if above {
		answer, mark = onbelt.Above, "keep"
	}
	fields := func(more ...string) url.Values {
		f := beltFields(more...)
		f.Set("check", "rib-wear")
		return f
	}
	page := parse(t, s.sendBelt(jpegOf(t, p.Gray), fields()).body)
	seen := seenIn(t, page)
	if seen.Answer != answer || len(page.find("#means .v")) != 1 || !strings.Contains(page.text("#tally"), answer) {
		t.Fatalf("%q, %s, want %s; %s", seen.Answer, seen.Headline, answer, page.text("#means"))
	}
	if m := page.find("#means .v")[0]; !strings.Contains(value(m, "class"), mark) {
		t.Errorf("%s means %s", answer, value(m, "class"))
	}
	a := s.post("/v/heron/count", fields("do", "keep", "batch", journal.NewID(), "date", "2026-10-01",
		"hash", value(page.find("#keep [name=hash]")[0], "value"),
		"seen", value(page.find("#keep [name=seen]")[0], "value")))
	if a.StatusCode >= 400 {
		t.Fatalf("not kept: %s %s", a.Status, parse(t, a.body).text(".faults"))
	}
	all, err := s.journal.Entries(t.Context(), journal.Filter{Vehicle: "heron"})
	if err != nil {
		t.Fatal(err)
	}
	var found, outlines int
	for _, e := range all {
		f := e.Found
		if f != nil && f.Check == "rib-wear" && f.Answer == answer && strings.Contains(f.Note, seen.Headline.String()) {
			found++
		}
		if e.Mark != nil && e.Mark.Outline != nil && len(e.Mark.Outline.Measured) == len(p.Bars) {
			outlines++
		}
	}
	if found != 1 || outlines != 1 {
		t.Errorf("%d findings, %d outlines kept", found, outlines)
	}
}

// What cannot be counted says why and how to take a better one; nothing is kept of it. What is no picture is refused as
// anywhere, and what comes back from a browser is not believed.
func TestPicturesThatCannotBeCounted(t *testing.T) {
	s := demoSite(t)
	a := s.sendBelt(photo(t, 900, 700, 5), beltFields())
	p := parse(t, a.body)
	if seen := seenIn(t, p); a.StatusCode != http.StatusOK || !seen.Stops || len(p.find("#wrong li")) == 0 ||
		len(strings.Fields(p.text("#wrong li"))) < 6 {
		t.Errorf("%s: %s %q", a.Status, seen.Headline, p.text("#wrong"))
	}
	f := beltFields("do", "keep", "batch", journal.NewID(), "date", "2026-10-01",
		"hash", value(p.find("#keep [name=hash]")[0], "value"), "seen", value(p.find("#keep [name=seen]")[0], "value"))
	if a := s.post("/v/heron/count", f); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("kept: %s", a.Status)
	}
	for name, c := range map[string]struct {
		src    []byte
		fields url.Values
		want   int
		says   string
	}{
		"no picture":      {nil, beltFields(), 422, "no picture came"},
		"no such picture": {nil, beltFields("hash", strings.Repeat("a", 64)), 404, ""},
		"text":            {[]byte("a letter"), beltFields(), 422, "no picture that can be read"},
		"no ribs there":   {nil, url.Values{"position": {"radiator"}}, 422, "nothing of"},
		"no such section": {nil, url.Values{"position": {"main-belt"}, "section": {"ZZ"}}, 422, "is not known"},
		"nothing seen":    {nil, beltFields("do", "again"), 422, "is missing"},
		"a frame of nothing": {nil, beltFields("do", "keep", "batch", journal.NewID(), "date", "2026-10-01", "seen",
			`{"frame":{"pitch":3.56,"stations":[{"along":0,"lines":[]},{"along":1,"lines":[]}]},`+
				`"cracks":[{"path":[],"ribs":[9]}]}`), 422, "nothing was counted"},
	} {
		a := s.sendBelt(c.src, c.fields, "Accept", "application/json")
		if a.StatusCode != c.want || !strings.Contains(a.body, c.says) {
			t.Errorf("%s: %s %s", name, a.Status, a.body)
		}
	}
	if n := s.journal.landings.Load(); n != 0 {
		t.Errorf("%d landings", n)
	}
}

// One picture of a device is read at a time, and two in all.
func TestOnePictureIsReadAtATime(t *testing.T) {
	var l readers
	leave, err := l.enter("a")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.enter("a"); fleet.KindOf(err) != fleet.Conflict {
		t.Errorf("a device has two read at once: %v", err)
	}
	other, err := l.enter("b")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.enter("c"); fleet.KindOf(err) != fleet.Conflict {
		t.Errorf("three are read at once: %v", err)
	}
	other()
	leave()
	if leave, err = l.enter("a"); err != nil {
		t.Fatal(err)
	}
	leave()
}

// Other sites cannot send pictures; the worker alone may run what is not script, and the page does not load it.
func TestTheReaderIsKeptApart(t *testing.T) {
	s := demoSite(t)
	a := s.sendBelt(jpegOf(t, crackedBelt()), beltFields(), "Sec-Fetch-Site", "cross-site")
	if a.StatusCode != http.StatusForbidden {
		t.Errorf("another site had a picture read: %s", a.Status)
	}
	page := s.get(countAt)
	if csp := page.Header.Get("Content-Security-Policy"); strings.Contains(csp, "unsafe") {
		t.Errorf("the page's policy is %q", csp)
	}
	worker := s.get(s.server.assets.address("count-worker.js"))
	if csp := worker.Header.Get("Content-Security-Policy"); !strings.Contains(csp, "'self' 'wasm-unsafe-eval'") {
		t.Errorf("the worker's policy is %q", csp)
	}
	if strings.Contains(page.body, "reader.wasm") || strings.Contains(page.body, "wasm_exec") {
		t.Error("the page fetches the reader before it is asked for")
	}
	for _, kept := range s.server.assets.addresses() {
		if strings.Contains(kept, "reader") || strings.Contains(kept, "wasm") {
			t.Errorf("every device keeps %s", kept)
		}
	}
	if _, err := fs.Stat(readerFiles, "reader/reader.wasm.gz"); err != nil {
		if os.Getenv("UNDERTRAY_CHECK") != "" {
			t.Error("the program was built without the reader: run scripts/reader")
		}
		t.Skip("built without the reader: the server reads")
	}
	reader := s.get(s.server.assets.address("reader.wasm"), "Accept-Encoding", "gzip")
	if size := fmt.Sprintf("%d kB", (len(reader.body)+500)/1000); !strings.Contains(page.body, size) ||
		reader.Header.Get("Content-Type") != "application/wasm" {
		t.Errorf("%s of %q on the wire; the page says otherwise", size, reader.Header.Get("Content-Type"))
	}
}
