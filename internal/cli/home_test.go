package cli

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"database/sql"
	"fmt"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/internal/door"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/yard"
)

// TestNewerJournal: where a newer version wrote something, every question and all that copies is refused, each
// time with the same exit code and with what to do; what was there stays as it is, and the way back is a restore.
func TestNewerJournal(t *testing.T) {
	t.Chdir(t.TempDir())
	t.Setenv("UNDERTRAY_YARD", "yard")
	runLine(t, `undertray sheet new wren --like four-transverse-petrol --name Wren --built 2014-05-01`)
	runLine(t, `undertray odometer wren "152300 km"`)
	runLine(t, `undertray backup before.tar.gz`)
	db, err := sql.Open("sqlite", yard.JournalPath("yard"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	id := journal.NewID()
	body := fmt.Sprintf(`{"v":%d,"id":%q,"type":"heard","vehicle":"wren","date":"2026-12-01","heard":"a squeal"}`,
		fleet.EntryFormat+1, id)
	if _, err := db.Exec("INSERT INTO entries (id, landing, batch, vehicle, type, date, body) "+
		"VALUES (?, 2, '', 'wren', 'heard', '2026-12-01', ?)", id, body); err != nil {
		t.Fatal(err)
	}
	stored := func() (all []string) {
		rows, err := db.Query("SELECT body FROM entries ORDER BY seq")
		if err != nil {
			t.Fatal(err)
		}
		defer rows.Close()
		for rows.Next() {
			var b string
			if err := rows.Scan(&b); err != nil {
				t.Fatal(err)
			}
			all = append(all, b)
		}
		return all
	}
	before := stored()
	for _, line := range []string{"yard", "state wren", "position wren main-belt", "round wren", "job wren",
		"plan wren", "trip wren 900km", "history wren", "handover wren", "calendar wren", "odometer wren 152400km",
		"fitted wren main-belt --material epdm", "found wren main-belt cracks 3", "journal verify",
		"journal export out.jsonl", "backup after.tar.gz", "give wren wren.tar"} {
		var out, says bytes.Buffer
		code := Main(strings.Fields(line), strings.NewReader(""), &out, &says)
		if code != exitTooNew || !strings.Contains(says.String(), "newer version") ||
			strings.Contains(says.String(), "backup if") {
			t.Errorf("%s: exit code %d, %s", line, code, says.String())
		}
	}
	// What is written down with the older program joins it; what was there stays.
	if all := stored(); len(all) != 4 || all[0] != before[0] || all[1] != body {
		t.Errorf("stored: %q", all)
	}
	for _, made := range []string{"out.jsonl", "after.tar.gz", "wren.tar"} {
		if _, err := os.Stat(made); err == nil {
			t.Errorf("%s was made without what it cannot read", made)
		}
	}
	// Going back: the copy is put in its place, and what was there is kept.
	runLine(t, `undertray restore before.tar.gz`)
	runLine(t, `undertray state wren`)
	kept, err := filepath.Glob("yard/replaced-*/journal.db")
	if err != nil || len(kept) != 1 {
		t.Fatal(kept, err)
	}
	if src, err := os.ReadFile(kept[0]); err != nil || !bytes.Contains(src, []byte("a squeal")) {
		if wal, err := os.ReadFile(kept[0] + "-wal"); err != nil || !bytes.Contains(wal, []byte("a squeal")) {
			t.Errorf("what the newer version wrote is not in %s", kept[0])
		}
	}
}

// TestBehindAProxy: Debian's nginx, with the lines of the page docs/at-home.md, in front of a server that was told of
// it: over TLS, by another name, from another address than the proxy's.
func TestBehindAProxy(t *testing.T) {
	program, err := exec.LookPath("/usr/sbin/nginx")
	if err != nil {
		if os.Getenv("UNDERTRAY_CHECK") != "" {
			t.Fatal(err)
		}
		t.Skip("no nginx (Debian: nginx)")
	}
	dir := t.TempDir()
	t.Setenv("UNDERTRAY_TODAY", "2026-11-25")
	var log spoken
	at := filepath.Join(dir, "yard")
	for _, args := range [][]string{{"demo", "--into", at}, {"passphrase", "--yard", at}} {
		if Main(args, strings.NewReader("reed bunting sluice\n"), io.Discard, &log) != exitOK {
			t.Fatal(log.String())
		}
	}
	out := &spoken{}
	a := &app{in: strings.NewReader(""), out: out, err: &log, now: clock, newID: journal.NewID, dir: at}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() {
		done <- a.serve(ctx, serving{listen: "127.0.0.1:0", proxies: []string{"127.0.0.1"}})
	}()
	defer func() {
		cancel()
		if err := <-done; err != nil {
			t.Error(err)
		}
	}()
	port := regexp.MustCompile(`http://localhost(:\d+)/`)
	await(t, func() bool { return port.MatchString(out.String()) })
	front := nginx(t, program, dir, "127.0.0.1"+port.FindStringSubmatch(out.String())[1])
	walkThrough(t, front, filepath.Join(dir, "proxy", "devices", "house.crt"), &log)
}

func await(t *testing.T, ready func() bool) {
	t.Helper()
	for end := time.Now().Add(time.Minute); !ready(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("it does not come")
		}
	}
}

// nginx starts a proxy to a server, as the page says, with a certificate made for this, and returns its address.
func nginx(t *testing.T, program, dir, server string) string {
	t.Helper()
	page, err := os.ReadFile(filepath.Join("..", "..", "docs", "at-home.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, block, ok := strings.Cut(string(page), "```nginx\n")
	block, _, closed := strings.Cut(block, "```")
	if !ok || !closed {
		t.Fatal("the page shows no configuration")
	}
	if _, err := door.Of(filepath.Join(dir, "proxy")).Certificate([]string{"yard.example"}, time.Now()); err != nil {
		t.Fatal(err)
	}
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	front := free.Addr().String()
	free.Close()
	keys := filepath.Join(dir, "proxy", "devices")
	for old, own := range map[string]string{"listen 443 ssl": "listen " + front + " ssl",
		"/etc/ssl/yard.example.crt": filepath.Join(keys, door.CertFile),
		"/etc/ssl/yard.example.key": filepath.Join(keys, door.KeyFile), "http://127.0.0.1:8337": "http://" + server} {
		if strings.Count(block, old) != 1 {
			t.Fatalf("the page's configuration lacks %q", old)
		}
		block = strings.Replace(block, old, own, 1)
	}
	conf := filepath.Join(dir, "nginx.conf")
	head := "daemon off; user root; worker_processes 1; pid nginx.pid; error_log stderr;\nevents {}\n" +
		"http {\naccess_log off;\n"
	for _, at := range []string{"client_body", "proxy", "fastcgi", "uwsgi", "scgi"} {
		head += at + "_temp_path " + filepath.Join(dir, at+"-temp") + ";\n"
	}
	if os.Getuid() != 0 {
		head = strings.Replace(head, "user root; ", "", 1)
	}
	if err := os.WriteFile(conf, []byte(head+block+"}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	var says spoken
	cmd := exec.Command(program, "-e", "stderr", "-p", dir, "-c", conf)
	cmd.Stdout, cmd.Stderr = &says, &says
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		cmd.Process.Signal(os.Interrupt)
		cmd.Wait()
		if t.Failed() {
			t.Log(says.String())
		}
	})
	await(t, func() bool {
		c, err := net.Dial("tcp", front)
		if err == nil {
			c.Close()
		}
		return err == nil
	})
	return front
}

// walkThrough does what a phone does behind the proxy: it is asked for the pass-phrase, gets it wrong, logs in,
// reads, writes down, sends a large file, and lets another in.
func walkThrough(t *testing.T, front, house string, log *spoken) {
	ca, err := os.ReadFile(house)
	if err != nil {
		t.Fatal(err)
	}
	roots := x509.NewCertPool()
	roots.AppendCertsFromPEM(ca)
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	from := &net.Dialer{LocalAddr: &net.TCPAddr{IP: net.IPv4(127, 0, 0, 7)}} // not the proxy's
	c := &http.Client{Jar: jar, Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots},
		DialContext: func(ctx context.Context, _, _ string) (net.Conn, error) {
			return from.DialContext(ctx, "tcp", front)
		}},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	_, port, _ := net.SplitHostPort(front)
	base := "https://yard.example:" + port
	do := func(want int, method, path, kind string, body io.Reader) (string, *http.Response) {
		t.Helper()
		r, err := http.NewRequest(method, base+path, body)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", kind)
		if method == "POST" {
			r.Header.Set("Origin", base)
		}
		res, err := c.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer res.Body.Close()
		b, err := io.ReadAll(res.Body)
		if err != nil || res.StatusCode != want {
			t.Fatalf("%s %s: %s, %v\n%.600s", method, path, res.Status, err, b)
		}
		return string(b), res
	}
	post := func(want int, path string, form url.Values) (string, *http.Response) {
		t.Helper()
		return do(want, "POST", path, "application/x-www-form-urlencoded", strings.NewReader(form.Encode()))
	}
	if _, res := do(303, "GET", "/v/heron", "", nil); res.Header.Get("Location") != "/login?next=%2Fv%2Fheron" {
		t.Errorf("sent to %s", res.Header.Get("Location"))
	}
	post(401, "/login", url.Values{"passphrase": {"four other words here"}})
	if !strings.Contains(log.String(), "from=127.0.0.7") {
		t.Errorf("the log does not tell who tried: %s", log.String())
	}
	_, res := post(303, "/login", url.Values{"passphrase": {"reed bunting sluice"}})
	if cookie := res.Header.Get("Set-Cookie"); !strings.Contains(cookie, "; Secure") {
		t.Errorf("cookie %q", cookie)
	}
	if body, _ := do(200, "GET", "/v/heron", "", nil); !strings.Contains(body, "Heron") {
		t.Error("the page is not the vehicle's")
	}
	body, _ := do(200, "GET", "/v/heron/round?open=engine-cover", "", nil)
	if strings.Contains(body, "Over plain HTTP") {
		t.Error("a round takes the way for plain HTTP")
	}
	var big bytes.Buffer // larger than what proxies let through unless told
	form := multipart.NewWriter(&big)
	form.WriteField("batch", journal.NewID())
	file, err := form.CreateFormFile("picture", "large.jpg")
	if err != nil {
		t.Fatal(err)
	}
	file.Write(make([]byte, 8<<20))
	form.Close()
	body, _ = do(422, "POST", "/v/heron/pictures", form.FormDataContentType(), &big)
	if !strings.Contains(body, "picture") {
		t.Errorf("8 MB that are no picture: %.300s", body)
	}
	body, _ = post(200, "/devices", url.Values{"person": {"Ana"}, "may": {"write"}})
	if !strings.Contains(body, base+"/pair") || strings.Contains(body, "Over plain HTTP") {
		t.Errorf("the code is to be typed elsewhere: %s", body)
	}
	code := regexp.MustCompile(`\b[2-9A-Z]{3}-[2-9A-Z]{3}-[2-9A-Z]{3}\b`).FindString(body)
	jar, err = cookiejar.New(nil) // another phone
	if err != nil {
		t.Fatal(err)
	}
	c.Jar = jar
	if _, res := post(303, "/pair", url.Values{"code": {code}, "device": {"tablet"}}); !strings.Contains(
		res.Header.Get("Set-Cookie"), "; Secure") {
		t.Errorf("cookie of the device: %q", res.Header.Get("Set-Cookie"))
	}
	post(303, "/v/heron/add/note", url.Values{"text": {"written behind a proxy"}, "date": {"2026-11-25"},
		"batch": {journal.NewID()}})
	if body, _ := do(200, "GET", "/v/heron/record", "", nil); !strings.Contains(body, "written behind a proxy") {
		t.Error("the note was not kept")
	}
}

// TestServeRefusesWhatIsNoAddress: a proxy or a name that is none is refused before anything is served.
func TestServeRefusesWhatIsNoAddress(t *testing.T) {
	for flag, want := range map[string]string{"--proxy=nginx": "write 127.0.0.1", "--proxy=10.0.0.0/99": "10.0.0.0/8",
		"--host=https://yard.example": "without https and port", "--host=yard.example:443": "without https and port"} {
		var says bytes.Buffer
		code := Main([]string{"serve", "--yard", t.TempDir(), "--listen", "localhost:0", flag}, strings.NewReader(""),
			io.Discard, &says)
		if code != exitInvalid || !strings.Contains(says.String(), want) {
			t.Errorf("%s: exit %d, %s", flag, code, says.String())
		}
	}
	p, err := prefixes([]string{"127.0.0.1", "::ffff:10.0.0.1", "10.0.0.0/8", "2001:db8::/32"})
	if err != nil || fmt.Sprint(p) != "[127.0.0.1/32 10.0.0.1/32 10.0.0.0/8 2001:db8::/32]" {
		t.Errorf("%v, %v", p, err)
	}
}
