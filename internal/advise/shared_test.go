package advise_test

import (
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/judge"
)

// One leak that wets several parts is told once, for the vehicle, with every
// place where it is to be looked for; each of them only points there, and keeps
// what it asks for by itself.
func TestASharedCauseIsToldOnce(t *testing.T) {
	r := demotest.Reports(t)["bittern"]
	if len(r.Shared) != 1 {
		t.Fatalf("the demo van shares %d causes", len(r.Shared))
	}
	s := r.Shared[0]
	told := r.SharedWords(s)
	for i := range r.Judgements {
		j := &r.Judgements[i]
		own, in := r.Own(j), slices.Contains(s.Positions, j.Position)
		if pointer := r.SharesWords(j); (pointer != "") != in {
			t.Errorf("%s points %q", j.Position.ID, pointer)
		}
		if !in {
			if own != j {
				t.Errorf("%s shares nothing and is cut", j.Position.ID)
			}
			continue
		}
		for _, f := range own.First {
			if len(f.When) == 1 && f.When[0] == s.Symptom.ID {
				t.Errorf("%s says again: %s", j.Position.ID, f.Do)
			}
		}
		for _, c := range j.With {
			for _, p := range c.Positions {
				elsewhere := c.Inspect && slices.Contains(c.When, s.Symptom.ID) && !slices.Contains(s.Positions, p)
				if elsewhere && !strings.Contains(strings.ToLower(told.String()), strings.ToLower(p.Name)) {
					t.Errorf("nothing is said of the %s, where the cause may be: %s", p.Name, told)
				}
			}
		}
		kept := func(c judge.Companion) bool { return !c.Inspect || len(c.When) == 0 }
		for _, c := range j.With {
			if kept(c) && !slices.ContainsFunc(own.With, func(o judge.Companion) bool { return o.Say == c.Say }) {
				t.Errorf("%s no longer says: %s", j.Position.ID, c.Say)
			}
		}
	}
}
