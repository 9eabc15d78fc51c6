package ask_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/sheet/ask/asktest"
	"undertray.example/undertray/units"
)

func known(t testing.TB) *catalogue.Catalogue {
	t.Helper()
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	return cat
}

// faultless builds and reads a sheet, and tells every mistake and warning.
func faultless(t *testing.T, cat *catalogue.Catalogue, a ask.Answers) *fleet.Vehicle {
	t.Helper()
	src, err := ask.Build(a, ask.Filling{Vehicle: "wren", Name: "Wren"})
	if err != nil {
		t.Errorf("%v, %v: %v", a.Say, a.Belts, err)
		return nil
	}
	s, err := sheet.Read("wren", src, cat)
	if err != nil {
		t.Errorf("%v, %v:\n%v", a.Say, a.Belts, err)
		return nil
	}
	for _, w := range s.Warnings {
		t.Errorf("%v, %v: %v", a.Say, a.Belts, w)
	}
	return s.Vehicle
}

// The usual sorts of vehicle come out as such vehicles are: what each must have, what
// it must not, and how many places there are to look at.
func TestUsualSortsOfVehicle(t *testing.T) {
	cat := known(t)
	for id, want := range map[string]struct {
		least, runs int
		has, hasNot string
	}{
		"four-transverse-petrol": {60, 2, "timing-belt ribbed-belt brake-pads", "timing-chain stretch-belt"},
		"four-long-diesel":       {60, 2, "stretch-belt overrun-pulley charge-air-hose glow-plugs", "spark-plugs"},
		"v6-long-petrol":         {60, 2, "auto-gearbox-fluid gearbox-cooler-line viscous-fan", "clutch-line"},
		"four-carburettor":       {55, 2, "v-belt manual-adjuster ignition-leads control-cable", "air-con-line"},
		"small-hybrid":           {60, 1, "high-voltage-cable electric-coolant-pump", "alternator clutch-line"},
		"four-transverse-diesel": {60, 2, "timing-belt charge-air-hose vacuum-pump", "spark-plugs v-belt"},
		"v8-long-petrol":         {60, 2, "stretch-belt ribbed-belt oil-cooler-line tow-coupling", "timing-belt"},
		"pick-up":                {70, 3, "propeller-shaft-joint drive-shaft-boot tow-coupling", "spark-plugs"},
		"small-tractor":          {40, 1, "hydraulic-hose power-take-off v-belt grease-points", "undertray brake-hose"},
		"motorcycle":             {28, 0, "drive-chain fork-seal control-cable", "radiator ribbed-belt wipers"},
		"trailer":                {10, 0, "trailer-brake-cable tow-coupling wheel-bearing lamps", "engine-oil battery"},
	} {
		a, err := ask.From(id)
		if err != nil {
			t.Fatal(err)
		}
		v := faultless(t, cat, a)
		if len(v.Positions) < want.least || len(v.Runs) != want.runs || v.About == "" {
			t.Errorf("%s: %d positions, %d runs, %q", id, len(v.Positions), len(v.Runs), v.About)
		}
		has := func(kind string) bool {
			return slices.ContainsFunc(v.Positions, func(p fleet.Position) bool { return p.Kind == kind })
		}
		for kind := range strings.FieldsSeq(want.has) {
			if !has(kind) {
				t.Errorf("%s has no %s", id, kind)
			}
		}
		for kind := range strings.FieldsSeq(want.hasNot) {
			if has(kind) {
				t.Errorf("%s has a %s", id, kind)
			}
		}
	}
	if len(ask.Archetypes()) != 11 {
		t.Errorf("%d usual sorts", len(ask.Archetypes()))
	}
}

// Every pair of answers that can be given together makes a sheet without mistakes and
// without warnings (a run that does not lie is a warning), on which what can hurt has
// its caution, nothing is torqued by a made-up figure and the order of work holds.
func TestEveryPairOfAnswersMakesASheet(t *testing.T) {
	cat := known(t)
	sets, pairs := asktest.Pairwise(1)
	t.Logf("%d sets of answers hold %d pairs", len(sets), pairs)
	if pairs < 2500 {
		t.Errorf("only %d pairs", pairs)
	}
	for _, a := range sets {
		if v := faultless(t, cat, a); v != nil {
			sound(t, v)
		}
	}
}

// sound holds a sheet to what every careful person keeps to (common practice).
func sound(t *testing.T, v *fleet.Vehicle) {
	t.Helper()
	raises := func(id string) bool { return v.Opening(id).Raises }
	for _, o := range v.Openings {
		leaves := len(o.Leaves) > 0 && o.Leaves[0] != machine.BeltOff && o.Leaves[0] != machine.WheelsOff
		risky := o.Raises || leaves
		if risky && len(o.Cautions) == 0 {
			t.Errorf("%s: opening %s has no caution", v.About, o.ID)
		}
		if strings.Contains(o.Undo, "Bleed the brakes") && !slices.ContainsFunc(v.Closure(o.Needs), raises) {
			t.Errorf("%s: opening %s bleeds the brakes and needs no raising", v.About, o.ID)
		}
		if o.Undo == "" && !o.Waits() {
			t.Errorf("%s: opening %s is never put back", v.About, o.ID)
		}
		if strings.HasPrefix(o.ID, "fuel") && o.Engine != fleet.Cold {
			t.Errorf("%s: opening %s opens fuel on a hot engine", v.About, o.ID)
		}
		for _, f := range o.Fasteners {
			if f.Torque != nil {
				t.Errorf("%s: opening %s makes a torque up", v.About, o.ID)
			}
		}
	}
	for _, p := range v.Positions {
		risky := strings.HasPrefix(p.Kind, "fuel-") || p.Kind == "brake-hose" || p.Kind == "brake-pipe" ||
			p.Kind == "air-con-line" || p.Kind == "battery" || p.Kind == "high-voltage-cable" ||
			p.Kind == "hydraulic-hose"
		if risky && len(p.Cautions) == 0 {
			t.Errorf("%s: position %s has no caution", v.About, p.ID)
		}
		if (p.Kind == "air-con-line" || p.Kind == "high-voltage-cable") && !p.LookOnly {
			t.Errorf("%s: position %s is not look_only", v.About, p.ID)
		}
		if len(p.Limits) > 0 || len(p.Intervals) > 0 {
			t.Errorf("%s: position %s speaks for the vehicle's maker", v.About, p.ID)
		}
	}
	for _, r := range v.Runs {
		if !r.Typical {
			t.Errorf("%s: run %s does not say that nothing of it was measured", v.About, r.ID)
		}
	}
}

// What the owner says of the vehicle comes back from the sheet, whatever marks are in
// it; what is not said is not made up.
func TestFilling(t *testing.T) {
	a, err := ask.From("trailer")
	if err != nil {
		t.Fatal(err)
	}
	yearly := units.MustParse("900 mi")
	f := ask.Filling{Vehicle: "grey-trailer", Name: `The "grey" one: no. 2 # spare`,
		Built: civil.MustParse("2009-02-28"), VIN: "ZZ9TE5T19BX900001", Yearly: &yearly}
	src, err := ask.Build(a, f)
	if err != nil {
		t.Fatal(err)
	}
	v, err := sheet.Parse("new", src, nil)
	if err != nil || v.ID != f.Vehicle || v.Name != f.Name || v.Built != f.Built || v.VIN != f.VIN ||
		*v.Yearly != yearly {
		t.Errorf("filled in as %+v, %v", v, err)
	}
	if src, err = ask.Build(a, ask.Filling{Vehicle: "a", Name: "A"}); err != nil {
		t.Fatal(err)
	}
	if v, err = sheet.Parse("new", src, nil); err != nil || !v.Built.IsZero() || v.VIN != "" || v.HighVoltage() {
		t.Errorf("made up: %v, %q, %v", v.Built, v.VIN, err)
	}
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[ -~äéß€·]{1,40}`).Draw(t, "name")
		if strings.TrimSpace(name) == "" {
			return
		}
		src, err := ask.Build(a, ask.Filling{Vehicle: "a", Name: name})
		if err != nil {
			t.Fatalf("%q: %v", name, err)
		}
		if v, err := sheet.Parse("a.yaml", src, nil); err != nil || v.Name != name {
			t.Fatalf("%q came back as %v, %v", name, v, err)
		}
	})
}

func TestWhatIsRefused(t *testing.T) {
	if _, err := ask.From("small-hybird"); fleet.KindOf(err) != fleet.NotFound ||
		!strings.Contains(err.Error(), `did you mean "small-hybrid"?`) {
		t.Errorf("unknown archetype: %v", err)
	}
	belt := func(kind string, turns ...string) []ask.Belt { return []ask.Belt{{Kind: kind, Turns: turns}} }
	for _, c := range []struct {
		says  string
		say   map[string]string
		belts []ask.Belt
	}{
		{"no such question", map[string]string{"wings": "2"}, nil},
		{"no answer for this vehicle", map[string]string{"lies": "upside-down"}, nil},
		{"is no way to hold", nil, belt("glue", "alternator")},
		{"is nothing a belt turns", nil, belt("v", "wheel")},
		{"turned twice", nil, belt("v", "alternator", "alternator")},
		{"has one: name it", nil, belt("sprung", "alternator")},
		{"no tensioner: take it out", nil, belt("stretch", "alternator", "tensioner")},
		{"at most two do", nil, belt("sprung", "alternator", "idler", "idler", "tensioner")},
		{"no pulley on its back", nil, belt("v", "alternator", "idler")},
		{"turns nothing", nil, belt("v", "idler")},
		{"none does", map[string]string{"air-con": "no", "steering": "no", "pump": "inside"},
			belt("v", "alternator", "compressor")},
		{"none of these does", map[string]string{"pump": "belt"}, belt("v", "alternator")},
	} {
		_, err := ask.Build(ask.Answers{Say: c.say, Belts: c.belts}, ask.Filling{Vehicle: "a", Name: "A"})
		if fleet.KindOf(err) != fleet.Invalid || !strings.Contains(err.Error(), c.says) {
			t.Errorf("want %q, got %v", c.says, err)
		}
	}
	for _, f := range []ask.Filling{{Name: "A"}, {Vehicle: "a"}, {Vehicle: "A b", Name: "A"},
		{Vehicle: "a", Name: "A\nB"}} {
		if _, err := ask.Build(ask.Answers{}, f); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%+v: %v", f, err)
		}
	}
}

// Who does not know is told what was taken, and the sheet says so.
func TestDontKnow(t *testing.T) {
	a := ask.Answers{Say: map[string]string{"timing": ask.DontKnow, "towing": ask.DontKnow, "lies": "along"}}
	src, err := ask.Build(a, ask.Filling{Vehicle: "a", Name: "A"})
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(src, []byte("# Not known when it was made:")) ||
		!bytes.Contains(src, []byte("taken as a belt")) || !bytes.Contains(src, []byte("kind: timing-belt")) {
		t.Errorf("the sheet does not say what was not known:\n%s", src[:1500])
	}
}

// On a terminal a number, an id, nothing and a question mark answer; what is none is
// asked again, and an end before the last question writes nothing.
func TestTalk(t *testing.T) {
	var out strings.Builder
	a, err := ask.Talk(strings.NewReader("9\n4\n\n\nchain\n?\n"+strings.Repeat("\n", 30)), &out)
	if err != nil {
		t.Fatalf("%v\n%s", err, out.String())
	}
	if a.Say["sort"] != "tractor" || !strings.Contains(out.String(), `"9" is none of these`) {
		t.Errorf("%v\n%s", a.Say, out.String())
	}
	if _, err := ask.Talk(strings.NewReader("1\n"), &out); fleet.KindOf(err) != fleet.Invalid {
		t.Errorf("an early end: %v", err)
	}
}
