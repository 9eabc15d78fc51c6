package web

import (
	"bytes"
	"cmp"
	"image"
	"image/color"
	"image/png"
	"maps"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/journal"
)

// Touches that lead to a stop of a round, and to an answer there.
const (
	toStop = `for (const each of ["start", "opened", "stage"])
		document.querySelector("[data-for=" + each + "].main:not([hidden])")?.click()`
	toCheck = toStop + `; document.querySelector("[data-do=something]").click();
		document.querySelector(".picks button").click();
		[...document.querySelectorAll(".check.on .answer:not(.none):not([hidden]) input")].at(-1)?.click()`
)

// pictured names the pages of docs/pictures and their addresses in the demo.
var pictured = []struct{ name, path string }{
	{"yard", "/"}, {"vehicle", "/v/heron"}, {"vehicle-open", "/v/heron?open=undertray"},
	{"vehicle-systems", "/v/bittern?by=system"},
	{"position", "/v/heron/p/main-belt"}, {"position-tyres", "/v/dunnock/p/tyres"}, {"round-start", "/v/heron/round"},
	{"round", "/v/heron/round?open=engine-cover"}, {"run", "/v/heron/run/main-run"}, {"listen", "/v/heron/listen"},
	{"job", "/v/dunnock/job"},
	{"plan", "/v/heron/plan"}, {"plan-what-else", "/v/heron/plan?also=water-pump"}, {"yard-plan", "/plan"},
	{"shopping", "/v/heron/plan/parts"}, {"trip", "/v/heron/trip?distance=3000"}, {"record", "/v/dunnock/record"},
	{"handover", "/v/bittern/handover"}, {"take", "/take"},
	{"journal", "/v/heron/journal"},
	{"write-down", "/v/heron/add"}, {"aboard", "/v/heron/aboard"}, {"past", "/v/heron/past"},
	{"opened", "/v/heron/opened"},
	{"card", "/v/bittern/card"}, {"sheet", "/v/heron/sheet"}, {"reckoning", "/reckoning"}, {"kinds", "/kinds"},
	{"kind", "/kinds/battery"},
	{"meaning", "/kinds/ribbed-belt/means?check=cracks&answer=3+per+75+mm"}, {"search", "/search?q=belt"},
	{"new", "/new"}, {"pictures", "/v/heron/pictures?position=main-belt"}, {"job-in-hand", "/v/bittern/job"},
	{"finish", "/v/bittern/job/done"}, {"devices", "/devices"}, {"round-stop", "/v/heron/round?open=engine-cover"},
	{"round-answer", "/v/heron/round?open=engine-cover"}, {"not-found", "/nowhere"},
}

// touched is what is touched on a page before its picture is taken.
var touched = map[string]string{"round-stop": toStop, "round-answer": toCheck}

// TestPictures takes docs/pictures anew into the folder that
// UNDERTRAY_PICTURES names: every page by day and by night, on a phone and on
// a desk. It fails where a page scrolls sideways or the browser complains.
func TestPictures(t *testing.T) {
	dir := os.Getenv("UNDERTRAY_PICTURES")
	if dir == "" {
		t.Skip("UNDERTRAY_PICTURES names no folder for the pictures")
	}
	s := demoSite(t)
	b := openBrowser(t)
	for day, run := range map[string]string{"2025-10-04": "main-run", "2026-11-21": "ac-run"} {
		b.do(chromedp.EmulateViewport(800, 600), chromedp.Navigate(s.url+"/v/heron/run/"+run))
		drawn, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
		if err != nil {
			t.Fatal(err)
		}
		s.shoot(url.Values{"batch": {journal.NewID()}, "position": {"main-belt"}, "date": {day},
			"text": {"the drawing"}}, drawn)
	}
	b.do(chromedp.Navigate(s.url + "/v/bittern/job"))
	js[any](b, `document.querySelector("[name=begin]").click()`)
	b.until(`document.querySelector("h1").textContent.startsWith("In hand")`)
	for width, on := range map[int64]string{390: "phone", 1280: "desk"} {
		b.do(chromedp.EmulateViewport(width, 844, chromedp.EmulateScale(pictureScale)))
		for scheme, light := range map[string]string{"light": "day", "dark": "night"} {
			b.prefer(scheme)
			for _, p := range pictured {
				b.do(chromedp.Navigate(s.url + p.path))
				b.until("document.readyState == 'complete'")
				if do := touched[p.name]; do != "" {
					b.until(`document.querySelector(".by-step") !== null`)
					js[any](b, "localStorage.clear(); "+do)
				}
				if p.name == "not-found" {
					b.said = nil // the browser notes the missing page, as it should
				}
				b.quiet(p.path)
				if js[bool](b, "document.documentElement.scrollWidth > innerWidth") {
					t.Errorf("%s scrolls sideways on a %s", p.path, on)
				}
				shot, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
				if err != nil {
					t.Fatal(err)
				}
				js[any](b, "localStorage.clear()") // no round begun for one picture stands on the next
				small, err := shrunk(shot)
				if err != nil {
					t.Fatal(err)
				}
				name := filepath.Join(dir, p.name+"-"+on+"-"+light+".png")
				if err := os.WriteFile(name, small, 0o644); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}

// Pictures are taken at less than full size and cut off below, so that all of
// them together stay small.
const (
	pictureScale = 0.6
	pictureLines = 1500
	mostColours  = 48
)

// shrunk cuts a picture off below and keeps its most frequent colours.
func shrunk(src []byte) ([]byte, error) {
	full, err := png.Decode(bytes.NewReader(src))
	if err != nil {
		return nil, err
	}
	area := full.Bounds()
	area.Max.Y = min(area.Max.Y, area.Min.Y+pictureLines)
	seen := map[color.Color]int{}
	for y := area.Min.Y; y < area.Max.Y; y++ {
		for x := area.Min.X; x < area.Max.X; x++ {
			seen[full.At(x, y)]++
		}
	}
	out := image.NewPaletted(area, palette(seen))
	nearest := map[color.Color]uint8{}
	for y := area.Min.Y; y < area.Max.Y; y++ {
		for x := area.Min.X; x < area.Max.X; x++ {
			c := full.At(x, y)
			i, ok := nearest[c]
			if !ok {
				i = uint8(out.Palette.Index(c))
				nearest[c] = i
			}
			out.SetColorIndex(x, y, i)
		}
	}
	var b bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestCompression}
	err = enc.Encode(&b, out)
	return b.Bytes(), err
}

// palette picks colours for a picture, the most frequent first, each well apart
// from those before it, so that a rare colour that says something is kept.
func palette(seen map[color.Color]int) color.Palette {
	frequent := slices.SortedFunc(maps.Keys(seen), func(a, b color.Color) int { return cmp.Compare(seen[b], seen[a]) })
	var out color.Palette
	for _, c := range frequent {
		if len(out) == mostColours {
			break
		}
		if len(out) == 0 || apart(c, out[out.Index(c)]) {
			out = append(out, c)
		}
	}
	return out
}

// apart reports whether two colours differ by more than a twentieth of the
// whole range in red, green or blue.
func apart(a, b color.Color) bool {
	const step = 0xffff / 20
	far := func(x, y uint32) bool { return max(x, y)-min(x, y) > step }
	ar, ag, ab, _ := a.RGBA()
	br, bg, bb, _ := b.RGBA()
	return far(ar, br) || far(ag, bg) || far(ab, bb)
}
