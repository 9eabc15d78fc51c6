package web

import (
	"net/http"

	"undertray/internal/advise"
	"undertray/internal/fleet"
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
	Vehicle     string // id
	Parts       []partRow
	Ready       []readyRow
}

type readyRow struct{ Amount, What, Cost string }

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
		row := lotRow{Title: list.Title(l), Cost: l.Job.Cost(), Vehicle: l.Vehicle.ID, Key: l.Vehicle.ID + " " + l.By.String() + " " + l.Use, Parts: partRows(l.Job)}
		if l.Visit > 0 {
			row.Job = visitSheet(l.Vehicle, ask, l.Visit)
		}
		for _, c := range l.Job.Consumables {
			row.Ready = append(row.Ready, readyRowOf(c, show))
		}
		page.Lots = append(page.Lots, row)
	}
}

func readyRowOf(c fleet.Consumable, show func(units.Quantity) string) readyRow {
	row := readyRow{What: c.What}
	if c.Amount != nil {
		row.Amount = show(*c.Amount)
	}
	if c.Cost != nil {
		row.Cost = c.Cost.String()
	}
	return row
}
