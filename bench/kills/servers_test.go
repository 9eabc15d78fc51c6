package kills

import (
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undertray.example/undertray/bench/program"
	"undertray.example/undertray/internal/journal"
)

// TestServersSeeEachOtherAtOnce: what one server has acknowledged stands on the first
// page that is asked of another after that, whichever of them took it in.
func TestServersSeeEachOtherAtOnce(t *testing.T) {
	for name, s := range sheds(t) {
		t.Run(name, func(t *testing.T) {
			servers := []*program.Server{s.serve(t), s.serve(t), s.serve(t)}
			for n := range 30 {
				mark := fmt.Sprintf("note %d.", n)
				form := url.Values{"date": {today}, "batch": {journal.NewID()}, "text": {mark}}
				res, err := http.PostForm(servers[n%3].URL+"/v/wren/add/note", form)
				if err != nil {
					t.Fatal(err)
				}
				if res.Body.Close(); res.StatusCode != http.StatusOK {
					t.Fatalf("%s: %s", mark, res.Status)
				}
				other := servers[(n+1+n/3%2)%3]
				if page := page(t, other, "/v/wren/record"); !strings.Contains(page, mark) {
					t.Errorf("%s, kept by one server, is not on the next page of another", mark)
				}
			}
		})
	}
}

// page returns a page that must be there.
func page(t *testing.T, p *program.Server, path string) string {
	t.Helper()
	res, err := http.Get(p.URL + path)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		t.Fatalf("%s: %s, %v", path, res.Status, err)
	}
	return string(body)
}
