package web

import (
	"strings"
	"testing"
)

func TestCalendarFeed(t *testing.T) {
	s := demoSite(t)
	a := s.get("/calendar.ics")
	if got := a.Header.Get("Content-Type"); !strings.HasPrefix(got, "text/calendar") {
		t.Errorf("content type %q", got)
	}
	for _, says := range []string{"BEGIN:VCALENDAR\r\n", "UID:heron-visit-2027-04-03@undertray\r\n", "SUMMARY:Dunnock: "} {
		if !strings.Contains(a.body, says) {
			t.Errorf("the calendar lacks %q", says)
		}
	}
}

// The page shows what a move costs, and refuses what makes no sense by name.
func TestPlanPageAnswersWhatIf(t *testing.T) {
	s := demoSite(t)
	if got := s.page("/v/heron/plan?move=main-belt&to=9").text(".lead"); !strings.Contains(got, "more, time and risk counted in") {
		t.Errorf("the price of a later belt: %q", got)
	}
	if got := s.page("/v/heron/trip").text("h1"); !strings.Contains(got, "Say how far you go") {
		t.Errorf("without a distance: %q", got)
	}
	for path, says := range map[string]string{
		"/v/heron/plan?hours=none":              "hours of work",
		"/v/heron/plan?money=much":              "200 EUR",
		"/v/heron/plan?skip=Brumaire":           "names of months",
		"/v/heron/plan?months=99":               "1 to 36",
		"/v/heron/plan?stance=nobody":           "stance",
		"/v/heron/plan?move=main-belt&to=later": "not a month",
		"/v/heron/trip?distance=far":            "2400 km",
		"/v/heron/trip?distance=100&days=x":     "number of days",
		"/v/heron/trip?distance=100&under=0":    "such as 50",
	} {
		if a := s.get(path); a.StatusCode < 400 || !strings.Contains(a.body, says) {
			t.Errorf("%s: %d, without %q", path, a.StatusCode, says)
		}
	}
}
