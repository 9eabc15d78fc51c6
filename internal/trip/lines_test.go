package trip_test

import (
	"math"
	"strings"
	"testing"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/trip"
)

// A belt with its tensioner and idlers stands as one line of what is changed before a
// trip, at what they take and cost together; what is changed besides stands apart
// (common practice: they are sold as one).
func TestASetBeforeATripIsOneLine(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	asked, err := trip.Ask(r, trip.Options{Km: 300})
	if err != nil {
		t.Fatal(err)
	}
	var fixes []trip.Fix
	for _, id := range []string{"main-belt", "battery", "main-tensioner", "idler-lower"} {
		j := r.Judgement(id)
		if j == nil {
			t.Fatalf("no %s", id)
		}
		fixes = append(fixes, trip.Fix{Judgement: j, Do: fleet.Change, Money: 40, Minutes: 20, Was: 0.1, New: 0.01,
			Reason: trip.Reason{Code: trip.LetsDown, Judgement: j}})
	}
	asked.Must, asked.Fixes = fixes[:1], fixes[1:]
	must, besides := asked.Lines()
	lines := append(must, besides...)
	if len(must) != 1 {
		t.Errorf("%d lines of what must be done", len(must))
	}
	if len(lines) != 2 || !strings.HasPrefix(lines[0].Title().String(), "Belt set: main drive belt") ||
		lines[1].Title().String() != r.Judgement("battery").Position.Name {
		t.Fatalf("%d lines, first %q", len(lines), lines[0].Title().String())
	}
	if set := lines[0]; set.Money != 120 || set.Minutes != 60 || math.Abs(set.Was-(1-0.9*0.9*0.9)) > 1e-12 {
		t.Errorf("the set takes %v, %v min, chance %v", set.Money, set.Minutes, set.Was)
	}
	says := lines[0].Words("EUR").String()
	if strings.Count(says, "€120") != 1 || !strings.Contains(says, "about 60 min") ||
		!strings.Contains(says, "any of it failing") {
		t.Errorf("told as %q", says)
	}
	fixes[2].Do = fleet.FindOut // what is not changed is no part of a set
	if _, got := asked.Lines(); len(got) != 2 {
		t.Errorf("%d lines besides with the tensioner to be found out about", len(got))
	}
}
