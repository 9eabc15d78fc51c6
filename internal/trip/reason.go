package trip

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/units"
)

// Code names a kind of reason. JSON carries it, tests check it, and only the
// words files phrase it.
type Code string

// Why a part concerns a trip.
const (
	Verdict    Code = "verdict"      // what governs the verdict of Judgement asks for its change
	LeftAside  Code = "left"         // as Verdict, but the owner leaves it, with a reason
	CanWait    Code = "can wait"     // as Verdict, but it does until the vehicle is back
	DueBefore  Code = "due before"   // its interval ends before the start, on On where the calendar says so
	DueAfter   Code = "due after"    // its interval ends after Km of the trip
	DueOn      Code = "due on"       // its interval ends on On, on the way
	WearsOut   Code = "wears out"    // the figure of Check likely passes Bound on the way
	MayWearOut Code = "may wear out" // the figure of Check may pass Bound on the way
	LetsDown   Code = "lets down"    // changing it takes most off the chance for its cost
)

// Reason is why a part concerns a trip: a code and the arguments it names.
type Reason struct {
	Code      Code
	Judgement *judge.Judgement // Verdict, CanWait, LetsDown
	Authority fleet.Authority  // whose interval or limit
	On        civil.Date
	Km        float64 // or hours, where they are counted
	Check     *catalogue.Check
	Bound     units.Quantity

	units  units.Preferences
	counts fleet.Counter
}
