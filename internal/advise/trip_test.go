package advise_test

import (
	"strings"
	"testing"

	"undertray/internal/advise"
	"undertray/internal/fleet"
	"undertray/units"
)

func trip(t *testing.T, vehicle string, opt advise.TripOptions) *advise.Trip {
	t.Helper()
	out, err := demoReports(t)[vehicle].Trip(opt)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestParkBlocksTheTrip(t *testing.T) {
	r := parked(t)
	out, err := r.Trip(advise.TripOptions{Km: 100})
	if err != nil {
		t.Fatal(err)
	}
	if got := out.Headline(units.Preferences{}); !strings.HasPrefix(got, "No. Do not drive it: main drive belt") {
		t.Errorf("headline %q", got)
	}
}

// The chance of none failing is the product of the parts' own (a law of
// chance, taken as independent).
func TestTripChancesMultiply(t *testing.T) {
	for id := range demoReports(t) {
		out := trip(t, id, advise.TripOptions{Km: 2400})
		through, any := 1.0, 1.0
		for _, r := range out.Risks {
			if r.P < 0 || r.P > 1 || r.New > r.P+1e-12 {
				t.Errorf("%s: %s: chance %g, new %g", id, r.Judgement.Position.ID, r.P, r.New)
			}
			any *= 1 - r.P
			if r.Chance.Life.Strands {
				through *= 1 - r.P
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
	for id := range demoReports(t) {
		short, long := trip(t, id, advise.TripOptions{Km: 500, Days: 4}), trip(t, id, advise.TripOptions{Km: 3000, Days: 6})
		hard := trip(t, id, advise.TripOptions{Km: 3000, Days: 6, Load: true})
		if !(short.Stranded < long.Stranded && long.Stranded < hard.Stranded) {
			t.Errorf("%s: 500 km %g, 3000 km %g, loaded %g", id, short.Stranded, long.Stranded, hard.Stranded)
		}
	}
}

// No other set that reaches the aim is cheaper: dropping any part of it misses
// the aim.
func TestTripFixesAreNeeded(t *testing.T) {
	out := trip(t, "dunnock", advise.TripOptions{Km: 2000, Load: true, Under: 0.01})
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

func TestTripNamesWhatIsDue(t *testing.T) {
	out := trip(t, "heron", advise.TripOptions{Km: 7500})
	var due []string
	for _, f := range out.Must {
		due = append(due, f.Judgement.Position.ID)
	}
	if got := strings.Join(due, " "); !strings.Contains(got, "main-belt") || !strings.Contains(got, "engine-oil") {
		t.Errorf("before 7500 km: %s; the oil is due after 6700 km and the belt now", got)
	}
}

func TestTripRefusesNonsense(t *testing.T) {
	r := demoReports(t)["heron"]
	for _, opt := range []advise.TripOptions{{}, {Km: -1}, {Km: 1e9}, {Km: 100, Days: 5000}, {Km: 100, Under: 2}, {Km: 100, Start: r.On.AddDays(-1)}} {
		if _, err := r.Trip(opt); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%+v: %v", opt, err)
		}
	}
}
