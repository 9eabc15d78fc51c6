package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/say"
)

// samples gives an address of each GET route where it must answer, and what
// must stand on the page.
var samples = map[string]struct{ path, selector, says string }{
	"GET /{$}":                {"/", "h1", "Within "},
	"GET /v/{id}":             {"/v/heron", "h1", "Past a limit"},
	"GET /v/{id}/p/{pos}":     {"/v/heron/p/main-belt", "h1", "Main drive belt"},
	"GET /v/{id}/round":       {"/v/heron/round?open=undertray", "h1", "stops"},
	"GET /v/{id}/round/today": {"", "", ""}, // see TestARoundShowsWhatAnotherAnswered
	"GET /v/{id}/run":         {"/v/heron/run", ".lead", "The 6PK1874 fits"},
	"GET /v/{id}/run/{run}":   {"/v/heron/run/main-run?belt=6PK1820", ".lead", "does not fit"},
	"GET /v/{id}/measure":     {"/v/heron/measure?run=main-run", "h1", "Measure a belt run"},
	"GET /v/{id}/card":        {"/v/heron/card", "h1", "what to do on which sign"},
	"GET /v/{id}/aboard":      {"/v/heron/aboard", "h1", "Nothing is recorded as aboard the Heron"},
	"GET /v/{id}/kept":        {"", "", ""}, // see TestADeviceKeepsAVehicle
	"GET /v/{id}/opened":      {"/v/heron/opened", "h1", "Nothing is open on Heron"},
	"GET /v/{id}/job":         {"/v/heron/job", "h1", "to change"},
	// see TestAJobIsFinishedByForm and TestAJobOnTwoPhones
	"GET /v/{id}/job/done":   {"", "", ""},
	"GET /v/{id}/job/ticks":  {"", "", ""},
	"GET /v/{id}/plan":       {"/v/heron/plan?move=main-belt&to=9", "h1", "Next visit on Saturday "},
	"GET /v/{id}/plan/parts": {"/v/heron/plan/parts", "h1", "Heron: order "},
	"GET /plan/parts":        {"/plan/parts", "h1", "All vehicles: order four things by 28 November 2026"},
	"GET /plan/better":       {"", "", ""}, // see TestAPageIsToldOfABetterPlan
	"GET /plan":              {"/plan", "h1", "Next is the Bittern on Saturday 12 December 2026"},
	"GET /v/{id}/trip": {"/v/heron/trip?distance=2400", "h1",
		"Probably, but first change the main drive belt"},
	"GET /calendar.ics":             {"", "", ""}, // see TestCalendarFeed
	"GET /calendar/{key}":           {"", "", ""}, // see TestACalendarIsSubscribedTo
	"GET /v/{id}/listen":            {"/v/heron/listen", "h1", "Which pulley"},
	"GET /v/{id}/count":             {countAt, "h1", "counted on a photograph"},
	"GET /v/{id}/record":            {"/v/heron/record?what=fitted", "td", "fitted"},
	"GET /v/{id}/handover":          {"/v/heron/handover?for=mechanic", "h1", "not fully known"},
	"GET /v/{id}/handover/paper":    {"", "", ""}, // see TestAVehicleGoesToAnotherYard
	"GET /take":                     {"/take", "h1", "another yard gave"},
	"GET /v/{id}/journal":           {"/v/heron/journal", "h1", "none ever taken out"},
	"GET /v/{id}/add":               {"/v/heron/add?position=main-belt", "option[selected]", "Main drive belt"},
	"GET /v/{id}/past":              {"/v/heron/past", "h1", "Paste the past of Heron"},
	"GET /v/{id}/sheet":             {"/v/heron/sheet", "textarea", "vehicle: heron"},
	"GET /v/{id}/sheet/head":        {"/v/heron/sheet/head", "h1", "What Heron is"},
	"GET /v/{id}/sheet/add":         {"/v/heron/sheet/add?from=above&x=30&y=40", "h1", "Add a position"},
	"GET /v/{id}/sheet/p/{pos}":     {"/v/heron/sheet/p/top-hose", "h1", "hose"},
	"GET /v/{id}/sheet/open":        {"/v/heron/sheet/open", "h1", "Add an opening"},
	"GET /v/{id}/sheet/o/{opening}": {"/v/heron/sheet/o/undertray", "h1", "Undertray"},
	"GET /v/{id}/walk":              {"/v/heron/walk", "h1", "Walk round the vehicle"},
	"GET /v/{id}/known":             {"/v/heron/known", "h1", "parts"},
	"GET /reckoning":                {"/reckoning", "h1", "expected to fail"},
	"GET /kinds":                    {"/kinds", "h1", "kinds of part"},
	"GET /kinds/{kind}":             {"/kinds/ribbed-belt", "h1", "Ribbed belt"},
	"GET /kinds/{kind}/wall":        {"", "", ""}, // see TestAKindGoesOnTheWall
	"GET /kinds/{kind}/means":       {"/kinds/ribbed-belt/means?check=cracks&answer=12", "h1", "put right"},
	"GET /search":                   {"/search?q=tensioner", "h1", "mention"},
	"GET /new":                      {"/new", "h1", "What it is"},
	"GET /v/{id}/journal/{entry}":   {"", "h1", ""},
	"GET /v/{id}/batch/{batch}":     {"", "h1", "recorded"},
	"GET /login":                    {"", "", ""}, // see TestPassphrase
	"GET /settings":                 {"/settings", "h1", "Units and money"},
	"GET /v/{id}/settings":          {"/v/heron/settings", "h1", "Units for Heron"},
	"GET /devices":                  {"/devices", "h1", "No other device was let in."},
	"GET /pair":                     {"", "", ""}, // see TestADeviceComesInAndGoes
	"GET /house.crt":                {"", "", ""},
	// see TestASoundIsRankedAndKept
	"GET /v/{id}/listen/{hash}":       {"", "", ""},
	"GET /v/{id}/listen/{hash}/sound": {"", "", ""},
	"GET /v/{id}/pictures":            {"/v/heron/pictures?opening=engine-cover", "h1", "No picture is kept"},
	// see TestAPictureIsKeptAndShown
	"GET /v/{id}/picture/{hash}/{size}": {"", "", ""},
	// see TestTwoCountsAreLaidOver
	"GET /v/{id}/count/then":           {"", "", ""},
	"GET /v/{id}/picture/{hash}/strip": {"", "", ""},
	"GET /assets/{build}/{name}":       {"", "", ""}, // see TestAssets
	"GET /keeper.js":                   {"", "", ""}, // see TestARoundOpensWithoutAConnection
	"GET /":                            {"", "", ""}, // see TestNotFound
}

func TestEveryPage(t *testing.T) {
	s := demoSite(t)
	entries, err := s.journal.Entries(t.Context(), journal.Filter{Vehicle: "heron"})
	if err != nil {
		t.Fatal(err)
	}
	last := entries[len(entries)-1]
	for _, r := range s.server.routes() {
		if !strings.HasPrefix(r.pattern, "GET ") || strings.HasPrefix(r.pattern, "GET "+httpAt) {
			continue // those for programs are asked by TestEveryAddressOfTheDescription
		}
		sample, ok := samples[r.pattern]
		if !ok {
			t.Errorf("%s has no sample: add one", r.pattern)
			continue
		}
		switch r.pattern {
		case "GET /v/{id}/journal/{entry}":
			sample.path = "/v/heron/journal/" + last.ID
		case "GET /v/{id}/batch/{batch}":
			sample.path = "/v/heron/batch/" + last.Batch
		}
		if sample.path == "" {
			continue
		}
		p := s.page(sample.path)
		if got := p.text(sample.selector); !strings.Contains(got, sample.says) {
			t.Errorf("%s: %s says %q, want %q", sample.path, sample.selector, got, sample.says)
		}
		checkPage(t, sample.path, p)
		leadsOut(t, sample.path, p)
		if a := s.get(sample.path, "Accept", "application/json"); !json.Valid([]byte(a.body)) {
			t.Errorf("%s has no JSON twin: %.80s", sample.path, a.body)
		}
	}
}

// checkPage holds a page to what holds for all: one heading of few words, a label for every
// field, ids that stand once, no script and no style in the page.
func checkPage(t *testing.T, path string, p parsed) {
	t.Helper()
	if n := len(p.find("h1")); n != 1 {
		t.Errorf("%s has %d h1", path, n)
	}
	if h1 := p.text("h1"); len(strings.Fields(h1)) > say.HeadWords {
		t.Errorf("%s: %d words above all else: %s", path, len(strings.Fields(h1)), h1)
	}
	labelled := map[string]bool{}
	for _, l := range p.find("label[for]") {
		labelled[value(l, "for")] = true
	}
	for _, tag := range []string{"input", "select", "textarea"} {
		for _, n := range p.find(tag) {
			kind := value(n, "type")
			_, named := attr(n, "aria-labelledby")
			if kind == "hidden" || named || labelled[value(n, "id")] || within(n, "label") {
				continue
			}
			t.Errorf("%s: %s %q has no label", path, tag, value(n, "name"))
		}
	}
	ids := map[string]int{}
	for _, n := range p.find("[id]") {
		ids[value(n, "id")]++
	}
	for id, n := range ids {
		if n > 1 {
			t.Errorf("%s: id %q stands %d times", path, id, n)
		}
	}
	for _, n := range p.find("script") {
		if value(n, "src") == "" {
			t.Errorf("%s has script in the page", path)
		}
	}
	if len(p.find("style"))+len(p.find("[style]")) > 0 {
		t.Errorf("%s has style in the page", path)
	}
}

func TestNotFound(t *testing.T) {
	s := demoSite(t)
	for path, says := range map[string]string{
		"/nowhere":                             "nothing is kept",
		"/v/herron":                            `did you mean "heron"`,
		"/v/heron/p/main-bell":                 `did you mean "main-belt"`,
		"/v/heron/round?open=undertrey":        `did you mean "undertray"`,
		"/v/heron?open=undertrey":              `did you mean "undertray"`,
		"/v/heron/job?at=main-bell":            `did you mean "main-belt"`,
		"/v/heron/journal/none":                "no entry",
		"/v/heron/batch/none":                  "no batch",
		"/v/heron/record?position=x":           "no position",
		"/v/heron/add?position=x":              "no position",
		"/v/nothing/sheet":                     "no sheet",
		"/v/..%2f..%2fetc%2fpasswd/sheet":      "no sheet",
		"/kinds/ribed-belt":                    `did you mean "ribbed-belt"`,
		"/kinds/ribbed-belt/means?check=crack": `no check "crack"`,
		"/assets/x/none.css":                   "no such file",
	} {
		a := s.get(path)
		p := parse(t, a.body)
		if a.StatusCode != http.StatusNotFound ||
			!strings.Contains(strings.ToLower(p.text("main")), strings.ToLower(says)) {
			t.Errorf("%s: %s, says %q, want %q", path, a.Status, p.text("main"), says)
		}
	}
	for _, path := range []string{"/?on=yesterday", "/v/heron/record?since=x",
		"/kinds/ribbed-belt/means?check=cracks&answer=many"} {
		if a := s.get(path); a.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("%s: %s", path, a.Status)
		}
	}
	if a := s.get("/v/herron", "Accept", "application/json"); a.StatusCode != 404 ||
		!strings.Contains(a.body, `did you mean`) || !json.Valid([]byte(a.body)) {
		t.Errorf("JSON error: %s %s", a.Status, a.body)
	}
	if a := s.post("/v/heron", url.Values{}); a.StatusCode != http.StatusMethodNotAllowed {
		t.Errorf("POST to a page that takes none: %s", a.Status)
	}
}

// TestPagesChangeNoEntry: pages share the entries they read.
func TestPagesChangeNoEntry(t *testing.T) {
	s := demoSite(t)
	held, err := s.server.opt.Journal.Entries(t.Context(), journal.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	written := func() string {
		var b strings.Builder
		for _, e := range held {
			line, err := fleet.EncodeEntry(e)
			if err != nil {
				t.Fatal(err)
			}
			b.Write(line)
		}
		return b.String()
	}
	before := written()
	for _, path := range audited {
		s.get(path)
	}
	if written() != before {
		t.Error("a page changed an entry of the journal")
	}
}

func TestTheJournalIsReadOncePerPage(t *testing.T) {
	s := demoSite(t)
	for path, most := range map[string]int64{"/": 1, "/v/heron": 1, "/v/heron/p/main-belt": 1, "/search?q=belt": 1,
		"/v/heron/round": 1, "/v/heron/job": 1, "/v/heron/journal": 1} {
		s.journal.reads.Store(0)
		if a := s.get(path); a.StatusCode != http.StatusOK {
			t.Fatal(path, a.Status)
		}
		if n := s.journal.reads.Load(); n > most {
			t.Errorf("%s reads the journal %d times", path, n)
		}
	}
}

func TestEveryTemplateHasItsPage(t *testing.T) {
	s := demoSite(t)
	values := map[string]any{
		"yard": yardPage{}, "vehicle": vehiclePage{}, "position": positionPage{}, "round": roundPage{},
		"job": jobPage{}, "finish": finishPage{}, "record": recordPage{},
		"journal": journalPage{}, "entry": entryPage{}, "batch": batchPage{}, "add": addPage{}, "sheet": sheetPage{},
		"kinds": kindsPage{},
		"kind":  kindPage{}, "means": meansPage{}, "search": searchPage{}, "new": newPage{}, "login": loginPage{},
		"error": errorPage{},
		"run":   runPage{}, "listen": listenPage{}, "heard": heardPage{}, "plan": planPage{},
		"yardplan": yardPlanPage{}, "trip": tripPage{}, "shopping": shoppingPage{}, "reckoning": reckoningPage{},
		"opened": openedPage{}, "aboard": aboardPage{}, "past": pastPage{}, "pictures": picturesPage{},
		"measure": measurePage{}, "runkeep": runKeepPage{},
		"devices": devicesPage{}, "settings": settingsPage{}, "pair": pairPage{}, "card": cardPage{},
		"handover": handoverPage{}, "take": takePage{},
		"sheetposition": itemPage{}, "sheetopening": itemPage{}, "walk": walkPage{}, "known": knownPage{},
		"sheethead": headPage{}, "out": outPage{}, "count": countPage{}, "then": thenPage{},
	}
	for name := range s.server.pages {
		if _, ok := values[name]; !ok {
			t.Errorf("template %s has no page struct in this test: add it", name)
		}
	}
	for name, v := range values {
		set, err := s.server.pages[name].template(nil)
		if err == nil {
			err = checkFields(set, v)
		}
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}
