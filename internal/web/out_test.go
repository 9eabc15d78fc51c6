package web

import (
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/cells"
)

// onlyAsk are pages that ask or answer by words alone: what they show is taken out as JSON and nothing else.
var onlyAsk = []string{"GET /v/{id}/aboard", "GET /v/{id}/add", "GET /v/{id}/past", "GET /v/{id}/walk", "GET /take",
	"GET /new", "GET /settings", "GET /v/{id}/settings", "GET /devices", "GET /v/{id}/listen", "GET /v/{id}/pictures",
	"GET /v/{id}/opened", "GET /v/{id}/measure", "GET /v/{id}/count", "GET /v/{id}/batch/{batch}",
	"GET /v/{id}/journal/{entry}", "GET /v/{id}/sheet", "GET /v/{id}/sheet/head", "GET /v/{id}/sheet/add",
	"GET /v/{id}/sheet/p/{pos}", "GET /v/{id}/sheet/open", "GET /v/{id}/sheet/o/{opening}"}

// Each page leads by its foot to what it shows as files: at least one table, drawing or sheet, unless it is among those
// that only ask. Tables have as many cells in each row, lines are JSON, drawings are well-formed and need no
// typeface, sheets are PDF. For the check's time each page gives one of each, and the first ten in all forms.
func TestEverythingCanBeTakenOut(t *testing.T) {
	s := demoSite(t)
	given, pages := map[string]int{}, 0
	for _, r := range s.server.routes() {
		at := samples[r.pattern].path
		if strings.Contains(at, "move=") {
			at = "/v/heron/plan" // worked out once for all its forms
		}
		if at == "" || !strings.HasPrefix(r.pattern, "GET ") {
			continue
		}
		pages++
		base, query, _ := strings.Cut(at, "?")
		out := s.page(base + "?" + strings.TrimPrefix(query+"&", "&") + "format=which") // as leadsOut sees
		here := map[string]bool{}
		for _, a := range out.find("main a") {
			q, err := url.ParseQuery(strings.TrimPrefix(value(a, "href"), "?"))
			form := q.Get(formatField)
			rare := form == "json" || strings.HasPrefix(form, "csv-")
			if err != nil || form == "" || here[form] || rare && pages > 10 {
				continue
			}
			here[form] = true
			given[form]++
			got := s.get(base + value(a, "href"))
			if to := got.Header.Get("Content-Disposition"); got.StatusCode != http.StatusOK ||
				!strings.HasPrefix(to, "attachment") {
				t.Errorf("%s as %s: %s", at, form, got.Status)
				continue
			}
			if err := inForm(form, got.body); err != nil {
				t.Errorf("%s as %s: %v", at, form, err)
			}
		}
		delete(here, "json")
		if len(here) == 0 && !slices.Contains(onlyAsk, r.pattern) {
			t.Errorf("%s shows what cannot be taken out", r.pattern)
		}
	}
	if given["csv"] < 20 || given["jsonl"] != given["csv"] || given["csv-tab"] < 5 || given["svg"] < 5 ||
		given["pdf"] != len(papers) {
		t.Errorf("given were %v", given)
	}
	for _, wrong := range []string{"/v/heron?format=xml", "/v/heron?format=csv&list=no",
		"/v/heron?format=svg&drawing=99", "/v/heron?format=pdf", "/v/nobody?format=csv", "/settings?format=csv"} {
		if a := s.get(wrong); a.StatusCode != http.StatusNotFound {
			t.Errorf("%s: %s", wrong, a.Status)
		}
	}
}

// leadsOut holds a page to the link at its foot by which what it shows is taken out.
func leadsOut(t *testing.T, path string, p parsed) {
	t.Helper()
	_, query, _ := strings.Cut(path, "?")
	want, err := url.ParseQuery(strings.TrimPrefix(query+"&format=which", "&"))
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range p.find("footer a") {
		got, err := url.ParseQuery(strings.TrimPrefix(value(a, "href"), "?"))
		got.Del("whole") // of a page without script
		if text(a) == "Take it out" && err == nil && got.Encode() == want.Encode() {
			return
		}
	}
	t.Errorf("%s does not lead to what it shows as files", path)
}

// inForm says what of a file is not as its form has it.
func inForm(form, body string) error {
	switch form {
	case "json":
		return json.Unmarshal([]byte(body), new(any))
	case "jsonl":
		for line := range strings.Lines(body) {
			if err := json.Unmarshal([]byte(line), new(map[string]any)); err != nil {
				return err
			}
		}
		return nil
	case "pdf":
		if !strings.HasPrefix(body, "%PDF-") {
			return errors.New("no PDF")
		}
		return nil
	case "svg":
		return standsAlone(body)
	}
	src, err := cells.Text([]byte(body))
	if err != nil {
		return err
	}
	r := csv.NewReader(strings.NewReader(src)) // refuses rows of another number of cells than the first
	r.Comma = cells.Separator(src)
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		return fmt.Errorf("%d rows, %w", len(rows), err)
	}
	seen := map[string]bool{"": true}
	for _, name := range rows[0] {
		if seen[name] {
			return fmt.Errorf("two columns are called %q, or one nothing", name)
		}
		seen[name] = true
	}
	return nil
}

func standsAlone(svg string) error {
	dec := xml.NewDecoder(strings.NewReader(svg))
	for first := true; ; first = false {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		start, ok := tok.(xml.StartElement)
		if err != nil || first && (!ok || start.Name.Space != "http://www.w3.org/2000/svg") ||
			start.Name.Local == "text" {
			return fmt.Errorf("%v, %w", tok, err)
		}
	}
}
