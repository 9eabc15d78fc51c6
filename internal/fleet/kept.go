package fleet

import (
	"slices"
	"time"

	"undertray.example/undertray/civil"
)

// FoldVersion is that of what Fold makes of entries. Whoever changes it so that
// the same entries give another state counts it up: kept folds of another
// version are worked out anew.
const FoldVersion = 12

// What a state holds of the past, so that it does not grow with the journal. A
// state says what is so and what wear and lives are learned from; all that was
// ever recorded is in the journal.
const (
	mostReadings = 600 // beyond it every second of the older half is left out
	mostFigures  = 32  // of a check at a position
	mostAnswers  = 8   // of a check at a position
	mostPast     = 50  // parts that came off a position
	mostHand     = 100 // answers on parts that came off a position
	mostAboard   = 100
	mostNotes    = 50 // about a position, and about the vehicle
	mostPictures = 50 // of a position, and of all else
	mostMarks    = 400
	mostWishes   = 200
	mostWork     = 500 // of sheets in hand and their ticks
	mostSpells   = 200 // of work, between ticks
	mostProblems = 100
)

// Kept is the fold of a vehicle up to an entry, to fold later entries on top of.
type Kept struct {
	state  *State // its On is not set
	last   inOrder
	offset float64           // km to add to what the instrument shows
	open   map[*Place]bool   // holds moments that the next reading may give a distance
	ahead  map[string]*Entry // by id, about days that had not come
}

// inOrder is where an entry stands among those of its vehicle.
type inOrder struct {
	Date civil.Date
	At   time.Time
	ID   string
}

func placeInOrder(e *Entry) inOrder { return inOrder{e.Date, e.Instant(), e.ID} }

// before reports whether o comes before an entry.
func (o inOrder) before(e *Entry) bool {
	return byDate(&Entry{Date: o.Date, Recorded: o.At, ID: o.ID}, e) < 0
}

// NewKept is the fold of a vehicle of which nothing is recorded.
func NewKept(v *Vehicle) *Kept {
	k := &Kept{state: &State{Vehicle: v, Places: make(map[string]*Place, len(v.Positions))}, open: map[*Place]bool{},
		ahead: map[string]*Entry{}}
	for i := range v.Positions {
		p := &v.Positions[i]
		k.state.Places[p.ID] = &Place{Position: p, Fitted: there(p), Latest: map[string]*Finding{}}
	}
	return k
}

// With folds entries of the vehicle that arrived later on top of k, as of a day,
// and leaves k as it is. It returns false where they cannot be: one corrects
// another or comes before what is folded, and so does the day.
func (k *Kept) With(entries []*Entry, on civil.Date) (*Kept, bool) {
	due, ok := k.due(entries, on)
	if !ok || len(due) == 0 {
		return k, ok
	}
	out := k.clone()
	out.add(due, on)
	return out, true
}

// Add is With for a fold that nobody else has: it changes k itself.
func (k *Kept) Add(entries []*Entry, on civil.Date) bool {
	due, ok := k.due(entries, on)
	if ok && len(due) > 0 {
		k.add(due, on)
	}
	return ok
}

func (k *Kept) add(due []*Entry, on civil.Date) {
	clear(k.ahead)
	for _, e := range due {
		k.Next(e, on)
	}
}

// due returns what is to be folded on a day: the entries and what was ahead; false
// where it does not go on top.
func (k *Kept) due(entries []*Entry, on civil.Date) ([]*Entry, bool) {
	if k.last.Date.After(on) || slices.ContainsFunc(entries, func(e *Entry) bool { return e.Type == TypeCorrection }) {
		return nil, false
	}
	var due []*Entry
	for _, e := range k.ahead {
		due = append(due, e)
	}
	due = append(due, entries...)
	slices.SortFunc(due, byDate)
	if len(due) == 0 || due[0].Date.After(on) && len(entries) == 0 {
		return nil, true
	}
	return due, k.last.ID == "" || k.last.before(due[0])
}

// Next folds one more entry into k itself: the next by date, as Standing leaves
// it. One about a day after on is folded once its day has come.
func (k *Kept) Next(e *Entry, on civil.Date) {
	if e.Date.After(on) {
		k.ahead[e.ID] = e
		return
	}
	k.step(e)
}

// State returns the state on a day that With has gone up to. It is shared: nobody
// changes it.
func (k *Kept) State(on civil.Date) *State {
	s := *k.state
	s.On = on
	return &s
}

// Size is how much a fold holds, in findings and the like.
func (k *Kept) Size() int {
	s := k.state
	n := len(s.Readings)/4 + len(s.Notes) + len(s.Wishes) + len(s.Work) + len(s.Spells) + len(s.Problems) +
		len(k.ahead) + len(s.Pictures) + len(s.Supplies) + len(s.Marks)
	for _, p := range s.Places {
		n += 1 + len(p.Past) + len(p.Findings) + len(p.Hand) + len(p.Notes) + len(p.Pictures)
	}
	return n
}

// newest returns the last so many of a list.
func newest[T any](list []T, most int) []T {
	if len(list) > most {
		return slices.Delete(list, 0, len(list)-most)
	}
	return list
}

// thinned leaves out every second reading of the older half where there are too
// many. The first stays, which says since when the vehicle is watched.
func thinned(r []Reading) []Reading {
	if len(r) <= mostReadings {
		return r
	}
	out := make([]Reading, 0, mostReadings+1)
	for i, reading := range r {
		if i >= len(r)/2 || i%2 == 0 {
			out = append(out, reading)
		}
	}
	return out
}

// forget leaves out the oldest finding of a check where a new one makes them too
// many, figures and answers by themselves. Answers of the new one's day stay:
// the worst of them governs.
func (p *Place) forget(added *Finding) {
	most, n, oldest := mostAnswers, 0, -1
	if added.Value != nil {
		most = mostFigures
	}
	for i, f := range p.Findings {
		if f.Check != added.Check || (f.Value == nil) != (added.Value == nil) {
			continue
		}
		if n++; oldest < 0 {
			oldest = i
		}
	}
	if n <= most || p.Findings[oldest].Date == added.Date {
		return
	}
	gone := p.Findings[oldest]
	for _, f := range p.Findings {
		if f.Before == gone {
			f.Before = nil
		}
	}
	p.Findings = slices.Delete(p.Findings, oldest, oldest+1)
}

// waits notes that a place holds a moment to which a later reading may give its
// distance.
func (k *Kept) waits(p *Place, m Moment) {
	if !m.HasTotal && !m.Date.IsZero() {
		k.open[p] = true
	}
}

// between gives the moments since the last reading their distance, once the
// next one is known.
func (k *Kept) between(last Reading, has bool, next Reading) {
	for p := range k.open {
		waiting := false
		each := func(m *Moment) {
			switch {
			case m.HasTotal || m.Date.IsZero():
			case m.Date.After(next.Date):
				waiting = true
			case m.Date == next.Date:
				m.Total, m.HasTotal = next.Total, true
			case has && m.Date.After(last.Date):
				share := float64(m.Date.Sub(last.Date)) / float64(next.Date.Sub(last.Date))
				m.Total, m.HasTotal = last.Total+share*(next.Total-last.Total), true
			}
		}
		for _, part := range p.Past {
			each(&part.From)
			each(&part.To)
		}
		if p.Fitted != nil {
			each(&p.Fitted.From)
			each(&p.Fitted.To)
		}
		for _, f := range p.Findings {
			each(&f.Moment)
		}
		if !waiting {
			delete(k.open, p)
		}
	}
}
