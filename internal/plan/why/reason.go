package why

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/units"
)

// Code names a kind of reason. JSON carries it, tests check it, and only the
// words files phrase it.
type Code string

// What makes a task due (Cause).
const (
	DueVerdict  Code = "verdict"  // what governs the part's verdict
	DueWatch    Code = "on watch" // it is to be looked at again
	DueInterval Code = "interval" // When its interval ends
	DueWear     Code = "wear"     // a measured figure meets its limit
	DueAgain    Code = "again"    // the plan has changed it before
)

// Cause is what makes a task due: a code and the arguments that it names. The
// zero value is a task with no reason of its own.
type Cause struct {
	Code      Code
	Judgement *judge.Judgement // DueVerdict, DueWatch
	Authority fleet.Authority  // DueInterval, DueWear: whose interval or limit
	When      advise.When      // DueInterval
	Check     *catalogue.Check // DueWear: the figure that is measured
	Bound     units.Quantity   // DueWear: its limit
	By        civil.Date       // DueWear, DueAgain: a day of the month it is due by
	Life      int              // DueAgain: months since the last

	units units.Preferences
}

// Why a task stands at its visit (Stand). At its limit the code is "".
const (
	StandSettled Code = "settled"           // as the owner settled
	StandLate    Code = "late"              // nothing earlier fits the limits
	StandShared  Code = "vehicles share"    // by itself it would be done in Month
	StandWith    Code = "along with"        // done along with With, which brings it
	StandPace    Code = "with the visit"    // With says why the visit stands here
	StandClosed  Code = "no visits before"  // no visits in the months before its limit
	StandNoRoom  Code = "no room later"     // the visit of Month has no room for it
	StandSpares  Code = "spares a visit"    // else it would need a visit of its own
	StandOpening Code = "shares opening"    // the visit of Month does not open Opening
	StandRisk    Code = "waiting adds risk" // until Month: Risk against Lost
	StandSame    Code = "as dear later"     // in Month it comes to about the same
)

// Scope says how much of a visit a Stand is about.
type Scope string

// The scopes of a Stand; "" is the task alone.
const (
	ScopeGroup Scope = "what goes with it"
	ScopeVisit Scope = "all that goes with it"
)

// Stand is why a task stands at its visit: a code and the arguments it names.
type Stand struct {
	Code Code
	// Early is how many months before its limit it stands, below 0 after it;
	// with StandSettled 0 where that is not worth saying.
	Early   int
	Scope   Scope
	With    Subject // StandWith, StandPace; StandSpares, StandOpening: shared with
	Within  bool    // StandWith: it is within reach then
	Month   civil.Date
	Opening *fleet.Opening // StandSpares, StandOpening: the dearest that is shared
	// Risk is the risk on the road that waiting adds and Lost the life that is
	// thrown away by not waiting, as money.
	Risk, Lost float64

	Currency string
}

// Reason is why a task is in the plan and where it stands in it.
type Reason struct {
	Cause Cause
	Stand Stand
}

// Subject names a task: the part it changes, the round, or what it looks at.
type Subject struct {
	Position  *fleet.Position
	OilChange bool // of a position: the oil change, with its round
	Round     bool
	Looks     []*judge.Judgement
}

// What has to give for a plan to exist (Give).
const (
	GiveParted Code = "spread over several visits" // what is changed together with Tasks
	GiveHours  Code = "too long for a visit"       // Tasks need Needs hours, there are Limit
	GiveMoney  Code = "too dear for a month"       // Tasks need Needs, there is Limit
	GiveUndone Code = "no room"                    // Tasks are due and never done
	// Tasks are due and wait for a visit after the plan, which is cheaper
	GiveWaits     Code = "waits"
	GiveOver      Code = "a little more"   // Month comes to a little more than Limit
	GiveParkedNow Code = "parked now"      // the first visit is held though left out
	GiveHeld      Code = "held as settled" // Month is left out, but a visit was settled
	GiveNoWaiting Code = "does not wait"   // a parked part does not wait until Month
	GiveOverfull  Code = "months too full" // Overfull; Moved tasks move, at Costs
	GiveLate      Code = "past its limit"  // Tasks are first done after their limit
)

// Give is something that had to give for a plan to exist: a code and the
// arguments it names.
type Give struct {
	Code     Code
	Vehicle  *fleet.Vehicle // in the plan of a yard; nil: all of them
	Tasks    []Subject
	Limit    float64 // hours, or money in Currency
	Needs    float64
	Currency string
	Month    fleet.Month

	Overfull []Overfull // in order of months
	Shared   Limits     // what there is in a month for all
	Moved    int
	Costs    float64
}

// Overfull is a month of which the vehicles, each by itself, would take too
// much.
type Overfull struct {
	Month civil.Date // its last day
	Hours float64    // 0: not too much
	Money float64    // 0: not too much
}

// Limits are what there is in a month for all vehicles of a yard; 0: no limit.
type Limits struct {
	Hours    float64
	Money    float64
	Currency string
}

// OfVerdict is the cause of a task that a part's verdict asks for; code is
// DueVerdict or DueWatch, and units are what its words are written in.
func OfVerdict(code Code, j *judge.Judgement, units units.Preferences) Cause {
	return Cause{Code: code, Judgement: j, units: units}
}

// RoundPlace stands for a round where a position would be named.
const RoundPlace = "round"

// Wish is what the owner has settled, or tries, about a plan.
type Wish struct {
	Entry    string          // id of the journal entry; "": only tried
	Position *fleet.Position // nil: the visit itself
	Month    fleet.Month
	Not      bool
	Note     string
	// Costs is what the plan costs more than the cheapest found without this
	// one wish, time and risk counted in.
	Costs float64
	// Parked says that it is not followed, since the part must be put right
	// before the vehicle is driven.
	Parked   bool
	Currency string // of Costs
	Late     int    // months past the part's own limit
}

// NoWaiting is what gives where a parked part was wished for later.
func (w *Wish) NoWaiting() Give {
	return Give{Code: GiveNoWaiting, Tasks: []Subject{{Position: w.Position}}, Month: w.Month}
}

// Short is enough of its entry's id to tell it from others by.
func (w *Wish) Short() string { return w.Entry[max(0, len(w.Entry)-8):] }

// Along reports whether a task stands at its visit only because another does.
func (r Reason) Along() bool {
	return r.Cause.Code == "" || r.Stand.Code == StandWith && r.Cause.Code != DueVerdict && r.Cause.Code != DueWear
}
