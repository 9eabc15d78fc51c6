package catalogue_test

import (
	"fmt"
	"slices"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/units"
)

// seen is one thing observed, expressed through a check.
type seen struct{ check, answer, figure string }

// fluidCase is one part with what was found on it.
type fluidCase struct {
	kind, material string
	months         int // age; 0: fitted a month ago
	spec           map[string]units.Quantity
	seen           []seen
}

func markedPressure(s string) map[string]units.Quantity {
	return map[string]units.Quantity{"marked-pressure": units.MustParse(s)}
}

// TestFluidLimits checks published figures at and beside their edges.
// Sources: US Army TM 5-3895-359-14&P for the cap (a 7 psi cap opens between
// 6.25 and 7.5 psi, its vacuum valve by 0.625 psi); the United Kingdom's test
// manual of 2012 for brake pipes (a third of the wall); 49 CFR 571.116 for the
// least wet boiling points and an instrument maker's chart of 3 % of water for
// the change well above them; TM 5-3820-245-14 for 30 to 67 % of glycol; the
// association's 200 ppm of copper; Directive 89/459/EEC and the British rule of
// 1986 for tread.
func TestFluidLimits(t *testing.T) {
	wall := map[string]units.Quantity{"wall": units.MustParse("0.7 mm")}
	night := map[string]units.Quantity{"coldest-night": units.MustParse("-20 °C")}
	for _, c := range []struct {
		kind, material string
		spec           map[string]units.Quantity
		check, figure  string
		want           fleet.Verdict
	}{
		// common practice's 10 % is stricter
		{"pressure-cap", "", markedPressure("7 psi"), "opening-pressure", "6.25 psi", fleet.PutRight},
		{"pressure-cap", "", markedPressure("7 psi"), "opening-pressure", "6.3 psi", fleet.Keep},
		{"pressure-cap", "", markedPressure("7 psi"), "opening-pressure", "7.5 psi", fleet.Keep},
		{"pressure-cap", "", markedPressure("7 psi"), "opening-pressure", "7.6 psi", fleet.PutRight},
		{"pressure-cap", "", markedPressure("1.1 bar"), "opening-pressure", "110 kPa", fleet.Keep},
		{"pressure-cap", "", nil, "vacuum-opening", "4.3 kPa", fleet.Keep},
		{"pressure-cap", "", nil, "vacuum-opening", "4.4 kPa", fleet.PutRight},
		{"brake-pipe", "", wall, "wall-loss", "0.24 mm", fleet.Park},
		{"brake-pipe", "", wall, "wall-loss", "0.2 mm", fleet.Watch},
		{"brake-pipe", "", wall, "wall-loss", "0.05 mm", fleet.Keep},
		{"brake-pipe", "", nil, "wall-loss", "0.25 mm", fleet.Park},
		{"brake-pipe", "", nil, "wall-loss", "34 %", fleet.Park},
		{"brake-fluid", "DOT 4", nil, "boiling-point", "150 °C", fleet.PutRight},
		// above the standard's least, below the chart's
		{"brake-fluid", "DOT 3", nil, "boiling-point", "150 °C", fleet.PutRight},
		{"brake-fluid", "DOT 3", nil, "boiling-point", "165 °C", fleet.Watch},
		{"brake-fluid", "DOT 3", nil, "boiling-point", "185 °C", fleet.Keep},
		{"brake-fluid", "DOT 4", nil, "boiling-point", "186 °C", fleet.PutRight},
		{"brake-fluid", "DOT 4", nil, "boiling-point", "187 °C", fleet.Watch},
		{"brake-fluid", "DOT 4", nil, "boiling-point", "210 °C", fleet.Keep},
		{"brake-fluid", "DOT 5.1", nil, "boiling-point", "186 °C", fleet.PutRight},
		{"brake-fluid", "", nil, "copper", "200 ppm", fleet.PutRight},
		{"brake-fluid", "", nil, "copper", "150 ppm", fleet.Watch},
		{"brake-fluid", "", nil, "water", "2.5 %", fleet.Watch},
		{"brake-fluid", "", nil, "water", "3 %", fleet.PutRight},
		{"coolant", "", nil, "glycol-share", "29 %", fleet.PutRight},
		{"coolant", "", nil, "glycol-share", "35 %", fleet.Watch},
		{"coolant", "", nil, "glycol-share", "50 %", fleet.Keep},
		{"coolant", "", nil, "glycol-share", "68 %", fleet.PutRight},
		{"coolant", "", night, "freezing-point", "-18 °C", fleet.PutRight},
		{"coolant", "", night, "freezing-point", "-37 °C", fleet.Keep},
		{"coolant", "conventional", nil, "ph", "8.2", fleet.PutRight},
		{"coolant", "organic", nil, "ph", "8.2", fleet.Keep},
		{"top-hose", "", nil, "end-growth", "12 %", fleet.PutRight},
		{"bottom-hose", "", nil, "hardness-change", "15 Shore A", fleet.PutRight},
		{"hose-clip", "worm stainless", nil, "torque", "4 N·m", fleet.Keep},
		{"hose-clip", "worm stainless", nil, "torque", "2 N·m", fleet.Watch},
		{"engine-oil", "", nil, "pool", "80 mm", fleet.Park},
		{"tyres", "car", nil, "tread", "1.5 mm", fleet.Park},
		{"tyres", "car", nil, "tread", "2.5 mm", fleet.PutRight},
		{"tyres", "motorcycle", nil, "tread", "1.5 mm", fleet.PutRight},
		{"tyres", "motorcycle", nil, "tread", "2.5 mm", fleet.Keep},
		{"tyres", "motorcycle", nil, "tread", "0.9 mm", fleet.Park},
	} {
		j := judged1(t, fluidCase{kind: c.kind, material: c.material, spec: c.spec,
			seen: []seen{{c.check, "", c.figure}}})
		if j.Verdict != c.want {
			t.Errorf("%s (%s), %s %s: %v (%s), want %v", c.kind, c.material, c.check, c.figure, j.Verdict,
				j.Reasons[0].Says, c.want)
		}
	}
}

// TestFluidLeaks: fuel and brake fluid allow no class of leak, the others are
// graded. Sources: US Army TM 9-2320-280-10 paragraph 2-6 for the classes,
// TM 5-3805-290-23-2 for fuel, Directive 2014/45/EU for brakes; a stop on
// class II for oils is common practice.
func TestFluidLeaks(t *testing.T) {
	c := builtIn(t)
	for _, k := range c.Kinds() {
		if k.Check("leak") == nil || k.Check("leak").Answer("drops-fall") == nil {
			continue
		}
		strict := k.System == "fuel" || k.System == "brakes" || k.ID == "quick-connector" || k.ID == "clutch-line"
		want := map[string]fleet.Verdict{"none": fleet.Keep, "damp": fleet.Watch, "drops-form": fleet.PutRight,
			"drops-fall": fleet.Park, "stream": fleet.Park}
		for answer, v := range want {
			if strict && answer != "none" {
				v = fleet.Park
			}
			if j := judged1(t, fluidCase{kind: k.ID, seen: []seen{{"leak", answer, ""}}}); j.Verdict != v {
				t.Errorf("%s, leak %s: %v, want %v", k.ID, answer, j.Verdict, v)
			}
		}
	}
}

// TestFreshPartIsKept: a sound part fitted a month ago is kept.
func TestFreshPartIsKept(t *testing.T) {
	for _, k := range builtIn(t).Kinds() {
		i := slices.IndexFunc(k.Checks, func(c catalogue.Check) bool {
			return len(c.Answers) > 0 && c.Answers[0].Symptom == ""
		})
		if i < 0 {
			continue
		}
		c := k.Checks[i]
		if j := judged1(t, fluidCase{kind: k.ID, seen: []seen{{c.ID, c.Answers[0].ID, ""}}}); j.Verdict != fleet.Keep {
			t.Errorf("%s, %s %s: %v", k.ID, c.ID, c.Answers[0].ID, j.Verdict)
		}
	}
}

// judged1 judges a vehicle that has one part, all looked at on one day.
func judged1(t *testing.T, in fluidCase) judge.Judgement {
	t.Helper()
	on := civil.MustParse("2025-06-01")
	fitted := on.AddMonths(-max(in.months, 1))
	v := &fleet.Vehicle{ID: "v", Built: fitted,
		Positions: []fleet.Position{{ID: "p", Kind: in.kind, From: fleet.Above}}}
	entries := []*fleet.Entry{{ID: "0", Type: fleet.TypeFitted, Vehicle: "v", Date: fitted,
		Fitted: &fleet.Fitted{Position: "p", Part: fleet.PartSpec{Material: in.material, Spec: in.spec}}}}
	kind := builtIn(t).Kind(in.kind)
	for i, s := range in.seen {
		check := kind.Check(s.check)
		if check == nil || s.answer != "" && check.Answer(s.answer) == nil {
			t.Fatalf("%s has no %s %s", in.kind, s.check, s.answer)
		}
		f := &fleet.Found{Position: "p", Check: s.check, Answer: s.answer}
		if s.figure != "" {
			q := units.MustParse(s.figure)
			f.Value = &q
		}
		entries = append(entries, &fleet.Entry{ID: fmt.Sprint(i + 1), Type: fleet.TypeFound, Vehicle: "v",
			Date: on, Found: f})
	}
	js := judge.Vehicle(judge.Input{Catalogue: builtIn(t), State: fleet.Fold(v, entries, on)})
	return js[0]
}
