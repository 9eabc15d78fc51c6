package web

import (
	"net/http"
	"strings"
	"undertray/internal/advise"
	"undertray/internal/fleet"
	"undertray/internal/say"
)

// yardPage answers for all vehicles at once.
type yardPage struct {
	Page
	Headline string
	More     string // what else there is to it
	Rows     []yardRow
	Shut     []shutRow // vehicles whose sheets have mistakes
	Remind   string    // that the yard should be backed up, or ""
}

// shutRow is a vehicle whose sheet has mistakes.
type shutRow struct {
	ID, Name string
	Faults   []fault
}

type yardRow struct {
	ID, Name, About string
	Headline        string
	Basis           string
	Reading         string
	Worst           []row // what needs the owner, at most a few
	More            int   // how many further ones
}

// mostNeeds is how many parts of one vehicle the yard page names.
const mostNeeds = 4

func (s *Server) yardPage(w http.ResponseWriter, r *http.Request) error {
	y, reports, err := s.reports(r)
	if err != nil {
		return err
	}
	page := yardPage{Page: s.base(r, "The yard"), Headline: advise.YardHeadline(reports), More: say.Rest(advise.YardTold(reports))}
	if len(y.IDs()) == 0 {
		page.Headline = "The yard has no vehicles yet: start one from a typical vehicle."
	}
	if wantsJSON(r) {
		view := advise.YardView{Headline: page.Headline}
		for _, rep := range reports {
			view.Vehicles = append(view.Vehicles, rep.View(y.Settings.Units))
		}
		return s.writeJSON(w, r, http.StatusOK, view)
	}
	for _, b := range y.Broken() {
		row := shutRow{ID: b.ID, Name: b.ID, Faults: faults(b)}
		if b.Last != nil {
			row.Name = b.Last.Name
		}
		page.Shut = append(page.Shut, row)
	}
	if s.opt.Remind != nil {
		page.Remind = s.opt.Remind(r.Context())
	}
	for _, rep := range reports {
		d := &desk{yard: y, vehicle: rep.Vehicle, report: rep}
		page.On = rep.On
		page.Rows = append(page.Rows, d.yardRow())
	}
	return s.render(w, r, http.StatusOK, "yard", page)
}

func (d *desk) yardRow() yardRow {
	v := d.vehicle
	out := yardRow{ID: v.ID, Name: v.Name, About: v.About, Headline: strings.Join(d.report.Sentences(d.yard.Settings.Units), " "),
		Basis: d.report.Basis(), Reading: d.reading()}
	for _, j := range d.report.Urgent() {
		if j.Verdict == fleet.Watch && len(out.Worst) >= mostNeeds || len(out.Worst) >= 2*mostNeeds {
			out.More++
			continue
		}
		out.Worst = append(out.Worst, d.row(j))
	}
	return out
}
