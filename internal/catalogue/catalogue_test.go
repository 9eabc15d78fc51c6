package catalogue_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// builtIn returns the built-in catalogue.
func builtIn(t testing.TB) *catalogue.Catalogue {
	t.Helper()
	c, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// everyKind lists the kinds the built-in catalogue must know: those of the
// trade's own list of component kinds, and the fluids and service parts of its
// table of intervals.
const everyKind = `
ribbed-belt v-belt timing-belt timing-belt-in-oil stretch-belt
auto-tensioner manual-adjuster idler overrun-pulley crank-pulley water-pump accessory-bearing
alternator compressor steering-pump vacuum-pump working-pump
top-hose bottom-hose heater-hose bypass-hose overflow-hose expansion-tank radiator pressure-cap
hose-clip quick-connector thermostat coolant electric-coolant-pump
engine-oil oil-filter oil-cooler-line gearbox-cooler-line auto-gearbox-fluid gearbox-oil
steering-pressure-hose steering-return-hose steering-fluid
fuel-pipe fuel-hose fuel-pipe-plastic fuel-filter
intake-duct charge-air-hose air-filter cabin-filter vacuum-hose breather-hose
servo-hose brake-hose brake-pipe brake-fluid clutch-line
harness earth-strap battery spark-plugs
air-con-line pipe-clip engine-mount tyres wipers whole-vehicle
wheel-bearing drive-shaft-boot propeller-shaft-joint ball-joint shock-absorber drive-chain fork-seal tow-coupling
lamps exhaust control-cable handbrake-cable trailer-brake-cable brake-pads brake-shoes timing-chain
heater-matrix viscous-fan electric-fan high-voltage-cable ignition-leads glow-plugs
hydraulic-hose hydraulic-oil power-take-off grease-points`

func TestEveryKindIsThere(t *testing.T) {
	c := builtIn(t)
	want := strings.Fields(everyKind)
	for _, id := range want {
		if c.Kind(id) == nil {
			t.Errorf("no kind %q", id)
		}
	}
	for _, id := range c.KindIDs() {
		if !slices.Contains(want, id) {
			t.Errorf("kind %q is not in the test's list", id)
		}
	}
}

// TestEveryLimitHasAuthorityAndSource looks at the catalogue as it is handed
// out, not at what the loader said of it.
func TestEveryLimitHasAuthorityAndSource(t *testing.T) {
	c := builtIn(t)
	for _, k := range c.Kinds() {
		for _, l := range k.Limits("") {
			if l.Authority == "" || !known(c, l.Source) || l.Says == "" || k.Check(l.Check) == nil {
				t.Errorf("%s, %s: limit without authority, source, words or check: %+v", k.ID, l.Check, l)
			}
			if !strings.HasSuffix(l.Says, ".") {
				t.Errorf("%s, %s: %q is no sentence", k.ID, l.Check, l.Says)
			}
			if (l.Verdict == fleet.Watch) != (l.Again != nil) {
				t.Errorf("%s, %s: verdict %v with again %v", k.ID, l.Check, l.Verdict, l.Again)
			}
		}
		for _, iv := range k.Intervals {
			if iv.Authority == "" || !known(c, iv.Source) {
				t.Errorf("%s: interval without authority or source: %+v", k.ID, iv)
			}
		}
	}
}

func known(c *catalogue.Catalogue, ids fleet.Sources) bool {
	return len(ids) > 0 && !slices.ContainsFunc(ids, func(id string) bool { return c.Source(id) == nil })
}

// TestWhatIsPutRightSaysHowAndByWhen: a finding that asks for more than a look
// says what is done about it, and, where the vehicle may still be driven, until
// when.
func TestWhatIsPutRightSaysHowAndByWhen(t *testing.T) {
	for _, k := range builtIn(t).Kinds() {
		for _, l := range k.Limits("") {
			if l.Verdict >= fleet.PutRight && l.Do == "" || (l.Verdict == fleet.PutRight) != (l.By != nil) {
				t.Errorf("%s, %s %s: verdict %s with do %q and by %v", k.ID, l.Check, l.Is, l.Verdict, l.Do, l.By)
			}
		}
	}
}

// TestWhatABeltTurns: what stands still when its belt goes says what that means,
// from an engine that must be stopped to a belt that is cut off (common
// practice).
func TestWhatABeltTurns(t *testing.T) {
	c := builtIn(t)
	for kind, want := range map[string]string{
		"water-pump": catalogue.Stop, "vacuum-pump": catalogue.Stop, "timing-belt": catalogue.Stop,
		"timing-belt-in-oil": catalogue.Stop, "accessory-bearing": catalogue.Stop,
		"alternator": catalogue.DriveGently, "steering-pump": catalogue.DriveGently,
		"compressor": catalogue.CutOffAndDriveOn, "working-pump": catalogue.CutOffAndDriveOn,
	} {
		if d := c.Kind(kind).Driven; d == nil || d.Failure != want {
			t.Errorf("%s: %+v, want %s", kind, d, want)
		}
	}
	if d := c.Kind("ribbed-belt").Driven; d != nil {
		t.Errorf("a ribbed belt means what its run turns, not %+v", d)
	}
}

// TestHighVoltageIsNamedWhereItIsNear: every check of what runs beside high voltage
// on a hybrid, or is cooled or driven by it, says so itself there, and on a
// vehicle that has none it does not (common practice: orange cables are for
// trained people).
func TestHighVoltageIsNamedWhereItIsNear(t *testing.T) {
	c := builtIn(t)
	says := func(fuel string, check *catalogue.Check) bool {
		return strings.Contains(c.CautionOn(&fleet.Vehicle{Engine: fleet.Engine{Fuel: fuel}}, check), "high-voltage")
	}
	for kind, checks := range map[string][]string{
		"harness":               {"covering", "contact", "connectors", "fixings"},
		"electric-coolant-pump": {"leak", "runs", "connector"},
		"air-con-line":          {"joints", "path", "condenser"}, "compressor": {"look"},
		"battery":    {"case", "terminals"},
		"brake-pipe": {"surface", "support"}, "fuel-pipe": {"surface", "support"}, "fuel-pipe-plastic": {"surface"},
		"pipe-clip": {"state", "contact"}, "engine-mount": {"rubber", "fixing"}, "radiator": {"leak"},
		"expansion-tank": {"level"},
	} {
		for _, id := range checks {
			check := c.Kind(kind).Check(id)
			if !says("petrol hybrid", check) || !says("electric", check) || !says("", check) || says("diesel", check) {
				t.Errorf("%s, %s: high voltage is not named where it is, or where it is not", kind, id)
			}
		}
	}
}

// TestStandardsNameADocument: a published standard never rests on common
// practice alone.
func TestStandardsNameADocument(t *testing.T) {
	c := builtIn(t)
	for _, k := range c.Kinds() {
		for _, l := range k.Limits("") {
			if l.Authority != fleet.PublishedStandard {
				continue
			}
			if !slices.ContainsFunc(l.Source, func(id string) bool { return c.Source(id).Seen != "common practice" }) {
				t.Errorf("%s, %s: a published standard rests on %q alone", k.ID, l.Check, l.Source)
			}
		}
	}
}

// TestTheCatalogueSpeaksForNoVehicle: this vehicle's maker speaks in the owner's
// own handbook alone, so the built-in catalogue never does. Manuals of
// particular machines, army and navy manuals, associations and pages of the
// trade are common practice: none of them is a standard that holds for others.
func TestTheCatalogueSpeaksForNoVehicle(t *testing.T) {
	particular := func(id string) bool {
		switch id {
		case "vehicle-service-manuals", "vehicle-makers-books", "trade-pages", "trade-council", "brake-fluid-copper",
			"out-of-service-criteria":
			return true
		}
		return strings.HasPrefix(id, "us-army-") || strings.HasPrefix(id, "us-navy-")
	}
	check := func(kind string, a fleet.Authority, source fleet.Sources) {
		standard := a == fleet.PublishedStandard && !slices.ContainsFunc(source, func(id string) bool {
			return !particular(id)
		})
		if a == fleet.VehicleMaker || standard {
			t.Errorf("%s: %s speaks as %s", kind, source, a)
		}
	}
	for _, k := range builtIn(t).Kinds() {
		for _, l := range k.Limits("") {
			check(k.ID, l.Authority, l.Source)
		}
		for i := range k.Intervals {
			check(k.ID, k.Intervals[i].Authority, k.Intervals[i].Source)
		}
	}
}

func TestEveryKindCanBeJudged(t *testing.T) {
	c := builtIn(t)
	for _, k := range c.Kinds() {
		do := map[string]bool{}
		for _, iv := range k.Intervals {
			do[iv.Do] = true
		}
		if !do[fleet.DoReplace] || !do[fleet.DoInspect] {
			t.Errorf("%s: intervals for %v only", k.ID, do)
		}
		if c.SystemName(k.System) == k.System {
			t.Errorf("%s: system %q has no name", k.ID, k.System)
		}
		for i := range k.Checks {
			judged(t, k, &k.Checks[i])
		}
		if len(k.Causes) == 0 || len(k.Cautions) == 0 && k.System != "service" {
			t.Errorf("%s: no causes or no cautions", k.ID)
		}
	}
}

func judged(t *testing.T, k *catalogue.Kind, c *catalogue.Check) {
	t.Helper()
	if len(c.Answers) == 0 {
		if len(c.Limits) == 0 || !c.Dimension().IsValid() {
			t.Errorf("%s, %s: a figure without limits or dimension", k.ID, c.ID)
		}
		return
	}
	good := 0
	for _, a := range c.Answers {
		limited := slices.ContainsFunc(c.Limits, func(l fleet.Limit) bool { return l.Is == a.ID })
		if a.Symptom != "" && !limited {
			t.Errorf("%s, %s: %q is a symptom without a limit", k.ID, c.ID, a.ID)
		}
		if a.Symptom == "" {
			good++
		}
	}
	if good == 0 {
		t.Errorf("%s, %s: no good answer", k.ID, c.ID)
	}
}

// TestLimitsTakeFigures: every bound can be compared with a figure in the
// check's own unit.
func TestLimitsTakeFigures(t *testing.T) {
	for _, k := range builtIn(t).Kinds() {
		for i := range k.Checks {
			c := &k.Checks[i]
			for _, l := range c.Limits {
				for _, q := range []*units.Quantity{l.AtLeast, l.MoreThan, l.AtMost, l.LessThan} {
					if q != nil && !c.Takes(*q) {
						t.Errorf("%s, %s: bound %s for a figure in %q", k.ID, c.ID, q, c.Unit)
					}
				}
			}
		}
	}
}

// TestRunningEngineHasCaution: nobody is sent near a running engine without a
// word of caution before it.
func TestRunningEngineHasCaution(t *testing.T) {
	for _, k := range builtIn(t).Kinds() {
		for _, c := range k.Checks {
			if c.Engine == fleet.Running && c.Caution == "" {
				t.Errorf("%s, %s: running engine without caution", k.ID, c.ID)
			}
		}
	}
}

// TestCrackRulesDisagree: the published crack rules for ribbed belts stand side
// by side, from three in three inches to letting cracks pass.
func TestCrackRulesDisagree(t *testing.T) {
	cracks := builtIn(t).Kind("ribbed-belt").Check("cracks")
	tests := []struct {
		found, material string
		authority       fleet.Authority
		want            fleet.Verdict
	}{
		{"3 per 75 mm", "neoprene", fleet.PartMaker, fleet.PutRight},
		{"3 per 3 in", "neoprene", fleet.PartMaker, fleet.PutRight},
		{"2 per 75 mm", "neoprene", fleet.PartMaker, fleet.Unseen},
		{"4 per 75 mm", "epdm", fleet.PartMaker, fleet.Unseen},
		{"4 per 75 mm", "epdm", fleet.CommonPractice, fleet.Watch},
		{"4 per 75 mm", "", fleet.PartMaker, fleet.PutRight},
		{"4 per 75 mm", "neoprene", fleet.VehicleMaker, fleet.Unseen},
		{"12 per 25 mm", "epdm", fleet.CommonPractice, fleet.PutRight},
		{"0 per 75 mm", "neoprene", fleet.CommonPractice, fleet.Unseen},
	}
	for _, tt := range tests {
		got := fleet.Unseen
		for i := range cracks.Limits {
			l := &cracks.Limits[i]
			if l.Authority == tt.authority && of(l.Materials, tt.material) && meets(l, "", tt.found) {
				got = max(got, l.Verdict)
			}
		}
		if got != tt.want {
			t.Errorf("%s, material %q, %s: %v, want %v", tt.found, tt.material, tt.authority, got, tt.want)
		}
	}
}

func of(materials []string, material string) bool {
	return len(materials) == 0 || material == "" || slices.Contains(materials, material)
}

// meets reports whether a limit's condition holds.
func meets(l *fleet.Limit, answer, figure string) bool {
	if l.Is != "" || figure == "" {
		return l.Is != "" && l.Is == answer
	}
	q := units.MustParse(figure)
	holds, compared := true, false
	for _, b := range []struct {
		q  *units.Quantity
		ok func(int) bool
	}{
		{l.AtLeast, func(c int) bool { return c >= 0 }}, {l.MoreThan, func(c int) bool { return c > 0 }},
		{l.AtMost, func(c int) bool { return c <= 0 }}, {l.LessThan, func(c int) bool { return c < 0 }},
	} {
		if b.q == nil {
			continue
		}
		c, err := q.Compare(*b.q)
		holds, compared = holds && err == nil && b.ok(c), true
	}
	return holds && compared
}

func TestInheritance(t *testing.T) {
	c := builtIn(t)
	parent, child := c.Kind("ribbed-belt"), c.Kind("stretch-belt")
	if child.Check("tensioner-mark") != nil || parent.Check("tensioner-mark") == nil {
		t.Error("remove did not leave out the check, or took it from the parent")
	}
	if child.Check("rib-damage") == nil || child.Check("taken-off") == nil {
		t.Error("the heir lacks an inherited or an own check")
	}
	shape := child.Check("groove-shape")
	if len(shape.Answers) != len(parent.Check("groove-shape").Answers) ||
		len(shape.Limits) != len(parent.Check("groove-shape").Limits)+1 {
		t.Error("answers are not inherited, or the heir's limit is not added")
	}
	if slices.Contains(child.Also, "serpentine belt") {
		t.Error("the heir took over the parent's names")
	}
}

func TestFind(t *testing.T) {
	c := builtIn(t)
	for text, want := range map[string]string{
		"serpentine belt": "ribbed-belt", "Ground Strap": "earth-strap", "cam belt": "timing-belt",
		"ribbed": "ribbed-belt",
	} {
		if got := c.Find(text); len(got) == 0 || got[0].ID != want {
			t.Errorf("Find(%q) does not begin with %s", text, want)
		}
	}
	if got := c.Find(" "); got != nil {
		t.Errorf("Find of nothing returned %d kinds", len(got))
	}
}

func TestNearest(t *testing.T) {
	known := builtIn(t).KindIDs()
	for word, want := range map[string]string{
		"ribed-belt": "ribbed-belt", "V_belt": "v-belt", "idlre": "idler", "Water Pump": "water-pump",
		"caravan-awning": "", "": "",
	} {
		if got := fleet.Nearest(word, known); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", word, got, want)
		}
	}
}

func TestCheckTitleAndTakes(t *testing.T) {
	c := builtIn(t)
	belt := c.Kind("v-belt")
	if got := belt.Check("deflection").Title(); got != "Give at mid-span" {
		t.Errorf("title %q", got)
	}
	if got := belt.Check("pulley-flanks").Title(); got != "Pulley flanks" {
		t.Errorf("title %q", got)
	}
	for figure, want := range map[string]bool{"8 mm": true, "3/8 in": true, "2 %": true, "8 km": false, "8": false} {
		if got := belt.Check("deflection").Takes(units.MustParse(figure)); got != want {
			t.Errorf("Takes(%s) = %v", figure, got)
		}
	}
	if belt.Check("flanks").Takes(units.MustParse("8 mm")) {
		t.Error("a check answered in words takes a figure")
	}
}

// Every figure that the built-in catalogue asks for has bounds, a new part's
// figure and that of each limit lie within what is likely, and what owners
// mistype is outside: a point forgotten, a sign, another unit.
func TestFiguresHaveBounds(t *testing.T) {
	c := builtIn(t)
	n := 0
	for _, k := range c.Kinds() {
		for i := range k.Checks {
			check := &k.Checks[i]
			if !check.Measured() {
				continue
			}
			n++
			if check.Possible == nil || check.Likely == nil || check.Possible.Says == "" {
				t.Errorf("%s %s has no bounds, or does not say why", k.ID, check.ID)
				continue
			}
			known := []*units.Quantity{check.Likely.From, check.Likely.To}
			if check.Wear != nil && check.Wear.Start != nil {
				known = append(known, check.Wear.Start)
			}
			for _, l := range check.Limits {
				for _, q := range []*units.Quantity{l.AtLeast, l.MoreThan, l.AtMost, l.LessThan} {
					if q != nil {
						known = append(known, q)
					}
				}
			}
			for _, q := range known {
				if !check.Possible.Hold(*q) || !check.Likely.Hold(*q) {
					t.Errorf("%s %s: %s is known to occur, and lies outside the bounds", k.ID, check.ID, q)
				}
			}
		}
	}
	if n < 31 {
		t.Errorf("%d checks with a figure", n)
	}
	for _, wrong := range []struct{ kind, check, figure, bounds string }{
		{"battery", "rest-voltage", "1250 V", "possible"}, {"battery", "rest-voltage", "-12.5 V", "possible"},
		{"tyres", "tread", "900 mm", "possible"}, {"tyres", "tread", "-1 mm", "possible"},
		{"tyres", "tread", "25 mm", "likely"},
		{"ribbed-belt", "cracks", "-4 per 75 mm", "possible"}, {"stretch-belt", "cracks", "90 per 75 mm", "likely"},
		{"coolant", "freezing-point", "30 °C", "possible"}, {"coolant", "ph", "75", "possible"},
		{"battery", "rest-voltage", "14.4 V", "likely"}, {"brake-fluid", "boiling-point", "18 °C", "possible"},
	} {
		check := c.Kind(wrong.kind).Check(wrong.check)
		q := units.MustParse(wrong.figure)
		if check.Possible.Hold(q) == (wrong.bounds == "possible") || check.Likely.Hold(q) {
			t.Errorf("%s %s: %s is not outside what is %s", wrong.kind, wrong.check, wrong.figure, wrong.bounds)
		}
	}
	share := units.MustParse("95 %") // of the marking: cannot be compared with a pressure
	if cap := c.Kind("pressure-cap").Check("opening-pressure"); !cap.Possible.Hold(share) {
		t.Error("a share of a figure of the part is held against bounds in kPa")
	}
}

// TestActionsAndDeadlines: what the trade does at once is not left to the next
// visit, and what is not a change does not say so (common practice).
func TestActionsAndDeadlines(t *testing.T) {
	c := builtIn(t)
	for _, want := range []struct {
		kind, check, is string
		do              fleet.Action
		by              string
	}{
		{"brake-fluid", "level", "low", fleet.TopUp, "before-next-drive"},
		{"brake-hose", "cover", "cracks", fleet.Change, "before-next-drive"},
		{"brake-hose", "run", "touches-body", fleet.ReRoute, "500 km or 2 weeks"},
		{"hose-clip", "seat", "off-end", fleet.Refit, "before-next-drive"},
		{"vacuum-hose", "surface", "off", fleet.Refit, "before-next-drive"},
		{"tyres", "pressure", "loses", fleet.FindOut, "before-next-drive"},
		{"spark-plugs", "deposits", "oily", fleet.FindOut, "next-visit"},
		{"top-hose", "squeeze-ends", "spongy", fleet.Change, "1000 km or 1 month"},
		{"battery", "terminals", "loose", fleet.Tighten, ""},
		{"engine-oil", "level", "low", fleet.TopUp, ""},
	} {
		found := false
		for _, l := range c.Kind(want.kind).Check(want.check).Limits {
			if l.Is != want.is || l.Verdict == fleet.Keep || want.by != "" && l.Verdict != fleet.PutRight {
				continue
			}
			found = true
			by := ""
			if d := l.Deadline(); d != nil {
				by = d.String()
			}
			if l.Action() != want.do || by != want.by {
				t.Errorf("%s %s %s: %s by %q, want %s by %q", want.kind, want.check, want.is, l.Action(), by,
					want.do, want.by)
			}
		}
		if !found {
			t.Errorf("%s %s has no limit at %s", want.kind, want.check, want.is)
		}
	}
}

// A test is of one state of the machine: one that is run does not end in being
// stopped, cooled or set (the order of work keeps to states, and can keep to no
// two in one step).
func TestEveryTestIsOfOneState(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	second := regexp.MustCompile(
		`(?i)switch off|, stop,|let it cool|once it is cold|engine off|next day|after \d+ (km|hours)`)
	tried := 0
	for _, k := range cat.Kinds() {
		for _, a := range k.After {
			if a.Engine == fleet.Running || a.Needs.Turns() {
				tried++
				if words := second.FindString(a.Do); words != "" {
					t.Errorf("%s: %q is run and then %q", k.ID, a.Do, words)
				}
			}
		}
	}
	if tried < 20 {
		t.Errorf("%d tests with the engine running: this shows too little", tried)
	}
}

// The pitch by which a photograph has its scale is that of the section: ISO 9982 for PK, see package drive.
func TestRibPitchesAreThoseOfTheSections(t *testing.T) {
	c, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, k := range c.Kinds() {
		for i := range k.Checks {
			if p := k.Checks[i].Photograph; p != nil && p.Of != catalogue.OfHose {
				n++
				for name, of := range map[string]drive.Section{"PK": drive.PK(), "PJ": drive.PJ()} {
					got, ok := p.Section(name)
					if ok != (name == "PK" || p.Of == catalogue.OfCracks) || ok && got.Pitch.Base() != of.PitchMM {
						t.Errorf("%s: ribs of %s %v apart, not %g mm", k.ID, name, got.Pitch, of.PitchMM)
					}
				}
				if got, ok := p.Section("AV10"); ok || got.Name != "PK" {
					t.Errorf("%s: %v for a section that has no ribs", k.ID, got)
				}
			}
		}
	}
	if n < 4 { // an heir's as well
		t.Errorf("%d checks are counted on photographs", n)
	}
}
