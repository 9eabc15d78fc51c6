package judge

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
)

// onRun is a vehicle with one belt that turns some machines.
func onRun(kinds ...string) *fleet.Vehicle {
	v := &fleet.Vehicle{ID: "v",
		Positions: []fleet.Position{{ID: "belt", Name: "Belt", Kind: "ribbed-belt", Changed: []string{"off"}}},
		Openings: []fleet.Opening{{ID: "slack", Leaves: []machine.Undone{machine.BeltLoose}},
			{ID: "off", Needs: []string{"slack"}, Leaves: []machine.Undone{machine.BeltOff}}}}
	run := fleet.Run{ID: "run", Belt: "belt", Pulleys: []fleet.Pulley{{Name: "crank", Driver: true}}}
	for _, k := range kinds {
		v.Positions = append(v.Positions, fleet.Position{ID: k, Name: k, Kind: k})
		run.Pulleys = append(run.Pulleys, fleet.Pulley{Name: k, Position: k})
	}
	v.Runs = []fleet.Run{run}
	return v
}

// A belt off forbids the start where it turns the coolant pump, driving where it
// turns what driving needs, and nothing where it turns the air conditioning
// alone (common practice).
func TestABeltOffForbidsWhatItsMachinesDo(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		kinds []string
		want  machine.Undone
	}{
		{[]string{"idler", "water-pump", "alternator"}, machine.BeltOff},
		{[]string{"alternator", "auto-tensioner", "steering-pump"}, machine.SideBeltOff},
		{[]string{"vacuum-pump"}, machine.SideBeltOff},
		{[]string{"compressor"}, machine.SpareBeltOff},
		{[]string{"accessory-bearing"}, machine.BeltOff},
		{[]string{"idler"}, machine.BeltOff}, // nothing it turns is known
	} {
		v := onRun(c.kinds...)
		if got := Undone(cat, v, v.Opening("off")); !slices.Equal(got, []machine.Undone{c.want}) {
			t.Errorf("a belt off that turns %v leaves %v, want %s", c.kinds, got, c.want)
		}
	}
	slot := onRun("alternator") // it is what sets the belt's tension
	slot.Runs[0].Tensioner = &fleet.Tensioner{Kind: "sliding adjuster", Pulley: "alternator"}
	if d := Turned(cat, slot, slot.Position("belt")); d == nil || d.Machine.ID != "alternator" {
		t.Errorf("a machine that moves in its slot is not turned: %+v", d)
	}
	v := onRun("compressor")
	v.Runs[0].Pulleys = append(v.Runs[0].Pulleys, fleet.Pulley{Name: "something"})
	if d := Turned(cat, v, v.Position("belt")); d != nil {
		t.Errorf("one pulley is not known, yet the belt turns %+v", d.Driven)
	}
	if got := Undone(cat, v, v.Opening("slack")); !slices.Equal(got, []machine.Undone{machine.BeltLoose}) {
		t.Errorf("a loose belt is %v", got)
	}
}

// A machine that drives a belt of its own brings what that belt turns with it.
func TestABeltBehindAMachineCounts(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	v := onRun("compressor")
	v.Positions = append(v.Positions, fleet.Position{ID: "pump", Name: "Pump", Kind: "water-pump"},
		fleet.Position{ID: "second", Kind: "v-belt"})
	v.Runs = append(v.Runs, fleet.Run{ID: "behind", Belt: "second",
		Pulleys: []fleet.Pulley{{Position: "compressor", Driver: true}, {Position: "pump"}}})
	if d := Turned(cat, v, v.Position("belt")); d == nil || d.Machine.ID != "pump" {
		t.Errorf("the belt that turns the coolant pump through another is judged by %+v", d)
	}
}

// What fails takes with it what its belt turns: a belt, and each pulley that lets
// the belt off, say so by the gravest of that (common practice).
func TestWhatFailsSpeaksByWhatItsBeltTurns(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	says := func(v *fleet.Vehicle, position string) string {
		t.Helper()
		js := Vehicle(Input{Catalogue: cat, State: fleet.Fold(v, nil, civil.MustParse("2026-11-25"))})
		i := slices.IndexFunc(js, func(j Judgement) bool { return j.Position.ID == position })
		if i < 0 {
			t.Fatalf("%s is not judged", position)
		}
		return js[i].LetsDown().String()
	}
	for _, c := range []struct {
		kinds []string
		want  string
	}{
		{[]string{"auto-tensioner", "idler", "alternator", "water-pump"}, "overheats within minutes"},
		{[]string{"auto-tensioner", "idler", "compressor"}, "cut the belt off"},
		{[]string{"idler", "alternator", "steering-pump"}, "does not charge|no charge"},
	} {
		for _, at := range append([]string{"belt"}, c.kinds...) {
			if got := says(onRun(c.kinds...), at); !regexp.MustCompile("(?i)" + c.want).MatchString(got) {
				t.Errorf("%s of a belt that turns %v: %q", at, c.kinds, got)
			}
		}
	}
	timing := onRun("idler", "auto-tensioner", "water-pump")
	timing.Positions[0].Kind = "timing-belt"
	for _, at := range []string{"idler", "auto-tensioner"} {
		if got := says(timing, at); !strings.Contains(got, "valves meet pistons") ||
			strings.Contains(got, "nothing turns") {
			t.Errorf("%s of a timing belt: %q", at, got)
		}
	}
	if got := says(&fleet.Vehicle{ID: "v", Positions: []fleet.Position{{ID: "idler", Name: "Idler", Kind: "idler"}}},
		"idler"); got != cat.Kind("idler").Life.LetsDown {
		t.Errorf("an idler on no run: %q", got)
	}
}
