package web

import (
	"errors"
	"net/http"
	"slices"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/visit"
)

// handForm asks what a part that came off really was, in the hand.
type handForm struct {
	ID, Name string // of the position
	Entry    string // that took it off
	Action   string
	Batch    string
	Removals []fleet.Removal // to choose why it came off; nil where that is told
	Checks   []checkRow
	Open     bool
}

// hands are the forms for parts that some entries took off and of which nobody has
// told what they were in the hand.
func (s *Server) hands(d *desk, r *http.Request, entries ...string) []handForm {
	var out []handForm
	for i := range d.vehicle.Positions {
		p := &d.vehicle.Positions[i]
		kind, place := d.catalogue().Kind(p.Kind), d.report.State.Place(p.ID)
		if kind == nil || place == nil {
			continue
		}
		for _, part := range place.Past {
			if !slices.Contains(entries, part.Off) || len(place.InHand(part)) > 0 {
				continue
			}
			f := handForm{ID: p.ID, Name: p.Name, Entry: part.Off, Action: "/v/" + d.vehicle.ID + "/off/" + part.Off,
				Batch: s.opt.NewID(),
				Open:  r.Method == http.MethodPost}
			if part.Removed == fleet.RemovedUnknown {
				f.Removals = fleet.Removals()
			}
			for _, c := range d.catalogue().HandChecks(kind) {
				f.Checks = append(f.Checks, checkOf(kind, p.ID, visit.CheckItem{Check: c}, r.PostForm))
			}
			if len(f.Checks) > 0 {
				out = append(out, f)
			}
		}
	}
	return out
}

// offKeep records what a part was that an entry took off, and why it came off
// where that was not told.
func (s *Server) offKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.postedWhole(r)
	if err != nil {
		return err
	}
	page, err := s.layEntry(d, r)
	if err != nil {
		return err
	}
	entries, err := s.offEntries(d, r)
	if err == nil {
		err = s.keep(w, r, d, entries)
	}
	if k := fleet.KindOf(err); err == nil || k == fleet.Internal || k == fleet.NotFound || wantsJSON(r) {
		return err
	}
	page.Faults = faults(err)
	page.Batch = s.opt.NewID()
	for i := range page.Hands {
		page.Hands[i].Batch = r.PostForm.Get("batch")
	}
	return s.render(w, r, status(err), "entry", page)
}

func (s *Server) offEntries(d *desk, r *http.Request) ([]*fleet.Entry, error) {
	off, position := r.PathValue("entry"), r.PostForm.Get("position")
	var typed []typedAnswer
	for field, values := range r.PostForm {
		rest, ok := strings.CutPrefix(field, answerPrefix+position+".")
		if ok && strings.TrimSpace(values[0]) != "" {
			typed = append(typed, typedAnswer{position, rest, strings.TrimSpace(values[0])})
		}
	}
	slices.SortFunc(typed, func(a, b typedAnswer) int { return strings.Compare(a.check, b.check) })
	entries, errs := d.findings(typed)
	for _, e := range entries {
		e.Date, e.Sure, e.Found.Off = s.today(), r.PostForm.Get("sure") != "", off
	}
	if why := fleet.Removal(r.PostForm.Get("removed")); why != fleet.RemovedUnknown {
		if e := cameOff(d.standing(off), why); e != nil {
			e.Date = s.today()
			entries = append(entries, e)
		}
	}
	if len(entries)+len(errs) == 0 {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: position, Msg: "nothing is told of the part",
			Hint: "answer one of the questions"}
	}
	return entries, errors.Join(errs...)
}

// cameOff is the correction by which an entry says why the part came off; nil
// where it says so already.
func cameOff(e *fleet.Entry, why fleet.Removal) *fleet.Entry {
	if e == nil {
		return nil
	}
	instead := *e
	switch {
	case e.Fitted != nil && e.Fitted.Removed == fleet.RemovedUnknown:
		fitted := *e.Fitted
		fitted.Removed, instead.Fitted = why, &fitted
	case e.Done != nil && e.Done.Removed == fleet.RemovedUnknown:
		done := *e.Done
		done.Removed, instead.Done = why, &done
	default:
		return nil
	}
	return &fleet.Entry{Type: fleet.TypeCorrection,
		Correction: &fleet.Correction{Of: e.ID, Instead: &instead, Why: "told afterwards"}}
}
