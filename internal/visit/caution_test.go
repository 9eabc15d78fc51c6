package visit_test

import (
	"testing"

	"undertray/internal/demo/demotest"
	"undertray/internal/visit"
)

// A caution stands once in its section, before the first check that needs it,
// and none that a check has in the catalogue is missing from its section.
func TestACautionStandsOnceInItsSection(t *testing.T) {
	reports := demotest.Unknown(t)
	for _, r := range demotest.Reports(t) {
		reports = append(reports, r)
	}
	for _, r := range reports {
		for _, bySystem := range []bool{false, true} {
			round, err := visit.NewRound(r, visit.RoundOptions{Open: []string{visit.OpenAll}, BySystem: bySystem})
			if err != nil {
				t.Fatal(err)
			}
			for _, stage := range round.Stages {
				said := map[string]int{}
				for _, c := range stage.Cautions {
					said[c]++
				}
				for _, stop := range stage.Stops {
					for _, c := range stop.Checks {
						if c.Caution != "" {
							said[c.Caution]++
						}
						if want := r.Catalogue.CautionOn(r.Vehicle, c.Check); want != "" && said[want] == 0 {
							t.Errorf("%s, %s: %s of %s comes without %q before it", r.Vehicle.ID, stage.Kind, c.ID,
								stop.Position.ID, want)
						}
					}
				}
				for c, n := range said {
					if n > 1 {
						t.Errorf("%s, %s: %q stands %d times", r.Vehicle.ID, stage.Kind, c, n)
					}
				}
			}
		}
	}
}
