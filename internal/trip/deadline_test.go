package trip_test

import (
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/calendar"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/trip"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// found is the demo's van with answers found on the day it is asked about.
func found(t *testing.T, answers ...[3]string) *advise.Report {
	t.Helper()
	r := demotest.Reports(t)["heron"]
	entries := slices.Clone(r.State.Record)
	for i, a := range answers {
		entries = append(entries, &fleet.Entry{ID: string(rune('a' + i)), Vehicle: "heron",
			Type: fleet.TypeFound, Date: r.On,
			Found: &fleet.Found{Position: a[0], Check: a[1], Answer: a[2]}})
	}
	return advise.Vehicle(r.Catalogue, r.Vehicle, entries, r.On)
}

// A brake fluid below its mark (common practice) and cracked brake hoses (49 CFR
// 570.55(d): hoses shall not be cracked) are put right before the next drive.
// Vehicle, yard, plan and trip all say so first, and none sends the owner off.
func TestWhatCannotWaitHeadsEveryAnswer(t *testing.T) {
	r := found(t, [3]string{"brake-fluid", "level", "low"}, [3]string{"brake-hoses-front", "cover", "cracks"})
	now := r.Pressing().Now
	if len(now) != 2 {
		for i := range r.Judgements {
			if j := &r.Judgements[i]; j.Verdict == fleet.PutRight {
				t.Logf("%s: %+v", j.Position.ID, j.Todos)
			}
		}
		t.Fatalf("%d parts before the next drive, want the fluid and the hoses", len(now))
	}
	const first = "Before the next drive: "
	if got := r.Headline(units.Preferences{}); !strings.HasPrefix(got.String(), first) ||
		!strings.Contains(message.Of("%s%s", got, r.More(units.Preferences{})).String(), "top up the brake fluid") {
		t.Errorf("vehicle: %q, %q", got, r.More(units.Preferences{}))
	}
	if got := advise.YardHeadline([]*advise.Report{r}); !strings.HasPrefix(got.String(), "Before the next drive, ") {
		t.Errorf("yard: %q", got)
	}
	p, err := plan.Make(t.Context(), r, plan.Options{Months: 6})
	if err != nil {
		t.Fatal(err)
	}
	if got := p.Headline().String(); !strings.HasPrefix(got, first) {
		t.Errorf("plan: %q", got)
	}
	for _, id := range []string{"brake-fluid", "brake-hoses-front"} {
		if !slices.ContainsFunc(p.Visits[0].Tasks, func(task plan.Task) bool {
			return task.Judgement == r.Judgement(id)
		}) || p.Visits[0].Period != 1 {
			t.Errorf("the plan leaves %s to a later visit than the first month's", id)
		}
	}
	out, err := trip.Ask(r, trip.Options{Km: 300})
	if err != nil {
		t.Fatal(err)
	}
	if got := out.Headline(units.Preferences{}).String(); !strings.HasPrefix(got, "Not before you ") {
		t.Errorf("trip: %q", got)
	}
	for _, id := range []string{"brake-fluid", "brake-hoses-front"} {
		if !slices.ContainsFunc(out.Must, func(f trip.Fix) bool { return f.Judgement.Position.ID == id }) {
			t.Errorf("the trip does not ask for %s first", id)
		}
	}
}

// Topping a fluid up renews nothing: it takes nothing off a chance.
func TestOnlyAChangeRenews(t *testing.T) {
	r := found(t, [3]string{"brake-fluid", "level", "low"})
	out, err := trip.Ask(r, trip.Options{Km: 300})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range out.Must {
		if f.Do != fleet.Change && (f.Was != 0 || f.New != 0 || f.Money != 0) {
			t.Errorf("%s: %s is priced and credited as a change", f.Judgement.Position.ID, f.Do)
		}
	}
}

// dueBy reports whether something is to be put right before a day and a distance
// by a deadline of its own or since the next visit falls before that, as its
// judgement has it: written apart from the trip's own rule.
func dueBy(r *advise.Report, out *trip.Trip) string {
	visit := r.Visits[0].When
	before := visit.Reached || !visit.Expected.IsZero() && !visit.Expected.After(out.End)
	for _, j := range r.With(fleet.PutRight) {
		for _, todo := range j.Todos {
			if todo.Left == nil && (todo.Now || before || todo.Until.Passed(out.End, out.To, out.Distanced)) {
				return j.Position.ID
			}
		}
	}
	return ""
}

// On no vehicle, on none of which nothing is known and in no story is a trip sent
// off while something is due before it ends.
func TestNoTripWhileSomethingIsDue(t *testing.T) {
	asked := 0
	for _, r := range reportsOf(t) {
		out, err := trip.Ask(r, trip.Options{Km: 1500})
		if err != nil {
			t.Fatal(err)
		}
		got := out.Headline(units.Preferences{}).String()
		due := dueBy(r, out)
		if due == "" && !slices.ContainsFunc(out.Must, func(f trip.Fix) bool { return f.Due }) {
			continue
		}
		asked++
		if !strings.HasPrefix(got, "Not before ") && !strings.HasPrefix(got, "No.") {
			t.Errorf("%s: %s is due, yet %q", r.Vehicle.ID, due, got)
		}
	}
	if asked < 10 {
		t.Errorf("something is due on %d vehicles only: this test shows little", asked)
	}
}

// What the owner leaves stands with its reason on every answer: yard, vehicle,
// trip, plan, the yard's plan, job, round, card and calendar. What parks a vehicle
// cannot be left, and none of them says it is.
func TestWhatIsLeftIsToldEverywhere(t *testing.T) {
	for _, c := range []struct {
		found [3]string
		told  bool
	}{{[3]string{"brake-fluid", "level", "low"}, true}, {[3]string{"brake-hoses-front", "pressed", "bulge"}, false}} {
		r := found(t, c.found)
		aside := &fleet.Entry{ID: "z", Vehicle: r.Vehicle.ID, Date: r.On, Type: fleet.TypeAside,
			Aside: &fleet.Aside{Position: c.found[0], Why: "the workshop has it on Friday"}}
		r = advise.Vehicle(r.Catalogue, r.Vehicle, append(slices.Clone(r.State.Record), aside), r.On)
		for what, said := range answers(t, r) {
			if got := strings.Contains(said, "the workshop has it on Friday"); got != c.told {
				t.Errorf("%s, %s: left is told: %v: %q", c.found[0], what, got, said)
			}
		}
	}
}

// answers is all that is said of a vehicle, by where it is said.
func answers(t *testing.T, r *advise.Report) map[string]string {
	t.Helper()
	must := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	out, err := trip.Ask(r, trip.Options{Km: 300})
	must(err)
	p, err := plan.Make(t.Context(), r, plan.Options{Steps: 2, Months: 6})
	must(err)
	y, err := plan.MakeYard(t.Context(), []*advise.Report{r},
		plan.YardOptions{Rules: fleet.YardRules{HoursPerMonth: 20}})
	must(err)
	job, err := p.Job(1)
	must(err)
	round, err := visit.NewRound(r, visit.RoundOptions{})
	must(err)
	events := ""
	for _, e := range calendar.OfPlan(p) {
		events += e.Text.String() + " "
	}
	all := func(s []message.Text) string { return message.Joined(s, " ").String() }
	return map[string]string{"vehicle": all(r.Sentences(units.Preferences{})),
		"yard": all(advise.YardTold([]*advise.Report{r})), "trip": all(out.Told(units.Preferences{})),
		"plan": all(p.Told()), "yard's plan": all(y.Told()),
		"job": all(job.Told()), "round": all(round.Told()),
		"card": r.CardView().Left.String(), "calendar": events}
}

// Nothing of unknown history is changed for a trip but what its kind says, and
// what of it can strand is looked at before the start.
func TestWhatIsNotKnownIsLookedAtBeforeATrip(t *testing.T) {
	for _, r := range demotest.Unknown(t) {
		out, err := trip.Ask(r, trip.Options{Km: 1500})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range slices.Concat(out.Must, out.Fixes) {
			if f.Do == fleet.Change && f.Judgement.Kind.IfUnknown == nil {
				t.Errorf("%s: %s is to be changed before the trip", r.Vehicle.About, f.Judgement.Position.ID)
			}
		}
		n := 0
		for _, j := range r.Untold() {
			if j.Strands() {
				n++
				if !slices.Contains(out.First, j) {
					t.Errorf("%s: %s can strand, is not known and not looked at", r.Vehicle.About, j.Position.ID)
				}
			}
		}
		if got := out.Headline(units.Preferences{}).String(); n == 0 || !strings.HasPrefix(got, "Not before you ") {
			t.Errorf("%s: %d to look at, %q", r.Vehicle.About, n, got)
		}
	}
}

// What is on watch and asks for a test, or whose next look falls due by the
// start, comes before the trip and not on the way: a coolant level that keeps
// falling is pressure-tested first (common practice of hose makers' guides).
func TestWhatIsTestedComesBeforeTheTrip(t *testing.T) {
	r := found(t, [3]string{"expansion-tank", "top-ups", "repeated"})
	out, err := trip.Ask(r, trip.Options{Km: 300})
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(out.First, func(j *judge.Judgement) bool { return j.Position.ID == "expansion-tank" })
	if i < 0 || !strings.HasPrefix(out.FirstWords(out.First[i], units.Preferences{}).String(), "test: ") {
		t.Fatalf("the level that keeps falling is not tested first: %v", out.First)
	}
	if slices.ContainsFunc(out.Check, func(c trip.Check) bool { return c.Judgement == out.First[i] }) {
		t.Error("it is left to look at on the way as well")
	}
	if got := out.Headline(units.Preferences{}).String(); got != "Not before you test the expansion tank." {
		t.Errorf("trip: %q", got)
	}
}

// Half-done work ends a trip before it is asked about, and a deadline that the
// owner leaves is told with its reason and no longer asked for first.
func TestATripHeedsHalfDoneWorkAndWhatIsLeft(t *testing.T) {
	r := found(t, [3]string{"brake-fluid", "level", "low"})
	ask := func(e *fleet.Entry) *trip.Trip {
		e.ID, e.Vehicle, e.Date = "z", r.Vehicle.ID, r.On
		out, err := trip.Ask(advise.Vehicle(r.Catalogue, r.Vehicle, append(slices.Clone(r.State.Record), e), r.On),
			trip.Options{Km: 300})
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	var drained string
	for i := range r.Vehicle.Openings {
		if o := &r.Vehicle.Openings[i]; slices.Contains(o.Leaves, machine.CoolantOut) {
			drained = o.ID
		}
	}
	half := ask(&fleet.Entry{Type: fleet.TypeOpened, Opened: &fleet.Opened{Opening: drained}})
	got := half.Headline(units.Preferences{}).String()
	if !strings.HasPrefix(got, "No. Not to be started: coolant out") {
		t.Errorf("half done: %q", got)
	}
	left := ask(&fleet.Entry{Type: fleet.TypeAside,
		Aside: &fleet.Aside{Position: "brake-fluid", Why: "the workshop has it on Friday"}})
	got = strings.Join(told.InEnglish(left.Told(units.Preferences{})), " ")
	if strings.Contains(got, "top up") ||
		!strings.Contains(got, "You left as it is: brake fluid (the workshop has it on Friday)") {
		t.Errorf("left: %q", got)
	}
	if slices.ContainsFunc(left.Must, func(f trip.Fix) bool { return f.Judgement.Position.ID == "brake-fluid" }) {
		t.Error("what is left is asked for first all the same")
	}
}

// A part to be changed within 300 km (found with no reading beside it) is due on a trip of 400
// made in a day, and not on one of 100.
func TestADeadlineByDistanceEndsOnTheWay(t *testing.T) {
	r := found(t, [3]string{"water-pump", "weep-hole", "damp"})
	j := r.Judgement("water-pump")
	if len(j.Todos) == 0 || j.Todos[0].By.Distance == nil || j.Todos[0].Now {
		t.Fatalf("to do %+v, want a change within a distance", j.Todos)
	}
	for km, want := range map[float64]bool{100: false, 400: true} {
		out, err := trip.Ask(r, trip.Options{Km: km, Days: 1})
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(out.Must, func(f trip.Fix) bool { return f.Judgement == j })
		if due := i >= 0 && out.Must[i].Due; due != want {
			t.Errorf("%g km: due %v, want %v", km, due, want)
		}
	}
}
