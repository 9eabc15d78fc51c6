package ahead

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/units"
)

// tyreYard is a vehicle that runs 15 000 km a year, with the tread found on
// the days given.
func tyreYard(t *testing.T, treads ...string) *advise.Report {
	t.Helper()
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	yearly := units.MustParse("15000 km")
	v := &fleet.Vehicle{ID: "teal", Name: "Teal", Built: civil.MustParse("2020-01-01"), Yearly: &yearly,
		Positions: []fleet.Position{{ID: "tyres", Name: "Tyres", Kind: "tyres", From: fleet.Above},
			{ID: "top-hose", Name: "Top hose", Kind: "top-hose", From: fleet.Above}}}
	var entries []*fleet.Entry
	add := func(e *fleet.Entry) {
		e.ID, e.Vehicle = fmt.Sprintf("%03d", len(entries)), v.ID
		entries = append(entries, e)
	}
	start := civil.MustParse("2022-01-01")
	for i := range 9 {
		q := units.Must(float64(30000+i*7500), "km")
		add(&fleet.Entry{Type: fleet.TypeOdometer, Date: start.AddMonths(6 * i), Odometer: &q})
	}
	first := units.MustParse("30000 km")
	for _, p := range v.Positions {
		add(&fleet.Entry{Type: fleet.TypeFitted, Date: start, Odometer: &first, Fitted: &fleet.Fitted{Position: p.ID}})
	}
	for i, tread := range treads {
		q := units.MustParse(tread)
		add(&fleet.Entry{Type: fleet.TypeFound, Date: start.AddMonths(6 * (i + 1)),
			Found: &fleet.Found{Position: "tyres", Check: "tread", Value: &q}})
	}
	return advise.Vehicle(cat, v, entries, start.AddMonths(48))
}

func wearTo(t *testing.T, r *advise.Report, mm float64) *Wearout {
	t.Helper()
	all := Glance(r, r.Judgement("tyres")).Wear
	for i := range all {
		if math.Abs(all[i].Bound.In("mm")-mm) < 1e-9 {
			return &all[i]
		}
	}
	t.Fatalf("no forecast to %g mm among %d", mm, len(all))
	return nil
}

func TestSteadyWearIsDated(t *testing.T) {
	r := tyreYard(t, "7.4 mm", "6.8 mm", "6.2 mm", "5.6 mm", "5.0 mm", "4.4 mm")
	w := wearTo(t, r, 1.6)
	// 0.6 mm in half a year from 4.4 mm: 1.6 mm is met 2.33 years on.
	want := civil.MustParse("2025-01-01").AddDays(852)
	if off := w.When.Expected.Sub(want); off < -120 || off > 120 {
		t.Errorf("expected %s, want about %s", w.When.Expected, want)
	}
	if !w.When.Earliest.Before(w.When.Expected) || !w.When.Expected.Before(w.When.Latest) {
		t.Errorf("band %s, %s, %s", w.When.Earliest, w.When.Expected, w.When.Latest)
	}
	if w.Surprise == nil || w.Surprise.Contradicts {
		t.Errorf("steady wear contradicts its forecast: %+v", w.Surprise)
	}
	for _, say := range []string{"1.6 mm", "8 in 10", "six measurements"} {
		if !strings.Contains(w.Words(units.Preferences{}).String(), say) {
			t.Errorf("%q lacks %q", w.Words(units.Preferences{}), say)
		}
	}
}

func TestFewMeasurementsSaySo(t *testing.T) {
	two := wearTo(t, tyreYard(t, "7.4 mm", "6.8 mm"), 3)
	six := wearTo(t, tyreYard(t, "7.4 mm", "6.8 mm", "6.2 mm", "5.6 mm", "5.0 mm", "4.4 mm"), 3)
	width := func(w *Wearout) int { return w.When.Latest.Sub(w.When.Earliest) }
	if !strings.Contains(two.Rests().String(), "rough") || width(two) <= width(six) {
		t.Errorf("two measurements: %s, %d days; six: %d days", two.Rests(), width(two), width(six))
	}
	one := wearTo(t, tyreYard(t, "7.4 mm"), 3)
	if !one.Prior || !strings.Contains(one.Rests().String(), "interval alone") {
		t.Errorf("one measurement: %s", one.Rests())
	}
}

func TestWearThatContradictsItsForecast(t *testing.T) {
	w := wearTo(t, tyreYard(t, "7.4 mm", "6.8 mm", "6.2 mm", "5.6 mm", "3.8 mm"), 1.6)
	if s := w.SurpriseWords(); !strings.Contains(s.String(), "three times the wear expected") {
		t.Errorf("it says %q, factor %v", s, w.Surprise)
	}
}

func TestChanceGrowsAndNamesWhatItRestsOn(t *testing.T) {
	r := tyreYard(t)
	c, ok := ChanceOf(r, r.Judgement("top-hose"))
	if !ok {
		t.Fatal("no chance for a hose of known age")
	}
	before := 0.0
	for months := 1; months < 60; months += 6 {
		day := r.On.AddMonths(months)
		total, _ := r.Forecast.Total(day)
		p := c.Until(day, total)
		if p < before || p < 0 || p > 1 || math.IsNaN(p) {
			t.Fatalf("chance %g after %g", p, before)
		}
		before = p
	}
	if before < 0.3 {
		t.Errorf("a hose of eight years and more fails with chance %.2f only", before)
	}
	if s := c.Words(c.Rests()); !strings.Contains(s.String(), "rough") || !strings.Contains(s.String(), "part maker") {
		t.Errorf("it says %q", s)
	}
}

func TestOdds(t *testing.T) {
	for p, want := range map[float64]string{0.97: "nearly certain", 0.5: "about 5 in 10", 0.025: "about 1 in 40",
		0.3: "about 1 in 3", 0.0001: "less than 1 in 1000", 0.004: "about 1 in 250"} {
		if got := say.Odds(p); got != want {
			t.Errorf("%g: %q, want %q", p, got, want)
		}
	}
}

func TestWorthPricesWaiting(t *testing.T) {
	r := tyreYard(t)
	j := r.Judgement("top-hose")
	cost, recovery := units.MustParse("20 EUR"), units.MustParse("300 EUR")
	j.Position.Part.Cost, r.Vehicle.Costs.Recovery = &cost, &recovery
	c, _ := ChanceOf(r, j)
	w, ok := WorthOf(r, j, c)
	if !ok {
		t.Fatal("not priced")
	}
	if w.Fail <= w.Now || w.Now <= 0 || w.Best.Age <= 0 {
		t.Errorf("now %.2f, waiting %.2f, failing %.2f, best age %.0f", w.Now, w.Wait, w.Fail, w.Best.Age)
	}
	other := units.MustParse("20 GBP")
	j.Position.Part.Cost = &other
	if _, ok := WorthOf(r, j, c); ok {
		t.Error("two currencies were compared")
	}
}

func TestFirstLetters(t *testing.T) {
	for in, want := range map[string][2]string{"oil": {"Oil", "oil"}, "Ölfilter": {"Ölfilter", "ölfilter"},
		"VIN": {"VIN", "VIN"}, "": {"", ""}, "a": {"A", "a"}} {
		if say.Capital(in) != want[0] || say.LowerFirst(in) != want[1] {
			t.Errorf("%q: %q, %q", in, say.Capital(in), say.LowerFirst(in))
		}
	}
}

// A third of the wall of a brake pipe is a share: it is not 33.3 mm, nor is 20 % a figure in mm. What was measured
// on the day of a change before it is of the part that came off.
func TestAShareIsNoFigure(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	start, end := civil.MustParse("2022-01-01"), civil.MustParse("2026-01-01")
	v := &fleet.Vehicle{ID: "teal", Name: "Teal", Built: start,
		Positions: []fleet.Position{{ID: "pipes", Name: "Pipes", Kind: "brake-pipe", From: fleet.Below}}}
	entries := []*fleet.Entry{{ID: "01", Vehicle: "teal", Date: start, Fitted: &fleet.Fitted{Position: "pipes"}}}
	for i, loss := range []string{"0.20 mm", "0.04 mm", "0.08 mm", "20 %", "0.16 mm"} {
		q := units.MustParse(loss)
		entries = append(entries, &fleet.Entry{ID: fmt.Sprint(i), Vehicle: "teal", Date: start.AddMonths(12 * i),
			Found: &fleet.Found{Position: "pipes", Check: "wall-loss", Value: &q}})
	}
	r := advise.Vehicle(cat, v, entries, end)
	all := Wearouts(r, r.Judgement("pipes"))
	if len(all) != 1 || all[0].Bound.String() != "0.25 mm" || len(all[0].path) != 3 {
		t.Fatalf("%d forecasts, %+v", len(all), all)
	}
	if w := all[0].When.Expected; w.Before(end.AddMonths(18)) || w.After(end.AddMonths(40)) {
		t.Errorf("0.04 mm a year from 0.16 mm meets 0.25 mm on %s", w)
	}
}

// A figure beyond both bounds of a limit has met the one that was forecast; one short of both has not.
func TestAFigureMeetsTheBoundThatWasForecast(t *testing.T) {
	two, three := units.MustParse("2 mm"), units.MustParse("3 mm")
	for _, c := range []struct {
		limit fleet.Limit
		bound units.Quantity
		met   map[string]bool
	}{
		{fleet.Limit{AtLeast: &two, LessThan: &three}, two, map[string]bool{"1 mm": false, "2 mm": true, "4 mm": true}},
		{fleet.Limit{MoreThan: &two}, two, map[string]bool{"2 mm": false, "2.1 mm": true}},
		{fleet.Limit{AtMost: &two}, two, map[string]bool{"2 mm": true, "2.1 mm": false}},
		{fleet.Limit{LessThan: &three}, three, map[string]bool{"3 mm": false, "2.9 mm": true, "5 %": false}},
	} {
		w := Wearout{Limit: &c.limit, Bound: c.bound}
		for figure, want := range c.met {
			q := units.MustParse(figure)
			if got := w.MetBy(&fleet.Finding{Found: &fleet.Found{Value: &q}}); got != want {
				t.Errorf("%+v is met by %s: %v", c.limit, figure, got)
			}
		}
	}
}
