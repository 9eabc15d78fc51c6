package record

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
)

// found is a finding that makes a claim, at a position on a day.
func found(c *catalogue.Claim, position, day string, sure bool) *fleet.Entry {
	f := &fleet.Found{Position: position, Check: c.Check}
	switch {
	case c.AtLeast != nil:
		f.Value = c.AtLeast
	case c.AtMost != nil:
		f.Value = c.AtMost
	default:
		f.Answer = c.Is[0]
	}
	return &fleet.Entry{Type: fleet.TypeFound, Date: on(day), Sure: sure, Found: f}
}

// said is a contradiction on a vehicle that has all it speaks of.
type said struct {
	t       *testing.T
	kind    string
	x       *catalogue.Contradiction
	vehicle *fleet.Vehicle
	claims  []*catalogue.Claim
	at      []string // where each claim is made
	run     bool     // the arithmetic of the run makes what claims of it there are
}

func saidOf(t *testing.T, kind string, x *catalogue.Contradiction) *said {
	s := &said{t: t, kind: kind, x: x}
	_, _, s.vehicle = newRecorder(t)
	run := fleet.Run{ID: "run", Belt: "part"}
	s.vehicle.Positions = []fleet.Position{{ID: "part", Name: "Part", Kind: kind}}
	for i := range x.All {
		c := &x.All[i]
		if c.Run != "" {
			s.run = true
			continue
		}
		at := "part"
		if len(c.Kinds) > 0 {
			at = "other"
			s.vehicle.Positions = append(s.vehicle.Positions, fleet.Position{ID: at, Name: "Other", Kind: c.Kinds[0]})
			run.Pulleys = append(run.Pulleys, fleet.Pulley{Name: "pulley", Position: at})
		}
		s.claims, s.at = append(s.claims, c), append(s.at, at)
	}
	s.vehicle.Runs = []fleet.Run{run}
	return s
}

// kept records batches one after another, after what a claim wants of the look
// before, and returns the error of the last.
func (s *said) kept(batches ...[]*fleet.Entry) error {
	s.t.Helper()
	r, shelf, _ := newRecorder(s.t)
	if s.run {
		r.Run = func(*fleet.Vehicle, []*fleet.Entry, string) string { return catalogue.RunMiddle }
	}
	if slices.ContainsFunc(s.claims, func(c *catalogue.Claim) bool { return c.Still }) {
		batches = slices.Insert(batches, 0, s.all("2025-06-01", false, "drain", "level"))
	}
	for i, b := range batches {
		was := shelf.landings
		_, err := r.Batch(context.Background(), s.vehicle, b)
		if i == len(batches)-1 {
			if err != nil && shelf.landings != was {
				s.t.Errorf("%s: asked again and kept: %v", s.kind, err)
			}
			return err
		}
		if err != nil {
			s.t.Fatalf("%s: %s: %v", s.kind, s.x.Says, err)
		}
	}
	return nil
}

// all makes every claim on a day but those about some checks.
func (s *said) all(day string, sure bool, but ...string) []*fleet.Entry {
	var out []*fleet.Entry
	for i, c := range s.claims {
		if !slices.Contains(but, c.Check) {
			out = append(out, found(c, s.at[i], day, sure))
		}
	}
	return out
}

// Every contradiction of the catalogue is asked again with its reason, in one
// batch or one after another. It is kept where the owner is sure, where a claim
// is not made, on two days, and where the part was changed between.
func TestContradictionsAreAskedAgain(t *testing.T) {
	r, _, _ := newRecorder(t)
	n := 0
	for _, k := range r.Catalogue.Kinds() {
		for i := range k.Contradictions {
			n++
			s := saidOf(t, k.ID, &k.Contradictions[i])
			all := s.all("2026-01-01", false)
			again := func(what string, err error) {
				if err == nil || !strings.Contains(fmt.Sprint(fleet.Hints(err)), s.x.Says) {
					t.Errorf("%s: %s is kept %s, or not said why: %v", k.ID, s.x.Says, what, err)
				}
			}
			fine := func(what string, err error) {
				if err != nil {
					t.Errorf("%s: %s is asked again %s: %v", k.ID, s.x.Says, what, err)
				}
			}
			again("in one batch", s.kept(all))
			for i := 0; i < len(all) && len(all) > 1; i++ {
				fine("without a claim", s.kept(slices.Delete(s.all("2026-01-01", false), i, i+1)))
			}
			if s.run {
				s.run = false
				fine("without the run", s.kept(all))
				s.run = true
			}
			if len(all) > 1 {
				again("one after another", s.kept(all[1:], all[:1]))
				fine("on two days", s.kept(all[1:], []*fleet.Entry{found(s.claims[0], s.at[0], "2026-01-02", false)}))
			}
			fine("though the owner is sure", s.kept(s.all("2026-01-01", true)))
			fitted := &fleet.Entry{Type: fleet.TypeFitted, Date: on("2026-01-01"),
				Fitted: &fleet.Fitted{Position: s.at[0]}}
			fine("though the part was changed between", s.kept(append(s.all("2026-01-01", false), fitted)))
		}
	}
	if n < 40 {
		t.Errorf("only %d contradictions", n)
	}
}

// answersOf reads "position check answer" lines into findings of one day.
func answersOf(t *testing.T, r *Recorder, v *fleet.Vehicle, lines ...string) []*fleet.Entry {
	t.Helper()
	var rows []TypedFinding
	for _, l := range lines {
		f := strings.SplitN(l, " ", 3)
		rows = append(rows, TypedFinding{Position: f[0], Check: f[1], Answer: f[2]})
	}
	out, errs := Findings(r.Catalogue, v, rows)
	if len(errs) > 0 {
		t.Fatal(errs)
	}
	for _, e := range out {
		e.Date = on("2026-01-01")
	}
	return out
}

// oneOfEach is a vehicle with a position of each kind, named for it.
func oneOfEach(t *testing.T) (*Recorder, *fleet.Vehicle) {
	r, _, v := newRecorder(t)
	v.Positions = nil
	for _, k := range r.Catalogue.Kinds() {
		v.Positions = append(v.Positions, fleet.Position{ID: k.ID, Name: k.Name, Kind: k.ID})
	}
	return r, v
}

// What can both be true is never asked again, however odd it looks (common
// practice; each with how it comes about).
func TestBothCanBeTrue(t *testing.T) {
	for why, lines := range map[string][]string{
		"a leak that has only just begun": {"top-hose leak drops-fall", "water-pump drain steady",
			"expansion-tank level between", "expansion-tank top-ups none"},
		"a battery whose plates are spent": {"battery rest-voltage 12.7 V", "battery load-test bad",
			"battery terminals clean"},
		"a battery with one dead cell":            {"battery rest-voltage 11.9 V", "battery gravity 1.1 SG"},
		"a battery that was charged for its test": {"battery rest-voltage 11.5 V", "battery load-test good"},
		"a sensor or a handbrake, or worn pads":   {"brake-fluid level between", "whole-vehicle lamps brake"},
		"a master cylinder that leaks past its seal": {"brake-fluid pedal sinks", "brake-fluid leak none",
			"brake-hose leak none"},
		"an exciter circuit, or charging too high": {"overrun-pulley charging yes", "whole-vehicle lamps charge"},
		"a new belt of the wrong length": {"auto-tensioner mark at-end", "ribbed-belt rib-wear above",
			"ribbed-belt cracks 0 per 75 mm"},
		"a bearing that only sings under the belt": {"idler spin smooth", "idler rock none",
			"idler noise rumble"},
		"a bent pulley on a sound bearing": {"water-pump play none", "water-pump wobble wobble"},
		"a tight belt that hides the play": {"idler finger firm", "idler rock wobble"},
		"a tyre worn on its inner edge":    {"tyres tread 5 mm", "tyres wear-pattern to-cord"},
		"a hose made with two bores":       {"top-hose surface sound", "top-hose end-growth 18 %"},
		"a firm hose behind a blocked radiator": {"bottom-hose squeeze-ends same",
			"bottom-hose spring none-fitted", "bottom-hose shape-running flattens"},
		"one clip of the joint lost, the other sound": {"hose-clip seat missing", "hose-clip condition sound",
			"hose-clip grip tight"},
		"a joint that only leaks with the pump on":    {"fuel-hose smell none", "fuel-hose leak drops-form"},
		"a smell that is met only close to the hose":  {"whole-vehicle fuel-smell none", "fuel-hose smell faint"},
		"pressed on through a check valve that leaks": {"servo-hose reserve none", "servo-hose pedal-test falls"},
		"two wires of one earth":                      {"earth-strap state missing", "earth-strap drop 0.1 V"},
		"an engine that warms well and boils uphill": {"thermostat warm-up normal",
			"bottom-hose temperature-at-speed overheats"},
		"propylene glycol: 40 % is good to about -21 °C": {"coolant glycol-share 40 %",
			"coolant freezing-point -21 °C"},
		"fluid of 3 % of water that still boils at 170": {"brake-fluid water 3 %", "brake-fluid boiling-point 170 °C"},
		"silicone fluid, which takes no water":          {"brake-fluid water 0 %", "brake-fluid boiling-point 300 °C"},
		"drops at an axle whose level holds": {"gearbox-oil leak drops-fall-holds",
			"gearbox-oil level right"},
		"a timing cover with old dust in it":        {"timing-belt cover dust", "timing-belt teeth whole"},
		"a belt with a slack span over a short gap": {"v-belt tension slack", "v-belt deflection 3 mm"},
	} {
		r, v := oneOfEach(t)
		if _, err := r.Batch(context.Background(), v, answersOf(t, r, v, lines...)); err != nil {
			t.Errorf("%s: %v", why, err)
		}
	}
}

// No two answers that ask for nothing contradict each other, whatever the kind.
func TestNothingFoundContradictsNothing(t *testing.T) {
	r, v := oneOfEach(t)
	var lines []string
	for _, k := range r.Catalogue.Kinds() {
		for i := range k.Checks {
			c := &k.Checks[i]
			for _, a := range c.Answers {
				if a.Symptom == "" {
					lines = append(lines, k.ID+" "+c.ID+" "+a.ID)
					break
				}
			}
		}
	}
	if _, err := r.Batch(context.Background(), v, answersOf(t, r, v, lines...)); err != nil || len(lines) < 150 {
		t.Errorf("%d answers: %v", len(lines), err)
	}
}

// Of a belt without damage twenty cracks cannot be counted, and one can be.
func TestNoDamageAndTwentyCracks(t *testing.T) {
	r, _, v := newRecorder(t)
	for count, want := range map[string]bool{"20 per 75 mm": true, "1 per 75 mm": false} {
		_, err := r.Batch(context.Background(), v, []*fleet.Entry{
			{Type: fleet.TypeFound, Date: on("2026-01-01"), Odometer: q("100000 km"),
				Found: &fleet.Found{Position: "main-belt", Check: "rib-damage", Answer: "none"}},
			{Type: fleet.TypeFound, Date: on("2026-01-01"),
				Found: &fleet.Found{Position: "main-belt", Check: "cracks", Value: q(count)}}})
		if (err != nil) != want {
			t.Errorf("%s: %v", count, err)
		}
	}
}
