package trip_test

import (
	"math"
	"slices"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/trip"
	"undertray.example/undertray/units"
)

// twoOf is a vehicle with two parts of a kind, fitted so many months ago.
func twoOf(t *testing.T, cat *catalogue.Catalogue, kind string, months ...int) *advise.Report {
	t.Helper()
	on := civil.MustParse("2026-11-28")
	v := &fleet.Vehicle{ID: "wren", Name: "Wren", Built: on.AddMonths(-slices.Max(months))}
	var entries []*fleet.Entry
	add := func(at civil.Date, e fleet.Entry) {
		e.ID, e.Vehicle, e.Date = string(rune('a'+len(entries))), v.ID, at
		q := units.Must(40*float64(at.Sub(v.Built)), "km")
		e.Odometer = &q
		entries = append(entries, &e)
	}
	for i, m := range months {
		id := []string{"one", "other"}[i]
		v.Positions = append(v.Positions, fleet.Position{ID: id, Name: id, Kind: kind, From: fleet.Above})
		add(on.AddMonths(-m), fleet.Entry{Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: id}})
	}
	add(on, fleet.Entry{Type: fleet.TypeOdometer})
	return advise.Vehicle(cat, v, entries, on)
}

// since lets what is aboard be there since so many days ago.
func since(r *advise.Report, days int) *advise.Report {
	for _, e := range r.State.Aboard {
		e.Date = r.On.AddDays(-days)
	}
	return r
}

// A belt of one length serves one of two belts, the likelier; tape serves whichever hose
// goes first, and a second one seldom goes on the same trip.
func TestOneSpareServesOnePart(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, kind := range []string{"ribbed-belt", "top-hose"} {
		k := cat.Kind(kind)
		r := twoOf(t, cat, kind, 70, 60)
		ask := func(r *advise.Report) *trip.Trip {
			out, err := trip.Ask(r, trip.Options{Km: 2400, Under: 0.9})
			if err != nil {
				t.Fatal(err)
			}
			return out
		}
		bare, full := ask(with(r)), ask(with(r, k.Life.Carry...))
		p, q, h := full.Risks[0].P, full.Risks[1].P, k.Life.Mend.Holds
		want := p*(1-h) + q - p*(1-h)*q // of the likelier alone
		if kind == "top-hose" {
			want = 1 - (1-p)*(1-q) - h*p*(1-q) - h*q*(1-p)
		}
		if !(p > q && q > 0) || math.Abs(full.Stranded-want) > 1e-12 || !(full.Stranded < bare.Stranded) {
			t.Errorf("%s: %g and %g: stranded %g, not %g; %g with nothing aboard", kind, p, q, full.Stranded, want,
				bare.Stranded)
		}
		if one := full.Risks[1].Mend.Holds > 0; one != (kind == "top-hose") {
			t.Errorf("%s: the less likely is served: %v", kind, one)
		}
		for i, risk := range full.Risks {
			if cost := risk.Mend.Cost(400, 10); (cost < 400) != (i == 0 || kind == "top-hose") {
				t.Errorf("%s: a failure of %s costs %g", kind, risk.Judgement.Position.ID, cost)
			}
		}
	}
}

// What is changed beforehand with a spare aboard is the cheapest that reaches the aim, as
// trying every set with the chance worked out anew has it.
func TestFixesWithASpareAboard(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	reached := 0
	for _, kind := range []string{"ribbed-belt", "top-hose", "idler"} {
		r := twoOf(t, cat, kind, 75, 58)
		r = with(r, cat.Kind(kind).Life.Carry...)
		for _, under := range []float64{0.0003, 0.001, 0.003, 0.01, 0.03} {
			out, err := trip.Ask(r, trip.Options{Km: 2400, Under: under})
			if err != nil {
				t.Fatal(err)
			}
			least, money := math.Inf(1), 0.0
			for _, f := range out.Fixes {
				money += f.Money
			}
			for set := range 1 << len(out.Risks) {
				through, odds := 1.0, 0.0
				cost := 0.0
				for i, risk := range out.Risks {
					p := risk.P
					if set&(1<<i) != 0 {
						p, cost = risk.New, cost+1
					}
					through, odds = through*(1-p), odds+risk.Mend.Holds*p/(1-p)
				}
				if 1-through*(1+odds) <= under+1e-12 {
					least = min(least, cost)
				}
			}
			if len(out.Must) == 0 && out.Reached && float64(len(out.Fixes)) != least {
				t.Errorf("%s under %g: %d changes, %g would do", kind, under, len(out.Fixes), least)
			}
			if out.Reached != (out.After <= under) || len(out.Must) == 0 && out.Reached == math.IsInf(least, 1) {
				t.Errorf("%s under %g: after %g, reached %v, %g changes would do", kind, under, out.After,
					out.Reached, least)
			}
			if out.Reached && len(out.Fixes) > 0 {
				reached++
			}
		}
	}
	if reached < 2 {
		t.Errorf("%d aims reached by changes: too few", reached)
	}
}

// A spare belt ages as its kind's interval of time says: as good as new at first, as many
// still good at the interval as the catalogue reads intervals, ever fewer after it. What
// does not age stays as it is.
func TestASpareAges(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for _, kind := range cat.Kinds() {
		if kind.Life == nil || kind.Life.Mend == nil || kind.Life.Mend.Spare == nil {
			continue
		}
		tried++
		r := twoOf(t, cat, kind.ID, 20)
		holds := func(days int) float64 {
			m := since(with(r, kind.Life.Carry...), days).Mend(r.Judgement("one"))
			return m.Holds
		}
		full, interval := kind.Life.Mend.Holds, 0.0
		if m := with(r, kind.Life.Carry...).Mend(r.Judgement("one")); m.Spare.Lasts != nil {
			interval = m.Spare.Lasts.Base()
		}
		if got := holds(0); got != full {
			t.Errorf("%s: a new spare holds in %g, not %g", kind.ID, got, full)
		}
		if interval == 0 {
			if got := holds(365 * 40); got != full {
				t.Errorf("%s: one of forty years holds in %g, not %g", kind.ID, got, full)
			}
			continue
		}
		share := cat.Lives().Share
		if kind.Life.Share > 0 {
			share = kind.Life.Share
		}
		if got := holds(int(interval)); math.Abs(got-full*(1-share)) > 1e-3 {
			t.Errorf("%s: one as old as its interval holds in %g, not %g", kind.ID, got, full*(1-share))
		}
		last := full
		for years := 1; years < 40; years++ {
			now := holds(365 * years)
			if now > last || float64(365*years) > interval && now >= full*(1-share) {
				t.Errorf("%s: %g at %d years, %g a year before", kind.ID, now, years, last)
			}
			last = now
		}
	}
	if tried < 4 {
		t.Errorf("%d kinds with a spare: too few", tried)
	}
}
