package ahead

import (
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/lifetime"
)

// exposure is what a life or a wear is counted in.
type exposure uint8

const (
	byDistance exposure = iota // km
	byTime                     // days
)

// span returns how much of an exposure lies between two moments of a vehicle,
// and false where it is not known.
func (e exposure) span(from, to fleet.Moment) (float64, bool) {
	if e == byDistance {
		return to.Total - from.Total, from.HasTotal && to.HasTotal && to.Total >= from.Total
	}
	return float64(to.Date.Sub(from.Date)), !from.Date.IsZero() && !to.Date.IsZero()
}

// endOf is the moment a part came off, or now.
func endOf(l *advise.Lived) fleet.Moment {
	if !l.Part.To.Date.IsZero() {
		return l.Part.To
	}
	return fleet.Moment{Date: l.State.On, Total: l.Total, HasTotal: l.HasTotal}
}

// entryAt is the exposure at which the journal began to watch a part that was
// already there.
func entryAt(l *advise.Lived, e exposure) float64 {
	if l.Part.Known == fleet.Recorded || len(l.State.Readings) == 0 {
		return 0
	}
	first := l.State.Readings[0]
	watched, ok := e.span(l.Part.From, fleet.Moment{Date: l.State.Began, Total: first.Total, HasTotal: true})
	if !ok || watched < 0 {
		return 0
	}
	return watched
}

// observation turns a part into what lifetimes are learned from: failed parts
// failed, all others were still good when they came off or are still.
func observation(l *advise.Lived, e exposure) (lifetime.Observation, bool) {
	age, ok := e.span(l.Part.From, endOf(l))
	if !ok || age <= 0 {
		return lifetime.Observation{}, false
	}
	o := lifetime.RunningAt(age)
	if l.Part.Removed == fleet.RemovedFailed && !l.Part.To.Date.IsZero() {
		o = lifetime.FailedAt(age)
	}
	if from := entryAt(l, e); from < age {
		o = o.From(from)
	}
	return o, true
}

func sameMaterial(a, b string) bool { return a == b || a == "" || b == "" }

// replacementInterval returns the governing interval of a judgement that names
// a figure, or nil.
func replacementInterval(j *judge.Judgement) *judge.Due {
	for i := range j.Dues {
		if j.Dues[i].Governs && !j.Dues[i].OnCondition {
			return &j.Dues[i]
		}
	}
	for i := range j.Dues {
		if !j.Dues[i].OnCondition {
			return &j.Dues[i]
		}
	}
	return nil
}
