package finish_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/visit/finish"
	"undertray.example/undertray/units"
)

// bench is a vehicle whose sheet is worked through: entries are folded as they land.
type bench struct {
	t *testing.T
	r *advise.Report
	n int
}

func (b *bench) id() string {
	b.n++
	return fmt.Sprintf("019ffff0-0000-7000-8000-%012d", b.n)
}

func (b *bench) keep(batch string, entries []*fleet.Entry) {
	record := slices.Clone(b.r.State.Record)
	for _, e := range entries {
		if e.ID == "" {
			e.ID = b.id()
		}
		e.Vehicle, e.Batch = b.r.Vehicle.ID, batch
		record = append(record, e)
	}
	b.r = b.r.WithRecord(b.r.Vehicle, record, b.r.On)
}

// work ticks every step of a sheet for some parts, but for those named and what
// cannot be done without them.
func (b *bench) work(parts []string, but ...string) {
	b.t.Helper()
	job, err := visit.NewJob(b.r, visit.JobOptions{Positions: parts, Alone: true})
	for err == nil {
		var entries []*fleet.Entry
		i := slices.IndexFunc(job.Steps, func(s visit.Step) bool { return !s.Done && !slices.Contains(but, s.Keys[0]) })
		if i < 0 {
			return
		}
		entries, err = job.Tick(b.r, job.Steps[i].Keys, visit.PassBefore, b.id)
		if len(but) > 0 && fleet.KindOf(err) == fleet.Conflict {
			but, err = append(but, job.Steps[i].Keys[0]), nil
			continue
		}
		if err == nil {
			b.keep("", entries)
			job, err = visit.InHand(b.r)
		}
	}
	b.t.Fatal(err)
}

func (b *bench) form() *finish.Form {
	b.t.Helper()
	f, err := finish.Of(b.r)
	if err != nil {
		b.t.Fatal(err)
	}
	return f
}

const batch = "019ffff1-0000-7000-8000-000000000001"

// A sheet whose every step is ticked is in hand until what it changed is written
// down; accepted as it is filled in, the parts are new, what pressed is gone, and
// the chance of being stranded is no higher.
func TestASheetIsFinished(t *testing.T) {
	b := &bench{t: t, r: demotest.Reports(t)["heron"]}
	parts := []string{"main-belt", "top-hose", "water-pump"}
	b.work(parts)
	f := b.form()
	if len(f.Missing) > 0 || len(f.Changed) != len(parts) {
		t.Fatalf("%d steps are missing, %d parts changed", len(f.Missing), len(f.Changed))
	}
	for i := range f.Changed {
		c := &f.Changed[i]
		sheet := c.Judgement.Position.Part
		if c.Part.Name == "" || sheet.Number != "" && c.Part.Number != sheet.Number ||
			sheet.Cost != nil && (c.Part.Cost == nil || c.Part.Cost.String() != sheet.Cost.String()) {
			t.Errorf("%s is filled in as %+v, the sheet has %+v", c.Judgement.Position.ID, c.Part, sheet)
		}
	}
	told := f.Accepted(nil)
	odometer := units.Must(b.r.Total+100, "km")
	told.Date, told.Odometer = b.r.On, &odometer
	i := slices.IndexFunc(told.Parts, func(p finish.Part) bool { return p.Position == "main-belt" })
	told.Parts[i].Hand = []record.TypedFinding{{Position: "main-belt", Check: "cracks", Answer: "4 per 75 mm"}}
	entries, err := f.Entries(told, batch)
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) != 1+3+1+len(told.Righted)+1 {
		t.Errorf("%d entries: reading, three parts, one answer in the hand, the end; %d put right", len(entries),
			len(told.Righted))
	}
	again, err := f.Entries(told, batch)
	if err != nil {
		t.Fatal(err)
	}
	for i := range entries {
		one, err1 := fleet.Content(sent(entries[i]))
		two, err2 := fleet.Content(sent(again[i]))
		if err1 != nil || err2 != nil || string(one) != string(two) {
			t.Errorf("sent twice, one form says two things: %s, %s, %v %v", one, two, err1, err2)
		}
	}
	b.keep(batch, entries)
	if _, err := finish.Of(b.r); fleet.KindOf(err) != fleet.NotFound {
		t.Errorf("the sheet is over: %v", err)
	}
	for _, id := range parts {
		place := b.r.State.Place(id)
		if place.Fitted.From.Date != b.r.On || len(place.Past) == 0 || b.r.Judgement(id).Verdict >= fleet.Watch {
			t.Errorf("%s is not new: %+v", id, place.Fitted)
		}
	}
	belt := b.r.State.Place("main-belt")
	if hand := belt.InHand(belt.Past[len(belt.Past)-1]); len(hand) != 1 {
		t.Errorf("%d answers on the old belt", len(hand))
	}
	c := finish.ChangesOf(b.r, batch)
	if !c.Chance || c.After > c.Before || c.Before == 0 {
		t.Errorf("the chance of being stranded goes from %g to %g", c.Before, c.After)
	}
	for _, j := range c.Gone {
		if !slices.Contains(parts, j.Position.ID) {
			t.Errorf("the deadline of %s is gone", j.Position.ID)
		}
	}
}

// sent is an entry as it is sent.
func sent(e *fleet.Entry) *fleet.Entry {
	out := *e
	out.Vehicle = "heron"
	return &out
}

// Before its last tick a sheet is finished too: what is not ticked is named, its part
// is not accepted by itself, and one that was left out stays as it was. What the
// sheet does not change is refused with all the rest.
func TestASheetIsFinishedEarly(t *testing.T) {
	b := &bench{t: t, r: demotest.Reports(t)["heron"]}
	b.work([]string{"main-belt", "top-hose"}, "change:top-hose", "close:coolant-drained")
	f := b.form()
	if !strings.Contains(f.MissingWords().String(), "change the top hose") {
		t.Errorf("missing: %q", f.MissingWords())
	}
	told := f.Accepted(nil)
	told.Date = b.r.On
	if len(told.Parts) != 1 || told.Parts[0].Position != "main-belt" {
		t.Fatalf("accepted: %+v", told.Parts)
	}
	for _, at := range []string{"battery", "nowhere"} {
		bad := told
		bad.Parts = append(slices.Clone(told.Parts), finish.Part{Position: at})
		if _, err := f.Entries(bad, batch); fleet.KindOf(err) != fleet.NotFound {
			t.Errorf("%s: %v", at, err)
		}
	}
	right := finish.Told{Date: b.r.On, Righted: []string{"battery"}}
	if _, err := f.Entries(right, batch); fleet.KindOf(err) != fleet.NotFound {
		t.Errorf("put right nowhere: %v", err)
	}
	hose := b.r.State.Place("top-hose").Fitted
	entries, err := f.Entries(told, batch)
	if err != nil {
		t.Fatal(err)
	}
	b.keep(batch, entries)
	if b.r.State.Place("top-hose").Fitted.Entry != hose.Entry {
		t.Error("the hose is new, and was not changed")
	}
}

// What was written down since the sheet was begun is not asked again.
func TestWhatIsWrittenDownIsNotAsked(t *testing.T) {
	b := &bench{t: t, r: demotest.Reports(t)["heron"]}
	b.work([]string{"main-belt", "top-hose"})
	b.keep("", []*fleet.Entry{{Type: fleet.TypeFitted, Date: b.r.On, Fitted: &fleet.Fitted{Position: "main-belt"}}})
	f := b.form()
	if len(f.Changed) != 1 || f.Changed[0].Judgement.Position.ID != "top-hose" {
		t.Errorf("asked: %+v", f.Changed)
	}
	var p finish.Part
	for field, bad := range map[string]string{"cost": "much", "colour": "red"} {
		if err := p.Set(field, bad, "EUR"); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%s %s: %v", field, bad, err)
		}
	}
	if err := p.Set("cost", "38.50", "EUR"); err != nil || p.Spec.Cost.String() != "38.50 EUR" {
		t.Errorf("cost: %v %v", p.Spec.Cost, err)
	}
}

// What was bought fills the form in: number, shop and price, that of a set at its first
// part alone.
func TestWhatWasBoughtFillsTheFormIn(t *testing.T) {
	b := &bench{t: t, r: demotest.Reports(t)["heron"]}
	cost := units.Must(41.2, "EUR")
	b.keep("", []*fleet.Entry{{Type: fleet.TypeBought, Date: b.r.On,
		Bought: &fleet.Bought{Positions: []string{"main-belt", "top-hose"}, Number: "S-7", Supplier: "in town",
			Cost: &cost}}})
	b.work([]string{"main-belt", "top-hose"})
	for _, c := range b.form().Changed {
		price := "none"
		if c.Part.Cost != nil {
			price = c.Part.Cost.String()
		}
		want := map[string]string{"main-belt": "41.20 EUR", "top-hose": "none"}[c.Judgement.Position.ID]
		if c.From != finish.AsBought || c.Part.Number != "S-7" || c.Part.Supplier != "in town" || price != want ||
			!strings.Contains(c.FromWords().String(), "for 41.20 EUR, S-7, in town") {
			t.Errorf("%s is filled in as %+v at %s: %s", c.Judgement.Position.ID, c.Part, price, c.FromWords())
		}
	}
}

// Two forms for one sheet, filled in on two devices, share a batch; what they both say has
// the same id, what contradicts has too, and after the batch was taken back another comes.
func TestFormsForOneSheetShareABatch(t *testing.T) {
	b := &bench{t: t, r: demotest.Reports(t)["heron"]}
	b.work([]string{"main-belt", "top-hose"})
	f, none := b.form(), func(string) bool { return false }
	batch := f.Batch(none)
	if !fleet.IsID(batch) || batch != b.form().Batch(none) ||
		f.Batch(func(s string) bool { return s == batch }) == batch {
		t.Fatalf("the batch is %q", batch)
	}
	told := f.Accepted(nil)
	told.Date = b.r.On
	one, err := f.Entries(told, batch)
	if err != nil {
		t.Fatal(err)
	}
	b.keep(batch, one)
	before, err := finish.Before(b.r, one)
	if err != nil || len(before.Changed) != len(f.Changed) {
		t.Fatalf("as it was before: %+v, %v", before, err)
	}
	told.Parts[0].Spec.Number = "other"
	two, err := before.Entries(told, batch)
	if err != nil || len(two) != len(one) {
		t.Fatal(err)
	}
	for i := range one {
		x, err1 := fleet.Content(sent(one[i]))
		y, err2 := fleet.Content(sent(two[i]))
		if one[i].Fitted != nil && one[i].ID != two[i].ID || err1 != nil || err2 != nil ||
			(string(x) == string(y)) != (i > 0) {
			t.Errorf("entry %d: %s, %s", i, x, y)
		}
	}
}
