package fleet

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/units"
)

func testVehicle() *Vehicle {
	return &Vehicle{ID: "teal", Name: "Teal", Positions: []Position{
		{ID: "belt", Name: "Belt", Kind: "ribbed-belt", Part: PartSpec{Name: "belt", Material: "epdm"}},
		{ID: "hose", Name: "Hose", Kind: "top-hose"},
	}, Openings: []Opening{{ID: "drain", Undo: "Fill it"}, {ID: "cover", Undo: "Put it on"}}}
}

// journalOf numbers entries and gives them their vehicle, in order.
func journalOf(entries ...*Entry) []*Entry {
	for i, e := range entries {
		if e.ID == "" {
			e.ID = fmt.Sprintf("%04d", i)
		}
		if e.Vehicle == "" {
			e.Vehicle = "teal"
		}
	}
	return entries
}

func day(s string) civil.Date { return civil.MustParse(s) }

func km(s string) *units.Quantity {
	q := units.MustParse(s)
	return &q
}

func reading(date, at string) *Entry {
	return &Entry{Type: TypeOdometer, Date: day(date), Odometer: km(at)}
}

func TestFoldGoesOnAcrossAChangedInstrument(t *testing.T) {
	entries := journalOf(
		reading("2019-01-01", "150000 km"),
		&Entry{Type: TypeOdometer, Date: day("2019-06-01"), Odometer: km("12 km"),
			Instrument: &Instrument{Old: *km("152300 km"), New: *km("0 km")}},
		reading("2020-01-01", "7000 km"),
		&Entry{Type: TypeOdometer, Date: day("2021-01-01"), Odometer: km("90000 mi"),
			Instrument: &Instrument{Old: *km("15000 km"), New: *km("90000 mi")}},
	)
	s := Fold(testVehicle(), entries, day("2022-01-01"))
	var got []float64
	for _, r := range s.Readings {
		got = append(got, r.Total)
	}
	want := []float64{150000, 152300, 152312, 159300, 167300}
	if !slices.EqualFunc(got, want, func(a, b float64) bool { return a-b < 1e-6 && b-a < 1e-6 }) {
		t.Errorf("totals %v, want %v; problems %v", got, want, s.Problems)
	}
}

func TestFoldLeavesOutWhatCannotBe(t *testing.T) {
	// A row with a lower odometer than the one before must be flagged
	// (shared reference notes, reliability, check O4).
	entries := journalOf(
		reading("2020-01-01", "100000 km"),
		reading("2020-02-01", "99000 km"),
		reading("2020-03-01", "1010000 km"),
		reading("2020-04-01", "104000 km"),
	)
	s := Fold(testVehicle(), entries, day("2021-01-01"))
	if len(s.Readings) != 2 || len(s.Problems) != 2 {
		t.Fatalf("readings %v, problems %v", s.Readings, s.Problems)
	}
	if !strings.Contains(s.Problems[0].Msg.String(), "less than") || !strings.Contains(s.Problems[1].Msg.String(),
		"a day") {
		t.Errorf("problems %v", s.Problems)
	}
	entries[2].Sure = true
	s = Fold(testVehicle(), entries, day("2020-03-15"))
	if len(s.Readings) != 2 {
		t.Errorf("a confirmed jump was left out: %v", s.Problems)
	}
}

func TestFoldFitsAndRemoves(t *testing.T) {
	entries := journalOf(
		reading("2018-01-01", "80000 km"),
		&Entry{Type: TypeFitted, Date: day("2018-01-01"), Fitted: &Fitted{Position: "belt", Known: Told,
			Since: &Since{Date: day("2016-05-01"), Total: km("60000 km")}}},
		&Entry{Type: TypeFound, Date: day("2018-01-01"),
			Found: &Found{Position: "belt", Check: "edge", Answer: "clean"}},
		&Entry{Type: TypeFitted, Date: day("2019-01-01"), Odometer: km("92000 km"),
			Fitted: &Fitted{Position: "belt", Removed: RemovedWorn}},
		&Entry{Type: TypeDone, Date: day("2020-01-01"),
			Done: &Done{What: "taken off", Positions: []string{"hose"}, TakenOff: true}},
	)
	s := Fold(testVehicle(), entries, day("2020-06-01"))
	belt := s.Place("belt")
	if len(belt.Past) != 1 || belt.Past[0].From.Total != 60000 || belt.Past[0].To.Total != 92000 ||
		belt.Past[0].Removed != RemovedWorn {
		t.Fatalf("past %+v", belt.Past)
	}
	if belt.Fitted.From.Total != 92000 || belt.Fitted.Material() != "epdm" {
		t.Errorf("fitted %+v", belt.Fitted)
	}
	if len(belt.Latest) != 0 || len(belt.Findings) != 1 {
		t.Errorf("a finding on the old part still stands: %v", belt.Latest)
	}
	if s.Place("hose").Fitted != nil {
		t.Error("a part taken off is still there")
	}
	before := Fold(testVehicle(), entries, day("2018-06-01"))
	if m := before.Place("belt").Fitted.Material(); m != "epdm" {
		t.Errorf("a told part is of material %q, want the sheet's", m)
	}
	if len(before.Place("belt").Latest) != 1 {
		t.Error("at an earlier day the finding did not stand")
	}
}

// What the sheet says of a part holds however little the journal knows of it:
// its figures are the place's as much as the part's.
func TestTheSheetSpeaksForPartsOfUnknownHistory(t *testing.T) {
	v := testVehicle()
	v.Positions[0].Part.Spec = map[string]units.Quantity{"free-span": *km("259 mm"), "length": *km("1873 mm")}
	fit := func(known Known, part PartSpec) *Entry {
		return &Entry{Type: TypeFitted, Date: day("2019-01-01"),
			Fitted: &Fitted{Position: "belt", Known: known, Part: part,
				Since: &Since{Date: day("2016-05-01")}}}
	}
	own := PartSpec{Material: "neoprene", Spec: map[string]units.Quantity{"length": *km("1880 mm")}}
	for name, c := range map[string]struct {
		entries          []*Entry
		material, length string
	}{
		"nothing recorded": {nil, "epdm", "1873 mm"},
		"unknown":          {journalOf(fit(Unknown, PartSpec{})), "epdm", "1873 mm"},
		"told":             {journalOf(fit(Told, PartSpec{})), "epdm", "1873 mm"},
		"recorded":         {journalOf(fit(Recorded, PartSpec{})), "epdm", "1873 mm"},
		"another recorded": {journalOf(fit(Recorded, own)), "neoprene", "1880 mm"},
		"another told":     {journalOf(fit(Told, own)), "neoprene", "1880 mm"},
	} {
		part := Fold(v, c.entries, day("2020-01-01")).Place("belt").Fitted
		span, length := part.Spec.Spec["free-span"], part.Spec.Spec["length"]
		if part.Material() != c.material || span.String() != "259 mm" || length.String() != c.length {
			t.Errorf("%s: %+v", name, part.Spec)
		}
	}
	if length := v.Positions[0].Part.Spec["length"]; length.String() != "1873 mm" || len(own.Spec) != 1 {
		t.Errorf("folding changed sheet or entry: %s, %v", length, own.Spec)
	}
}

func TestFoldSettlesFindings(t *testing.T) {
	entries := journalOf(
		&Entry{Type: TypeFound, Date: day("2020-01-01"),
			Found: &Found{Position: "hose", Check: "leak", Answer: "crust"}},
		&Entry{Type: TypeDone, Date: day("2020-01-02"),
			Done: &Done{What: "clip renewed", Positions: []string{"hose"}, Settles: []string{"leak"}}},
	)
	s := Fold(testVehicle(), entries, day("2020-02-01"))
	p := s.Place("hose")
	if len(p.Latest) != 0 || p.Findings[0].Settled != "0001" {
		t.Errorf("latest %v, settled by %q", p.Latest, p.Findings[0].Settled)
	}
}

// On the day of a change what was found before it is of the part that came off.
func TestAFindingIsOfThePartThatWasThereThen(t *testing.T) {
	found := func(date string) *Entry {
		return &Entry{Type: TypeFound, Date: day(date), Found: &Found{Position: "belt", Check: "look", Answer: "sound"}}
	}
	told := &Entry{Type: TypeFitted, Date: day("2020-03-01"), Fitted: &Fitted{Position: "belt", Known: Told,
		Since: &Since{Date: day("2020-02-01")}}}
	s := Fold(testVehicle(), journalOf(found("2020-01-01"), found("2020-02-01"), told, found("2020-05-01"),
		found("2020-06-01"), &Entry{Type: TypeFitted, Date: day("2020-06-01"), Fitted: &Fitted{Position: "belt"}},
		found("2020-06-01"), &Entry{Type: TypeDone, Date: day("2020-08-01"), Done: &Done{What: "off",
			Positions: []string{"belt"}, TakenOff: true}}, found("2020-08-01")), day("2021-01-01"))
	p := s.Place("belt")
	if len(p.Past) != 2 || len(p.Findings) != 6 {
		t.Fatalf("%d parts, %d findings", len(p.Past), len(p.Findings))
	}
	for i, want := range []string{"-", "0", "0", "0", "1", "-"} {
		got := "-"
		for k, part := range p.Past {
			if part.Had(p.Findings[i]) {
				got = strings.TrimPrefix(got+fmt.Sprint(k), "-")
			}
		}
		if got != want {
			t.Errorf("finding %d is of part %s, want %s", i, got, want)
		}
	}
}

func TestCorrections(t *testing.T) {
	right := reading("2020-01-01", "91000 km")
	entries := journalOf(
		reading("2020-01-01", "19000 km"),
		&Entry{Type: TypeCorrection, Date: day("2020-02-01"), Correction: &Correction{Of: "0000", Instead: right}},
	)
	total := func(entries []*Entry) float64 {
		last, _ := Fold(testVehicle(), entries, day("2021-01-01")).Last()
		return last.Total
	}
	if got := total(entries); got != 91000 {
		t.Errorf("corrected total %v", got)
	}
	undone := append(slices.Clone(entries),
		&Entry{ID: "0002", Vehicle: "teal", Type: TypeCorrection, Date: day("2020-03-01"),
			Correction: &Correction{Of: "0001", Withdraw: true}})
	if got := total(undone); got != 19000 {
		t.Errorf("total %v after the correction was withdrawn", got)
	}
	again := append(slices.Clone(undone),
		&Entry{ID: "0003", Vehicle: "teal", Type: TypeCorrection, Date: day("2020-03-02"),
			Correction: &Correction{Of: "0000", Withdraw: true}})
	if n := len(Fold(testVehicle(), again, day("2021-01-01")).Record); n != 0 {
		t.Errorf("%d entries stand after the reading was withdrawn", n)
	}
}

// Two devices are merged by taking the union of their entries: the order in
// which entries arrive must not matter.
func TestFoldDoesNotDependOnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		entries := randomJournal(t, rapid.IntRange(1, 30).Draw(t, "entries"))
		want := summary(Fold(testVehicle(), entries, day("2030-01-01")))
		shuffled := slices.Clone(entries)
		rng := rand.New(rand.NewPCG(1, uint64(len(entries))))
		rng.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		if got := summary(Fold(testVehicle(), shuffled, day("2030-01-01"))); got != want {
			t.Fatalf("shuffled\n%s\nwant\n%s", got, want)
		}
	})
}

// Totals never fall, whatever is typed.
func TestFoldTotalsNeverFall(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Fold(testVehicle(), randomJournal(t, rapid.IntRange(1, 40).Draw(t, "entries")), day("2030-01-01"))
		for i := 1; i < len(s.Readings); i++ {
			if s.Readings[i].Total < s.Readings[i-1].Total || s.Readings[i].Date.Before(s.Readings[i-1].Date) {
				t.Fatalf("readings %v", s.Readings)
			}
		}
	})
}

func randomJournal(t *rapid.T, n int) []*Entry {
	var entries []*Entry
	for i := range n {
		date := civil.FromDays(18000 + rapid.IntRange(0, 900).Draw(t, "day"))
		e := &Entry{Date: date}
		switch rapid.IntRange(0, 4).Draw(t, "type") {
		case 0:
			e.Type, e.Odometer = TypeOdometer, km(fmt.Sprintf("%d km", rapid.IntRange(0, 90000).Draw(t, "km")))
		case 1:
			e.Type, e.Odometer = TypeOdometer, km("5 km")
			e.Instrument = &Instrument{Old: *km(fmt.Sprintf("%d km", rapid.IntRange(0, 90000).Draw(t, "old"))),
				New: *km("0 km")}
		case 2:
			e.Type, e.Fitted = TypeFitted, &Fitted{Position: "belt"}
		case 3:
			e.Type, e.Found = TypeFound, &Found{Position: "belt", Check: "edge", Answer: "clean"}
		case 4:
			e.Type = TypeCorrection
			e.Correction = &Correction{Of: fmt.Sprintf("%04d", rapid.IntRange(0, max(0, i)).Draw(t, "of")),
				Withdraw: true}
		}
		entries = append(entries, e)
	}
	return journalOf(entries...)
}

// summary writes what matters of a state.
func summary(s *State) string {
	var b strings.Builder
	for _, r := range s.Readings {
		fmt.Fprintln(&b, r)
	}
	for _, id := range []string{"belt", "hose"} {
		p := s.Places[id]
		fmt.Fprintln(&b, id, len(p.Past), p.Fitted != nil, len(p.Findings), len(p.Latest))
	}
	for _, p := range s.Problems {
		fmt.Fprintln(&b, p.Entry, p.Msg)
	}
	return b.String()
}

// Folding grows linearly with the entries: the cost of one entry at 10^3,
// 10^4 and 10^5 is reported as ns/entry and stays about the same.
func BenchmarkFold(b *testing.B) {
	for _, n := range []int{1e3, 1e4, 1e5} {
		entries := make([]*Entry, n)
		for i := range entries {
			date := civil.FromDays(10000 + i*3000/n)
			switch i % 4 {
			case 0:
				entries[i] = &Entry{Type: TypeOdometer, Date: date, Odometer: km(fmt.Sprintf("%d km", 1000+i))}
			case 1:
				entries[i] = &Entry{Type: TypeFitted, Date: date, Fitted: &Fitted{Position: "belt"}}
			default:
				entries[i] = &Entry{Type: TypeFound, Date: date,
					Found: &Found{Position: "belt", Check: "edge", Answer: "clean"}}
			}
			entries[i].ID, entries[i].Vehicle = fmt.Sprintf("%08d", i), "teal"
		}
		v := testVehicle()
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Fold(v, entries, day("2026-01-01"))
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/entry")
		})
	}
}

// What a part was in the hand speaks of that part alone, whichever is recorded
// first, and of none where the entry that took it off no longer stands.
func TestAPartOnceOffKeepsItsFindings(t *testing.T) {
	hand := func() *Entry {
		return &Entry{ID: "0009", Type: TypeFound, Date: day("2026-03-02"),
			Found: &Found{Position: "belt", Check: "edge", Answer: "frayed", Off: "0001"}}
	}
	fitted := func(date string) *Entry {
		return &Entry{ID: "0001", Type: TypeFitted, Date: day(date), Fitted: &Fitted{Position: "belt"}}
	}
	for _, date := range []string{"2026-03-01", "2026-03-02", "2026-03-04"} {
		p := Fold(testVehicle(), journalOf(hand(), fitted(date)), day("2026-04-01")).Place("belt")
		if len(p.Findings)+len(p.Latest) != 0 || len(p.Past) != 1 || len(p.InHand(p.Past[0])) != 1 ||
			len(p.InHand(p.Fitted)) != 0 {
			t.Errorf("off on %s: findings %v, past %v, in the hand %v", date, p.Findings, p.Past, p.Hand)
		}
	}
	gone := &Entry{ID: "0010", Type: TypeCorrection, Date: day("2026-03-05"),
		Correction: &Correction{Of: "0001", Withdraw: true}}
	p := Fold(testVehicle(), journalOf(hand(), fitted("2026-03-01"), gone), day("2026-04-01")).Place("belt")
	if len(p.Past) != 0 || len(p.InHand(p.Fitted)) != 0 {
		t.Errorf("nothing came off, and yet %v, %v", p.Past, p.InHand(p.Fitted))
	}
}
