package handover_test

import (
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/handover"
	"undertray.example/undertray/units"
)

// Every look that found nothing is told once, within a run or beside what was found that day.
func TestEverySoundLookIsToldOnce(t *testing.T) {
	for id, r := range demotest.Reports(t) {
		h := handover.New(r, handover.Buyer, handover.With{})
		lines, sound := 0, 0
		for _, p := range h.Parts {
			at := ""
			if p.Position != nil {
				at = p.Position.ID
			}
			for i, l := range p.Lines {
				lines++
				if l.Run != nil {
					sound += l.Run.Answers
					if l.Run.Looks > l.Run.Answers || l.Run.To.Before(l.Run.From) {
						t.Errorf("%s, %s: %+v", id, at, l.Run)
					}
				}
				if i > 0 && l.Run != nil && p.Lines[i-1].Run != nil {
					t.Errorf("%s, %s: two runs follow one another", id, at)
				}
			}
		}
		found, others := 0, 0
		for _, l := range advise.History(r, "") {
			if l.Sound {
				found++
			}
		}
		for _, p := range h.Parts {
			for _, l := range p.Lines {
				others += l.Others
			}
		}
		if found != sound+others {
			t.Errorf("%s: %d looks found nothing, and %d are told", id, found, sound+others)
		}
		if all := len(advise.History(r, "")); lines*2 > all {
			t.Errorf("%s: %d lines of %d entries", id, lines, all)
		}
	}
}

// What is said of a part does not hang on whom it is said to, and every part with
// something to put right stands on every page.
func TestNothingOpenIsLeftOut(t *testing.T) {
	for id, r := range demotest.Reports(t) {
		for _, whom := range handover.Whom() {
			v := handover.New(r, whom, handover.With{}).View(units.Preferences{})
			var all strings.Builder
			for _, s := range v.Sections {
				for _, row := range s.Rows {
					all.WriteString(row.Name.String() + row.Words.String())
				}
			}
			for i := range r.Judgements {
				j := &r.Judgements[i]
				if (j.Verdict == fleet.Park || j.Verdict == fleet.PutRight) && !strings.Contains(all.String(),
					j.Position.Name) {
					t.Errorf("%s for the %s does not name the %s", id, whom, j.Position.ID)
				}
			}
			if len(strings.Fields(v.Headline.String())) > 14 {
				t.Errorf("%s for the %s: %s", id, whom, v.Headline)
			}
		}
	}
	parked := handover.New(demotest.Parked(t), handover.Driver, handover.With{}).View(units.Preferences{})
	if !strings.Contains(parked.Headline.String(), "Do not drive it") {
		t.Error(parked.Headline)
	}
}

// Prices and names stand only where they were asked for.
func TestPricesAndNames(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	record := *r
	state := *r.State
	state.Record = append(state.Record[:len(state.Record):len(state.Record)], &fleet.Entry{ID: "x",
		Type: fleet.TypeDone, Date: r.On, By: "Annabel", Done: &fleet.Done{What: "washed", Cost: ptr("12.34 EUR")}})
	record.State = &state
	for _, with := range []handover.With{{}, {Prices: true}, {Names: true}, {Prices: true, Names: true}} {
		v := handover.New(&record, handover.Buyer, with).View(units.Preferences{})
		line := v.Parts[len(v.Parts)-1].Lines[1]
		if !strings.Contains(line.Words.String(), "Washed") || (line.Cost != nil) != with.Prices ||
			strings.Contains(line.Words.String(), "Annabel") != with.Names {
			t.Errorf("%+v: %+v", with, line)
		}
	}
}

func ptr(s string) *units.Quantity {
	q := units.MustParse(s)
	return &q
}
