package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"net/http"
	"net/url"
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/undone"
)

// mostKept is how many pictures of a vehicle a device keeps, of the newest.
const mostKept = 60

// keptVehicle is what a device keeps of a vehicle, to be read where the server is not reached.
type keptVehicle struct {
	Pages    map[string]string `json:"pages"` // HTML by address
	Assets   []string          `json:"assets"`
	Pictures []string          `json:"pictures"` // small ones
}

// keptPages hands out what a device keeps of a vehicle at once, unless it has all of that already: the
// vehicle is laid out once for all its pages.
func (s *Server) keptPages(w http.ResponseWriter, r *http.Request) error {
	d, err := s.bare(r)
	if err == nil {
		err = s.opt.Journal.CatchUp(r.Context())
	}
	if err != nil {
		return err
	}
	id := d.vehicle.ID
	of := fmt.Sprint(s.assets.build, journal.Program(), s.files(id), s.opt.Journal.Version(id), s.today(),
		s.inLanguage(r).Code())
	if in := came(r); in != nil {
		of += fmt.Sprint(*in)
	}
	stand := fmt.Sprintf(`"%x"`, sha256.Sum256([]byte(of)))
	if unchanged(w, r, stand) {
		return nil
	}
	if d, err = s.desk(r); err != nil {
		return err
	}
	out := keptVehicle{map[string]string{}, s.assets.addresses(), []string{}}
	if at := s.plates.address(s.plates.platesOf(d.report.Catalogue, d.vehicle, d.in)); at != "" {
		out.Assets = append(out.Assets, at)
	}
	with := r.Clone(context.WithValue(r.Context(), deskKey, *d))
	with.Header = http.Header{"Accept": {"text/html"}, "Accept-Language": r.Header["Accept-Language"],
		"Cookie": r.Header["Cookie"]}
	for _, p := range s.pagesOf(d) {
		page := sheaf{header: http.Header{}}
		with.URL = &url.URL{Path: "/v/" + id + p.path}
		with.SetPathValue("pos", p.at)
		with.SetPathValue("run", p.at)
		if err := p.handle(&page, with); err != nil {
			return err
		}
		out.Pages[with.URL.Path] = page.String()
	}
	for _, row := range d.picturesOf(fleet.Picture{}) {
		if len(out.Pictures) < mostKept && !slices.Contains(out.Pictures, row.Small) {
			out.Pictures = append(out.Pictures, row.Small)
		}
	}
	return s.writeJSON(w, r, http.StatusOK, out)
}

// unchanged answers a device that has what there is already, which stand names.
func unchanged(w http.ResponseWriter, r *http.Request, stand string) bool {
	w.Header().Set("ETag", stand)
	if r.Header.Get("If-None-Match") != stand {
		return false
	}
	w.WriteHeader(http.StatusNotModified)
	return true
}

// answeredToday says what of a vehicle was answered today, for a round that is open on another device:
// nobody need look twice.
func (s *Server) answeredToday(w http.ResponseWriter, r *http.Request) error {
	d, err := s.bare(r)
	if err == nil {
		err = s.opt.Journal.CatchUp(r.Context())
	}
	if err != nil {
		return err
	}
	id, today := d.vehicle.ID, s.today()
	if unchanged(w, r, fmt.Sprintf(`"%d %s %s"`, s.opt.Journal.Version(id), today, d.in.Code())) {
		return nil
	}
	entries, err := s.opt.Journal.Entries(r.Context(), journal.Filter{Vehicle: id, Since: today, Until: today})
	if err != nil {
		return err
	}
	stops, last := map[string]string{}, message.Text("")
	all := fleet.Standing(entries)
	slices.SortStableFunc(all, func(a, b *fleet.Entry) int { return a.Instant().Compare(b.Instant()) })
	for _, e := range all {
		if e.Found == nil {
			continue
		}
		last = message.Of("at %s", e.Instant().In(s.opt.Now().Location()).Format("15:04"))
		if e.By != "" {
			last = message.Of("%s by %s", last, e.By)
		}
		stops[e.Found.Position] = message.Of("Answered %s.", last).In(d.in)
	}
	words := ""
	if n := len(stops); n > 0 {
		words = message.Of("Answered: %s, last %s.", told.Count(n, "stop", "stops"), last).In(d.in)
	}
	return s.writeJSON(w, r, http.StatusOK, map[string]any{"words": words, "stops": stops})
}

// keptPage is a page that a device keeps.
type keptPage struct {
	path   string // behind that of the vehicle
	at     string // what of the vehicle it is about
	handle handler
}

// pagesOf lists the pages of a vehicle that a device keeps. What a plan is made for first is not among them,
// but the job sheet in hand.
func (s *Server) pagesOf(d *desk) []keptPage {
	out := []keptPage{{"", "", s.vehiclePage}, {"/round", "", s.roundPage}, {"/card", "", s.cardPage},
		{"/aboard", "", s.aboardPage}, {"/opened", "", s.openedPage}, {"/add", "", s.addPage},
		{"/trip", "", s.tripPage}, {"/pictures", "", s.picturesPage}}
	if len(undone.InHand(d.report.State)) > 0 {
		out = append(out, keptPage{"/job", "", s.jobPage}, keptPage{"/job/done", "", s.finishPage})
	}
	for i := range d.vehicle.Runs {
		run := d.vehicle.Runs[i].ID
		if i == 0 {
			out = append(out, keptPage{"/run", "", s.runPage})
		}
		out = append(out, keptPage{"/run/" + run, run, s.runPage})
	}
	for i := range d.vehicle.Positions {
		pos := d.vehicle.Positions[i].ID
		out = append(out, keptPage{"/p/" + pos, pos, s.positionPage})
	}
	return out
}

// sheaf holds a page as it is set.
type sheaf struct {
	bytes.Buffer
	header http.Header
}

// Header implements http.ResponseWriter.
func (s *sheaf) Header() http.Header { return s.header }

// WriteHeader implements http.ResponseWriter.
func (s *sheaf) WriteHeader(int) {}
