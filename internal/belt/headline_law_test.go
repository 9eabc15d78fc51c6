package belt_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/listen"
)

// short fails where a headline says nothing or more than fourteen words.
func short(t *testing.T, what, headline string) {
	t.Helper()
	if n := len(strings.Fields(headline)); n == 0 || n > say.HeadWords {
		t.Errorf("%s: %d words: %s", what, n, headline)
	}
}

// questions are what can be asked about a run: other belts, an impossible speed,
// each pulley larger, smaller, moved or left out, an idler more, and two changes
// at once.
func questions(run *fleet.Run) []belt.Question {
	crawl := 1e-7
	out := []belt.Question{{}, {RPM: &crawl}, {Idler: &belt.Idler{DiameterMM: 60, At: belt.Point{X: -130, Y: -40}}}}
	if run.Ribs > 0 {
		for _, mm := range []int{500, 1150, 1700, 1880, 2400} {
			out = append(out, belt.Question{Belt: fmt.Sprintf("%dPK%d", run.Ribs, mm)})
		}
	}
	all := map[string]float64{}
	for _, p := range run.Pulleys {
		d := p.Diameter.Base() * 1000
		all[p.Name] = d * 1.05
		out = append(out, belt.Question{Diameters: map[string]float64{p.Name: d * 1.1}},
			belt.Question{Diameters: map[string]float64{p.Name: d * 3}},
			belt.Question{Moves: map[string]belt.Point{p.Name: {X: 12.5, Y: -3.25}}})
		if !p.Driver {
			out = append(out, belt.Question{LeaveOut: p.Name})
		}
	}
	return append(out, belt.Question{Diameters: all})
}

// The headline of a run, and of what a change comes to, has at most fourteen words.
func TestHeadlinesOfRunsAreShort(t *testing.T) {
	codes := map[belt.Code]int{}
	ask := func(r *advise.Report, run *fleet.Run, q belt.Question) {
		b, err := belt.Of(r, run.ID, q)
		if err != nil {
			return // refused as asked: an error, and no page
		}
		what := fmt.Sprintf("%s, %s, %+v", r.Vehicle.ID, run.ID, q)
		short(t, what, b.Headline().String())
		code := b.Answer().Code
		if b.Change != nil {
			code = "changed: " + b.Change.Answer().Code
		}
		codes[code]++
	}
	for _, r := range append(demotest.Unknown(t), demotest.All(t)...) {
		for i := range r.Vehicle.Runs {
			run := &r.Vehicle.Runs[i]
			for _, q := range questions(run) {
				ask(r, run, q)
			}
		}
	}
	if len(codes) < 8 {
		t.Errorf("only these answers: %v", codes)
	}
}

// So it has for every answer to a recording, of pulleys by the longest names of
// any sheet.
func TestHeadlinesOfNoisesAreShort(t *testing.T) {
	for _, names := range [][]string{{"alternator"},
		{"air-conditioning compressor, outer bearing", "power steering pump, lower"}} {
		h := &belt.Heard{Sources: []belt.NoiseSource{{Name: "Ribbed belt of the auxiliary drive", Belt: true}}}
		for _, n := range names {
			h.Sources = append(h.Sources, belt.NoiseSource{Name: n})
		}
		first := []listen.Suspect{{}, {Pulleys: names[:1]}, {Pulleys: names}}
		for _, who := range first {
			for shows := listen.ShowsNothing; shows <= listen.ShowsPass; shows++ {
				for _, outcome := range []listen.Outcome{listen.Quiet, listen.Unclear, listen.Named} {
					for _, heard := range []bool{true, false} {
						who.Shows, who.Score, who.Bearing, who.Lines = shows, 2, "6203-2RS", []listen.Line{{Order: 36}}
						next := listen.Suspect{Pulleys: slices.Clone(names), Shows: listen.ShowsElement, Score: 1.5}
						h.Ranking = listen.Ranking{Outcome: outcome, Suspects: []listen.Suspect{who, next}, Margin: 1.4}
						h.Ranking.Crank.Supported, h.Ranking.Crank.Hz = heard, 12.5
						short(t, fmt.Sprintf("%v shows %v, %v", who.Pulleys, shows, outcome), h.Headline().String())
					}
				}
			}
		}
	}
}
