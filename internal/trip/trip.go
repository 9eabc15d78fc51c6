package trip

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/looks"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// Options describes a trip and what is asked of the vehicle.
type Options struct {
	Km    float64    // there and back; hours of work where the vehicle counts them
	Start civil.Date // zero: today
	Days  int        // 0: as many as the distance takes at perDay
	Load  bool       // heavily loaded or towing
	Heat  bool       // great heat, or mountains
	// Under is the chance of being stranded that the owner accepts; 0 means
	// 1 in 50.
	Under float64
}

const (
	underUsual = 1.0 / 50
	daysMost   = 366
)

// far is how much a vehicle runs in a day of a trip and in the longest one, in its unit
// (common practice).
type far struct {
	perDay, longest float64
	unit, what      string
}

func farOf(v *fleet.Vehicle) far {
	if v.Counts == fleet.ByHours {
		return far{8, 24 * daysMost, "h", "hours of work"} // no more than there are
	}
	return far{500, 100_000, "km", "a distance"}
}

// Trip is whether a vehicle gets through a trip, what may let it down, and
// what to do, check and carry.
type Trip struct {
	Vehicle   *fleet.Vehicle
	On        civil.Date
	Start     civil.Date
	End       civil.Date
	Km        float64 // or hours of work
	From, To  float64 // total at start and end, in the same
	Distanced bool    // From and To are known
	Under     float64
	// Harder is how many times its distance, and Longer how many times its
	// days, the trip counts in wear: severe service.
	Harder, Longer float64

	Stands machine.Use        // what half-done work forbids, or ""
	Undone []machine.Undone   // and what it leaves undone
	Parked []*judge.Judgement // not to be driven before they are put right
	Left   []*judge.Judgement // what the owner has left as it is
	Must   []Fix              // to change before: past a limit, or past one on the way
	Passes []Pass
	Risks  []Risk // likeliest first
	// Stranded is the chance, 0 to 1, of being stranded by some part, and
	// LetDown that of any of them failing, as the vehicle stands; After is
	// Stranded with Must and Fixes done.
	Stranded, LetDown, After float64
	Fixes                    []Fix // the cheapest that bring After under Under
	Reached                  bool  // After is no more than Under
	// First are parts to be tested, or looked at, before the start: those on
	// watch whose finding asks for a test or whose next look falls due by then,
	// and those that can strand and of which nothing is known.
	First []*judge.Judgement
	// Looks are those that would tell most before the start, within lookMinutes.
	Looks      looks.Picked
	Check      []Check
	Carry      []Carry
	Currency   string
	Unreckoned int // parts that can strand and whose chance is not known

	r *advise.Report
}

// doubtful is the chance of being stranded beyond which nobody says "probably".
const doubtful = 0.25

// Doubtful reports whether one is likely enough to be stranded, even with Must and
// Fixes done, that nobody says "probably".
func (t *Trip) Doubtful() bool { return t.After > doubtful }

// Pass is a limit that is passed on the way.
type Pass struct {
	Judgement *judge.Judgement
	Reason    Reason
	Strands   bool
	Sure      bool // passed by the date or distance expected, not merely maybe
}

// Risk is the chance of one part failing on the trip.
type Risk struct {
	Judgement *judge.Judgement
	Chance    *ahead.Chance
	P, New    float64 // as it is, and with a new part
	Mend      aboard.Mend
}

// Fix is a part to change before the trip.
type Fix struct {
	Judgement *judge.Judgement
	Do        fleet.Action // what puts it right; a change where it is only old
	// Due says that its deadline is over by the end of the trip: it is not
	// advice.
	Due      bool
	Reason   Reason
	Money    float64
	Part     float64 // what the part costs that a licensed workshop may fit; 0: not known
	Minutes  float64 // with what it opens that those before it do not
	Was, New float64 // chance of failing on the trip

	openings []string
	mend     aboard.Mend

	set    *visit.SetOf // that it stands for, among Lines
	others []Fix        // of that set
}

// Check is something to look at on the way: a part on watch, or levels.
type Check struct {
	Judgement *judge.Judgement // nil for levels
	// Again says that it is to be looked at again before the end of the trip.
	Again  bool
	Levels []*fleet.Position

	units units.Preferences
}

// Carry is something to have on board.
type Carry struct {
	Things   []string
	Roadside string
	For      []*judge.Judgement
	P        float64 // chance of needing it
	// Aboard are those of Things that are aboard. With is the chance of being
	// stranded, as After, were all of them; equal to After where that changes nothing.
	Aboard      []string
	With, After float64
	Share       float64 // of all let-downs reckoned that it helps with, 0 to 1
}

// Ask works out whether the vehicle gets through a trip. It returns a
// *fleet.Error of kind Invalid where the trip makes no sense.
func Ask(r *advise.Report, opt Options) (*Trip, error) {
	if err := check(r, &opt); err != nil {
		return nil, err
	}
	t := &Trip{Vehicle: r.Vehicle, On: r.On, Start: opt.Start, End: opt.Start.AddDays(opt.Days - 1), Km: opt.Km,
		Under:  opt.Under,
		Harder: 1, Longer: 1, Parked: r.With(fleet.Park), Left: r.Left(), r: r}
	t.Stands, t.Undone = r.Forbidden()
	if s := r.Catalogue.Severe(); (opt.Load || opt.Heat) && s.Distance > 0 && s.Time > 0 {
		t.Harder, t.Longer = 1/s.Distance, 1/s.Time
	}
	t.From, t.Distanced = r.Forecast.Total(t.Start)
	if r.HasTotal && t.From < r.Total {
		t.From = r.Total
	}
	t.To = t.From + t.Km
	m, err := plan.PricesOf(r, plan.Options{})
	if err != nil {
		return nil, err
	}
	t.Currency = m.Currency()
	findRisks(r, t)
	findPasses(r, t)
	findMust(r, t, m)
	t.fix(m)
	findChecks(r, t)
	t.findLooks(r, m)
	t.carry(r)
	return t, nil
}

// Far reads how far a trip of a vehicle goes, or how many hours of work it is where the
// vehicle counts hours; a bare number is in a unit, where one is given. The error is a
// *fleet.Error.
func Far(v *fleet.Vehicle, typed, unit string) (float64, error) {
	typed, hint := strings.TrimSpace(typed), message.Text("write it as 2400 km or 1500 mi")
	if v.Counts == fleet.ByHours {
		hint = "write it as hours of work, such as 40 h"
	}
	if typed != "" && unit != "" && typed[len(typed)-1] >= '0' && typed[len(typed)-1] <= '9' {
		typed += " " + unit
	}
	q, err := units.Parse(typed, v.Counts.Dimension())
	if err != nil {
		return 0, &fleet.Error{Kind: fleet.Invalid, Where: "distance", Msg: message.Is(err), Hint: hint, Err: err}
	}
	return q.Base(), nil
}

func check(r *advise.Report, opt *Options) error {
	if opt.Start.IsZero() {
		opt.Start = r.On
	}
	if opt.Under == 0 {
		opt.Under = underUsual
	}
	f := farOf(r.Vehicle)
	if opt.Days == 0 {
		opt.Days = min(max(1, int(math.Ceil(opt.Km/f.perDay))), daysMost)
	}
	switch {
	case !(opt.Km > 0) || opt.Km > f.longest:
		return advise.Fault("distance", message.Of("a trip of %g %s cannot be reckoned", opt.Km, f.unit),
			message.Of("write %s above 0 and up to %.0f %s", f.what, f.longest, f.unit))
	case opt.Days < 1 || opt.Days > daysMost:
		return advise.Fault("days", message.Of("a trip of %d days cannot be reckoned", opt.Days),
			message.Of("write 1 to %d days", daysMost))
	case opt.Start.Before(r.On):
		return advise.Fault("start", message.Of("%s is past", told.Long(opt.Start)),
			message.Of("name a day from %s on", r.On.String()))
	case !(opt.Under > 0) || opt.Under >= 1:
		return advise.Fault("under", "the chance you accept must lie between 0 and 1", "write it as 1in50")
	}
	return nil
}

// findRisks reckons the chance of every part that can let one down.
func findRisks(r *advise.Report, t *Trip) {
	t.LetDown = 1
	for i := range r.Judgements {
		j := &r.Judgements[i]
		if j.Kind.Life == nil {
			continue
		}
		c, ok := ahead.ChanceOf(r, j)
		if !ok || c.Guessed() {
			if j.Strands() {
				t.Unreckoned++
			}
			continue
		}
		risk := Risk{Judgement: j, Chance: c, Mend: r.Mend(j)}
		risk.P, risk.New = c.During(t.Start, t.From, t.Km*t.Harder, float64(t.End.Sub(t.Start)+1)*t.Longer)
		t.Risks = append(t.Risks, risk)
		t.LetDown *= 1 - risk.P
	}
	slices.SortStableFunc(t.Risks, func(a, b Risk) int { return cmp.Compare(b.P, a.P) })
	serve(t.Risks)
	t.Stranded, t.LetDown = t.stranded(nil), 1-t.LetDown
}

// findPasses finds what passes a limit on the way: intervals and wear.
func findPasses(r *advise.Report, t *Trip) {
	for i := range r.Judgements {
		j := &r.Judgements[i]
		if j.Verdict >= fleet.PutRight {
			continue
		}
		strands := j.Strands()
		if w, d, ok := r.Next(j); ok && !w.Reached {
			switch {
			case d.Mark.HasTotal && t.Distanced && d.Mark.Total <= t.From:
				t.pass(j, strands, true, Reason{Code: DueBefore, Authority: d.Interval.Authority})
			case !d.Mark.Date.IsZero() && !d.Mark.Date.After(t.Start):
				t.pass(j, strands, true, Reason{Code: DueBefore, On: d.Mark.Date, Authority: d.Interval.Authority})
			case d.Mark.HasTotal && t.Distanced && d.Mark.Total <= t.To:
				t.pass(j, strands, true, Reason{Code: DueAfter, Km: d.Mark.Total - t.From,
					Authority: d.Interval.Authority})
			case !d.Mark.Date.IsZero() && !d.Mark.Date.After(t.End):
				t.pass(j, strands, true, Reason{Code: DueOn, On: d.Mark.Date, Authority: d.Interval.Authority})
			}
		}
		wearOnTrip(r, t, j, strands)
	}
}

// wearOnTrip finds the first forecast of a measured figure that meets its limit
// on the way.
func wearOnTrip(r *advise.Report, t *Trip, j *judge.Judgement, strands bool) {
	for _, w := range ahead.Wearouts(r, j) {
		if w.Prior || w.Crossed {
			continue
		}
		sure, maybe := w.When.Expected, w.When.Earliest
		end := t.End.AddDays(int(float64(daysFor(r, t.Km)) * t.Harder))
		switch {
		case !sure.IsZero() && !sure.After(end):
			t.pass(j, strands, true, Reason{Code: WearsOut, Check: w.Check, Bound: w.Bound,
				Authority: w.Limit.Authority})
			return
		case !maybe.IsZero() && !maybe.After(end):
			t.pass(j, strands, false, Reason{Code: MayWearOut, Check: w.Check, Bound: w.Bound,
				Authority: w.Limit.Authority})
			return
		}
	}
}

// daysFor is the number of days in which the vehicle usually runs a distance:
// the trip brings wear forward by as much.
func daysFor(r *advise.Report, km float64) int {
	perDay := r.PerDay()
	if perDay <= 0 {
		return 0
	}
	return int(km / perDay)
}

func (t *Trip) pass(j *judge.Judgement, strands, sure bool, why Reason) {
	why.units, why.counts = t.r.Units, t.Vehicle.Counts
	t.Passes = append(t.Passes, Pass{Judgement: j, Reason: why, Strands: strands, Sure: sure})
}
