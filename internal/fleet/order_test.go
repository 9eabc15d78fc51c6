package fleet

import (
	"testing"
	"time"
)

func typed(id, clock string, behind float64, e *Entry) *Entry {
	at, err := time.Parse("15:04:05", clock)
	if err != nil {
		panic(err)
	}
	e.ID, e.Recorded, e.Clock = id, time.Date(2026, 3, 1, at.Hour(), at.Minute(), at.Second(), 0, time.UTC), behind
	return e
}

func found(date, answer string) *Entry {
	return &Entry{Type: TypeFound, Date: day(date), Found: &Found{Position: "belt", Check: "cracks", Answer: answer}}
}

// A phone whose clock is an hour ahead sends what was typed before what another
// typed later; ids and arrival say otherwise.
func TestEntriesOfADayStandInTheOrderTheyWereTyped(t *testing.T) {
	entries := journalOf(
		typed("0009", "10:30:00", -3600, found("2026-03-01", "none")), // at half past nine
		typed("0001", "09:45:00", 0, found("2026-03-01", "many")),
		typed("0002", "09:45:00.5", 0.25, found("2026-03-01", "few")), // of one second, put right by a quarter
	)
	s := Fold(testVehicle(), entries, day("2026-03-02"))
	got := ""
	for _, f := range s.Places["belt"].Findings {
		got += f.Answer + " "
	}
	if got != "none many few " {
		t.Errorf("the findings stand as %q", got)
	}
	// The last answer has the two before it behind it: one day, never settled.
	last := s.Places["belt"].Latest["cracks"]
	if last.Before == nil || last.Before.Before == nil || last.Before.Before.Before != nil {
		t.Error("the answers of the day do not stand behind each other")
	}
}

func TestASettledAnswerOfTheDayIsOver(t *testing.T) {
	done := &Entry{Type: TypeDone, Date: day("2026-03-01"),
		Done: &Done{What: "cleaned", Positions: []string{"belt"}, Settles: []string{"cracks"}}}
	entries := journalOf(found("2026-03-01", "many"), found("2026-03-01", "none"), done, found("2026-03-01", "few"),
		found("2026-03-02", "none"))
	s := Fold(testVehicle(), entries, day("2026-03-03"))
	f := s.Places["belt"].Findings
	if f[0].Settled == "" || f[1].Settled == "" || f[2].Settled != "" || f[2].Before != nil || f[3].Before != nil {
		t.Errorf("settled %q %q %q, before %v %v", f[0].Settled, f[1].Settled, f[2].Settled, f[2].Before, f[3].Before)
	}
}

func TestTheCorrectionTypedLastCounts(t *testing.T) {
	fix := func(id, clock string, behind float64, to string) *Entry {
		return typed(id, clock, behind, &Entry{Type: TypeCorrection, Date: day("2026-03-01"),
			Correction: &Correction{Of: "0001", Instead: found("2026-03-01", to)}})
	}
	entries := journalOf(typed("0001", "08:00:00", 0, found("2026-03-01", "many")),
		fix("0002", "09:00:00", 7200, "few"), fix("0003", "10:00:00", 0, "none"))
	if got := Standing(entries)[0].Found.Answer; got != "few" {
		t.Errorf("%q stands, want what was typed at eleven", got)
	}
}

func TestADistanceBeyondAnyVehicleIsLeftOut(t *testing.T) {
	far := reading("2026-03-01", "176000000000 km")
	far.Sure = true
	s := Fold(testVehicle(), journalOf(reading("2026-02-01", "100000 km"), far), day("2026-03-03"))
	if len(s.Readings) != 1 || len(s.Problems) != 1 {
		t.Errorf("%d readings, problems %v", len(s.Readings), s.Problems)
	}
}

func TestFormatIsTheEarliestThatHoldsTheEntry(t *testing.T) {
	if FormatOf(&Entry{}) != 1 || FormatOf(&Entry{Clock: 3}) != 2 || FormatOf(&Entry{Opened: &Opened{}}) != 3 ||
		FormatOf(&Entry{Clock: 3, Work: &Work{}}) != 4 || FormatOf(&Entry{Work: &Work{Set: []SetTo{{}}}}) != 6 ||
		FormatOf(&Entry{Found: &Found{}}) != 1 || FormatOf(&Entry{Found: &Found{Off: "x"}}) != 5 {
		t.Error("an entry without a clock is of version 1, one with it of version 2, one of what is open of version " +
			"3, one of work in hand of version 4, one of a part once off of version 5")
	}
}

func TestShortNames(t *testing.T) {
	for name, want := range map[string]bool{"main-belt": true, "p2": true, "": false, "<b>": false, "Main": false,
		"a b": false, "\u00e4": false} {
		if IsShortName(name) != want {
			t.Errorf("%q: %v", name, !want)
		}
	}
}
