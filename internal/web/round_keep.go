package web

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/record"
)

// typedAnswer is one answer of a form.
type typedAnswer struct{ position, check, answer string }

// findings turns answers into entries; each fault names its position and check.
func (d *desk) findings(typed []typedAnswer) ([]*fleet.Entry, []error) {
	rows := make([]record.TypedFinding, len(typed))
	for i, t := range typed {
		rows[i] = record.TypedFinding{Where: answerPrefix + t.position + "." + t.check, Position: t.position,
			Check: t.check, Answer: t.answer}
	}
	return record.Findings(d.catalogue(), d.vehicle, rows)
}

func (d *desk) unit() string { return d.vehicle.Reader.CounterUnit() }

// roundKeep records a round, or one position's findings, as one batch.
func (s *Server) roundKeep(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	d, err := s.bare(r)
	if err != nil {
		return err
	}
	entries, err := d.roundEntries(r)
	if err == nil {
		err = s.keep(w, r, d, entries)
	}
	if err == nil {
		return nil
	}
	if fleet.KindOf(err) == fleet.Internal || wantsJSON(r) {
		return err
	}
	d, deskErr := s.desk(r)
	if deskErr != nil {
		return errors.Join(err, deskErr)
	}
	return s.roundAgain(w, r, d, err)
}

// roundAgain shows a round that was not kept once more, as it was filled in, with
// what is wrong.
func (s *Server) roundAgain(w http.ResponseWriter, r *http.Request, d *desk, err error) error {
	page, _, again := s.layRound(d, r, r.PostForm, r.PostForm)
	if again != nil {
		return errors.Join(err, again)
	}
	page.Faults = faults(err)
	return s.render(w, r, status(err), "round", page)
}

// slack is what an answer may take on its way without telling of a wrong clock.
const slack = 2 * time.Second

// typedAt returns when a form that waited was filled in, by the clock of its
// device, and by how many seconds that clock is behind now: the device says
// both when it was filled in and when it was sent. Zero: it does not say.
func typedAt(f url.Values, now time.Time) (typed time.Time, behind float64) {
	at, err1 := strconv.ParseInt(f.Get("typed"), 10, 64)
	sent, err2 := strconv.ParseInt(f.Get("sent"), 10, 64)
	most := int64(fleet.MaxClock * 1000)
	if err1 != nil || err2 != nil || at <= 0 || at > sent || max(sent-now.UnixMilli(), now.UnixMilli()-sent) > most {
		return time.Time{}, 0
	}
	if off := now.Sub(time.UnixMilli(sent)); off.Abs() > slack {
		behind = off.Truncate(time.Millisecond).Seconds()
	}
	return time.UnixMilli(at), behind
}

// roundEntries reads the form: a reading first where one is given, then every
// answer and note in the order of their names.
func (d *desk) roundEntries(r *http.Request) ([]*fleet.Entry, error) {
	var errs []error
	day, err := parseDay("date", r.PostForm.Get("date"))
	errs = append(errs, err)
	var typed []typedAnswer
	var notes []*fleet.Entry
	for field, values := range r.PostForm {
		values = slices.DeleteFunc(slices.Clone(values), func(v string) bool { return strings.TrimSpace(v) == "" })
		if len(values) == 0 {
			continue
		}
		value := strings.TrimSpace(values[0])
		if rest, ok := strings.CutPrefix(field, answerPrefix); ok {
			position, check, _ := strings.Cut(rest, ".")
			typed = append(typed, typedAnswer{position, check, value})
		}
		if position, ok := strings.CutPrefix(field, notePrefix); ok {
			notes = append(notes, &fleet.Entry{Type: fleet.TypeNote,
				Note: &fleet.Note{Position: position, Text: strings.Join(values, "; ")}})
		}
	}
	slices.SortFunc(typed, func(a, b typedAnswer) int {
		return cmp.Or(cmp.Compare(a.position, b.position), cmp.Compare(a.check, b.check))
	})
	slices.SortFunc(notes, func(a, b *fleet.Entry) int { return cmp.Compare(a.Note.Position, b.Note.Position) })
	entries, more := d.findings(typed)
	errs = append(errs, more...)
	entries = append(entries, notes...)
	odometer, err := distance("odometer", r.PostForm.Get("odometer"), d.vehicle.Reader)
	errs = append(errs, err)
	if odometer != nil {
		entries = slices.Insert(entries, 0, &fleet.Entry{Type: fleet.TypeOdometer, Odometer: odometer})
	}
	for _, e := range entries {
		e.Date, e.Sure = day, r.PostForm.Get("sure") != ""
	}
	return entries, errors.Join(errs...)
}

// keep records entries as the batch the form names and shows what was kept. Of
// a form that is sent again only what is new is recorded, and both are shown.
func (s *Server) keep(w http.ResponseWriter, r *http.Request, d *desk, entries []*fleet.Entry) error {
	sent, err := s.send(r, d, entries)
	if err != nil {
		return err
	}
	to := "/v/" + d.vehicle.ID + "/batch/" + sent.Batch
	if form := r.PostForm.Get("batch"); sent.Batch != form {
		to += "?after=" + form
	}
	return s.goOn(w, r, to)
}

// goOn leads on to the page that shows what was kept; a script is told where that is.
func (s *Server) goOn(w http.ResponseWriter, r *http.Request, to string) error {
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusCreated, map[string]string{"kept": to})
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// at is one page of the vehicle's, whatever was kept.
func at(page string) func() string { return func() string { return page } }

// keepForm keeps what a form says once, and goes on to a page of the vehicle's.
// Where it cannot be kept, again shows the form as it was typed.
func (s *Server) keepForm(w http.ResponseWriter, r *http.Request, d *desk, page func() string,
	entries func() ([]*fleet.Entry, error), again func(error) error) error {
	if !s.has(r, d, r.PostForm.Get("batch")) { // else the form was sent before
		made, err := entries()
		if err == nil {
			_, err = s.send(r, d, made)
		}
		switch {
		case err == nil:
		case fleet.KindOf(err) == fleet.Internal || wantsJSON(r):
			return err
		default:
			return again(err)
		}
	}
	return s.goOn(w, r, "/v/"+d.vehicle.ID+"/"+page())
}

func (s *Server) send(r *http.Request, d *desk, entries []*fleet.Entry) (record.Sent, error) {
	rec, err := s.formRecorder(r, d)
	if err != nil {
		return record.Sent{}, err
	}
	if rec.Form == "" {
		return record.Sent{}, errNoBatch
	}
	return rec.Send(r.Context(), d.vehicle, entries)
}

var errNoBatch = &fleet.Error{Kind: fleet.Invalid, Where: "batch", Msg: "the form is incomplete",
	Hint: "load the page again and fill it in anew"}

// formRecorder returns what keeps the form that was posted, once where it
// brings a batch.
func (s *Server) formRecorder(r *http.Request, d *desk) (*record.Recorder, error) {
	rec := s.recorder(d.yard)
	if rec.Form = r.PostForm.Get("batch"); rec.Form != "" && !fleet.IsID(rec.Form) {
		return nil, errNoBatch
	}
	rec.Typed, rec.Clock = typedAt(r.PostForm, s.opt.Now())
	rec.By = s.who(r)
	return rec, nil
}
