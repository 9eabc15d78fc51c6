package web

import (
	"fmt"
	"image"
	"net/http"
	"net/url"
	"os"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/surface/drawn"
)

// wornRibs looks along six ribs of which about a fifth is worn off, swollenHose is a hose swollen by 15 %.
var (
	wornRibs = sync.OnceValue(func() *image.Gray {
		p := drawn.AnyProfile(3)
		p.Ribs, p.Fold, p.Noise, p.Blur = 6, true, 0.006, 0.6
		p.Worn, p.Low, p.Fill = nil, nil, make([]float64, p.Ribs+1)
		for range p.Ribs {
			p.Worn, p.Low = append(p.Worn, 0.12), append(p.Low, 0.15)
		}
		return p.Render().Gray
	})
	swollenHose = sync.OnceValue(func() *image.Gray {
		h := drawn.AnyHose(3)
		h.Flaws = []drawn.Flaw{{Kind: "swollen", Long: 0.35 * h.Outer, Share: 0.15}}
		h.Clamps, h.Print = false, false
		return h.Render().Gray
	})
)

// Ribs and a hose are measured without script: what is found is told with its band and what it means, a line is struck
// out by its tick, it is kept with picture and outline, told in the history, and opened as it was kept.
func TestAnOutlineIsKeptAndOpenedAgain(t *testing.T) {
	s := demoSite(t)
	for _, c := range []struct {
		position, check string
		of              *image.Gray
		unit            string
		lines           int
	}{{"main-belt", "rib-loss", wornRibs(), "% of the ribs worn off", 1}, {"top-hose", "end-growth", swollenHose(),
		"% thicker", 2}} {
		fields := func(more ...string) url.Values {
			out := url.Values{"position": {c.position}, "check": {c.check}}
			for i := 0; i+1 < len(more); i += 2 {
				out.Add(more[i], more[i+1])
			}
			return out
		}
		to := ""
		for _, n := range s.page("/v/heron/p/" + c.position).find("a") {
			if href, _ := attr(n, "href"); strings.Contains(href, "/count?") && strings.Contains(href, c.check) {
				to = href
			}
		}
		if to == "" {
			t.Fatalf("nothing leads from %s to its photograph", c.position)
		}
		ask := s.page(to)
		checkPage(t, to, ask)
		if caution := ask.text(".caution"); !strings.Contains(strings.ToLower(caution), "key out") {
			t.Errorf("%s: cautions first, but it says %q", c.check, caution)
		}
		a := s.sendBelt(jpegOf(t, c.of), fields())
		p := parse(t, a.body)
		checkPage(t, c.check, p)
		seen := seenIn(t, p)
		if seen.Stops || seen.Value < 10 || seen.Value > 45 || seen.Low > seen.Value || seen.High < seen.Value ||
			len(p.find("#belt .rib")) != c.lines || len(p.find("#ticks input")) != len(seen.Drawn) ||
			!strings.Contains(p.text("#tally"), c.unit) || !strings.Contains(p.text("#means"), ": ") ||
			len(strings.Fields(p.text("h1"))) > 14 {
			t.Fatalf("%s: %s %s", c.check, a.Status, p.text("main"))
		}
		f := fields("batch", journal.NewID(), "hash", value(p.find("#keep [name=hash]")[0], "value"), "ticks", "1",
			"seen", value(p.find("#keep [name=seen]")[0], "value"), "date", "2026-10-02", "odometer", "", "do", "again")
		for _, n := range p.find("#ticks input")[1:] {
			f.Add("on", value(n, "value"))
		}
		once := seenIn(t, parse(t, s.post("/v/heron/count", f).body))
		if once.Struck != 1 || once.Of != seen.Of || c.lines == 2 && once.Value != 0 {
			t.Errorf("%s: with a line struck out: %s", c.check, once.Headline)
		}
		f.Set("do", "keep")
		if a := s.post("/v/heron/count", f); a.StatusCode != http.StatusSeeOther {
			t.Fatal(a.Status, parse(t, a.body).text(".faults"))
		}
		found, shots := s.lastCount()
		k := found.Found.Counted
		if found.Found.Check != c.check || k.By != fleet.ByOutline || k.Version != seen.Version || k.Struck != 1 ||
			found.Found.Value.Value() != once.Value || k.High != once.High || len(shots) == 0 {
			t.Errorf("kept as %v, %+v", found.Found.Value, k)
		}
		history := s.page("/v/heron/p/" + c.position).text("main")
		if !strings.Contains(history, "measured on a photograph, 1 struck out") {
			t.Errorf("%s: the history does not say how it was measured", c.position)
		}
		again := s.page(to + "&hash=" + k.Picture)
		checkPage(t, "opened again", again)
		if kept := seenIn(t, again); kept.Headline != once.Headline || kept.Struck != 1 ||
			!strings.Contains(again.text("main"), "Kept on 2 October 2026") {
			t.Errorf("%s: opened again: %s", c.check, again.text("main"))
		}
		if other := s.sendBelt(photo(t, 900, 700, 5), fields()); !seenIn(t, parse(t, other.body)).Stops {
			t.Errorf("%s is measured on nothing", c.check)
		}
	}
}

// On a phone a picture along the ribs, or of a hose, is read as one of a belt is; a touch on a line strikes it out and
// puts it back, value and verdict change at once; axe finds nothing, words keep to their budget.
func TestOutlinesAreStruckByTouch(t *testing.T) {
	axe, err := os.ReadFile(pageTools(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	s, b := demoSite(t), openBrowser(t)
	b.at(390, 844)
	sent := 0
	s.asked = counting(&sent)
	for at, of := range map[string]*image.Gray{"main-belt&check=rib-loss": wornRibs(),
		"top-hose&check=end-growth": swollenHose()} {
		b.do(chromedp.Navigate(s.url + "/v/heron/count?position=" + at))
		b.until(`document.getElementById("take")?.dataset.ready === ""`)
		b.hand("#photo", jpegOf(t, of))
		b.until(countRead)
		head := js[string](b, `document.querySelector("h1").textContent`)
		means, marks := js[string](b, `document.getElementById("means").textContent`), js[int](b, marksLeft)
		if !strings.Contains(means, ": ") || marks == 0 {
			t.Errorf("%s: %s, %s, %d lines", at, head, means, marks)
		}
		for _, v := range b.auditHere(string(axe), wcag22) {
			t.Errorf("%s: %s (%s): %s", at, v.Help, v.ID, v.Nodes[0].HTML)
		}
		b.widthHolds(at)
		b.fit(at)
		if words := js[int](b, wordsInView); words > 100 {
			t.Errorf("%s: %d words in view", at, words)
		}
		b.touchMark("0", 0)
		b.until(fmt.Sprintf("%s === %d", marksLeft, marks-1))
		if other := js[string](b, `document.querySelector("h1").textContent`); marks == 1 && other == head {
			t.Errorf("%s: it says %q of a line and of none", at, head)
		}
		b.touchMark("0", 0)
		b.until(fmt.Sprintf("%s === %d && document.querySelector('h1').textContent === %q", marksLeft, marks, head))
	}
	if here := s.server.assets.readerSize() != ""; here && sent > 0 {
		t.Errorf("%d pictures went to the server, which holds a reader", sent)
	}
	b.quiet("an outline")
}
