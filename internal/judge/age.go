package judge

import (
	"cmp"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// UsualOilChange is the rhythm taken where a sheet does not say how often the
// oil is changed: 10 000 km or 12 months (common practice).
var usualOilChange = fleet.Again{Distance: quantity("10000 km"), Time: quantity("12 months")}

// UsualInHours is the same for one that counts hours: 100 h or 12 months (from memory).
var usualInHours = fleet.Again{Distance: quantity("100 h"), Time: quantity("12 months")}

func quantity(s string) *units.Quantity {
	q := units.MustParse(s)
	return &q
}

// Due is when a part is due for a change under one authority.
type Due struct {
	Interval *fleet.Interval
	Mark     Mark
	Passed   bool
	// OnCondition says that this authority names no figure.
	OnCondition bool
	// Assumed says that the part's history is not known. Where a wrong guess
	// hurts, as Guess says why, it is taken to be as old as the vehicle; else
	// there is no Mark: it is looked at first.
	Assumed bool
	Guess   *catalogue.IfUnknown
	// Rough is when a part of unknown history that was found sound is due as the
	// renewal that its interval implies has it, and zero elsewhere. It is no
	// opinion: no verdict rests on it.
	Rough Mark
	// Outlived says that the part's history is not known, but that it has been
	// watched for the whole interval: it is that old at least.
	Outlived bool
	// Severe says that the figures were shortened for severe service.
	Severe  bool
	Governs bool
}

// dues returns the replacement intervals that hold for the part at a place,
// each with the mark at which it falls due, soonest first.
func (in *Input) dues(place *fleet.Place, kind *catalogue.Kind) []Due {
	from, assumed := in.from(place.Fitted)
	var out []Due
	for _, iv := range intervals(kind, place, fleet.DoReplace) {
		d := Due{Interval: iv, OnCondition: iv.OnCondition, Assumed: assumed}
		if u := kind.IfUnknown; assumed && u != nil && (!u.OnceLooked || len(place.Findings) > 0) {
			d.Guess = u
		}
		if !iv.OnCondition && d.Untold() {
			in.implied(&d, place)
		}
		if !iv.OnCondition && !d.Untold() && !d.Outlived {
			dist, time := in.severe(iv)
			d.Severe = dist != 1 || time != 1
			d.Mark = after(from, iv.Distance, iv.Time, dist, time)
			if iv.NotBefore != nil && d.Mark.HasTotal {
				d.Mark.Total = max(d.Mark.Total, dist*iv.NotBefore.Base())
			}
			d.Passed = d.Mark.Passed(in.State.On, in.Total, in.HasTotal)
		}
		out = append(out, d)
	}
	slices.SortStableFunc(out, func(a, b Due) int { return in.sooner(a.Mark, b.Mark) })
	return out
}

// Untold reports whether no date is given since nothing is known of the part
// and a look at it comes first.
func (d *Due) Untold() bool { return d.Assumed && d.Guess == nil && !d.Outlived }

// meanAge is the mean age of a part that is renewed at each end of its interval,
// as a share of it: owners who keep to it have one of any age up to it, which
// the engine of conditions takes of them too (computed).
const meanAge = 0.5

// implied says when a part of unknown history is due that has been watched since
// the journal began. A vehicle younger than half an interval has its first part.
func (in *Input) implied(d *Due, place *fleet.Place) {
	v, began := in.State.Vehicle, in.State.Began
	if began.IsZero() {
		return
	}
	from := fleet.Moment{Date: began}
	from.Total, from.HasTotal = in.State.TotalOn(began)
	dist, time := in.severe(d.Interval)
	if sure := after(from, d.Interval.Distance, d.Interval.Time, dist, time); sure.Passed(in.State.On,
		in.Total, in.HasTotal) {
		d.Mark, d.Passed, d.Outlived = sure, true, true
		return
	}
	if len(place.Findings) == 0 {
		return
	}
	left := func(q *units.Quantity, used float64) float64 {
		if q == nil || q.Base() <= 0 {
			return 1
		}
		return 1 - min(meanAge, used/q.Base())
	}
	byDistance, byTime := left(d.Interval.Distance, from.Total), 1-meanAge
	if !v.Built.IsZero() {
		byTime = left(d.Interval.Time, float64(began.Sub(v.Built)))
	}
	d.Rough = after(from, d.Interval.Distance, d.Interval.Time, dist*byDistance, time*byTime)
}

// severe returns the factors by which severe service shortens an interval, as
// the catalogue has them. A vehicle maker's own figures are left alone: the
// owner enters the severe schedule of the handbook where it has one.
func (in *Input) severe(iv *fleet.Interval) (distance, time float64) {
	s := in.Catalogue.Severe()
	if !in.State.Vehicle.Severe || iv.Authority == fleet.VehicleMaker || s.Distance == 0 || s.Time == 0 {
		return 1, 1
	}
	return s.Distance, s.Time
}

// placed is a moment with the distance it fell at: what was read on its day, else what
// the readings about it, of which the distance expected by State.On is the last, say by the day.
func (in *Input) placed(m fleet.Moment) fleet.Moment {
	if m.HasTotal || m.Date.IsZero() || m.Date.After(in.State.On) {
		return m
	}
	if m.Total, m.HasTotal = in.State.TotalOn(m.Date); m.HasTotal || !in.HasTotal {
		return m
	}
	m.Total, m.HasTotal = in.Total, true
	if r := in.State.Readings; len(r) > 0 && m.Date.Before(in.State.On) && !r[len(r)-1].Date.After(m.Date) {
		last := r[len(r)-1] // the newest: none lies after the moment
		share := float64(m.Date.Sub(last.Date)) / float64(in.State.On.Sub(last.Date))
		m.Total = last.Total + share*(in.Total-last.Total)
	}
	return m
}

func (in *Input) from(p *fleet.Part) (m fleet.Moment, assumed bool) { return From(in.State.Vehicle, p) }

// From is the moment a part's age counts from: its fitting, or the vehicle's
// first day where the history is not known, which assumed then says.
func From(v *fleet.Vehicle, p *fleet.Part) (m fleet.Moment, assumed bool) {
	m = p.From
	if m.Date.IsZero() && !m.HasTotal {
		return fleet.Moment{Date: v.Built, HasTotal: true}, true
	}
	return m, false
}

// ageReasons turns dues into opinions on age, one for each authority and
// source, and marks the dues that govern.
func (in *Input) ageReasons(dues []Due) []Reason {
	var out []Reason
	for i := range dues {
		d := &dues[i]
		verdict := fleet.Keep
		switch {
		case d.Passed:
			verdict = fleet.PutRight
		case d.Untold() && !d.OnCondition:
			verdict = fleet.Unseen
		}
		k := slices.IndexFunc(out, func(r Reason) bool {
			return r.Authority == d.Interval.Authority && r.Source.Equal(d.Interval.Source)
		})
		switch {
		case k < 0:
			out = append(out, Reason{Verdict: verdict, Authority: d.Interval.Authority,
				Source: d.Interval.Source, Says: message.Name(d.Interval.Says), Due: d})
		case verdict > out[k].Verdict:
			out[k].Verdict, out[k].Due = verdict, d
			out[k].Source, out[k].Says = d.Interval.Source, message.Name(d.Interval.Says)
		}
	}
	govern(out, in.State.Vehicle.Stance)
	for i := range out {
		out[i].Due.Governs = out[i].Governs
	}
	return out
}

// looked works out when a position was last looked at and is to be next.
func (in *Input) looked(place *fleet.Place, kind *catalogue.Kind) Looked {
	l := Looked{Never: true}
	for _, f := range place.Findings {
		if !place.Fitted.Had(f) || !l.Never && f.Date.Before(l.Last.Date) {
			continue
		}
		glance := in.Catalogue.Looks().IsGlance(f.Check) && (l.Never || l.Glance || f.Date.After(l.Last.Date))
		l.Never, l.Last, l.Entry, l.Glance = false, f.Moment, f.Entry, glance
	}
	if l.Never && place.Fitted.Known == fleet.Recorded && place.Fitted.Entry != "" {
		l.AtFitting, l.Last, l.Entry = true, place.Fitted.From, place.Fitted.Entry
	}
	if l.Never && !l.AtFitting {
		return l
	}
	l.Next, l.By = in.nextLook(place, kind, l.Last)
	l.Stale = l.Next.Passed(in.State.On, in.Total, in.HasTotal)
	l.Never = l.AtFitting && l.Stale
	l.AtFitting = l.AtFitting && !l.Stale
	return l
}

// nextLook returns the earliest inspection that the governing authority asks
// for after a look.
func (in *Input) nextLook(place *fleet.Place, kind *catalogue.Kind, last fleet.Moment) (Mark, *fleet.Interval) {
	asked := intervals(kind, place, fleet.DoInspect)
	follow := in.State.Vehicle.Stance.Authority()
	has := follow != "" && slices.ContainsFunc(asked, func(iv *fleet.Interval) bool { return iv.Authority == follow })
	var next Mark
	var by *fleet.Interval
	for _, iv := range asked {
		if has && iv.Authority != follow {
			continue
		}
		m := after(last, iv.Distance, iv.Time, 1, 1)
		if iv.EachOilChange {
			rhythm := OilChange(in.State.Vehicle)
			m = after(last, rhythm.Distance, rhythm.Time, 1, 1)
		}
		if by == nil || in.sooner(m, next) < 0 {
			next, by = m, iv
		}
	}
	if own := in.ownLook(place); own != nil {
		if m := after(last, own.Distance, own.Time, 1, 1); by == nil || in.sooner(m, next) < 0 {
			next, by = m, own
		}
	}
	return next, by
}

// LookDue reports whether the look is due that the governing authority asks for
// after one at a moment.
func (in *Input) LookDue(j *Judgement, last fleet.Moment) bool {
	next, _ := in.nextLook(j.Place, j.Kind, last)
	return next.Passed(in.State.On, in.Total, in.HasTotal)
}

// ownLook returns the inspection that the owner has chosen for what can be seen
// without opening anything, or nil. It holds whomever the owner follows.
func (in *Input) ownLook(place *fleet.Place) *fleet.Interval {
	look := in.State.Vehicle.Look
	if len(place.Position.Seen) > 0 || look.Distance == nil && look.Time == nil {
		return nil
	}
	return &fleet.Interval{Do: fleet.DoInspect, Distance: look.Distance, Time: look.Time, Authority: fleet.Owner,
		Source: fleet.Sources{"the vehicle sheet"}, Says: "The owner has chosen to look this often."}
}

// OilChange returns how often a vehicle's oil is changed: the sheet's figure,
// or the usual one.
func OilChange(v *fleet.Vehicle) fleet.Again {
	if v.OilChange.Distance == nil && v.OilChange.Time == nil {
		if v.Counts == fleet.ByHours {
			return usualInHours
		}
		return usualOilChange
	}
	return v.OilChange
}

// intervals returns those for one purpose that hold for the part at a place:
// the catalogue's, then the sheet's own. What the sheet says of the vehicle's
// or the part's maker stands in place of what makers say in general.
func intervals(kind *catalogue.Kind, place *fleet.Place, do string) []*fleet.Interval {
	var out []*fleet.Interval
	own := place.Position.Intervals
	for i := range kind.Intervals {
		iv := &kind.Intervals[i]
		replaced := slices.ContainsFunc(own, func(o fleet.Interval) bool {
			return o.Do == iv.Do && standsFor(o.Authority, iv.Authority)
		})
		inHours := iv.Hours != nil && iv.Distance == nil // for those that count them: the catalogue is read so
		if iv.Do == do && !replaced && !inHours && ofMaterial(iv.Materials, place.Fitted.Material()) {
			out = append(out, iv)
		}
	}
	for i := range own {
		if own[i].Do == do && ofMaterial(own[i].Materials, place.Fitted.Material()) {
			out = append(out, &own[i])
		}
	}
	return out
}

// After returns the mark a distance and a time after a moment, whichever of
// them is given and known.
func After(from fleet.Moment, distance, time *units.Quantity) Mark {
	return after(from, distance, time, 1, 1)
}

// after is After with the distance and the time scaled.
func after(from fleet.Moment, distance, time *units.Quantity, scaleDistance, scaleTime float64) Mark {
	var m Mark
	if distance != nil && from.HasTotal {
		m.Total, m.HasTotal = from.Total+scaleDistance*distance.Base(), true
	}
	if time != nil && !from.Date.IsZero() {
		m.Date = addTime(from.Date, *time, scaleTime)
	}
	return m
}

func addTime(from civil.Date, time units.Quantity, scale float64) civil.Date {
	span, err := time.Span()
	if err != nil {
		return civil.Date{}
	}
	if scale == 1 {
		return from.Add(span)
	}
	return from.AddDays(int(scale * span.Approx()))
}

// sooner orders marks by how near they are: by date where both have one, else
// by distance; a mark with neither comes last.
func (in *Input) sooner(a, b Mark) int {
	if a.IsZero() != b.IsZero() {
		return FalseFirst(a.IsZero(), b.IsZero())
	}
	return cmp.Compare(in.urgency(a), in.urgency(b))
}

// kmPerDayGuess turns a distance ahead into days only to order marks of
// different sorts: about 15 000 km a year. Dates shown to the owner come from
// package usage.
const kmPerDayGuess = 41

// hoursPerDayGuess is the same of a vehicle that counts hours: 250 h a year.
const hoursPerDayGuess = 0.7

func (in *Input) urgency(m Mark) float64 {
	days := 1e9
	if !m.Date.IsZero() {
		days = float64(m.Date.Sub(in.State.On))
	}
	if m.HasTotal {
		guess := float64(kmPerDayGuess)
		if in.State.Vehicle.Counts == fleet.ByHours {
			guess = hoursPerDayGuess
		}
		days = min(days, (m.Total-in.Total)/guess)
	}
	return days
}

// earlier merges two marks into the one reached first by either measure.
func earlier(a, b Mark) Mark {
	out := a
	if b.HasTotal && (!a.HasTotal || b.Total < a.Total) {
		out.Total, out.HasTotal = b.Total, true
	}
	if !b.Date.IsZero() && (a.Date.IsZero() || b.Date.Before(a.Date)) {
		out.Date = b.Date
	}
	return out
}
