package pace_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/pace"
)

// bench is a vehicle of two openings and a part, and its ticks.
type bench struct {
	v       *fleet.Vehicle
	entries []*fleet.Entry
	at      time.Time
	n       int
	of      string
}

func newBench() *bench {
	return &bench{at: time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC), v: &fleet.Vehicle{ID: "teal", Name: "Teal",
		Openings: []fleet.Opening{
			{ID: "cold", Name: "Let it cool", Engine: fleet.Cold, Minutes: 90},
			{ID: "tray", Name: "Take the tray off", Undo: "Refit the tray", Minutes: 10, UndoMinutes: 12},
			{ID: "belt-off", Name: "Take the belt off", Undo: "Fit the belt", Minutes: 8, UndoMinutes: 8}},
		Positions: []fleet.Position{{ID: "belt", Name: "Belt", Kind: "ribbed-belt"}}}}
}

func (b *bench) add(w fleet.Work) string {
	b.n++
	id := fmt.Sprintf("019abf2e-7c00-7a31-8f00-%012d", b.n)
	b.entries = append(b.entries, &fleet.Entry{ID: id, Type: fleet.TypeWork, Vehicle: "teal", Date: civil.Of(b.at),
		Recorded: b.at, Work: &w})
	return id
}

func (b *bench) begin() {
	b.of = b.add(fleet.Work{Begins: []fleet.WorkTask{{Position: "belt", Do: fleet.DoReplace}}})
}

// tick ticks steps so many minutes later.
func (b *bench) tick(after float64, keys ...string) {
	b.at = b.at.Add(time.Duration(after * float64(time.Minute)))
	for _, key := range keys {
		b.add(fleet.Work{Of: b.of, Step: key})
	}
}

func (b *bench) end() {
	b.add(fleet.Work{Of: b.of, Ended: true})
	b.at = b.at.Add(30 * 24 * time.Hour)
}

func (b *bench) own() map[string]pace.Own {
	return pace.Of(fleet.Fold(b.v, b.entries, civil.Of(b.at)))
}

var order = []string{"open:tray", "open:belt-off", "change:belt", "close:belt-off", "close:tray"}

var sheet = map[string]float64{"open:tray": 10, "open:belt-off": 8, "change:belt": 20, "close:belt-off": 8,
	"close:tray": 12}

// evening works a sheet through at so many times its minutes, with work that varies
// by a quarter; now and then it is left until the next day, or ticked when all is
// done.
func (b *bench) evening(random *rand.Rand, slow float64) {
	b.begin()
	b.tick(0, "open:cold")
	late, all := random.IntN(6) == 0, 0.0
	for _, key := range order {
		took := sheet[key] * slow * math.Exp(0.25*random.NormFloat64())
		if all += took; late {
			continue
		}
		if random.IntN(8) == 0 {
			took += 14 * 60 // the next day
		}
		b.tick(took, key)
	}
	if late {
		b.tick(all, order...)
	}
	b.end()
}

// Simulated evenings of owners who need so many times what the sheet says: in the
// mean the minutes are nearer to the truth than the sheet's by this share of its
// error, after three evenings and after ten.
func TestEveningsTeachTheOwnersMinutes(t *testing.T) {
	random := rand.New(rand.NewPCG(15, 2))
	for _, slow := range []float64{0.5, 1.8, 2.5} {
		for evenings, most := range map[int]float64{3: 0.55, 10: 0.3} {
			off, before := 0.0, 0.0
			for range 40 {
				b := newBench()
				for range evenings {
					b.evening(random, slow)
				}
				own := b.own()
				for _, key := range order {
					truth, got := sheet[key]*slow, sheet[key]
					if o, ok := own[key]; ok {
						got = o.Minutes
					}
					off, before = off+math.Abs(got-truth), before+math.Abs(sheet[key]-truth)
				}
				if _, ok := own["open:cold"]; ok {
					t.Error("waiting for the engine to cool is learnt as work")
				}
			}
			t.Logf("%g times the sheet, %d evenings: %.2f of its error left", slow, evenings, off/before)
			if off > most*before {
				t.Errorf("%g times the sheet, %d evenings: at most %g may be left", slow, evenings, most)
			}
		}
	}
}

// One time tells nothing yet; two are drawn half-way to the sheet; a night between,
// a tick taken back, ticks set at once and ticks that only add a figure tell nothing.
func TestWhatTellsNoTime(t *testing.T) {
	b := newBench()
	evening := func(minutes float64, then ...func()) {
		b.begin()
		b.tick(0, "open:belt-off")
		b.tick(minutes, "open:tray")
		for _, do := range then {
			do()
		}
		b.end()
	}
	evening(20)
	if own := b.own(); len(own) != 0 {
		t.Errorf("after one evening: %v", own)
	}
	evening(20)
	want := pace.Own{Minutes: 15, Sheet: 10, Times: 2}
	if got := b.own()["open:tray"]; got != want {
		t.Errorf("after two evenings of 20 min where the sheet says 10: %+v", got)
	}
	evening(13 * 60)
	evening(20, func() { b.add(fleet.Work{Of: b.of, Step: "open:tray", Back: true}) })
	evening(0.2)
	if got := b.own()["open:tray"]; got != want {
		t.Errorf("a night, a tick taken back, ticks set at once: %+v", got)
	}
	evening(20, func() {
		b.at = b.at.Add(5 * time.Minute)
		b.add(fleet.Work{Of: b.of, Step: "open:tray", Set: []fleet.SetTo{{What: "bolts"}}})
	})
	if got := b.own()["open:tray"]; got.Times != 3 {
		t.Errorf("a figure told later: %+v", got)
	}
}

// A vehicle with its owner's times keeps what its sheet says, and taking them again
// changes nothing.
func TestOwnTimesAreTakenOnce(t *testing.T) {
	b := newBench()
	for range 4 {
		b.begin()
		b.tick(0, "open:belt-off")
		b.tick(25, "open:tray")
		b.end()
	}
	once, own := pace.Applied(fleet.Fold(b.v, b.entries, civil.Of(b.at)))
	twice, again := pace.Applied(once)
	o := once.Vehicle.Opening("tray")
	if o.Minutes != own["open:tray"].Minutes || o.Minutes == 10 || o.UndoMinutes != 12 {
		t.Errorf("applied: %+v, %v", o, own)
	}
	if got := twice.Vehicle.Opening("tray").Minutes; got != once.Vehicle.Opening("tray").Minutes ||
		again["open:tray"] != own["open:tray"] {
		t.Errorf("taken twice: %g, %v", got, again)
	}
	if b.v.Opening("tray").Minutes != 10 || twice.Vehicle.Written().Opening("tray").Minutes != 10 {
		t.Error("what the sheet says is lost")
	}
	if p := once.Place("belt"); p.Position != once.Vehicle.Position("belt") {
		t.Error("a place is of another vehicle's position")
	}
}
