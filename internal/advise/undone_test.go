package advise_test

import (
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// with is a report of a demo vehicle with more entries, in their order.
func with(r *advise.Report, entries ...*fleet.Entry) *advise.Report {
	all := slices.Clone(r.State.Record)
	for i, e := range entries {
		c := *e
		c.ID, c.Vehicle = string(rune('a'+i)), r.Vehicle.ID
		if c.Date.IsZero() {
			c.Date = r.On
		}
		all = append(all, &c)
	}
	return advise.Vehicle(r.Catalogue, r.Vehicle, all, r.On)
}

func found(position, check, answer string) *fleet.Entry {
	return &fleet.Entry{Type: fleet.TypeFound, Found: &fleet.Found{Position: position, Check: check, Answer: answer}}
}

func aside(position, why string) *fleet.Entry {
	return &fleet.Entry{Type: fleet.TypeAside, Aside: &fleet.Aside{Position: position, Why: why}}
}

// A deadline that is left is no longer pressing and is told with its reason; it
// comes back with a new finding, ends with the change, and never holds for park
// (the owner's own decision; park: common practice).
func TestADeadlineIsLeftForAReason(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	low := found("brake-fluid", "level", "low")
	due := with(r, low)
	if !pressing(due, "brake-fluid") {
		t.Fatal("a low brake fluid does not press: this test shows nothing")
	}
	left := with(r, low, aside("brake-fluid", "because the workshop has it on Friday."))
	j := left.Judgement("brake-fluid")
	if pressing(left, "brake-fluid") || j.Verdict != fleet.PutRight || len(left.Left()) != 1 {
		t.Errorf("left, it presses %v, with the verdict %s", pressing(left, "brake-fluid"), j.Verdict)
	}
	for what, says := range map[string]string{
		"vehicle": message.Joined(left.Sentences(units.Preferences{}), " ").String(),
		"part":    advise.TodoWords(j, units.Preferences{}).String(),
		"yard":    message.Joined(advise.YardTold([]*advise.Report{left}), " ").String()} {
		if !strings.Contains(says, "the workshop has it on Friday") || strings.Contains(says, "because because") {
			t.Errorf("the %s does not say why it is left: %q", what, says)
		}
	}
	if got := advise.TodoWords(j, units.Preferences{}); !strings.Contains(got.String(),
		"before the next drive, but left as it is") {
		t.Errorf("the deadline itself is no longer told: %q", got)
	}
	for name, more := range map[string]*fleet.Entry{"a newer finding": low,
		"a change": {Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: "brake-fluid"}}} {
		again := with(r, low, aside("brake-fluid", "x"), more)
		if len(again.Left()) != 0 {
			t.Errorf("after %s it is still left", name)
		}
	}
	worse := with(r, found("brake-hoses-front", "pressed", "bulge"), aside("brake-hoses-front", "x"))
	if worse.Judgement("brake-hoses-front").Verdict == fleet.Park {
		if len(worse.Left()) != 0 || strings.Contains(worse.Headline(units.Preferences{}).String(), "left as it is") {
			t.Error("what parks the vehicle is left")
		}
		if _, err := worse.SetAside("brake-hoses-front", "x"); fleet.KindOf(err) != fleet.Conflict {
			t.Errorf("leaving what parks: %v", err)
		}
	} else {
		t.Errorf("a hose that bulges does not park: %s", worse.Judgement("brake-hoses-front").Verdict)
	}
}

func pressing(r *advise.Report, position string) bool {
	return slices.Contains(r.Pressing().Now, r.Judgement(position))
}

// What was opened outlives the evening: with the coolant out the vehicle is not
// started, with the air conditioning's belt off alone it is driven, and closing
// something closes what rests on it.
func TestHalfDoneWorkKeepsTheVehicleWhereItIs(t *testing.T) {
	r := demotest.Reports(t)["dunnock"]
	drained := opening(t, r, machine.CoolantOut)
	entries, err := r.Opened([]string{drained}, false, "the new hose comes tomorrow")
	if err != nil {
		t.Fatal(err)
	}
	half := with(r, entries...)
	use, why := half.Forbidden()
	if use != machine.Running || !slices.Contains(why, machine.CoolantOut) {
		t.Fatalf("with the coolant out it forbids %q: %v", use, why)
	}
	const says = "Not to be started: "
	for what, got := range map[string]message.Text{"headline": half.Headline(units.Preferences{}),
		"tag": half.TagWords()} {
		if !strings.HasPrefix(got.String(), says) || !strings.Contains(got.String(), "coolant out") {
			t.Errorf("%s: %q", what, got)
		}
	}
	if got := advise.YardHeadline([]*advise.Report{half}).String(); !strings.Contains(got,
		"not to be started: coolant out") {
		t.Errorf("yard: %q", got)
	}
	if _, err := half.Opened([]string{drained}, false, ""); fleet.KindOf(err) != fleet.Invalid {
		t.Errorf("what is open is opened again: %v", err)
	}
	var ids []string
	for _, e := range half.State.Open {
		ids = append(ids, e.Opened.Opening)
	}
	shut, err := half.Opened(ids, true, "")
	if err != nil {
		t.Fatal(err)
	}
	whole := with(r, slices.Concat(entries, shut)...)
	if use, _ := whole.Forbidden(); use != "" || len(whole.Open()) != 0 {
		t.Errorf("closed again, it forbids %q", use)
	}
	if len(entries) > 1 { // what the drain needs: closing it closes the drain
		some, err := half.Opened([]string{entries[0].Opened.Opening}, true, "")
		if err != nil || len(some) != len(entries) {
			t.Errorf("closing %s closes %d of %d: %v", entries[0].Opened.Opening, len(some), len(entries), err)
		}
	}
	if _, err := r.Opened([]string{"bonnet-of-another"}, false, ""); fleet.KindOf(err) != fleet.NotFound {
		t.Errorf("an unknown opening: %v", err)
	}
}

// The air conditioning's belt off keeps nothing back, the main belt's does.
func TestOnlyABeltThatIsNeededKeepsItBack(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	for position, want := range map[string]machine.Use{"ac-belt": "", "main-belt": machine.Running} {
		var off string
		for _, id := range r.Vehicle.Position(position).Changed {
			if slices.Contains(r.Vehicle.Opening(id).Leaves, machine.BeltOff) {
				off = id
			}
		}
		half := with(r, &fleet.Entry{Type: fleet.TypeOpened, Opened: &fleet.Opened{Opening: off}})
		if use, why := half.Forbidden(); use != want {
			t.Errorf("%s off forbids %q (%v), want %q", position, use, why, want)
		}
	}
}

func opening(t *testing.T, r *advise.Report, leaves machine.Undone) string {
	for i := range r.Vehicle.Openings {
		if o := &r.Vehicle.Openings[i]; slices.Contains(o.Leaves, leaves) {
			return o.ID
		}
	}
	t.Fatalf("no opening of %s leaves %s", r.Vehicle.ID, leaves)
	return ""
}

// What is open is told as it stands, on the tag and in the record, not as something
// to do again; a sheet that does not say it is told by what was done.
func TestWhatIsOpenIsToldAsItStands(t *testing.T) {
	commands := []string{"Take ", "Drain ", "Raise ", "Support ", "Draw ", "Disconnect ", "Slacken ", "Open ", "Swing ",
		"Lock ", "Let ", "Relieve ", "Cut ", "Clamp ", "Switch "}
	checked := 0
	for _, r := range append(demotest.Unknown(t), demotest.All(t)...) {
		for i := range r.Vehicle.Openings {
			o := &r.Vehicle.Openings[i]
			if o.Undo == "" {
				continue
			}
			half := with(r, &fleet.Entry{Type: fleet.TypeOpened, Opened: &fleet.Opened{Opening: o.ID}})
			said := half.Open()[0].Words().String() + " " + advise.History(half, "")[0].Words.String()
			for _, c := range commands {
				if strings.HasPrefix(said, c) || strings.Contains(said, "open: "+strings.ToLower(c)) {
					t.Errorf("%s, %s: %q", r.Vehicle.ID, o.ID, said)
				}
			}
			if checked++; !strings.Contains(said, o.State+": since ") {
				t.Errorf("%s, %s does not say %q: %q", r.Vehicle.ID, o.ID, o.State, said)
			}
		}
	}
	if checked < 100 {
		t.Errorf("only %d openings are told", checked)
	}
	if o := (&fleet.Opening{Name: "Take the splash guard off"}); o.Stands() != o.Name {
		t.Errorf("an opening without a state: %q", o.Stands())
	}
}

// A look is folded in the record only where it found nothing and nothing is noted.
func TestALookThatFoundNothingIsSound(t *testing.T) {
	r := demotest.Reports(t)["dunnock"]
	noted := found("brake-fluid", "level", "between")
	noted.Found.Note = "dark"
	for what, c := range map[string]struct {
		entry *fleet.Entry
		want  bool
	}{"nothing": {found("brake-fluid", "level", "between"), true}, "low": {found("brake-fluid", "level", "low"), false},
		"a note": {noted, false}, "a sign": {found("water-pump", "weep-hole", "dry-stain"), false},
		"a note alone": {&fleet.Entry{Type: fleet.TypeNote, Note: &fleet.Note{Text: "sound"}}, false}} {
		if got := advise.History(with(r, c.entry), "")[0].Sound; got != c.want {
			t.Errorf("%s: sound %v", what, got)
		}
	}
}
