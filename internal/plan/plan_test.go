package plan_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/along"
	"undertray.example/undertray/internal/plan/moves"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// made keeps the plans that tests have asked for.
var made = map[string]*plan.Plan{}

// planned makes a plan of a demo vehicle, once for each set of rules.
func planned(t *testing.T, vehicle string, opt plan.Options) *plan.Plan {
	t.Helper()
	key := fmt.Sprintf("%s %+v", vehicle, opt)
	if made[key] == nil {
		p, err := plan.Make(t.Context(), demotest.Reports(t)[vehicle], opt)
		if err != nil {
			t.Fatalf("%s: %v", vehicle, err)
		}
		made[key] = p
	}
	return made[key]
}

// plansOf makes plans of the demo vehicles under several rules.
func plansOf(t *testing.T, opts ...plan.Options) map[string]*plan.Plan {
	t.Helper()
	out := map[string]*plan.Plan{}
	for id := range demotest.Reports(t) {
		for i, opt := range opts {
			out[id+" "+string(rune('a'+i))] = planned(t, id, opt)
		}
	}
	return out
}

var someRules = []plan.Options{{}, {Months: 12, Hours: 6},
	{Months: 12, Skip: []time.Month{time.April, time.May}, Stance: fleet.FollowVehicleMaker}}

// The checker of package schedule works a plan out from the problem alone.
func TestPlansPassTheChecker(t *testing.T) {
	for id, p := range plansOf(t, someRules...) {
		if err := p.Verify(); err != nil {
			t.Errorf("%s: %v", id, err)
		}
		if p.Bound > p.Score+1e-6 {
			t.Errorf("%s: the bound %.2f is above the cost %.2f", id, p.Bound, p.Score)
		}
	}
}

// Whatever a visit does can be reached by what it opens, and whatever is opened
// comes after what it needs.
func TestVisitsOpenWhatTheirTasksNeed(t *testing.T) {
	for id, p := range plansOf(t, someRules...) {
		for _, v := range p.Visits {
			open := map[string]bool{}
			for _, o := range v.Openings {
				open[o.ID] = true
			}
			for _, o := range v.Openings {
				for _, need := range p.Vehicle.Closure(o.Needs) {
					if !open[need] {
						t.Errorf("%s visit %d: %s needs %s, which stays shut", id, v.N, o.ID, need)
					}
				}
			}
			for _, task := range v.Tasks {
				if task.Do != fleet.DoReplace {
					continue
				}
				for _, need := range p.Vehicle.Closure(slices.Concat(task.Positions[0].Seen,
					task.Positions[0].Changed)) {
					if !open[need] {
						t.Errorf("%s visit %d: %s needs %s, which stays shut", id, v.N, task.Positions[0].ID, need)
					}
				}
			}
			for _, pos := range v.Further {
				for _, need := range p.Vehicle.Closure(pos.Seen) {
					if !open[need] {
						t.Errorf("%s visit %d: looking at %s needs %s, which stays shut", id, v.N, pos.ID, need)
					}
				}
			}
		}
	}
}

// What is due goes to a visit no later than the next oil change, nothing is
// done twice within a third of its life, and no visit falls in a month left
// out.
func TestPlansHoldNothingSilly(t *testing.T) {
	reports := demotest.Reports(t)
	for id, r := range reports {
		p := planned(t, id, plan.Options{Skip: []time.Month{time.January}})
		days := map[string][]int{}
		for _, v := range p.Visits {
			if v.Date.Month == time.January {
				t.Errorf("%s: a visit on %s, in a month left out", id, v.Date)
			}
			if !v.Round && len(v.Tasks) == 0 {
				t.Errorf("%s: a visit on %s for nothing", id, v.Date)
			}
			for _, task := range v.Tasks {
				if task.Do == fleet.DoReplace {
					days[task.Positions[0].ID] = append(days[task.Positions[0].ID], v.Date.Days())
				}
				if task.Reason.Cause.Code == "" && task.Reason.Stand.Code == "" {
					t.Errorf("%s: %s stands without a reason", id, task.Title())
				}
			}
		}
		for pos, d := range days {
			for i := 1; i < len(d); i++ {
				if d[i]-d[i-1] < 100 {
					t.Errorf("%s: %s is changed twice within %d days", id, pos, d[i]-d[i-1])
				}
			}
		}
		for _, j := range r.Urgent() {
			if j.Verdict < fleet.PutRight || j.Position.LookOnly {
				continue
			}
			d := days[j.Position.ID]
			if len(d) == 0 || d[0] > r.Visits[0].When.Expected.Days()+31 && d[0] > p.Visits[0].Date.Days() {
				t.Errorf("%s: %s says %s and is not changed at the next visit", id, j.Position.ID, j.Verdict)
			}
		}
	}
}

// Every oil change comes with a round, and rounds are not listed part by part.
// The first of January 2028 is a Saturday (a fact of the calendar); the visit of
// that month waits a week.
func TestNoVisitOnNewYearsDay(t *testing.T) {
	p := planned(t, "heron", plan.Options{Wishes: []fleet.Wish{{Month: fleet.Month{Year: 2028, Month: time.January}}}})
	found := false
	for _, v := range p.Visits {
		if v.Date.Year == 2028 && v.Date.Month == time.January {
			found = true
			if v.Date.Day != 8 {
				t.Errorf("the visit of January 2028 is on %s", v.Date)
			}
		}
	}
	if !found {
		t.Error("no visit in January 2028, which the owner settled")
	}
}

func TestRoundsBelongToOilChanges(t *testing.T) {
	for id, p := range plansOf(t, plan.Options{}) {
		oil := 0
		for _, v := range p.Visits {
			if v.OilChange != v.Round {
				t.Errorf("%s visit %d: oil change %v, round %v", id, v.N, v.OilChange, v.Round)
			}
			if v.OilChange {
				oil++
			}
		}
		if oil < 2 {
			t.Errorf("%s: %d oil changes in two years", id, oil)
		}
	}
}

// A plan that may work longer costs no more than what was proven to be needed
// with less time, and the proven plan of the looser rule no more than that of
// the tighter.
func TestMoreHoursAreNeverDearer(t *testing.T) {
	for id := range demotest.Reports(t) {
		tight, loose := planned(t, id, plan.Options{}), planned(t, id, plan.Options{Hours: 24})
		if loose.Bound > tight.Score+1e-6 {
			t.Errorf("%s: with 24 hours at least %.2f, with a weekend's %.2f", id, loose.Bound, tight.Score)
		}
		if loose.Score > tight.Score*1.001 {
			t.Errorf("%s: the plan with 24 hours costs %.2f, with a weekend's %.2f", id, loose.Score, tight.Score)
		}
	}
}

func TestPlanIsTheSameEveryTime(t *testing.T) {
	a := planned(t, "dunnock", plan.Options{})
	b, err := plan.Make(t.Context(), demotest.Reports(t)["dunnock"], plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	one, errA := json.Marshal(a.View(units.Preferences{}))
	two, errB := json.Marshal(b.View(units.Preferences{}))
	if errA != nil || errB != nil || string(one) != string(two) {
		t.Errorf("two plans of the same day differ (%v, %v):\n%s\n%s", errA, errB, one, two)
	}
}

// given returns what gives of one kind, or nil.
func given(gives []why.Give, code why.Code) *why.Give {
	i := slices.IndexFunc(gives, func(g why.Give) bool { return g.Code == code })
	if i < 0 {
		return nil
	}
	return &gives[i]
}

// Demands that cannot be met are answered with what gives.
func TestImpossibleDemandsSayWhatGives(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	short, err := plan.Make(t.Context(), r, plan.Options{Hours: 1})
	if err != nil {
		t.Fatal(err)
	}
	if g := given(short.Gives, why.GiveHours); g == nil || g.Limit != 1 || g.Needs <= 1 || len(g.Tasks) == 0 {
		t.Errorf("one hour a visit: %+v", short.Gives)
	}
	little := units.MustParse("20 EUR")
	poor, err := plan.Make(t.Context(), r, plan.Options{Months: 12, Money: &little})
	if err != nil {
		t.Fatal(err)
	}
	if g := given(poor.Gives, why.GiveMoney); g == nil || g.Limit != 20 || g.Currency != "EUR" || g.Needs <= 20 {
		t.Errorf("20 EUR a month: %+v", poor.Gives)
	}
	for _, opt := range []plan.Options{{Months: 99}, {Hours: -1}, {Hours: 30}, {Skip: everyMonth()}} {
		if _, err := plan.Make(t.Context(), r, opt); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%+v: %v", opt, err)
		}
	}
}

// A short plan that leaves what is due to a visit after it says so, and does not
// blame a lack of room that there is not; where there is, it still does.
func TestAShortPlanSaysWhatWaits(t *testing.T) {
	for _, opt := range []plan.Options{{Months: 1}, {Months: 1, Hours: 24}, {Months: 6}} {
		p := planned(t, "heron", opt)
		if given(p.Gives, why.GiveUndone) != nil || given(p.Gives, why.GiveWaits) == nil {
			t.Errorf("%+v: %q", opt, p.GivesWords())
		}
		v := p.View(units.Preferences{})
		if len(v.Waits) == 0 || strings.Contains(v.Headline.String(), "No visit is needed") {
			t.Errorf("%+v: %q, waits %q", opt, v.Headline, v.Waits)
		}
	}
	if p := planned(t, "heron", plan.Options{Months: 1}); !slices.Contains(p.View(units.Preferences{}).Waits,
		"main-belt") ||
		!strings.Contains(p.Headline().String(), "main drive belt") {
		t.Errorf("the belt due now is not named: %q", p.Headline())
	}
	if short := planned(t, "heron", plan.Options{Months: 24, Hours: 3}); given(short.Gives, why.GiveUndone) == nil {
		t.Errorf("three hours a visit: %q", short.GivesWords())
	}
	y, err := plan.MakeYard(t.Context(), demotest.All(t), plan.YardOptions{Options: plan.Options{Months: 1}})
	if err != nil || strings.Contains(y.Headline().String(), "needs a visit") ||
		!strings.Contains(y.Headline().String(), "Heron") {
		t.Errorf("the yard's plan of a month: %q, %v", y.Headline().String(), err)
	}
}

func everyMonth() []time.Month {
	var out []time.Month
	for m := time.January; m <= time.December; m++ {
		out = append(out, m)
	}
	return out
}

// While the belt is off, what turns on it is worth changing, and no offer is
// out of order.
func TestAlsoOffersWhatIsOpen(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	also, err := along.WhileOpen(r, []string{"main-belt"}, r.On, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(also.Worth(), func(o along.Offer) bool {
		return o.Judgement.Position.ID == "idler-lower"
	}) {
		t.Errorf("the idlers are not offered: %s", also.Headline())
	}
	for i := 1; i < len(also.Offers); i++ {
		if also.Offers[i].Net < also.Offers[i-1].Net {
			t.Errorf("offer %d is cheaper than the one before it", i+1)
		}
	}
	if _, err := along.WhileOpen(r, []string{"main-belt"}, r.On.AddDays(-1),
		plan.Options{}); fleet.KindOf(err) != fleet.Invalid {
		t.Errorf("a past day: %v", err)
	}
}

// What was done since an earlier day is said to be done, with its entry.
func TestPlanSinceKnowsWhatWasDone(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	changes, err := moves.Since(t.Context(), r, r.On.AddMonths(-2), plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(changes, func(c moves.Change) bool { return c.Position.ID == "engine-oil" })
	if i < 0 || changes[i].DoneOn.String() != "2026-10-24" || len(changes[i].Entries) == 0 {
		t.Fatalf("the oil change of October is not named: %+v", changes)
	}
	if _, err := moves.Since(t.Context(), r, r.On, plan.Options{}); fleet.KindOf(err) != fleet.Invalid {
		t.Errorf("the same day: %v", err)
	}
}

// A visit of the plan becomes a job sheet that changes exactly what the visit
// does.
func TestVisitBecomesJob(t *testing.T) {
	p := planned(t, "heron", plan.Options{})
	job, err := p.Job(1)
	if err != nil {
		t.Fatal(err)
	}
	var want, got []string
	for _, task := range p.Visits[0].Tasks {
		if task.Do == fleet.DoReplace {
			want = append(want, task.Positions[0].ID)
		}
	}
	for _, task := range job.Tasks {
		if task.Do == fleet.DoReplace {
			got = append(got, task.Judgement.Position.ID)
		}
		if v := task.Reason.View(); v.Code == visit.Planned {
			if r, ok := v.Planned.(why.ReasonView); !ok || r.Cause == nil && r.Stand == nil {
				t.Errorf("%s: no reason of the plan in JSON: %+v", task.Judgement.Position.ID, v.Planned)
			}
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(want, got) {
		t.Errorf("the job changes %v, the visit %v", got, want)
	}
	if _, err := p.Job(99); fleet.KindOf(err) != fleet.NotFound {
		t.Errorf("visit 99: %v", err)
	}
}

// A vehicle of which nothing is known is looked at, not condemned: on its first
// day nothing is due but what its kind says hurts when guessed wrong, each with
// that reason, and nothing else is planned or bought but along with those.
func TestHonestBeginnings(t *testing.T) {
	for _, r := range demotest.Unknown(t) {
		for i := range r.Judgements {
			j := &r.Judgements[i]
			if got, want := j.Verdict == fleet.PutRight, j.Kind.IfUnknown != nil &&
				!j.Kind.IfUnknown.OnceLooked; got != want || j.Verdict > fleet.PutRight {
				t.Errorf("%s: %s is %s, a wrong guess hurts: %v", r.Vehicle.About, j.Position.ID, j.Verdict, want)
			}
			if j.Verdict == fleet.PutRight && !strings.Contains(advise.Why(j).String(), j.Kind.IfUnknown.Says) {
				t.Errorf("%s: %s does not say why: %s", r.Vehicle.About, j.Position.ID, advise.Why(j))
			}
		}
		p, err := plan.Make(t.Context(), r, plan.Options{Months: 12, Steps: 2})
		if err != nil {
			t.Fatal(err)
		}
		if err := p.Verify(); err != nil {
			t.Error(err)
		}
		for _, v := range p.Visits {
			for _, k := range v.Tasks {
				if k.Do == fleet.DoReplace && k.Reason.Cause.Code != "" && k.Reason.Cause.Code != why.DueAgain &&
					k.Judgement.Kind.IfUnknown == nil {
					t.Errorf("%s: %s is planned for %s: %s", r.Vehicle.About, k.Judgement.Position.ID, v.Date, k.Why())
				}
			}
		}
		for _, s := range p.Small {
			t.Errorf("%s: %s is a quick job: %s", r.Vehicle.About, s.Task.Judgement.Position.ID, s.Task.Why())
		}
		if n := slices.IndexFunc(p.Visits, func(v plan.Visit) bool {
			return v.Round
		}); n < 0 || n > 1 || len(p.Unknown) < len(r.Vehicle.Positions)/3 {
			t.Errorf("%s: no round at the first visits, or only %d parts are not known: %s", r.Vehicle.About,
				len(p.Unknown), p.Headline())
		}
	}
}

// A part of unknown age that was found sound is not condemned by a guess at its
// age: the plan looks at it again, says so, and changes it only along with another or for a reason that was found
// (common practice: what nobody knows is looked at).
func TestAGuessAtAnAgeChangesNothing(t *testing.T) {
	named := 0
	for _, r := range demotest.Unknown(t) {
		entries := slices.Clone(r.State.Record)
		for i := range r.Judgements {
			j := &r.Judgements[i]
			c := slices.IndexFunc(j.Kind.Checks, func(c catalogue.Check) bool {
				return len(c.Answers) > 0 && c.Answers[0].Symptom == ""
			})
			if c < 0 {
				continue
			}
			entries = append(entries, &fleet.Entry{ID: fmt.Sprintf("sound-%03d", i), Vehicle: r.Vehicle.ID,
				Type: fleet.TypeFound, Date: r.On,
				Found: &fleet.Found{Position: j.Position.ID, Check: j.Kind.Checks[c].ID,
					Answer: j.Kind.Checks[c].Answers[0].ID}})
		}
		sound := advise.Vehicle(r.Catalogue, r.Vehicle, entries, r.On)
		p, err := plan.Make(t.Context(), sound, plan.Options{Months: 36, Steps: 2})
		if err != nil {
			t.Fatal(err)
		}
		for _, j := range p.Rough {
			named++
			seen := false
			for _, v := range p.Visits {
				seen = seen || slices.Contains(v.RoundSees, j.Position) || slices.Contains(v.Further, j.Position)
			}
			for _, l := range p.Between {
				seen = seen || slices.Contains(l.Positions, j.Position)
			}
			if !seen {
				t.Errorf("%s: the %s is not looked at again", sound.Vehicle.About, j.Position.Name)
			}
		}
		for i := range sound.Judgements {
			j := &sound.Judgements[i]
			if _, _, rough := sound.Roughly(j); !rough {
				continue
			}
			for _, v := range p.Visits {
				for _, k := range v.Tasks {
					if k.Judgement == j && k.Do == fleet.DoReplace && k.Reason.Cause.Code == why.DueInterval {
						t.Errorf("%s: the %s is changed at a guess: %s", sound.Vehicle.About, j.Position.Name, k.Why())
					}
				}
			}
		}
	}
	if named < 10 {
		t.Errorf("%d parts are looked at in place of a guess", named)
	}
}

// A part to be put right before driving comes first, whatever month is left
// out.
func TestParkedComesFirst(t *testing.T) {
	r := demotest.Parked(t)
	p, err := plan.Make(t.Context(), r,
		plan.Options{Months: 6, Skip: []time.Month{r.On.Month, r.On.AddMonths(1).Month}})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(p.Headline().String(), "Do not drive it: ") {
		t.Errorf("headline %q", p.Headline())
	}
	if len(p.Visits) == 0 || p.Visits[0].Period != 1 || p.Visits[0].Tasks[0].Positions[0].ID != "main-belt" {
		t.Errorf("the parked belt is not changed first: %+v", p.Visits)
	}
}

// TestALaterChangeIsNotAskedForNow: what is found on the part fitted now says
// nothing of the ones that the plan fits after it.
func TestALaterChangeIsNotAskedForNow(t *testing.T) {
	again := 0
	for id := range demotest.Reports(t) {
		seen := map[string]bool{}
		p := planned(t, id, plan.Options{})
		for i := range p.Visits {
			for k := range p.Visits[i].Tasks {
				task := &p.Visits[i].Tasks[k]
				if task.Do != fleet.DoReplace {
					continue
				}
				at := task.Positions[0].ID
				if seen[at] {
					again++
					if task.Verdict() != fleet.Keep {
						t.Errorf("%s: a later change of %s stands as %s", id, at, task.Verdict())
					}
				} else if task.Verdict() != task.Judgement.Verdict {
					t.Errorf("%s: the first change of %s stands as %s, the part is judged %s", id, at, task.Verdict(),
						task.Judgement.Verdict)
				}
				seen[at] = true
			}
		}
	}
	if again == 0 {
		t.Error("nothing is changed twice in any plan: this test shows nothing")
	}
}

// TestALaterJobSheetForgetsWhatWasFound: nor does the sheet of a later visit ask
// for what was to be put right before the first change.
func TestALaterJobSheetForgetsWhatWasFound(t *testing.T) {
	first, later := 0, 0
	for id := range demotest.Reports(t) {
		p := planned(t, id, plan.Options{})
		seen := map[string]bool{}
		for i := range p.Visits {
			job, err := p.Job(p.Visits[i].N)
			if err != nil {
				t.Fatal(err)
			}
			steps := map[string]bool{}
			for _, s := range job.Steps {
				steps[s.Do] = s.Kind == visit.StepFirst
			}
			for k := range job.Tasks {
				task := &job.Tasks[k]
				if task.Do != fleet.DoReplace {
					continue
				}
				at := task.Judgement.Position.ID
				for _, f := range task.Judgement.First {
					switch {
					case strings.HasPrefix(f.Do, "With the belt off"): // done whenever one is
					case !seen[at] && steps[f.Do]:
						first++
					case !seen[at]:
						t.Errorf("%s: the first change of %s does not ask to put right: %s", id, at, f.Do)
					case steps[f.Do]:
						t.Errorf("%s, visit %d: a later change of %s asks to put right: %s", id,
							p.Visits[i].N, at, f.Do)
					default:
						later++
					}
				}
				if seen[at] && task.Verdict() != fleet.Keep {
					t.Errorf("%s, visit %d: %s stands as %s", id, p.Visits[i].N, at, task.Verdict())
				}
				seen[at] = true
			}
		}
	}
	if first == 0 || later == 0 {
		t.Errorf("%d to put right at first changes, %d left out at later ones: this test shows nothing", first, later)
	}
}

func BenchmarkPlan(b *testing.B) {
	for id, r := range demotest.Reports(b) {
		b.Run(id, func(b *testing.B) {
			for b.Loop() {
				if _, err := plan.Make(b.Context(), r, plan.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
