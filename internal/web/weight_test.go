package web

import (
	"regexp"
	"slices"
	"testing"
)

// mostBytes is what the first load of any page may weigh: the page and
// everything it makes a browser fetch, compressed.
const mostBytes = 100_000

var imported = regexp.MustCompile(`(?m)^import .* from "\./([a-z-]+\.js)"`)

// TestFirstLoadIsLight counts what crosses the wire the first time.
func TestFirstLoadIsLight(t *testing.T) {
	s := demoSite(t)
	heaviest, where := 0, ""
	for _, path := range audited {
		total := 0
		var got []string
		var fetch func(path string)
		fetch = func(path string) {
			if slices.Contains(got, path) {
				return
			}
			got = append(got, path)
			total += len(s.get(path, "Accept-Encoding", "gzip").body)
			for _, m := range imported.FindAllStringSubmatch(s.get(path).body, -1) {
				fetch(s.server.assets.address(m[1]))
			}
		}
		fetch(path)
		p := parse(t, s.get(path).body)
		for _, n := range slices.Concat(p.find("link"), p.find("script"), p.find("img")) {
			for _, key := range []string{"href", "src"} {
				if to, ok := attr(n, key); ok {
					fetch(to)
				}
			}
		}
		if len(got) < 4 {
			t.Fatalf("%s: only %v were found to fetch", path, got)
		}
		if total > mostBytes {
			t.Errorf("%s: the first load takes %d bytes, at most %d are wanted: %v", path, total, mostBytes, got)
		}
		if total > heaviest {
			heaviest, where = total, path
		}
	}
	t.Logf("the heaviest is %s with %d bytes", where, heaviest)
}
