package ahead_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/lifetime"
	"undertray.example/undertray/units"
)

var today = civil.MustParse("2026-11-28")

// saw is one answer of so many months ago.
type saw struct {
	check, answer string
	ago           int
}

// partOf is a part of a kind fitted so many months ago on a vehicle that runs
// 1 200 km a month, with what was found of it; months below 0: never recorded,
// on a vehicle of that age.
func partOf(t testing.TB, cat *catalogue.Catalogue, kind string, months int, seen ...saw) (*advise.Report,
	*judge.Judgement) {
	t.Helper()
	const perMonth = 1200
	age := max(months, -months)
	start := today.AddMonths(-age)
	v := &fleet.Vehicle{ID: "wren", Built: start,
		Positions: []fleet.Position{{ID: "it", Name: "It", Kind: kind, From: fleet.Above}}}
	var entries []*fleet.Entry
	add := func(at civil.Date, e fleet.Entry) {
		e.ID, e.Vehicle, e.Date = fmt.Sprintf("%03d", len(entries)), v.ID, at
		q := units.Must(float64(perMonth)*float64(at.Sub(start))/30.4375, "km")
		e.Odometer = &q
		entries = append(entries, &e)
	}
	if months >= 0 {
		add(start, fleet.Entry{Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: "it"}})
	}
	for _, f := range seen {
		body := &fleet.Found{Position: "it", Check: f.check, Answer: f.answer}
		if c := cat.Kind(kind).Check(f.check); c.Measured() {
			q := units.MustParse(f.answer)
			body.Answer, body.Value = "", &q
		}
		add(today.AddMonths(-f.ago), fleet.Entry{Type: fleet.TypeFound, Found: body})
	}
	add(today, fleet.Entry{Type: fleet.TypeOdometer})
	r := advise.Vehicle(cat, v, entries, today)
	return r, r.Judgement("it")
}

func loaded(t testing.TB) *catalogue.Catalogue {
	t.Helper()
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	return cat
}

// onTrip is the chance of failing on 1 500 km in five days; -1 where none is
// reckoned.
func onTrip(r *advise.Report, j *judge.Judgement) float64 {
	c, ok := ahead.ChanceOf(r, j)
	if !ok {
		return -1
	}
	p, _ := c.During(r.On, r.Total, 1500, 5)
	return p
}

// Without looks the chance is that of age alone: near what the interval says by
// the engine of lifetimes, which knows neither signs nor looks, for the few parts
// of several intervals too.
func TestWithoutLooksTheChanceGoesByAge(t *testing.T) {
	cat := loaded(t)
	kinds, worst, sum, n := 0, 0.0, 0.0, 0
	for _, k := range cat.Kinds() {
		if k.Life == nil {
			continue
		}
		reckoned := false
		for _, months := range []int{12, 36, 60, 90, 130} {
			r, j := partOf(t, cat, k.ID, months)
			c, ok := ahead.ChanceOf(r, j)
			if !ok || c.Due == nil {
				continue
			}
			reckoned = true
			iv := c.Due.Interval
			if iv.Distance != nil && iv.Time != nil {
				continue // lifetimes count in one of them alone
			}
			interval, per := 0.0, 1.0
			if iv.Time != nil {
				interval = iv.Time.Base()
			} else {
				interval, per = iv.Distance.Base(), 1200/30.4375
			}
			for _, days := range []int{30, 180, 720} {
				total, _ := r.Forecast.Total(today.AddDays(days))
				said := c.Until(today.AddDays(days), total)
				by := byAge(t, cat, k.Life, interval, float64(today.Sub(today.AddMonths(-months)))*per,
					float64(days)*per)
				if math.Abs(said-by) > 0.07 {
					t.Logf("%s of %d months, %d days: %.3f, by age %.3f", k.ID, months, days, said, by)
				}
				worst, sum, n = max(worst, math.Abs(said-by)), sum+math.Abs(said-by), n+1
			}
		}
		if reckoned {
			kinds++
		}
	}
	t.Logf("%d kinds, %d chances: %.3f apart in the mean, %.3f at the most", kinds, n, sum/float64(n), worst)
	if kinds < 20 || sum/float64(n) > 0.01 || worst > 0.12 {
		t.Errorf("%d kinds, %.3f apart in the mean, %.3f at the most", kinds, sum/float64(n), worst)
	}
}

func byAge(t *testing.T, cat *catalogue.Catalogue, life *catalogue.Life, interval, age, ahead float64) float64 {
	t.Helper()
	l := cat.Lives()
	read := lifetime.Reading{Family: lifetime.Weibull, Share: l.Share, LogSD: l.LogSD, Shape: l.Shape,
		ShapeLogSD: l.ShapeLogSD, AnyAge: l.AnyAge}
	if life.Shape > 0 {
		read.Shape = life.Shape
	}
	if life.AnyAge > 0 {
		read.AnyAge = life.AnyAge
	}
	prior, err := lifetime.FromInterval(interval, read)
	if err != nil {
		t.Fatal(err)
	}
	law, err := prior.Update(nil, lifetime.GridOptions{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := law.FailWithin(age, ahead)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Of every kind, at every age and for every check: an answer for which some
// authority asks for more never gives a lower chance than one for which less is
// asked, a good answer never a higher one than not looking, and what is to be
// put right or parked a higher one.
func TestAWorseAnswerNeverLowersTheChance(t *testing.T) {
	cat := loaded(t)
	answers := 0
	for _, k := range cat.Kinds() {
		for i := range k.Checks {
			c := &k.Checks[i]
			for _, months := range []int{8, 50, 140} {
				unseen := onTrip(partOf(t, cat, k.ID, months))
				if unseen < 0 || c.Measured() {
					continue
				}
				worst := map[fleet.Verdict]float64{} // chance by what is asked for
				for _, a := range c.Answers {
					r, j := partOf(t, cat, k.ID, months, saw{c.ID, a.ID, 0})
					v := judge.Worst(c, j.Place, j.Place.Fitted, j.Place.Findings[0])
					p := onTrip(r, j)
					answers++
					if v <= fleet.Keep && p > unseen*1.001+1e-9 || v >= fleet.PutRight && p <= unseen {
						t.Errorf("%s of %d months, %s %s (%v): %.5f, not seen %.5f", k.ID, months, c.ID,
							a.ID, v, p, unseen)
					}
					if cat.Looks().Tells(a.ID) {
						worst[v] = p
					}
				}
				for v, p := range worst {
					for less, q := range worst {
						if less < v && q > p*1.001+1e-9 {
							t.Errorf("%s of %d months, %s: %.5f for %v, %.5f for %v", k.ID, months, c.ID, p, v, q, less)
						}
					}
				}
			}
		}
	}
	if answers < 1000 {
		t.Errorf("%d answers: too few", answers)
	}
}

// In the demo yard no part that is to be put right or parked for what was found
// of it shows a lower chance than a part of its kind that is to be kept.
func TestInTheDemoYardBadPartsAreNoSaferThanGoodOnes(t *testing.T) {
	type shown struct {
		where string
		p     float64
	}
	good, bad := map[string][]shown{}, map[string][]shown{}
	for _, r := range demotest.All(t) {
		for i := range r.Judgements {
			j := &r.Judgements[i]
			p := onTrip(r, j)
			if p < 0 {
				continue
			}
			s := shown{fmt.Sprintf("%s %s (%v)", r.Vehicle.ID, j.Position.ID, j.Verdict), p}
			switch {
			case j.Verdict == fleet.Keep:
				good[j.Kind.ID] = append(good[j.Kind.ID], s)
			case j.Verdict >= fleet.PutRight && slices.ContainsFunc(j.Reasons, func(o judge.Reason) bool {
				return o.Finding != nil && o.Verdict >= fleet.PutRight
			}):
				bad[j.Kind.ID] = append(bad[j.Kind.ID], s)
			}
		}
	}
	pairs := 0
	for kind, bads := range bad {
		for _, b := range bads {
			for _, g := range good[kind] {
				pairs++
				t.Logf("%s %.5f, %s %.5f", b.where, b.p, g.where, g.p)
				if b.p < g.p {
					t.Errorf("%s shows %.5f, %s %.5f", b.where, b.p, g.where, g.p)
				}
			}
		}
	}
	if pairs < 2 {
		t.Errorf("%d pairs: too few", pairs)
	}
}

// A finding on another part changes nothing, of whatever kind it is, and
// neither does the order in which entries were recorded.
func TestWhatDoesNotChangeAChance(t *testing.T) {
	for _, r := range demotest.All(t) {
		for i := range r.Judgements {
			j := &r.Judgements[i]
			same := r.WithRecord(r.Vehicle, r.State.Record, r.On)
			before := onTrip(same, same.Judgement(j.Position.ID))
			if before < 0 || i%3 != 0 {
				continue
			}
			shuffled := slices.Clone(r.State.Record)
			slices.Reverse(shuffled)
			again := r.WithRecord(r.Vehicle, shuffled, r.On)
			if p := onTrip(again, again.Judgement(j.Position.ID)); p != before {
				t.Errorf("%s %s: %v, recorded in another order %v", r.Vehicle.ID, j.Position.ID, before, p)
			}
			for k := range r.Judgements {
				other := &r.Judgements[k]
				if k == i || k%7 != i%7 {
					continue
				}
				c := other.Kind.Checks[0]
				if c.Measured() {
					continue
				}
				bad := &fleet.Entry{ID: "0", Type: fleet.TypeFound, Vehicle: r.Vehicle.ID, Date: r.On,
					Found: &fleet.Found{Position: other.Position.ID, Check: c.ID,
						Answer: c.Answers[len(c.Answers)-1].ID}}
				after := r.WithRecord(r.Vehicle, append(slices.Clone(r.State.Record), bad), r.On)
				if p := onTrip(after, after.Judgement(j.Position.ID)); p != before {
					t.Errorf("%s %s: %v, after %s of %s %v", r.Vehicle.ID, j.Position.ID, before, bad.Found.Answer,
						other.Position.ID, p)
				}
			}
		}
	}
}

// A vehicle that the others do not learn from learns from them as one of them does,
// whether its part is followed by what is told for all or learnt along with theirs.
func TestOneMoreVehicleLearnsAsTheOthersDo(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range []int{12, 40, 70} {
		var yard []*advise.Report
		for i, months := range []int{20, 35, 50, 65, 90} {
			r, _ := partOf(t, cat, "ribbed-belt", months)
			r.Vehicle.ID = fmt.Sprint("other-", i)
			yard = append(yard, r)
		}
		own, j := partOf(t, cat, "ribbed-belt", one, saw{"cracks", "3 per 75 mm", 2})
		among, _ := partOf(t, cat, "ribbed-belt", one, saw{"cracks", "3 per 75 mm", 2})
		own.Experience = advise.Gather(yard).And(own.AsPeer())
		outside, ok := ahead.ChanceOf(own, j)
		advise.Gather(append(yard, among))
		inside, ok2 := ahead.ChanceOf(among, &among.Judgements[0])
		if !ok || !ok2 || outside.Running != inside.Running || outside.Own != inside.Own {
			t.Fatalf("%d months: %+v beside %+v", one, outside, inside)
		}
		year, total := today.AddMonths(12), own.Total+14400
		a, b := outside.Until(year, total), inside.Until(year, total)
		if a == 0 || math.Abs(a-b) > 0.005 {
			t.Errorf("%d months: a chance of %.4f outside the sample, %.4f inside", one, a, b)
		}
		t.Logf("%d months: %.4f and %.4f", one, a, b)
	}
}

// Every kind that can let one down has a chance; where no authority names an interval it is said to be a guess, and
// what is found speaks: a bad finding weighs more than the guess.
func TestKindsWithoutAnIntervalHaveAChance(t *testing.T) {
	cat := loaded(t)
	guessed := 0
	for _, k := range cat.Kinds() {
		if k.Life == nil {
			continue
		}
		r, j := partOf(t, cat, k.ID, 60)
		c, ok := ahead.ChanceOf(r, j)
		if !ok {
			t.Errorf("%s: no chance", k.ID)
			continue
		}
		if c.Due != nil {
			continue
		}
		guessed++
		if c.Lasts == nil || !c.Rough || !strings.Contains(c.Rests().String(), "guess from memory") {
			t.Errorf("%s: %q", k.ID, c.Rests())
		}
		unseen, worst := onTrip(r, j), 0.0
		for i := range k.Checks {
			for _, a := range k.Checks[i].Answers {
				if p := onTrip(partOf(t, cat, k.ID, 60, saw{k.Checks[i].ID, a.ID, 0})); !k.Checks[i].Measured() {
					worst = max(worst, p)
				}
			}
		}
		if worst < 10*unseen {
			t.Errorf("%s: %.5f unseen, %.5f after the worst that can be found", k.ID, unseen, worst)
		}
	}
	if guessed < 13 {
		t.Errorf("%d kinds without an interval: too few", guessed)
	}
}

// Beside a hundred parts that others tell of, the one more of its kind on its vehicle
// moves a chance by less than a tenth of a point.
func TestOneMorePartBesideManyTellsLittle(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	var yard []*advise.Report
	twice := func(i, months int) *advise.Report {
		start := today.AddMonths(-months)
		v := &fleet.Vehicle{ID: fmt.Sprint("other-", i), Built: start}
		var entries []*fleet.Entry
		for n, id := range []string{"it", "other"} {
			v.Positions = append(v.Positions, fleet.Position{ID: id, Name: id, Kind: "top-hose", From: fleet.Above})
			for k, at := range []civil.Date{start, today} {
				q := units.Must(float64(k*1200*months), "km")
				e := &fleet.Entry{ID: fmt.Sprintf("%03d", 2*n+k), Vehicle: v.ID, Date: at, Odometer: &q,
					Type: fleet.TypeOdometer}
				if k == 0 {
					e.Type, e.Fitted = fleet.TypeFitted, &fleet.Fitted{Position: id}
				}
				entries = append(entries, e)
			}
		}
		return advise.Vehicle(cat, v, entries, today)
	}
	for i := range 50 {
		yard = append(yard, twice(i, 12+2*i))
	}
	own := twice(50, 60)
	shared := advise.Gather(yard)
	own.Experience = shared.And(own.AsPeer())
	quick, ok := ahead.ChanceOf(own, own.Judgement("it"))
	own.Experience = advise.Gather(append(yard, own))
	whole, ok2 := ahead.ChanceOf(own, own.Judgement("it"))
	if !ok || !ok2 || quick.Running != whole.Running || quick.Running < 100 {
		t.Fatalf("%+v beside %+v", quick, whole)
	}
	year, total := today.AddMonths(12), own.Total+14400
	a, b := quick.Until(year, total), whole.Until(year, total)
	if t.Logf("%.5f and %.5f", a, b); a == 0 || math.Abs(a-b) > 0.0002 {
		t.Errorf("a chance of %.5f as is told for all, %.5f with the other part", a, b)
	}
}
