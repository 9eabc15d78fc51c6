package visit_test

import (
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/visit"
)

// A caution stands once in its section, before the first check that needs it, none
// that a check has in the catalogue is missing from its section, and no danger is
// told in two wordings.
func TestACautionStandsOnceInItsSection(t *testing.T) {
	for _, r := range slices.Concat(demotest.Unknown(t), demotest.All(t)) {
		for _, bySystem := range []bool{false, true} {
			round, err := visit.NewRound(r, visit.RoundOptions{Open: []string{visit.OpenAll}, BySystem: bySystem})
			if err != nil {
				t.Fatal(err)
			}
			cautionsOnce(t, r, round)
		}
	}
}

// cautionsOnce holds a round to that.
func cautionsOnce(t *testing.T, r *advise.Report, round *visit.Round) {
	t.Helper()
	for _, stage := range round.Stages {
		said := map[string]int{}
		say := func(caution string) {
			for _, c := range parted(caution) {
				said[c]++
			}
		}
		for _, c := range stage.Cautions {
			say(c)
		}
		for _, stop := range stage.Stops {
			for _, c := range stop.Cautions {
				say(c)
			}
			for _, c := range stop.Checks {
				say(c.Caution)
				for _, want := range parted(r.Catalogue.CautionOn(r.Vehicle, c.Check)) {
					if said[want] == 0 {
						t.Errorf("%s, %s: %s of %s comes without %q before it", r.Vehicle.ID, stage.Kind, c.ID,
							stop.Position.ID, want)
					}
				}
			}
		}
		toldOnce(t, r.Vehicle.ID+", "+string(stage.Kind), said)
	}
}

func parted(caution string) []string {
	return strings.FieldsFunc(strings.ReplaceAll(caution, ". ", ".\n"), func(r rune) bool { return r == '\n' })
}

// toldOnce wants each sentence said once and each danger in one wording.
func toldOnce(t *testing.T, where string, said map[string]int) {
	t.Helper()
	told := map[string]string{}
	for c, n := range said {
		if n > 1 {
			t.Errorf("%s: %q stands %d times", where, c, n)
		}
		for danger, words := range dangers {
			if !words.MatchString(c) {
				continue
			}
			if told[danger] != "" {
				t.Errorf("%s: the danger %q is told by %q and by %q", where, danger, told[danger], c)
			}
			told[danger] = c
		}
	}
}
