package web

import (
	"io"
	"net/http"
	"net/url"
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
)

// openedPage is what is open on a vehicle: the tag that hangs on its key, and
// the form that says what was opened and closed.
type openedPage struct {
	Page
	Headline message.Text
	Open     []message.Text
	Openings []openedRow
	Batch    string
	Faults   []fault
}

// openedRow is one opening that stays open until it is undone.
type openedRow struct {
	ID, Name string
	Open     bool
}

func (s *Server) openedPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	if wantsPDF(r) {
		return s.paper(w, r, d.vehicle.Reader, func(p print.Paper, w io.Writer) error { return p.Tag(w, d.report) })
	}
	return s.answer(w, r, "opened", s.layOpened(d, r, s.opt.NewID()), d.report.TagView())
}

func (s *Server) layOpened(d *desk, r *http.Request, batch string) openedPage {
	page := openedPage{Page: s.page(r, d, "opened", "What is open, %s"),
		Headline: d.report.TagWords(), Batch: batch}
	if open := d.report.OpenViews(); len(open) > 0 {
		page.Headline = message.Of("%s: %s", d.vehicle.Name, page.Headline)
	}
	page.Stands = "" // its headline says it
	for _, o := range d.report.OpenViews() {
		page.Open = append(page.Open, o.Words)
	}
	for i := range d.vehicle.Openings {
		if o := &d.vehicle.Openings[i]; o.Undo != "" {
			page.Openings = append(page.Openings, openedRow{o.ID, o.Stands(), d.report.State.IsOpen(o.ID)})
		}
	}
	return page
}

// openedKeep records what the ticks change.
func (s *Server) openedKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	return s.keepForm(w, r, d, at("opened"), func() ([]*fleet.Entry, error) {
		return d.ticked(r.PostForm)
	}, func(err error) error {
		page := s.layOpened(d, r, r.PostForm.Get("batch"))
		page.Faults = faults(err)
		return s.render(w, r, status(err), "opened", page)
	})
}

// ticked returns the entries by which what is open becomes what is ticked.
func (d *desk) ticked(f url.Values) ([]*fleet.Entry, error) {
	var shut []string
	for _, h := range d.report.Open() {
		if !slices.Contains(f["open"], h.Opening.ID) {
			shut = append(shut, h.Opening.ID)
		}
	}
	fresh := slices.DeleteFunc(slices.Clone(f["open"]), d.report.State.IsOpen)
	var out []*fleet.Entry
	for _, change := range []struct {
		ids    []string
		closed bool
	}{{shut, true}, {fresh, false}} {
		if len(change.ids) == 0 {
			continue
		}
		entries, err := d.report.Opened(change.ids, change.closed, "")
		if err != nil {
			return nil, err
		}
		out = append(out, entries...)
	}
	if len(out) == 0 {
		return nil, advise.Fault("open", "nothing of that changes",
			"tick what is open now, and untick what is closed again")
	}
	return out, nil
}

// asideKeep records that the owner leaves what a part asks for, and why.
func (s *Server) asideKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	pos := r.PathValue("pos")
	left := func() ([]*fleet.Entry, error) {
		e, err := d.report.SetAside(pos, r.PostForm.Get("why"))
		return []*fleet.Entry{e}, err
	}
	return s.keepForm(w, r, d, at("p/"+pos), left, func(err error) error { return err })
}

// asideBack withdraws what was left at a position.
func (s *Server) asideBack(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	j, err := d.report.Find(r.PathValue("pos"))
	if err != nil {
		return err
	}
	if j.Place.Aside != nil {
		rec, err := s.formRecorder(r, d)
		if err != nil {
			return err
		}
		if _, err := rec.Withdraw(r.Context(), d.vehicle, j.Place.Aside.ID, "no longer left"); err != nil {
			return err
		}
	}
	http.Redirect(w, r, "/v/"+d.vehicle.ID+"/p/"+j.Position.ID, http.StatusSeeOther)
	return nil
}
