package reckon

import (
	"context"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// past is one vehicle gone through again.
type past struct {
	Subject
	Period
	cat     *catalogue.Catalogue
	byTime  []*fleet.Entry // by when they were recorded
	truth   *fleet.State   // with all that is known now
	trials  []Trial
	looks   []Look
	offs    []Off
	overdue []Part
	figures Bands
	dates   Bands
	met     map[string]meeting // the first day that was forecast, by position, part and check
	open    map[string]stretch // by position
}

// stretch is the time from a forecast of a part to the next.
type stretch struct {
	on     civil.Date
	report *advise.Report
	judged *judge.Judgement
	chance *ahead.Chance // nil: none is reckoned
	wear   []ahead.Wearout
}

func newPast(cat *catalogue.Catalogue, s Subject, p Period) *past {
	y := &past{Subject: s, Period: p, cat: cat, byTime: slices.Clone(s.Entries), met: map[string]meeting{},
		open: map[string]stretch{}}
	slices.SortFunc(y.byTime, func(a, b *fleet.Entry) int { return a.Instant().Compare(b.Instant()) })
	y.truth = fleet.Fold(s.Vehicle, s.Entries, p.On)
	return y
}

// known are the entries that had been recorded by the end of a day.
func (y *past) known(day civil.Date) []*fleet.Entry {
	n := len(y.byTime)
	for n > 0 && recordedOn(y.byTime[n-1]).After(day) {
		n--
	}
	return y.byTime[:n]
}

func recordedOn(e *fleet.Entry) civil.Date { return civil.Of(e.Instant().UTC()) }

// asOf is the vehicle as it was known on a day.
func (y *past) asOf(day civil.Date) *advise.Report {
	return advise.Of(y.cat, fleet.Fold(y.Vehicle, y.known(day), day))
}

// later is the vehicle as it was known on a later day of a quarter, with what the
// others told at its beginning. A part that was there then is the same part.
func (y *past) later(begun *advise.Report, day civil.Date, known []*fleet.Entry) *advise.Report {
	s := fleet.Fold(y.Vehicle, known, day)
	for id, place := range s.Places {
		was := begun.State.Place(id)
		if place.Fitted != nil && was.Fitted != nil && place.Fitted.Entry == was.Fitted.Entry &&
			place.Fitted.From == was.Fitted.From {
			place.Fitted = was.Fitted
		}
	}
	r := advise.Of(y.cat, s)
	r.Experience = begun.Experience
	return r
}

// quarter goes through a quarter that begins with a report and ends before a day.
func (y *past) quarter(ctx context.Context, begun *advise.Report, to civil.Date) error {
	if len(begun.State.Record) > 0 {
		for i := range begun.Judgements {
			y.say(begun, &begun.Judgements[i])
		}
	}
	for _, day := range y.lookDays(begun.On, to) {
		if err := ctx.Err(); err != nil {
			return err
		}
		y.look(begun, day)
	}
	end := to
	if y.To.Before(to) {
		end = y.To
	}
	for _, position := range y.opened() {
		y.happened(position, end, nil)
	}
	clear(y.open)
	return ctx.Err()
}

func (y *past) opened() []string {
	var out []string
	for i := range y.Vehicle.Positions {
		if _, ok := y.open[y.Vehicle.Positions[i].ID]; ok {
			out = append(out, y.Vehicle.Positions[i].ID)
		}
	}
	return out
}

// say begins a stretch with what is forecast of a part.
func (y *past) say(r *advise.Report, j *judge.Judgement) {
	o := ahead.Glance(r, j)
	if o.Chance == nil && len(o.Wear) == 0 || j.Place.Fitted == nil {
		return
	}
	s := stretch{on: r.On, report: r, judged: j, chance: o.Chance, wear: o.Wear}
	y.open[j.Position.ID] = s
	y.foresee(&s)
}

// happened ends a stretch with a day, and says what became of the part until then.
// Where that is a look, seen is what it was known to be after it.
func (y *past) happened(position string, day civil.Date, seen *fleet.Place) {
	s, ok := y.open[position]
	if delete(y.open, position); !ok {
		return
	}
	part := partAt(y.truth.Place(position), s.on)
	if part == nil {
		return // what was thought to be there was not
	}
	if seen != nil {
		y.measured(&s, part, seen)
	}
	if s.chance == nil || !day.After(s.on) {
		return
	}
	t := Trial{Vehicle: y.Vehicle.ID, Position: position, Kind: s.judged.Kind.ID, On: s.on, Until: day}
	t.Said = s.until(nextQuarter(s.on))
	if off := part.To.Date; !off.IsZero() && !off.After(day) {
		if t.Failed = part.Removed == fleet.RemovedFailed; !t.Failed {
			t.Until = off
		}
	}
	t.Chance = s.until(t.Until)
	y.trials = append(y.trials, t)
}

// until is the chance of failing by the end of a day, by the distance forecast then.
func (s *stretch) until(day civil.Date) float64 {
	total, _ := s.report.Forecast.Total(day)
	return s.chance.Until(day, total)
}

// partAt is the part that was at a place at the end of a day, or nil.
func partAt(p *fleet.Place, day civil.Date) *fleet.Part {
	for _, part := range p.Past {
		if part.To.Date.After(day) {
			return there(part, day)
		}
	}
	return there(p.Fitted, day)
}

func there(part *fleet.Part, day civil.Date) *fleet.Part {
	if part == nil || part.From.Date.After(day) {
		return nil
	}
	return part
}
