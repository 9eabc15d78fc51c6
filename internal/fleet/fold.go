package fleet

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// MaxTotal is the distance in km above which a total is taken for a slip of the
// pen, sure or not: several times what any road vehicle has run (common
// practice).
const MaxTotal = 1e7

// MaxDailyDistance is the distance in km per day above which a reading is
// taken for a slip of the pen unless the entry says Sure. It is far more than
// anybody drives day after day (common practice).
const MaxDailyDistance = 2000

// Fold works out the state of a vehicle on a day from the journal's entries,
// in any order; entries of other vehicles and later dates are passed over.
// Corrections count whenever they were made. Facts that contradict what is
// already known are left out and listed in Problems. Fold never fails, and
// its cost grows linearly with the entries but for their sorting.
func Fold(v *Vehicle, entries []*Entry, on civil.Date) *State {
	standing := Standing(entries)
	record := make([]*Entry, 0, len(standing))
	for _, e := range standing {
		if e.Vehicle == v.ID && !e.Date.After(on) {
			record = append(record, e)
		}
	}
	if !slices.IsSortedFunc(record, byDate) { // a journal kept day by day is
		slices.SortFunc(record, byDate)
	}
	k := NewKept(v)
	for _, e := range record {
		k.step(e)
	}
	k.state.On, k.state.Record = on, record
	return k.state
}

// step folds the next entry, by date.
func (k *Kept) step(e *Entry) {
	s := k.state
	if k.last.ID == "" {
		s.Began = e.Date
	}
	k.last = placeInOrder(e)
	k.foldBody(e, k.foldReading(e))
}

// Standing applies the corrections among entries and returns what is left:
// entries never corrected as they are, corrected ones in their new form under
// their old id, withdrawn ones and the corrections themselves not at all. The
// entries passed in are not changed.
func Standing(entries []*Entry) []*Entry {
	last := lastCorrections(entries)
	out := make([]*Entry, 0, len(entries))
	for _, e := range entries {
		if e.Type == TypeCorrection {
			continue
		}
		fix := last[e.ID]
		switch {
		case fix == nil:
			out = append(out, e)
		case fix.Correction.Withdraw || fix.Correction.Instead == nil:
		default:
			instead := *fix.Correction.Instead
			instead.ID, instead.Batch, instead.Recorded, instead.Clock = e.ID, e.Batch, e.Recorded, e.Clock
			if instead.Vehicle == "" {
				instead.Vehicle = e.Vehicle
			}
			out = append(out, &instead)
		}
	}
	return out
}

// InForce reports whether the correction with this id is the one that the
// entry it corrects now goes by: it was neither withdrawn nor followed by a
// newer one. The entries are all of one vehicle.
func InForce(entries []*Entry, id string) bool {
	for _, fix := range lastCorrections(entries) {
		if fix.ID == id {
			return true
		}
	}
	return false
}

// lastCorrections returns, by id of the corrected entry, the newest
// correction that has not itself been withdrawn. Newer is what was typed later.
func lastCorrections(entries []*Entry) map[string]*Entry {
	var fixes []*Entry
	for _, e := range entries {
		if e.Type == TypeCorrection && e.Correction != nil {
			fixes = append(fixes, e)
		}
	}
	if len(fixes) == 0 {
		return nil
	}
	slices.SortFunc(fixes, func(a, b *Entry) int { return byInstant(b, a) })
	last := make(map[string]*Entry, len(fixes))
	for _, f := range fixes {
		if last[f.ID] != nil {
			continue // this correction was withdrawn or replaced by a newer one
		}
		if last[f.Correction.Of] == nil {
			last[f.Correction.Of] = f
		}
	}
	return last
}

// foldReading adds the readings that an entry carries and returns its moment:
// the total distance it carries itself, or that between the readings.
func (k *Kept) foldReading(e *Entry) Moment {
	s, at := k.state, Moment{Date: e.Date}
	if k.misread(e) {
		at.Total, at.HasTotal = s.TotalOn(e.Date)
		return at
	}
	read := func(total float64) {
		if k.addReading(e, total) {
			at.Total, at.HasTotal = total, true
		}
	}
	if in := e.Instrument; in != nil {
		total := in.Old.Base() + k.offset
		read(total)
		if last, ok := s.Last(); ok {
			total = last.Total
		}
		k.offset = total - in.New.Base()
	}
	if e.Odometer != nil {
		read(e.Odometer.Base() + k.offset)
	}
	if !at.HasTotal {
		at.Total, at.HasTotal = s.TotalOn(e.Date)
	}
	return at
}

// misread reports whether an entry reads what the vehicle does not count, and notes it: one is no measure of
// the other.
func (k *Kept) misread(e *Entry) bool {
	counts := k.state.Vehicle.Counts
	q := e.Odometer
	if in := e.Instrument; in != nil && (!counts.Reads(in.Old) || !counts.Reads(in.New)) {
		q = &in.Old
	} else if q == nil || counts.Reads(*q) {
		return false
	}
	k.state.problem(e, message.Of("%q is not a reading of the %s, which is what the sheet says the vehicle has",
		q, counts.Meter()), "put counts in the sheet back as it was, or correct the reading")
	return true
}

func (k *Kept) addReading(e *Entry, total float64) bool {
	s := k.state
	last, ok := s.Last()
	if ok {
		if msg, hint := readingFault(s.Vehicle.Counts, last, e.Date, total, e.Sure); msg != "" {
			s.problem(e, msg, hint)
			return false
		}
		if last.Date == e.Date && last.Total == total {
			return true
		}
	}
	s.Readings = thinned(append(s.Readings, Reading{Date: e.Date, Total: total, Entry: e.ID}))
	k.between(last, ok, s.Readings[len(s.Readings)-1])
	return true
}

// readingFault says in words why a total on a day cannot follow an earlier
// reading, and what to do about it; both are empty where nothing is wrong. Sure
// allows a large jump but never a fall.
func readingFault(counts Counter, before Reading, day civil.Date, total float64, sure bool) (msg, hint message.Text) {
	unit, daily := counts.unit(), counts.maxDaily()
	if total < before.Total {
		return message.Of("the reading gives a total of %.0f %s on %s, less than the %.0f %s on %s",
				total, unit, day, before.Total, unit, before.Date),
			"correct whichever reading is wrong; if the instrument was changed, record that"
	}
	if total > MaxTotal {
		return message.Of("the reading gives a total of %.0f %s on %s, more than any vehicle runs", total, unit, day),
			"check the figure and its unit"
	}
	days := max(1, day.Sub(before.Date))
	if !sure && total-before.Total > daily*float64(days) {
		return message.Of("the reading means %.0f %s in %d days since %s, more than %.0f %s a day",
				total-before.Total, unit, days, before.Date, daily, unit),
			"check the figure and its unit; if it is right, record it as sure"
	}
	return "", ""
}

func (s *State) problem(e *Entry, msg, hint message.Text) {
	if len(s.Problems) == mostProblems {
		s.Problems, s.MoreProblems = slices.Delete(s.Problems, 0, 1), s.MoreProblems+1
	}
	s.Problems = append(s.Problems, Problem{Entry: e.ID, Date: e.Date, Msg: msg, Hint: hint})
}

func (k *Kept) foldBody(e *Entry, at Moment) {
	s := k.state
	switch {
	case e.Fitted != nil:
		k.foldFitted(e, at)
	case e.Found != nil:
		k.foldFound(e, at)
	case e.Done != nil:
		k.foldDone(e, at)
	case e.Note != nil && e.Note.Position != "":
		if p := s.placeOf(e, e.Note.Position); p != nil {
			p.Notes = newest(append(p.Notes, e), mostNotes)
		}
	case e.Wish != nil:
		if e.Wish.Position == "" || s.placeOf(e, e.Wish.Position) != nil {
			s.Wishes = newest(append(s.Wishes, e), mostWishes)
		}
	case e.Aside != nil:
		s.foldAside(e)
	case e.Opened != nil, e.Work != nil:
		s.TakeWork(e)
	case e.Aboard != nil:
		s.foldAboard(e)
	case e.Picture != nil && e.Picture.Position != "":
		if p := s.placeOf(e, e.Picture.Position); p != nil {
			p.Pictures = newest(append(p.Pictures, e), mostPictures)
		}
	case e.Picture != nil:
		s.Pictures = newest(append(s.Pictures, e), mostPictures)
	case e.Mark != nil:
		s.Marks = newest(append(s.Marks, e), mostMarks)
	case e.Bought != nil:
		for _, id := range e.Bought.Positions {
			if p := s.placeOf(e, id); p != nil {
				p.Bought = e
			}
		}
		if e.Bought.Of != nil {
			s.Supplies = newest(append(s.Supplies, e), mostNotes)
		}
	case e.Note != nil:
		s.Notes = newest(append(s.Notes, e), mostNotes)
	}
}

// foldAside keeps what the owner leaves: the answers that stand by then, and the
// age of the part.
func (s *State) foldAside(e *Entry) {
	p := s.placeOf(e, e.Aside.Position)
	if p == nil {
		return
	}
	p.Aside, p.Left = e, map[string]bool{}
	for _, f := range p.Latest {
		for ; f != nil; f = f.Before {
			p.Left[f.Entry] = true
		}
	}
}

// TakeWork takes in an entry about half-done work, as the fold does: what is opened
// or closed, and the sheets that are worked through with their ticks. It changes
// Open and Work in place.
func (s *State) TakeWork(e *Entry) {
	switch {
	case e.Opened != nil:
		s.foldOpened(e)
	case e.Work != nil:
		s.foldWork(e)
	}
}

// IsOpen reports whether an opening was opened and not closed again.
func (s *State) IsOpen(opening string) bool {
	return slices.ContainsFunc(s.Open, func(e *Entry) bool { return e.Opened.Opening == opening })
}

// foldOpened keeps what is open, in the order in which it was opened.
func (s *State) foldOpened(e *Entry) {
	if s.Vehicle.Opening(e.Opened.Opening) == nil {
		former := func(f Former) bool { return f.ID == e.Opened.Opening && f.Kind == "" }
		if slices.ContainsFunc(s.Vehicle.Former, former) {
			return
		}
		s.problem(e, message.Of("the vehicle sheet has no opening %q", e.Opened.Opening),
			"add the opening to the sheet, or correct the entry")
		return
	}
	same := func(o *Entry) bool { return o.Opened.Opening == e.Opened.Opening }
	switch at := slices.IndexFunc(s.Open, same); {
	case e.Opened.Closed:
		s.Open = slices.DeleteFunc(s.Open, same)
	case at < 0:
		s.Open = append(s.Open, e)
	}
}

// foldAboard keeps what is aboard, in the order in which it came: a thing put
// there again is the new one.
func (s *State) foldAboard(e *Entry) {
	s.Aboard = slices.DeleteFunc(slices.Clone(s.Aboard), func(o *Entry) bool {
		return strings.EqualFold(o.Aboard.Thing, e.Aboard.Thing)
	})
	if e.Aboard.Gone == "" {
		s.Aboard = newest(append(s.Aboard, e), mostAboard)
	}
}

// foldWork keeps the sheets that are worked through, and their ticks: also one
// that stands before its sheet's beginning, since clocks of devices differ.
func (s *State) foldWork(e *Entry) {
	w := e.Work
	of := func(o *Entry) bool { return o.ID == w.Of || o.Work.Of == w.Of }
	same := func(o *Entry) bool { return o.Work.Of == w.Of && o.Work.Step == w.Step }
	s.foldSpell(e)
	switch {
	case len(w.Begins) > 0:
		s.Work = newest(append(s.Work, e), mostWork)
	case w.Ended:
		s.Work = slices.DeleteFunc(s.Work, of)
	case w.Back:
		s.Work = slices.DeleteFunc(s.Work, same)
	case len(w.Set) > 0 || !slices.ContainsFunc(s.Work, same):
		s.Work = newest(append(s.Work, e), mostWork)
	}
}

func (s *State) placeOf(e *Entry, position string) *Place {
	p := s.Places[position]
	if p == nil && s.Vehicle.Once(position) == nil {
		s.problem(e, message.Of("the vehicle sheet has no position %q", position),
			"add the position to the sheet, or correct the entry")
	}
	return p
}

func (k *Kept) foldFitted(e *Entry, at Moment) {
	s := k.state
	p := s.placeOf(e, e.Fitted.Position)
	if p == nil {
		return
	}
	part := &Part{Spec: mergeSpec(e.Fitted.Part, p.Position.Part), Known: e.Fitted.Known, Entry: e.ID}
	switch e.Fitted.Known {
	case Recorded:
		part.From = at
		p.remove(at, e.Fitted.Removed, e.ID)
	case Told:
		part.From = s.told(e.Fitted.Since)
		p.Fitted = nil // the same part, now better known
	case Unknown:
		p.Fitted = nil
	}
	p.Fitted = part
	k.waits(p, part.From)
	if e.Fitted.Known == Recorded {
		p.Aside, p.Left, p.Bought = nil, nil, nil
		p.Latest = map[string]*Finding{}
	}
}

func (s *State) told(since *Since) Moment {
	var m Moment
	if since == nil {
		return m
	}
	m.Date = since.Date
	if since.Total != nil && s.Vehicle.Counts.Reads(*since.Total) {
		m.Total, m.HasTotal = since.Total.Base(), true
	} else if !m.Date.IsZero() {
		m.Total, m.HasTotal = s.TotalOn(m.Date)
	}
	return m
}

// there is the part that the journal says nothing of: its history is not known,
// but it is of the material, and has the figures, that the sheet gives.
func there(p *Position) *Part {
	return &Part{Known: Unknown, Spec: PartSpec{Material: p.Part.Material, Spec: p.Part.Spec}}
}

// mergeSpec fills what a fitted entry leaves out from what belongs at the
// position, figure by figure.
func mergeSpec(fitted, belongs PartSpec) PartSpec {
	out := fitted
	out.Name = cmp.Or(out.Name, belongs.Name)
	out.Material = cmp.Or(out.Material, belongs.Material)
	if len(out.Spec) == 0 {
		out.Spec = belongs.Spec
		return out
	}
	out.Spec = maps.Clone(belongs.Spec)
	if out.Spec == nil {
		out.Spec = map[string]units.Quantity{}
	}
	maps.Copy(out.Spec, fitted.Spec)
	return out
}

// remove ends the part that is fitted now, if anything is known of it.
func (p *Place) remove(at Moment, why Removal, by string) {
	old := p.Fitted
	if old == nil {
		return
	}
	old.To, old.Removed, old.Off = at, why, by
	p.Past = newest(append(p.Past, old), mostPast)
	p.Fitted = nil
}

func (k *Kept) foldFound(e *Entry, at Moment) {
	p := k.state.placeOf(e, e.Found.Position)
	if p == nil {
		return
	}
	f := &Finding{Found: e.Found, Moment: at, Entry: e.ID}
	if f.Off != "" {
		p.Hand = newest(append(p.Hand, f), mostHand)
		return
	}
	if last := p.Latest[f.Check]; last != nil && last.Date == f.Date {
		f.Before = last
	}
	p.Findings = append(p.Findings, f)
	p.Latest[e.Found.Check] = f
	p.forget(f)
	k.waits(p, at)
}

func (k *Kept) foldDone(e *Entry, at Moment) {
	if used := e.Done.Used; used != nil {
		k.state.Supplies = slices.DeleteFunc(k.state.Supplies, func(b *Entry) bool {
			return b.Bought.Of.What == used.What
		})
	}
	for _, id := range e.Done.Positions {
		p := k.state.placeOf(e, id)
		if p == nil {
			continue
		}
		for _, check := range e.Done.Settles {
			for f := p.Latest[check]; f != nil; f = f.Before {
				f.Settled = e.ID
			}
			delete(p.Latest, check)
		}
		if e.Done.TakenOff {
			p.remove(at, e.Done.Removed, e.ID)
			p.Latest = map[string]*Finding{}
			k.waits(p, at)
		}
	}
}
