package web

import (
	"bytes"
	"context"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/yard"
)

// counted is a journal that counts how often it is read and written.
type counted struct {
	*journal.Memory
	reads, landings atomic.Int64
	lost            atomic.Bool // the file cannot be written any longer
}

func (c *counted) Touched(ctx context.Context, since int64) (map[string]int64, int64, error) {
	c.reads.Add(1)
	return c.Memory.Touched(ctx, since)
}

func (c *counted) Keep(ctx context.Context, e []*fleet.Entry) (string, int, error) {
	if c.lost.Load() {
		return "", 0, &fleet.Error{Kind: fleet.Unavailable, Where: "journal.db",
			Msg: "the journal cannot be written now", Hint: "check the disk, then send the page again"}
	}
	batch, added, err := c.Memory.Keep(ctx, e)
	if added > 0 {
		c.landings.Add(1)
	}
	return batch, added, err
}

// learnt is what the sites of all tests have learnt, each under all that it was learnt from.
var learnt = journal.FoldsOf(nil, "")

// remembering is a journal whose experience is remembered beyond a site.
type remembering struct{ *journal.Folds }

func (remembering) Recall(from string) []byte         { return learnt.Recall(from) }
func (remembering) Remember(from string, what []byte) { learnt.Remember(from, what) }

// site is a served yard.
type site struct {
	t       *testing.T
	dir     string
	url     string
	journal *counted
	server  *Server
	client  *http.Client
	away    atomic.Bool // the server is not reached
	mute    atomic.Bool // it is reached, and its replies are lost
	pages   atomic.Pointer[http.Handler]
	asked   func(*http.Request) (answered func())
}

// serve puts a server in the place of the one before.
func (s *site) serve(srv *Server) {
	pages := srv.Handler()
	s.server = srv
	s.pages.Store(&pages)
}

func noon() time.Time {
	return time.Date(demo.Today.Year, demo.Today.Month, demo.Today.Day, 12, 0, 0, 0, time.UTC)
}

// demoSite serves the demo yard from memory and a folder of its own.
func demoSite(t *testing.T) *site {
	t.Helper()
	made, err := madeDemo()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(made.dir)); err != nil {
		t.Fatal(err)
	}
	return newSite(t, dir, made.entries, Options{Demo: true})
}

type demoYard struct {
	dir     string
	entries []*fleet.Entry
}

// madeDemo writes the demo yard once for all tests; TestMain clears it away.
var madeDemo = sync.OnceValues(func() (demoYard, error) {
	d := demoYard{dir: filepath.Join(scratch(), "demo")}
	if err := os.Mkdir(d.dir, 0o755); err != nil {
		return d, err
	}
	if _, err := demo.Create(context.Background(), d.dir); err != nil {
		return d, err
	}
	y, err := yard.Open(d.dir)
	if err != nil {
		return d, err
	}
	if d.entries, err = demo.Entries(y); err != nil {
		return d, err
	}
	return d, os.Remove(yard.JournalPath(d.dir))
})

// scratch is a folder that lasts for the run of all tests.
var scratch = sync.OnceValue(func() string {
	dir, err := os.MkdirTemp("", "undertray-web-")
	if err != nil {
		panic(err)
	}
	return dir
})

func TestMain(m *testing.M) {
	code := m.Run()
	os.RemoveAll(scratch())
	os.Exit(code)
}

func newSite(t *testing.T, dir string, entries []*fleet.Entry, opt Options) *site {
	t.Helper()
	store := &counted{Memory: journal.NewMemory()}
	if _, err := store.Memory.Append(t.Context(), entries); err != nil {
		t.Fatal(err)
	}
	opt.Patience = 10 * time.Minute // other work may fill the machine
	opt.Dir, opt.Journal, opt.Now, opt.NewID = dir, remembering{journal.FoldsOf(store, "")}, noon, journal.NewID
	srv, err := New(opt)
	if err != nil {
		t.Fatal(err)
	}
	out := &site{t: t, dir: dir, journal: store}
	out.serve(srv)
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if out.away.Load() {
			panic(http.ErrAbortHandler) // nobody answers
		}
		if out.asked != nil {
			defer out.asked(r)()
		}
		pages := *out.pages.Load()
		if out.mute.Load() {
			pages.ServeHTTP(httptest.NewRecorder(), r)
			panic(http.ErrAbortHandler)
		}
		pages.ServeHTTP(w, r)
	}))
	t.Cleanup(s.Close)
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	c := &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error {
		return http.ErrUseLastResponse
	}}
	out.url, out.client = s.URL, c
	return out
}

// answer is a response with its body read.
type answer struct {
	*http.Response
	body string
}

func (s *site) do(r *http.Request) answer {
	s.t.Helper()
	res, err := s.client.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return answer{res, string(body)}
}

func (s *site) request(method, path string, body io.Reader, header ...string) *http.Request {
	s.t.Helper()
	r, err := http.NewRequest(method, s.url+path, body)
	if err != nil {
		s.t.Fatal(err)
	}
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	return r
}

func (s *site) get(path string, header ...string) answer {
	s.t.Helper()
	return s.do(s.request("GET", path, nil, header...))
}

func (s *site) post(path string, form url.Values, header ...string) answer {
	s.t.Helper()
	r := s.request("POST", path, strings.NewReader(form.Encode()),
		append(header, "Content-Type", "application/x-www-form-urlencoded")...)
	return s.do(r)
}

// page gets a page that must be there.
func (s *site) page(path string) parsed {
	s.t.Helper()
	a := s.get(path)
	if a.StatusCode != http.StatusOK {
		s.t.Fatalf("GET %s: %s\n%s", path, a.Status, a.body)
	}
	p := parse(s.t, a.body)
	if to := p.find("noscript meta"); len(to) > 0 { // as a browser without script goes on
		_, next, _ := strings.Cut(value(to[0], "content"), "url=")
		return s.page(next)
	}
	return p
}

// record keeps entries about a vehicle as one batch.
func (s *site) record(vehicle string, entries ...*fleet.Entry) {
	s.t.Helper()
	y, err := s.server.yards.open()
	if err != nil {
		s.t.Fatal(err)
	}
	v, err := y.Vehicle(vehicle)
	if err != nil {
		s.t.Fatal(err)
	}
	if _, err := s.server.recorder(y).Batch(s.t.Context(), v, entries); err != nil {
		s.t.Fatal(err)
	}
}

func (s *site) write(name, content string) {
	s.t.Helper()
	name = filepath.Join(s.dir, name)
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		s.t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
		s.t.Fatal(err)
	}
}

func (s *site) read(name string) string {
	s.t.Helper()
	b, err := os.ReadFile(filepath.Join(s.dir, name))
	if err != nil {
		s.t.Fatal(err)
	}
	return string(b)
}

// postFile posts a form with fields and, unless it is nil, a file of a name in the field named.
func (s *site) postFile(to string, fields url.Values, field, name string, src []byte, header ...string) answer {
	s.t.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	for key, values := range fields {
		for _, v := range values {
			form.WriteField(key, v)
		}
	}
	if src != nil {
		part, err := form.CreateFormFile(field, name)
		if err != nil {
			s.t.Fatal(err)
		}
		part.Write(src)
	}
	form.Close()
	return s.do(s.request("POST", to, &b, append(header, "Content-Type", form.FormDataContentType())...))
}
