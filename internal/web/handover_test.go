package web

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
)

// sendFile posts a file as the form does.
func (s *site) sendFile(src []byte, look bool, header ...string) answer {
	s.t.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	part, err := w.CreateFormFile("file", "heron.tar")
	if err == nil {
		_, err = part.Write(src)
	}
	if err == nil && look {
		err = w.WriteField("look", "1")
	}
	if err != nil {
		s.t.Fatal(err)
	}
	w.Close()
	return s.do(s.request("POST", "/take", &body, append(header, "Content-Type", w.FormDataContentType())...))
}

func TestAVehicleGoesToAnotherYard(t *testing.T) {
	a := demoSite(t)
	b := newSite(t, t.TempDir(), nil, Options{})
	given := a.post("/v/heron/handover/file", url.Values{})
	if given.StatusCode != http.StatusOK || given.Header.Get("Content-Type") != "application/x-tar" ||
		!strings.Contains(given.Header.Get("Content-Disposition"), "heron-2026-11-25.tar") {
		t.Fatalf("%d %v %.200s", given.StatusCode, given.Header, given.body)
	}
	for _, other := range []string{"bittern", "dunnock", " EUR"} {
		if strings.Contains(strings.ToLower(given.body), strings.ToLower(other)) {
			t.Errorf("%q goes along", other)
		}
	}
	src := []byte(given.body)
	if p := parse(t, b.sendFile(src, true).body); !strings.Contains(p.text("h1"), "would be taken in as heron") ||
		len(b.stored()) > 0 {
		t.Errorf("a look: %s", p.text("h1"))
	}
	// Harmed and empty ones are refused with what is wrong, and nothing is kept.
	bad := bytes.Clone(src)
	bad[len(bad)/2] ^= 1
	for _, refused := range [][]byte{bad, []byte("hello"), nil} {
		got := b.sendFile(refused, false)
		if p := parse(t, got.body); got.StatusCode != http.StatusUnprocessableEntity ||
			!strings.Contains(p.text(".faults"), "not a whole hand-over") || len(b.stored()) > 0 {
			t.Errorf("%d %s", got.StatusCode, p.text(".faults"))
		}
	}
	if p := parse(t, b.sendFile(src, false).body); !strings.Contains(p.text("h1"), "taken in as heron") {
		t.Errorf("taken: %s", p.text("h1"))
	}
	entries, err := a.journal.Entries(t.Context(), journal.Filter{Vehicle: "heron"})
	if err != nil || len(b.stored()) != len(entries) {
		t.Errorf("%d entries of %d came, %v", len(b.stored()), len(entries), err)
	}
	// Both say the same of it, but for what the other vehicles of the first yard teach it.
	for _, path := range []string{"/v/heron/handover", "/v/heron/card"} {
		if one, two := a.page(path).text("main"), b.page(path).text("main"); one != two {
			t.Errorf("%s differs:\n%.900s\n%.900s", path, one, two)
		}
	}
	before := journaltest.Text(b.stored())
	var again struct{ Added, Already int }
	if err := json.Unmarshal([]byte(b.sendFile(src, false, "Accept", "application/json").body), &again); err != nil ||
		again.Added != 0 || again.Already != len(entries) || journaltest.Text(b.stored()) != before {
		t.Errorf("again: %+v, %v", again, err)
	}
	for _, size := range []string{"a4", "letter"} {
		pdf := a.get("/v/heron/handover/paper?for=mechanic&paper=" + size)
		if pdf.StatusCode != http.StatusOK || !strings.HasPrefix(pdf.body, "%PDF-") {
			t.Errorf("%s: %d", size, pdf.StatusCode)
		}
	}
	if got := a.get("/v/heron/handover?for=nobody"); got.StatusCode != http.StatusUnprocessableEntity {
		t.Error(got.StatusCode)
	}
}

// TestGivenAndTakenInABrowser: the form makes the file, and another yard's form takes it.
func TestGivenAndTakenInABrowser(t *testing.T) {
	a := demoSite(t)
	other := newSite(t, t.TempDir(), nil, Options{})
	b := openBrowser(t)
	b.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(a.url+"/v/dunnock/handover"))
	b.until(`document.querySelector("form[action$='/handover/file']") !== null`)
	js[any](b, `(async f => {
		const got = await fetch(f.action, {method: "POST", body: new URLSearchParams(new FormData(f))});
		const bytes = new Uint8Array(await got.arrayBuffer());
		let text = "";
		for (let i = 0; i < bytes.length; i += 8192) text += String.fromCharCode(...bytes.subarray(i, i + 8192));
		window.given = btoa(text);
	})(document.querySelector("form[action$='/handover/file']"))`)
	b.until(`"given" in window`)
	src := js[string](b, "window.given")
	if raw, err := base64.StdEncoding.DecodeString(src); err != nil || len(raw) < 10000 {
		t.Fatal(len(raw), err)
	}
	b.do(chromedp.Navigate(other.url + "/take"))
	choose := fmt.Sprintf(`(input => {
		const files = new DataTransfer();
		files.items.add(new File([Uint8Array.from(atob(%q), c => c.charCodeAt(0))], "dunnock.tar"));
		input.files = files.files;
	})(document.getElementById("file"))`, src)
	b.until(`document.getElementById("file") !== null`)
	js[any](b, choose)
	js[any](b, `document.querySelector("button[name=look]").click()`)
	b.until(`document.querySelector("h1").innerText.includes("would be taken in as dunnock")`)
	js[any](b, choose)
	js[any](b, `document.querySelector("button.main").click()`)
	b.until(`document.querySelector("h1").innerText.includes("is taken in as dunnock")`)
	js[any](b, `document.querySelector("main a.button").click()`)
	b.until(`location.pathname === "/v/dunnock" && document.querySelector("h1") !== null`)
	b.quiet("taking in")
	for _, path := range []string{"/v/dunnock/handover", "/take"} {
		for _, wide := range []int64{320, 390, 1280} {
			b.do(chromedp.EmulateViewport(wide, 844), chromedp.Navigate(other.url+path))
			b.until(`document.querySelector("h1") !== null`)
			if over := js[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
				t.Errorf("%s at %d px scrolls sideways by %d px", path, wide, over)
			}
		}
	}
}

// stored are all entries of the site's journal.
func (s *site) stored() []*fleet.Entry {
	s.t.Helper()
	all, err := s.journal.Entries(s.t.Context(), journal.Filter{})
	if err != nil {
		s.t.Fatal(err)
	}
	return all
}
