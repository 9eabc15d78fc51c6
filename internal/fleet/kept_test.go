package fleet

import (
	"fmt"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/units"
)

// fromStart is a kept fold of all entries, by the way a store streams them.
func fromStart(v *Vehicle, entries []*Entry, on civil.Date) *Kept {
	k := NewKept(v)
	standing := Standing(entries)
	slices.SortFunc(standing, byDate)
	for _, e := range standing {
		k.Next(e, on)
	}
	return k
}

// TestKeptFoldIsTheFoldFromTheStart folds random histories bit by bit as they
// arrive, written and read back now and then, and compares each time with a fold
// of all from the start.
func TestKeptFoldIsTheFoldFromTheStart(t *testing.T) {
	t.Parallel()
	onTop, anew, read, histories := 0, 0, 0, 4000
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		histories = 100000
	}
	for seed := range histories {
		random := rand.New(rand.NewPCG(uint64(seed), 12))
		v, on := testVehicle(), day("2026-03-10")
		all := randomHistory(random, 4+random.IntN(30))
		kept, known := NewKept(v), 0
		for known < len(all) {
			n := min(len(all), known+1+random.IntN(5))
			on = on.AddDays(random.IntN(4) - 1)
			next, ok := kept.With(all[known:n], on)
			if known = n; !ok {
				next, anew = fromStart(v, all[:known], on), anew+1
			} else {
				onTop++
			}
			if kept = next; random.IntN(4) == 0 {
				kept, read = reread(t, kept), read+1
			}
			if got, want := saidOf(kept.State(on)), saidOf(Fold(v, all[:known], on)); got != want {
				t.Fatalf("history %d after %d entries:\n%s\nfrom the start:\n%s", seed, known, got, want)
			}
		}
	}
	if onTop < 4*histories || anew < histories || read < histories {
		t.Errorf("%d folded on top, %d anew, %d read back: the histories prove too little", onTop, anew, read)
	}
}

// A long history passes every bound on what a state holds.
func TestKeptFoldOfALongHistory(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 12))
	v, on := testVehicle(), day("2040-01-01")
	var all []*Entry
	for i := range 6000 {
		e := randomFact(random, i, day("2026-03-01").AddDays(i/3))
		total := units.Must(float64(1000+i), "km")
		if i%2 == 0 {
			e.Odometer = &total
		}
		all = append(all, e)
	}
	kept := NewKept(v)
	for part := range slices.Chunk(all, 240) { // whole days: within one, clocks that differ may turn the order round
		next, ok := kept.With(part, on)
		if !ok {
			t.Fatal("entries in order are not folded on top")
		}
		kept = reread(t, next)
	}
	s := kept.State(on)
	if got, want := saidOf(s), saidOf(Fold(v, all, on)); got != want {
		t.Fatal("the kept fold is not the fold from the start")
	}
	belt := s.Places["belt"]
	if len(s.Readings) > mostReadings || len(belt.Findings) > mostFigures+2*mostAnswers || len(belt.Past) > mostPast ||
		len(belt.Notes) > mostNotes ||
		len(s.Wishes) > mostWishes || len(s.Problems) > mostProblems || s.MoreProblems == 0 ||
		s.Readings[0].Total > 1010 {
		t.Errorf("%d readings from %v, %d findings, %d parts, %d notes, %d wishes, %d problems and %d more",
			len(s.Readings), s.Readings[0], len(belt.Findings),
			len(belt.Past), len(belt.Notes), len(s.Wishes), len(s.Problems), s.MoreProblems)
	}
}

// The distance of every moment is that between all readings of the record, later
// ones included, as worked out in two passes.
func TestMomentsAreThoseBetweenAllReadings(t *testing.T) {
	for seed := range 2000 {
		random := rand.New(rand.NewPCG(uint64(seed), 13))
		s := Fold(testVehicle(), randomHistory(random, 4+random.IntN(30)), day("2026-05-01"))
		want := twoPasses(s.Record)
		for _, p := range s.Places {
			for _, f := range p.Findings {
				if f.Moment != want[f.Entry] {
					t.Fatalf("history %d: %s is at %v, want %v", seed, f.Entry, f.Moment, want[f.Entry])
				}
			}
			for _, part := range append(slices.Clone(p.Past), p.Fitted) {
				if part != nil && part.Known == Recorded && part.Entry != "" && part.From != want[part.Entry] {
					t.Fatalf("history %d: the part of %s is there from %v, want %v", seed, part.Entry, part.From,
						want[part.Entry])
				}
			}
		}
	}
}

// twoPasses is the moment of each entry: first all readings, then all moments.
func twoPasses(record []*Entry) map[string]Moment {
	k, own := NewKept(testVehicle()), map[string]Moment{}
	for _, e := range record {
		own[e.ID] = k.foldReading(e)
	}
	for _, e := range record {
		wrong := slices.ContainsFunc(k.state.Problems, func(p Problem) bool { return p.Entry == e.ID })
		if e.Odometer == nil || wrong {
			m := Moment{Date: e.Date}
			m.Total, m.HasTotal = k.state.TotalOn(e.Date)
			own[e.ID] = m
		}
	}
	return own
}

// randomHistory is facts in the order in which they arrive: mostly by date, some
// late, some corrected, some about days to come.
func randomHistory(random *rand.Rand, n int) []*Entry {
	var all []*Entry
	date := day("2026-03-01")
	for i := range n {
		date = date.AddDays(random.IntN(3))
		about := date
		switch random.IntN(12) {
		case 0:
			about = date.AddDays(-random.IntN(6))
		case 1:
			about = date.AddDays(random.IntN(5))
		}
		e := randomFact(random, i, about)
		if random.IntN(12) == 0 && len(all) > 0 {
			fix := &Correction{Of: all[random.IntN(len(all))].ID, Withdraw: random.IntN(2) == 0}
			if !fix.Withdraw {
				instead := *e
				instead.Vehicle = ""
				fix.Instead = &instead
			}
			e = &Entry{ID: e.ID, Recorded: e.Recorded, Vehicle: "teal", Date: date,
				Type: TypeCorrection, Correction: fix}
		}
		all = append(all, e)
	}
	return all
}

// randomFact draws one of every type but a correction. Its id tells nothing of
// when it was typed.
func randomFact(random *rand.Rand, n int, date civil.Date) *Entry {
	e := &Entry{ID: fmt.Sprintf("%03d-%d", random.IntN(1000), n), Vehicle: "teal", Date: date, Type: TypeNote,
		Recorded: time.Date(2026, 3, 1, 8, 0, n, 0, time.UTC)}
	if random.IntN(9) == 0 {
		e.Clock = float64(random.IntN(400)-200) / 8
	}
	if random.IntN(3) == 0 {
		km := units.Must(float64(1000+40*date.Sub(day("2026-03-01"))+random.IntN(30)), "km")
		e.Odometer = &km
	}
	position := []string{"belt", "belt", "hose", "nothing"}[random.IntN(4)]
	switch random.IntN(16) {
	case 12:
		e.ID, e.Type, e.Work = fmt.Sprint("work ", n), TypeWork,
			&Work{Begins: []WorkTask{{Position: position, Do: DoReplace}}}
	case 13:
		e.Type, e.Work = TypeWork, &Work{Of: fmt.Sprint("work ", n-1-random.IntN(9)),
			Step: []string{"change:belt", "warm"}[random.IntN(2)], Back: random.IntN(4) == 0}
		if random.IntN(4) == 0 {
			e.Work.Step, e.Work.Back, e.Work.Ended = "", false, true
		}
	case 9:
		e.Type, e.Aside = TypeAside, &Aside{Position: position, Why: "later"}
	case 10:
		e.Type, e.Opened = TypeOpened,
			&Opened{Opening: []string{"drain", "cover", "nothing"}[random.IntN(3)], Closed: random.IntN(2) == 0}
	case 11:
		e.Type, e.Aboard = TypeAboard, &Aboard{Thing: []string{"tape", "Tape", "a belt"}[random.IntN(3)],
			Gone: []Gone{"", "", GoneUsed}[random.IntN(3)]}
	case 0:
		e.Note = &Note{Text: "rattles", Position: []string{"", position}[random.IntN(2)]}
	case 1:
		e.Type, e.Wish = TypeWish, &Wish{Position: position, Month: Month{Year: 2026, Month: 5}}
	case 2:
		e.Type, e.Done = TypeDone, &Done{What: "cleaned", Positions: []string{position}, Settles: []string{"cracks"},
			TakenOff: random.IntN(4) == 0}
	case 3:
		e.Type, e.Fitted = TypeFitted,
			&Fitted{Position: position, Known: []Known{Recorded, Recorded, Told, Unknown}[random.IntN(4)]}
		if e.Fitted.Known == Told {
			e.Fitted.Since = &Since{Date: date.AddDays(-random.IntN(20))}
		}
	case 4:
		old, started := units.Must(float64(1200+random.IntN(800)), "km"), units.Must(0, "km")
		e.Type, e.Instrument, e.Odometer = TypeOdometer, &Instrument{Old: old, New: started}, nil
	case 5:
		figure := units.Must(float64(random.IntN(9)), "mm")
		e.Type, e.Found = TypeFound, &Found{Position: position, Check: "depth", Value: &figure,
			Note: "with\ta \"tab\"\nand a line", Attachments: []string{"abc"}}
	case 15:
		e.Type, e.Bought = TypeBought, &Bought{Positions: []string{"belt", position}, Number: "B-1"}
		if date.Day%2 == 0 {
			e.Type, e.Bought, e.Mark = TypeMark, nil, &PictureMark{Picture: abcHash, Shape: MarkRing,
				At: Across{0, 0, 1, 1}}
		}
	case 14:
		e.Type, e.Found = TypeFound, &Found{Position: position, Check: "cracks", Answer: "many", Off: "some entry"}
	default:
		e.Type, e.Found = TypeFound,
			&Found{Position: position, Check: "cracks", Answer: []string{"none", "few", "many"}[random.IntN(3)]}
	}
	return e
}

func reread(t *testing.T, k *Kept) *Kept {
	t.Helper()
	src, err := k.Encode()
	if err != nil {
		t.Fatal(err)
	}
	out, err := DecodeKept(k.state.Vehicle, string(src))
	if err != nil {
		t.Fatal(err)
	}
	// any language can tell them
	if got, want := out.state.Problems, k.state.Problems; !slices.Equal(got, want) {
		t.Fatalf("read back: %q, kept: %q", got, want)
	}
	return out
}

// saidOf is all that a state says but for its record, which a kept one lacks.
func saidOf(s *State) string {
	var b strings.Builder
	fmt.Fprintln(&b, s.On, s.Began, s.Readings, s.Problems, s.MoreProblems, idsOf(s.Notes), idsOf(s.Wishes),
		idsOf(s.Open), idsOf(s.Aboard), idsOf(s.Pictures), idsOf(s.Marks))
	for _, id := range []string{"belt", "hose"} {
		p := s.Places[id]
		if p.Aside != nil {
			fmt.Fprintln(&b, p.Aside.ID, p.Left)
		}
		if p.Bought != nil {
			fmt.Fprintln(&b, "bought", p.Bought.ID)
		}
		fmt.Fprintln(&b, id, p.Fitted, idsOf(p.Notes), idsOf(p.Pictures), len(p.Latest))
		for _, part := range p.Past {
			fmt.Fprintln(&b, "  past", *part)
		}
		for _, f := range p.Hand {
			fmt.Fprintln(&b, "  in the hand", f.Entry, f.Off, f.Answer, f.Date)
		}
		for _, f := range p.Findings {
			before := ""
			for o := f.Before; o != nil; o = o.Before {
				before += " " + o.Entry
			}
			fmt.Fprintln(&b, "  found", f.Entry, f.Check, f.Answer, f.Value, f.Note, f.Attachments, f.Moment, f.Settled,
				"before", before, p.Latest[f.Check] == f)
		}
	}
	return b.String()
}

func idsOf(entries []*Entry) (out []string) {
	for _, e := range entries {
		out = append(out, e.ID)
	}
	return out
}

func TestAKeptFoldOfAnotherSheetIsNotTaken(t *testing.T) {
	k := fromStart(testVehicle(), journalOf(found("2026-03-01", "few")), day("2026-03-02"))
	src, err := k.Encode()
	if err != nil {
		t.Fatal(err)
	}
	other := testVehicle()
	other.Positions[0].Part.Material = "neoprene"
	if _, err := DecodeKept(other, string(src)); err == nil {
		t.Error("a sheet with another material takes it")
	}
	for _, spoilt := range []string{"{", strings.Replace(string(src), `"Latest":{"cracks":0}`, `"Latest":{"cracks":7}`,
		1), strings.Replace(string(src), `"belt"`, `"strap"`, 1)} {
		if _, err := DecodeKept(testVehicle(), spoilt); err == nil || spoilt == string(src) {
			t.Errorf("%s is taken", spoilt)
		}
	}
	if _, err := DecodeKept(testVehicle(), string(src)); err != nil {
		t.Error(err)
	}
}

// A state gets a field: it is to be copied in clone, and written and read back in
// kept_copy.go, unless it says nothing of what was folded.
func TestEveryFieldOfAStateIsKept(t *testing.T) {
	for typ, fields := range map[reflect.Type]string{
		reflect.TypeFor[State](): "Vehicle On Began Readings Places Notes Wishes Open Aboard Work Spells Pictures " +
			"Marks Supplies Record Problems MoreProblems",
		reflect.TypeFor[Place]():   "Position Fitted Past Latest Findings Hand Notes Pictures Aside Left Bought",
		reflect.TypeFor[Finding](): "Found Moment Entry Settled Before",
		reflect.TypeFor[Found]():   "Position Check Answer Value Note Attachments Off Counted",
	} {
		var got []string
		for i := range typ.NumField() {
			got = append(got, typ.Field(i).Name)
		}
		if strings.Join(got, " ") != fields {
			t.Errorf("%s has the fields %v; name here those that kept_copy.go keeps, and count FoldVersion up", typ,
				got)
		}
	}
}
