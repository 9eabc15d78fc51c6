package trip_test

import (
	"strings"
	"testing"

	"undertray/internal/advise"
	"undertray/internal/demo/demotest"
	"undertray/internal/fleet"
	"undertray/internal/plan"
	"undertray/internal/say"
	"undertray/internal/visit"
	"undertray/units"
)

// A headline has at most fourteen words on every answer of the demo yard, of a
// parked vehicle and of every archetype of which nothing is known.
func TestHeadlinesAreShort(t *testing.T) {
	reports := append(demotest.Unknown(t), demotest.Parked(t))
	var yard []*advise.Report
	for _, r := range demotest.Reports(t) {
		yard = append(yard, r)
	}
	short := func(what, headline string) {
		t.Helper()
		if n := len(strings.Fields(headline)); n == 0 || n > say.HeadWords {
			t.Errorf("%s: %d words: %s", what, n, headline)
		}
	}
	for _, r := range append(reports, yard...) {
		short("state", r.Headline(units.Preferences{}))
		for _, alone := range []*advise.Report{r} {
			short("yard", advise.YardHeadline([]*advise.Report{alone}))
		}
		p, err := plan.Make(t.Context(), r, plan.Options{Steps: 2})
		if err != nil {
			t.Fatal(err)
		}
		short("plan", p.Headline())
		short("next visit", p.NextWords())
		for n := range p.Visits {
			job, err := p.Job(n + 1)
			if err != nil {
				t.Fatal(err)
			}
			short("job", job.Headline())
		}
		for _, open := range [][]string{nil, {visit.OpenAll}} {
			round, err := visit.NewRound(r, visit.RoundOptions{Open: open})
			if err != nil {
				t.Fatal(err)
			}
			short("round", round.Headline())
		}
	}
	short("yard", advise.YardHeadline(yard))
	y, err := plan.MakeYard(t.Context(), yard, plan.YardOptions{Rules: fleet.YardRules{HoursPerMonth: 20}})
	if err != nil {
		t.Fatal(err)
	}
	short("yard's plan", y.Headline())
}
