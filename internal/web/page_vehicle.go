package web

import (
	"net/http"
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/next"
	"undertray.example/undertray/internal/reckon"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/visit"
)

// vehiclePage says what state each part of one vehicle is in.
type vehiclePage struct {
	Page
	Headline, Basis  message.Text
	More             message.Text // what else there is to the headline
	Full             message.Text // that a year is full, or ""
	Reading, Outlook message.Text
	Needs            []need
	Settle           []settling
	Untold           []row
	Shared           []sharedRow
	Problems         []fleet.Problem
	Plans            []drawing
	Openings         []opening
	Opened           *opening
	By               string // walk or system
	Listed           bool   // every position is asked for
	Groups           []group
	Visits           []message.Text
	Next             message.Text // of the plan, "" where it was not made yet
}

// need is a part that needs the owner.
type need struct {
	row
	Seen        message.Text // what it rests on, and since when
	Who         message.Text // who says so
	Again, With message.Text
	Do          message.Text // what puts it right, and by when
	Ahead       []message.Text
	First       []string
	Shares      message.Text // causes that it shares with others
}

// sharedRow is one cause behind several findings, and where else to look for it.
type sharedRow struct{ Look, Too message.Text }

// opening is one thing to take off, and what it then shows.
type opening struct {
	ID, Name string
	Minutes  float64 // to open with all it needs, and to close again
	Needs    []string
	Shows    int
	Open     bool
}

// group is a stretch of the walk or one system.
type group struct {
	Title message.Text
	Rows  []row
}

func (s *Server) vehiclePage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	rep, prefs := d.report, d.vehicle.Reader
	if wantsJSON(r) {
		made, err := s.planned(r, d)
		if err != nil {
			return err
		}
		return s.writeJSON(w, r, http.StatusOK,
			next.StateView{VehicleView: ahead.View(rep, prefs), Next: next.Of(made.Plan)})
	}
	page := vehiclePage{Page: s.page(r, d, "state", "%s"), Headline: rep.Headline(prefs),
		More: rep.More(prefs), Basis: rep.Basis(),
		Reading: d.reading(), Outlook: rep.Forecast.Basis(prefs), Problems: rep.State.Problems, By: "walk",
		Full: reckon.FullWords(rep.State.Began, rep.On)}
	page.told(page.Headline)
	if r.URL.Query().Get("by") == "system" {
		page.By = "system"
	}
	page.Listed = r.URL.Query().Has("by")
	if page.Openings, page.Opened, err = d.openings(r.URL.Query().Get("open")); err != nil {
		return err
	}
	var lit []string
	if page.Opened != nil {
		lit = d.vehicle.Closure([]string{page.Opened.ID})
	}
	numbers, err := d.plans(&page, lit)
	if err != nil {
		return err
	}
	page.Listed = page.Listed || page.Opened != nil
	made, _ := s.next.kept(s.nextKey(d)) // planning takes too long for this page
	page.Next = made.words
	for _, j := range rep.Urgent() {
		page.Needs = append(page.Needs, d.need(j, numbers, made.days))
	}
	page.foldPlans(rep.Urgent())
	for i := range rep.Judgements {
		page.Settle = append(page.Settle, s.settlings(r.Context(), d, &rep.Judgements[i])...)
	}
	for _, j := range rep.Untold() {
		page.Untold = append(page.Untold, d.numbered(j, numbers, lit))
	}
	for _, c := range rep.Shared {
		look, too := rep.SharedTold(c)
		page.Shared = append(page.Shared, sharedRow{look, too})
	}
	page.Groups = d.groups(page.By, numbers, lit)
	page.Visits = d.visits()
	return s.render(w, r, http.StatusOK, "vehicle", page)
}

// foldPlans leaves those drawings in view on which something needs the owner, or something opened is lit; the
// first where there is none.
func (p *vehiclePage) foldPlans(needs []*judge.Judgement) {
	if p.Opened != nil || len(p.Plans) < 2 {
		return
	}
	below := slices.ContainsFunc(needs, func(j *judge.Judgement) bool { return j.Position.From == fleet.Below })
	above := slices.ContainsFunc(needs, func(j *judge.Judgement) bool { return j.Position.From == fleet.Above })
	switch {
	case !below:
		p.Plans[1].Fold = "Seen from below"
	case !above:
		p.Plans[0].Fold = "Seen from above"
	}
}

func (d *desk) need(j *judge.Judgement, numbers map[string]int, days next.Days) need {
	n := need{row: d.numbered(j, numbers, nil), Seen: d.report.SeenWords(j, d.vehicle.Reader),
		Who: advise.WhoWords(j), With: advise.WithWords(d.report.Own(j)), Shares: d.report.SharesWords(j)}
	if j.Again != nil {
		n.Again = d.report.AgainWords(j, d.vehicle.Reader)
	}
	n.Do = days.TodoWords(j, d.vehicle.Reader)
	o := ahead.Glance(d.report, j)
	n.Ahead = o.Lines(d.vehicle.Reader, false)
	for _, f := range d.report.Own(j).First {
		n.First = append(n.First, f.Do)
	}
	return n
}

// numbered is a position's row with its number on the drawing. It is lit where
// the openings given show it and it cannot be seen without them.
func (d *desk) numbered(j *judge.Judgement, numbers map[string]int, open []string) row {
	out := d.row(j)
	out.N = numbers[out.ID]
	out.Lit = advise.Shown(out.Seen, open)
	return out
}

// openings lists what can be opened to see something, and the one chosen.
func (d *desk) openings(chosen string) (all []opening, open *opening, err error) {
	for _, l := range advise.Looks(d.vehicle) {
		out := opening{ID: l.Opening.ID, Name: l.Opening.Name, Open: l.Opening.ID == chosen,
			Minutes: l.Minutes, Shows: l.Shows}
		for _, need := range l.Needs {
			out.Needs = append(out.Needs, say.LowerFirst(need.Name))
		}
		all = append(all, out)
	}
	for i := range all {
		if all[i].Open {
			open = &all[i]
		}
	}
	if chosen != "" && open == nil {
		// names the nearest where it is unknown
		_, err = visit.NewRound(d.report, visit.RoundOptions{Open: []string{chosen}})
	}
	return all, open, err
}

// groups lists every position by the walk round the vehicle or by system.
func (d *desk) groups(by string, numbers map[string]int, open []string) []group {
	var out []group
	add := func(title message.Text, j *judge.Judgement) {
		i := slices.IndexFunc(out, func(g group) bool { return g.Title == title })
		if i < 0 {
			out = append(out, group{Title: title})
			i = len(out) - 1
		}
		out[i].Rows = append(out[i].Rows, d.numbered(j, numbers, open))
	}
	if by == "system" {
		for i := range d.report.Judgements {
			j := &d.report.Judgements[i]
			add(message.Name(say.Capital(d.catalogue().SystemName(d.system(j)))), j)
		}
		return out
	}
	for _, j := range d.report.Walk() {
		if j.Position.From == fleet.Below {
			add("From below", j)
			continue
		}
		add("From above", j)
	}
	return out
}

func (d *desk) system(j *judge.Judgement) string {
	if j.Position.System != "" {
		return j.Position.System
	}
	return j.Kind.System
}

// visits says when the next two are and what falls due by the second.
func (d *desk) visits() []message.Text {
	var out []message.Text
	for i, v := range d.report.Visits {
		s := message.Of("The next oil change is due %s", v.When.Words())
		if i == 1 {
			s = message.Of("The one after it is due %s", v.When.Words())
		}
		if v.When.HasTotal {
			s = message.Of("%s at %s", s, d.km(v.When.Total))
		}
		out = append(out, s.Sentence())
	}
	return out
}
