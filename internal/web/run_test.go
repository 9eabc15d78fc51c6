package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undertray.example/undertray/internal/belt"
)

// The page answers for the run as it is, for another belt, for a change and for
// a tapped span, without script; each has its twin in JSON.
func TestRunPage(t *testing.T) {
	s := demoSite(t)
	for _, c := range []struct {
		name, run string
		ask       url.Values
		selector  string
		want      string
	}{
		{"as it is", "main-run", nil, ".lead", "The 6PK1874 fits, with about 26 mm of belt left."},
		{"stretch", "ac-run", nil, ".lead", "The 4PK939 fits, with about 8 mm of belt left."},
		{"another belt", "main-run", url.Values{"belt": {"6PK1820"}}, ".lead", "The 6PK1820 does not fit"},
		{"diameter", "main-run", url.Values{"d4": {"60"}}, ".lead", "The alternator 60 mm instead of 56 mm"},
		{"unchanged figures ask nothing", "main-run", url.Values{"d4": {"56"}, "x4": {"-212"}, "y4": {"318 mm"}},
			".lead", "The 6PK1874 fits"},
		{"in inches", "main-run", url.Values{"d4": {"2.5 in"}}, ".lead", "The alternator 63.5 mm instead of 56 mm"},
		{"moved", "main-run", url.Values{"x7": {"70"}, "y7": {"150"}}, ".lead",
			"The lower idler moved to x 70.0, y 150.0 mm"},
		{"cannot be", "main-run", url.Values{"x7": {"50"}, "y7": {"298"}}, ".lead", "the run cannot be"},
		{"left out", "main-run", url.Values{"leave": {"Steering pump"}}, ".lead", "The steering pump left out"},
		{"ways", "main-run", url.Values{"leave": {"Steering pump"}}, "caption", "Pulleys in order of travel"},
		{"idler", "ac-run", url.Values{"idler": {"60"}, "idler-x": {"130"}, "idler-y": {"-80"}}, ".lead",
			"The belt still fits."},
		{"what the idler does", "ac-run", url.Values{"idler": {"60"}, "idler-x": {"130"}, "idler-y": {"-80"}}, "main",
			"Asked for: an idler of 60 mm added"},
		{"tapped", "main-run", url.Values{"tap": {"crank pulley > steering pump"}, "hz": {"132"}}, ".said",
			"Crank pulley to steering pump (231 mm) at 132 Hz"},
		{"arm", "main-run", url.Values{"arm": {"-6"}}, "li", "of the ribs gone if all of it is wear"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := "/v/heron/run/" + c.run + "?" + c.ask.Encode()
			p := s.page(path)
			if got := p.text(c.selector); !strings.Contains(got, c.want) {
				t.Errorf("%s says %q, want %q", c.selector, got, c.want)
			}
			checkPage(t, path, p)
			var v belt.RunView
			if err := json.Unmarshal([]byte(s.get(path, "Accept", "application/json").body), &v); err != nil ||
				v.Headline == "" {
				t.Errorf("JSON: %v, headline %q", err, v.Headline)
			}
		})
	}
}

// What was asked stands in the form again, and a figure that cannot be read is
// said by the name of its field.
func TestRunForm(t *testing.T) {
	s := demoSite(t)
	p := s.page("/v/heron/run/main-run?d4=60&belt=6PK1880")
	if got := value(p.find("input[name=d4]")[0], "value"); got != "60" {
		t.Errorf("diameter of pulley 4 stands as %q", got)
	}
	if got := value(p.find("input[name=d1]")[0], "value"); got != "160" {
		t.Errorf("diameter of pulley 1 stands as %q", got)
	}
	for path, want := range map[string]string{
		"/v/heron/run/main-run?d4=wide":                "Alternator, diameter",
		"/v/heron/run/main-run?belt=K060737":           "inch part number",
		"/v/heron/run/main-run?idler=60":               "Fill in all three",
		"/v/heron/run/main-run?leave=Crank+pulley":     "driver",
		"/v/heron/run/main-rn":                         "main-run",
		"/v/heron/run/main-run?hz=90&tap=crank+pulley": "Choose the span",
	} {
		a := s.get(path)
		if a.StatusCode == http.StatusOK || !strings.Contains(a.body, want) {
			t.Errorf("%s: status %d, lacks %q", path, a.StatusCode, want)
		}
	}
}

// What cannot be read is said once, on the run as it is, and the form comes back as
// it was typed.
func TestARunThatCannotBeAskedKeepsItsForm(t *testing.T) {
	s := demoSite(t)
	path := "/v/heron/run/main-run?belt=2210&d4=60"
	a := s.get(path)
	if a.StatusCode != http.StatusUnprocessableEntity {
		t.Fatalf("status %d", a.StatusCode)
	}
	p := parse(t, a.body)
	if got := p.find("[role=alert]"); len(got) != 1 || !strings.Contains(text(got[0]), "2210") ||
		!strings.Contains(text(got[0]), "6PK1885") {
		t.Errorf("%d errors: %s", len(got), p.text("#answer"))
	}
	for field, want := range map[string]string{"belt": "2210", "d4": "60", "d1": "160"} {
		if got := value(p.find("input[name=" + field + "]")[0], "value"); got != want {
			t.Errorf("%s comes back as %q, not %q", field, got, want)
		}
	}
	lost := parse(t, s.get("/v/heron/run/main-run?d4=60&leave=Crank+puley").body)
	if value(lost.find("input[name=d4]")[0], "value") != "60" || !strings.Contains(lost.text("[role=alert]"), "puley") {
		t.Errorf("a pulley that the run does not have: %s", lost.text("#answer"))
	}
	if got := p.text(".lead"); !strings.Contains(got, "As it is: ") || !strings.Contains(got, "6PK1874") {
		t.Errorf("the run as it is: %q", got)
	}
	checkPage(t, path, p)
}
