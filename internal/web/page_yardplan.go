package web

import (
	"context"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"strconv"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/yard"
)

// yardPlanPage is what to do at which visit of which vehicle.
type yardPlanPage struct {
	Page
	Headline, Summary message.Text
	More              message.Text // what else there is to the headline
	Gives             []message.Text
	Months            []yardMonth
	Between           []yardBetween
	Drawing           drawing
	Ask               planAsk
	MonthHours        string
	Large             bool         // nothing is planned yet: it asks which vehicles are
	Of                message.Text // of a large yard: which vehicles are planned
	Only, Chosen      string       // how addresses name them, and the form
	Search            bool         // a better plan may be found
}

type yardMonth struct {
	Name, Takes message.Text // what several visits take together, "" for one
	Visits      []yardVisit
}

type yardVisit struct {
	Vehicle, Name          string
	Day, Does, Takes, Main message.Text
	Plan                   string // address of the visit in its vehicle's plan
}

type yardBetween struct {
	Vehicle, Name string
	By, What      message.Text
}

func (s *Server) yardPlanPage(w http.ResponseWriter, r *http.Request) error {
	if y, err := s.yards.open(); err == nil && together.Large(y) && len(chosen(r)) == 0 && !wantsJSON(r) {
		return s.choosePlan(w, r, y)
	}
	y, reports, entries, err := s.everything(r)
	if err != nil {
		return err
	}
	opt, ask, err := planOptions(r)
	if err != nil {
		return err
	}
	yo := plan.YardOptions{Options: opt, Rules: y.Settings.Visits}
	typed := strings.TrimSpace(r.URL.Query().Get("month-hours"))
	if typed != "" {
		if yo.MonthHours, err = strconv.ParseFloat(typed, 64); err != nil || yo.MonthHours <= 0 {
			return &fleet.Error{Kind: fleet.Invalid, Where: "month-hours",
				Msg:  message.Of("%q is not possible here", typed),
				Hint: "write the hours of work that you have in a month, such as 20", Err: err}
		}
	}
	if len(opt.Wishes) > 0 {
		return &fleet.Error{Kind: fleet.Invalid, Where: "skip",
			Msg:  "a month of one year is left out for one vehicle at a time",
			Hint: "write the name of a month here, or ask on the vehicle's own plan"}
	}
	if wantsPDF(r) {
		p, err := s.planYard(r.Context(), r, reports, entries, yo)
		if err != nil {
			return err
		}
		return s.paper(w, r, y.Settings.Units, func(to print.Paper, w io.Writer) error { return to.YardPlan(w, p) })
	}
	key := s.stamp(r, entries) + "|" + s.inLanguage(r).Code() // its drawing has words
	made, err := s.yardPlans.get(r.Context(), key, func(ctx context.Context) (yardPlanMade, error) {
		p, err := s.planYard(ctx, r, reports, entries, yo)
		if err != nil {
			return yardPlanMade{}, err
		}
		made, err := makeYardPlan(y, p, s.inLanguage(r))
		made.page.Search = ownRules(yo) && p.MayGain()
		return made, err
	})
	if err != nil {
		return err
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, made.view)
	}
	page := made.page
	page.Page, page.Ask, page.MonthHours = s.base(r, "Plan of all vehicles"), ask, typed
	page.Here, page.Only = "plan", only(r)
	if together.Large(y) {
		page.Of, page.Chosen = together.SomeWords(len(reports), len(y.IDs())), strings.Join(chosen(r), ",")
	}
	return s.render(w, r, http.StatusOK, "yardplan", page)
}

// choosePlan asks which vehicles of a large yard are planned together.
func (s *Server) choosePlan(w http.ResponseWriter, r *http.Request, y *yard.Yard) error {
	n := len(y.IDs())
	page := yardPlanPage{Page: s.base(r, "Plan of some vehicles"), Large: true,
		Headline: message.Of("Which of the %d vehicles are planned together?", n)}
	page.Here, page.Of = "plan", together.SomeWords(0, n)
	return s.render(w, r, http.StatusOK, "yardplan", page)
}

// stamp names what an answer rests on: the yard's files, the entries of the
// whole journal, of which there can only be more, the day and what is asked.
func (s *Server) stamp(r *http.Request, entries int) string {
	return fmt.Sprintf("%s|%d|%s|%s", s.files(append(chosen(r), r.PathValue("id"))...), entries, s.today(),
		r.URL.RequestURI())
}

// yardPlanMade is what a yard's plan says, free of anything that is worked out
// later.
type yardPlanMade struct {
	page yardPlanPage
	view plan.YardView
}

// planYard plans all vehicles; under the yard's own rules once for all pages.
func (s *Server) planYard(ctx context.Context, r *http.Request, reports []*advise.Report, entries int,
	opt plan.YardOptions) (*plan.Yard, error) {
	if !ownRules(opt) {
		return plan.MakeYard(ctx, reports, opt)
	}
	key, err := s.stateKey(r, entries)
	if err != nil {
		return nil, err
	}
	s.search.is(key)
	return s.plans.get(ctx, key, func(ctx context.Context) (*plan.Yard, error) {
		opt.Before = s.kept.Load()
		made, err := plan.MakeYard(ctx, reports, opt)
		if err == nil {
			s.kept.Store(made)
		}
		return made, err
	})
}

// ownRules reports whether nothing but the yard's own rules is asked for.
func ownRules(opt plan.YardOptions) bool {
	return !opt.Asks() && len(opt.Wishes) == 0 && opt.MonthHours == 0 && opt.Months == 0
}

// stateKey names what the yard's own plan rests on: its files, the entries of
// the whole journal, of which there can only be more, and the day.
func (s *Server) stateKey(r *http.Request, entries int) (string, error) {
	day, err := s.day(r)
	return fmt.Sprintf("%s|%d|%s|%s", s.files(chosen(r)...), entries, day, only(r)), err
}

// share is what the plan of all vehicles leaves to a vehicle, or nil where they
// share nothing, or are too many to be planned together.
func (s *Server) share(r *http.Request, d *desk) (*plan.Share, error) {
	rules := d.yard.Settings.Visits
	if len(d.yard.IDs()) < 2 || together.Large(d.yard) || !rules.Any() {
		return nil, nil
	}
	reports, err := d.look.Yard(r.Context())
	if err != nil {
		return nil, err
	}
	p, err := s.planYard(r.Context(), r, reports, d.known,
		plan.YardOptions{Rules: rules})
	if err != nil {
		return nil, err
	}
	return p.Share(d.vehicle.ID), nil
}

func makeYardPlan(y *yard.Yard, p *plan.Yard, in *message.Language) (yardPlanMade, error) {
	page := yardPlanPage{Headline: p.Headline(), More: told.Rest(p.Told()), Summary: p.Summary(), Gives: p.GivesWords()}
	for _, m := range p.Months() {
		month := yardMonth{Name: m.Name}
		if len(m.Visits) > 1 {
			month.Takes = plan.TakesWords(m.Minutes, m.Money, p.Plans[0].Currency)
		}
		for _, v := range m.Visits {
			month.Visits = append(month.Visits, yardVisit{Day: told.Long(v.Visit.Date), Vehicle: v.Plan.Vehicle.ID,
				Name: v.Plan.Vehicle.Name, Does: v.Visit.Does(),
				Takes: plan.TakesWords(v.Visit.Minutes, v.Visit.Money, v.Plan.Currency), Main: v.Visit.MainWords(),
				Plan: "/v/" + v.Plan.Vehicle.ID + "/plan"})
		}
		page.Months = append(page.Months, month)
	}
	for _, pl := range p.Plans {
		for _, l := range pl.Between {
			var parts []message.Text
			for _, t := range l.Tasks {
				parts = append(parts, t.Title().LowerFirst())
			}
			page.Between = append(page.Between,
				yardBetween{pl.Vehicle.ID, pl.Vehicle.Name, told.Long(l.By),
					message.Of("look at %s", told.Listing(parts))})
		}
	}
	if len(p.Plans) > 0 {
		drawing, err := yardMonthsAhead(p, in)
		if err != nil {
			return yardPlanMade{}, err
		}
		page.Drawing = drawing
	}
	return yardPlanMade{page, p.View(y.Settings.Units)}, nil
}

// yardMonthsAhead draws the months with the visits of all vehicles.
func yardMonthsAhead(p *plan.Yard, in *message.Language) (drawing, error) {
	start := civil.Date{Year: p.On.Year, Month: p.On.Month, Day: 1}
	spec := draw.Months{Head: draw.Head{ID: "months", Title: "The months ahead", Width: planWidth, In: in},
		Names: monthNames(start, p.End)}
	for _, v := range p.Visits {
		dv := draw.Visit{At: monthsFrom(start, v.Visit.Date),
			When: message.Of("%s, %s", told.Long(v.Visit.Date), v.Plan.Vehicle.Name),
			Note: plan.TakesWords(v.Visit.Minutes, v.Visit.Money, v.Plan.Currency)}
		dv.Tasks = drawnTasks(v.Plan, v.Visit, fleet.PutRight)
		spec.Visits = append(spec.Visits, dv)
	}
	fig, err := draw.MonthsAhead(spec)
	if err != nil {
		return drawing{}, err
	}
	return drawing{Title: fig.Title, Caption: "Months to scale; of each visit only what must be replaced is named.",
		SVG: template.HTML(fig.SVG)}, nil
}

// monthNames names the months from one to that of a day.
func monthNames(start, end civil.Date) []message.Text {
	var out []message.Text
	for m := start; !m.After(end); m = m.AddMonths(1) {
		name := told.ShortMonth(m)
		if len(out) == 0 || m.Month == 1 {
			name = message.Of("%s %02d", name, m.Year%100)
		}
		out = append(out, name)
	}
	return out
}

// monthsFrom is how many months a day lies after the first of a month.
func monthsFrom(start, day civil.Date) float64 {
	const month = 30.44
	return float64(12*(day.Year-start.Year)+int(day.Month)-int(start.Month)) + min(float64(day.Day-1)/month, 0.99)
}
