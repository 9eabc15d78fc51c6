package web

import (
	"bytes"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"testing"
)

// TestWhatAProxySays: the headers by which proxies tell who asks and how (their names and order are common
// practice, written down in RFC 7239, sections 4 and 7.4, for its own header) count from a machine that the
// server was told of, and from no other.
func TestWhatAProxySays(t *testing.T) {
	told := []netip.Prefix{netip.MustParsePrefix("127.0.0.0/8"), netip.MustParsePrefix("10.0.0.0/8")}
	for _, c := range []struct {
		name        string
		proxies     []netip.Prefix
		peer        string
		proto, asks string // as the headers say
		secure      bool
		from        string
	}{
		{"told of", told, "127.0.0.1:5044", "https", "192.0.2.7", true, "192.0.2.7"},
		{"told of, in IPv6 clothes", told, "[::ffff:127.0.0.1]:5044", "HTTPS", "192.0.2.7", true, "192.0.2.7"},
		{"made up further left", told, "10.0.0.1:80", "http, https", "127.0.0.1, 198.51.100.9, 192.0.2.7, 10.1.2.3",
			true, "192.0.2.7"},
		{"with a port", told, "127.0.0.1:80", "https", "[2001:db8::7]:5044", true, "2001:db8::7"},
		{"over plain HTTP", told, "127.0.0.1:80", "https, http", "192.0.2.7", false, "192.0.2.7"},
		{"unreadable", told, "127.0.0.1:80", "https", "192.0.2.7, unknown", true, "127.0.0.1:80"},
		{"all told of", told, "127.0.0.1:80", "https", "10.0.0.7", true, "10.0.0.7"},
		{"says nothing", told, "127.0.0.1:80", "", "", false, "127.0.0.1:80"},
		{"not told of", nil, "127.0.0.1:80", "https", "192.0.2.7", false, "127.0.0.1:80"},
		{"another", told, "192.0.2.1:80", "https", "127.0.0.1", false, "192.0.2.1:80"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var log bytes.Buffer
			s := &Server{opt: Options{Proxies: c.proxies, Log: slog.New(slog.NewTextHandler(&log, nil))}}
			r := httptest.NewRequest("GET", "/", nil)
			r.RemoteAddr = c.peer
			r.Header.Set("X-Forwarded-Proto", c.proto)
			r.Header.Set("X-Forwarded-For", c.asks)
			came := 0
			h := s.cameBy(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
				came++
				if got := by(r); got != (way{c.secure, c.proto != ""}) || r.RemoteAddr != c.from {
					t.Errorf("%+v from %s", got, r.RemoteAddr)
				}
			}))
			h.ServeHTTP(httptest.NewRecorder(), r)
			h.ServeHTTP(httptest.NewRecorder(), r)
			untold := 0
			if c.from == c.peer && !c.secure && c.proto != "" {
				untold = 1
			}
			if n := strings.Count(log.String(), "not told of"); n != untold || came != 2 {
				t.Errorf("%d came; said %d times: %s", came, n, &log)
			}
		})
	}
}

// TestNamesWithoutPassphrase: where none is set, names of this machine are answered when nobody passes the
// request on, and names that the server was told; the refusal says what to type.
func TestNamesWithoutPassphrase(t *testing.T) {
	for _, c := range []struct {
		host, passed string
		want         int
		says         string
	}{
		{"localhost:8337", "", 200, ""},
		{"localhost:8337", "X-Forwarded-For", 421, "undertray serve --proxy 127.0.0.1 --host localhost"},
		{"127.0.0.1:8337", "Via", 421, "--host 127.0.0.1"},
		{"yard.example", "", 421, "undertray serve --host yard.example"},
		{"yard.example:443", "X-Forwarded-Proto", 421, "undertray serve --proxy 127.0.0.1 --host yard.example"},
		{"told.example:443", "X-Forwarded-For", 200, ""},
		{"TOLD.example", "", 200, ""},
		{"told.example.org", "", 421, "--host told.example.org"},
		{"a;b'c", "", 421, "--host NAME"},
	} {
		s := newSite(t, t.TempDir(), nil, Options{Hosts: []string{"told.example"}})
		r := s.request("GET", "/", nil)
		r.Host = c.host
		if c.passed != "" {
			r.Header.Set(c.passed, "192.0.2.7")
		}
		a := s.do(r)
		if a.StatusCode != c.want || !strings.Contains(a.body, c.says) {
			t.Errorf("%s with %q: %s, %s", c.host, c.passed, a.Status, a.body)
		}
	}
}
