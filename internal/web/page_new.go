package web

import (
	"net/http"
	"net/url"
	"regexp"

	"undertray/internal/fleet"
	"undertray/internal/sheet"
	"undertray/internal/yard"
	"undertray/units"
)

// newPage starts a vehicle sheet from an archetype.
type newPage struct {
	Page
	Archetypes []sheet.Archetype
	Typed      url.Values
	Unit       string
	Faults     []fault
}

// idPattern is what a vehicle's id looks like in addresses and file names.
var idPattern = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

func (s *Server) newPage(w http.ResponseWriter, r *http.Request) error {
	page, err := s.layNew(r, url.Values{})
	if err != nil {
		return err
	}
	return s.answer(w, r, "new", page, page.Archetypes)
}

func (s *Server) layNew(r *http.Request, typed url.Values) (*newPage, error) {
	y, err := s.yards.open()
	if err != nil {
		return nil, err
	}
	return &newPage{Page: s.base(r, "A new vehicle"), Archetypes: sheet.Archetypes(), Typed: typed,
		Unit: y.Settings.Units.Preferred(units.Distance)}, nil
}

func (s *Server) newKeep(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	page, err := s.layNew(r, r.PostForm)
	if err != nil {
		return err
	}
	if err = s.startSheet(r.PostForm); err == nil {
		http.Redirect(w, r, "/v/"+r.PostForm.Get("vehicle")+"/sheet", http.StatusSeeOther)
		return nil
	}
	if fleet.KindOf(err) == fleet.Internal || wantsJSON(r) {
		return err
	}
	page.Faults = faults(err)
	return s.render(w, r, status(err), "new", page)
}

func (s *Server) startSheet(f url.Values) error {
	y, err := s.yards.open()
	if err != nil {
		return err
	}
	fill := sheet.Filling{Vehicle: f.Get("vehicle"), Name: f.Get("name"), VIN: f.Get("vin")}
	if !idPattern.MatchString(fill.Vehicle) || len(fill.Vehicle) > 40 {
		return &fleet.Error{Kind: fleet.Invalid, Where: "short name",
			Msg:  "it is what stands in addresses and in the file's name",
			Hint: "lower-case letters, digits and hyphens, at most 40: for example wren"}
	}
	if typed := f.Get("built"); typed != "" {
		if fill.Built, err = parseDay("first used", typed); err != nil {
			return err
		}
	}
	if fill.Yearly, err = distance("distance in a year", f.Get("yearly"), y.Settings.Units); err != nil {
		return err
	}
	src, err := sheet.FromArchetype(f.Get("archetype"), fill)
	if err != nil {
		return err
	}
	if _, err := sheet.Read("new sheet", src, y.Catalogue); err != nil {
		return err
	}
	return yard.WriteNew(y.SheetPath(fill.Vehicle), src)
}
