package finish

import (
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// Changes is what keeping a batch changed.
type Changes struct {
	Gone []*judge.Judgement // as they were: their deadlines stand no more
	Left []*judge.Judgement // as they are: still to be put right
	// Before and After are the chances of being stranded before the next oil change,
	// where any part of the vehicle has one.
	Before, After float64
	Chance        bool
	Next          advise.Visit // the next oil change
}

// ChangesOf compares a report that has its whole record with what was known without
// a batch of it.
func ChangesOf(r *advise.Report, batch string) Changes {
	before := without(r, r.On, func(e *fleet.Entry) bool { return e.Batch == batch })
	was, is := before.Pressing(), r.Pressing()
	out := Changes{Left: is.All(), Next: r.Visits[0]}
	for _, j := range was.All() {
		if !slices.ContainsFunc(out.Left, func(now *judge.Judgement) bool { return now.Position.ID == j.Position.ID }) {
			out.Gone = append(out.Gone, j)
		}
	}
	var parts int
	out.Before, _ = ahead.Stranded(before)
	out.After, parts = ahead.Stranded(r)
	out.Chance = parts > 0
	return out
}

// without is what a report that has its whole record would say on a day without some
// of it.
func without(r *advise.Report, on civil.Date, not func(*fleet.Entry) bool) *advise.Report {
	return r.WithRecord(r.Vehicle, slices.DeleteFunc(slices.Clone(r.State.Record), not), on)
}

// Before lays out the form of a sheet as it was before some entries ended it. The report
// has its whole record; errors are those of Of.
func Before(r *advise.Report, kept []*fleet.Entry) (*Form, error) {
	on, ids := r.On, map[string]bool{}
	for _, e := range kept {
		if ids[e.ID] = true; e.Work != nil {
			on = e.Date
		}
	}
	return Of(without(r, on, func(e *fleet.Entry) bool { return ids[e.ID] }))
}

// Ends reports whether entries end a job sheet.
func Ends(entries []*fleet.Entry) bool {
	return slices.ContainsFunc(entries, func(e *fleet.Entry) bool { return e.Work != nil && e.Work.Ended })
}
