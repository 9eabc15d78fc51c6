package web

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image/jpeg"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// held is a picture that says that the camera was held on its side: EXIF with nothing but
// Orientation 6 (CIPA DC-008, 4.6.4) behind the start of the image.
func held(t *testing.T, w, h int) []byte {
	t.Helper()
	src := photo(t, w, h, 7)
	exif := []byte("Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08\x00\x01" + // one field:
		"\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06\x00\x00" + "\x00\x00\x00\x00")
	head := append([]byte{0xff, 0xd8, 0xff, 0xe1, 0, byte(len(exif) + 2)}, exif...)
	return append(head, src[2:]...)
}

// choose touches what lets a picture be taken and takes this one, as the system's own
// window would hand it over.
func (b *browser) choose(touch string, src []byte) {
	b.t.Helper()
	js[any](b, `HTMLInputElement.prototype.click = function () {}`) // the system's window stays shut
	b.until(`(` + touch + `.click(), document.getElementById("chosen") !== null)`)
	b.hand("#chosen", src)
}

// hand puts a picture into a field for files.
func (b *browser) hand(field string, src []byte) {
	b.t.Helper()
	js[any](b, fmt.Sprintf(`(e => { const list = new DataTransfer(), text = atob(%q);
		list.items.add(new File([Uint8Array.from(text, (c) => c.charCodeAt(0))], "IMG.jpg", {type: "image/jpeg"}));
		e.files = list.files; e.dispatchEvent(new Event("change", {bubbles: true})); })(document.querySelector(%q))`,
		base64.StdEncoding.EncodeToString(src), field))
}

const picturesWait = `localStorage.getItem("pictures") !== null`

// TestARoundsPictureWaits: a picture taken in a round without a connection waits with it on
// the device, outlives the page, and is sent once, after it.
func TestARoundsPictureWaits(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.EmulateViewport(360, 560), chromedp.Navigate(s.url+"/v/heron/round"))
	b.until(`navigator.serviceWorker.controller !== null && document.querySelector(".by-step") !== null`)
	b.do(chromedp.Navigate(s.url + "/v/heron/round")) // now kept on the device, script and all
	b.until(`performance.getEntriesByType("resource").some((e) => e.name.endsWith("/picture.js"))`)
	s.away.Store(true)
	for range 3 { // to the first stop
		js[any](b, `[...document.querySelectorAll(".walk [data-do=next]")].find((e) => e.checkVisibility())?.click()`)
	}
	js[any](b, `document.querySelector("[data-do=something]").click()`)
	stop := js[string](b, `document.querySelector("[data-screen=stop]:not([hidden])").dataset.stop`)
	shot := `document.querySelector("[data-do=shot][data-for=list]")`
	b.choose(shot, held(t, 4000, 3000))
	b.until(shot + `.textContent === "Kept"`)
	b.answer(`document.querySelector("[name='a.battery.rest-voltage']")`, "11.4")
	js[any](b, keepRound)
	b.until(`Object.keys(localStorage).some((key) => key.startsWith("waiting "))`)
	b.do(chromedp.Navigate("about:blank"))
	if n := len(s.shots()); n > 0 || s.journal.landings.Load() > 0 {
		t.Fatalf("%d pictures and %d landings without a connection", n, s.journal.landings.Load())
	}
	// It lands, and the replies are lost; then two tabs send it at once.
	s.away.Store(false)
	s.mute.Store(true)
	b.do(chromedp.Navigate(s.url + "/v/heron/round")) // as it is kept on the device
	for end := time.Now().Add(20 * time.Second); s.journal.landings.Load() == 0 &&
		time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
	}
	s.mute.Store(false)
	other := b.tabAt(s.url + "/v/heron")
	var tabs sync.WaitGroup
	for _, tab := range []*browser{b, other} {
		tabs.Go(func() { js[any](tab, `for (let n = 0; n < 3; n++) dispatchEvent(new Event("online"))`) })
	}
	tabs.Wait()
	b.until(`!(` + picturesWait + `)`)
	b.said = nil // the browser notes what could not be fetched, as it should
	b.do(chromedp.Navigate(s.url + "/v/heron"))
	time.Sleep(300 * time.Millisecond) // for one that would be sent again
	kept := s.shots()
	if len(kept) != 1 || kept[0].Picture.Position != stop || s.journal.landings.Load() != 2 {
		t.Fatalf("%d pictures, %d landings: %+v", len(kept), s.journal.landings.Load(), kept)
	}
	a := s.get("/v/heron/picture/" + kept[0].Picture.Hash + "/full")
	if img, err := jpeg.Decode(strings.NewReader(a.body)); err != nil || img.Bounds().Dx() != 2400 ||
		img.Bounds().Dy() != 3200 || bytes.Contains([]byte(a.body), []byte("Exif")) {
		t.Errorf("it was kept as %v, %v", img.Bounds(), err)
	}
	b.quiet("the picture that waited")
}

// TestADroppedRoundTakesItsPicturesAlong: what was taken in a round that is dropped is sent
// by none.
func TestADroppedRoundTakesItsPicturesAlong(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(s.url+"/v/heron/round"))
	b.until(`performance.getEntriesByType("resource").some((e) => e.name.endsWith("/picture.js"))`)
	b.choose(`document.querySelector("[data-do=shot][data-for=list]")`, photo(t, 300, 200, 1))
	b.until(picturesWait)
	js[any](b, `document.getElementById("drop").click()`)
	b.until(`!(` + picturesWait + `)`)
	if n := len(s.shots()); n > 0 {
		t.Errorf("%d were sent", n)
	}
}

// TestWhatIsWrongWithAPictureIsSaid: by the device, by the server, and where the device is
// full; what the server may take another time waits.
func TestWhatIsWrongWithAPictureIsSaid(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	says := func(words string) {
		t.Helper()
		b.until(fmt.Sprintf(fates+`.includes(%q)`, words))
	}
	b.do(chromedp.Navigate(s.url + "/v/heron/p/main-belt"))
	link := `document.querySelector("a[data-shot]")`
	b.until(`performance.getEntriesByType("resource").some((e) => e.name.endsWith("/picture.js"))`)
	b.choose(link, []byte("0000ftypheic0000"))
	says("Set the camera to JPEG")
	s.write("yard.yaml", "yard: Small\npictures: {megabytes: 1}\n")
	b.choose(link, photo(t, 3000, 2000, 2))
	says("raise pictures.megabytes")
	if n := len(s.shots()); n > 0 || !js[bool](b, picturesWait) {
		t.Errorf("%d are kept; what was refused for want of room no longer waits", n)
	}
	s.write("yard.yaml", "yard: Large\n")
	js[any](b, `dispatchEvent(new Event("online"))`)
	says("A picture is kept")
	b.choose(link, photo(t, 300, 200, 3)) // a second one, by the same link
	b.until(link + `.textContent === "The picture is kept"`)
	// A full disk as the store reports it (Indexed Database API 3.0, "QuotaExceededError").
	js[any](b, `IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); }`)
	b.choose(link, photo(t, 3000, 2000, 4))
	says("This device is full")
	if n := len(s.shots()); n != 2 {
		t.Errorf("%d are kept", n)
	}
	b.said = nil // the browser notes the refusals
	b.do(chromedp.Navigate(s.url + "/v/heron/pictures?position=main-belt"))
	b.until(`document.querySelector(".over + input[type=range]") !== null`)
	b.answer(`document.querySelector("input[type=range]")`, "30")
	js[any](b, `document.querySelector("input[type=range]").dispatchEvent(new Event("input"))`)
	clip := js[string](b, `document.querySelector(".over figure + figure img").style.clipPath`)
	if !strings.Contains(clip, "70%") {
		t.Errorf("the slider shows %q", clip)
	}
	b.quiet("two side by side")
	axe, err := os.ReadFile(pageTools(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	b.do(chromedp.EmulateViewport(390, 844))
	for _, path := range []string{"/v/heron/pictures", "/v/heron/p/main-belt"} {
		for _, v := range b.audit(s.url+path, string(axe), wcag22) {
			t.Errorf("%s: %s (%s): %v", path, v.Help, v.ID, v.Nodes)
		}
	}
}
