package advise_test

import (
	"fmt"
	"slices"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/units"
)

// TestMeaningsAreTheJudges holds every answer that a device is told of against the
// judge of the whole vehicle, with that answer in the journal: each choice, and of
// figures each bound, just beside it, between two and far beyond.
func TestMeaningsAreTheJudges(t *testing.T) {
	asked, figures := 0, 0
	for _, r := range append(demotest.All(t), demotest.Unknown(t)[:1]...) {
		kept, ok := fleet.NewKept(r.Vehicle).With(r.State.Record, r.On)
		if !ok {
			t.Fatalf("%s: the record cannot be folded", r.Vehicle.ID)
		}
		for i := range r.Judgements {
			j := &r.Judgements[i]
			for k := range j.Kind.Checks {
				c := &j.Kind.Checks[k]
				list, alone := r.Meanings(j, c)
				if last := j.Place.Latest[c.ID]; !alone && (last == nil || last.Date != r.On) {
					t.Errorf("%s %s is not told, and nothing was found today", j.Position.ID, c.ID)
				}
				for n, m := range list {
					for _, f := range foundIn(t, c, list, n) {
						asked++
						if f.Value != nil {
							figures++
						}
						sameAsJudged(t, r, kept, j, c, f, m.Reason)
					}
				}
			}
		}
	}
	if asked < 2000 || figures < 300 {
		t.Errorf("%d answers, %d of them figures: this test shows too little", asked, figures)
	}
	t.Logf("%d answers, %d of them figures", asked, figures)
}

// foundIn lists findings of which an entry of a table speaks.
func foundIn(t *testing.T, c *catalogue.Check, list []judge.Meaning, n int) []*fleet.Found {
	if !c.Measured() {
		return []*fleet.Found{{Answer: list[n].Answer}}
	}
	var out []*fleet.Found
	at := func(x float64) {
		q, err := units.New(x, c.FigureUnit())
		if err != nil {
			t.Fatal(c.ID, x, err)
		}
		out = append(out, &fleet.Found{Value: &q})
	}
	near := func(x float64) float64 { return 1e-6 * max(1, x, -x) }
	lo, hi := -1.0, 0.0
	if n > 0 {
		lo = *list[n-1].To
		if !list[n-1].Within {
			at(lo)
		}
		at(lo + near(lo)/4)
	}
	if list[n].To == nil {
		at(lo + 1)
		at(lo*2 + 1000)
		return out
	}
	hi = *list[n].To
	if list[n].Within {
		at(hi)
	}
	if hi > lo {
		at((lo + hi) / 2)
		at(hi - near(hi)/4)
	}
	return out
}

// sameAsJudged compares what a table says of a finding with what governs of it once
// it stands in the journal.
func sameAsJudged(t *testing.T, r *advise.Report, kept *fleet.Kept, j *judge.Judgement, c *catalogue.Check,
	f *fleet.Found, told *judge.Reason) {
	t.Helper()
	f.Position, f.Check = j.Position.ID, c.ID
	e := &fleet.Entry{ID: "ffffffff", Type: fleet.TypeFound, Vehicle: r.Vehicle.ID, Date: r.On, Found: f}
	with, ok := kept.With([]*fleet.Entry{e}, r.On)
	if !ok {
		t.Fatalf("%s %s: cannot be folded in", j.Position.ID, c.ID)
	}
	all := judge.Vehicle(judge.Input{Catalogue: r.Catalogue, State: with.State(r.On), Total: r.Total,
		HasTotal: r.HasTotal})
	i := slices.IndexFunc(all, func(o judge.Judgement) bool { return o.Position.ID == j.Position.ID })
	var judged *judge.Reason
	for k := range all[i].Reasons {
		if o := &all[i].Reasons[k]; o.Finding != nil && o.Finding.Entry == e.ID && o.Governs {
			judged = o
			break
		}
	}
	where := fmt.Sprintf("%s %s %s: %q %v", r.Vehicle.ID, j.Position.ID, c.ID, f.Answer, f.Value)
	if (told == nil) != (judged == nil) {
		t.Errorf("%s: told %v, judged %v", where, told, judged)
	} else if told != nil && (told.Verdict != judged.Verdict || told.Authority != judged.Authority ||
		advise.MeansWords(told) != advise.MeansWords(judged)) {
		t.Errorf("%s: told %s by %s: %s; judged %s by %s: %s", where, told.Verdict, told.Authority,
			advise.MeansWords(told), judged.Verdict, judged.Authority, advise.MeansWords(judged))
	}
}
