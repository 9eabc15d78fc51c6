package plan_test

import (
	"context"
	"errors"
	"slices"
	"sync/atomic"
	"testing"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/why"
)

// asked counts how often a search asks whether it is to end: once for every few
// moves and every step of its prices, whatever the machine. From most on it is
// told so.
type asked struct {
	context.Context
	n    *atomic.Int64
	most int64
}

func (a asked) Err() error {
	if n := a.n.Add(1); a.most > 0 && n > a.most {
		return context.Canceled
	}
	return a.Context.Err()
}

// A plan of all asks at most half as often as it did when prices were improved
// by subgradient steps, 21 160 times (5 210 when this was written): what is
// shared out need not be proven to the last.
func TestAYardIsSearchedLittle(t *testing.T) {
	var all atomic.Int64
	if _, err := plan.MakeYard(asked{Context: t.Context(), n: &all}, demotest.All(t),
		plan.YardOptions{Rules: sharedHours}); err != nil {
		t.Fatal(err)
	}
	if n := all.Load(); n == 0 || n > 21160/2 {
		t.Errorf("asked %d times for all", n)
	}
}

// Gone on with, the plan of a yard gets no dearer and its bound no lower, keeps
// every rule, and comes to an end.
func TestAYardsPlanIsGoneOnWith(t *testing.T) {
	y := yardPlan(t, plan.YardOptions{Options: plan.Options{Months: 12}, MonthHours: 14})
	if given(y.Gives, why.GiveOverfull) == nil {
		t.Fatal("nothing is shared: this test shows nothing")
	}
	gained := 0
	for range 50 {
		better, err := y.GoOn(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if better == nil {
			break
		}
		if err := better.Verify(); err != nil {
			t.Error(err)
		}
		if better.Score > y.Score+1e-6 || better.Bound < y.Bound-1e-6 || better.Bound > better.Score+1e-6 ||
			better.BetterWords(y) == "" {
			t.Errorf("from %g (bound %g) to %g (bound %g)", y.Score, y.Bound, better.Score, better.Bound)
		}
		if len(better.Visits) == 0 || given(better.Gives, why.GiveOverfull) == nil {
			t.Errorf("%d visits, gives %q", len(better.Visits), better.GivesWords())
		}
		y, gained = better, gained+1
	}
	if again, err := y.GoOn(t.Context()); again != nil || err != nil || gained == 0 {
		t.Errorf("after %d gains the search is not at its end: %v, %v", gained, again, err)
	}
	if lone := yardPlan(t, plan.YardOptions{Options: plan.Options{Months: 12}}); lone.MayGain() {
		t.Error("where nothing is shared there is nothing to go on with")
	}
}

// Wherever it is stopped, planning ends with the context's error and no plan;
// what is gone on with is not spoilt by it.
func TestPlanningStopsWithItsContext(t *testing.T) {
	reports := demotest.All(t)
	opt := plan.YardOptions{Options: plan.Options{Months: 12}, MonthHours: 14}
	for most := int64(1); most < 3000; most *= 3 {
		var n atomic.Int64
		if y, err := plan.MakeYard(asked{t.Context(), &n, most}, reports, opt); y != nil ||
			!errors.Is(err, context.Canceled) {
			t.Errorf("stopped at %d: %v, %v", most, y, err)
		}
	}
	y := yardPlan(t, opt)
	for most := int64(1); most < 200; most *= 5 {
		var n atomic.Int64
		if better, err := y.GoOn(asked{t.Context(), &n, most}); better != nil || !errors.Is(err, context.Canceled) {
			t.Errorf("stopped at %d: %v, %v", most, better, err)
		}
	}
	if _, err := y.GoOn(t.Context()); err != nil {
		t.Error(err)
	}
	if err := y.Verify(); err != nil {
		t.Error(err)
	}
}

// A plan begins with the one before it: where nothing was recorded nothing
// moves, and it gets no dearer.
func TestAYardsPlanBeginsWithTheOneBefore(t *testing.T) {
	opt := plan.YardOptions{Rules: fleet.YardRules{HoursPerMonth: 12}}
	y := yardPlan(t, opt)
	opt.Before = y
	again := yardPlan(t, opt)
	if again.Score > y.Score+1e-6 {
		t.Errorf("costs %g, and %g begun with that", y.Score, again.Score)
	}
	for i, p := range again.Plans {
		if again.Score > y.Score-1e-6 && !slices.Equal(daysOf(p), daysOf(y.Plans[i])) {
			t.Errorf("%s moved from %s to %s", p.Vehicle.ID, daysOf(y.Plans[i]), daysOf(p))
		}
	}
}
