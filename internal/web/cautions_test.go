package web

import (
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/visit"
)

// sections parts what a page cautions of by its headings, in the order of the page.
func sections(p parsed) [][]string {
	out := [][]string{nil}
	for n := range p.find("main")[0].Descendants() {
		class, _ := attr(n, "class")
		switch {
		case n.Data == "h2":
			out = append(out, nil)
		case slices.Contains(strings.Fields(class), "caution"):
			out[len(out)-1] = append(out[len(out)-1], text(n))
		}
	}
	return out
}

// A caution stands once in a section of a page; on a job sheet again only where
// the sheet itself has it again, once the engine turns or stands.
func TestCautionsAreCountedOnPages(t *testing.T) {
	s := demoSite(t)
	for _, v := range []string{"heron", "dunnock", "bittern"} {
		paths := []string{"/round", "/round?by=system", "/card", "/opened", "/aboard", "/listen", "/trip?distance=3000",
			"/p/main-belt", "/p/brake-fluid", "/p/top-hose", "/plan"}
		for _, path := range paths {
			for _, section := range sections(s.page("/v/" + v + path)) {
				count := map[string]int{}
				for _, c := range section {
					if count[c]++; count[c] > 1 {
						t.Errorf("%s%s: %q is said again", v, path, c)
					}
				}
			}
		}
		for _, path := range []string{"/job", "/job?visit=2", "/job?visit=3"} {
			a := s.get("/v/"+v+path, "Accept", "application/json")
			var job visit.JobView
			if err := json.Unmarshal([]byte(a.body), &job); err != nil || a.StatusCode != http.StatusOK {
				t.Fatalf("%s%s: %s %v", v, path, a.Status, err)
			}
			want, got := map[string]int{}, map[string]int{}
			for _, st := range job.Steps {
				for _, c := range st.Cautions {
					want[c]++
				}
			}
			for _, section := range sections(s.page("/v/" + v + path)) {
				for _, c := range section {
					got[c]++
				}
			}
			for c, n := range want {
				if got[c] != n || n > 3 {
					t.Errorf("%s%s: %q stands %d times on the page, %d on the sheet", v, path, c, got[c], n)
				}
			}
			if len(want) < 5 {
				t.Errorf("%s%s: only %d cautions", v, path, len(want))
			}
		}
	}
}
