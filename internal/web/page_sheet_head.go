package web

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// headPage is the form of what a sheet says of the vehicle as a whole.
type headPage struct {
	Page
	F             url.Values
	Was, Currency string
	Unit          string
	Faults        []fault
}

// Stances lists whom the owner can follow.
func (headPage) Stances() []fleet.Stance { return fleet.Stances() }

// filledHead gives the fields of the form what the sheet says.
func filledHead(v *fleet.Vehicle) url.Values {
	f := url.Values{}
	for name, text := range map[string]string{"name": v.Name, "about": v.About, "make": v.Make, "model": v.Model,
		"vin": v.VIN, "engine": v.Engine.About, "fuel": v.Engine.Fuel, "layout": v.Engine.Layout,
		"stance": string(v.Stance), "yearly": figureText(v.Yearly), "oil": figureText(v.OilChange.Distance),
		"oil-time": figureText(v.OilChange.Time), "recovery": figureText(v.Costs.Recovery)} {
		f.Set(name, text)
	}
	if v.Engine.Cylinders != 0 {
		f.Set("cylinders", strconv.Itoa(v.Engine.Cylinders))
	}
	if !v.Built.IsZero() {
		f.Set("built", v.Built.String())
	}
	if v.Severe {
		f.Set("severe", "on")
	}
	return f
}

// head puts what the form says into the vehicle; what no field holds stays.
func (f *typed) head(v *fleet.Vehicle) error {
	if v.Name = f.text("name"); v.Name == "" {
		f.wrong("name", "it has no name", "write the name you know it by")
	}
	v.About, v.Make, v.Model, v.VIN = f.text("about"), f.text("make"), f.text("model"), f.text("vin")
	v.Engine.About, v.Engine.Fuel, v.Engine.Layout = f.text("engine"), f.text("fuel"), f.text("layout")
	v.Engine.Cylinders = int(f.number("cylinders", f.Get("cylinders")))
	if stance := fleet.Stance(f.text("stance")); v.Stance != "" || stance != fleet.Strictest {
		v.Stance = stance // strictest is what a sheet that says nothing comes to
	}
	v.Severe = f.Has("severe")
	v.Yearly = f.far("in a year", f.Get("yearly"))
	v.OilChange = fleet.Again{Distance: f.far("oil change", f.Get("oil")),
		Time: f.quantity("oil change, time", f.Get("oil-time"), units.TimeSpan, "months")}
	v.Costs.Recovery = f.quantity("recovery", f.Get("recovery"), units.Money, f.currency)
	v.Built = civil.Date{}
	if day := f.text("built"); day != "" {
		var err error
		if v.Built, err = parseDay("first used", day); err != nil {
			f.errs = append(f.errs, err)
		}
	}
	return errors.Join(f.errs...)
}

func (s *Server) sheetHead(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	page, err := s.layHead(r, d, filledHead(d.vehicle))
	if err != nil {
		return err
	}
	return s.answer(w, r, "sheethead", page, map[string]any{"vehicle": d.vehicle.ID, "was": page.Was, "fields": page.F})
}

func (s *Server) layHead(r *http.Request, d *desk, f url.Values) (*headPage, error) {
	src, err := s.readSheet(r)
	if err != nil {
		return nil, err
	}
	page := &headPage{Page: s.page(r, d, "sheet", "What it is, sheet of %s"), F: f, Was: yard.Digest(src),
		Unit: d.unit(), Currency: d.yard.Settings.Currency}
	if r.Method == http.MethodPost {
		page.Was = f.Get("was")
	}
	return page, nil
}

func (s *Server) sheetHeadKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.postedWhole(r)
	if err != nil {
		return err
	}
	err = s.changeSheet(r, func(v *fleet.Vehicle, _ *catalogue.Catalogue) error { return d.typed(r).head(v) })
	return s.changed(w, r, err, func(said []fault) (string, any, error) {
		laid, err := s.layHead(r, d, r.PostForm)
		if err == nil {
			laid.Faults = said
		}
		return "sheethead", laid, err
	})
}
