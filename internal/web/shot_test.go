package web

import (
	"bytes"
	"cmp"
	"html"
	"image"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/picture"
)

// photo is a picture of noise, different for each seed.
func photo(t *testing.T, w, h int, seed byte) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, w, h))
	rand.NewChaCha8([32]byte{seed}).Read(img.Pix)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// shoot sends a picture as the form does.
func (s *site) shoot(fields url.Values, src []byte, header ...string) answer {
	s.t.Helper()
	return s.postFile("/v/heron/pictures", fields, "picture", "../../belt.svg", src, header...)
}

// shots are the pictures of the vehicle that the journal holds.
func (s *site) shots() []*fleet.Entry {
	s.t.Helper()
	out, err := s.journal.Entries(s.t.Context(), journal.Filter{Vehicle: "heron", Type: fleet.TypePicture})
	if err != nil {
		s.t.Fatal(err)
	}
	return out
}

func TestAPictureIsKeptAndShown(t *testing.T) {
	s := demoSite(t)
	src, batch := photo(t, 600, 400, 1), journal.NewID()
	of := url.Values{"batch": {batch}, "position": {"main-belt"}, "check": {"cracks"}, "date": {"2026-10-01"},
		"text": {"near the tensioner"}}
	for range 2 { // the reply was lost
		if a := s.shoot(of, src, "Accept", "application/json"); a.StatusCode != http.StatusCreated {
			t.Fatalf("%s %s", a.Status, a.body)
		}
	}
	kept := s.shots()
	if len(kept) != 1 || kept[0].Batch != batch || kept[0].Date != civil.MustParse("2026-10-01") ||
		kept[0].Picture.Check != "cracks" || kept[0].Picture.Text != "near the tensioner" {
		t.Fatalf("%d are kept: %+v", len(kept), kept)
	}
	at := "/v/heron/picture/" + kept[0].Picture.Hash
	drawn := s.page("/v/heron/p/main-belt").find(".first image")
	if len(drawn) != 1 || value(drawn[0], "href") != at+"/small" {
		t.Errorf("%d pictures lie on the axis of where the part stands", len(drawn))
	}
	full, small := s.get(at+"/full"), s.get(at+"/small")
	if full.body != string(src) {
		t.Errorf("it comes back with %d bytes of %d", len(full.body), len(src))
	}
	img, err := jpeg.Decode(strings.NewReader(small.body))
	if err != nil || img.Bounds().Dx() != picture.Small {
		t.Errorf("the small version: %v, %v", img, err)
	}
	for _, a := range []answer{full, small, s.get(at + "/small")} {
		h := a.Header
		if h.Get("Content-Type") != "image/jpeg" || h.Get("X-Content-Type-Options") != "nosniff" ||
			h.Get("Content-Security-Policy") != policy || !strings.HasPrefix(h.Get("Cache-Control"), "private") {
			t.Errorf("headers %v", h)
		}
		again := s.get(at+"/small", "If-None-Match", small.Header.Get("ETag"))
		if again.StatusCode != http.StatusNotModified {
			t.Errorf("asked again: %s", again.Status)
		}
	}
	s.shoot(url.Values{"batch": {journal.NewID()}, "position": {"main-belt"}}, photo(t, 600, 400, 2))
	p := s.page("/v/heron/pictures?position=main-belt")
	checkPage(t, "pictures", p)
	if two := p.find("[data-two] img"); len(two) != 2 || value(two[0], "src") != at+"/full" {
		t.Errorf("side by side: %v", two)
	}
	if n := len(s.page("/v/heron/p/main-belt").find(".shots img")); n != 2 {
		t.Errorf("the part's page shows %d", n)
	}
	if !strings.Contains(s.page("/v/heron/journal/"+kept[0].ID).text("h1"), "Near the tensioner") {
		t.Error("the entry does not say what it is")
	}
	// Withdrawn, it is no longer shown.
	s.post("/v/heron/journal/"+kept[0].ID, url.Values{"batch": {journal.NewID()}, "do": {"withdraw"}})
	if n := len(s.page("/v/heron/p/main-belt").find(".shots img")); n != 1 {
		t.Errorf("withdrawn, the part's page shows %d", n)
	}
}

// Any two of one day can be told apart where they are chosen, and those chosen are shown.
func TestPicturesOfOneDayAreToldApart(t *testing.T) {
	s := demoSite(t)
	for n := range 3 {
		s.shoot(url.Values{"batch": {journal.NewID()}, "position": {"main-belt"}, "date": {"2026-10-01"}},
			photo(t, 600, 400, byte(1+n)))
	}
	kept := s.shots()
	p := s.page("/v/heron/pictures?position=main-belt&a=" + kept[1].Picture.Hash + "&b=" + kept[2].Picture.Hash)
	said := map[string]bool{}
	for _, o := range p.find("#a option") {
		said[text(o)] = true
	}
	if two := p.find("[data-two] img"); len(said) != 3 || len(two) != 2 ||
		value(two[0], "src") != "/v/heron/picture/"+kept[1].Picture.Hash+"/full" {
		t.Errorf("%d of 3 are told apart: %v", len(said), said)
	}
}

func TestAPictureOfAStep(t *testing.T) {
	s := demoSite(t)
	for step, want := range map[string]fleet.Picture{"open:engine-cover": {Opening: "engine-cover"},
		"change:main-belt": {Position: "main-belt"}, "warm": {}} {
		s.shoot(url.Values{"batch": {journal.NewID()}, "step": {step}}, photo(t, 9, 9, 3))
		all := s.shots()
		got := all[len(all)-1].Picture
		if got.Step != step || got.Opening != want.Opening || got.Position != want.Position {
			t.Errorf("%s: %+v", step, got)
		}
	}
	if n := len(s.page("/v/heron/job?at=main-belt").find(".steps .shots img")); n != 3 {
		t.Errorf("a later sheet shows %d pictures, want one as it is opened, one as it is closed, one at the change", n)
	}
	h1 := s.page("/v/heron/pictures?step=open:engine-cover").text("h1")
	if h1 != "Pictures: Take the engine cover off" {
		t.Error(h1)
	}
}

// TestPicturesThatAreRefused: one clear refusal each, by the page too, and nothing is kept.
func TestPicturesThatAreRefused(t *testing.T) {
	s := demoSite(t)
	s.write("yard.yaml", "yard: Small\npictures: {megabytes: 1}\n")
	var clear bytes.Buffer
	if err := png.Encode(&clear, image.NewGray(image.Rect(0, 0, 9, 9))); err != nil {
		t.Fatal(err)
	}
	good := clear.Bytes()
	for name, c := range map[string]struct {
		fields url.Values
		src    []byte
		code   int
		says   string
	}{
		"a script":         {nil, []byte(`<svg xmlns="http://www.w3.org/2000/svg"><script/></svg>`), 422, "no picture that can be read"},
		"HEIC":             {nil, []byte("0000ftypheic0000"), 422, "set the camera to JPEG"},
		"cut off":          {nil, good[:len(good)-20], 422, "cut off or damaged"},
		"none":             {nil, nil, 422, "no picture came with the form"},
		"another position": {url.Values{"position": {"main-bell"}}, good, 404, `did you mean "main-belt"`},
		"a day to come":    {url.Values{"date": {"2030-01-01"}}, good, 422, "in the future"},
		"no room":          {nil, photo(t, 2400, 1500, 4), 409, "more than the 1 MB set for them"},
		"no batch":         {url.Values{"batch": {"x"}}, good, 422, "load the page again"},
		"too large":        {nil, make([]byte, picture.MaxFile+2*maxBody), 413, "picture reduced"},
	} {
		if c.fields == nil {
			c.fields = url.Values{}
		}
		if c.fields.Get("batch") == "" {
			c.fields.Set("batch", journal.NewID())
		}
		for _, accept := range []string{"application/json", "text/html"} {
			a := s.shoot(c.fields, c.src, "Accept", accept)
			body := strings.ToLower(strings.ReplaceAll(html.UnescapeString(a.body), `\"`, `"`))
			if _, main, ok := strings.Cut(body, "<main"); ok {
				body = main
			}
			if a.StatusCode != c.code || !strings.Contains(body, strings.ToLower(c.says)) {
				t.Errorf("%s: %s, %.500s", name, a.Status, body)
			}
		}
	}
	held, err := s.journal.Memory.Attachments(t.Context())
	if err != nil || len(held) > 0 || len(s.shots()) > 0 {
		t.Errorf("%d attachments and %d facts are kept, %v", len(held), len(s.shots()), err)
	}
	for n := byte(0); s.shoot(url.Values{"batch": {journal.NewID()}},
		photo(t, 400, 250, n)).StatusCode == http.StatusSeeOther; n++ {
	}
	if words := s.page("/v/heron/pictures").text("#shot .caution"); !strings.Contains(words, "of 1 MB") {
		t.Errorf("that the room is nearly full is not said: %q", words)
	}
}

// mark sends what the page of a picture's entry sends.
func (s *site) mark(hash string, fields ...string) answer {
	v := url.Values{"batch": {journal.NewID()}, "shape": {"ring"},
		"x1": {"20"}, "y1": {"10"}, "x2": {"50"}, "y2": {"30"}}
	for i := 0; i+1 < len(fields); i += 2 {
		v.Set(fields[i], fields[i+1])
	}
	return s.post("/v/heron/picture/"+hash+"/marks", v)
}

// TestMarksAreKeptBesideAPicture: as facts, shown over it, withdrawn as any entry is; the
// picture stays bit by bit.
func TestMarksAreKeptBesideAPicture(t *testing.T) {
	s := demoSite(t)
	src := photo(t, 600, 400, 1)
	s.shoot(url.Values{"batch": {journal.NewID()}, "position": {"main-belt"}, "date": {"2026-10-01"}}, src)
	s.shoot(url.Values{"batch": {journal.NewID()}, "position": {"main-belt"}, "date": {"2026-11-01"}},
		photo(t, 600, 400, 2))
	kept := s.shots()
	one, two := kept[0].Picture.Hash, kept[1].Picture.Hash
	batch := journal.NewID()
	for range 2 { // the reply was lost
		if a := s.mark(one, "batch", batch, "text", "a crack"); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s: %s", a.Status, parse(t, a.body).text(".faults"))
		}
	}
	s.mark(one, "shape", "length", "length", "21.36", "x1", "10", "y1", "50", "x2", "60", "y2", "50")
	page := "/v/heron/journal/" + kept[0].ID
	p := s.page(page)
	checkPage(t, "entry", p)
	if got := p.text(".marks"); !strings.Contains(got, "Ring: a crack") || !strings.Contains(got, "21.36 mm long") ||
		len(p.find(".marks li")) != 2 || len(p.find(".sheet text")) != 2 {
		t.Errorf("the page shows %q", got)
	}
	pictures := "/v/heron/pictures?position=main-belt"
	if words := s.page(pictures).text("main"); !strings.Contains(words,
		"Not at the same scale, since no length is marked in: 1 November 2026.") {
		t.Errorf("that one has no length is not said: %s", words)
	}
	s.mark(two, "shape", "length", "length", "17.8 mm", "x1", "10", "y1", "20", "x2", "10", "y2", "45")
	across := []float64{}
	for _, n := range s.page(pictures).find("[data-across]") {
		v, _ := strconv.ParseFloat(value(n, "data-across"), 64)
		across = append(across, v)
	}
	// 21.36 mm are half of one's width, 17.8 mm a quarter of the other's.
	if len(across) != 2 || math.Abs(across[0]-42.72) > 1e-9 || math.Abs(across[1]-71.2) > 1e-9 {
		t.Errorf("across are %v mm", across)
	}
	if got := s.get("/v/heron/picture/" + one + "/full"); got.body != string(src) {
		t.Error("the picture was changed")
	}
	var ring string
	for _, n := range p.find(".marks a") {
		ring = cmp.Or(ring, value(n, "href"))
	}
	s.post(ring, url.Values{"batch": {journal.NewID()}, "do": {"withdraw"}})
	if got := s.page(page).text(".marks"); strings.Contains(got, "crack") || !strings.Contains(got, "21.36") {
		t.Errorf("withdrawn, the page shows %q", got)
	}
	for says, fields := range map[string][]string{
		"lies outside the picture": {"x2", "130"}, "are the same": {"x2", "20", "y2", "10"},
		"no shape of a mark": {"shape", "star"}, "how long it is": {"shape", "length"},
		"touch the picture": {"x1", ""}, "not a length": {"shape", "length", "length", "3 bar"}} {
		a := s.mark(one, fields...)
		told := parse(t, a.body).text(".faults")
		if a.StatusCode != 422 || !strings.Contains(strings.ToLower(told), says) {
			t.Errorf("%v: %s, %s", fields, a.Status, told)
		}
	}
	if a := s.mark(strings.Repeat("0", 64)); a.StatusCode != http.StatusNotFound {
		t.Errorf("a picture that is not there: %s", a.Status)
	}
}

// A part that comes without saying where it lies, or lying nowhere, is refused and nothing of it
// is kept.
func TestAPartThatLiesNowhere(t *testing.T) {
	s := demoSite(t)
	for _, at := range []string{"", "0 0 1", "0 0 1 x", "0 0 1 NaN", "-1 0 1 1", "0 0 1 21", "0.5 0.5 0.5 0.5"} {
		var b bytes.Buffer
		form := multipart.NewWriter(&b)
		form.WriteField("batch", journal.NewID())
		form.WriteField("position", "main-belt")
		form.WriteField("at", at)
		for _, field := range []string{"picture", "part"} {
			file, err := form.CreateFormFile(field, "a.jpg")
			if err != nil {
				t.Fatal(err)
			}
			file.Write(photo(t, 60, 40, 1))
		}
		form.Close()
		a := s.do(s.request("POST", "/v/heron/pictures", &b, "Content-Type", form.FormDataContentType(),
			"Accept", "application/json"))
		if a.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("at %q: %s %s", at, a.Status, a.body)
		}
	}
	if n := len(s.shots()); n != 0 {
		t.Errorf("%d are kept", n)
	}
}
