package calendar_test

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/calendar"
	"undertray.example/undertray/internal/plan/next"
	"undertray.example/undertray/units"
)

// visit is a next visit as one of the answers tells of it.
type visit struct {
	on      civil.Date
	change  []string
	minutes float64
	money   float64
}

func (n visit) equal(o visit) bool {
	a, b := slices.Sorted(slices.Values(n.change)), slices.Sorted(slices.Values(o.change))
	return n.on == o.on && slices.Equal(a, b) && math.Abs(n.minutes-o.minutes) < 1e-6 &&
		math.Abs(n.money-o.money) < 0.005
}

// through writes something as JSON and reads it into another shape.
func through(t *testing.T, from, into any) {
	t.Helper()
	b, err := json.Marshal(from)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatal(err)
	}
}

// sum is the JSON of a visit in the state and in the calendar.
type sum struct {
	On      civil.Date `json:"on"`
	Change  []string   `json:"change"`
	Minutes float64    `json:"minutes"`
	Money   float64    `json:"money"`
}

func (s sum) told() visit { return visit{s.On, s.Change, s.Minutes, s.Money} }

func ofState(t *testing.T, r *advise.Report, p *plan.Plan) visit {
	var v struct {
		Next sum `json:"next_visit"`
	}
	through(t, next.StateView{VehicleView: ahead.View(r, units.Preferences{}), Next: next.Of(p)}, &v)
	return v.Next.told()
}

func ofPlan(t *testing.T, p *plan.Plan) visit {
	var v struct {
		Visits []struct {
			Date  civil.Date `json:"date"`
			Tasks []struct {
				Position, Do string
			} `json:"tasks"`
			Minutes, Money float64
		} `json:"visits"`
	}
	through(t, p.View(units.Preferences{}), &v)
	out := visit{on: v.Visits[0].Date, minutes: v.Visits[0].Minutes, money: v.Visits[0].Money}
	for _, k := range v.Visits[0].Tasks {
		if k.Do == fleet.DoReplace {
			out.change = append(out.change, k.Position)
		}
	}
	return out
}

func ofJob(t *testing.T, p *plan.Plan) visit {
	job, err := p.NextJob()
	if err != nil {
		t.Fatal(err)
	}
	var v struct {
		On    civil.Date `json:"on"`
		Tasks []struct {
			Position, Do string
		} `json:"tasks"`
		Minutes float64 `json:"minutes"`
		Cost    string  `json:"cost"`
	}
	through(t, job.View(), &v)
	out := visit{on: v.On, minutes: v.Minutes}
	for _, k := range v.Tasks {
		if k.Do == fleet.DoReplace {
			out.change = append(out.change, k.Position)
		}
	}
	if v.Cost != "" {
		q, err := units.Parse(v.Cost, units.Money)
		if err != nil {
			t.Fatal(err)
		}
		out.money = q.Value()
	}
	return out
}

func ofCalendar(t *testing.T, p *plan.Plan) visit {
	var all []struct {
		From  civil.Date `json:"from"`
		Visit *sum       `json:"visit"`
	}
	through(t, calendar.OfPlan(p), &all)
	for _, e := range all {
		if e.Visit != nil {
			if e.From != e.Visit.On {
				t.Errorf("the calendar has the visit of %s on %s", e.Visit.On, e.From)
			}
			return e.Visit.told()
		}
	}
	return visit{}
}

// State, plan, job sheet and calendar of a vehicle name the same parts, date,
// minutes and cost for its next visit: for the demo yard, alone and under
// shared hours, and for every archetype of unknown history.
func TestOneAnswer(t *testing.T) {
	byID := demotest.Reports(t)
	var yard []*advise.Report
	for _, id := range []string{"heron", "dunnock", "bittern"} {
		yard = append(yard, byID[id])
	}
	type asked struct {
		r     *advise.Report
		share *plan.Share
	}
	var all []asked
	for _, r := range append(demotest.Unknown(t), yard...) {
		all = append(all, asked{r: r})
	}
	shared, err := plan.MakeYard(t.Context(), yard, plan.YardOptions{Rules: fleet.YardRules{HoursPerMonth: 16}})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range yard {
		all = append(all, asked{r, shared.Share(r.Vehicle.ID)})
	}
	changed := 0
	for _, a := range all {
		p, err := plan.Make(t.Context(), a.r, plan.Options{Share: a.share})
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Visits) == 0 {
			t.Errorf("%s: no visit to compare", a.r.Vehicle.ID)
			continue
		}
		want := ofPlan(t, p)
		if want.minutes <= 0 {
			t.Errorf("%s: %+v", a.r.Vehicle.ID, want)
		}
		if len(want.change) > 0 {
			changed++ // of a trailer's first visit nothing, since it is a round
		}
		for name, got := range map[string]visit{"state": ofState(t, a.r, p), "job": ofJob(t, p),
			"calendar": ofCalendar(t, p)} {
			if !got.equal(want) {
				t.Errorf("%s (%s), shared %v: the %s says %+v, the plan %+v", a.r.Vehicle.ID, a.r.Vehicle.About,
					a.share != nil, name, got, want)
			}
		}
	}
	if changed < len(all)-1 {
		t.Errorf("at %d of %d first visits anything is changed", changed, len(all))
	}
}
