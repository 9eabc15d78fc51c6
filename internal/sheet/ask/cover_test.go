package ask_test

import (
	"crypto/sha256"
	"encoding/json"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/sheet/ask/asktest"
)

// Every engine that can be answered, with what it turns turned in each way, makes a sheet without mistakes or
// warnings. With UNDERTRAY_SOAK these are all combinations of answers about the engine and what it turns in eight
// ways, and all of those with answers about its oil besides, the rest as usual; else forty engines chosen by seed.
//
// A sheet is read where an item on it (an opening, a position, a run, the head) meets what none met before. So of a
// sheet that is left out each item was read, with the same text and the same of all that a check of it looks at; of
// some of them, chosen by seed, this is looked up. It is enough, since checks look across items in these ways alone,
// all of which Meetings counts:
//   - an id is used once: whether there is another item that may have the same;
//   - needs, seen and changed name openings that there are, none needs itself in a circle, none on the ground needs one
//     that raises, one seen from below needs one that raises, brakes are bled in the air: all openings that it may
//     need, in turn, and which conditions written in them hold;
//   - each opening is needed by something: package ask leaves out the others, so its text comes with what needs it; of
//     an opening with figures in braces, what may need it;
//   - neighbours name positions that there are: package ask leaves out the others;
//   - a run's belt and pulleys name positions that there are, the belt's of a belt's kind: these positions;
//   - distance or hours are counted: the head's own answers, as no item of package ask counts either.
//
// All other checks, of package sheet and of sound, look at one item. Its text hangs on which conditions in it hold, on
// answers behind figures in braces, on how the engine lies, and where it is of a belt, on all belts and what they are
// called. Headings and comments are words no check reads. Limits of a whole sheet, its size and how many items it has,
// are far off on the largest. Answers that no condition, figure or line about the vehicle tells apart are one.
func TestEveryEngineWithEveryBelt(t *testing.T) {
	cat, m, n := known(t), ask.NewMeetings(), 0
	var found, largest atomic.Int64
	var read sync.Map
	fresh, readers := make(chan ask.Answers, 64), sync.WaitGroup{}
	for range runtime.GOMAXPROCS(0) {
		readers.Go(func() {
			for a := range fresh {
				found.Add(1)
				if v := faultless(t, cat, a); v != nil {
					sound(t, v)
					for _, text := range itemsOf(t, v) {
						read.Store(sha256.Sum256([]byte(text)), true)
					}
					for size := int64(max(len(v.Openings), len(v.Positions))); ; {
						if old := largest.Load(); old >= size || largest.CompareAndSwap(old, size) {
							break
						}
					}
				}
			}
		})
	}
	var left []ask.Answers
	some, pick := 1, rand.New(rand.NewPCG(16, 4))
	try := func(r *ask.Resolved) {
		if n++; m.New(r) {
			fresh <- r.Said()
		} else if pick.IntN(some) == 0 {
			left = append(left, r.Said())
		}
	}
	if os.Getenv("UNDERTRAY_SOAK") == "1" {
		some = 1000
		asktest.Engines(try)
	} else {
		asktest.SomeEngines(pick, 40, try)
	}
	close(fresh)
	readers.Wait()
	for _, a := range left {
		if v := faultless(t, cat, a); v != nil {
			for _, text := range itemsOf(t, v) {
				if _, ok := read.Load(sha256.Sum256([]byte(text))); !ok {
					t.Errorf("%v, %v: left out, and never read was %s", a.Say, a.Belts, text)
				}
			}
		}
	}
	if n < 100 || len(left) < 5 || found.Load() < 20 {
		t.Errorf("only %d of %d sheets read", found.Load(), n)
	}
	if largest.Load() > 250 {
		t.Errorf("a sheet has %d openings or positions: 500 are read", largest.Load())
	}
	t.Logf("%d of %d sheets read, on which %d items meet something new; the largest has %d openings or positions; "+
		"of the others %d hold nothing else", found.Load(), n, m.Met(), largest.Load(), len(left))
}

// itemsOf are the openings, positions and runs of a vehicle as they are read, each with all that it needs.
func itemsOf(t *testing.T, v *fleet.Vehicle) (out []string) {
	t.Helper()
	add := func(needs []string, items ...any) {
		for _, id := range v.Closure(needs) {
			items = append(items, v.Opening(id).Needs, v.Opening(id).Raises, v.Opening(id).OnGround)
		}
		text, err := json.Marshal(items)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, string(text))
	}
	for i := range v.Openings {
		add(v.Openings[i].Needs, &v.Openings[i])
	}
	for i := range v.Positions {
		p := v.Positions[i]
		p.Neighbours = nil
		add(slices.Concat(p.Seen, p.Changed), &p)
	}
	for i := range v.Runs {
		add(nil, &v.Runs[i])
	}
	add(nil, v.Engine, v.Counts, v.OilChange, v.Yearly)
	return out
}
