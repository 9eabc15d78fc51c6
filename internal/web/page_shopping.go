package web

import (
	"net/http"
	"strconv"
	"strings"

	"undertray/internal/advise"
	"undertray/units"
)

// shoppingPage is what a plan buys, by the day by which it is ordered.
type shoppingPage struct {
	Page
	Headline string
	Of       string // address of the plan
	Lots     []lotRow
}

type lotRow struct {
	Title, Cost string
	Job         string // address of the visit's job sheet, "" for a quick job
	Key         string // names the lot among the ticks kept on the device
	Lines       []buyLine
}

// buyLine is one thing to buy, and the position it is for, if its name does not
// say so.
type buyLine struct{ What, Cost, Key, For string }

// vehicleShopping is what the plan of one vehicle buys.
func (s *Server) vehicleShopping(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	opt, ask, err := planOptions(r)
	if err != nil {
		return err
	}
	if err := d.planTry(&opt, ask); err != nil {
		return err
	}
	if opt.Share, err = s.share(r, d); err != nil {
		return err
	}
	p, err := d.report.Plan(opt)
	if err != nil {
		return err
	}
	list, err := p.Shopping()
	if err != nil {
		return err
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, list.View())
	}
	page := shoppingPage{Page: s.page(r, d, "plan", "What to buy, "+d.vehicle.Name), Of: "/v/" + d.vehicle.ID + "/plan" + asked(ask)}
	page.fill(list, ask, d.yard.Settings.Units.Show)
	return s.render(w, r, http.StatusOK, "shopping", page)
}

// yardShopping is what the plans of all vehicles buy.
func (s *Server) yardShopping(w http.ResponseWriter, r *http.Request) error {
	y, err := s.yards.open()
	if err != nil {
		return err
	}
	reports, all, err := s.workOut(r, y)
	if err != nil {
		return err
	}
	p, err := s.planYard(r, reports, len(all), advise.YardOptions{Rules: y.Settings.Visits})
	if err != nil {
		return err
	}
	list, err := p.Shopping()
	if err != nil {
		return err
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, list.View())
	}
	page := shoppingPage{Page: s.base(r, "What to buy"), Of: "/plan"}
	page.Here = "plan"
	page.fill(list, planAsk{}, y.Settings.Units.Show)
	return s.render(w, r, http.StatusOK, "shopping", page)
}

func (page *shoppingPage) fill(list *advise.Shopping, ask planAsk, show func(units.Quantity) string) {
	page.Headline = list.Headline()
	for i := range list.Lots {
		l := &list.Lots[i]
		row := lotRow{Title: list.Title(l), Cost: l.Job.Cost(), Key: l.Vehicle.ID + " " + l.By.String() + " " + l.Use}
		if l.Visit > 0 {
			row.Job = visitSheet(l.Vehicle, ask, l.Visit)
		}
		for _, part := range partRows(l.Job) {
			line := buyLine{What: muchOf(part.Quantity, part.Name), Cost: part.Cost, Key: part.ID}
			for _, more := range []string{part.Number, part.Supplier} {
				if more != "" {
					line.What += ", " + more
				}
			}
			if !strings.EqualFold(part.Name, part.For) {
				line.For = advise.LowerFirst(part.For)
			}
			row.Lines = append(row.Lines, line)
		}
		for _, c := range l.Job.Consumables {
			line := buyLine{What: advise.Capital(c.What), Key: c.What}
			if c.Amount != nil {
				line.What = muchOf(show(*c.Amount), c.What)
			}
			if c.Cost != nil {
				line.Cost = c.Cost.String()
			}
			row.Lines = append(row.Lines, line)
		}
		page.Lots = append(page.Lots, row)
	}
}

// muchOf says how much of a thing: "2 brake hoses" needs a sign between them,
// "5 l of oil" does not.
func muchOf(much, what string) string {
	if _, err := strconv.ParseFloat(much, 64); err == nil {
		return much + " × " + advise.LowerFirst(what)
	}
	return much + " " + advise.LowerFirst(what)
}
