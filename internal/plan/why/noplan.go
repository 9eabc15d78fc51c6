package why

import "undertray.example/undertray/civil"

// Why no plan keeps the limits (NoPlan).
const (
	WantedClosed Code = "visit wanted while closed" // in Month
	TooLarge     Code = "too large for any visit"   // Tasks need Needs, there is Have at most
	NeverInTime  Code = "no month in time"          // Tasks are due by Month
	DueTogether  Code = "too much due in a month"   // Tasks, in Month
	DueByThen    Code = "too much due by the end"   // Tasks, by the end of Month
	AllSearched  Code = "every way was searched"    // the furthest fails in Month, where that is known
)

// NoPlan is why no plan keeps the limits: a code and the arguments it names.
type NoPlan struct {
	Code  Code
	Tasks []Subject  // empty: a visit
	Month civil.Date // its last day; zero: not known
	// Needs and Have are hours, or money in Currency where Money.
	Needs, Have float64
	Money       bool
	Currency    string
}
