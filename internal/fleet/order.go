package fleet

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// MaxClock is the greatest error of a clock, in seconds, that an entry may
// carry: some hundred years, as of a device that has lost its date.
const MaxClock = 4e9

// Instant returns when the entry was typed: what its device's clock showed, put
// right by the error found when it was sent.
func (e *Entry) Instant() time.Time {
	if e.Clock == 0 {
		return e.Recorded
	}
	whole, part := math.Modf(e.Clock)
	return e.Recorded.Add(time.Duration(whole)*time.Second + time.Duration(part*1e9))
}

// FormatOf returns the earliest version of the encoding that can hold the
// entry.
func FormatOf(e *Entry) int {
	least := 1
	if e.Clock != 0 {
		least = 2
	}
	if e.Aside != nil || e.Opened != nil {
		least = 3
	}
	if e.Aboard != nil || e.Work != nil {
		least = 4
	}
	if e.Found != nil && e.Found.Off != "" {
		least = 5
	}
	if e.Work != nil && len(e.Work.Set) > 0 {
		least = 6
	}
	if e.Picture != nil || e.Bought != nil || e.Done != nil && e.Done.Used != nil {
		least = 7
	}
	if e.Mark != nil || e.Picture != nil && e.Picture.Part != nil {
		least = 8
	}
	if e.Found != nil && e.Found.Counted != nil || e.Mark != nil && e.Mark.Belt != nil {
		least = 9
	}
	if e.Found != nil && e.Found.Counted != nil && e.Found.Counted.By == ByOutline ||
		e.Mark != nil && e.Mark.Outline != nil {
		least = 10
	}
	if in := e.Correction; in != nil && in.Instead != nil {
		least = max(least, FormatOf(in.Instead))
	}
	return least
}

// byInstant orders entries by when they were typed, then by id, which is
// unique. It asks only what stands in the entries, so that every store and
// every merge orders alike.
func byInstant(a, b *Entry) int {
	return cmp.Or(a.Instant().Compare(b.Instant()), cmp.Compare(a.ID, b.ID))
}

// byDate orders entries by the day they are about, and within a day by when
// they were typed.
func byDate(a, b *Entry) int {
	return cmp.Or(a.Date.Compare(b.Date), byInstant(a, b))
}

// IsShortName reports whether a text can name a vehicle, a position or a check:
// small letters, digits and dashes.
func IsShortName(s string) bool {
	for i := range len(s) {
		if c := s[i]; (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
			return false
		}
	}
	return s != "" && len(s) <= 100
}

// SortByDate sorts entries by the day they are about, and within a day by when
// they were typed: the order in which they are folded.
func SortByDate(entries []*Entry) { slices.SortFunc(entries, byDate) }
