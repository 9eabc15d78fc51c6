package trip_test

import (
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/trip"
	"undertray.example/undertray/units"
)

func asked(t *testing.T, vehicle string, opt trip.Options) *trip.Trip {
	t.Helper()
	out, err := trip.Ask(demotest.Reports(t)[vehicle], opt)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestParkBlocksTheTrip(t *testing.T) {
	r := demotest.Parked(t)
	out, err := trip.Ask(r, trip.Options{Km: 100})
	if err != nil {
		t.Fatal(err)
	}
	got := out.Headline(units.Preferences{}).String()
	if !strings.HasPrefix(got, "No. Do not drive it: main drive belt") {
		t.Errorf("headline %q", got)
	}
}

// The chance of none failing is the product of the parts' own (a law of
// chance, taken as independent).
func TestTripChancesMultiply(t *testing.T) {
	for id := range demotest.Reports(t) {
		out := asked(t, id, trip.Options{Km: 2400})
		through, any := 1.0, 1.0
		for _, r := range out.Risks {
			if r.P < 0 || r.P > 1 || r.New > r.P+1e-12 {
				t.Errorf("%s: %s: chance %g, new %g", id, r.Judgement.Position.ID, r.P, r.New)
			}
			any *= 1 - r.P
			if r.Judgement.Strands() {
				through *= 1 - r.Mend.Strands(r.P)
			}
		}
		if d := out.Stranded - (1 - through); d > 1e-9 || d < -1e-9 {
			t.Errorf("%s: stranded %g, product %g", id, out.Stranded, 1-through)
		}
		if out.Stranded > out.LetDown+1e-12 || out.After > out.Stranded+1e-12 || any > 1 {
			t.Errorf("%s: stranded %g, any %g, after %g", id, out.Stranded, out.LetDown, out.After)
		}
	}
}

// Further, later and harder trips are never likelier to go well.
func TestTripChanceGrows(t *testing.T) {
	for id := range demotest.Reports(t) {
		short, long := asked(t, id, trip.Options{Km: 500, Days: 4}), asked(t, id, trip.Options{Km: 3000, Days: 6})
		hard := asked(t, id, trip.Options{Km: 3000, Days: 6, Load: true})
		if !(short.Stranded < long.Stranded && long.Stranded < hard.Stranded) {
			t.Errorf("%s: 500 km %g, 3000 km %g, loaded %g", id, short.Stranded, long.Stranded, hard.Stranded)
		}
	}
}

// No other set that reaches the aim is cheaper: dropping any part of it misses
// the aim.
func TestTripFixesAreNeeded(t *testing.T) {
	out := asked(t, "dunnock", trip.Options{Km: 2000, Load: true, Under: 0.01})
	if !out.Reached || len(out.Fixes) == 0 {
		t.Fatalf("reached %v with %d fixes, %g", out.Reached, len(out.Fixes), out.After)
	}
	for _, f := range out.Fixes {
		without := 1 - (1-out.After)*(1-f.Was)/(1-f.New)
		if without <= out.Under {
			t.Errorf("%s is not needed: without it %g", f.Judgement.Position.ID, without)
		}
	}
}

// What is carried is needed for a part that may fail on the way, its chance
// that of any of those parts failing (a law of chance, taken as independent),
// the likeliest first, with what to do beside the road.
func TestTripCarriesWhatIsLikeliestNeeded(t *testing.T) {
	for id := range demotest.Reports(t) {
		out := asked(t, id, trip.Options{Km: 2400})
		chance := map[*judge.Judgement]float64{}
		for _, r := range out.Risks {
			chance[r.Judgement] = r.P
		}
		for _, f := range slices.Concat(out.Must, out.Fixes) {
			chance[f.Judgement] = f.New
		}
		if len(out.Carry) == 0 {
			t.Errorf("%s: nothing is carried over 2400 km", id)
		}
		last := 1.0
		for _, c := range out.Carry {
			none := 1.0
			for _, j := range c.For {
				p, known := chance[j]
				if !known {
					t.Errorf("%s: %s is carried for %s, which is not said to fail", id, c.Title(), j.Position.ID)
				}
				none *= 1 - p
			}
			if d := c.P - (1 - none); d > 1e-12 || d < -1e-12 || c.P > last || c.Roadside == "" {
				t.Errorf("%s: %s for %d parts: chance %g, of its parts %g, the one before %g; %q", id, c.Title(),
					len(c.For), c.P, 1-none, last, c.Roadside)
			}
			last = c.P
		}
	}
}

// The first line answers the question, whatever was asked, and what follows gives
// the chance.
func TestTripAnswersInItsFirstLine(t *testing.T) {
	for id := range demotest.Reports(t) {
		for _, opt := range []trip.Options{{Km: 20}, {Km: 2400, Days: 14}, {Km: 9000, Load: true, Heat: true},
			{Km: 2400, Under: 1e-4}} {
			told := told.InEnglish(asked(t, id, opt).Told(units.Preferences{}))
			answer, _, _ := strings.Cut(told[0], " ")
			if !slices.Contains([]string{"Yes,", "No.", "Not", "Probably,", "Doubtful:", "Doubtful;"}, answer) ||
				answer != "No." && !strings.Contains(strings.Join(told[1:], " "), "The chance of being stranded in ") {
				t.Errorf("%s, %+v: %q", id, opt, told)
			}
		}
	}
}

func TestTripNamesWhatIsDue(t *testing.T) {
	out := asked(t, "heron", trip.Options{Km: 7500})
	var due []string
	for _, f := range out.Must {
		due = append(due, f.Judgement.Position.ID)
	}
	if got := strings.Join(due, " "); !strings.Contains(got, "main-belt") || !strings.Contains(got, "engine-oil") {
		t.Errorf("before 7500 km: %s; the oil is due after 6700 km and the belt now", got)
	}
}

func TestTripRefusesNonsense(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	for _, opt := range []trip.Options{{}, {Km: -1}, {Km: 1e9}, {Km: 100, Days: 5000}, {Km: 100, Under: 2},
		{Km: 100, Start: r.On.AddDays(-1)}} {
		if _, err := trip.Ask(r, opt); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%+v: %v", opt, err)
		}
	}
}

// A belt with ten cracks an inch, of which nothing else was ever said, heads what
// may let the vehicle down, but for other parts that are to be put right.
func TestACrackedBeltHeadsTheList(t *testing.T) {
	for _, r := range demotest.All(t) {
		for i := range r.Judgements {
			j := &r.Judgements[i]
			c := j.Kind.Check("cracks")
			if j.Kind.Belt != catalogue.RibbedBelt || c == nil || !c.Measured() {
				continue
			}
			ten := units.MustParse("10 per in")
			bad := &fleet.Entry{ID: "0", Type: fleet.TypeFound, Vehicle: r.Vehicle.ID, Date: r.On,
				Found: &fleet.Found{Position: j.Position.ID, Check: c.ID, Value: &ten}}
			record := slices.DeleteFunc(slices.Clone(r.State.Record), func(e *fleet.Entry) bool {
				return e.Found != nil && e.Found.Position == j.Position.ID
			})
			after := r.WithRecord(r.Vehicle, append(record, bad), r.On)
			tr, err := trip.Ask(after, trip.Options{Km: 1500})
			if err != nil {
				t.Fatal(err)
			}
			bad2 := func(k trip.Risk) bool {
				return k.Judgement.Verdict >= fleet.PutRight && k.Judgement.Position.ID != j.Position.ID
			}
			at := slices.IndexFunc(tr.Risks, func(k trip.Risk) bool { return k.Judgement.Position.ID == j.Position.ID })
			for _, k := range tr.Risks[:max(at, 0)] {
				if !bad2(k) {
					t.Errorf("%s: %s (%v, %.4f) stands before the %s of ten cracks (%.4f)", r.Vehicle.ID,
						k.Judgement.Position.ID, k.Judgement.Verdict, k.P, j.Position.ID, tr.Risks[at].P)
				}
			}
		}
	}
}
