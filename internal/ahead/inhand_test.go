package ahead_test

import (
	"fmt"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// renewed is a vehicle on which one belt came off after so many months, for a reason
// and found so in the hand, having been seen so, and on another vehicle the same kind of belt, new then.
func renewed(t *testing.T, months int, why fleet.Removal, hand string, first bool) float64 {
	t.Helper()
	c, r := afterOne(t, months, why, hand, first)
	return c.Until(today.AddMonths(12), r.Total+14400)
}

func afterOne(t *testing.T, months int, why fleet.Removal, hand string, first bool, seen ...saw) (*ahead.Chance,
	*advise.Report) {
	t.Helper()
	cat := loaded(t)
	start := today.AddMonths(-2 * months)
	n := 0
	entry := func(id string, v *fleet.Vehicle, at civil.Date, e fleet.Entry) *fleet.Entry {
		n++
		e.ID, e.Vehicle, e.Date = fmt.Sprintf("%s%03d", id, n), v.ID, at
		q := units.Must(1200*float64(at.Sub(start))/30.4375, "km")
		e.Odometer = &q
		return &e
	}
	sheet := func(id string) *fleet.Vehicle {
		return &fleet.Vehicle{ID: id, Built: start,
			Positions: []fleet.Position{{ID: "it", Name: "It", Kind: "ribbed-belt", From: fleet.Above}}}
	}
	wren, teal := sheet("wren"), sheet("teal")
	off := today.AddMonths(-months)
	fit := entry("f", wren, off,
		fleet.Entry{Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: "it", Removed: why}})
	entries := []*fleet.Entry{entry("a", wren, start,
		fleet.Entry{Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: "it"}}), fit,
		entry("z", wren, today, fleet.Entry{Type: fleet.TypeOdometer}),
		entry("a", teal, start, fleet.Entry{Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: "it"}}),
		entry("z", teal, today, fleet.Entry{Type: fleet.TypeOdometer})}
	for _, s := range seen {
		entries = append(entries, entry("e", wren, today.AddMonths(-s.ago), fleet.Entry{Type: fleet.TypeFound,
			Found: &fleet.Found{Position: "it", Check: s.check, Answer: s.answer}}))
	}
	if hand != "" {
		e := entry("h", wren, off, fleet.Entry{Type: fleet.TypeFound,
			Found: &fleet.Found{Position: "it", Check: "touch", Answer: hand, Off: fit.ID}})
		if e.Odometer = nil; first {
			entries = append([]*fleet.Entry{e}, entries...)
		} else {
			entries = append(entries, e)
		}
	}
	reports := advise.Yard(cat, []*fleet.Vehicle{wren, teal}, entries, today)
	c, ok := ahead.ChanceOf(reports[1], reports[1].Judgement("it"))
	if !ok {
		t.Fatal("no chance is reckoned")
	}
	return c, reports[1]
}

// What a removed part was in the hand teaches of its kind: one that came off for
// its looks and was sound says less against the others than one of which nothing is
// told, and one that was hard says more than a sound one, whatever it came off for.
// That it looked bad is more than that its interval was over. Order does not matter.
func TestWhatAPartWasInTheHandTeaches(t *testing.T) {
	for _, months := range []int{24, 48, 72} {
		untold, failed := renewed(t, months, fleet.RemovedWorn, "", false),
			renewed(t, months, fleet.RemovedFailed, "", false)
		sound, bad := renewed(t, months, fleet.RemovedWorn, "firm", false),
			renewed(t, months, fleet.RemovedWorn, "hard", false)
		due := renewed(t, months, fleet.RemovedAge, "", false)
		t.Logf("%d months: sound %.4f, at its interval %.4f, looked bad %.4f, hard in the hand %.4f, failed %.4f",
			months, sound, due, untold, bad, failed)
		if !(sound < untold && due < untold && sound < bad && due < bad) {
			t.Errorf("%d months: these are not in order", months)
		}
		if other := renewed(t, months, fleet.RemovedAge, "hard", false); other != bad {
			t.Errorf("%d months: hard in the hand %.5f where it was thought worn, %.5f where it was due",
				months, bad, other)
		}
		if other := renewed(t, months, fleet.RemovedFailed, "hard", false); other != failed {
			t.Errorf("%d months: a failed part failed, whatever else it was: %.5f, %.5f", months, failed, other)
		}
		if other := renewed(t, months, fleet.RemovedWorn, "hard", true); other != bad {
			t.Errorf("%d months: recorded first it is %.5f, else %.5f", months, other, bad)
		}
	}
}

// What had been seen of a part teaches of its kind once it is off: good looks up to its
// end say that it could have gone on, early damage that it could not; what was seen bad,
// and is written down, says no less than that it looked bad. Looks at what is still in say nothing of others,
// see TestWhatDoesNotChangeAChance.
func TestWhatWasSeenOfAPartTeachesOnceItIsOff(t *testing.T) {
	for _, months := range []int{24, 48, 72} {
		anew := func(why fleet.Removal, seen ...saw) float64 {
			c, _ := afterOne(t, months, why, "", false, seen...)
			return c.Renewed(30 * float64(months))
		}
		see := func(why fleet.Removal, answer string) float64 {
			return anew(why, saw{"rib-damage", answer, months + 8}, saw{"rib-damage", answer, months + 1})
		}
		due, looked := anew(fleet.RemovedAge), anew(fleet.RemovedWorn)
		good, early := see(fleet.RemovedAge, "none"), see(fleet.RemovedAge, "small-cracks")
		worn, failed := see(fleet.RemovedWorn, "chunk-missing"), see(fleet.RemovedFailed, "none")
		t.Logf("%d months: due %.4f, after good looks %.4f, small cracks %.4f; looked bad %.4f, seen bad %.4f; failed "+
			"%.4f", months, due, good, early, looked, worn, failed)
		if !(good < due && due < early && early < worn && worn > 0.98*looked) {
			t.Errorf("%d months: these are not in order", months)
		}
	}
}

func TestTheGradeInTheHand(t *testing.T) {
	cat := loaded(t)
	part := &fleet.Part{Off: "x"}
	place := &fleet.Place{Position: &fleet.Position{ID: "it", Kind: "ribbed-belt"}}
	if _, _, told := ahead.HandGrade(cat, place, part); told {
		t.Error("nobody told")
	}
	ten := units.MustParse("12 per 75 mm")
	place.Hand = []*fleet.Finding{{Found: &fleet.Found{Check: "touch", Answer: "firm", Off: "x"}},
		{Found: &fleet.Found{Check: "cracks", Value: &ten, Off: "x"}},
		{Found: &fleet.Found{Check: "touch", Answer: "sticky", Off: "another"}}}
	grade, strength, told := ahead.HandGrade(cat, place, part)
	if !told || grade != 2 || strength < 2 {
		t.Errorf("grade %d, strength %.2f, %v: want put right by two senses", grade, strength, told)
	}
}

// What the plan is compared with is what the others told by an earlier day: what a part
// was in the hand too, unless it was told later.
func TestWhatWasInTheHandIsToldAsOfAnEarlierDay(t *testing.T) {
	cat := loaded(t)
	start, off := today.AddMonths(-60), today.AddMonths(-12)
	sheet := func(id string) *fleet.Vehicle {
		return &fleet.Vehicle{ID: id, Built: start,
			Positions: []fleet.Position{{ID: "it", Name: "It", Kind: "ribbed-belt", From: fleet.Above}}}
	}
	wren, teal := sheet("wren"), sheet("teal")
	chance := func(told civil.Date, hand string) float64 {
		entries := []*fleet.Entry{
			{ID: "a", Vehicle: "wren", Date: start, Fitted: &fleet.Fitted{Position: "it"}},
			{ID: "b", Vehicle: "wren", Date: off, Fitted: &fleet.Fitted{Position: "it", Removed: fleet.RemovedWorn}},
			{ID: "d", Vehicle: "teal", Date: start, Fitted: &fleet.Fitted{Position: "it"}}}
		if hand != "" {
			entries = append(entries, &fleet.Entry{ID: "c", Vehicle: "wren", Date: told,
				Found: &fleet.Found{Position: "it", Check: "touch", Answer: hand, Off: "b"}})
		}
		reports := advise.Yard(cat, []*fleet.Vehicle{wren, teal}, entries, today)
		then := reports[1].WithRecord(teal, reports[1].State.Record, today.AddMonths(-6))
		c, ok := ahead.ChanceOf(then, then.Judgement("it"))
		if !ok {
			t.Fatal("no chance is reckoned")
		}
		return c.Until(today, 0)
	}
	untold := chance(civil.Date{}, "")
	if known := chance(today.AddMonths(-8), "firm"); known >= untold {
		t.Errorf("sound in the hand, as was known by then: %.5f, not told %.5f", known, untold)
	}
	if later := chance(today.AddMonths(-2), "firm"); later != untold {
		t.Errorf("told after that day: %.5f, not told %.5f", later, untold)
	}
}

// What was found on the day of a change before it is of the part that came off: of the
// new one nothing was seen.
func TestANewPartIsNotWhatWasFoundOnTheOld(t *testing.T) {
	cat := loaded(t)
	start, off := today.AddMonths(-60), today.AddMonths(-2)
	v := &fleet.Vehicle{ID: "wren", Built: start, Positions: []fleet.Position{
		{ID: "it", Name: "It", Kind: "ribbed-belt", From: fleet.Above}}}
	cracks, km := units.MustParse("12 per 75 mm"), units.MustParse("80000 km")
	changed := func(id string) ahead.Outlook {
		r := advise.Vehicle(cat, v, []*fleet.Entry{
			{ID: "a", Vehicle: "wren", Date: start, Fitted: &fleet.Fitted{Position: "it"}},
			{ID: "c", Vehicle: "wren", Date: off, Odometer: &km, Fitted: &fleet.Fitted{Position: "it"}},
			{ID: id, Vehicle: "wren", Date: off, Found: &fleet.Found{Position: "it", Check: "cracks", Value: &cracks}}},
			today)
		return ahead.OutlookOf(r, r.Judgement("it"))
	}
	before, after := changed("b"), changed("d")
	if before.Chance == nil || before.Chance.Looks != 0 {
		t.Errorf("found before the change: %+v", before)
	}
	if after.Chance == nil || after.Chance.Looks != 1 || after.Chance.Found != fleet.PutRight {
		t.Errorf("found after the change: %+v", after)
	}
}
