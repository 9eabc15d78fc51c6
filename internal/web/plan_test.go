package web

import (
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"net/url"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-ical"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/buying"
	"undertray.example/undertray/internal/plan/calendar"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/yard"
)

func TestCalendarFeed(t *testing.T) {
	s := demoSite(t)
	a := s.get("/calendar.ics")
	if got := a.Header.Get("Content-Type"); !strings.HasPrefix(got, "text/calendar") {
		t.Errorf("content type %q", got)
	}
	var heron plan.View
	if err := json.Unmarshal([]byte(s.get("/v/heron/plan", "Accept", "application/json").body), &heron); err != nil ||
		len(heron.Visits) == 0 {
		t.Fatal(err, heron.Visits)
	}
	all := []string{"BEGIN:VCALENDAR\r\n", "SUMMARY:Dunnock: "}
	for _, v := range heron.Visits {
		all = append(all, "UID:heron-visit-"+v.Date.String()+"@undertray\r\n")
	}
	for _, says := range all {
		if !strings.Contains(a.body, says) {
			t.Errorf("the calendar lacks %q", says)
		}
	}
	// Read back with another library of RFC 5545 it says what the JSON says.
	var events []calendar.Event
	if err := json.Unmarshal([]byte(s.get("/calendar.ics", "Accept", "application/json").body), &events); err != nil {
		t.Fatal(err)
	}
	cal, err := ical.NewDecoder(strings.NewReader(a.body)).Decode()
	if err != nil {
		t.Fatal(err)
	}
	back := cal.Events()
	if len(back) != len(events) || len(events) < 20 {
		t.Fatalf("%d events read back, %d written", len(back), len(events))
	}
	for i, e := range events {
		start, err := back[i].DateTimeStart(time.UTC)
		title, errTitle := back[i].Props.Text(ical.PropSummary)
		if err != nil || errTitle != nil || civil.Of(start) != e.From || title != e.Title.String() {
			t.Errorf("event %d: %s %q came back as %s %q (%v, %v)", i, e.From, e.Title, start, title, err, errTitle)
		}
	}
}

// The page shows what a move costs, and refuses what makes no sense by name.
func TestPlanPageAnswersWhatIf(t *testing.T) {
	s := demoSite(t)
	if got := s.page("/v/heron/plan?move=main-belt&to=9").text(".lead"); !strings.Contains(got,
		"more, time and risk counted in") {
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

// The yard's page and its JSON are the room's answer, code by code and figure by
// figure: it keeps to the hours of yard.yaml, and says what gives where they do
// not suffice.
func TestYardPlanPage(t *testing.T) {
	s := demoSite(t)
	y, err := yard.Open(s.dir)
	if err != nil {
		t.Fatal(err)
	}
	made, err := plan.MakeYard(t.Context(), demotest.All(t),
		plan.YardOptions{Rules: y.Settings.Visits})
	if err != nil {
		t.Fatal(err)
	}
	var got, want any
	room, err := json.Marshal(made.View(y.Settings.Units))
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(json.Unmarshal(room, &want),
		json.Unmarshal([]byte(s.get("/plan", "Accept", "application/json").body), &got)); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("the page answers\n%v\nthe room\n%v", got, want)
	}
	g := made.Gives[slices.IndexFunc(made.Gives, func(g why.Give) bool { return g.Code == why.GiveOverfull })]
	if g.Shared.Hours != 20 || len(g.Overfull) == 0 || g.Overfull[0].Hours <= 20 || made.Hours != 20 ||
		made.Score < made.Alone {
		t.Errorf("20 hours are shared: %+v", g)
	}
	for _, p := range made.Plans {
		list, err := buying.OfPlan(p)
		if err != nil {
			t.Fatal(err)
		}
		for path, want := range map[string]string{"/plan": p.Headline().String(),
			"/plan/parts": list.Headline().String()} {
			if got := s.page("/v/" + p.Vehicle.ID + path).text("h1"); got != want {
				t.Errorf("%s%s says %q, the room %q", p.Vehicle.ID, path, got, want)
			}
		}
	}
	p := s.page("/plan")
	if got := p.text("h1"); got != made.Headline().String() {
		t.Errorf("says %q first, the room %q", got, made.Headline())
	}
	if got := p.text(".know"); !strings.Contains(got, "They share 20 hours a month") {
		t.Errorf("says %q", got)
	}
	gives := strings.Join(told.InEnglish(made.GivesWords()), " | What gives: ")
	if got := p.text(".caution"); got != "What gives: "+gives {
		t.Errorf("what gives: %q, in the room %q", got, made.GivesWords())
	}
	if got := s.page("/plan?month-hours=1&months=12").text("main"); !strings.Contains(got,
		"Heron: 1 hour of work in one visit is not enough") {
		t.Errorf("one hour a month: %.300q", got)
	}
	if got := s.page("/v/heron/plan").text("main"); !strings.Contains(got,
		"Planned together with the other vehicles: they share 20 hours a month") {
		t.Error("the vehicle's own plan does not say that it shares hours")
	}
	for path, says := range map[string]string{"/plan?month-hours=none": "such as 20", "/plan?money=much": "200 EUR",
		"/plan?skip=2027-04": "one vehicle at a time", "/plan?months=99": "1 to 36"} {
		if a := s.get(path); a.StatusCode < 400 || !strings.Contains(a.body, says) {
			t.Errorf("%s: %d, without %q", path, a.StatusCode, says)
		}
	}
}

// "I shall be in there on Saturday anyway for the water pump: what else?" is
// answered first, the least dear addition first.
func TestPlanPageSaysWhatElse(t *testing.T) {
	s := demoSite(t)
	p := s.page("/v/heron/plan?also=water-pump&day=2026-11-28")
	if got := p.text("#also h1"); !strings.HasPrefix(got, "While you are in there, also change: thermostat and ") {
		t.Errorf("what else: %q", got)
	}
	if n := len(p.find("#also li")); n < 3 {
		t.Errorf("%d additions", n)
	}
	for path, says := range map[string]string{"/v/heron/plan?also=water-pimp": "water-pump",
		"/v/heron/plan?also=water-pump&day=2020-01-01": "is past",
		"/v/heron/plan?also=water-pump&day=x":          "not a date"} {
		if a := s.get(path); a.StatusCode < 400 || !strings.Contains(a.body, says) {
			t.Errorf("%s: %d, without %q", path, a.StatusCode, says)
		}
	}
}

// The sheet of a visit holds what the plan has for it, under the rules the plan
// was asked for, and names the round that goes with it.
func TestAVisitOfThePlanHasItsJobSheet(t *testing.T) {
	s := demoSite(t)
	for _, asked := range []string{"", "?hours=8&months=12"} {
		var made plan.View
		if err := json.Unmarshal([]byte(s.get("/v/heron/plan"+asked, "Accept", "application/json").body),
			&made); err != nil {
			t.Fatal(err)
		}
		var sheets []string
		for _, a := range s.page("/v/heron/plan" + asked).find("main a") {
			if href := value(a, "href"); strings.HasPrefix(href, "/v/heron/job?") && !slices.Contains(sheets, href) {
				sheets = append(sheets, href)
			}
		}
		if len(sheets) != len(made.Visits) || len(sheets) < 3 {
			t.Fatalf("%s: %d visits, %d sheets", asked, len(made.Visits), len(sheets))
		}
		rounds := 0
		for i, v := range made.Visits[:3] {
			var job visit.JobView
			if err := json.Unmarshal([]byte(s.get(sheets[i], "Accept", "application/json").body), &job); err != nil {
				t.Fatalf("%s: %v", sheets[i], err)
			}
			var want, got []string
			for _, task := range v.Tasks {
				if task.Do == fleet.DoReplace {
					want = append(want, task.Position)
				}
			}
			for _, task := range job.Tasks {
				if task.Do == fleet.DoReplace {
					got = append(got, task.Position)
				}
			}
			if !slices.Equal(got, want) {
				t.Errorf("%s, visit %d: the sheet has %s, the plan %s", asked, i+1, got, want)
			}
			if job.Round != "" {
				rounds++
			}
		}
		if rounds == 0 {
			t.Errorf("%s: no visit's sheet names a round", asked)
		}
	}
	for path, says := range map[string]string{"/v/heron/job?visit=99": "hoose one from 1 to",
		"/v/heron/job?visit=x": "not the number of a visit"} {
		if a := s.get(path); a.StatusCode < 400 || !strings.Contains(a.body, says) {
			t.Errorf("%s: %d, without %q", path, a.StatusCode, says)
		}
	}
}

// What must not be driven goes on no trip, and the page says nothing else.
func TestParkBlocksTheTripPage(t *testing.T) {
	s := demoSite(t)
	s.record("heron", &fleet.Entry{Type: fleet.TypeFound, Date: civil.Of(noon()),
		Found: &fleet.Found{Position: "main-belt", Check: "rib-damage", Answer: "chunk-missing"}})
	p := s.page("/v/heron/trip?distance=100+km")
	if got := p.text("h1"); !strings.HasPrefix(got, "No. Do not drive it: main drive belt must be put right.") {
		t.Errorf("the first line: %q", got)
	}
	if n := len(p.find("h2")); n > 0 {
		t.Errorf("%d parts of a page besides", n)
	}
}

// Demands that cannot be met are answered on the page with what gives.
func TestPlanPageSaysWhatGives(t *testing.T) {
	s := demoSite(t)
	for path, says := range map[string]string{
		"/v/heron/plan?hours=8":              "Under these rules",
		"/v/heron/plan?hours=1":              "What gives: 1 hour of work in one visit is not enough for the",
		"/v/heron/plan?money=20+EUR":         "What gives: €20 a month is not enough for the",
		"/v/heron/plan?skip=2027-03":         "No visit in March 2027: costs €",
		"/v/heron/plan?stance=vehicle+maker": "Next visit on",
	} {
		if got := s.page(path).text("main"); !strings.Contains(got, says) {
			t.Errorf("%s: lacks %q: %.400q", path, says, got)
		}
	}
}

// The plan is made anew as entries arrive, and says what they moved and why.
func TestPlanSaysWhatTheLastEntriesMoved(t *testing.T) {
	s := demoSite(t)
	if got := s.page("/v/dunnock/plan").text("main"); !strings.Contains(got,
		"What was recorded on 14 November 2026 (189 entries) moved") {
		t.Errorf("dunnock: %.300q", got)
	}
	if got := s.page("/v/heron/plan").text("main"); !strings.Contains(got,
		"What was recorded on 21 November 2026 (194 entries) moved nothing in the plan.") {
		t.Errorf("heron's last round: %.600q", got[max(0, strings.Index(got, "What was recorded")):])
	}
	s.record("heron", &fleet.Entry{Type: fleet.TypeNote, Date: civil.Of(noon()), Note: &fleet.Note{Text: "washed"}})
	if got := s.page("/v/heron/plan").text("main"); !strings.Contains(got, "moved nothing in the plan") {
		t.Errorf("a note moved something in the plan: %.600q", got[max(0, strings.Index(got, "What was recorded")):])
	}
	s.record("heron", &fleet.Entry{Type: fleet.TypeFound, Date: civil.Of(noon()),
		Found: &fleet.Found{Position: "main-belt", Check: "rib-damage", Answer: "chunk-missing"}})
	p := s.page("/v/heron/plan")
	if got := p.text("h1"); !strings.HasPrefix(got, "Do not drive it: main drive belt") {
		t.Errorf("says first %q", got)
	}
	if got := p.text("main"); !strings.Contains(got, "(one entry) moved") ||
		!strings.Contains(got, "Main drive belt: sooner: in") ||
		!strings.Contains(got, "Found 25 November 2026: rib damage: a piece of rib missing") {
		t.Errorf("what the finding moved: %.600q", got[max(0, strings.Index(got, "What the last")):])
	}
}

// TestAnAnswerKeptForLaterKnowsOfEveryEntry: a plan profits from what other
// vehicles have seen, so an entry about any of them makes it be worked out
// again.
func TestAnAnswerKeptForLaterKnowsOfEveryEntry(t *testing.T) {
	s := demoSite(t)
	stamp := func() string {
		r := httptest.NewRequest(http.MethodGet, "http://localhost/v/heron/plan", nil)
		r.SetPathValue("id", "heron")
		d, err := s.server.desk(r)
		if err != nil {
			t.Fatal(err)
		}
		return s.server.stamp(r, d.known)
	}
	before := stamp()
	if stamp() != before {
		t.Error("without a new entry the stamp is another")
	}
	a := s.post("/v/dunnock/add/note", url.Values{"batch": {journal.NewID()}, "date": {"2026-11-25"}, "text": {"seen"}})
	if a.StatusCode != http.StatusSeeOther {
		t.Fatalf("a note: %s %s", a.Status, a.body)
	}
	if stamp() == before {
		t.Error("an entry about another vehicle leaves the stamp as it was")
	}
}

// What was bought is written down on the list of what to buy, which then no longer asks
// for it; a price that is none comes back as it was typed.
func TestWhatWasBoughtIsWrittenDown(t *testing.T) {
	s := demoSite(t)
	at := "/v/dunnock/plan/parts"
	page := s.page(at)
	forms := len(page.find("form[action=/v/dunnock/add/bought]"))
	first := parsed{page.find("form[action=/v/dunnock/add/bought]")[0]}
	form := url.Values{}
	for _, n := range first.find("input[name]") {
		form.Add(value(n, "name"), value(n, "value"))
	}
	form.Set("number", "N-1")
	form.Set("cost", "dear")
	a := s.post("/v/dunnock/add/bought", form)
	back := parse(t, a.body)
	if a.StatusCode != http.StatusUnprocessableEntity || value(back.find("input[name=cost]")[0], "value") != "dear" ||
		value(back.find("input[name=number]")[0], "value") != "N-1" {
		t.Fatalf("%s: %s", a.Status, back.text(".faults"))
	}
	form.Set("cost", "12.50")
	for range 2 { // once, however often it is sent
		if a = s.post("/v/dunnock/add/bought", form); a.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s: %s", a.Status, parse(t, a.body).text(".faults"))
		}
	}
	kept, err := s.journal.OfForm(t.Context(), form.Get("batch"))
	if err != nil || len(kept) != 1 || !slices.Equal(kept[0].Bought.Positions, several(form, "position")) ||
		kept[0].Bought.Cost.String() != "12.50 EUR" {
		t.Fatalf("kept %+v, %v", kept, err)
	}
	page = s.page(at)
	checkPage(t, at, page)
	if n := len(page.find("form[action=/v/dunnock/add/bought]")); n != forms-1 {
		t.Errorf("%d things are asked for, %d were", n, forms)
	}
	if !strings.Contains(page.text(".had"), "for 12.50 EUR, N-1") {
		t.Errorf("bought: %q", page.text(".had"))
	}
}
