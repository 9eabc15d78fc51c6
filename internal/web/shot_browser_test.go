package web

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"net/http"
	"net/url"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
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
	b.until(`document.querySelector("[data-shots]").textContent === "1 picture goes with this round."`)
	b.answer(restVoltage, "11.4")
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
	clip := js[string](b, `document.querySelector(".over figure + figure .marked").style.clipPath`)
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

// TestAFullQueueIsSent: rounds of 1 000 entries and 50 pictures as large as a device keeps
// them wait, and are sent once each, pictures several at once, with no request beside those
// that carry something and the pages that tell what was kept. How long it took stands in the
// log, for docs/status.md.
func TestAFullQueueIsSent(t *testing.T) {
	const pictures, rounds = 50, 13
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.Navigate(s.url + "/v/heron/round?open=all"))
	b.until(`performance.getEntriesByType("resource").some((e) => e.name.endsWith("/picture.js"))`)
	entries := js[int](b, fmt.Sprintf(`(() => {
		const form = document.getElementById("round");
		for (const tick of form.querySelectorAll(".glance input")) tick.checked = true;
		for (let n = 0; n < %d; n++) {
			const body = new URLSearchParams([...new FormData(form)].filter(([, value]) => value !== ""));
			body.set("batch", "019abf2e-7c00-7a31-8f00-3d5b2c7e9a" + (10 + n));
			localStorage.setItem("waiting " + body.get("batch"), JSON.stringify({vehicle: "heron", name: "Heron", action: form.action, body: body.toString()}));
		}
		return %d * form.querySelectorAll(".glance input").length;
	})()`, rounds, rounds))
	js[any](b, fmt.Sprintf(`(async () => {
		const canvas = document.createElement("canvas"), pen = canvas.getContext("2d"), waits = [];
		[canvas.width, canvas.height] = [3200, 2400];
		const grain = pen.createImageData(3200, 2400);
		for (let i = 0; i < grain.data.length; i += 4) {
			const x = i / 4 %% 3200, y = i / 12800;
			grain.data.fill(128 + 60 * Math.sin(x / 90) * Math.cos(y / 70) + 12 * Math.random(), i, i + 3);
			grain.data[i + 3] = 255;
		}
		for (let n = 0; n < %d; n++) {
			grain.data[4 * n] = 0;
			pen.putImageData(grain, 0, 0);
			waits.push(await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.92)));
		}
		const open = indexedDB.open("pictures", 1);
		await new Promise((done) => { open.onsuccess = done; });
		const work = open.result.transaction("waiting", "readwrite");
		waits.forEach((picture, n) => work.objectStore("waiting").put({batch: "019abf2e-7c00-7a31-8f01-3d5b2c7e9a" + (10 + n),
			round: "", vehicle: "heron", action: "/v/heron/pictures", fields: [["position", "main-belt"]], picture}));
		await new Promise((done) => { work.oncomplete = done; });
		localStorage.setItem("pictures", "1");
		document.body.dataset.size = String(waits.reduce((sum, b) => sum + b.size, 0));
	})()`, pictures))
	for end := time.Now().Add(2 * time.Minute); !js[bool](b, picturesWait) && time.Now().Before(end); {
		time.Sleep(200 * time.Millisecond) // drawing fifty pictures takes as long as the machine has other work
	}
	b.until(picturesWait)
	megabytes := js[float64](b, `Number(document.body.dataset.size) / 1e6`)
	var sent, rest, now, most atomic.Int64
	s.asked = func(r *http.Request) func() {
		if r.URL.Path != "/v/heron/pictures" {
			rest.Add(1)
			return func() {}
		}
		sent.Add(1)
		for n, was := now.Add(1), most.Load(); n > was && !most.CompareAndSwap(was, n); was = most.Load() {
		}
		return func() { now.Add(-1) }
	}
	begun := time.Now()
	js[any](b, `dispatchEvent(new Event("online"))`)
	b.until(`!(` + picturesWait + `) && !Object.keys(localStorage).some((key) => key.startsWith("waiting "))`)
	t.Logf("%d entries in %d rounds and %d pictures of %.1f MB together took %.1f s; %d pictures at once, %d other "+
		"requests", entries, rounds, pictures, megabytes, time.Since(begun).Seconds(), most.Load(), rest.Load())
	if n := len(s.shots()); n != pictures || sent.Load() != pictures || most.Load() < 2 || most.Load() > 3 {
		t.Errorf("%d pictures are kept of %d sent, %d at once", n, sent.Load(), most.Load())
	}
	if entries < 1000 || s.journal.landings.Load() != pictures+rounds || rest.Load() > 2*rounds {
		t.Errorf("%d entries, %d landings, %d other requests", entries, s.journal.landings.Load(), rest.Load())
	}
}

// TestMarksByTouch: a ring is dragged, an arrow's points are touched, a length's are typed;
// each stands on the picture as it was drawn. Then two pictures lie at one scale, the marked
// lengths over one another; axe finds nothing, and who only looks is offered no mark.
func TestMarksByTouch(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	for n, day := range []string{"2026-10-01", "2026-11-01"} {
		s.shoot(url.Values{"batch": {journal.NewID()}, "position": {"main-belt"}, "date": {day}},
			photo(t, 800, 600, byte(n)))
	}
	kept := s.shots()
	touch := func(kind input.DispatchTouchEventType, at ...float64) {
		t.Helper()
		p := input.DispatchTouchEventParams{Type: kind, TouchPoints: []*input.TouchPoint{}}
		if len(at) > 0 {
			box := js[[]float64](b, `(({left, top, width}) => [left, top, width])(document.querySelector(".marked").getBoundingClientRect())`)
			p.TouchPoints = []*input.TouchPoint{{X: box[0] + at[0]*box[2], Y: box[1] + at[1]*box[2]}}
		}
		if _, err := chromedp.Call(b.ctx, input.DispatchTouchEvent, p); err != nil {
			t.Fatal(err)
		}
	}
	page := func(e *fleet.Entry) {
		t.Helper()
		b.do(chromedp.Navigate(s.url + "/v/heron/journal/" + e.ID + "#mark"))
		b.until(`document.body.classList.contains("marking") && document.querySelector(".marked img").complete`)
		js[any](b, `document.querySelector(".marked").scrollIntoView()`)
	}
	keep := func(n int) {
		t.Helper()
		js[any](b, `document.querySelector("form[data-mark] button").click()`)
		b.until(fmt.Sprintf(`document.querySelectorAll(".sheet text").length === %d`, n))
	}
	shape := func(id string) { js[any](b, `document.querySelector("[name=shape][value=`+id+`]").click()`) }
	b.do(chromedp.EmulateViewport(390, 844, chromedp.EmulateTouch))
	page(kept[0])
	touch(input.DispatchTouchEventTypeTouchStart, 0.2, 0.1)
	touch(input.DispatchTouchEventTypeTouchMove, 0.4, 0.2)
	touch(input.DispatchTouchEventTypeTouchMove, 0.6, 0.4)
	touch(input.DispatchTouchEventTypeTouchEnd)
	keep(1)
	page(kept[0])
	shape("arrow")
	for _, at := range [][]float64{{0.1, 0.7}, {0.3, 0.5}} {
		touch(input.DispatchTouchEventTypeTouchStart, at...)
		touch(input.DispatchTouchEventTypeTouchEnd)
	}
	keep(2)
	type line struct{ x1, y1, x2, y2, mm string }
	for i, l := range []line{{"10", "50", "60", "50", "21.36"}, {"10", "20", "10", "45", "17.8 mm"}} {
		page(kept[i])
		shape("length")
		for id, v := range map[string]string{"x1": l.x1, "y1": l.y1, "x2": l.x2, "y2": l.y2, "length": l.mm} {
			b.answer(`document.getElementById("`+id+`")`, v)
		}
		js[any](b, `document.getElementById("x1").dispatchEvent(new Event("input", {bubbles: true}))`)
		if js[bool](b, `document.querySelector(".sheet path:last-of-type").getAttribute("d") === ""`) {
			t.Error("what is typed is not shown before it is kept")
		}
		keep(3 - 2*i)
	}
	marks, err := s.journal.Entries(t.Context(), journal.Filter{Vehicle: "heron", Type: fleet.TypeMark})
	if err != nil || len(marks) != 4 {
		t.Fatalf("%d marks, %v", len(marks), err)
	}
	for i, want := range []fleet.Across{{0.2, 0.1, 0.6, 0.4}, {0.1, 0.7, 0.3, 0.5}} {
		for k, v := range marks[i].Mark.At {
			if math.Abs(v-want[k]) > 0.01 {
				t.Errorf("%s stands at %v, it was drawn at %v", marks[i].Mark.Shape, marks[i].Mark.At, want)
				break
			}
		}
	}
	b.do(chromedp.Navigate(s.url + "/v/heron/pictures?position=main-belt"))
	b.until(`document.getElementById("scaled")?.hidden === false && document.querySelector(".over figure + figure .sheet").style.transform !== ""`)
	// The bars of the newer one's length against those of the older one's: their middles and how long they are.
	got := js[[]float64](b, `(() => [...document.querySelectorAll(".over figure")].flatMap((f, i) => {
		const r = [...f.querySelectorAll(".sheet path:not(.under)")].at(-1).getBoundingClientRect();
		return [r.left + r.width / 2, r.top + r.height / 2, i ? r.height : r.width];
	}))()`)
	if math.Abs(got[0]-got[3]) > 1 || math.Abs(got[1]-got[4]) > 1 || math.Abs(got[2]/21.36-got[5]/17.8) > 0.1 {
		t.Errorf("the lengths lie at %v", got)
	}
	axe, err := os.ReadFile(pageTools(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/v/heron/pictures?position=main-belt", "/v/heron/journal/" + kept[0].ID + "#mark"} {
		for _, v := range b.audit(s.url+path, string(axe), wcag22) {
			t.Errorf("%s: %s (%s): %v", path, v.Help, v.ID, v.Nodes)
		}
	}
	b.quiet("marks")
}

// TestWhatIsMeasuredStaysAtFullSize: of a picture larger than it is kept a part that is framed by
// a finger stays at full size, pixel for pixel where the frame says, beside the reduced whole,
// without a connection too; a picture that is no larger asks nothing.
func TestWhatIsMeasuredStaysAtFullSize(t *testing.T) {
	s, b := demoSite(t), openBrowser(t)
	b.do(chromedp.EmulateViewport(390, 664), chromedp.Navigate(s.url+"/v/heron/pictures?position=main-belt"))
	b.until(`navigator.serviceWorker.controller !== null`)
	b.do(chromedp.Navigate(s.url + "/v/heron/p/main-belt"))
	b.until(`performance.getEntriesByType("resource").some((e) => e.name.endsWith("/picture.js"))`)
	img := image.NewGray(image.Rect(0, 0, 4000, 3000)) // its left half is black, its right one white
	for i := range img.Pix {
		if i%4000 >= 2000 {
			img.Pix[i] = 255
		}
	}
	var large bytes.Buffer
	if err := jpeg.Encode(&large, img, nil); err != nil {
		t.Fatal(err)
	}
	link := `document.querySelector("a[data-shot]")`
	b.choose(link, large.Bytes())
	b.until(`document.querySelector("dialog.framing[open] canvas") !== null`)
	axe, err := os.ReadFile(pageTools(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range b.auditHere(string(axe), wcag22) {
		t.Errorf("%s (%s): %v", v.Help, v.ID, v.Nodes)
	}
	at := js[[]float64](b, `(({left, top, width, height}) => [left, top, width, height])(
		document.querySelector(".framing canvas").getBoundingClientRect())`)
	if at[0] < 0 || at[0]+at[2] > 390 || at[1]+at[3] > 664 {
		t.Errorf("the picture lies at %v", at)
	}
	drag := func(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
		p := input.DispatchTouchEventParams{Type: kind, TouchPoints: append([]*input.TouchPoint{}, points...)}
		if _, err := chromedp.Call(b.ctx, input.DispatchTouchEvent, p); err != nil {
			t.Fatal(err)
		}
	}
	point := func(x, y float64) *input.TouchPoint {
		return &input.TouchPoint{X: at[0] + x*at[2], Y: at[1] + y*at[3]}
	}
	drag(input.DispatchTouchEventTypeTouchStart, point(0.25, 0.5))
	drag(input.DispatchTouchEventTypeTouchMove, point(0.5, 0.6))
	drag(input.DispatchTouchEventTypeTouchMove, point(0.75, 0.9))
	drag(input.DispatchTouchEventTypeTouchEnd)
	s.away.Store(true)
	js[any](b, `document.querySelector(".framing [value=frame]").click()`)
	b.until(picturesWait)
	s.away.Store(false)
	js[any](b, `dispatchEvent(new Event("online"))`)
	b.until(`!(` + picturesWait + `)`)
	kept := s.shots()
	if len(kept) != 1 || kept[0].Picture.Part == nil {
		t.Fatalf("kept: %+v", kept)
	}
	part := kept[0].Picture.Part
	for i, want := range [...]float64{0.25, 0.375, 0.75, 0.675} { // of the width, which is 4/3 of the height
		if math.Abs(part.At[i]-want) > 0.01 {
			t.Errorf("it lies at %v", part.At)
			break
		}
	}
	whole := s.jpeg("/v/heron/picture/" + kept[0].Picture.Hash + "/full")
	crop := s.jpeg("/v/heron/picture/" + part.Hash + "/full")
	if whole.Bounds().Dx() != 3200 || math.Abs(float64(crop.Bounds().Dx())-4000*(part.At[2]-part.At[0])) > 1 {
		t.Errorf("the whole is %v, the part %v", whole.Bounds(), crop.Bounds())
	}
	// Where black turns white, in pixels of the picture as it was taken.
	edge := 0
	for y := crop.Bounds().Dy() / 2; edge < crop.Bounds().Dx(); edge++ {
		if r, _, _, _ := crop.At(edge, y).RGBA(); r > 0x8000 {
			break
		}
	}
	if got := 4000*part.At[0] + float64(edge); math.Abs(got-2000) > 2 {
		t.Errorf("the edge at 2 000 px is found at %g", got)
	}
	b.said = nil                         // the browser notes that nobody answered
	js[any](b, link+`.textContent = ""`) // what is said of the first may stand there still
	b.choose(link, photo(t, 300, 200, 3))
	b.until(link + `.textContent === "The picture is kept"`)
	if n := len(s.shots()); n != 2 || js[bool](b, `document.querySelector("dialog.framing") !== null`) {
		t.Errorf("%d are kept; a small picture asks for a frame", n)
	}
}

// jpeg reads a picture from its address.
func (s *site) jpeg(path string) image.Image {
	s.t.Helper()
	img, err := jpeg.Decode(strings.NewReader(s.get(path).body))
	if err != nil {
		s.t.Fatalf("%s: %v", path, err)
	}
	return img
}
