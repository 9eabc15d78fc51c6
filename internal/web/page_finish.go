package web

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/visit/finish"
	"undertray.example/undertray/units"
)

// finishPage is what is written down at the end of the job sheet in hand.
type finishPage struct {
	Page
	Headline message.Text
	Missing  message.Text
	Form     roundForm
	Sheet    string // the entry that began it
	Who      string
	Changed  []changedRow
	Righted  []rightedRow
	Looked   []lookedRow
	Used     []usedRow
	Table    answerTable // of what was looked at
	Faults   []fault
}

// changedRow is a part with what is filled in of it.
type changedRow struct {
	ID, Name   string
	Line, From message.Text
	Picked     bool
	Fields     []typedField
	Materials  []choice
	Removed    []choice
	Checks     []checkRow // in the hand
	Open       bool       // it came back with faults
}

type typedField struct {
	Name, Value string
	Label, Hint message.Text
}

type choice struct {
	Value  string
	Say    message.Text
	Chosen bool
}

type rightedRow struct {
	ID     string
	Words  message.Text
	Picked bool
}

type lookedRow struct {
	Name   string
	Checks []checkRow
	Open   bool
}

// usedRow is a consumable with what is filled in of it.
type usedRow struct {
	What   string
	From   message.Text
	Picked bool
	Fields []typedField
}

// The names of the form's fields, beside those of a round: "u.WHAT.FIELD" for a consumable, "p.POSITION.FIELD" for
// the part that is in now, and "h.POSITION.CHECK" for an answer in the hand.
const (
	partPrefix = "p."
	usedPrefix = "u."
	handPrefix = "h."
)

func (s *Server) finishPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	form, err := finish.Of(d.report)
	if err != nil {
		return err
	}
	return s.answer(w, r, "finish", s.layFinish(d, r, form, nil), form.View())
}

// layFinish lays the form out; typed is nil for one that is not filled in yet.
func (s *Server) layFinish(d *desk, r *http.Request, form *finish.Form, typed url.Values) finishPage {
	page := finishPage{Page: s.page(r, d, "job", "Finish the job, %s"), Headline: form.Headline(),
		Missing: form.MissingWords(), Form: s.roundForm(d, r), Who: s.who(r)}
	page.Form.Action, page.Sheet = "/v/"+d.vehicle.ID+"/job/done", form.Job.Work.Begun.ID
	if typed == nil {
		page.Form.Batch = form.Batch(func(batch string) bool { return s.has(r, d, batch) })
	}
	for i := range form.Changed {
		page.Changed = append(page.Changed, d.changedRow(&form.Changed[i], typed))
	}
	for i := range form.Righted {
		r := &form.Righted[i]
		id := r.Judgement.Position.ID
		row := rightedRow{id, r.What, r.Ticked}
		if typed != nil {
			row.Picked = slices.Contains(typed["right"], id)
		}
		page.Righted = append(page.Righted, row)
	}
	for i := range form.Used {
		page.Used = append(page.Used, d.usedRow(&form.Used[i], typed))
	}
	var stops []visit.Stop
	for i := range form.Looked {
		l := &form.Looked[i]
		row := lookedRow{Name: l.Judgement.Position.Name, Open: typed != nil}
		stop := visit.Stop{Position: l.Judgement.Position, Judgement: l.Judgement}
		for _, c := range l.Checks {
			item := visit.CheckItem{Check: c, Caution: d.report.Catalogue.CautionOn(d.vehicle, c)}
			stop.Checks = append(stop.Checks, item)
			row.Checks = append(row.Checks, checkOf(l.Judgement.Kind, l.Judgement.Position.ID, item, typed))
		}
		stops = append(stops, stop)
		page.Looked = append(page.Looked, row)
	}
	page.Table = d.answerTable([]visit.Stage{{Stops: stops}})
	return page
}

func (d *desk) usedRow(u *finish.Used, typed url.Values) usedRow {
	row := usedRow{What: u.What, From: u.FromWords(), Picked: u.Bought != nil}
	if typed != nil {
		row.Picked = slices.Contains(typed["used"], u.What)
	}
	add := func(field string, label, hint message.Text, filled *units.Quantity) {
		f := typedField{Name: usedPrefix + u.What + "." + field, Label: label, Hint: hint}
		if f.Value = typed.Get(f.Name); typed == nil && filled != nil {
			f.Value = filled.String()
		}
		row.Fields = append(row.Fields, f)
	}
	add("amount", "How much", "", u.Amount)
	add("cost", "Cost", d.costHint(), u.Cost)
	return row
}

func (d *desk) changedRow(c *finish.Changed, typed url.Values) changedRow {
	id, part := c.Judgement.Position.ID, c.Part
	row := changedRow{ID: id, Name: c.Judgement.Position.Name, Line: c.Line(d.vehicle.Reader),
		From: c.FromWords(), Picked: c.Ticked, Open: typed != nil}
	said := func(field, filled string) string {
		if typed != nil {
			return typed.Get(partPrefix + id + "." + field)
		}
		return filled
	}
	cost := ""
	if part.Cost != nil {
		cost = part.Cost.String()
	}
	add := func(field string, label, hint message.Text, filled string) {
		row.Fields = append(row.Fields, typedField{partPrefix + id + "." + field, said(field, filled), label, hint})
	}
	add("name", "What it is", "", part.Name)
	add("number", "Part number", "", part.Number)
	add("quantity", "How many, how much", "", part.Quantity)
	add("cost", "Cost", d.costHint(), cost)
	add("supplier", "Where it came from", "", part.Supplier)
	for _, m := range append([]string{""}, c.Judgement.Kind.Materials...) {
		row.Materials = append(row.Materials, choice{m, message.Name(m), m == said("material", part.Material)})
	}
	for _, why := range append([]fleet.Removal{fleet.RemovedUnknown}, fleet.Removals()...) {
		row.Removed = append(row.Removed, choice{string(why), finish.RemovedWords(why),
			string(why) == said("removed", string(c.Removed))})
	}
	for _, check := range c.Hand {
		asked := checkOf(c.Judgement.Kind, id, visit.CheckItem{Check: check}, nil)
		row.Checks = append(row.Checks, inHand(asked, id, typed))
	}
	if typed != nil {
		row.Picked = slices.Contains(typed["changed"], id)
	}
	return row
}

// costHint says how a cost is written.
func (d *desk) costHint() message.Text {
	return message.Of("as 38.50 %s", cmp.Or(d.yard.Settings.Currency, "EUR"))
}

// inHand makes of a question one of the part that is off.
func inHand(row checkRow, position string, typed url.Values) checkRow {
	row.Field = handPrefix + position + "." + row.ID
	row.Typed = typed.Get(row.Field)
	for i := range row.Answers {
		row.Answers[i].Chosen = row.Answers[i].ID == row.Typed
	}
	return row
}

// finishKeep keeps what was accepted or corrected as one batch, once; what another
// device has written down of the sheet meanwhile stands, and is shown where this form
// says otherwise.
func (s *Server) finishKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	s.rememberWho(w, r)
	form, err := s.formOf(r, d)
	if err != nil {
		return err
	}
	told, err := d.told(r.PostForm)
	var entries []*fleet.Entry
	if err == nil {
		entries, err = form.Entries(told, r.PostForm.Get("batch"))
	}
	if err == nil {
		err = s.keep(w, r, d, entries)
	}
	if err == nil || fleet.KindOf(err) == fleet.Internal || wantsJSON(r) {
		return err
	}
	page := s.layFinish(d, r, form, r.PostForm)
	page.Faults = faults(s.otherwise(r, d, entries, err))
	return s.render(w, r, status(err), "finish", page)
}

// formOf is the form of the sheet that was posted: of the one in hand, or as it was
// before the same form was sent from another device or for the first time.
func (s *Server) formOf(r *http.Request, d *desk) (*finish.Form, error) {
	form, err := finish.Of(d.report)
	sheet := r.PostForm.Get("sheet")
	if err == nil && (sheet == "" || sheet == form.Job.Work.Begun.ID) {
		return form, nil
	}
	kept, _ := s.opt.Journal.OfForm(r.Context(), r.PostForm.Get("batch"))
	if len(kept) == 0 {
		return nil, cmp.Or(err, error(&fleet.Error{Kind: fleet.NotFound, Where: "sheet", Msg: "this sheet is over",
			Hint: "see in the journal what was written down of it"}))
	}
	if d, err = s.whole(r); err != nil {
		return nil, err
	}
	return finish.Before(d.report, kept)
}

// otherwise says what another device has kept of a form, where that is why this one
// cannot be kept.
func (s *Server) otherwise(r *http.Request, d *desk, made []*fleet.Entry, err error) error {
	kept, _ := s.opt.Journal.OfForm(r.Context(), r.PostForm.Get("batch"))
	var errs []error
	for _, e := range made {
		i := slices.IndexFunc(kept, func(k *fleet.Entry) bool { return k.ID == e.ID })
		if i < 0 || d.report.EntryWords(kept[i]) == d.report.EntryWords(e) && kept[i].Date == e.Date {
			continue
		}
		errs = append(errs, &fleet.Error{Kind: fleet.Conflict, Where: e.Position(),
			Msg:  message.Of("another device has finished this sheet and wrote down: %s", d.report.EntryWords(kept[i])),
			Hint: "write the same here, or correct what it wrote down on the position's page"})
	}
	return cmp.Or(errors.Join(errs...), err)
}

// told reads what the form says.
func (d *desk) told(f url.Values) (finish.Told, error) {
	var errs []error
	out := finish.Told{Sure: f.Get("sure") != "", Righted: f["right"]}
	note := func(err error) { errs = append(errs, err) }
	var err error
	out.Date, err = parseDay("date", f.Get("date"))
	note(err)
	out.Odometer, err = distance("odometer", f.Get("odometer"), d.vehicle.Reader)
	note(err)
	for _, id := range f["changed"] {
		p := finish.Part{Position: id, Hand: answers(f, handPrefix+id+".", id+".")}
		for field, values := range f {
			if name, ok := strings.CutPrefix(field, partPrefix+id+"."); ok {
				note(p.Set(name, values[0], d.yard.Settings.Currency))
			}
		}
		out.Parts = append(out.Parts, p)
	}
	for _, what := range f["used"] {
		s, err := d.supply(what, f.Get(usedPrefix+what+".amount"))
		note(err)
		cost, err := quantity("cost", f.Get(usedPrefix+what+".cost"), units.Money, d.yard.Settings.Currency)
		note(err)
		if s != nil {
			out.Used = append(out.Used, fleet.Consumable{What: what, Amount: s.Amount, Cost: cost})
		}
	}
	out.Found = answers(f, answerPrefix, "")
	return out, errors.Join(errs...)
}

// answers reads the answers whose fields begin with a prefix; behind it, and behind
// lead, the field says position and check.
func answers(f url.Values, prefix, lead string) []record.TypedFinding {
	var out []record.TypedFinding
	for field, values := range f {
		rest, ok := strings.CutPrefix(field, prefix)
		if typed := strings.TrimSpace(values[0]); ok && typed != "" {
			position, check, _ := strings.Cut(lead+rest, ".")
			out = append(out, record.TypedFinding{Where: field, Position: position, Check: check, Answer: typed})
		}
	}
	slices.SortFunc(out, func(a, b record.TypedFinding) int { return strings.Compare(a.Where, b.Where) })
	return out
}

// whoCookie remembers on a device who works with it.
const whoCookie = "who"

// whoMost is how long a name may be, in letters.
const whoMost = 40

// who is who works on the device of a request, as far as it was typed there: the
// place where a paired device's name will come from.
func (s *Server) who(r *http.Request) string {
	if in := came(r); in != nil && in.person != "" {
		return in.person
	}
	if r.PostForm.Has("who") {
		return named(r.PostForm.Get("who"))
	}
	c, err := r.Cookie(whoCookie)
	if err != nil {
		return ""
	}
	name, _ := url.QueryUnescape(c.Value)
	return named(name)
}

// named is a typed name in a line of its own, cut where nobody is called so.
func named(typed string) string {
	name := []rune(strings.Join(strings.Fields(strings.ToValidUTF8(typed, "")), " "))
	return string(name[:min(len(name), whoMost)])
}

// rememberWho keeps on the device the name that a form brings.
func (s *Server) rememberWho(w http.ResponseWriter, r *http.Request) {
	if !r.PostForm.Has("who") {
		return
	}
	c := &http.Cookie{Name: whoCookie, Value: url.QueryEscape(s.who(r)), Path: "/", HttpOnly: true,
		SameSite: http.SameSiteLaxMode, Secure: by(r).secure, MaxAge: int((365 * 24 * time.Hour).Seconds())}
	if s.who(r) == "" {
		c.MaxAge = -1
	}
	http.SetCookie(w, c)
}
