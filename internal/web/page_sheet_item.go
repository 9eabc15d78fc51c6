package web

import (
	"cmp"
	"errors"
	"net/http"
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/sheet/edit"
	"undertray.example/undertray/internal/yard"
)

// itemPage is the form of one position or opening of a sheet, or of a new one.
type itemPage struct {
	Page
	work
	Headline    message.Text
	Was, Action string
	Unit        string // of distances typed without one
	ID          string // empty: a new one
	Faults      []fault
	Kinds       []*catalogue.Kind
	Kind        *catalogue.Kind // nil: not chosen yet
	Openings    []fleet.Opening // all others
	Sides       []sheetSide
	Leaves      []leaveRow
	Former      []fleet.Former // what a new position could be
	Unplaced    bool           // nobody said yet where it is
}

// leaveRow is something that an opening can leave undone on the machine.
type leaveRow struct {
	ID    string
	Words message.Text
}

func (s *Server) layItem(r *http.Request, d *desk, id string, w work) (*itemPage, error) {
	src, err := s.readSheet(r)
	if err != nil {
		return nil, err
	}
	p := &itemPage{work: w, ID: id, Was: yard.Digest(src), Action: r.URL.Path, Unit: d.unit(),
		Kinds: d.yard.Catalogue.Kinds()}
	if r.Method == http.MethodPost {
		p.Was = r.PostForm.Get("was")
	}
	p.Openings = slices.DeleteFunc(slices.Clone(d.vehicle.Openings), func(o fleet.Opening) bool { return o.ID == id })
	return p, nil
}

// sheetPosition is the form of a position, or of a new one where the address names a
// place on the drawing.
func (s *Server) sheetPosition(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	q := r.URL.Query()
	p := fleet.Position{From: fleet.Above, X: 50, Y: 50}
	f := work{filledPosition(&p, "")}
	for _, name := range []string{"from", "x", "y", "name"} {
		if q.Has(name) {
			f.F.Set(name, q.Get(name))
		}
	}
	id := r.PathValue("pos")
	if id != "" {
		at, err := d.report.Find(id)
		if err != nil {
			return err
		}
		f.F = filledPosition(at.Position, at.Kind.Name)
	}
	page, err := s.layPosition(r, d, id, f)
	if err != nil {
		return err
	}
	return s.answer(w, r, "sheetposition", page,
		map[string]any{"vehicle": d.vehicle.ID, "position": id, "was": page.Was, "fields": f.F})
}

func (s *Server) layPosition(r *http.Request, d *desk, id string, f work) (*itemPage, error) {
	page, err := s.layItem(r, d, id, f)
	if err != nil {
		return nil, err
	}
	page.Kind = kindNamed(d.yard.Catalogue, f.F.Get("kind"))
	var t typed
	here := fleet.Position{ID: "here", Name: f.F.Get("name"), From: fleet.Side(f.F.Get("from")),
		X: t.number("", f.F.Get("x")), Y: t.number("", f.F.Get("y"))}
	if page.Sides, err = d.sheetSides([]fleet.Position{here}); err != nil {
		return nil, err
	}
	for i := range page.Sides {
		page.Sides[i].New = ""
		for j := range page.Sides[i].Marks {
			m := &page.Sides[i].Marks[j]
			m.Name = cmp.Or(m.Name, message.Name(message.Text("the new position").In(d.in))) // it stands in a drawing
		}
	}
	page.Unplaced = id == "" && !r.URL.Query().Has("x") && r.Method == http.MethodGet
	page.Headline = "Add a position"
	if id == "" {
		opened := func(f fleet.Former) bool { return f.Kind == "" }
		page.Former = slices.DeleteFunc(slices.Clone(d.vehicle.Former), opened)
	} else {
		j, err := d.report.Find(id)
		if err != nil {
			return nil, err
		}
		page.Headline = message.Name(j.Position.Name)
	}
	page.Page = s.page(r, d, "sheet", "%s, sheet of %s", page.Headline)
	return page, nil
}

// typed reads the form that was posted.
func (d *desk) typed(r *http.Request) *typed {
	inColumns(r.PostForm)
	return &typed{Values: r.PostForm, prefs: d.vehicle.Reader, currency: d.yard.Settings.Currency}
}

// takenIDs are the ids that the journal knows, in whatever sense.
func (d *desk) takenIDs() []string {
	var out []string
	for _, e := range d.entries {
		out = append(out, e.Position())
		switch {
		case e.Done != nil:
			out = append(out, e.Done.Positions...)
		case e.Bought != nil:
			out = append(out, e.Bought.Positions...)
		case e.Opened != nil:
			out = append(out, e.Opened.Opening)
		}
	}
	return out
}

func (s *Server) sheetPositionKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.postedWhole(r)
	if err != nil {
		return err
	}
	f, id := d.typed(r), r.PathValue("pos")
	err = s.changeSheet(r, func(v *fleet.Vehicle, known *catalogue.Catalogue) error {
		if f.Has("remove") {
			return edit.RemovePosition(v, id)
		}
		p := &fleet.Position{}
		if id != "" {
			if p = v.Position(id); p == nil {
				_, err := d.report.Find(id)
				return err
			}
		}
		f.position(p, known)
		if len(f.errs) > 0 {
			return errors.Join(f.errs...)
		}
		if id == "" {
			if p.ID = f.text("again"); p.ID == "" {
				p.ID = edit.NewID(v, p.Name, d.takenIDs()...)
			}
			edit.AddPosition(v, *p, known)
		}
		return nil
	})
	return s.changed(w, r, err, func(said []fault) (string, any, error) {
		laid, err := s.layPosition(r, d, id, work{r.PostForm})
		if err == nil {
			laid.Faults = said
		}
		return "sheetposition", laid, err
	})
}

func (s *Server) sheetOpening(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	f, id := work{filledOpening(&fleet.Opening{})}, r.PathValue("opening")
	if id != "" {
		o := d.vehicle.Opening(id)
		if o == nil {
			return &fleet.Error{Kind: fleet.NotFound, Where: "opening", Msg: "the sheet has no such opening",
				Hint: "choose one of the sheet"}
		}
		f.F = filledOpening(o)
	}
	page, err := s.layOpening(r, d, id, f)
	if err != nil {
		return err
	}
	return s.answer(w, r, "sheetopening", page, map[string]any{"vehicle": d.vehicle.ID, "opening": id, "was": page.Was,
		"fields": f.F})
}

func (s *Server) layOpening(r *http.Request, d *desk, id string, f work) (*itemPage, error) {
	page, err := s.layItem(r, d, id, f)
	if err != nil {
		return nil, err
	}
	for _, u := range machine.All() {
		page.Leaves = append(page.Leaves, leaveRow{string(u), u.Message()})
	}
	page.Headline = "Add an opening"
	if o := d.vehicle.Opening(id); o != nil {
		page.Headline = message.Name(o.Stands())
	}
	page.Page = s.page(r, d, "sheet", "%s, sheet of %s", page.Headline)
	return page, nil
}

func (s *Server) sheetOpeningKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.postedWhole(r)
	if err != nil {
		return err
	}
	f, id := d.typed(r), r.PathValue("opening")
	err = s.changeSheet(r, func(v *fleet.Vehicle, _ *catalogue.Catalogue) error {
		if f.Has("remove") {
			if d.report.State.IsOpen(id) {
				return &fleet.Error{Kind: fleet.Conflict, Where: "opening", Msg: "it stands open on the vehicle",
					Hint: "close it first, then take it off the sheet"}
			}
			return edit.RemoveOpening(v, id)
		}
		o := &fleet.Opening{}
		if id != "" {
			if o = v.Opening(id); o == nil {
				return &fleet.Error{Kind: fleet.NotFound, Where: "opening", Msg: "the sheet has no such opening",
					Hint: "load the page again"}
			}
		}
		f.opening(o)
		if len(f.errs) > 0 {
			return errors.Join(f.errs...)
		}
		if id == "" {
			o.ID = edit.NewID(v, o.Name, d.takenIDs()...)
			v.Openings = append(v.Openings, *o)
		}
		return nil
	})
	return s.changed(w, r, err, func(said []fault) (string, any, error) {
		laid, err := s.layOpening(r, d, id, work{r.PostForm})
		if err == nil {
			laid.Faults = said
		}
		return "sheetopening", laid, err
	})
}
