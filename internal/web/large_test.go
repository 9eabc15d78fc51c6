package web

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/together"
)

// TestALargeYard: beyond fifty vehicles the yard page shows the nearest deadlines
// and says what it has not looked at, the others are a link away, and what would
// take all vehicles at once says so and offers some of them.
func TestALargeYard(t *testing.T) {
	s := newSite(t, t.TempDir(), nil, Options{})
	s.write("yard.yaml", "yard: Reserve\nvisits: {hours_per_month: 20}\n")
	const n = 130
	for i := range n {
		s.write(fmt.Sprintf("vehicles/v-%d.yaml", i),
			fmt.Sprintf("undertray: 1\nvehicle: v-%d\nname: Van %[1]d\npositions:\n"+
				"  - {id: belt, name: Main belt, kind: ribbed-belt, from: below, x: 50, y: 20, part: {material: "+
				"epdm}}\n", i))
	}
	s.write("vehicles/v-9.yaml", "undertray: 1\n")
	page := s.get("/").body
	if got := strings.Count(page, `#odometer">Write a reading down`); got != together.Few {
		t.Errorf("%d vehicles are shown", got)
	}
	for _, want := range []string{"vehicles are not looked at yet today",
		"Vehicles 1 to 50 of 130, the nearest deadline first."} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	for more := true; more; {
		var err error
		if more, err = s.server.roll.Step(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	s.record("v-77", &fleet.Entry{Type: fleet.TypeFound, Date: s.server.today(),
		Found: &fleet.Found{Position: "belt", Check: "rib-damage", Answer: "chunk-missing"}})
	page = s.get("/").body
	for _, want := range []string{"Do not drive one vehicle", "The sheets of one vehicle have mistakes", "v-9.yaml",
		`href="/?from=51"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	p := programOf(t, &guarded{site: s})
	for path, want := range map[string]int{"vehicles?from=51": 200, "plan?vehicles=v-1,v-77": 200, "plan": 422} {
		if a := p.send("GET", path, ""); a.StatusCode != want {
			t.Errorf("a program asks %s: %s", path, a.Status)
		}
	}
	parked, other := strings.Index(page, "Van 77</a></h2>"), strings.Index(page, "Van 0</a></h2>")
	if parked < 0 || other >= 0 && other < parked || strings.Contains(page, "not looked at yet") {
		t.Error("not all are looked at, or the parked one is not the first")
	}
	if part := s.get("/?from=101").body; !strings.Contains(part, "Vehicles 101 to 130 of 130") ||
		strings.Contains(part, "Those after") {
		t.Error("the last part of the list")
	}
	nav, _, _ := strings.Cut(s.get("/v/v-3").body, "</nav>")
	if own := strings.Count(nav, `href="/v/v-3`); own == 0 || strings.Count(nav, `href="/v/`) != own {
		t.Error("the header names other vehicles")
	}
	for path, want := range map[string]struct {
		status int
		says   string
	}{
		"/?on=2026-01-01":                   {http.StatusUnprocessableEntity, "for today only"},
		"/?from=131":                        {http.StatusUnprocessableEntity, "no place on the list"},
		"/plan":                             {http.StatusOK, "Which of the 130 vehicles are planned together?"},
		"/plan?vehicles=v-1,v-77":           {http.StatusOK, "Planned together: two vehicles of 130"},
		"/plan?vehicles=v-1,v-999":          {http.StatusNotFound, "v-999"},
		"/calendar.ics":                     {http.StatusUnprocessableEntity, "130 vehicles are too many"},
		"/calendar.ics?vehicles=v-77":       {http.StatusOK, "BEGIN:VCALENDAR"},
		"/plan/parts?vehicles=v-77":         {http.StatusOK, "buy"},
		"/v/v-77/plan":                      {http.StatusOK, "of this vehicle alone"},
		"/search?q=v-77":                    {http.StatusOK, `href="/v/v-77"`},
		"/kinds/ribbed-belt":                {http.StatusOK, "of 130 that the others learn from"},
		"/v/v-77":                           {http.StatusOK, "Do not drive it"},
		"/v/v-9":                            {http.StatusUnprocessableEntity, "v-9.yaml"},
		"/plan/better?vehicles=v-1&as=json": {http.StatusOK, ""},
		"/plan/parts":                       {http.StatusUnprocessableEntity, "too many"},
	} {
		if got := s.get(path); got.StatusCode != want.status || !strings.Contains(got.body, want.says) {
			t.Errorf("%s: %s, want %d and %q", path, got.Status, want.status, want.says)
		}
	}
	if got := s.get("/", "Accept", "application/json"); !strings.Contains(got.body, `"of": 130`) &&
		!strings.Contains(got.body, `"of":130`) {
		t.Errorf("in JSON: %.300s", got.body)
	}
}
