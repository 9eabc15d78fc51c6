package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/intake"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// pastPage takes in a notebook: pasted, read line by line, settled, and kept as one batch.
type pastPage struct {
	Page
	Headline, About   message.Text // About: how it was read, and what was left out
	Batch             string
	Text, Order, Unit string // what was pasted, and how it is to be read
	Lines             []noteRow
	Faults            []fault
}

// noteRow is a line as it would be kept, in fields that can be corrected.
type noteRow struct {
	intake.Past
	I                     int
	Keep                  bool
	Clear                 bool // nothing was in doubt of it, nor is wrong
	Day, Far, Paid, Added string
	Fits                  []noteFit
}

type noteFit struct {
	ID, Name string
	Ticked   bool
}

// mostRows is how many lines one form takes.
const mostRows = 400

func (s *Server) pastPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	page := s.layPast(r, d)
	return s.answer(w, r, "past", page, map[string]string{"vehicle": d.vehicle.ID,
		"read": "/v/" + d.vehicle.ID + "/past", "keep": "/v/" + d.vehicle.ID + "/past/keep"})
}

func (s *Server) layPast(r *http.Request, d *desk) pastPage {
	return pastPage{Page: s.page(r, d, "add", "The past, %s"), Batch: s.opt.NewID(),
		Headline: message.Of("Paste the past of %s, a line a job.", d.vehicle.Name)}
}

// Sure are the lines nothing is in doubt of.
func (p pastPage) Sure() []noteRow {
	return slices.DeleteFunc(slices.Clone(p.Lines), func(r noteRow) bool { return !r.Clear })
}

// Open are the lines that somebody has to look at.
func (p pastPage) Open() []noteRow {
	return slices.DeleteFunc(slices.Clone(p.Lines), func(r noteRow) bool { return r.Clear })
}

// pastRead shows what a notebook says, line by line. Nothing is kept by it.
func (s *Server) pastRead(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	f := r.PostForm
	page := s.layPast(r, d)
	page.Text, page.Order, page.Unit = f.Get("text"), f.Get("order"), f.Get("unit")
	habits := intake.Habits{Distance: page.Unit, Currency: d.yard.Settings.Currency, Today: s.today()}
	if page.Order != "" {
		first := page.Order == "day"
		habits.DayFirst = &first
	}
	n, err := intake.ReadNotebook("the text", []byte(page.Text), d.vehicle, d.catalogue(), habits)
	if err == nil && len(n.Lines) > mostRows {
		err = &fleet.Error{Kind: fleet.Invalid, Where: "text", Msg: message.Of("these are %d lines", len(n.Lines)),
			Hint: message.Of("paste at most %d at once", mostRows)}
	}
	if err != nil {
		if wantsJSON(r) {
			return err
		}
		page.Faults = faults(err)
		return s.render(w, r, status(err), "past", page)
	}
	open := 0
	for i, p := range n.Lines {
		row := noteRow{Past: p, I: i, Keep: len(p.Doubts) == 0, Clear: len(p.Doubts) == 0}
		if !row.Keep {
			open++
		}
		if !p.Date.IsZero() {
			row.Day = p.Date.String()
		}
		if p.Odometer != nil {
			row.Far = p.Odometer.String()
		}
		if p.Cost != nil {
			row.Paid = p.Cost.String()
		}
		for _, part := range p.Parts {
			if part.Stayed() {
				continue
			}
			for _, id := range part.Positions {
				row.fit(d, id, part.Changed())
			}
		}
		page.Lines = append(page.Lines, row)
	}
	lines := told.Count(len(n.Lines), "line", "lines").Capital()
	page.Headline = message.Of("%s read; nothing is kept yet.", lines)
	if open > 0 {
		page.Headline = message.Of("%s read, %s in doubt; nothing is kept yet.", lines, told.Number(open))
	}
	switch {
	case n.AskOrder:
		page.About = "Some dates can be read both ways: say which comes first, the day or the month, and read again."
	case n.Decided > 0 && n.DayFirst:
		page.About = message.Of("Days come first in its dates, as in line %d.", n.Decided)
	case n.Decided > 0:
		page.About = message.Of("Months come first in its dates, as in line %d.", n.Decided)
	}
	if n.Fuel {
		page.About = message.Joined(told.Sentences(page.About, "Of a fuel log only the readings are taken."), " ")
	}
	return s.answer(w, r, "past", page, n)
}

// fit adds a part that the line may have fitted, each once.
func (p *noteRow) fit(d *desk, id string, ticked bool) {
	had := slices.ContainsFunc(p.Fits, func(f noteFit) bool { return f.ID == id })
	if pos := d.vehicle.Position(id); pos != nil && !had {
		p.Fits = append(p.Fits, noteFit{id, pos.Name, ticked})
	}
}

// pastKeep keeps the lines that are ticked, as one batch or not at all.
func (s *Server) pastKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	var rows []noteRow
	return s.keepForm(w, r, d, at("journal"), func() (out []*fleet.Entry, err error) {
		var errs []error
		if rows, errs = d.noteRows(r.PostForm); len(errs) > 0 {
			return nil, errors.Join(errs...)
		}
		for i := range rows {
			var fitted []string
			for _, f := range rows[i].Fits {
				if f.Ticked {
					fitted = append(fitted, f.ID)
				}
			}
			if rows[i].Keep {
				out = append(out, rows[i].Entries(fitted, s.today())...)
			}
		}
		if len(out) == 0 {
			return nil, &fleet.Error{Kind: fleet.Invalid, Where: "keep", Msg: "no line is ticked",
				Hint: "tick each line that is to be kept"}
		}
		return out, nil
	}, func(err error) error {
		page := s.layPast(r, d)
		page.Headline, page.Batch = "Nothing is kept: something is still open.", r.PostForm.Get("batch")
		page.Lines, page.Faults = rows, faults(err)
		return s.render(w, r, status(err), "past", page)
	})
}

// noteRows reads the lines back from their fields, with what is wrong in those that are kept.
func (d *desk) noteRows(f url.Values) (rows []noteRow, errs []error) {
	for i := range mostRows {
		n := strconv.Itoa(i)
		if !f.Has("no-" + n) {
			break
		}
		field := func(name string) string { return strings.TrimSpace(f.Get(name + "-" + n)) }
		row := noteRow{I: i, Keep: slices.Contains(f["keep"], n), Day: field("day"), Far: field("far"),
			Paid: field("paid"), Added: field("added"), Clear: f.Has("clear-" + n)}
		row.No, _ = strconv.Atoi(field("no"))
		row.Text, row.Words, row.Past.About = field("text"), field("words"), f.Has("about-"+n)
		fault := func(err error) {
			if err != nil && row.Keep {
				row.Clear = false
				errs = append(errs, &fleet.Error{Kind: fleet.Invalid, Where: fmt.Sprintf("line %d", row.No),
					Msg: message.Is(err)})
			}
		}
		var err error
		row.Date, err = parseDay("day", row.Day)
		fault(err)
		if row.Odometer, err = distance("odometer", row.Far, d.vehicle.Reader); err != nil {
			fault(err)
		}
		row.Cost, err = quantity("cost", row.Paid, units.Money, d.yard.Settings.Currency)
		fault(err)
		for _, id := range several(f, "of-"+n) {
			row.fit(d, id, slices.Contains(f["fit-"+n], id))
		}
		if row.Added != "" {
			at := slices.IndexFunc(d.vehicle.Positions, func(p fleet.Position) bool {
				return p.ID == row.Added || strings.EqualFold(p.Name, row.Added)
			})
			if at < 0 {
				fault(message.Errorf("the sheet has no part called %q: choose one of the list", row.Added))
			} else {
				row.fit(d, d.vehicle.Positions[at].ID, true)
				row.Added = ""
			}
		}
		rows = append(rows, row)
	}
	return rows, errs
}
