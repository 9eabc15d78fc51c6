package advise

import (
	"slices"
	"sync"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/pace"
	"undertray.example/undertray/units"
)

// Report is all that is worked out about one vehicle on one day.
type Report struct {
	Vehicle   *fleet.Vehicle
	Catalogue *catalogue.Catalogue
	On        civil.Date
	State     *fleet.State
	Forecast  *Forecast
	// Total is the distance in km expected to have been run by On; HasTotal
	// is false where there is neither a reading nor a known first day.
	Total    float64
	HasTotal bool

	Judgements []judge.Judgement // in the sheet's order
	Shared     []judge.SharedCause
	Visits     [2]Visit // the next oil change and the one after it
	// Experience is what the whole yard's parts tell; nil where the vehicle
	// was worked out alone.
	Experience *Experience
	// From names all that the report rests on, the experience too: the program and the day, sheets, settings, catalogue
	// and the entries of the journal; "" where that is not known.
	From string
	// Units are what reasons are written in: the vehicle's.
	Units units.Preferences
	// Pace is what steps take the owner, by their keys, where they were timed often
	// enough: Vehicle has these minutes in the place of the sheet's.
	Pace map[string]pace.Own
}

// Visit is an occasion on which the vehicle is opened: for now, an oil change.
type Visit struct {
	When    When
	Known   bool // false: no oil change is recorded, and the first is taken to be due now
	Overdue bool
}

// Vehicle works out the report of a vehicle on a day from all entries of the
// journal (those of other vehicles are passed over).
func Vehicle(cat *catalogue.Catalogue, v *fleet.Vehicle, entries []*fleet.Entry, on civil.Date) *Report {
	return Of(cat, fleet.Fold(v, entries, on))
}

// Yard works out the report of every vehicle on a day from all entries of the
// journal, in the order of the vehicles, and lets each profit from what the
// others have seen. Entries and vehicles are only read.
func Yard(cat *catalogue.Catalogue, vehicles []*fleet.Vehicle, entries []*fleet.Entry, on civil.Date) []*Report {
	of := make(map[string][]*fleet.Entry, len(vehicles))
	for _, e := range entries {
		of[e.Vehicle] = append(of[e.Vehicle], e)
	}
	out := make([]*Report, len(vehicles))
	var group sync.WaitGroup
	for i, v := range vehicles {
		group.Go(func() { out[i] = Vehicle(cat, v, of[v.ID], on) })
	}
	group.Wait()
	Gather(out)
	return out
}

// Of works out the report of a vehicle from its state.
func Of(cat *catalogue.Catalogue, s *fleet.State) *Report {
	r := outlookOf(cat, s)
	r.judge()
	return r
}

// outlookOf is a report before anything is judged.
func outlookOf(cat *catalogue.Catalogue, s *fleet.State) *Report {
	s, own := pace.Applied(s)
	r := &Report{Vehicle: s.Vehicle, Catalogue: cat.Of(s.Vehicle), On: s.On, State: s,
		Units: s.Vehicle.Reader, Pace: own}
	r.Forecast = newForecast(s)
	r.Total, r.HasTotal = r.Forecast.Total(s.On)
	return r
}

func (r *Report) judge() {
	r.Judgements = judge.Vehicle(*r.input())
	r.Shared = judge.Shared(r.Vehicle, r.Catalogue.Symptoms(), r.Judgements)
	r.Visits = r.visits()
}

// input is what the report's judgements rest on.
func (r *Report) input() *judge.Input {
	return &judge.Input{Catalogue: r.Catalogue, State: r.State, Total: r.Total, HasTotal: r.HasTotal}
}

// LookDue reports whether the look at a position is due that the governing
// authority asks for after one at a moment.
func (r *Report) LookDue(j *judge.Judgement, last fleet.Moment) bool {
	return r.input().LookDue(j, last)
}

// Mend is what can be done beside the road about a part's failure.
func (r *Report) Mend(j *judge.Judgement) aboard.Mend { return aboard.Of(r.Catalogue, r.State, j) }

// Judgement returns the judgement of a position, or nil.
func (r *Report) Judgement(position string) *judge.Judgement {
	for i := range r.Judgements {
		if r.Judgements[i].Position.ID == position {
			return &r.Judgements[i]
		}
	}
	return nil
}

func (r *Report) visits() [2]Visit {
	var out [2]Visit
	from := fleet.Moment{Date: r.On, Total: r.Total, HasTotal: r.HasTotal}
	rhythm := judge.OilChange(r.Vehicle)
	for i := range r.Judgements {
		j := &r.Judgements[i]
		if j.Kind.OilChange == catalogue.SetsOilChange && j.Place.Fitted.Known != fleet.Unknown {
			from, out[0].Known = j.Place.Fitted.From, true
			break
		}
	}
	first := judge.Mark{Total: from.Total, HasTotal: from.HasTotal, Date: from.Date}
	if out[0].Known {
		first = judge.After(from, rhythm.Distance, rhythm.Time)
	}
	out[0].When = r.When(first)
	out[0].Overdue = out[0].Known && first.Passed(r.On, r.Total, r.HasTotal)
	start := out[0].When.Expected
	if start.IsZero() || start.Before(r.On) {
		start = r.On
	}
	total, has := r.Forecast.Total(start)
	second := judge.After(fleet.Moment{Date: start, Total: total, HasTotal: has}, rhythm.Distance, rhythm.Time)
	out[1] = Visit{When: r.When(second), Known: out[0].Known}
	return out
}

// Horizon is the day of the visit after next: what falls due by then is dealt
// with at the next one.
func (r *Report) Horizon() civil.Date { return r.Visits[1].When.Expected }

// Next returns when the part is due under the governing authority, and false
// where no interval governs or it names no figure.
func (r *Report) Next(j *judge.Judgement) (When, *judge.Due, bool) {
	for i := range j.Dues {
		d := &j.Dues[i]
		if d.Governs && !d.Mark.IsZero() {
			return r.When(d.Mark), d, true
		}
	}
	return When{}, nil, false
}

// Roughly returns when a part of unknown history that was found sound is due, as
// the renewal that the governing authority's interval implies has it, and false
// where nothing is known or the date is.
func (r *Report) Roughly(j *judge.Judgement) (When, *judge.Due, bool) {
	for i := range j.Dues {
		d := &j.Dues[i]
		if d.Governs && !d.Rough.IsZero() {
			return r.When(d.Rough), d, true
		}
	}
	return When{}, nil, false
}

// DueSoon reports whether the part falls due by the visit after next.
func (r *Report) DueSoon(j *judge.Judgement) bool {
	w, _, ok := r.Next(j)
	return ok && !w.Expected.IsZero() && !w.Expected.After(r.Horizon())
}

// Tally counts positions by verdict.
func (r *Report) Tally() map[fleet.Verdict]int {
	n := map[fleet.Verdict]int{}
	for i := range r.Judgements {
		n[r.Judgements[i].Verdict]++
	}
	return n
}

// With returns the judgements of one verdict, most urgent reason first in the
// sheet's order.
func (r *Report) With(v fleet.Verdict) []*judge.Judgement {
	var out []*judge.Judgement
	for i := range r.Judgements {
		if r.Judgements[i].Verdict == v {
			out = append(out, &r.Judgements[i])
		}
	}
	return out
}

// Urgent returns every judgement that asks for something, the most urgent verdict
// first and, of what is to be put right, the nearest deadline, as headlines go.
func (r *Report) Urgent() []*judge.Judgement {
	p := r.Pressing()
	return slices.Concat(r.With(fleet.Park), p.All(), r.With(fleet.Watch))
}

// Untold returns the judgements of parts of unknown history that nobody has
// looked at: nothing is due for want of knowledge, a look comes first.
func (r *Report) Untold() []*judge.Judgement {
	return slices.DeleteFunc(r.With(fleet.Unseen), func(j *judge.Judgement) bool {
		return !slices.ContainsFunc(j.Dues, func(d judge.Due) bool { return d.Untold() })
	})
}

// Companions returns a judgement's companions as if the part were to be
// changed, which a part that is merely chosen may not need.
func (r *Report) Companions(j *judge.Judgement) []judge.Companion {
	if j.Verdict >= fleet.PutRight {
		return j.With
	}
	return judge.CompanionsForChange(judge.Input{Catalogue: r.Catalogue, State: r.State, Total: r.Total,
		HasTotal: r.HasTotal}, j)
}
