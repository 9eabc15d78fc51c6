package fleet

import (
	"cmp"
	"slices"
	"sort"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
)

// State is what the journal says about one vehicle on one day.
type State struct {
	Vehicle  *Vehicle
	On       civil.Date
	Began    civil.Date // date of the first entry; zero when there is none
	Readings []Reading  // total distance over the days, never falling; see mostReadings
	Places   map[string]*Place
	Notes    []*Entry // the newest notes about the vehicle as a whole, oldest first
	Wishes   []*Entry // what the owner has settled about visits, oldest first; the newest of many
	Open     []*Entry // what was opened and not closed again, in that order
	Aboard   []*Entry // what is carried, as it came aboard; the newest of many
	// Work holds the job sheets that are worked through, and the ticks of their
	// steps that stand, in the order of their entries.
	Work []*Entry
	// Spells are the stretches of work between ticks of job sheets, oldest first;
	// the newest of many.
	Spells []Spell
	// Pictures are those of no position, oldest first; the newest of many.
	Pictures []*Entry
	// Marks are drawn on pictures, oldest first; the newest of many.
	Marks []*Entry
	// Supplies are the consumables that were bought and not used since, oldest first.
	Supplies []*Entry
	// Record holds every entry that stands on that day, corrected ones in
	// their corrected form, by date. It is nil in the state of a Kept.
	Record []*Entry
	// Problems are the newest facts that contradict the journal or the sheet
	// and were left out, and MoreProblems how many there were before them.
	Problems     []Problem
	MoreProblems int
}

// Reading is one odometer reading as total distance of the vehicle's life.
type Reading struct {
	Date  civil.Date
	Total float64 // km
	Entry string  // id of the entry it came from
}

// Place is a position with what is and was on it.
type Place struct {
	Position *Position
	// Fitted is the part there now. Where the journal does not say, it is a
	// part of unknown history; nil means that nothing is there.
	Fitted *Part
	Past   []*Part // parts before it, oldest first; the newest of many
	// Latest holds, by check, the newest finding on the fitted part that
	// later work has not settled.
	Latest map[string]*Finding
	// Findings at the position, oldest first: of each check the newest figures
	// and the newest answers (see mostFigures, mostAnswers).
	Findings []*Finding
	// Hand holds what was found on parts once they were off and in the hand,
	// oldest first; the newest of many.
	Hand  []*Finding
	Notes []*Entry // the newest, oldest first
	// Pictures were taken there, oldest first; the newest of many.
	Pictures []*Entry
	// Aside is how the owner last left what the fitted part asks for, nil where
	// nothing is left; Left holds the ids of the findings it holds for.
	Aside *Entry
	Left  map[string]bool
	// Bought is what was bought for the position last and waits to be fitted, or nil.
	Bought *Entry
}

// Part is what is or was fitted at a position from one moment to another.
type Part struct {
	Spec    PartSpec
	Known   Known
	From    Moment // zero date: not known
	To      Moment // zero date: still there
	Removed Removal
	Entry   string // id of the fitted entry, "" when implied
	Off     string // id of the entry that took it off, "" while it is there
}

// Moment is a day and the vehicle's total distance on it.
type Moment struct {
	Date     civil.Date
	Total    float64 // km; meaningful only with HasTotal
	HasTotal bool
}

// Finding is a Found entry placed in time.
type Finding struct {
	*Found
	Moment
	Entry string
	// Settled is the id of the later entry that put it right, or "".
	Settled string
	// Before is the answer to the same check given earlier on the same day and
	// not settled between, or nil. Of such answers the worst governs, which
	// package judge finds: a clock does not decide between them.
	Before *Finding
}

// Problem says what is wrong with an entry.
type Problem struct {
	Entry string
	Date  civil.Date
	Msg   message.Text
	Hint  message.Text
}

// Place returns the place with this position id, or nil.
func (s *State) Place(id string) *Place { return s.Places[id] }

// Bought is how a consumable was bought that is not used yet, or nil.
func (s *State) Bought(what string) *Entry {
	for _, e := range s.Supplies {
		if e.Bought.Of.What == what {
			return e
		}
	}
	return nil
}

// Last returns the last reading, and false when there is none.
func (s *State) Last() (Reading, bool) {
	if len(s.Readings) == 0 {
		return Reading{}, false
	}
	return s.Readings[len(s.Readings)-1], true
}

// TotalOn returns the total distance on a day between two readings by linear
// interpolation, or the reading of that very day. Outside the readings it
// returns false.
func (s *State) TotalOn(day civil.Date) (float64, bool) {
	r := s.Readings
	i := sort.Search(len(r), func(i int) bool { return !r[i].Date.Before(day) })
	if i == len(r) {
		return 0, false
	}
	if r[i].Date == day {
		return r[i].Total, true
	}
	if i == 0 {
		return 0, false
	}
	a, b := r[i-1], r[i]
	share := float64(day.Sub(a.Date)) / float64(b.Date.Sub(a.Date))
	return a.Total + share*(b.Total-a.Total), true
}

// InHand returns what was found on a part of the place once it was off.
func (p *Place) InHand(part *Part) []*Finding {
	var out []*Finding
	for _, f := range p.Hand {
		if part.Off != "" && f.Off == part.Off {
			out = append(out, f)
		}
	}
	return out
}

// Material returns the material the part is known to be of, or "".
func (p *Part) Material() string { return p.Spec.Material }

// Had reports whether a finding is of the part. On the day on which it came or went
// the ids of the entries say what was first, as in [Place.ChangedAfter].
func (p *Part) Had(f *Finding) bool {
	if d := f.Date.Compare(p.From.Date); d < 0 || d == 0 && p.Known == Recorded && f.Entry < p.Entry {
		return false
	}
	d := f.Date.Compare(p.To.Date)
	return p.To.Date.IsZero() || d < 0 || d == 0 && (p.Off == "" || f.Entry < p.Off)
}

// ChangedAfter reports whether a part was fitted at the place after an entry, by
// day and then by id.
func (p *Place) ChangedAfter(e *Entry) bool {
	after := func(part *Part) bool {
		return part != nil && part.Entry != "" && part.Known == Recorded &&
			cmp.Or(part.From.Date.Compare(e.Date), cmp.Compare(part.Entry, e.ID)) > 0
	}
	return after(p.Fitted) || slices.ContainsFunc(p.Past, after)
}
