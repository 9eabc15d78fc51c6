package web

import (
	"net/http"
	"net/url"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// settingsPage is in which units and which currency figures are shown and asked for, of
// the yard or of one vehicle.
type settingsPage struct {
	Page
	Headline message.Text
	Fields   []unitField
	Currency string // "" of a vehicle: money is the yard's
	OfYard   bool
	Own      bool // the vehicle has units of its own
	Saved    bool
	Faults   []fault
}

type unitField struct {
	Key   string
	Says  message.Text
	Units []choice
}

// unitFields are the choices, with what is chosen now.
func unitFields(p units.Preferences, typed url.Values) []unitField {
	var out []unitField
	for _, c := range units.Choices() {
		f := unitField{Key: unitKey(c.Of), Says: c.Says}
		now := p.Preferred(c.Of)
		if typed.Has(f.Key) {
			now = typed.Get(f.Key)
		}
		for _, u := range c.Units {
			f.Units = append(f.Units, choice{Value: u, Say: message.Of("%s, %s", u, units.Named(u)), Chosen: u == now})
		}
		out = append(out, f)
	}
	return out
}

func unitKey(d units.Dimension) string { return strings.ReplaceAll(d.String(), " ", "-") }

// chosenUnits reads the form.
func chosenUnits(f url.Values) (units.Preferences, error) {
	by := map[units.Dimension]string{}
	for _, c := range units.Choices() {
		typed := f.Get(unitKey(c.Of))
		if by[c.Of] = typed; typed == "" {
			by[c.Of] = c.Units[0]
		} else if _, d, ok := units.Lookup(typed); !ok || d != c.Of {
			return units.Preferences{}, &fleet.Error{Kind: fleet.Invalid, Where: strings.ToLower(c.Says.String()),
				Msg:  message.Of("%.20q is no unit for them", typed),
				Hint: message.Of("choose one of %s", strings.Join(c.Units, ", "))}
		}
	}
	return units.Chosen(by), nil
}

// chosenCurrency reads a currency, "" for none.
func chosenCurrency(typed string) (string, error) {
	typed = strings.ToUpper(strings.TrimSpace(typed))
	if _, d, ok := units.Lookup(typed); typed != "" && (!ok || d != units.Money || len(typed) != 3) {
		return "", &fleet.Error{Kind: fleet.Invalid, Where: "currency", Msg: message.Of("%.10q is no currency", typed),
			Hint: "write its code of three letters, such as GBP, EUR or USD"}
	}
	return typed, nil
}

// settings shows the yard's.
func (s *Server) settings(w http.ResponseWriter, r *http.Request) error {
	y, err := s.yards.open()
	if err != nil {
		return err
	}
	now, money := y.Settings.Units, y.Settings.Currency
	if !y.Settings.Chosen && len(y.IDs()) == 0 {
		now, money = yard.Usual(r.Header.Get("Accept-Language"))
	}
	page := s.laySettings(r, nil, unitFields(now, nil), money)
	return s.answer(w, r, "settings", page, map[string]any{"units": y.Settings.Units, "currency": y.Settings.Currency})
}

func (s *Server) laySettings(r *http.Request, v *fleet.Vehicle, fields []unitField, money string) *settingsPage {
	page := &settingsPage{Page: s.base(r, "Units and money"), Headline: "Units and money", Fields: fields,
		Currency: money,
		OfYard:   v == nil, Saved: r.URL.Query().Get("saved") != ""}
	if v != nil {
		page.Vehicle, page.Own = v, v.Units != nil
		page.Title, page.Headline = message.Of("Units, %s", v.Name), message.Of("Units for %s", v.Name)
	}
	return page
}

func (s *Server) settingsKeep(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	p, err := chosenUnits(r.PostForm)
	var money string
	if err == nil {
		money, err = chosenCurrency(r.PostForm.Get("currency"))
	}
	if err == nil {
		err = yard.KeepUnits(s.opt.Dir, p, money)
	}
	return s.settled(w, r, nil, err)
}

// settled shows the page again, with what is wrong or that it is kept.
func (s *Server) settled(w http.ResponseWriter, r *http.Request, v *fleet.Vehicle, err error) error {
	if err == nil {
		to := "/settings?saved=1"
		if v != nil {
			to = "/v/" + v.ID + "/settings?saved=1"
		} else if r.PostForm.Get("start") != "" {
			to = "/"
		}
		http.Redirect(w, r, to, http.StatusSeeOther)
		return nil
	}
	if fleet.KindOf(err) == fleet.Internal || wantsJSON(r) {
		return err
	}
	page := s.laySettings(r, v, unitFields(units.Preferences{}, r.PostForm), r.PostForm.Get("currency"))
	page.Faults = faults(err)
	return s.render(w, r, status(err), "settings", page)
}

func (s *Server) vehicleSettings(w http.ResponseWriter, r *http.Request) error {
	d, err := s.bare(r)
	if err != nil {
		return err
	}
	page := s.laySettings(r, d.vehicle, unitFields(d.vehicle.Reader, nil), "")
	return s.answer(w, r, "settings", page, map[string]any{"units": d.vehicle.Reader, "own": page.Own})
}

func (s *Server) vehicleSettingsKeep(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	d, err := s.bare(r)
	if err != nil {
		return err
	}
	var own *units.Preferences
	if r.PostForm.Get("yard") == "" {
		var p units.Preferences
		if p, err = chosenUnits(r.PostForm); err == nil {
			own = &p
		}
	}
	if err == nil {
		err = s.keepSheetUnits(r, d, own)
	}
	return s.settled(w, r, d.vehicle, err)
}

// keepSheetUnits writes a vehicle's units into its sheet.
func (s *Server) keepSheetUnits(r *http.Request, d *desk, own *units.Preferences) error {
	src, err := s.readSheet(r)
	if err != nil {
		return err
	}
	return s.changeSheetFrom(src, d.vehicle.ID, func(v *fleet.Vehicle, _ *catalogue.Catalogue) error {
		v.Units = own
		return nil
	})
}
