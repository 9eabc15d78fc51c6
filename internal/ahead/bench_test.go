package ahead_test

import (
	"fmt"
	"syscall"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// lookedAt is a vehicle with so many parts of 20 kinds that were looked at four times a year for ten years by two of
// their checks, and of which the state keeps what it keeps.
func lookedAt(b *testing.B, parts int) *advise.Report {
	b.Helper()
	cat := loaded(b)
	kinds := failingKinds(cat)[:20]
	start := today.AddMonths(-120)
	v := &fleet.Vehicle{ID: "wren", Built: start}
	var entries []*fleet.Entry
	add := func(at civil.Date, e fleet.Entry) {
		e.ID, e.Vehicle, e.Date = fmt.Sprintf("%06d", len(entries)), v.ID, at
		q := units.Must(40*float64(at.Sub(start)), "km")
		e.Odometer = &q
		entries = append(entries, &e)
	}
	for i := range parts {
		id := fmt.Sprint("p", i)
		v.Positions = append(v.Positions, fleet.Position{ID: id, Name: id, Kind: kinds[i%20].ID, From: fleet.Above})
		add(start, fleet.Entry{Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: id}})
	}
	for quarter := 1; quarter <= 40; quarter++ {
		for i, p := range v.Positions {
			checks := inWords(kinds[i%20])
			for _, c := range checks[:min(2, len(checks))] {
				add(start.AddMonths(3*quarter-1), fleet.Entry{Type: fleet.TypeFound,
					Found: &fleet.Found{Position: p.ID, Check: c.ID, Answer: c.Answers[0].ID}})
			}
		}
	}
	return advise.Vehicle(cat, v, entries, today)
}

// used is the processor time of this process, in ms.
func used(b *testing.B) float64 {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e6
}

// BenchmarkLookings is what a look at each of 60 parts is worth for a trip.
func BenchmarkLookings(b *testing.B) {
	r := lookedAt(b, 60)
	worth := func() int { return len(ahead.Lookings(r, ready(60))) }
	looks := worth()
	from := used(b)
	for b.Loop() {
		worth()
	}
	b.ReportMetric((used(b)-from)/float64(b.N), "cpu-ms/op")
	b.ReportMetric(float64(looks), "looks")
}

// BenchmarkChances is the chance of failing on a trip for each of 300 parts, as a trip asks it: with all ways in which
// looks may be blind on a part. The kinds are learnt beforehand, as pages share that.
func BenchmarkChances(b *testing.B) {
	r := lookedAt(b, 300)
	all := func() (reckoned, looks int) {
		for i := range r.Judgements {
			if c, ok := ahead.ChanceOf(r, &r.Judgements[i]); ok {
				reckoned, looks = reckoned+1, looks+c.Looks
				c.During(r.On, r.Total, 1500, 5)
			}
		}
		return reckoned, looks
	}
	reckoned, looks := all()
	from := used(b)
	for b.Loop() {
		all()
	}
	b.ReportMetric((used(b)-from)/float64(b.N), "cpu-ms/op")
	b.ReportMetric(float64(reckoned), "parts")
	b.ReportMetric(float64(looks)/float64(reckoned), "days-of-looks/part")
}
