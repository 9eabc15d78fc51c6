package web

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"io"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"undertray.example/undertray/internal/fleet"
)

func TestHeadersOfEveryAnswer(t *testing.T) {
	s := demoSite(t)
	for _, path := range []string{"/", "/v/heron", "/nowhere", "/v/heron/record?format=csv",
		s.server.assets.address("page.js")} {
		h := s.get(path).Header
		csp := h.Get("Content-Security-Policy")
		if !strings.Contains(csp, "default-src 'self'") || strings.Contains(csp, "unsafe") {
			t.Errorf("%s: policy %q", path, csp)
		}
		if h.Get("X-Content-Type-Options") != "nosniff" || h.Get("Referrer-Policy") == "" ||
			h.Get("X-Request-Id") == "" {
			t.Errorf("%s: headers %v", path, h)
		}
	}
}

func TestOtherSitesCannotPost(t *testing.T) {
	s := demoSite(t)
	form := url.Values{"text": {"planted"}, "date": {"2026-11-25"}, "batch": {strings.Repeat("0", 36)}}
	for _, header := range [][]string{{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Site", "same-site"},
		{"Origin", "http://elsewhere.example"}} {
		if a := s.post("/v/heron/add/note", form, header...); a.StatusCode != http.StatusForbidden {
			t.Errorf("%v: %s", header, a.Status)
		}
	}
	if s.journal.landings.Load() != 0 {
		t.Error("something was recorded")
	}
}

func TestForeignNamesAreRefusedWithoutPassphrase(t *testing.T) {
	s := demoSite(t)
	for host, want := range map[string]int{"localhost:80": 200, "127.0.0.1": 200, "[::1]:8337": 200,
		"yard.example": 421, "192.0.2.7": 421, "localhost.example": 421} {
		r := s.request("GET", "/", nil)
		r.Host = host
		a := s.do(r)
		if a.StatusCode != want {
			t.Errorf("%s: %s", host, a.Status)
		}
		if want != 200 && strings.Contains(a.body, "Alder Fen") {
			t.Errorf("%s is told the yard's name", host)
		}
	}
}

func TestTooMuchAtOnce(t *testing.T) {
	s := demoSite(t)
	for _, path := range []string{"/v/heron/sheet", "/v/heron/round", "/v/heron/add/note", "/new",
		"/v/heron/sheet/add"} {
		if a := s.post(path, url.Values{"text": {strings.Repeat("x",
			maxBody+1)}}); a.StatusCode != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: %s", path, a.Status)
		}
	}
}

func TestFaultsOfTheProgramStayInTheLog(t *testing.T) {
	s := demoSite(t)
	h := s.server.wrap(s.server.adapt(func(_ http.ResponseWriter, r *http.Request) error {
		if r.URL.Path == "/panic" {
			panic("secret")
		}
		return errors.New("secret")
	}))
	for _, path := range []string{"/panic", "/error"} {
		w := &kept{header: http.Header{}}
		r, err := http.NewRequest("GET", "http://localhost"+path, nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Body = http.NoBody
		h.ServeHTTP(w, r)
		if w.code != 500 || strings.Contains(w.body.String(), "secret") ||
			!strings.Contains(w.body.String(), w.header.Get("X-Request-Id")) {
			t.Errorf("%s: %d %s", path, w.code, w.body.String())
		}
	}
}

// kept is a response kept in memory.
type kept struct {
	header http.Header
	code   int
	body   strings.Builder
}

func (k *kept) Header() http.Header         { return k.header }
func (k *kept) WriteHeader(code int)        { k.code = code }
func (k *kept) Write(b []byte) (int, error) { return k.body.Write(b) }

func TestPassphrase(t *testing.T) {
	made, err := madeDemo()
	if err != nil {
		t.Fatal(err)
	}
	const phrase = "reed bunting sluice ladder"
	hash, err := HashPassphrase(phrase)
	if err != nil {
		t.Fatal(err)
	}
	s := newSite(t, made.dir, made.entries, Options{Passphrase: hash})
	for _, path := range []string{"/", "/v/heron", "/kinds", "/v/heron/sheet", "/nowhere",
		"/v/heron/record?format=csv"} {
		a := s.get(path)
		if a.StatusCode != http.StatusSeeOther || !strings.HasPrefix(a.Header.Get("Location"), "/login") ||
			strings.Contains(a.body, "Heron") {
			t.Errorf("%s without pass-phrase: %s", path, a.Status)
		}
	}
	if a := s.get("/v/heron", "Accept", "application/json"); a.StatusCode != http.StatusUnauthorized {
		t.Errorf("JSON without pass-phrase: %s", a.Status)
	}
	if a := s.post("/v/heron/add/note", url.Values{"text": {"x"}}); a.StatusCode != http.StatusSeeOther ||
		s.journal.landings.Load() != 0 {
		t.Errorf("recording without pass-phrase: %s", a.Status)
	}
	login := s.page("/login?next=/v/heron")
	if strings.Contains(login.text("html"), "Alder Fen") {
		t.Error("the login tells the yard's name")
	}
	wrong := s.post("/login", url.Values{"passphrase": {"reed bunting sluice rope"}})
	if wrong.StatusCode != http.StatusUnauthorized {
		t.Errorf("a wrong pass-phrase: %s", wrong.Status)
	}
	a := s.post("/login", url.Values{"passphrase": {phrase}, "next": {"/v/heron"}})
	if a.StatusCode != http.StatusSeeOther || a.Header.Get("Location") != "/v/heron" {
		t.Fatalf("the right one: %s", a.Status)
	}
	if c := a.Header.Get("Set-Cookie"); !strings.Contains(c, "HttpOnly") || !strings.Contains(c, "SameSite=Lax") {
		t.Errorf("cookie %q", c)
	}
	s.page("/v/heron")
	s.post("/logout", nil)
	if a := s.get("/v/heron"); a.StatusCode != http.StatusSeeOther {
		t.Errorf("after locking: %s", a.Status)
	}
}

func TestPassphraseHash(t *testing.T) {
	if _, err := HashPassphrase("too short"); fleet.KindOf(err) != fleet.Invalid {
		t.Errorf("short: %v", err)
	}
	// A hash made with the argon2 command of Debian's argon2 package, the reference implementation of RFC 9106:
	// printf 'reed bunting sluice' | argon2 sixteenbytesalts -id -t 3 -k 65536 -p 4 -l 32 -e
	const reference = "$argon2id$v=19$m=65536,t=3,p=4$c2l4dGVlbmJ5dGVzYWx0cw" +
		"$c5A1vSAqfHA0Hoo3PJgpC6F/qjIo9YoAksu5Z5D0vnY"
	if ok, err := CheckPassphrase(reference, "reed bunting sluice"); !ok || err != nil {
		t.Errorf("the reference's hash: %v %v", ok, err)
	}
	if ok, _ := CheckPassphrase(reference, "reed bunting sluices"); ok {
		t.Error("another pass-phrase fits")
	}
	dir := t.TempDir()
	if h, err := ReadPassphrase(dir); h != "" || err != nil {
		t.Errorf("none: %q %v", h, err)
	}
	if err := WritePassphrase(dir, reference); err != nil {
		t.Fatal(err)
	}
	if h, err := ReadPassphrase(dir); h != reference || err != nil {
		t.Errorf("%q %v", h, err)
	}
	for _, broken := range []string{"", "plain words", strings.Replace(reference, "m=65536", "m=8", 1),
		reference[:len(reference)-4]} {
		if err := WritePassphrase(dir, broken); err != nil {
			t.Fatal(err)
		}
		if _, err := ReadPassphrase(dir); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%q: %v", broken, err)
		}
	}
}

func TestOwnPath(t *testing.T) {
	for p, want := range map[string]string{"/v/heron?open=x": "/v/heron?open=x", "//elsewhere.example": "/",
		"https://elsewhere.example/": "/", `/\elsewhere.example`: "/", "": "/", "v": "/"} {
		if got := ownPath(p); got != want {
			t.Errorf("%q: %q, want %q", p, got, want)
		}
	}
}

func TestAssets(t *testing.T) {
	s := demoSite(t)
	for name := range s.server.assets.files {
		path := s.server.assets.address(name)
		a := s.get(path, "Accept-Encoding", "gzip")
		if a.StatusCode != 200 || !strings.Contains(a.Header.Get("Cache-Control"), "immutable") ||
			a.Header.Get("Content-Type") == "" {
			t.Errorf("%s: %s %v", name, a.Status, a.Header)
		}
		plain := s.get(path, "Accept-Encoding", "identity")
		got := a.body
		if a.Header.Get("Content-Encoding") == "gzip" {
			z, err := gzip.NewReader(strings.NewReader(a.body))
			if err != nil {
				t.Fatal(err)
			}
			b, err := io.ReadAll(z)
			if err != nil {
				t.Fatal(err)
			}
			got = string(b)
		}
		if got != plain.body || plain.Header.Get("Content-Encoding") != "" {
			t.Errorf("%s differs squeezed and plain", name)
		}
		old := s.get("/assets/000000000000/" + name)
		if old.StatusCode != 200 || strings.Contains(old.Header.Get("Cache-Control"), "immutable") {
			t.Errorf("%s under an old build: %s", name, old.Header.Get("Cache-Control"))
		}
	}
	if a := s.get("/assets/x/..%2fserver.go"); a.StatusCode != http.StatusNotFound {
		t.Errorf("outside: %s", a.Status)
	}
}

// Of a script or style nothing is left out but lines that are remarks as a whole.
func TestOnlyRemarksAreLeftOut(t *testing.T) {
	a, err := loadAssets()
	if err != nil {
		t.Fatal(err)
	}
	out := 0
	for name, f := range a.files {
		src, err := staticFiles.ReadFile("static/" + name)
		if err != nil {
			continue // made by the program
		}
		if path.Ext(name) == ".woff2" {
			if !bytes.Equal(src, f.plain) {
				t.Errorf("%s is not sent as it is", name)
			}
			continue
		}
		sent, remark := strings.Split(string(f.plain), "\n"), false
		for line := range strings.Lines(string(src)) {
			line = strings.TrimSuffix(line, "\n")
			if words := strings.TrimSpace(line); strings.HasPrefix(words, "/*") && !strings.Contains(words, "*/") {
				remark = true
			} else if sent[0] == line {
				if sent = sent[1:]; remark {
					t.Fatalf("%s: sent from the middle of a remark: %s", name, line)
				}
				continue
			} else if !remark && !strings.HasPrefix(words, "//") && !(strings.HasPrefix(words, "/*") &&
				strings.Index(words, "*/") == len(words)-2) {
				t.Fatalf("%s: left out: %s", name, line)
			}
			if out++; strings.HasSuffix(line, "*/") {
				remark = false
			}
		}
		if len(sent) != 1 || sent[0] != "" {
			t.Errorf("%s: sent besides: %q", name, sent)
		}
	}
	if out < 200 {
		t.Errorf("only %d lines are left out", out)
	}
}

func TestTakesGzip(t *testing.T) {
	for accept, want := range map[string]bool{"gzip": true, "br, gzip;q=0.8": true, "gzip;q=0": false,
		"gzip; q=0": false, "identity": false, "": false, "xgzip": false} {
		r, _ := http.NewRequest("GET", "/", nil)
		r.Header.Set("Accept-Encoding", accept)
		if takesGzip(r) != want {
			t.Errorf("%q: %v", accept, !want)
		}
	}
}

// The owner logs in while sixty go on trying wrong ones, each as soon as it has its
// answer, by a clock of the test's own: however long a check takes, up to 0.4 s, the
// answer comes within 2 s. Wrong ones are logged, what was typed is not.
func TestTheOwnerGetsInWhileWrongOnesRun(t *testing.T) {
	const most = 2 * time.Second
	for _, takes := range []time.Duration{50 * time.Millisecond, 150 * time.Millisecond, 400 * time.Millisecond} {
		synctest.Test(t, func(t *testing.T) {
			var log lockedBuffer
			s := &Server{opt: Options{Log: slog.New(slog.NewTextHandler(&log, nil))}}
			s.gate.check = func(_, phrase string) (bool, error) {
				time.Sleep(takes)
				return phrase == rightPhrase, nil
			}
			ctx, stop := context.WithCancel(t.Context())
			var wrong sync.WaitGroup
			for range 60 {
				wrong.Go(func() {
					for ctx.Err() == nil {
						limited, cancel := context.WithTimeout(ctx, requestTime)
						if ok, _ := s.tryPassphrase(httptest.NewRequestWithContext(limited, "POST", "/login", nil),
							"not the right one at all"); ok {
							t.Error("a wrong one gets in")
						}
						cancel()
					}
				})
			}
			random, worst := rand.New(rand.NewPCG(7, 60)), time.Duration(0)
			for range 200 {
				time.Sleep(time.Duration(random.Int64N(int64(3 * time.Second))))
				begun := time.Now()
				if ok, err := s.tryPassphrase(httptest.NewRequest("POST", "/login", nil),
					rightPhrase); !ok || err != nil {
					t.Fatalf("the owner is refused: %v", err)
				}
				worst = max(worst, time.Since(begun))
			}
			tried := strings.Count(log.String(), "wrong pass-phrase")
			t.Logf("a check takes %s: the owner waited for %s at the most, and %d wrong ones were tried",
				takes, worst, tried)
			if worst > most || tried < 200 {
				t.Errorf("the owner waited for %s while %d wrong ones were tried", worst, tried)
			}
			stop()
			wrong.Wait()
			if text := log.String(); !strings.Contains(text, "crowded out") ||
				strings.Contains(text, "not the right one") || strings.Contains(text, rightPhrase) {
				t.Error("the log does not tell who is crowded out, or it tells what was typed")
			}
		})
	}
}

// Who is refused and goes away takes up nothing more; who stays is told when it is due,
// though a request may not take as long.
func TestRefusalsEndWhereNobodyWaits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const due, soon = 40 * time.Second, 2 * time.Second
		gone, leave := context.WithCancel(t.Context())
		defer time.AfterFunc(soon, leave).Stop()
		limited, cancel := context.WithTimeout(t.Context(), soon)
		defer cancel()
		for _, c := range []struct {
			ctx  context.Context
			want time.Duration
		}{{gone, soon}, {limited, due + wrongApart}} {
			begun := time.Now()
			g := gate{told: begun.Add(due)}
			if g.refuse(c.ctx); time.Since(begun) != c.want {
				t.Errorf("a refusal took %s, want %s", time.Since(begun), c.want)
			}
		}
	})
}

func TestTooMuchAtTheLogin(t *testing.T) {
	s := lockedSite(t, new(lockedBuffer))
	for _, size := range []int{maxLogin + 1, maxBody + 1} {
		if a := s.post("/login", url.Values{"passphrase": {strings.Repeat("x", size)}}); a.StatusCode !=
			http.StatusRequestEntityTooLarge {
			t.Errorf("%d bytes: %s", size, a.Status)
		}
	}
}

func TestWrongPassphrasesAreLogged(t *testing.T) {
	var log lockedBuffer
	s := lockedSite(t, &log)
	for typed, want := range map[string]int{"not the right one at all": http.StatusUnauthorized,
		rightPhrase: http.StatusSeeOther} {
		if a := s.post("/login", url.Values{"passphrase": {typed}}); a.StatusCode != want {
			t.Errorf("%s, want %d", a.Status, want)
		}
	}
	text := log.String()
	if strings.Count(text, "wrong pass-phrase") != 1 || strings.Contains(text, "not the right one") ||
		strings.Contains(text, rightPhrase) {
		t.Errorf("the log is %s", text)
	}
}

func TestPagesNameNoFoldersOfTheMachine(t *testing.T) {
	for in, want := range map[string]string{
		"/home/rita/undertray/journal.db: the disk is full": "journal.db: the disk is full",
		"open /var/lib/y/vehicles/heron.yaml: denied":       "open heron.yaml: denied",
		`lie in C:\Users\rita\journal.db-wal, which`:        "lie in journal.db-wal, which",
		"nothing is kept at /v/heron/nowhere":               "nothing is kept at /v/heron/nowhere",
		"start one at /new":                                 "start one at /new",
		"3 km/h and/or 5 per 75 mm":                         "3 km/h and/or 5 per 75 mm",
	} {
		if got := withoutFolders(in); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	s := demoSite(t)
	s.write("yard.yaml", strings.Repeat("# long\n", 1500000))
	begun := time.Now()
	a := s.get("/")
	if strings.Contains(a.body, s.dir) || !strings.Contains(a.body, "larger than 64 KiB") ||
		time.Since(begun) > time.Second {
		t.Errorf("%s after %s: %s", a.Status, time.Since(begun), parse(t, a.body).text("main"))
	}
}

func TestLocalNames(t *testing.T) {
	for host, want := range map[string]bool{"localhost": true, "LOCALHOST:8337": true, "Localhost": true,
		"127.0.0.1:1": true, "[::1]:1": true, "localhost.example": false} {
		if localName(host) != want {
			t.Errorf("%s: %v", host, !want)
		}
	}
	if !Loopback("LOCALHOST:8337") {
		t.Error("LOCALHOST is not this machine")
	}
}

const rightPhrase = "correct horse battery staple"

// lockedSite is a site behind a pass-phrase that logs into a buffer.
func lockedSite(t *testing.T, log *lockedBuffer) *site {
	t.Helper()
	made, err := madeDemo()
	if err != nil {
		t.Fatal(err)
	}
	hash, err := HashPassphrase(rightPhrase)
	if err != nil {
		t.Fatal(err)
	}
	return newSite(t, made.dir, made.entries, Options{Passphrase: hash, Log: slog.New(slog.NewTextHandler(log, nil))})
}

// lockedBuffer is a buffer that many write to.
type lockedBuffer struct {
	mu sync.Mutex
	b  strings.Builder
}

// Write implements io.Writer.
func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

// String returns what was written.
func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}
