package record

import (
	"context"
	"strings"
	"testing"

	"undertray/internal/catalogue"
	"undertray/internal/fleet"
)

// found is a finding that makes a claim.
func found(c *catalogue.Claim, sure bool) *fleet.Entry {
	f := &fleet.Found{Position: "part", Check: c.Check}
	switch {
	case c.AtLeast != nil:
		f.Value = c.AtLeast
	case c.AtMost != nil:
		f.Value = c.AtMost
	default:
		f.Answer = c.Is[0]
	}
	return &fleet.Entry{Type: fleet.TypeFound, Date: on("2026-01-01"), Sure: sure, Found: f}
}

// Every contradiction of the catalogue is asked again with its reason, is kept
// where the owner is sure, and is none without one of its claims. The three of
// the trade (common practice) are among them.
func TestContradictionsAreAskedAgain(t *testing.T) {
	r, s, v := newRecorder(t)
	r.Run = func(*fleet.Vehicle, []*fleet.Entry, string) string { return catalogue.RunMiddle }
	seen := map[string]bool{}
	for _, k := range r.Catalogue.Kinds() {
		v.Positions = []fleet.Position{{ID: "part", Name: "Part", Kind: k.ID}}
		for i := range k.Contradictions {
			x := &k.Contradictions[i]
			var all, sure []*fleet.Entry
			run := false
			for n := range x.All {
				if c := &x.All[n]; c.Run == "" {
					all, sure = append(all, found(c, false)), append(sure, found(c, true))
					seen[c.Check+" "+strings.Join(c.Is, "")] = true
				} else {
					run = true
				}
			}
			was := s.landings
			if _, err := r.Batch(context.Background(), v, all); err == nil || s.landings != was || !strings.Contains(strings.Join(fleet.Hints(err), " "), x.Says) {
				t.Errorf("%s: %s is kept, or not said why: %v", k.ID, x.Says, err)
			}
			if _, err := r.Batch(context.Background(), v, sure); err != nil {
				t.Errorf("%s: the owner is sure, yet %v", k.ID, err)
			}
			if run {
				r.Run = nil
				if _, err := r.Batch(context.Background(), v, all); err != nil {
					t.Errorf("%s: no run says otherwise, yet %v", k.ID, err)
				}
				r.Run = func(*fleet.Vehicle, []*fleet.Entry, string) string { return catalogue.RunMiddle }
				continue
			}
			if _, err := r.Batch(context.Background(), v, all[1:]); err != nil {
				t.Errorf("%s: one claim alone: %v", k.ID, err)
			}
		}
	}
	for _, want := range []string{"rib-damage none", "cracks ", "rib-wear above", "groove-shape u", "mark at-endoutside"} {
		if !seen[want] {
			t.Errorf("no contradiction has %q", want)
		}
	}
}

// Of a belt without damage twenty cracks cannot be counted, and one can be.
func TestNoDamageAndTwentyCracks(t *testing.T) {
	r, _, v := newRecorder(t)
	for count, want := range map[string]bool{"20 per 75 mm": true, "1 per 75 mm": false} {
		_, err := r.Batch(context.Background(), v, []*fleet.Entry{
			{Type: fleet.TypeFound, Date: on("2026-01-01"), Odometer: q("100000 km"), Found: &fleet.Found{Position: "main-belt", Check: "rib-damage", Answer: "none"}},
			{Type: fleet.TypeFound, Date: on("2026-01-01"), Found: &fleet.Found{Position: "main-belt", Check: "cracks", Value: q(count)}}})
		if (err != nil) != want {
			t.Errorf("%s: %v", count, err)
		}
	}
}
