package web

import (
	"net/http"
	"slices"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/yard"
)

// searchPage finds a text in everything the yard knows.
type searchPage struct {
	Page
	Headline  message.Text
	Positions []hit
	Kinds     []*catalogue.Kind
	Entries   []hit
	Named     []string     // vehicles of a large yard
	Limits    message.Text // what is not searched, or ""
	More      int
}

type hit struct {
	Vehicle, VehicleName, ID, Name string
	Verdict                        fleet.Verdict
	Words, Day, What               message.Text
}

// mostHits is how many entries a search shows.
const mostHits = 60

func (s *Server) searchPage(w http.ResponseWriter, r *http.Request) error {
	if y, err := s.yards.open(); err == nil && together.Large(y) {
		return s.searchLarge(w, r, y)
	}
	y, reports, err := s.reports(r)
	if err != nil {
		return err
	}
	text := strings.ToLower(strings.TrimSpace(r.URL.Query().Get("q")))
	page := searchPage{Page: s.base(r, "Search"), Headline: "Search positions, kinds of part and everything recorded."}
	if text == "" {
		return s.answer(w, r, "search", page, []hit{})
	}
	page.Kinds = y.Catalogue.Find(text)
	for _, rep := range reports {
		d := &desk{yard: y, vehicle: rep.Vehicle, report: rep, in: s.inLanguage(r)}
		if err := s.readAll(r.Context(), d); err != nil {
			return err
		}
		d.search(&page, text)
	}
	page.count(len(page.Positions) + len(page.Kinds) + len(page.Entries) + page.More)
	return s.answer(w, r, "search", page,
		map[string]any{"positions": page.Positions, "kinds": page.Kinds, "entries": page.Entries})
}

// searchLarge finds vehicles and kinds of part by their names: what is recorded of
// all vehicles of a large yard is too much to go through for a page.
func (s *Server) searchLarge(w http.ResponseWriter, r *http.Request, y *yard.Yard) error {
	text := strings.ToLower(strings.TrimSpace(r.URL.Query().Get("q")))
	page := searchPage{Page: s.base(r, "Search"), Headline: "Search vehicles by their short names, and kinds of part.",
		Named: []string{},
		Limits: message.Of("In a yard of %d vehicles positions and entries are not searched: open the vehicle’s "+
			"record.", len(y.IDs()))}
	if text == "" {
		return s.answer(w, r, "search", page, []hit{})
	}
	page.Kinds = y.Catalogue.Find(text)
	for _, id := range y.IDs() {
		if !mentions(text, id) {
			continue
		}
		if len(page.Named) < mostHits {
			page.Named = append(page.Named, id)
		} else {
			page.More++
		}
	}
	page.count(len(page.Named) + len(page.Kinds) + page.More)
	return s.answer(w, r, "search", page, map[string]any{"vehicles": page.Named, "kinds": page.Kinds})
}

func (page *searchPage) count(n int) {
	page.Headline = message.Of("%d places mention “%s”.", n, page.Query)
	switch n {
	case 0:
		page.Headline = message.Of("Nothing here mentions “%s”.", page.Query)
	case 1:
		page.Headline = message.Of("One place mentions “%s”.", page.Query)
	}
}

func (d *desk) search(page *searchPage, text string) {
	for _, j := range d.report.Walk() {
		p := j.Position
		words := []string{p.ID, p.Name, p.Where, p.Note, p.Part.Name, p.Part.Number, j.Place.Fitted.Spec.Name,
			j.Place.Fitted.Spec.Number, j.Kind.Name}
		if mentions(text, append(words, j.Kind.Also...)...) || slices.Contains(page.Kinds, j.Kind) {
			page.Positions = append(page.Positions,
				hit{Vehicle: d.vehicle.ID, VehicleName: d.vehicle.Name, ID: p.ID, Name: p.Name, Verdict: j.Verdict})
		}
	}
	for _, l := range advise.History(d.report, "") {
		if !mentions(text, l.Words.In(d.in)) {
			continue
		}
		if len(page.Entries) >= mostHits {
			page.More++
			continue
		}
		page.Entries = append(page.Entries, hit{Vehicle: d.vehicle.ID, VehicleName: d.vehicle.Name, ID: l.Entry,
			Name: l.Position, Words: l.Words, Day: told.Short(l.Date), What: message.Is(l.What)})
	}
}

func mentions(text string, words ...string) bool {
	for _, w := range words {
		if strings.Contains(strings.ToLower(w), text) {
			return true
		}
	}
	return false
}
