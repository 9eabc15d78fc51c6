package advise_test

import (
	"encoding/json"
	"testing"

	"undertray/internal/advise"
	"undertray/internal/demo"
	"undertray/internal/fleet"
	"undertray/internal/yard"
	"undertray/units"
)

// TestWorkedAgreesWithWorkingOutAnew: what is kept is never older than the
// entries, the day and the sheet it is asked with.
func TestWorkedAgreesWithWorkingOutAnew(t *testing.T) {
	dir := t.TempDir()
	if _, err := demo.Create(t.Context(), dir); err != nil {
		t.Fatal(err)
	}
	y, err := yard.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	entries, err := demo.Told(dir)
	if err != nil {
		t.Fatal(err)
	}
	var w advise.Worked
	for _, ask := range []struct {
		entries int
		days    int
	}{{len(entries) / 2, 0}, {len(entries), 0}, {len(entries), 0}, {len(entries), 40}, {len(entries) - 1, 40}, {len(entries), 0}} {
		on := demo.Today.AddDays(ask.days)
		some := entries[:ask.entries]
		got := w.Yard(y.Catalogue, y.Vehicles, some, on)
		for i, v := range y.Vehicles {
			of := []*fleet.Entry{}
			for _, e := range some {
				if e.Vehicle == v.ID {
					of = append(of, e)
				}
			}
			want, had := said(t, advise.Vehicle(y.Catalogue, v, of, on)), said(t, got[i])
			if want != had {
				t.Fatalf("%s with %d entries %d days on is not worked out anew", v.ID, ask.entries, ask.days)
			}
			if got[i].Experience == nil {
				t.Errorf("%s has no experience of the yard", v.ID)
			}
		}
	}
}

func said(t *testing.T, r *advise.Report) string {
	t.Helper()
	alone := *r
	alone.Experience = nil
	text, err := json.Marshal(alone.View(units.Preferences{}, true))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
