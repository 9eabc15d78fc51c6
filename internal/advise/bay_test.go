package advise_test

import (
	"slices"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
)

// Every position of the demo yard is drawn once, on the side it is seen from;
// the numbers of the two drawings go through, and what openings show is lit.
func TestBays(t *testing.T) {
	for _, r := range demotest.Reports(t) {
		for _, look := range append(advise.Looks(r.Vehicle), advise.Look{}) {
			var open []string
			if look.Opening != nil {
				open = r.Vehicle.Closure([]string{look.Opening.ID})
			}
			figs, err := r.Bays(open, 400, nil, func(p string) string { return "/p/" + p })
			if err != nil {
				t.Fatalf("%s: %v", r.Vehicle.ID, err)
			}
			lit, n := 0, 0
			for _, f := range figs {
				for _, c := range f.Legend {
					if n++; c.Number != n {
						t.Errorf("%s: %s has number %d, want %d", r.Vehicle.ID, c.ID, c.Number, n)
					}
					if p := r.Vehicle.Position(c.ID); p == nil {
						t.Errorf("%s: %s is no position seen from here", r.Vehicle.ID, c.ID)
					}
					if c.Lit {
						lit++
					}
				}
			}
			if n != len(r.Judgements) {
				t.Errorf("%s: %d of %d positions are drawn", r.Vehicle.ID, n, len(r.Judgements))
			}
			if lit != look.Shows {
				t.Errorf("%s: %d positions are lit by %v, %d shown", r.Vehicle.ID, lit, open, look.Shows)
			}
		}
	}
}

// An opening shows what is seen through it and the openings it needs, nothing
// in plain sight and nothing that another opening hides.
func TestLooks(t *testing.T) {
	v := &fleet.Vehicle{Openings: []fleet.Opening{
		{ID: "bonnet", Name: "Bonnet", Minutes: 1, UndoMinutes: 1},
		{ID: "cover", Name: "Cover", Minutes: 3, UndoMinutes: 2, Needs: []string{"bonnet"}},
		{ID: "tray", Name: "Undertray", Minutes: 10, UndoMinutes: 12},
	}, Positions: []fleet.Position{
		{ID: "tyre"}, {ID: "battery", Seen: []string{"bonnet"}}, {ID: "belt", Seen: []string{"cover"}},
		{ID: "sump", Seen: []string{"tray"}}, {ID: "hose", Seen: []string{"bonnet", "tray"}},
	}}
	want := []struct {
		id      string
		minutes float64
		needs   []string
		shows   int
	}{{"bonnet", 2, nil, 1}, {"cover", 7, []string{"bonnet"}, 2}, {"tray", 22, nil, 1}}
	got := advise.Looks(v)
	if len(got) != len(want) {
		t.Fatalf("%d looks, want %d", len(got), len(want))
	}
	for i, w := range want {
		var needs []string
		for _, o := range got[i].Needs {
			needs = append(needs, o.ID)
		}
		if g := got[i]; g.Opening.ID != w.id || g.Minutes != w.minutes || !slices.Equal(needs, w.needs) ||
			g.Shows != w.shows {
			t.Errorf("%s: %g minutes, needs %v, shows %d; want %+v", g.Opening.ID, g.Minutes, needs, g.Shows, w)
		}
	}
}
