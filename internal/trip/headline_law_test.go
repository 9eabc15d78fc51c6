package trip_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/buying"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/trip"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// short fails where a headline says nothing or more than fourteen words.
func short(t *testing.T, what, headline string) {
	t.Helper()
	if n := len(strings.Fields(headline)); n == 0 || n > say.HeadWords {
		t.Errorf("%s: %d words: %s", what, n, headline)
	}
}

// halfDone is a vehicle of which everything is opened that can be.
func halfDone(r *advise.Report) *advise.Report {
	all := slices.Clone(r.State.Record)
	for i := range r.Vehicle.Openings {
		if o := &r.Vehicle.Openings[i]; o.Undo != "" {
			all = append(all, &fleet.Entry{ID: fmt.Sprintf("z%03d", i), Vehicle: r.Vehicle.ID, Date: r.On,
				Type: fleet.TypeOpened, Opened: &fleet.Opened{Opening: o.ID}})
		}
	}
	return advise.Vehicle(r.Catalogue, r.Vehicle, all, r.On)
}

// everyReport is the demo yard, a parked vehicle, every archetype of which
// nothing is known, each of them half taken apart, and every story.
func everyReport(t *testing.T) []*advise.Report {
	t.Helper()
	out := reportsOf(t)
	for _, r := range append(demotest.Unknown(t), demotest.Parked(t)) {
		out = append(out, halfDone(r))
	}
	return out
}

// reportsOf is everyReport without what is half taken apart.
func reportsOf(t *testing.T) []*advise.Report {
	t.Helper()
	out := append(demotest.Unknown(t), demotest.Parked(t))
	out = append(out, demotest.All(t)...)
	for _, s := range stories(t) {
		r := demotest.Reports(t)[s.Vehicle]
		out = append(out, advise.Vehicle(r.Catalogue, r.Vehicle, s.entries(t, r), r.On))
	}
	return out
}

// A headline has at most fourteen words on every answer about every vehicle: its
// state, the yard with it alone, its trips, plan, list to buy, jobs and rounds.
func TestHeadlinesAreShort(t *testing.T) {
	all := everyReport(t)
	for _, r := range all {
		short(t, "state", r.Headline(units.Preferences{}).String())
		short(t, "yard", advise.YardHeadline([]*advise.Report{r}).String())
		far := []float64{50, 1500, 12000}
		if r.Vehicle.Counts == fleet.ByHours {
			far = []float64{8, 1500, 8784} // a day's work, and all hours of a year
		}
		for _, km := range far {
			out, err := trip.Ask(r, trip.Options{Km: km, Load: km > 1000, Heat: km > 8000})
			if err != nil {
				t.Fatal(err)
			}
			short(t, "trip", out.Headline(units.Preferences{}).String())
			short(t, "looks before a trip", out.Looks.Headline(r.Vehicle).String())
		}
		for _, l := range r.Card() {
			short(t, "card", l.Sign.Say)
		}
		p, err := plan.Make(t.Context(), r, plan.Options{Steps: 2, Months: 6})
		if err != nil {
			t.Fatal(err)
		}
		short(t, "plan", p.Headline().String())
		short(t, "next visit", p.NextWords().String())
		for n := range p.Visits {
			job, err := p.Job(n + 1)
			if err != nil {
				t.Fatal(err)
			}
			short(t, "job", job.Headline().String())
		}
		list, err := buying.OfPlan(p)
		if err != nil {
			t.Fatal(err)
		}
		short(t, "what to buy", list.Headline().String())
		for _, open := range [][]string{nil, {visit.OpenAll}} {
			round, err := visit.NewRound(r, visit.RoundOptions{Open: open})
			if err != nil {
				t.Fatal(err)
			}
			short(t, "round", round.Headline().String())
		}
	}
	for _, yard := range [][]*advise.Report{demotest.All(t), {demotest.Parked(t), all[0]}} {
		short(t, "yard", advise.YardHeadline(yard).String())
		y, err := plan.MakeYard(t.Context(), yard, plan.YardOptions{Rules: fleet.YardRules{HoursPerMonth: 20}})
		if err != nil {
			t.Fatal(err)
		}
		short(t, "yard's plan", y.Headline().String())
	}
}

// So it has on what any answer to any check means, and any figure at a limit,
// whomever the owner follows.
func TestMeaningsAreShort(t *testing.T) {
	r := demotest.All(t)[0]
	n := 0
	mean := func(k *catalogue.Kind, f fleet.Found) {
		for _, material := range append([]string{""}, k.Materials...) {
			found := f
			m := advise.WhatItMeans(r.Catalogue, k,
				fleet.PartSpec{Material: material, Spec: map[string]units.Quantity{}}, &found, fleet.Strictest, r.On)
			short(t, "meaning of "+k.ID+" "+f.Check, m.Headline(units.Preferences{}).String())
			n++
		}
	}
	for _, k := range r.Catalogue.Kinds() {
		for i := range k.Checks {
			c := &k.Checks[i]
			for _, a := range c.Answers {
				mean(k, fleet.Found{Check: c.ID, Answer: a.ID})
			}
			for l := range c.Limits {
				for _, q := range []*units.Quantity{c.Limits[l].AtLeast, c.Limits[l].AtMost, c.Limits[l].MoreThan,
					c.Limits[l].LessThan} {
					if q != nil && c.Takes(*q) {
						mean(k, fleet.Found{Check: c.ID, Value: q})
					}
				}
			}
		}
	}
	if n < 1000 {
		t.Errorf("only %d meanings", n)
	}
}
