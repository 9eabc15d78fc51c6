package web

import (
	"context"
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"undertray.example/undertray/internal/plan"
)

// used is the processor time that the process has taken.
func used(t *testing.T) time.Duration {
	t.Helper()
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		t.Fatal(err)
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}

// scarceSite is the demo yard with fewer hours a month, so that its plan leaves something to search for.
func scarceSite(t *testing.T, hours string) *site {
	t.Helper()
	s := demoSite(t)
	name := filepath.Join(s.dir, "yard.yaml")
	src, err := os.ReadFile(name)
	scarce := strings.Replace(string(src), "hours_per_month: 20", "hours_per_month: "+hours, 1)
	if err != nil || scarce == string(src) {
		t.Fatalf("%v; the demo yard has other hours: %s", err, src)
	}
	if err := os.WriteFile(name, []byte(scarce), 0o600); err != nil {
		t.Fatal(err)
	}
	return s
}

// leave asks for a page and leaves it after a while, and returns the processor
// time that the process takes until the page is left and in two seconds after.
func (s *site) leave(path string, after time.Duration) (until, then time.Duration) {
	s.t.Helper()
	ctx, cancel := context.WithTimeout(s.t.Context(), after)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, s.url+path, nil)
	if err != nil {
		s.t.Fatal(err)
	}
	begun := used(s.t)
	if a, err := s.client.Do(r); err == nil {
		a.Body.Close()
		<-ctx.Done()
	}
	left := used(s.t)
	time.Sleep(2 * time.Second)
	return left - begun, used(s.t) - left
}

// A page of the yard plan that is left after a second stops its work, and so
// does the search for a better plan that the page waits for: no more than 200 ms
// of processor time follow, in which both would otherwise go on for longer.
func TestALeftPageStopsItsWork(t *testing.T) {
	s := scarceSite(t, "16")
	s.page("/") // works the vehicles out
	if until, then := s.leave("/plan?months=36&month-hours=13", 200*time.Millisecond); then > 200*time.Millisecond ||
		until < 20*time.Millisecond {
		t.Errorf("the plan takes %s, and %s once its page is left", until, then)
	}
	s.page("/plan")
	if until, then := s.leave("/plan/better", time.Second); then > 200*time.Millisecond || until < 20*time.Millisecond {
		t.Errorf("the search takes %s, and %s once its page is left", until, then)
	}
	before := used(t)
	s.page("/plan")
	if took := used(t) - before; took > 200*time.Millisecond {
		t.Errorf("the plan is made anew after a search was left: %s", took)
	}
}

// A page that waits is told of a better plan, or that the search is at its end,
// and what was found is shown from then on.
func TestAPageIsToldOfABetterPlan(t *testing.T) {
	s := scarceSite(t, "18")
	before := s.yardView()
	if len(s.page("/plan").find("[data-better]")) != 1 {
		t.Fatal("the page does not wait for a better plan")
	}
	told := false
	for again, n := true, 0; again && n < 50; n++ {
		var better betterView
		if err := json.Unmarshal([]byte(s.get("/plan/better", "Accept", "application/json").body),
			&better); err != nil {
			t.Fatal(err)
		}
		told, again = told || better.Words != "", better.Again
		if better.Words != "" {
			after := s.yardView()
			if after.Cost > before.Cost+1e-6 || after.Bound < before.Bound-1e-6 || after.Cost == before.Cost &&
				after.Bound == before.Bound {
				t.Errorf("%q: the page goes from %g (bound %g) to %g (%g)", better.Words, before.Cost, before.Bound,
					after.Cost, after.Bound)
			}
			before = after
		}
	}
	if begun := before.Cost - before.Bound; !told && begun > 0.01*before.Cost { // a closer plan may gain nothing
		t.Errorf("no page was told of anything, with %g to gain", begun)
	}
	if len(s.page("/plan").find("[data-better]")) != 0 && (before.Cost-before.Bound)/before.Cost < 0.002 {
		t.Error("the page still waits at the end of the search")
	}
}

func (s *site) yardView() plan.YardView {
	s.t.Helper()
	var v plan.YardView
	if err := json.Unmarshal([]byte(s.get("/plan", "Accept", "application/json").body), &v); err != nil {
		s.t.Fatal(err)
	}
	return v
}
