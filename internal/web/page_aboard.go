package web

import (
	"net/http"
	"net/url"
	"slices"

	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// aboardPage is what is carried on a vehicle and what would help besides, with
// the form that says so.
type aboardPage struct {
	Page
	Headline, Caution message.Text
	Things            []aboardRow
	Batch             string
	Faults            []fault
}

type aboardRow struct {
	Name   string
	Words  message.Text
	Aboard bool
}

func (s *Server) aboardPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	return s.answer(w, r, "aboard", s.layAboard(d, r, s.opt.NewID()), aboard.ViewOf(d.vehicle, d.useful()))
}

func (d *desk) useful() []aboard.Thing {
	return aboard.Useful(d.report.Catalogue, d.report.State, d.report.Judgements)
}

func (s *Server) layAboard(d *desk, r *http.Request, batch string) aboardPage {
	things := d.useful()
	page := aboardPage{Page: s.page(r, d, "aboard", "What is aboard, %s"),
		Headline: aboard.Headline(d.vehicle, things), Caution: aboard.Caution, Batch: batch}
	for i := range things {
		row := aboardRow{Name: things[i].Name, Words: things[i].ForWords()}
		if things[i].Entry != nil { // that something is not there its box says
			row.Aboard, row.Words = true, things[i].Words()
		}
		page.Things = append(page.Things, row)
	}
	return page
}

// aboardKeep records what the ticks change.
func (s *Server) aboardKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	return s.keepForm(w, r, d, at("aboard"), func() ([]*fleet.Entry, error) {
		return d.carried(r.PostForm)
	}, func(err error) error {
		page := s.layAboard(d, r, r.PostForm.Get("batch"))
		page.Faults = faults(err)
		return s.render(w, r, status(err), "aboard", page)
	})
}

// carried returns the entries by which what is aboard becomes what is ticked,
// with what else is named. What is not ticked any more was used or taken out.
func (d *desk) carried(f url.Values) ([]*fleet.Entry, error) {
	state := d.report.State
	want := slices.DeleteFunc(append(slices.Clone(f["aboard"]), f.Get("other")), func(name string) bool {
		return name == ""
	})
	var gone []string
	for _, e := range state.Aboard {
		if !slices.Contains(want, e.Aboard.Thing) {
			gone = append(gone, e.Aboard.Thing)
		}
	}
	fresh := slices.DeleteFunc(want, func(name string) bool { return aboard.Carried(state, name) != nil })
	why := fleet.GoneOut
	if f.Get("used") != "" {
		why = fleet.GoneUsed
	}
	out, err := aboard.Put(state, gone, why, "")
	if err != nil {
		return nil, err
	}
	came, err := aboard.Put(state, fresh, "", "")
	if err != nil {
		return nil, err
	}
	if out = append(out, came...); len(out) == 0 {
		return nil, advise.Fault("aboard", "nothing of that changes", "tick what is aboard now, and untick what is not")
	}
	return out, nil
}
