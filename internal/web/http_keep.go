package web

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"slices"
	"strings"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
)

// mostTold is how many entries are told at once.
const mostTold = 1000

// toldTypes are the facts that programs tell; those of pictures, of job sheets and of what the owner decides are told
// on the pages.
var toldTypes = []fleet.EntryType{fleet.TypeOdometer, fleet.TypeFitted, fleet.TypeFound, fleet.TypeDone, fleet.TypeNote,
	fleet.TypeOpened, fleet.TypeAboard, fleet.TypeBought, fleet.TypeCorrection}

// keptEntries is what became of entries that were told.
type keptEntries struct {
	Batch   string         `json:"batch"`
	Added   int            `json:"added"`   // that are new
	Already int            `json:"already"` // that were there
	Entries []*fleet.Entry `json:"entries"` // as they are kept, in the order in which they were told
}

// entriesKeep keeps what a program tells, one entry or a list of them, all of it or nothing, and once.
func (s *Server) entriesKeep(w http.ResponseWriter, r *http.Request) error {
	if media, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || media != jsonType {
		return &refused{http.StatusUnsupportedMediaType, &fleet.Error{Kind: fleet.Invalid, Where: "Content-Type",
			Msg: message.Of("%.60q is not read here", media), Hint: "send application/json", Err: err}}
	}
	d, err := s.bare(r)
	if err != nil {
		return err
	}
	body, err := io.ReadAll(r.Body)
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return err
	}
	if err != nil {
		return notJSON(err)
	}
	t := &telling{s: s, r: r, d: d, at: map[*fleet.Entry]string{}}
	if err := t.read(body); err != nil {
		return err
	}
	kept, err := t.keep()
	if err != nil {
		return err
	}
	code := http.StatusOK
	if kept.Added > 0 {
		code = http.StatusCreated
	}
	return s.writeJSON(w, r, code, kept)
}

func notJSON(err error) error {
	return &refused{http.StatusBadRequest, &fleet.Error{Kind: fleet.Invalid, Where: "body",
		Msg: message.Of("what was sent is not JSON: %s", err), Hint: "send one entry, or a list of them", Err: err}}
}

// telling is what one request tells.
type telling struct {
	s       *Server
	r       *http.Request
	d       *desk
	entries []*fleet.Entry
	at      map[*fleet.Entry]string // where each stands in what was sent, before the name of a field
	batch   string
}

func (t *telling) read(body []byte) error {
	raws := []json.RawMessage{body}
	err := json.Unmarshal(body, new(json.RawMessage))
	list := bytes.HasPrefix(bytes.TrimSpace(body), []byte("["))
	if err == nil && list {
		err = json.Unmarshal(body, &raws)
	}
	if err != nil {
		return notJSON(err)
	}
	if len(raws) > mostTold {
		return &fleet.Error{Kind: fleet.Invalid, Where: "body",
			Msg:  message.Of("%d entries are told at once", len(raws)),
			Hint: message.Of("tell at most %d, and the rest after them", mostTold)}
	}
	var errs []error
	for i, raw := range raws {
		at := ""
		if list {
			at = fmt.Sprintf("[%d].", i)
		}
		e, err := t.entry(raw)
		var known *fleet.Error
		if errors.As(err, &known) {
			placed := *known
			placed.Kind, placed.Where = fleet.Invalid, strings.TrimSuffix(at+known.Where, ".")
			errs = append(errs, &placed)
			continue
		}
		if err != nil {
			return err
		}
		t.at[e] = at
		t.entries = append(t.entries, e)
	}
	return errors.Join(errs...)
}

// entry reads an entry as one of an exported journal is read, in which the program's own fields may be left out.
func (t *telling) entry(raw json.RawMessage) (*fleet.Entry, error) {
	var has map[string]json.RawMessage
	if err := json.Unmarshal(raw, &has); err != nil || has == nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Msg: "an entry is one object",
			Hint: `write it like {"type":"odometer","date":"2026-11-25","odometer":"184310 km"}`, Err: err}
	}
	now := t.s.opt.Now().UTC()
	whole := bytes.TrimSuffix(bytes.TrimSpace(raw), []byte("}"))
	for name, own := range map[string]any{"v": fleet.EntryFormat, "id": t.s.opt.NewID(), "vehicle": t.d.vehicle.ID,
		"recorded": now.Format(time.RFC3339)} {
		if has[name] == nil {
			value, _ := json.Marshal(own) // a text or a number
			whole = fmt.Appendf(whole, ",%q:%s", name, value)
		}
	}
	if len(has) == 0 {
		whole = append([]byte("{"), bytes.TrimLeft(whole, "{ \t\r\n,")...)
	}
	e, err := fleet.DecodeEntry(append(whole, '}'))
	if err == nil {
		err = t.may(e, now)
	}
	if err != nil {
		return nil, err
	}
	if has["id"] == nil {
		e.ID = "" // the recorder makes one
	}
	if has["recorded"] == nil {
		e.Recorded = time.Time{}
	}
	if e.Correction != nil && e.Correction.Instead != nil {
		in := e.Correction.Instead
		in.Format, in.Vehicle = fleet.FormatOf(in), e.Vehicle
	}
	return e, nil
}

// may refuses what is not told by programs.
func (t *telling) may(e *fleet.Entry, now time.Time) error {
	in, told := came(t.r), e
	if e.Correction != nil && e.Correction.Instead != nil {
		told = e.Correction.Instead
	}
	wrong := func(where string, hint, msg message.Text) error {
		return &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: msg, Hint: hint}
	}
	switch {
	case e.Vehicle != t.d.vehicle.ID:
		return wrong("vehicle", "leave it out, or send it to the address of that vehicle",
			message.Of("the entry is of %.60q, and was sent to %s", e.Vehicle, t.d.vehicle.ID))
	case !slices.Contains(toldTypes, e.Type) || told != e && !slices.Contains(toldTypes, told.Type):
		return wrong("type", "keep it by the pages",
			message.Of("an entry of type %s is not told by programs", told.Type))
	case len(e.Attachments()) > 0:
		return wrong("attachments", "send pictures and recordings by the pages", "no picture or recording comes along")
	case e.Batch != "" && !fleet.IsID(e.Batch):
		return wrong("batch", "write a UUID version 7, or leave it out", message.Of("%.60q is not a batch", e.Batch))
	case in != nil && in.person != "" && e.By != "" && e.By != in.person:
		return wrong("by", "leave it out", message.Of("this is written down by %s", in.person))
	case e.Recorded.Sub(now) > time.Minute:
		return wrong("recorded", "leave it out, or set the clock of the device", message.Of("%s lies ahead",
			e.Recorded.Format(time.RFC3339)))
	}
	return nil
}

// keep keeps the entries as one batch: that which they bring, or one by the first id, so that the same entries sent at
// once by two are kept once.
func (t *telling) keep() (*keptEntries, error) {
	ctx := t.r.Context()
	var ids []string
	for _, e := range t.entries {
		switch {
		case slices.Contains(ids, e.ID):
			return nil, t.wrong(e, fleet.Invalid, "id", "two entries have this id", "give each its own, or none")
		case e.Batch != "" && t.batch != "" && e.Batch != t.batch:
			return nil, t.wrong(e, fleet.Invalid, "batch", "it is of another batch than the rest", "send it alone")
		}
		if e.ID != "" {
			ids = append(ids, e.ID)
		}
		if e.Batch != "" {
			t.batch = e.Batch
		}
	}
	before := map[string]*fleet.Entry{}
	if len(ids) > 0 {
		t.batch = cmp.Or(t.batch, ids[0])
		there, err := t.s.opt.Journal.Entries(ctx, journal.Filter{IDs: ids})
		if err != nil {
			return nil, err
		}
		for _, e := range there {
			before[e.ID] = e
		}
	}
	t.batch = cmp.Or(t.batch, t.s.opt.NewID())
	out := &keptEntries{Batch: t.batch}
	var fresh []*fleet.Entry
	for _, e := range t.entries {
		b := before[e.ID]
		if b != nil && !sameFact(b, e) {
			return nil, t.wrong(e, fleet.Conflict, "id", "another entry has this id", "give it one of its own, or none")
		}
		if b == nil {
			fresh = append(fresh, e)
		}
	}
	if out.Already = len(t.entries) - len(fresh); out.Already > 0 && len(fresh) == 0 {
		out.Batch = before[ids[0]].Batch
	}
	if len(fresh) > 0 || len(t.entries) == 0 {
		rec := t.s.recorder(t.d.yard)
		rec.Form, rec.By, rec.Place = t.batch, t.s.who(t.r), func(e *fleet.Entry, field string) string {
			return t.at[e] + fieldOf(e, field)
		}
		sent, err := rec.Send(ctx, t.d.vehicle, fresh)
		if fleet.KindOf(err) == fleet.NotFound { // of what was sent, and not of the address
			return nil, &refused{http.StatusUnprocessableEntity, err}
		}
		if err != nil {
			return nil, err
		}
		out.Batch, out.Added, out.Already = sent.Batch, sent.Added, out.Already+sent.Already
	}
	return out, t.asKept(out, before)
}

// asKept finds the entries as they are kept: by their ids, or by what they say.
func (t *telling) asKept(out *keptEntries, before map[string]*fleet.Entry) error {
	there, err := t.s.opt.Journal.OfForm(t.r.Context(), t.batch)
	if err != nil {
		return err
	}
	for _, e := range t.entries {
		kept := before[e.ID]
		for _, same := range []func(*fleet.Entry) bool{func(k *fleet.Entry) bool { return k.ID == e.ID },
			func(k *fleet.Entry) bool { return sameFact(k, e) }} {
			if i := slices.IndexFunc(there, same); kept == nil && i >= 0 {
				kept = there[i]
				there = slices.Delete(there, i, i+1)
			}
		}
		if kept == nil {
			return fmt.Errorf("entry %s of batch %s is not there after it was kept", e.ID, t.batch)
		}
		out.Entries = append(out.Entries, kept)
	}
	return nil
}

func (t *telling) wrong(e *fleet.Entry, kind fleet.ErrorKind, field string, msg, hint message.Text) error {
	return &fleet.Error{Kind: kind, Where: t.at[e] + field, Msg: msg, Hint: hint}
}

// sameFact reports whether two entries say the same.
func sameFact(a, b *fleet.Entry) bool {
	x, err1 := fleet.Content(a)
	y, err2 := fleet.Content(b)
	return err1 == nil && err2 == nil && bytes.Equal(x, y)
}

// fieldOf is the field of an entry that a check of its content names in short.
func fieldOf(e *fleet.Entry, name string) string {
	if c := e.Correction; c != nil && c.Instead != nil && name != "of" && name != "instead" {
		return "correction.instead." + fieldOf(c.Instead, name)
	}
	switch {
	case name == "date" || name == "odometer" || name == "type":
		return name
	case name == "old" || name == "new":
		return "instrument." + name
	case strings.Contains(name, " "): // a position and its check
		name = "answer"
		if e.Found != nil && e.Found.Value != nil {
			name = "value"
		}
	case e.Fitted != nil && (name == "cost" || name == "material"):
		name = "part." + name
	case e.Bought != nil && (name == "what" || name == "amount"):
		name = "of." + name
	case e.Done != nil && name == "amount":
		name = "used." + name
	}
	return string(e.Type) + "." + name
}
