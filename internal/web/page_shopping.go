package web

import (
	"io"
	"net/http"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/buying"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// shoppingPage is what a plan buys, by the day by which it is ordered.
type shoppingPage struct {
	Page
	Headline, More message.Text
	Of             string // address of the plan
	Lots           []lotRow
	ask            planAsk
}

type lotRow struct {
	Title message.Text
	Cost  string
	Job   string // address of the visit's job sheet, "" for a quick job
	Lines []buyLine
	Had   message.Text // bought already
}

// buyLine is one thing to buy, and the position it is for, if its name does not
// say so, with a form to write down that it was bought.
type buyLine struct {
	What      message.Text
	Cost, For string
	Buy       *boughtForm
}

// boughtForm writes down what was bought.
type boughtForm struct {
	Action, Batch, Date    string
	Positions              []string
	Number, Supplier, Cost string
	Of, Amount             string // of a consumable, in place of positions
}

func boughtAt(v *fleet.Vehicle) string { return "/v/" + v.ID + "/add/bought" }

func (s *Server) boughtForm(v *fleet.Vehicle, l *visit.PartLine) *boughtForm {
	return &boughtForm{Action: boughtAt(v), Batch: s.opt.NewID(), Date: s.today().String(),
		Positions: l.Positions(), Number: l.Spec.Number, Supplier: l.Spec.Supplier}
}

// vehicleShopping is what the plan of one vehicle buys.
func (s *Server) vehicleShopping(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	p, err := s.planned(r, d)
	if err != nil {
		return err
	}
	list, err := buying.OfPlan(p.Plan)
	if err != nil {
		return err
	}
	page := shoppingPage{Page: s.page(r, d, "plan", "What to buy, %s"),
		Of: "/v/" + d.vehicle.ID + "/plan" + asked(p.ask), ask: p.ask}
	return s.shopping(w, r, page, list, d.yard)
}

// yardShopping is what the plans of all vehicles buy.
func (s *Server) yardShopping(w http.ResponseWriter, r *http.Request) error {
	y, reports, entries, err := s.everything(r)
	if err != nil {
		return err
	}
	p, err := s.planYard(r.Context(), r, reports, entries, plan.YardOptions{Rules: y.Settings.Visits})
	if err != nil {
		return err
	}
	list, err := buying.OfYard(p)
	if err != nil {
		return err
	}
	page := shoppingPage{Page: s.base(r, "What to buy"), Of: "/plan" + only(r)}
	page.Here = "plan"
	return s.shopping(w, r, page, list, y)
}

// shopping answers with a list of what to buy.
func (s *Server) shopping(w http.ResponseWriter, r *http.Request, page shoppingPage, list *buying.Shopping,
	y *yard.Yard) error {
	if wantsPDF(r) {
		return s.paper(w, r, page.reads(), func(p print.Paper, w io.Writer) error { return p.Shopping(w, list) })
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, list.View())
	}
	s.fill(&page, list, y.Settings.Units.Show)
	return s.render(w, r, http.StatusOK, "shopping", page)
}

func (s *Server) fill(page *shoppingPage, list *buying.Shopping, show func(units.Quantity) string) {
	page.Headline, page.More = list.Headline(), told.Rest(list.Told())
	for i := range list.Lots {
		l := &list.Lots[i]
		row := lotRow{Title: list.Title(l), Cost: jobCost(l.Job), Had: l.HadWords()}
		if l.Visit > 0 {
			row.Job = visitSheet(l.Vehicle, page.ask, l.Visit)
		}
		for i, part := range partRows(l.Job) {
			what := told.Sentences(muchOf(part.Quantity, part.Name), message.Name(part.Number),
				message.Name(part.Supplier))
			line := buyLine{What: message.Joined(what, ", "), Cost: part.Cost}
			if !strings.EqualFold(part.Name.String(), part.For) {
				line.For = say.LowerFirst(part.For)
			}
			line.Buy = s.boughtForm(l.Vehicle, &l.Job.Parts[i])
			row.Lines = append(row.Lines, line)
		}
		for _, c := range l.Job.Consumables {
			line := buyLine{What: message.Name(say.Capital(c.What))}
			if c.Amount != nil {
				line.What = muchOf(show(*c.Amount), message.Name(c.What))
			}
			if c.Cost != nil {
				line.Cost = price(c.Cost)
			}
			line.Buy = &boughtForm{Action: boughtAt(l.Vehicle), Batch: s.opt.NewID(), Date: s.today().String(),
				Of: c.What}
			if c.Amount != nil {
				line.Buy.Amount = c.Amount.String()
			}
			row.Lines = append(row.Lines, line)
		}
		page.Lots = append(page.Lots, row)
	}
}

// muchOf says how much of a thing: "2 brake hoses" needs a sign between them,
// "5 l of oil" does not.
func muchOf(much string, what message.Text) message.Text {
	if _, err := strconv.ParseFloat(much, 64); err == nil {
		return message.Of("%s × %s", much, what.LowerFirst())
	}
	return message.Of("%s %s", much, what.LowerFirst())
}
