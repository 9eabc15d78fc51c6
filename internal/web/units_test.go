package web

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// odometer are the readings that were written down of a vehicle, oldest first.
func (s *site) odometer(vehicle string) []string {
	s.t.Helper()
	all, err := s.journal.Entries(s.t.Context(), journal.Filter{Vehicle: vehicle, Type: fleet.TypeOdometer})
	if err != nil {
		s.t.Fatal(err)
	}
	out := make([]string, len(all))
	for i, e := range all {
		out[i] = e.Odometer.String()
	}
	return out
}

// american makes a site's yard one whose owner is at home in the United States.
func (s *site) american() {
	s.t.Helper()
	if err := yard.KeepUnits(s.dir, units.Preferences{System: units.USCustomary}, "USD"); err != nil {
		s.t.Fatal(err)
	}
}

// What a metric quantity looks like in words, and one in US units with what stands beside
// it. None of it is shared with the program.
var (
	besideUS = regexp.MustCompile(`(?:\b(?:in|mi|miles|ft|lb|lbf|psi|mph|qt|gal|per foot|per in)|°F|lbf·ft|lbf·in)` +
		`(?: \([^()]*\)|, [-−\d.,]+(?:(?: to | and |-)[-−\d.,]+)? (?:mm|km|N·m|kPa|N|°C|l)\b)`)
	metricFirst = regexp.MustCompile(`(?:^|[^\w.,/])\d[\d.,\x{202f}]*[ \x{a0}\x{202f}]` +
		`(?:mm|cm|km|km/h|m/s|kPa|bar|N·m|Nm|N|°C|l|ml|litres|kg|g|m|metres|per 75 mm)(?:$|[^\w²³/·°])[^.]{0,20}`)
	toolSize = regexp.MustCompile(`^\D?\d+ mm (?:open |ring |hex )?(?:spanner|socket|key|bit|drill|pin)`)
)

// metricIn returns where metric figures come first in a text.
func metricIn(text string) []string {
	text = besideUS.ReplaceAllString(strings.Join(strings.Fields(text), " "), " US ")
	var out []string
	for _, at := range metricFirst.FindAllStringIndex(text, -1) {
		if m := text[at[0]:at[1]]; !toolSize.MatchString(m) {
			out = append(out, text[max(0, at[0]-40):at[1]])
		}
	}
	return out
}

// Every page of a yard whose owner chose US units names no metric figure but behind one of
// theirs; the sheet, which is kept as it is typed, apart.
func TestPagesNameTheReadersUnitsFirst(t *testing.T) {
	s := demoSite(t)
	s.american()
	paths := withInHand(s)
	for pattern, sample := range samples {
		if sample.path != "" && strings.HasPrefix(pattern, "GET ") {
			paths = append(paths, sample.path)
		}
	}
	for _, id := range []string{"heron", "dunnock", "bittern"} {
		paths = append(paths, "/v/"+id, "/v/"+id+"/round?open=all", "/v/"+id+"/job", "/v/"+id+"/plan", "/v/"+id+"/run")
	}
	for _, path := range paths {
		a := s.get(path)
		if a.StatusCode == http.StatusNotFound {
			continue // it is audited as the page that is not there
		}
		p := parse(t, a.body)
		for _, tag := range []string{"textarea", "option", "script", "style", "code"} {
			for _, n := range p.find(tag) {
				n.Parent.RemoveChild(n)
			}
		}
		for _, m := range metricIn(p.text("main")) {
			t.Errorf("%s: %q", path, m)
		}
	}
	if len(metricIn("keep 20 mm clear")) != 1 || len(metricIn("keep 0.8 in (20 mm) clear")) != 0 {
		t.Error("this test sees nothing")
	}
}

// A field asks for the reader's unit, takes any other, and what is typed is kept as typed.
func TestFieldsTakeTheReadersUnitAndAnyOther(t *testing.T) {
	s := demoSite(t)
	s.american()
	for _, c := range [][2]string{{"134600", "134600 mi"}, {"216650 km", "216650 km"}} {
		typed, kept := c[0], c[1]
		before := len(s.odometer("heron"))
		p := s.page("/v/heron/add")
		form := url.Values{"odometer": {typed}, "date": {"2026-11-25"},
			"batch": {value(p.find("#odometer input[name=batch]")[0], "value")}}
		a := s.post("/v/heron/add/odometer", form)
		if a.StatusCode != http.StatusSeeOther && a.StatusCode != http.StatusOK {
			t.Fatalf("%q: %d %s", typed, a.StatusCode, a.body)
		}
		all := s.odometer("heron")
		if len(all) != before+1 || all[before] != kept {
			t.Errorf("%q is kept as %q", typed, all[len(all)-1])
		}
	}
}

// Units are chosen by form: of the yard as the browser's language suggests them, and of one
// vehicle; what else stands in the files stays.
func TestUnitsAreChosenByForm(t *testing.T) {
	s := demoSite(t)
	for _, c := range []struct{ accept, says string }{{"en-US,en;q=0.8", "US"}, {"en-GB", "mi"}, {"de-DE,de", "km"}} {
		p, money := yard.Usual(c.accept)
		if got := p.Preferred(units.Distance); (got == "km") != (c.says == "km") || money == "" {
			t.Errorf("%s: %s, %s", c.accept, got, money)
		}
	}
	form := url.Values{"currency": {"gbp"}}
	for _, f := range []string{"distance", "pressure"} {
		form.Set(f, map[string]string{"distance": "mi", "pressure": "psi"}[f])
	}
	s.post("/settings", form)
	src, err := os.ReadFile(filepath.Join(s.dir, "yard.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"yard: Alder Fen reserve\n", "currency: GBP\n", "distance: mi", "road speed: mph",
		"# the warden, at weekends"} {
		if !strings.Contains(string(src), want) {
			t.Errorf("yard.yaml lacks %q:\n%s", want, src)
		}
	}
	if got := s.page("/v/heron").text("main"); !strings.Contains(got, " mi") {
		t.Error("the vehicle's page names no miles")
	}
	sheet := filepath.Join(s.dir, "vehicles", "heron.yaml")
	before, err := os.ReadFile(sheet)
	if err != nil {
		t.Fatal(err)
	}
	s.post("/v/heron/settings", url.Values{"distance": {"km"}})
	if got := s.page("/v/heron").text("main"); strings.Contains(got, " mi ") {
		t.Error("the vehicle's own kilometres do not hold")
	}
	if got := s.page("/v/bittern").text("main"); !strings.Contains(got, " mi") {
		t.Error("one vehicle's units are another's")
	}
	s.post("/v/heron/settings", url.Values{"yard": {"1"}})
	if after, err := os.ReadFile(sheet); err != nil || string(after) != string(before) {
		t.Errorf("back as the yard has it, the sheet is another (%v)", err)
	}
	if a := s.post("/settings", url.Values{"distance": {"furlongs"}}); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("furlongs are taken: %d", a.StatusCode)
	}
}
