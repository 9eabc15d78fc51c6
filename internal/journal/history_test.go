package journal_test

import (
	"bytes"
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
)

// device records facts with a clock of its own, and merges with others.
type device struct {
	store *journal.Memory
	clock float64 // seconds it is behind
}

// TestRandomHistories lets three devices record facts and corrections, merge in
// any order with copies and drops, and in the end all merge: all then hold the
// same, and it is what a plain model says.
func TestRandomHistories(t *testing.T) {
	t.Parallel()
	for seed := range tenth(10000) {
		random := rand.New(rand.NewPCG(uint64(seed), 7))
		devices, all := history(t, random)
		settle(t, devices)
		for i, d := range devices {
			entries, err := d.store.Entries(t.Context(), journal.Filter{})
			if err != nil {
				t.Fatal(err)
			}
			if len(entries) != len(all) {
				t.Fatalf("history %d: device %d holds %d entries of %d", seed, i, len(entries), len(all))
			}
			if got, want := stateOf(entries), modelOf(all); got != want {
				t.Fatalf("history %d, device %d:\n%s\nthe model says\n%s", seed, i, got, want)
			}
			if head, _ := d.store.Head(t.Context()); i > 0 {
				if first, _ := devices[0].store.Head(t.Context()); head != first {
					t.Fatalf("history %d: heads %v and %v", seed, first, head)
				}
			}
		}
	}
}

// history returns the devices after it, and every fact there was.
func history(t *testing.T, random *rand.Rand) ([]*device, []*fleet.Entry) {
	devices := []*device{{journal.NewMemory(), 0}, {journal.NewMemory(), -3600}, {journal.NewMemory(), 300.5}}
	var all []*fleet.Entry
	now := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	for range 3 + random.IntN(9) {
		now = now.Add(time.Duration(random.IntN(7200)) * time.Second)
		d := devices[random.IntN(3)]
		if random.IntN(4) == 0 {
			merge(t, random, devices[random.IntN(3)], d)
			continue
		}
		known, err := d.store.Entries(t.Context(), journal.Filter{})
		if err != nil {
			t.Fatal(err)
		}
		e := fact(random, len(all), known)
		e.Recorded, e.Clock = now.Add(-time.Duration(d.clock*1e9)), d.clock
		e.Format = fleet.FormatOf(e)
		if _, err := d.store.Append(t.Context(), []*fleet.Entry{e}); err != nil {
			t.Fatal(err)
		}
		all = append(all, e)
	}
	return devices, all
}

// fact draws a finding or a correction of something the device knows. Its id
// tells nothing of when it was typed.
func fact(random *rand.Rand, n int, known []*fleet.Entry) *fleet.Entry {
	finding := func() *fleet.Entry {
		e := journaltest.Note(n, "heron")
		e.ID = journaltest.ID(random.IntN(1<<20)<<8 | n)
		e.Date = civil.MustParse("2026-03-12").AddDays(random.IntN(3))
		e.Type, e.Note = fleet.TypeFound, nil
		e.Found = &fleet.Found{Position: "belt", Check: "cracks",
			Answer: []string{"none", "few", "many"}[random.IntN(3)]}
		return e
	}
	e := finding()
	if len(known) == 0 || random.IntN(3) > 0 {
		return e
	}
	of := known[random.IntN(len(known))].ID
	e.Type, e.Found = fleet.TypeCorrection, nil
	e.Correction = &fleet.Correction{Of: of, Withdraw: true}
	if random.IntN(2) == 0 {
		instead := finding()
		instead.ID, instead.Vehicle, instead.Recorded = "", "", time.Time{}
		e.Correction = &fleet.Correction{Of: of, Instead: instead}
	}
	return e
}

// merge brings what one device holds to another: all of it or the part that got
// through, some of it twice, in any order.
func merge(t *testing.T, random *rand.Rand, from, to *device) {
	lines := linesOf(t, from)
	var sent []string
	for _, line := range lines {
		switch random.IntN(4) {
		case 0: // dropped
		case 1:
			sent = append(sent, line, line)
		default:
			sent = append(sent, line)
		}
	}
	random.Shuffle(len(sent), func(i, j int) { sent[i], sent[j] = sent[j], sent[i] })
	take(t, to, sent)
}

// settle brings everything everywhere.
func settle(t *testing.T, devices []*device) {
	var all []string
	for _, d := range devices {
		all = append(all, linesOf(t, d)...)
	}
	for _, d := range devices {
		take(t, d, all)
	}
}

func linesOf(t *testing.T, d *device) []string {
	var out bytes.Buffer
	if _, err := journal.Export(t.Context(), d.store, &out, journal.ExportOptions{}); err != nil {
		t.Fatal(err)
	}
	return slices.Collect(strings.Lines(out.String()))
}

func take(t *testing.T, d *device, lines []string) {
	if _, err := journal.Import(t.Context(), d.store, "other device", strings.NewReader(strings.Join(lines, "")),
		journal.ImportOptions{}); err != nil {
		t.Fatal(err)
	}
}

// stateOf is what the program makes of entries.
func stateOf(entries []*fleet.Entry) string {
	v := &fleet.Vehicle{ID: "heron", Positions: []fleet.Position{{ID: "belt"}}}
	s := fleet.Fold(v, entries, civil.MustParse("2026-04-01"))
	var b strings.Builder
	for _, e := range s.Record {
		fmt.Fprintln(&b, e.ID, e.Date, e.Found.Answer)
	}
	latest := ""
	for f := s.Places["belt"].Latest["cracks"]; f != nil; f = f.Before {
		latest += " " + f.Answer
	}
	return b.String() + "latest" + latest
}

// modelOf is the same by the plainest means: every entry is looked for again
// each time.
func modelOf(all []*fleet.Entry) string {
	at := func(e *fleet.Entry) time.Time { return e.Recorded.Add(time.Duration(e.Clock * 1e9)) }
	later := func(a, b *fleet.Entry) bool {
		return at(a).After(at(b)) || at(a).Equal(at(b)) && a.ID > b.ID
	}
	// holds: no later correction of this correction holds itself.
	var holds func(fix *fleet.Entry) bool
	holds = func(fix *fleet.Entry) bool {
		return !slices.ContainsFunc(all, func(o *fleet.Entry) bool {
			return o.Correction != nil && o.Correction.Of == fix.ID && later(o, fix) && holds(o)
		})
	}
	type line struct {
		id, answer string
		date       civil.Date
		at         time.Time
	}
	var lines []line
	for _, e := range all {
		if e.Correction != nil {
			continue
		}
		var last *fleet.Entry
		for _, o := range all {
			if o.Correction != nil && o.Correction.Of == e.ID && holds(o) && (last == nil || later(o, last)) {
				last = o
			}
		}
		switch {
		case last == nil:
			lines = append(lines, line{e.ID, e.Found.Answer, e.Date, at(e)})
		case last.Correction.Instead != nil:
			lines = append(lines, line{e.ID, last.Correction.Instead.Found.Answer, last.Correction.Instead.Date, at(e)})
		}
	}
	slices.SortFunc(lines, func(a, b line) int {
		return cmp.Or(a.date.Compare(b.date), a.at.Compare(b.at), cmp.Compare(a.id, b.id))
	})
	var b strings.Builder
	for _, l := range lines {
		fmt.Fprintln(&b, l.id, l.date, l.answer)
	}
	latest := ""
	for i := len(lines) - 1; i >= 0 && lines[i].date == lines[len(lines)-1].date; i-- {
		latest += " " + lines[i].answer
	}
	return b.String() + "latest" + latest
}
