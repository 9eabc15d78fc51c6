package trip_test

import (
	"math"
	"slices"
	"testing"

	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/trip"
)

// with is a report with things aboard.
func with(r *advise.Report, things ...string) *advise.Report {
	out, s := *r, *r.State
	s.Aboard = nil
	for _, name := range things {
		s.Aboard = append(s.Aboard, &fleet.Entry{Type: fleet.TypeAboard, Date: r.On,
			Aboard: &fleet.Aboard{Thing: name}})
	}
	out.State = &s
	return &out
}

func stranded(t *testing.T, r *advise.Report) (stranded, after float64) {
	t.Helper()
	out, err := trip.Ask(r, trip.Options{Km: 2400})
	if err != nil {
		t.Fatal(err)
	}
	return out.Stranded, out.After
}

// A thing more aboard never raises the chance of being stranded or the cost of a
// failure; all that would help lowers it; what is no use beside the road changes
// nothing.
func TestASpareNeverRaisesTheChance(t *testing.T) {
	for _, r := range demotest.All(t) {
		bare, bareAfter := stranded(t, with(r))
		var names []string
		last := bare
		for _, thing := range aboard.Useful(r.Catalogue, with(r).State, r.Judgements) {
			names = append(names, thing.Name)
			now, _ := stranded(t, with(r, names...))
			if now > last+1e-12 {
				t.Errorf("%s: %q raises the chance of being stranded from %g to %g", r.Vehicle.ID,
					thing.Name, last, now)
			}
			last = now
		}
		if len(names) > 0 && !(last < bare) {
			t.Errorf("%s: with %v aboard the chance stays %g", r.Vehicle.ID, names, bare)
		}
		if got, after := stranded(t, with(r, "a blanket", "fuel hose of the right grade")); got != bare ||
			after != bareAfter {
			t.Errorf("%s: a blanket changes the chance from %g to %g", r.Vehicle.ID, bare, got)
		}
		for i := range r.Judgements {
			j := &r.Judgements[i]
			m, none := with(r, names...).Mend(j), with(r).Mend(j)
			if none.Holds != 0 || m.Cost(400, 10) > none.Cost(400, 10) || m.Cost(400, 1e9) > 400 ||
				m.Holds > 0 && m.Bar != "" {
				t.Errorf("%s: %s: %+v, with nothing aboard %+v", r.Vehicle.ID, j.Position.ID, m, none)
			}
		}
	}
}

// What cannot be fitted beside the road changes nothing there: a stretch-fit
// belt, what is behind a raised vehicle or drained coolant, and what takes longer
// than the owner would work.
func TestWhatIsNotForTheRoadside(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	belt := r.Judgement("main-belt")
	all := belt.Kind.Life.Carry
	if m := with(r, all...).Mend(belt); m.Bar != aboard.Reach {
		t.Fatalf("the belt comes off with the front raised: %+v", m)
	}
	byHand := func(v *fleet.Vehicle) {
		v.Positions = slices.Clone(v.Positions)
		v.Position("main-belt").Changed = nil
	}
	for name, change := range map[aboard.Bar]func(*fleet.Vehicle){
		"": func(*fleet.Vehicle) {},
		aboard.Stretch: func(v *fleet.Vehicle) {
			v.Runs = slices.Clone(v.Runs)
			v.RunOf("main-belt").Stretch = true
		},
		aboard.Reach: func(v *fleet.Vehicle) {
			v.Openings = append(slices.Clone(v.Openings),
				fleet.Opening{ID: "jacked", Leaves: []machine.Undone{machine.Raised}})
			v.Position("main-belt").Changed = []string{"jacked"}
		},
		aboard.TooLong: func(v *fleet.Vehicle) { v.Visits.RoadsideMinutes = 1 },
	} {
		with, v := with(r, all...), *r.Vehicle
		byHand(&v)
		change(&v)
		with.Vehicle, with.State.Vehicle = &v, &v
		j := *belt
		j.Position = v.Position("main-belt")
		if m := with.Mend(&j); m.Bar != name || (m.Holds == 0) != (name != "") || (m.Could == 0) != (name != "") ||
			(m.Cost(400, 10) == 400) != (name != "") {
			t.Errorf("%s: %+v", name, m)
		}
	}
	for i := range r.Judgements {
		if j := &r.Judgements[i]; j.Kind.ID == "fuel-hose" {
			if m := with(r, append(all, j.Kind.Life.Carry...)...).Mend(j); m.Holds != 0 {
				t.Errorf("work on fuel beside the road: %+v", m)
			}
		}
	}
}

// The chance said with a thing aboard is the one that comes of it.
func TestWhatACarriedThingBrings(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	out, err := trip.Ask(with(r), trip.Options{Km: 2400, Under: 0.9})
	if err != nil || len(out.Carry) == 0 {
		t.Fatal(err, len(out.Carry))
	}
	helps := 0
	for _, c := range out.Carry {
		again, err := trip.Ask(with(r, c.Things...), trip.Options{Km: 2400, Under: 0.9})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(again.After-c.With) > 1e-9 {
			t.Errorf("%v: said %g, comes to %g", c.Things, c.With, again.After)
		}
		if c.With < c.After {
			helps++
		}
	}
	if helps == 0 {
		t.Error("nothing that is carried helps")
	}
}

// Nothing is carried for a failure that nobody mends beside the road.
func TestNothingIsCarriedForWhatStaysShut(t *testing.T) {
	carried := 0
	for _, r := range demotest.All(t) {
		out, err := trip.Ask(r, trip.Options{Km: 2400})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range out.Carry {
			for _, j := range c.For {
				carried++
				if m := r.Mend(j); m.Bar != "" && m.Bar != aboard.NotStated {
					t.Errorf("%s: %v is carried for the %s, which is barred there: %s", r.Vehicle.ID, c.Things,
						j.Position.ID, m.Bar)
				}
			}
		}
	}
	if carried < 3 {
		t.Errorf("%d failures have something carried for them", carried)
	}
}
