package catalogue

import (
	"regexp"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
)

// turned is what a check says that is done with the engine running or turning, or after it was run for it, of
// which a memory of the last drive is none; powered what wants the battery connected and the ignition on.
var (
	turned = regexp.MustCompile(`(?i)engine running|idling|\bat idle\b|and start\b|; start|run to temperature|` +
		`rais(e|ing) [^.]*speed|while cranking|helper cranks|engine (is|has been) stopped|run for a few|` +
		`after a run with everything`)
	powered = regexp.MustCompile(`(?i)\bignition on\b|primed|blower on full|let them wipe`)
	// sent is what sends somebody off to run or drive it, and to look again: at rest it may stand on stands.
	sent = regexp.MustCompile(`(?i)(^|[,;.:] )(run|drive|start)( it| the engine)?([,;.]| and | again|$)|` +
		`(again|underneath) after a run\b|turn the engine on\b`)
	geared = regexp.MustCompile(`(?i)(^|[^t] of |[^f] )\bin gear\b`)
)

// A check that is made at rest sends nobody off to run or drive the vehicle, which may stand on stands with its
// undertray, its belts or its battery off: what shows after a drive is looked at after the next one. Who listens
// or looks while it is in gear with the engine running does so while another holds the brake (common practice;
// Health and Safety Executive, Working under vehicles, read).
func TestNobodyIsSentToRunItFromStands(t *testing.T) {
	cat, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	rest, gear := 0, 0
	for _, k := range cat.Kinds() {
		for i := range k.Checks {
			c := &k.Checks[i]
			running := c.Engine == fleet.Running || c.Needs.Rank() >= machine.Ignition.Rank()
			if !running {
				rest++
			}
			if !running && sent.MatchString(c.How) {
				t.Errorf("%s, %s is asked at rest: %q", k.ID, c.ID, c.How)
			}
			if geared.MatchString(c.Question + " " + c.How) {
				if gear++; !c.Helper {
					t.Errorf("%s, %s is in gear, and nobody holds the brake: %q", k.ID, c.ID, c.How)
				}
			}
		}
	}
	if rest < 200 || gear == 0 {
		t.Errorf("only %d checks at rest, %d in gear", rest, gear)
	}
}

// A check that is made with the engine running, or with current, says so as data: what is laid out by
// that asks it once all is closed, the battery connected and nobody below (common practice).
func TestWhatRunsTheEngineSaysSo(t *testing.T) {
	seen := 0
	cat, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range cat.Kinds() {
		for i := range k.Checks {
			c := &k.Checks[i]
			words, least := c.Question+" "+c.How, machine.Cranking
			if !turned.MatchString(words) {
				if least = machine.Ignition; !powered.MatchString(words) {
					continue
				}
			}
			if seen++; c.Engine != fleet.Running && c.Needs.Rank() < least.Rank() {
				t.Errorf("%s, %s is asked at rest: %q", k.ID, c.ID, c.How)
			}
		}
	}
	if seen < 20 {
		t.Errorf("only %d checks run the engine", seen)
	}
}
