package web

import (
	"net/http"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// yardPage answers for all vehicles at once.
type yardPage struct {
	Page
	Headline message.Text
	More     message.Text // what else there is to it
	Rows     []yardRow
	Shut     []shutRow    // vehicles whose sheets have mistakes
	Remind   message.Text // that the yard should be backed up, or ""
	Roll     *rollPart    // of a large yard
	Start    *startPart
}

// startPart asks at the start which units are shown, as the browser's language suggests.
type startPart struct {
	Said     message.Text
	Chosen   []choice // fields and what is offered for them
	Currency string
}

func startOf(r *http.Request) *startPart {
	p, money := yard.Usual(r.Header.Get("Accept-Language"))
	out := &startPart{Currency: money}
	var said []string
	for _, c := range units.Choices() {
		u := p.Preferred(c.Of)
		out.Chosen = append(out.Chosen, choice{Value: u, Say: message.Name(unitKey(c.Of))})
		said = append(said, u)
	}
	if money != "" {
		said = append(said, money)
	}
	out.Said = told.Listing(told.Names(said))
	return out
}

// shutRow is a vehicle whose sheet has mistakes.
type shutRow struct {
	ID, Name string
	Faults   []fault
}

type yardRow struct {
	ID, Name, About string
	Headline, Rest  message.Text
	Basis           message.Text
	Reading         message.Text
	Worst           []row // what needs the owner, at most a few
	More            int   // how many further ones
}

func (s *Server) yardPage(w http.ResponseWriter, r *http.Request) error {
	if y, err := s.yards.open(); err == nil && together.Large(y) {
		return s.largeYardPage(w, r, y)
	}
	y, reports, err := s.reports(r)
	if err != nil {
		return err
	}
	page := yardPage{Page: s.base(r, "The yard"), Headline: advise.YardHeadline(reports),
		More: told.Rest(advise.YardTold(reports))}
	if len(y.IDs()) == 0 {
		page.Headline = "The yard has no vehicles yet: plain questions make the first one’s sheet."
		if !y.Settings.Chosen {
			page.Start = startOf(r)
		}
	}
	if wantsJSON(r) {
		view := advise.YardView{Headline: page.Headline}
		for _, rep := range reports {
			view.Vehicles = append(view.Vehicles, rep.View(rep.Units))
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
		page.On = rep.On
		page.call(y, together.RowOf(rep))
	}
	return s.render(w, r, http.StatusOK, "yard", page)
}
