package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/visit/finish"
	"undertray.example/undertray/units"
)

// addPage holds the forms that record one fact each.
type addPage struct {
	Page
	Form      roundForm
	What      string // the form that came back with faults, or ""
	Typed     url.Values
	Positions []group
	Removals  []fleet.Removal
	Take      takePicture
	Faults    []fault
	newID     func() string
}

// Value returns what was typed into a field of the form that came back.
func (p addPage) Value(what, field string) string {
	if what != p.What && field != "position" {
		return ""
	}
	return p.Typed.Get(field)
}

// Batch returns the batch of one of the forms: each has its own, and one that
// came back keeps it.
func (p addPage) Batch(what string) string {
	if what == p.What {
		return p.Form.Batch
	}
	return p.newID()
}

func (s *Server) addPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	if at := r.URL.Query().Get("position"); at != "" {
		if d.vehicle.Position(at) == nil {
			_, err := d.report.Find(at)
			return err
		}
	}
	page := s.layAdd(d, r, "", r.URL.Query())
	return s.answer(w, r, "add", page, page.view())
}

// addView is the page's twin: where a fact is sent, and the words it is told
// in.
type addView struct {
	Vehicle   string            `json:"vehicle"`
	Send      map[string]string `json:"send"` // address by sort of fact
	Positions []addPlace        `json:"positions"`
	Removals  []fleet.Removal   `json:"why_removed"`
}

type addPlace struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	System string `json:"system"`
}

func (p addPage) view() addView {
	v := addView{Vehicle: p.Vehicle.ID, Send: map[string]string{}, Removals: p.Removals}
	for what := range makers {
		v.Send[what] = p.Form.Action + what
	}
	for _, g := range p.Positions {
		for _, row := range g.Rows {
			v.Positions = append(v.Positions, addPlace{row.ID, row.Name, g.Title.String()})
		}
	}
	return v
}

func (s *Server) layAdd(d *desk, r *http.Request, what string, typed url.Values) addPage {
	page := addPage{Page: s.page(r, d, "add", "Record, %s"), Form: s.roundForm(d, r),
		What: what, Typed: typed,
		Positions: d.allPositions(), Removals: fleet.Removals(), newID: s.opt.NewID}
	page.Form.Action = "/v/" + d.vehicle.ID + "/add/"
	page.Take = s.takePicture(d, r, fleet.Picture{Position: typed.Get("position")})
	page.Take.Form.Batch = s.opt.NewID()
	return page
}

// allPositions lists every position of the sheet by system, those that hold
// nothing now included.
func (d *desk) allPositions() []group {
	var out []group
	at := map[string]int{}
	for i := range d.vehicle.Positions {
		p := &d.vehicle.Positions[i]
		system := p.System
		if k := d.catalogue().Kind(p.Kind); system == "" && k != nil {
			system = k.System
		}
		g, ok := at[system]
		if !ok {
			g = len(out)
			at[system] = g
			out = append(out, group{Title: message.Name(d.catalogue().SystemName(system))})
		}
		out[g].Rows = append(out[g].Rows, row{ID: p.ID, Name: p.Name})
	}
	return out
}

// makers turn a posted form into the entry of its type.
var makers = map[string]func(d *desk, f url.Values, e *fleet.Entry) error{
	"odometer": makeOdometer,
	"fitted":   makeFitted,
	"done":     makeDone,
	"note":     makeNote,
	"bought":   makeBought,
}

func (s *Server) addKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	what := r.PathValue("what")
	fill, ok := makers[what]
	if !ok {
		return &fleet.Error{Kind: fleet.NotFound, Msg: "nothing of that sort can be recorded",
			Hint: "record an odometer reading, a part bought or fitted, work done or a note"}
	}
	e := &fleet.Entry{Type: fleet.EntryType(what), Sure: r.PostForm.Get("sure") != ""}
	var errDay, errOdo error
	e.Date, errDay = parseDay("date", r.PostForm.Get("date"))
	e.Odometer, errOdo = distance("odometer", r.PostForm.Get("odometer"), d.vehicle.Reader)
	if err = errors.Join(errDay, errOdo, fill(d, r.PostForm, e)); err == nil {
		err = s.settledBefore(r, e)
	}
	if err == nil {
		err = s.keep(w, r, d, []*fleet.Entry{e})
	}
	if err == nil {
		return nil
	}
	if fleet.KindOf(err) == fleet.Internal || wantsJSON(r) {
		return err
	}
	page := s.layAdd(d, r, what, r.PostForm)
	page.Faults = faults(err)
	return s.render(w, r, status(err), "add", page)
}

func makeOdometer(d *desk, f url.Values, e *fleet.Entry) error {
	if f.Get("old") == "" && f.Get("new") == "" {
		return nil
	}
	prefs := d.vehicle.Reader
	old, err1 := distance("old", f.Get("old"), prefs)
	started, err2 := distance("new", f.Get("new"), prefs)
	if err := errors.Join(err1, err2); err != nil {
		return err
	}
	if old == nil || started == nil {
		return &fleet.Error{Kind: fleet.Invalid, Where: "old, new", Msg: "a changed instrument needs both readings",
			Hint: "give the old one's last and the new one's first reading"}
	}
	e.Instrument = &fleet.Instrument{Old: *old, New: *started, Why: f.Get("why")}
	return nil
}

func makeFitted(d *desk, f url.Values, e *fleet.Entry) error {
	cost, err1 := quantity("cost", f.Get("cost"), units.Money, d.yard.Settings.Currency)
	e.Fitted = &fleet.Fitted{Position: f.Get("position"), Removed: fleet.Removal(f.Get("removed")),
		Note: strings.TrimSpace(f.Get("note")),
		Part: fleet.PartSpec{Name: strings.TrimSpace(f.Get("name")), Number: strings.TrimSpace(f.Get("number")),
			Material: strings.TrimSpace(f.Get("material")), Supplier: strings.TrimSpace(f.Get("supplier")), Cost: cost}}
	err2 := setKnown(d, f, e.Fitted)
	return errors.Join(err1, err2)
}

// setKnown says how well the moment of a fitting is known.
func setKnown(d *desk, f url.Values, fit *fleet.Fitted) error {
	switch f.Get("known") {
	case "":
	case string(fleet.Unknown):
		fit.Known = fleet.Unknown
	case string(fleet.Told):
		fit.Known, fit.Since = fleet.Told, &fleet.Since{}
		var err1, err2 error
		if typed := f.Get("since-date"); typed != "" {
			fit.Since.Date, err1 = parseDay("since-date", typed)
		}
		fit.Since.Total, err2 = distance("since-total", f.Get("since-total"), d.vehicle.Reader)
		return errors.Join(err1, err2)
	default:
		return &fleet.Error{Kind: fleet.Invalid, Where: "known", Msg: "how well it is known cannot be read",
			Hint: "choose one of the three"}
	}
	return nil
}

func makeBought(d *desk, f url.Values, e *fleet.Entry) error {
	cost, err := quantity("cost", f.Get("cost"), units.Money, d.yard.Settings.Currency)
	of, err2 := d.supply(f.Get("of"), f.Get("amount"))
	e.Bought = &fleet.Bought{Positions: several(f, "position"), Of: of, Number: strings.TrimSpace(f.Get("number")),
		Supplier: strings.TrimSpace(f.Get("supplier")), Cost: cost}
	return errors.Join(err, err2)
}

// supply reads how much there is of a consumable, a bare number in the unit of the
// vehicle sheet; nil where none is named.
func (d *desk) supply(what, amount string) (*fleet.Supply, error) {
	if what == "" {
		return nil, nil
	}
	s, unit := &fleet.Supply{What: what}, ""
	var dim units.Dimension
	if c := d.vehicle.Consumable(what); c != nil && c.Amount != nil {
		dim, unit = c.Amount.Dimension(), c.Amount.Unit()
	}
	var err error
	s.Amount, err = quantity("amount", amount, dim, unit)
	return s, err
}

// Bought is the form of what was bought as it came back, or nil.
func (p addPage) Bought() *boughtForm {
	if p.What != string(fleet.TypeBought) {
		return nil
	}
	f := p.Typed
	return &boughtForm{p.Form.Action + p.What, p.Form.Batch, f.Get("date"), several(f, "position"), f.Get("number"),
		f.Get("supplier"), f.Get("cost"), f.Get("of"), f.Get("amount")}
}

func makeDone(d *desk, f url.Values, e *fleet.Entry) error {
	cost, err := quantity("cost", f.Get("cost"), units.Money, d.yard.Settings.Currency)
	e.Done = &fleet.Done{What: strings.TrimSpace(f.Get("text")), Cost: cost, TakenOff: f.Get("off") != ""}
	if e.Done.TakenOff {
		e.Done.Removed = fleet.Removal(f.Get("removed"))
	}
	if p := f.Get("position"); p != "" {
		e.Done.Positions = []string{p}
		if f.Get("settles") != "" {
			e.Done.Settles = finish.OpenChecks(d.report.Judgement(p))
		}
	}
	if typed := strings.TrimSpace(f.Get("minutes")); typed != "" {
		minutes, bad := strconv.ParseFloat(typed, 64)
		if bad != nil || minutes < 0 || minutes > 1e5 {
			return errors.Join(err, &fleet.Error{Kind: fleet.Invalid, Where: "minutes",
				Msg: message.Of("%s is not a number of minutes", strconv.Quote(typed)), Hint: "write it as 90"})
		}
		e.Done.Minutes = minutes
	}
	return err
}

// settledBefore lets work that a form tells again settle what it settled when it was
// sent first: nothing of that is open any more, and yet it is the same work.
func (s *Server) settledBefore(r *http.Request, e *fleet.Entry) error {
	if e.Done == nil || r.PostForm.Get("settles") == "" {
		return nil
	}
	before, err := s.opt.Journal.OfForm(r.Context(), r.PostForm.Get("batch"))
	for _, b := range before {
		if b.Done != nil && slices.Equal(b.Done.Positions, e.Done.Positions) {
			e.Done.Settles = b.Done.Settles
		}
	}
	return err
}

func makeNote(_ *desk, f url.Values, e *fleet.Entry) error {
	e.Note = &fleet.Note{Position: f.Get("position"), Text: strings.TrimSpace(f.Get("text"))}
	return nil
}
