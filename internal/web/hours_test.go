package web

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"undertray/civil"
	"undertray/internal/demo"
	"undertray/internal/fleet"
	"undertray/internal/sheet/ask"
	"undertray/units"
)

// byRoad is what no page says about a vehicle that counts hours, where it is not in the
// words of an authority or of a step.
var byRoad = regexp.MustCompile(`(?i)\d[\d ]* (?:km|mi)\b|odometer|distance`)

// A tractor that counts hours is read about in hours on every page, and takes hours alone; what
// it counts stays once readings are there.
func TestPagesOfWhatCountsHours(t *testing.T) {
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
