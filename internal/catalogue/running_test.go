package catalogue

import (
	"regexp"
	"testing"

	"undertray/internal/fleet"
	"undertray/internal/machine"
)

// turned is what a check says that is done with the engine running or turning, of
// which a memory of the last drive is none.
var turned = regexp.MustCompile(`(?i)engine running|idling|\bat idle\b|and start\b|; start|run to temperature|rais(e|ing) [^.]*speed`)

// A check that is made with the engine running says so as data: what is laid out by
// that asks it once all is closed and nobody is below (common practice).
func TestWhatRunsTheEngineSaysSo(t *testing.T) {
	seen := 0
	cat, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range cat.Kinds() {
		for i := range k.Checks {
			c := &k.Checks[i]
			if !turned.MatchString(c.Question + " " + c.How) {
				continue
			}
			if seen++; c.Engine != fleet.Running && c.Needs.Rank() < machine.Cranking.Rank() {
				t.Errorf("%s, %s is asked at rest: %q", k.ID, c.ID, c.How)
			}
		}
	}
	if seen < 20 {
		t.Errorf("only %d checks run the engine", seen)
	}
}
