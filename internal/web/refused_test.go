package web

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

// wrongly is what is typed where something else is wanted; no message has it.
const wrongly = "blorp"

// refusals are forms that are posted wrongly, by the address that takes them, and questions that are asked so: the
// address, and what is typed into fields that are not left as they are. "+field" sends a file that is none there.
var refusals = map[string][]string{
	"POST /v/{id}/p/{pos}/aside":      {"/v/heron/p/main-belt/aside"},
	"POST /v/{id}/p/{pos}/aside/back": {"/v/heron/p/blorp/aside/back"},
	"POST /v/{id}/opened":             {"/v/heron/opened", "/v/heron/opened open=blorp"},
	"POST /v/{id}/aboard":             {"/v/heron/aboard"},
	"POST /v/{id}/round": {"/v/heron/round date=blorp&odometer=blorp", "/v/heron/round date=2031-01-01&n.battery=blorp",
		"/v/heron/round odometer=9 km", "/v/heron/round odometer=9 N", "/v/heron/round odometer=9,5 km",
		"/v/heron/round a.battery.rest-voltage=blorp", "/v/heron/round a.battery.rest-voltage=900 V",
		"/v/heron/round a.battery.rest-voltage=3 V", "/v/heron/round a.battery.rest-voltage=3 mm",
		"/v/heron/round a.brake-fluid.water=0.2&a.brake-fluid.boiling-point=150", "/v/heron/round a.blorp.cracks=3",
		"/v/heron/round batch=blorp"},
	"POST /v/{id}/measure":  {"/v/heron/measure p1=Pump&k1=centres&a1=1"},
	"POST /v/{id}/runs":     {"/v/heron/runs placed=blorp"},
	"POST /v/{id}/job/tick": {"/v/heron/job/tick"},
	"POST /v/{id}/job/done": {"/v/heron/job/done date=blorp&changed=main-belt&p.main-belt.cost=blorp"},
	"POST /v/{id}/plan/settled": {"/v/heron/plan/settled",
		"/v/heron/plan/settled position=main-belt&month=blorp"},
	"POST /v/{id}/plan/settled/{entry}/back": {"/v/heron/plan/settled/blorp/back"},
	"POST /v/{id}/listen":                    {"/v/heron/listen +", "/v/heron/listen +sound"},
	"POST /v/{id}/listen/{hash}":             {"/v/heron/listen/blorp"},
	"POST /v/{id}/pictures":                  {"/v/heron/pictures +", "/v/heron/pictures +picture"},
	"POST /v/{id}/picture/{hash}/marks":      {"/v/heron/picture/blorp/marks"},
	"POST /v/{id}/count":                     {countAt + " +", countAt + " +picture"},
	"POST /v/{id}/handover/file":             {"/v/blorp/handover/file"},
	"POST /v/{id}/journal/{entry}": {"/v/heron/journal/FOUND do=replace&date=blorp",
		"/v/heron/journal/READ do=replace&odometer=blorp", "/v/heron/journal/blorp do=withdraw"},
	"POST /v/{id}/off/{entry}":        {"/v/heron/off/FOUND position=main-belt"},
	"POST /v/{id}/batch/{batch}/undo": {"/v/heron/batch/blorp/undo"},
	"POST /v/{id}/add/{what}": {"/v/heron/add/odometer date=blorp&odometer=blorp", "/v/heron/add/odometer",
		"/v/heron/add/odometer odometer=99000000 km", "/v/heron/add/odometer old=5 km",
		"/v/heron/add/fitted position=blorp",
		"/v/heron/add/fitted position=main-belt&known=told",
		"/v/heron/add/fitted position=main-belt&known=told&since-date=blorp&since-total=blorp&cost=blorp",
		"/v/heron/add/fitted position=main-belt&known=told&since-date=2030-01-01",
		"/v/heron/add/fitted position=top-hose&material=blorp&removed=blorp",
		"/v/heron/add/fitted position=main-belt&cost=5 mm",
		"/v/heron/add/done", "/v/heron/add/done text=blorp&minutes=blorp", "/v/heron/add/note", "/v/heron/add/bought",
		"/v/heron/add/bought of=blorp&amount=blorp", "/v/heron/add/blorp"},
	"POST /v/{id}/past": {"/v/heron/past"},
	"POST /v/{id}/past/keep": {"/v/heron/past/keep",
		"/v/heron/past/keep no-0=1&keep=0&day-0=blorp&far-0=blorp&paid-0=blorp&added-0=blorp"},
	"POST /v/{id}/sheet":       {"/v/heron/sheet text=vehicle: blorp", "/v/heron/sheet was=blorp"},
	"POST /v/{id}/sheet/marks": {"/v/heron/sheet/marks was=blorp", "/v/heron/sheet/marks at.blorp=blorp"},
	"POST /v/{id}/sheet/undo":  {"/v/heron/sheet/undo was=blorp"},
	"POST /v/{id}/sheet/head": {"/v/heron/sheet/head name=&yearly=blorp&built=blorp&cylinders=blorp&oil=blorp&" +
		"oil-time=blorp&recovery=blorp", "/v/heron/sheet/head was=blorp", "/v/heron/sheet/head cylinders=99"},
	"POST /v/{id}/sheet/add": {"/v/heron/sheet/add kind=blorp", "/v/heron/sheet/add kind=Idler pulley&x=blorp"},
	"POST /v/{id}/sheet/p/{pos}": {"/v/heron/sheet/p/top-hose f.torque-0=22 km&f.what-0=&f.count-0=blorp&c.what-0=&" +
		"c.cost-0=blorp&c.amount-0=blorp&minutes=blorp", "/v/heron/sheet/p/top-hose x=120&material=blorp",
		"/v/heron/sheet/p/top-hose i.source-0=&i.distance-0=5 N&i.time-0=blorp&l.figure-0=3&l.source-0=blorp"},
	"POST /v/{id}/sheet/open":        {"/v/heron/sheet/open minutes=blorp"},
	"POST /v/{id}/sheet/o/{opening}": {"/v/heron/sheet/o/undertray needs=blorp"},
	"POST /v/{id}/walk":              {"/v/heron/walk is.main-belt=other&kind.main-belt=blorp"},
	"POST /v/{id}/known": {"/v/heron/known", "/v/heron/known when.main-belt=blorp&far.top-hose=blorp",
		"/v/heron/known part.main-belt=blorp"},
	"POST /new": {"/new", "/new vehicle=blorp", "/new vehicle=blorp&name=blorp&built=blorp",
		"/new vehicle=blorp&name=blorp&yearly=blorp", "/new vehicle=heron&name=blorp"},
	"POST /take":                    {"/take +", "/take +file"},
	"POST /settings":                {"/settings distance=blorp", "/settings currency=blorp"},
	"POST /v/{id}/settings":         {"/v/heron/settings length=blorp"},
	"POST /devices":                 {"/devices", "/devices person=blorp&may=blorp"},
	"POST /devices/{device}/away":   {"/devices/blorp/away"},
	"POST /devices/calendar":        {"/devices/calendar", "/devices/calendar name=blorp&alarm=blorp"},
	"POST /devices/token":           {"/devices/token", "/devices/token program=blorp&does=blorp"},
	"POST /devices/{device}/anew":   {"/devices/blorp/anew"},
	"GET /":                         {"/blorp"},
	"GET /{$}":                      {"/?on=blorp"},
	"GET /v/{id}":                   {"/v/blorp"},
	"GET /v/{id}/p/{pos}":           {"/v/heron/p/blorp"},
	"GET /v/{id}/round":             {"/v/heron/round?minutes=blorp"},
	"GET /v/{id}/run/{run}":         {"/v/heron/run/blorp", "/v/heron/run/main-run?belt=blorp"},
	"GET /v/{id}/plan":              {"/v/heron/plan?hours=blorp", "/v/heron/plan?move=blorp&to=2"},
	"GET /v/{id}/trip":              {"/v/heron/trip?distance=blorp"},
	"GET /plan":                     {"/plan?hours=blorp"},
	"GET /v/{id}/record":            {"/v/heron/record?since=blorp", "/v/heron/record?position=blorp"},
	"GET /v/{id}/handover":          {"/v/heron/handover?for=blorp"},
	"GET /v/{id}/journal/{entry}":   {"/v/heron/journal/blorp"},
	"GET /v/{id}/batch/{batch}":     {"/v/heron/batch/blorp"},
	"GET /v/{id}/sheet/o/{opening}": {"/v/heron/sheet/o/blorp"},
	"GET /kinds/{kind}":             {"/kinds/blorp"},
	"GET /kinds/{kind}/means":       {"/kinds/ribbed-belt/means?check=cracks&answer=blorp"},
}

// unrefused are addresses that take every form, and those that are there behind a pass-phrase alone.
var unrefused = []string{"POST /logout", "POST /login", "POST /pair"}

// refuse sends a form wrongly, in the pseudo-language.
func (s *site) refuse(path, typed string, forms map[string]url.Values) answer {
	s.t.Helper()
	in := []string{"Accept-Language", "qps"}
	f := url.Values{"batch": {journal.NewID()}, "date": {"2026-11-25"}}
	for name, v := range forms[path] {
		f[name] = v
	}
	field, file := strings.CutPrefix(typed, "+")
	fields, err := url.ParseQuery(typed)
	if err != nil {
		s.t.Fatal(err)
	}
	switch {
	case file && field == "":
		return s.postFile(path, f, "", "", nil, in...)
	case file:
		return s.postFile(path, f, field, wrongly, []byte(wrongly), in...)
	}
	for name, v := range fields {
		f[name] = v
	}
	return s.post(path, f, in...)
}

// TestRefusedInAnotherLanguage: whatever is typed wrongly is refused in the reader's language. Beside what pages leave
// in English unasked, nothing but names, keys of the sheet and what was typed is.
func TestRefusedInAnotherLanguage(t *testing.T) {
	s := demoSite(t)
	made, err := madeDemo()
	if err != nil {
		t.Fatal(err)
	}
	entries := fleet.Standing(made.entries)
	first := func(is func(*fleet.Entry) bool) string {
		return entries[slices.IndexFunc(entries, func(e *fleet.Entry) bool { return e.Vehicle == "heron" && is(e) })].ID
	}
	ids := strings.NewReplacer("FOUND", first(func(e *fleet.Entry) bool { return e.Found != nil }),
		"READ", first(func(e *fleet.Entry) bool { return e.Odometer != nil }))
	forms := map[string]url.Values{}
	for path, form := range map[string]string{"/v/heron/sheet/head": "#head", "/v/heron/sheet/p/top-hose": "#item",
		"/v/heron/sheet/o/undertray": "form[action=/v/heron/sheet/o/undertray]", "/v/heron/sheet/add": "#item",
		"/v/heron/sheet/open": "form[action=/v/heron/sheet/open]", "/v/heron/sheet": "form[action=/v/heron/sheet]",
		"/v/heron/walk": "form[action=/v/heron/walk]"} {
		forms[path] = sent(s.page(path), form)
	}
	delete(forms["/v/heron/sheet/o/undertray"], "remove") // of the form below
	forms["/v/heron/sheet/marks"] = forms["/v/heron/sheet"]
	forms[countAt] = url.Values{"position": {"main-belt"}, "check": {"cracks"}}
	y, err := s.server.yards.open()
	if err != nil {
		t.Fatal(err)
	}
	heron, err := y.Vehicle("heron")
	if err != nil {
		t.Fatal(err)
	}
	keys := []string{wrongly, "BLORP", "heron", "main-belt", "top-hose", "undertray", "a.battery.rest-voltage",
		"battery rest-voltage", "brake-fluid water boiling-point", "a.blorp.cracks", "run:1:1", "vehicles/heron.yaml",
		"«Needs", " name:", "name: Blue van", "km, mi", "mm, in", "failed, worn, due, another job",
		"epdm, silicone, neoprene", "unexpected EOF"} // the last as a library says it
	for i := range heron.Openings {
		keys = append(keys, heron.Openings[i].ID)
	}
	known := typedByOthers(t, s, keys...)
	pageOf := strings.NewReplacer("/off/", "/journal/", "/add/odometer", "/add", "/add/fitted", "/add", "/add/done",
		"/add", "/add/note", "/add", "/add/bought", "/add")
	unasked := map[string][]string{}
	for _, r := range s.server.routes() {
		if len(refusals[r.pattern]) == 0 && strings.HasPrefix(r.pattern, "POST ") &&
			!slices.Contains(unrefused, r.pattern) && !strings.Contains(r.pattern, httpAt) {
			t.Errorf("%s: no form is refused", r.pattern)
		}
		for _, of := range refusals[r.pattern] {
			path, typed, _ := strings.Cut(ids.Replace(of), " ")
			var a answer
			if strings.HasPrefix(r.pattern, "GET") {
				a = s.get(path, "Accept-Language", "qps")
			} else {
				a = s.refuse(path, typed, forms)
			}
			p := parse(t, strings.ReplaceAll(a.body, a.Header.Get("X-Request-Id"), "0"))
			if a.StatusCode < 400 || a.StatusCode >= 500 || len(p.find("html[lang=qps]")) != 1 {
				t.Errorf("%s: %s", of, a.Status)
				continue
			}
			left := leftIn(p, known)
			for _, text := range append(left.English, left.Pieces...) {
				if _, asked := unasked[path]; !asked {
					unasked[path] = nil
					if page := s.get(pageOf.Replace(path), "Accept-Language", "qps"); page.StatusCode == http.StatusOK {
						unasked[path] = leftIn(parse(t, page.body), known).English
					}
				}
				if !slices.Contains(unasked[path], text) {
					t.Errorf("%s: left in English: %s", of, text)
				}
			}
		}
	}
}

// TestEntriesInAnotherLanguage: the page of an entry of each type, and of the batch that it landed in, says all in the
// reader's language.
func TestEntriesInAnotherLanguage(t *testing.T) {
	s := demoSite(t)
	made, err := madeDemo()
	if err != nil {
		t.Fatal(err)
	}
	known := typedByOthers(t, s)
	seen := map[fleet.EntryType]bool{}
	for _, e := range slices.Backward(made.entries) {
		if seen[e.Type] {
			continue
		}
		seen[e.Type] = true
		for _, path := range []string{"/journal/" + e.ID, "/batch/" + cmp.Or(e.Batch, e.ID)} {
			a := s.get("/v/"+e.Vehicle+path, "Accept-Language", "qps")
			if a.StatusCode != http.StatusOK {
				t.Errorf("%s: %s", path, a.Status)
			}
			left := leftIn(parse(t, strings.ReplaceAll(a.body, e.ID, "")), known)
			for _, text := range append(left.English, left.Pieces...) {
				t.Errorf("%s of %s: left in English: %s", path, e.Type, text)
			}
		}
	}
	if len(seen) < 6 {
		t.Errorf("only %d types of entries were read", len(seen))
	}
}

// TestNotebookInAnotherLanguage: what is in doubt of a notebook is told in the reader's language.
func TestNotebookInAnotherLanguage(t *testing.T) {
	s := demoSite(t)
	lines := []string{"3/4/2019 109 000 km top hose renewed", "2031-03-12 oil", "2019-13-45 oil",
		"2018-05-02 12345 oil changed",
		"2019-03-12 109 000 km and 110 000 km oil and filter, 18.50 oil", "2019 oil changed", "oil changed",
		"2019-05-02 109.5k km belt changed", "2019-06-02 9 km hose cut", "2019-07-02 something changed"}
	a := s.post("/v/heron/past", url.Values{"text": {strings.Join(lines, "\n")}}, "Accept-Language", "qps")
	p := parse(t, a.body)
	if a.StatusCode != http.StatusOK || len(p.find("fieldset.past")) != len(lines) {
		t.Fatalf("%s, %d lines", a.Status, len(p.find("fieldset.past")))
	}
	left := leftIn(p, typedByOthers(t, s, append(lines, "3/4/2019", "2019-13-45", "109.5k", "oil", "hose", "belt")...))
	for _, text := range append(left.English, left.Pieces...) {
		t.Errorf("left in English: %s", text)
	}
}
