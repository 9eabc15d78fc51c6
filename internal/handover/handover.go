// Package handover gathers what the next one in charge of a vehicle wants to know.
//
// # Question answered
//
// What was done, when, at what distance, with which part: of one vehicle on one page for
// its buyer, for who borrows it and for the next mechanic, and behind it the record part
// by part. What comes first differs; what is said of a part does not.
//
// # Method
//
// The page is gathered from the report as it stands: what asks for something with its
// deadline, what falls due, what was fitted when, and what is not known: never looked at,
// fitted nobody knows when, looked at too long ago. In the record a run of looks at one
// part that found nothing is one line with its span and count. Left out of it are plans,
// ticks of job sheets, openings, what is aboard and what was bought, and of the odometer
// all but its first and last reading.
//
// # Limits
//
// It says what is recorded, not what is so, and judges nothing that the report does not.
package handover

import (
	"cmp"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
)

// For is who a vehicle is handed to.
type For string

// Who a vehicle is handed to.
const (
	Buyer    For = "buyer"
	Mechanic For = "mechanic"
	Driver   For = "driver"
)

// Whom lists all of them.
func Whom() []For { return []For{Buyer, Mechanic, Driver} }

// With says what stands in a hand-over that may be left out.
type With struct{ Prices, Names bool }

// Handover is what is handed over with a vehicle.
type Handover struct {
	*advise.Report // its record without what is left out
	For            For
	Shows          With

	Open   []*judge.Judgement // parks, or to be put right, the nearest deadline first
	Watch  []*judge.Judgement
	Waits  []*judge.Judgement // of which a part was bought and is not fitted yet
	Due    []Due              // soonest first, without what is open
	Fitted []*judge.Judgement // of which it is known when, the newest first
	Unknown
	Parts []Part // that have a record, as one walks round; the vehicle as a whole last
}

// Due is a part and when it falls due.
type Due struct {
	*judge.Judgement
	When advise.When
	By   *judge.Due
}

// Unknown is what is not known. No part stands in two of its lists.
type Unknown struct {
	Neither  []*judge.Judgement // never looked at, and fitted nobody knows when
	Unseen   []*judge.Judgement // never looked at since it was fitted
	Undated  []*judge.Judgement // fitted nobody knows when
	LongSeen []*judge.Judgement // looked at longer ago than it should be
}

// Part is the record of one part, or with no position of the vehicle as a whole.
type Part struct {
	Position *fleet.Position
	Lines    []Line         // newest first
	Pictures []*fleet.Entry // newest first
}

// Line is a line of the record, or a run of looks that found nothing.
type Line struct {
	advise.HistoryLine
	Words  message.Text // of what was found on one day together
	Others int          // answers of that day that found nothing, beside what was found
	Run    *Run
}

// Run is a run of looks at one part that found nothing.
type Run struct {
	From, To civil.Date
	Looks    int // days on which it was looked at
	Answers  int
	Figures  []message.Text // the newest of each check that is answered by one
	checks   []string       // of these
}

// New gathers what is handed over. The report has the whole record of its vehicle.
func New(r *advise.Report, whom For, with With) *Handover {
	h := &Handover{Report: bare(r, with), For: whom, Shows: with}
	press := r.Pressing()
	h.Open, h.Watch = slices.Concat(r.With(fleet.Park), press.All()), r.With(fleet.Watch)
	for i := range r.Judgements {
		j := &r.Judgements[i]
		if j.Place.Bought != nil {
			h.Waits = append(h.Waits, j)
		}
		if part := j.Place.Fitted; part != nil && part.Known != fleet.Unknown && !part.From.Date.IsZero() {
			h.Fitted = append(h.Fitted, j)
		}
		if w, d, ok := r.Next(j); ok && !w.Expected.IsZero() && !slices.Contains(h.Open, j) {
			h.Due = append(h.Due, Due{j, w, d})
		}
		h.unknown(j)
	}
	slices.SortStableFunc(h.Fitted, func(a, b *judge.Judgement) int {
		return b.Place.Fitted.From.Date.Compare(a.Place.Fitted.From.Date)
	})
	slices.SortStableFunc(h.Due, func(a, b Due) int { return a.When.Expected.Compare(b.When.Expected) })
	if whom != Driver {
		h.record()
	}
	return h
}

// bare is a report whose record lacks what is left out.
func bare(r *advise.Report, with With) *advise.Report {
	out, state := *r, *r.State
	state.Record = make([]*fleet.Entry, len(r.State.Record))
	for i, e := range r.State.Record {
		state.Record[i] = e.Without(!with.Prices, !with.Names)
	}
	out.State = &state
	return &out
}

func (u *Unknown) unknown(j *judge.Judgement) {
	undated := j.Place.Fitted != nil && (j.Place.Fitted.Known == fleet.Unknown || j.Place.Fitted.From.Date.IsZero())
	switch {
	case j.Looked.Never && undated:
		u.Neither = append(u.Neither, j)
	case j.Looked.Never:
		u.Unseen = append(u.Unseen, j)
	case undated:
		u.Undated = append(u.Undated, j)
	case j.Looked.Stale:
		u.LongSeen = append(u.LongSeen, j)
	}
}

// Count is of how many parts something is not known.
func (u *Unknown) Count() int {
	return len(u.Neither) + len(u.Unseen) + len(u.Undated) + len(u.LongSeen)
}

// record gathers the record part by part.
func (h *Handover) record() {
	shots := map[string][]*fleet.Entry{}
	for _, e := range slices.Backward(h.Pictures()) {
		shots[e.Picture.Position] = append(shots[e.Picture.Position], e)
	}
	lines := advise.History(h.Report, "") // newest first, as the record backwards
	walk := h.Walk()
	of := make([][]fact, len(walk)+1) // the last: of no position
	for i, e := range slices.Backward(h.State.Record) {
		if !alone(e) {
			continue
		}
		f, placed := fact{lines[len(lines)-1-i], e}, false
		for k, j := range walk {
			if advise.Concerns(e, j.Position.ID) {
				of[k], placed = append(of[k], f), true
			}
		}
		if !placed {
			of[len(walk)] = append(of[len(walk)], f)
		}
	}
	for k, j := range walk {
		h.part(Part{j.Position, folded(of[k]), shots[j.Position.ID]})
	}
	h.part(Part{nil, folded(of[len(walk)]), shots[""]})
}

// fact is an entry and its line.
type fact struct {
	advise.HistoryLine
	entry *fleet.Entry
}

// folded makes lines of facts, the newest first: what was found on one day is one, and
// days on which nothing was found are one.
func folded(facts []fact) []Line {
	rank := func(f fact) int {
		switch {
		case f.entry.Found == nil:
			return 0
		case !f.Sound:
			return 1
		}
		return 2
	}
	slices.SortStableFunc(facts, func(a, b fact) int {
		return cmp.Or(b.Date.Compare(a.Date), rank(a)-rank(b))
	})
	var out []Line
	for _, f := range facts {
		last := &Line{}
		if n := len(out); n > 0 {
			last = &out[n-1]
		}
		found := last.Run == nil && last.What == f.What && last.Date == f.Date
		switch {
		case rank(f) == 2 && found:
			last.Others++
		case rank(f) == 2 && last.Run != nil:
			last.Run.take(f)
		case rank(f) == 2:
			out = append(out, Line{HistoryLine: f.HistoryLine, Run: &Run{To: f.Date}})
			out[len(out)-1].Run.take(f)
		case rank(f) == 1 && found:
			last.Words = message.Of("%s; %s", last.Words, f.Words)
		default:
			out = append(out, Line{HistoryLine: f.HistoryLine, Words: f.Words})
		}
	}
	return out
}

// part adds a part that has something to show.
func (h *Handover) part(p Part) {
	if len(p.Lines)+len(p.Pictures) > 0 {
		h.Parts = append(h.Parts, p)
	}
}

// alone reports whether an entry has a line of its own in the record.
func alone(e *fleet.Entry) bool {
	return e.Fitted != nil || e.Found != nil || e.Done != nil || e.Note != nil || e.Aside != nil || e.Instrument != nil
}

// take adds an older answer to a run.
func (r *Run) take(f fact) {
	if r.Looks == 0 || r.From != f.Date {
		r.Looks++
	}
	r.From = f.Date
	r.Answers++
	if of := f.entry.Found; of.Value != nil && !slices.Contains(r.checks, of.Check) {
		r.checks, r.Figures = append(r.checks, of.Check), append(r.Figures, f.Words)
	}
}
