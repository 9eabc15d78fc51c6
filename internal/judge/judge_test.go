package judge

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// The rules of stance, material, age and staleness are this program's own;
// these tests hold them to what the package comment says, on a made-up kind
// whose limits are easy to follow. That the trade's knowledge comes out right
// is tested case by case in cases_test.go.
const ownKind = `
sources:
- {id: book, what: a test, seen: common practice}
kinds:
- kind: test-belt
  name: test belt
  system: drive
  materials: [neoprene, epdm]
  spec: [{id: marked-pressure, name: marked pressure, unit: psi}]
  checks:
  - id: cracks
    sense: look
    question: How many cracks?
    how: Count them.
    answer: count
    unit: per 75 mm
    symptom: cracking
    limits:
    - {at_least: 3 per 75 mm, materials: [neoprene], verdict: put right, authority: part maker, source: book, says: three}
    - {at_least: 6 per 75 mm, verdict: put right, authority: vehicle maker, source: book, says: six}
    - {at_least: 1 per 75 mm, verdict: watch, authority: common practice, source: book, says: one, again: {distance: 1000 km, time: 2 months}}
  - id: ribs
    sense: look
    question: What do they look like?
    how: Look.
    answer: choice
    answers: [{id: sound, say: Sound}, {id: torn, say: Torn, symptom: oil}]
    limits:
    - {is: torn, verdict: park, authority: common practice, source: book, says: torn}
    - {is: torn, verdict: keep, authority: vehicle maker, source: book, says: fine}
  - id: opens
    sense: measure
    question: At what pressure does it open?
    how: Measure.
    answer: figure
    unit: psi
    of: marked-pressure
    limits:
    - {less_than: 90 %, verdict: put right, authority: part maker, source: book, says: weak}
  intervals:
  - {do: replace, distance: 80000 km, materials: [neoprene], authority: part maker, source: book, says: neoprene life}
  - {do: replace, distance: 150000 km, time: 10 years, authority: vehicle maker, source: book, says: by the book}
  - {do: replace, on_condition: true, authority: common practice, source: book, says: by condition}
  - {do: inspect, each_oil_change: true, authority: common practice, source: book}
`

type bench struct {
	t       *testing.T
	vehicle *fleet.Vehicle
	entries []*fleet.Entry
	on      civil.Date
	total   float64
	kind    string // in YAML
}

func newBench(t *testing.T) *bench {
	return &bench{t: t, kind: ownKind, on: civil.MustParse("2026-06-01"), total: 100000, vehicle: &fleet.Vehicle{
		ID: "wren", Name: "Wren", Built: civil.MustParse("2016-06-01"),
		Positions: []fleet.Position{{ID: "belt", Name: "Belt", Kind: "test-belt", From: fleet.Above}}}}
}

func (b *bench) add(e *fleet.Entry) {
	e.ID, e.Vehicle = fmt.Sprintf("%03d", len(b.entries)), b.vehicle.ID
	b.entries = append(b.entries, e)
}

func (b *bench) fit(date string, at float64, material string) {
	q := units.Must(at, "km")
	b.add(&fleet.Entry{Type: fleet.TypeFitted, Date: civil.MustParse(date), Odometer: &q,
		Fitted: &fleet.Fitted{Position: "belt", Part: fleet.PartSpec{Material: material}}})
}

func (b *bench) find(date, check, answer, value string) {
	f := &fleet.Found{Position: "belt", Check: check, Answer: answer}
	if value != "" {
		q := units.MustParse(value)
		f.Value = &q
	}
	b.add(&fleet.Entry{Type: fleet.TypeFound, Date: civil.MustParse(date), Found: f})
}

func (b *bench) judge() Judgement {
	b.t.Helper()
	cat, err := catalogue.LoadWith(catalogue.File{Name: "own.yaml", Source: []byte(b.kind)})
	if err != nil {
		b.t.Fatal(err)
	}
	js := Vehicle(Input{Catalogue: cat, State: fleet.Fold(b.vehicle, b.entries, b.on), Total: b.total, HasTotal: true})
	if len(js) == 0 {
		b.t.Fatal("nothing was judged")
	}
	return js[0]
}

func (b *bench) want(v fleet.Verdict) Judgement {
	b.t.Helper()
	j := b.judge()
	if j.Verdict != v {
		b.t.Errorf("verdict %s, want %s: %+v", j.Verdict, v, j.Reasons)
	}
	return j
}

func TestStanceChoosesWhoGoverns(t *testing.T) {
	for stance, want := range map[fleet.Stance]fleet.Verdict{
		fleet.Strictest: fleet.PutRight, fleet.FollowPartMaker: fleet.PutRight,
		fleet.FollowVehicleMaker: fleet.Keep, fleet.FollowOwn: fleet.PutRight,
	} {
		b := newBench(t)
		b.vehicle.Stance = stance
		b.fit("2026-01-01", 95000, "neoprene")
		b.find("2026-05-01", "cracks", "", "4 per 75 mm")
		j := b.want(want)
		if len(j.Reasons) != 6 {
			t.Errorf("%s: %d opinions are kept, want all 6", stance, len(j.Reasons))
		}
	}
}

func TestParkIsNeverTalkedDown(t *testing.T) {
	b := newBench(t)
	b.vehicle.Stance = fleet.FollowVehicleMaker
	b.fit("2026-01-01", 95000, "epdm")
	b.find("2026-05-01", "ribs", "torn", "")
	j := b.want(fleet.Park)
	if j.Reasons[0].Authority != fleet.CommonPractice || !j.Reasons[0].Governs {
		t.Errorf("first reason %+v", j.Reasons[0])
	}
}

func TestUnknownMaterialIsHeldToEveryMaterial(t *testing.T) {
	b := newBench(t)
	b.vehicle.Stance = fleet.FollowPartMaker
	b.fit("2026-01-01", 95000, "epdm")
	b.find("2026-05-01", "cracks", "", "4 per 75 mm")
	b.want(fleet.Watch) // no part maker speaks of EPDM, so the strictest of the others does
	b = newBench(t)
	b.vehicle.Stance = fleet.FollowPartMaker
	b.fit("2026-01-01", 95000, "")
	b.find("2026-05-01", "cracks", "", "4 per 75 mm")
	b.want(fleet.PutRight)
}

func TestAgeUnderEachAuthority(t *testing.T) {
	b := newBench(t)
	b.fit("2018-06-01", 15000, "neoprene")
	b.find("2026-05-01", "ribs", "sound", "")
	j := b.want(fleet.PutRight)
	if len(j.Dues) != 3 || j.Dues[0].Interval.Authority != fleet.PartMaker || !j.Dues[0].Governs {
		t.Errorf("dues %+v", j.Dues)
	}
	if m := j.Dues[0].Mark; m.Total != 95000 {
		t.Errorf("due at %v km, want 95000", m.Total)
	}
	if m := j.Dues[1].Mark; m.Date != civil.MustParse("2028-06-01") || m.Total != 165000 {
		t.Errorf("by the book due at %+v", m)
	}
	if !j.Dues[2].OnCondition || j.Dues[2].Passed {
		t.Errorf("the last due %+v is not by condition", j.Dues[2])
	}
	b.vehicle.Stance = fleet.FollowVehicleMaker
	b.want(fleet.Keep)
}

// A part of unknown history is not condemned: it has no date and no verdict
// before a look, nor a change by age after one, unless its kind says that a
// wrong guess hurts, from the first day or once a look has found nothing.
func TestUnknownHistoryIsLookedAtFirst(t *testing.T) {
	b := newBench(t)
	b.total = 90000
	if j := b.want(fleet.Unseen); !j.Dues[0].Untold() || !j.Dues[0].Mark.IsZero() || !j.Looked.Never {
		t.Errorf("due %+v, looked %+v", j.Dues[0], j.Looked)
	}
	hurts := "  if_unknown: {says: it hurts, source: book}\n  materials:"
	b.kind = strings.Replace(ownKind, "  materials:", hurts, 1)
	j := b.want(fleet.PutRight)
	if d := j.Dues[0]; !d.Assumed || d.Mark.Total != 80000 || d.Guess == nil || d.Guess.Says != "it hurts" ||
		j.Todos[0].Action != fleet.Change {
		t.Errorf("due %+v, to do %+v", d, j.Todos)
	}
	b.kind = strings.Replace(b.kind, "{says: it", "{do: find-out, once_looked: true, says: it", 1)
	b.want(fleet.Unseen)
	b.find("2026-05-01", "ribs", "sound", "")
	if j := b.want(fleet.PutRight); j.Todos[0].Action != fleet.FindOut {
		t.Errorf("to do %+v", j.Todos)
	}
	b.kind = ownKind
	b.want(fleet.Keep)
}

// A part of unknown history that was found sound gets a rough date: of an
// interval it is taken to have run half when the journal began, the mean of an
// age anything up to it, and no more than the vehicle had. No verdict rests on
// it before the part has been watched for a whole interval (computed by hand).
func TestUnknownHistoryFoundSoundGetsARoughDate(t *testing.T) {
	b := newBench(t)
	q := units.MustParse("90000 km")
	b.add(&fleet.Entry{Type: fleet.TypeOdometer, Date: civil.MustParse("2026-01-01"), Odometer: &q})
	if d := b.want(fleet.Unseen).Dues[0]; !d.Rough.IsZero() {
		t.Errorf("never looked at, yet due at %+v", d.Rough)
	}
	b.find("2026-05-01", "ribs", "sound", "")
	rough := map[fleet.Authority]float64{}
	for _, d := range b.want(fleet.Keep).Dues {
		if !d.Untold() || !d.Mark.IsZero() || !d.OnCondition && d.Rough.IsZero() {
			t.Errorf("due %+v", d)
		}
		rough[d.Interval.Authority] = d.Rough.Total
	}
	if want := 90000 + 80000.0/2; rough[fleet.PartMaker] != want { // 80 000 km by the part maker
		t.Errorf("by the part maker roughly due at %g km, want %g", rough[fleet.PartMaker], want)
	}
	b.total = 90000 + 80000
	j := b.want(fleet.PutRight)
	if d := j.Dues[0]; !d.Outlived || !d.Passed || d.Untold() || !d.Rough.IsZero() || d.Mark.Total != b.total {
		t.Errorf("watched for a whole interval: %+v", d)
	}
	young := newBench(t)
	young.vehicle.Built, young.total = civil.MustParse("2025-06-01"), 12000
	q = units.MustParse("10000 km")
	young.add(&fleet.Entry{Type: fleet.TypeOdometer, Date: civil.MustParse("2026-01-01"), Odometer: &q})
	young.find("2026-05-01", "ribs", "sound", "")
	if d := young.want(fleet.Keep).Dues[0]; d.Rough.Total != 80000 {
		t.Errorf("of a vehicle of 10 000 km roughly due at %g km, want 80000", d.Rough.Total)
	}
}

func TestSevereServiceShortensAllButTheBook(t *testing.T) {
	b := newBench(t)
	b.vehicle.Severe = true
	b.fit("2026-01-01", 95000, "neoprene")
	j := b.judge()
	for _, d := range j.Dues {
		switch d.Interval.Authority {
		case fleet.PartMaker:
			if d.Mark.Total != 135000 || !d.Severe {
				t.Errorf("part maker's due %+v, want 135000 km", d.Mark)
			}
		case fleet.VehicleMaker:
			if d.Mark.Total != 245000 || d.Severe {
				t.Errorf("the book's due %+v, want 245000 km", d.Mark)
			}
		}
	}
}

func TestTheVehiclesOwnBookStandsForMakersInGeneral(t *testing.T) {
	b := newBench(t)
	q := units.MustParse("60000 km")
	b.vehicle.Positions[0].Intervals = []fleet.Interval{{Do: fleet.DoReplace, Distance: &q,
		Authority: fleet.VehicleMaker, Source: fleet.Sources{"handbook, page 7"}}}
	b.vehicle.Stance = fleet.FollowVehicleMaker
	b.fit("2020-01-01", 30000, "epdm")
	j := b.want(fleet.PutRight)
	for _, d := range j.Dues {
		if d.Interval.Says == "by the book" {
			t.Error("what makers say in general is still there")
		}
	}
}

func TestNeverInspectedAndStale(t *testing.T) {
	b := newBench(t)
	b.fit("2026-04-01", 99000, "epdm")
	if j := b.want(fleet.Keep); !j.Looked.AtFitting {
		t.Error("a part fitted within the inspection interval needs no look yet")
	}
	b.on = civil.MustParse("2027-06-01")
	if j := b.want(fleet.Unseen); !j.Looked.Never {
		t.Errorf("looked %+v", j.Looked)
	}
	b.find("2027-05-01", "ribs", "sound", "")
	if j := b.want(fleet.Keep); j.Looked.Stale {
		t.Errorf("looked %+v", j.Looked)
	}
	b.on = civil.MustParse("2028-06-01")
	if j := b.want(fleet.Keep); !j.Looked.Stale || j.Looked.Next.Date != civil.MustParse("2028-05-01") {
		t.Errorf("looked %+v", j.Looked)
	}
}

func TestWatchSaysWhenToLookAgain(t *testing.T) {
	b := newBench(t)
	b.fit("2026-01-01", 95000, "epdm")
	b.find("2026-05-01", "cracks", "", "1 per 75 mm")
	j := b.want(fleet.Watch)
	if j.Again == nil || j.Again.Date != civil.MustParse("2026-07-01") || j.Again.Passed {
		t.Errorf("again %+v", j.Again)
	}
	b.on = civil.MustParse("2026-08-01")
	if j := b.want(fleet.Watch); !j.Again.Passed {
		t.Errorf("again %+v", j.Again)
	}
}

func TestLimitsAsSharesOfASpecFigure(t *testing.T) {
	for typed, want := range map[string]fleet.Verdict{"6.4 psi": fleet.Keep, "6.2 psi": fleet.PutRight,
		"43 kPa": fleet.PutRight} {
		b := newBench(t)
		b.vehicle.Positions[0].Part.Spec = map[string]units.Quantity{"marked-pressure": units.MustParse("7 psi")}
		b.fit("2026-01-01", 95000, "epdm")
		b.find("2026-05-01", "opens", "", typed)
		b.want(want)
	}
	b := newBench(t)
	b.fit("2026-01-01", 95000, "epdm")
	b.find("2026-05-01", "opens", "", "1 psi")
	if j := b.want(fleet.Keep); slices.ContainsFunc(j.Reasons, func(r Reason) bool { return r.Finding != nil }) {
		t.Error("a share of a figure nobody knows was judged")
	}
}

// The sheet's figures count for a part nothing was recorded of. The figures of
// the limits: 16 mm per metre of free span (an industrial belt guide), so 4.1 mm
// on 259 mm; coolant that freezes at -16 °C does before a night of -22 °C.
func TestTheSheetsFiguresHoldForPartsOfUnknownHistory(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		kind, spec, figure, check, found string
		want                             fleet.Verdict
	}{
		{"v-belt", "free-span", "259 mm", "deflection", "8 mm", fleet.Watch},
		{"v-belt", "free-span", "259 mm", "deflection", "4 mm", fleet.Keep},
		{"coolant", "coldest-night", "-22 °C", "freezing-point", "-16 °C", fleet.PutRight},
		{"coolant", "coldest-night", "-22 °C", "freezing-point", "-36 °C", fleet.Keep},
	} {
		on, found := civil.MustParse("2026-06-01"), units.MustParse(c.found)
		v := &fleet.Vehicle{ID: "wren", Name: "Wren", Built: civil.MustParse("2026-01-01"), Positions: []fleet.Position{
			{ID: "it", Kind: c.kind, Part: fleet.PartSpec{Spec: map[string]units.Quantity{c.spec: units.MustParse(
				c.figure)}}}}}
		e := &fleet.Entry{ID: "1", Vehicle: "wren", Type: fleet.TypeFound, Date: on,
			Found: &fleet.Found{Position: "it", Check: c.check, Value: &found}}
		j := Vehicle(Input{Catalogue: cat, State: fleet.Fold(v, []*fleet.Entry{e}, on), Total: 100, HasTotal: true})[0]
		if j.Verdict != c.want {
			t.Errorf("%s %s with %s %s: %s, want %s: %+v", c.check, c.found, c.spec, c.figure, j.Verdict,
				c.want, j.Reasons)
		}
	}
}

// The sheet's material counts likewise: an EPDM belt is not held to the cracks
// of neoprene.
func TestTheSheetsMaterialHoldsForPartsOfUnknownHistory(t *testing.T) {
	for material, want := range map[string]fleet.Verdict{"": fleet.PutRight, "neoprene": fleet.PutRight,
		"epdm": fleet.Watch} {
		b := newBench(t)
		b.vehicle.Stance = fleet.FollowPartMaker
		b.vehicle.Positions[0].Part.Material = material
		b.vehicle.Built = civil.MustParse("2020-06-01")
		b.total = 5000
		b.find("2026-05-01", "cracks", "", "4 per 75 mm")
		b.want(want)
	}
}

// A bottom hose that is sucked flat, or a temperature that climbs at speed, is
// overheating at high engine speed, by whichever answer it is told: Army manuals
// for repair in battle (TM 9-2320-356-BD 7-12) put overheating at high speed down
// to a collapsing suction hose, and an overheating engine is not to be driven
// (TM 5-3895-369-14 4-10; common practice).
func TestOverheatingAtHighSpeedParksOnEachAnswer(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	for check, answers := range map[string]map[string]fleet.Verdict{
		"temperature-at-speed": {"climbs": fleet.Park, "overheats": fleet.Park, "steady": fleet.Keep},
		"shape-running":        {"flattens": fleet.Park, "balloons": fleet.Park, "steady": fleet.Keep},
	} {
		for answer, want := range answers {
			j := judgeCase(t, cat, expressed{Kind: "bottom-hose", Age: "1 year",
				Found: map[string]string{check: answer}})
			if j.Verdict != want {
				t.Errorf("%s %s: %s, want %s", check, answer, j.Verdict, want)
			}
			if want == fleet.Park && (len(j.Causes) == 0 || len(j.First) == 0) && answer != "balloons" {
				t.Errorf("%s %s: no cause or nothing to put right first", check, answer)
			}
		}
	}
}

func TestSharedCauses(t *testing.T) {
	v := &fleet.Vehicle{Positions: []fleet.Position{
		{ID: "sump", From: fleet.Below, X: 50, Y: 60}, {ID: "belt", From: fleet.Above, X: 50, Y: 20},
		{ID: "hose", From: fleet.Above, X: 20, Y: 10}, {ID: "far", From: fleet.Below, X: 50, Y: 190},
	}, Runs: []fleet.Run{{ID: "r", Belt: "belt", Pulleys: []fleet.Pulley{{Position: "pulley"}}}}}
	oil := []catalogue.Symptom{{ID: "age"}, {ID: "oil", Together: &catalogue.Together{}}}
	js := make([]Judgement, len(v.Positions))
	for i := range js {
		js[i] = Judgement{Position: &v.Positions[i], Symptoms: []string{"age", "oil"}}
	}
	if got := Shared(v, oil, js); len(got) != 0 {
		t.Errorf("parts far from each other share a cause: %v", got)
	}
	v.Positions[0].Neighbours = []string{"belt"}
	v.Positions[2].X = 40
	got := Shared(v, oil, js)
	if len(got) != 1 || len(got[0].Positions) != 3 || got[0].Positions[0].ID != "hose" ||
		got[0].Positions[2].ID != "sump" {
		t.Errorf("shared %+v", got)
	}
}

// Two look on one day and say different things: the worse holds, in whichever
// order their clocks put them, until the day after or until it is settled.
func TestTheWorseAnswerOfADayGoverns(t *testing.T) {
	for _, order := range [][]string{{"torn", "sound"}, {"sound", "torn"}, {"sound", "torn", "sound"}} {
		b := newBench(t)
		b.fit("2026-01-01", 100000, "epdm")
		for _, answer := range order {
			b.find("2026-03-01", "ribs", answer, "")
		}
		j := b.want(fleet.Park)
		if j.Place.Latest["ribs"].Answer != "torn" || b.judge().Place.Latest["ribs"].Answer != "torn" {
			t.Errorf("%v: %s stands as the latest", order, j.Place.Latest["ribs"].Answer)
		}
		for _, r := range j.Reasons {
			if r.Finding != nil && r.Verdict >= fleet.Watch && (r.Against == nil || r.Against.Answer != "sound") {
				t.Errorf("%v: the other answer of the day is not named beside %s", order, r.Finding.Answer)
			}
		}
		b.find("2026-03-02", "ribs", "sound", "")
		b.want(fleet.Keep)
	}
}

// A handbook's "at 150 000 km, unless changed within the last 100 000": worked
// by hand for the first belt and for one changed early or late.
func TestNotBeforeADistance(t *testing.T) {
	for changed, want := range map[float64]float64{0: 150000, 40000: 150000, 50000: 150000, 90000: 190000} {
		b := newBench(t)
		q, first := units.MustParse("100000 km"), units.MustParse("150000 km")
		b.vehicle.Positions[0].Intervals = []fleet.Interval{{Do: fleet.DoReplace, Distance: &q, NotBefore: &first,
			Authority: fleet.VehicleMaker,
			Source:    fleet.Sources{"handbook, page 7"}}}
		b.fit("2026-01-01", changed, "epdm")
		if d := b.judge().Dues[0]; d.Interval.NotBefore == nil || d.Mark.Total != want {
			t.Errorf("changed at %v km: due at %v km, want %v", changed, d.Mark.Total, want)
		}
	}
}

// A look the owner has chosen comes sooner than the catalogue's, whomever the
// owner follows, where nothing has to be opened for it.
func TestAMonthlyLookCanBeChosen(t *testing.T) {
	month := units.MustParse("1 month")
	for _, stance := range fleet.Stances() {
		b := newBench(t)
		b.vehicle.Stance, b.vehicle.Look = stance, fleet.Again{Time: &month}
		b.fit("2026-01-01", 95000, "epdm")
		b.find("2026-05-10", "ribs", "sound", "")
		l := b.judge().Looked
		if l.Next.Date != civil.MustParse("2026-06-10") || l.By.Authority != fleet.Owner {
			t.Errorf("%s: next look %+v by %+v", stance, l.Next, l.By)
		}
		b.vehicle.Positions[0].Seen = []string{"undertray"}
		if l := b.judge().Looked; l.By.Authority == fleet.Owner {
			t.Errorf("%s: a hidden part is opened for a monthly look", stance)
		}
	}
}

// A timing drive is one set: whatever of it is changed brings all the rest, each
// part named once (makers of bearings and belts; common practice).
func TestATimingDriveIsOneSet(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	set := []string{"timing-belt", "auto-tensioner", "idler", "water-pump"}
	v := &fleet.Vehicle{ID: "v", Built: civil.MustParse("2015-01-01")}
	run := fleet.Run{ID: "timing", Belt: "timing-belt"}
	for _, k := range set {
		v.Positions = append(v.Positions, fleet.Position{ID: k, Kind: k, From: fleet.Above})
		run.Pulleys = append(run.Pulleys, fleet.Pulley{Name: k, Position: k})
	}
	v.Runs = []fleet.Run{run}
	in := Input{Catalogue: cat, State: fleet.Fold(v, nil, civil.MustParse("2026-11-25"))}
	js := Vehicle(in)
	for i := range js {
		named := map[string]int{}
		for _, c := range CompanionsForChange(in, &js[i]) {
			for _, p := range c.Positions {
				if !c.Inspect {
					named[p.ID]++
				}
			}
		}
		for _, k := range set {
			if k != js[i].Position.ID && named[k] != 1 {
				t.Errorf("a change of the %s names the %s %d times: %v", js[i].Position.ID, k, named[k], named)
			}
		}
	}
}
