package record

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// shelf is a journal in memory that counts its landings.
type shelf struct {
	entries  []*fleet.Entry
	landings int
}

func (s *shelf) Keep(_ context.Context, entries []*fleet.Entry) (string, int, error) {
	s.landings++
	s.entries = append(s.entries, entries...)
	return entries[0].Batch, len(entries), nil
}

func (s *shelf) OfVehicle(context.Context, string) ([]*fleet.Entry, error) { return s.entries, nil }

func (s *shelf) OfForm(_ context.Context, batch string) ([]*fleet.Entry, error) {
	return slices.DeleteFunc(slices.Clone(s.entries), func(e *fleet.Entry) bool { return e.Batch != batch }), nil
}

func (s *shelf) Fold(_ context.Context, v *fleet.Vehicle, on civil.Date) (*fleet.Kept, error) {
	standing := fleet.Standing(s.entries)
	fleet.SortByDate(standing)
	k := fleet.NewKept(v)
	for _, e := range standing {
		k.Next(e, on)
	}
	return k, nil
}

func newRecorder(t *testing.T) (*Recorder, *shelf, *fleet.Vehicle) {
	t.Helper()
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	s := &shelf{}
	r := &Recorder{Journal: s, Catalogue: cat, Now: func() time.Time {
		return time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	},
		NewID: func() string { n++; return fmt.Sprintf("%04d", n) }}
	v := &fleet.Vehicle{ID: "wren", Name: "Wren", Positions: []fleet.Position{
		{ID: "main-belt", Name: "Main belt", Kind: "ribbed-belt"},
		{ID: "top-hose", Name: "Top hose", Kind: "top-hose"}}}
	return r, s, v
}

func on(s string) civil.Date { return civil.MustParse(s) }

func q(s string) *units.Quantity {
	x := units.MustParse(s)
	return &x
}

func TestBatchLandsWholeOrNotAtAll(t *testing.T) {
	r, s, v := newRecorder(t)
	good := &fleet.Entry{Type: fleet.TypeOdometer, Date: on("2026-01-01"), Odometer: q("100000 km")}
	bad := &fleet.Entry{Type: fleet.TypeFound, Date: on("2026-01-01"),
		Found: &fleet.Found{Position: "main-bell", Check: "cracks"}}
	worse := &fleet.Entry{Type: fleet.TypeFound, Date: on("2027-01-01"),
		Found: &fleet.Found{Position: "main-belt", Check: "crakcs"}}
	_, err := r.Batch(context.Background(), v, []*fleet.Entry{good, bad, worse})
	if s.landings != 0 || len(Faults(err)) != 3 {
		t.Fatalf("%d landings, faults %v", s.landings, Faults(err))
	}
	for i, want := range []string{"main-bell", "future", "crakcs"} {
		if !strings.Contains(Faults(err)[i].Error(), want) {
			t.Errorf("fault %d is %v, want %q", i, Faults(err)[i], want)
		}
	}
	if hints := fmt.Sprint(fleet.Hints(err)); !strings.Contains(hints, `"main-belt"`) ||
		!strings.Contains(hints, `"cracks"`) {
		t.Errorf("hints %s", hints)
	}
	stored, err := r.Batch(context.Background(), v, []*fleet.Entry{good})
	if err != nil || stored[0].Batch == "" || stored[0].ID == "" || stored[0].Vehicle != "wren" {
		t.Errorf("stored %+v, error %v", stored, err)
	}
}

func TestReadingsThatCannotBeAreRefused(t *testing.T) {
	r, s, v := newRecorder(t)
	add := func(date, km string, sure bool) error {
		_, err := r.Batch(context.Background(), v,
			[]*fleet.Entry{{Type: fleet.TypeOdometer, Date: on(date), Odometer: q(km), Sure: sure}})
		return err
	}
	if err := add("2026-01-01", "100000 km", false); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ date, km, says string }{
		{"2026-02-01", "99000 km", "less than"},
		{"2025-12-01", "101000 km", "less than"},
		{"2026-02-01", "1010000 km", "a day"},
	} {
		err := add(c.date, c.km, false)
		if fleet.KindOf(err) != fleet.Conflict || !strings.Contains(err.Error(), c.says) || len(fleet.Hints(err)) == 0 {
			t.Errorf("%s on %s: %v, hints %v", c.km, c.date, err, fleet.Hints(err))
		}
	}
	if err := add("2026-02-01", "1010000 km", true); err != nil {
		t.Errorf("a confirmed jump was refused: %v", err)
	}
	if len(s.entries) != 2 {
		t.Errorf("%d entries", len(s.entries))
	}
}

func TestAnswers(t *testing.T) {
	r, _, _ := newRecorder(t)
	belt, tyres := r.Catalogue.Kind("ribbed-belt"), r.Catalogue.Kind("battery")
	for _, c := range []struct {
		kind               *catalogue.Kind
		check, typed, want string
	}{
		{belt, "cracks", "12 per 25 mm", "12 per 25 mm"},
		{belt, "cracks", "3", "3 per 75 mm"},
		{belt, "edge", "Clean", "clean"},
		{tyres, "rest-voltage", "12.4", "12.4 V"},
	} {
		f, err := Answer(c.kind, c.check, c.typed)
		if err != nil {
			t.Errorf("%s %s: %v", c.check, c.typed, err)
			continue
		}
		got := f.Answer
		if f.Value != nil {
			got = f.Value.String()
		}
		if got != c.want {
			t.Errorf("%s %q: %q, want %q", c.check, c.typed, got, c.want)
		}
	}
	for _, c := range [][2]string{{"cracks", "many"}, {"cracks", "3 V"}, {"edge", "purple"}, {"colour", "blue"}} {
		if _, err := Answer(belt, c[0], c[1]); err == nil || len(fleet.Hints(err)) == 0 {
			t.Errorf("%v was accepted or without a hint: %v", c, err)
		}
	}
}

func TestCorrectionsAndUndo(t *testing.T) {
	r, s, v := newRecorder(t)
	ctx := context.Background()
	stored, err := r.Batch(ctx, v, []*fleet.Entry{
		{Type: fleet.TypeOdometer, Date: on("2026-01-01"), Odometer: q("10000 km")},
		{Type: fleet.TypeNote, Date: on("2026-01-01"), Note: &fleet.Note{Text: "cold"}}})
	if err != nil {
		t.Fatal(err)
	}
	instead := *stored[0]
	instead.Odometer = q("100000 km")
	if _, err := r.Replace(ctx, v, stored[0].ID, &instead, "a nought was missing"); err != nil {
		t.Fatal(err)
	}
	if last, _ := fleet.Fold(v, s.entries, on("2026-11-25")).Last(); last.Total != 100000 {
		t.Errorf("total %v", last.Total)
	}
	if _, err := r.Withdraw(ctx, v, "nothing", ""); fleet.KindOf(err) != fleet.NotFound {
		t.Errorf("withdrawing what is not there: %v", err)
	}
	if _, err := r.UndoBatch(ctx, v, stored[0].Batch, "typed on the wrong vehicle"); err != nil {
		t.Fatal(err)
	}
	if n := len(fleet.Fold(v, s.entries, on("2026-11-25")).Record); n != 0 {
		t.Errorf("%d entries stand after the batch was undone", n)
	}
	if _, err := r.UndoBatch(ctx, v, stored[0].Batch, ""); fleet.KindOf(err) != fleet.NotFound {
		t.Errorf("undoing twice: %v", err)
	}
}

func TestFaultsOfBodies(t *testing.T) {
	r, _, v := newRecorder(t)
	for name, e := range map[string]*fleet.Entry{
		"no reading":    {Type: fleet.TypeOdometer},
		"money as km":   {Type: fleet.TypeOdometer, Odometer: q("5 EUR")},
		"no told since": {Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: "main-belt", Known: fleet.Told}},
		"told of a day to come": {Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: "main-belt",
			Known: fleet.Told, Since: &fleet.Since{Date: on("2026-01-02")}}},
		"odd removal": {Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: "main-belt", Removed: "bored"}},
		"other stuff": {Type: fleet.TypeFitted,
			Fitted: &fleet.Fitted{Position: "main-belt", Part: fleet.PartSpec{Material: "rubber"}}},
		"cost in km": {Type: fleet.TypeFitted,
			Fitted: &fleet.Fitted{Position: "main-belt", Part: fleet.PartSpec{Cost: q("5 km")}}},
		"empty work": {Type: fleet.TypeDone, Done: &fleet.Done{What: " "}},
		"empty note": {Type: fleet.TypeNote, Note: &fleet.Note{}},
		"past wish": {Type: fleet.TypeWish,
			Wish: &fleet.Wish{Position: "main-belt", Month: fleet.Month{Year: 2020, Month: 1}}},
		"wish for none": {Type: fleet.TypeWish,
			Wish: &fleet.Wish{Position: "main-bolt", Month: fleet.Month{Year: 2090, Month: 1}}},
		"no month":      {Type: fleet.TypeWish, Wish: &fleet.Wish{Position: "main-belt"}},
		"no body":       {Type: fleet.TypeFound},
		"no correction": {Type: fleet.TypeCorrection, Correction: &fleet.Correction{Of: "x"}},
	} {
		e.Date = on("2026-01-01")
		_, err := r.Batch(context.Background(), v, []*fleet.Entry{e})
		var fe *fleet.Error
		if !errors.As(err, &fe) || fe.Kind == fleet.Internal {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestDaysToComeAreRefusedUnlessSure(t *testing.T) {
	r, s, v := newRecorder(t)
	note := func(sure bool) []*fleet.Entry {
		return []*fleet.Entry{{Type: fleet.TypeNote, Date: on("2026-11-26"), Sure: sure, Note: &fleet.Note{Text: "x"}}}
	}
	if _, err := r.Batch(context.Background(), v, note(false)); err == nil ||
		!strings.Contains(err.Error(), "in the future") {
		t.Errorf("error %v", err)
	}
	if _, err := r.Batch(context.Background(), v, note(true)); err != nil || s.landings != 1 {
		t.Errorf("%d landings, error %v", s.landings, err)
	}
	far := &fleet.Entry{Type: fleet.TypeOdometer, Date: on("2026-11-25"), Sure: true, Odometer: q("10000001 km")}
	if _, err := r.Batch(context.Background(), v, []*fleet.Entry{far}); err == nil ||
		!strings.Contains(err.Error(), "more than any vehicle runs") {
		t.Errorf("error %v", err)
	}
}

func TestOutsideHoldsImportsToTheRulesOfForms(t *testing.T) {
	today := on("2026-11-25")
	note := func(vehicle, position, date string) *fleet.Entry {
		return &fleet.Entry{Vehicle: vehicle, Type: fleet.TypeNote, Date: on(date),
			Note: &fleet.Note{Position: position, Text: "x"}}
	}
	instead := &fleet.Entry{Vehicle: "wren", Type: fleet.TypeCorrection, Date: today,
		Correction: &fleet.Correction{Instead: note("", "main-belt", "9999-12-31")}}
	for want, e := range map[string]*fleet.Entry{
		"in the future":            note("wren", "", "9999-12-31"),
		"2026-11-26 is in":         note("wren", "", "2026-11-26"),
		"vehicle: \"<b>wren</b>\"": note("<b>wren</b>", "", "2026-11-25"),
		"position: \"x onload=\"":  note("wren", "x onload=", "2026-11-25"),
		"9999-12-31":               instead,
		"check": {Vehicle: "wren", Type: fleet.TypeFound, Date: today,
			Found: &fleet.Found{Position: "belt", Check: "a&b", Answer: "c"}},
		"settles": {Vehicle: "wren", Type: fleet.TypeDone, Date: today,
			Done: &fleet.Done{What: "x", Settles: []string{"'"}}},
		"more than any vehicle": {Vehicle: "wren", Type: fleet.TypeOdometer, Date: today,
			Odometer: q("176000000000 km")},
		"after the day of the entry": {Vehicle: "wren", Type: fleet.TypeFitted, Date: today,
			Fitted: &fleet.Fitted{Position: "belt", Known: fleet.Told, Since: &fleet.Since{Date: today.AddDays(1)}}},
		"batch": {Vehicle: "wren", Type: fleet.TypeOdometer, Date: today, Batch: "<b>", Odometer: q("5 km")},
		"answer": {Vehicle: "wren", Type: fleet.TypeFound, Date: today,
			Found: &fleet.Found{Position: "belt", Check: "a", Answer: "<i>"}},
		"opening": {Vehicle: "wren", Type: fleet.TypeOpened, Date: today, Opened: &fleet.Opened{Opening: "<i>"}},
		"position: \"<u>\"": {Vehicle: "wren", Type: fleet.TypeWork, Date: today,
			Work: &fleet.Work{Begins: []fleet.WorkTask{{Position: "<u>", Do: fleet.DoReplace}}}},
		"too long": {Vehicle: "wren", Type: fleet.TypeAboard, Date: today,
			Aboard: &fleet.Aboard{Thing: strings.Repeat("x", thingMost+1)}},
	} {
		if err := Outside(e, today, false); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want %q", err, want)
		}
	}
	if err := Outside(note("wren", "main-belt", "2026-11-25"), today, false); err != nil {
		t.Error(err)
	}
	if err := Outside(note("wren", "", "9999-12-31"), today, true); err != nil {
		t.Error(err)
	}
}

// A figure that cannot be is refused, sure or not, and an unlikely one unless
// the owner is sure: a tyre has no 900 mm of tread, no car's battery 1 250 V,
// and no belt minus four cracks (plain physics); new tyres have 7 to 14 mm
// (from memory). Every fault says what would be right.
func TestFiguresThatCannotBeAndUnlikelyOnes(t *testing.T) {
	r, s, v := newRecorder(t)
	v.Positions = append(v.Positions, fleet.Position{ID: "battery", Name: "Battery", Kind: "battery"},
		fleet.Position{ID: "tyres", Name: "Tyres", Kind: "tyres"})
	for _, c := range []struct {
		position, check, figure string
		asked, sure             string // what is said of it, and of it when sure; "" kept
	}{
		{"battery", "rest-voltage", "1250 V", "cannot be", "cannot be"},
		{"battery", "rest-voltage", "15 V", "unlikely", ""},
		{"battery", "rest-voltage", "12.6 V", "", ""},
		{"tyres", "tread", "900 mm", "cannot be", "cannot be"},
		{"tyres", "tread", "20 mm", "unlikely", ""},
		{"tyres", "tread", "7 mm", "", ""},
		{"main-belt", "cracks", "-4 per 75 mm", "cannot be", "cannot be"},
		{"main-belt", "cracks", "60 per 75 mm", "unlikely", ""},
	} {
		for _, sure := range []bool{false, true} {
			want := c.asked
			if sure {
				want = c.sure
			}
			was := s.landings
			_, err := r.Batch(context.Background(), v,
				[]*fleet.Entry{{Type: fleet.TypeFound, Date: on("2026-01-01"), Sure: sure,
					Found: &fleet.Found{Position: c.position, Check: c.check, Value: q(c.figure)}}})
			switch {
			case want == "" && (err != nil || s.landings != was+1):
				t.Errorf("%s %s, sure %v: %v", c.check, c.figure, sure, err)
			case want != "" && (err == nil || !strings.Contains(err.Error(), want) || s.landings != was ||
				len(fleet.Hints(err)) == 0):
				t.Errorf("%s %s, sure %v: %v, want %q", c.check, c.figure, sure, err, want)
			}
		}
	}
}

func TestAFindingInTheHandNamesWhatTookThePartOff(t *testing.T) {
	r, s, v := newRecorder(t)
	fitted := &fleet.Entry{ID: "fit", Type: fleet.TypeFitted, Date: civil.MustParse("2026-11-20"),
		Fitted: &fleet.Fitted{Position: "main-belt", Removed: fleet.RemovedWorn}}
	hand := func(position, check, off, date string) *fleet.Entry {
		return &fleet.Entry{Type: fleet.TypeFound, Date: civil.MustParse(date),
			Found: &fleet.Found{Position: position, Check: check, Answer: "hard", Off: off}}
	}
	if _, err := r.Batch(t.Context(), v,
		[]*fleet.Entry{fitted, hand("main-belt", "touch", "fit", "2026-11-20")}); err != nil {
		t.Fatal(err)
	}
	for name, e := range map[string]*fleet.Entry{
		"no such entry":  hand("main-belt", "touch", "nothing", "2026-11-20"),
		"other position": hand("top-hose", "squeeze-ends", "fit", "2026-11-20"),
		"before it":      hand("main-belt", "touch", "fit", "2026-11-19"),
		"not asked":      hand("main-belt", "tension", "fit", "2026-11-20"),
	} {
		if _, err := r.Batch(t.Context(), v, []*fleet.Entry{e}); err == nil {
			t.Errorf("%s is taken", name)
		}
	}
	if n := len(s.entries); n != 2 {
		t.Errorf("%d entries are kept, want 2", n)
	}
}
