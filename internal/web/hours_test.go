package web

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/units"
)

// byRoad is what no page says about a vehicle that counts hours, where it is not in the
// words of an authority or of a step.
var byRoad = regexp.MustCompile(`(?i)\d[\d ]* (?:km|mi)\b|odometer|distance`)

// tractorSite is the demo with a tractor that counts hours, read once a year, and its sheet.
func tractorSite(t *testing.T) (*site, string) {
	s := demoSite(t)
	src, err := ask.Build(ask.Answers{Say: map[string]string{"sort": "tractor"}},
		ask.Filling{Vehicle: "coot", Name: "Coot", Built: civil.MustParse("2012-04-01")})
	if err != nil {
		t.Fatal(err)
	}
	s.write("vehicles/coot.yaml", string(src))
	for i, read := range []string{"2100 h", "2300 h", "2500 h"} {
		q := units.MustParse(read)
		s.record("coot", &fleet.Entry{Type: fleet.TypeOdometer, Odometer: &q, Date: demo.Today.AddMonths(12 * (i - 3))})
	}
	return s, string(src)
}

// The forms of a sheet that counts hours take them, keep them in their place, and refuse distances; a change
// of what it counts is not undone into what the journal contradicts.
func TestFormsOfWhatCountsHours(t *testing.T) {
	s, src := tractorSite(t)
	s.edited("/v/coot/sheet/head", "form#head", nil)
	s.edited("/v/coot/sheet/p/fan-belt", "form#item", nil)
	if s.read("vehicles/coot.yaml") != src {
		t.Error("forms that were sent as they came changed the sheet")
	}
	s.edited("/v/coot/sheet/head", "form#head", url.Values{"yearly": {"150"}, "oil": {"120"}})
	s.edited("/v/coot/sheet/p/fan-belt", "form#item", url.Values{"i.distance-0": {"300"},
		"i.source-0": {"handbook, page 9"}})
	now := s.read("vehicles/coot.yaml")
	for _, want := range []string{"yearly: 150 h", "oil_change: {hours: 120 h, time: ", "hours: 300 h\n"} {
		if !strings.Contains(now, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
	head := sent(s.page("/v/coot/sheet/head"), "form#head")
	head.Set("oil", "120 km")
	if a := s.post("/v/coot/sheet/head", head); a.StatusCode != http.StatusUnprocessableEntity ||
		s.read("vehicles/coot.yaml") != now {
		t.Errorf("a distance is taken: %s", a.Status)
	}

	// Rook counted distance by mistake; once hours are read, that does not come back.
	km := strings.NewReplacer("vehicle: coot", "vehicle: rook", "counts: hours", "counts: distance",
		"yearly: 200 h", "yearly: 900 km", "{hours: 100 h, ", "{").Replace(src)
	const file = "vehicles/rook.yaml"
	s.write(file, km)
	was := func() string { return value(s.page("/v/rook/sheet").find("input[name=was]")[0], "value") }
	hours := strings.Replace(src, "vehicle: coot", "vehicle: rook", 1)
	if a := s.post("/v/rook/sheet", url.Values{"text": {hours}, "was": {was()}}); a.StatusCode != http.StatusSeeOther {
		t.Fatal(a.Status, parse(t, a.body).text(".faults"))
	}
	q := units.MustParse("40 h")
	s.record("rook", &fleet.Entry{Type: fleet.TypeOdometer, Odometer: &q, Date: demo.Today})
	if a := s.post("/v/rook/sheet/undo", url.Values{"was": {was()}}); a.StatusCode != http.StatusConflict ||
		!strings.Contains(a.body, "journal reads 40 h") || s.read(file) != hours {
		t.Errorf("distance came back: %s", a.Status)
	}
}

// A tractor that counts hours is read about in hours on every page, and takes hours alone; what
// it counts stays once readings are there.
func TestPagesOfWhatCountsHours(t *testing.T) {
	s, src := tractorSite(t)
	s.record("coot", &fleet.Entry{Type: fleet.TypeFitted, Date: demo.Today.AddMonths(-12),
		Fitted: &fleet.Fitted{Position: "engine-oil", Known: fleet.Recorded}})
	for _, path := range []string{"", "/round", "/round?open=all", "/job", "/plan", "/trip", "/trip?distance=40",
		"/record", "/journal", "/handover", "/past", "/add", "/p/engine-oil", "/p/fan-belt", "/known"} {
		a := s.get("/v/coot" + path)
		if a.StatusCode != http.StatusOK {
			t.Errorf("%s: %d", path, a.StatusCode)
			continue
		}
		said := parse(t, a.body).text("main")
		for _, quoted := range []*regexp.Regexp{regexp.MustCompile(`[^.]*\d[\d, ]* (?:miles|km)[^.]*\.`),
			regexp.MustCompile(`at some distance`)} {
			said = quoted.ReplaceAllString(said, "")
		}
		if m := byRoad.FindStringIndex(said); m != nil {
			t.Errorf("%s says %q", path, said[max(0, m[0]-60):min(len(said), m[1]+40)])
		}
	}
	if p := s.page("/v/coot/p/engine-oil").text("main"); !strings.Contains(p, "100 h to 250 h or 12 months") {
		t.Error("the oil has no interval in hours")
	}

	add := func(vehicle, reading string) answer {
		batch := value(s.page("/v/" + vehicle + "/add").find("#odometer input[name=batch]")[0], "value")
		return s.post("/v/"+vehicle+"/add/odometer", url.Values{"odometer": {reading}, "date": {demo.Today.String()},
			"batch": {batch}})
	}
	for _, wrong := range [][2]string{{"coot", "120 km"}, {"heron", "2600 h"}} {
		before := len(s.odometer(wrong[0]))
		if a := add(wrong[0], wrong[1]); a.StatusCode != http.StatusUnprocessableEntity ||
			len(s.odometer(wrong[0])) != before {
			t.Errorf("%s for %s: %d", wrong[1], wrong[0], a.StatusCode)
		}
	}
	add("coot", "2610.5")
	if all := s.odometer("coot"); all[len(all)-1] != "2610.5 h" {
		t.Errorf("a bare figure is kept as %s", all[len(all)-1])
	}

	form := s.page("/v/coot/sheet")
	changed := strings.Replace(string(src), "counts: hours", "counts: distance", 1)
	changed = strings.Replace(strings.Replace(changed, "yearly: 200 h", "yearly: 900 km", 1), "{hours: 100 h, ", "{", 1)
	a := s.post("/v/coot/sheet", url.Values{"text": {changed},
		"was": {value(form.find("input[name=was]")[0], "value")}})
	if a.StatusCode != http.StatusConflict || !strings.Contains(a.body, "journal reads 2100 h") ||
		s.read("vehicles/coot.yaml") != string(src) {
		t.Errorf("what it counts is changed: %d", a.StatusCode)
	}
}
