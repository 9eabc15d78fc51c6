package finish

import (
	"slices"

	"undertray/internal/advise"
	"undertray/internal/ahead"
	"undertray/internal/fleet"
	"undertray/internal/judge"
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
	before := r.WithRecord(r.Vehicle, slices.DeleteFunc(slices.Clone(r.State.Record), func(e *fleet.Entry) bool {
		return e.Batch == batch
	}), r.On)
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

// Ends reports whether entries end a job sheet.
func Ends(entries []*fleet.Entry) bool {
	return slices.ContainsFunc(entries, func(e *fleet.Entry) bool { return e.Work != nil && e.Work.Ended })
}
