package cli

import (
	"testing"
	"time"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/howfar"
	"undertray.example/undertray/internal/plan"
)

// What is said of work that goes on rests on what is counted of it, from a second on, and else on the last time.
func TestHowFarIsSaid(t *testing.T) {
	b := &busy{}
	start := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	says := func(after time.Duration, last float64, want string) {
		t.Helper()
		if got := b.words(start.Add(after), last).String(); got != want {
			t.Errorf("after %s it says %q, want %q", after, got, want)
		}
	}
	says(time.Second, 0, "working it out")
	says(time.Second, 7.4, "working it out, about 7 s as the last time")
	done := howfar.Begin(howfar.With(t.Context(), &b.count), "vehicles planned", 5)
	says(2*time.Second, 7.4, "0 of 5 vehicles planned, about 7 s as the last time")
	done()
	says(4*time.Second, 7.4, "1 of 5 vehicles planned, about 8 s for the rest")
	for range 4 {
		done()
	}
	says(5*time.Second, 0, "5 of 5 vehicles planned")
}

// A plan of all counts its vehicles to the last.
func TestAPlanIsCounted(t *testing.T) {
	c := new(howfar.Count)
	hours := plan.YardOptions{Options: plan.Options{Months: 6, Steps: 1}, Rules: fleet.YardRules{HoursPerMonth: 9}}
	if _, err := plan.MakeYard(howfar.With(t.Context(), c), demotest.All(t), hours); err != nil {
		t.Fatal(err)
	}
	if what, done, of := c.At(); of != len(demotest.All(t)) || done != of || what == "" {
		t.Errorf("%d of %d %s are counted", done, of, what)
	}
}
