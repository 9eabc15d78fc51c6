package web

import (
	"errors"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/emersion/go-ical"

	"undertray.example/undertray/internal/door"
	"undertray.example/undertray/internal/journal"
)

// address makes a calendar's address by the page and returns its path.
func (g *guarded) address(t *testing.T, fields url.Values) string {
	t.Helper()
	a := g.post("/devices/calendar", fields, g.as(door.All)...)
	m := regexp.MustCompile(`/calendar/[0-9a-f]{64}\.ics`).FindString(a.body)
	if a.StatusCode != http.StatusOK || m == "" || strings.Contains(g.get("/devices", g.as(door.All)...).body, m) {
		t.Fatalf("%s, address %q", a.Status, m)
	}
	return m
}

// days are the first days of a calendar's events by their UIDs.
func days(t *testing.T, body string) map[string]string {
	t.Helper()
	cal, err := ical.NewDecoder(strings.NewReader(body)).Decode()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, e := range cal.Events() {
		uid, _ := e.Props.Text(ical.PropUID)
		out[uid] = e.Props.Get(ical.PropDateTimeStart).Value
	}
	return out
}

// settle puts the change of the Heron's belt into a month.
func (g *guarded) settle(t *testing.T, month string) {
	t.Helper()
	if a := g.post("/v/heron/plan/settled", url.Values{"batch": {journal.NewID()}, "position": {"main-belt"},
		"month": {month}}, g.as(door.All)...); a.StatusCode != http.StatusSeeOther {
		t.Fatal(a.Status, a.body)
	}
}

// An address gives one vehicle's calendar, reminds as it was asked to, answers 304 while nothing changes (RFC 9110,
// 13.1), is read by who has it and nobody else, opens nothing else, and stands in no log.
func TestACalendarIsSubscribedTo(t *testing.T) {
	g := newGuarded(t)
	at := g.address(t, url.Values{"name": {"kitchen"}, "vehicle": {"heron"}, "alarm": {"evening"}})
	a := g.get(at)
	if a.StatusCode != http.StatusOK || a.Header.Get("Content-Type") != calendarType ||
		!strings.Contains(a.body, "SUMMARY:Heron: ") || strings.Contains(a.body, "Dunnock") ||
		strings.Count(a.body, "TRIGGER:-PT6H") != strings.Count(a.body, "BEGIN:VEVENT") {
		t.Fatalf("%s %v\n%s", a.Status, a.Header, a.body)
	}
	for _, header := range [][]string{{"If-None-Match", a.Header.Get("ETag")},
		{"If-Modified-Since", a.Header.Get("Last-Modified")}} {
		if b := g.get(at, header...); header[1] == "" || b.StatusCode != http.StatusNotModified || b.body != "" {
			t.Errorf("%v: %s", header, b.Status)
		}
	}
	key := strings.TrimSuffix(strings.TrimPrefix(at, calendarsAt), ".ics")
	if b := g.get("/v/heron", "Cookie", deviceCookie+"="+key); b.StatusCode != http.StatusSeeOther {
		t.Errorf("the address of a calendar opens pages: %s", b.Status)
	}
	for _, other := range []string{"/calendar/x.ics", "/calendar/" + g.keys[door.All] + ".ics"} {
		if b := g.get(other); b.StatusCode != http.StatusNotFound || strings.Contains(b.body, "Heron") {
			t.Errorf("%s: %s", other, b.Status)
		}
	}
	if loggedPath(at) != calendarsAt {
		t.Errorf("the log has %s", loggedPath(at))
	}
	all, err := g.door.Devices()
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range all {
		again := g.post("/devices/"+d.ID+"/anew", nil, g.as(door.All)...)
		if want := d.May == door.Calendar; (again.StatusCode == http.StatusOK) != want {
			t.Errorf("another address for %s, %s: %s", d.Name, d.May, again.Status)
		}
	}
	if b := g.get(at); b.StatusCode != http.StatusNotFound {
		t.Errorf("an address that another took the place of: %s", b.Status)
	}
	if b := g.get("/v/heron", g.as(door.Look)...); b.StatusCode != http.StatusOK {
		t.Errorf("devices after it: %s", b.Status)
	}
	for _, f := range []url.Values{{"name": {""}}, {"name": {"x"}, "vehicle": {"nobody"}},
		{"name": {"x"}, "alarm": {"-PT1H"}}} {
		if b := g.post("/devices/calendar", f, g.as(door.All)...); b.StatusCode/100 != 4 {
			t.Errorf("%v: %s", f, b.Status)
		}
	}
}

// tool runs one of the calendar programs that Debian has.
func tool(t *testing.T, dir, name string, args ...string) string {
	t.Helper()
	c := exec.Command(name, args...)
	c.Env = append(os.Environ(), "HOME="+dir, "XDG_CONFIG_HOME="+dir, "XDG_DATA_HOME="+dir, "XDG_CACHE_HOME="+dir,
		"LC_ALL=C.UTF-8")
	out, err := c.CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, out)
	}
	return string(out)
}

// khalled is a folder with one calendar, as khal knows it.
func khalled(t *testing.T) (dir string) {
	t.Helper()
	for _, name := range []string{"vdirsyncer", "khal"} {
		if _, err := exec.LookPath(name); err != nil {
			if os.Getenv("UNDERTRAY_CHECK") != "" {
				t.Fatal(err)
			}
			t.Skip(name + " is not here")
		}
	}
	dir = t.TempDir()
	plan := filepath.Join(dir, "plan")
	text := fmt.Sprintf("[calendars]\n[[plan]]\npath = %s\n[locale]\nlongdateformat = %%Y%%m%%d\n"+
		"dateformat = %%Y%%m%%d\ntimeformat = %%H:%%M\nlongdatetimeformat = %%Y%%m%%d %%H:%%M\n"+
		"datetimeformat = %%Y%%m%%d %%H:%%M\n[sqlite]\npath = %s\n", plan, filepath.Join(dir, "khal.db"))
	err := errors.Join(os.Mkdir(plan, 0o755), os.WriteFile(filepath.Join(dir, "khal"), []byte(text), 0o600))
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// khalShows is what khal shows, each event on a line in the format asked for, in order.
func khalShows(t *testing.T, dir, format string) []string {
	t.Helper()
	out := strings.Fields(tool(t, dir, "khal", "-c", filepath.Join(dir, "khal"), "list", "--once", "--notstarted",
		"--day-format", "", "--format", format, "20261101", "1500d"))
	slices.Sort(out)
	return out
}

// vdirsyncer (0.19) subscribes and khal (0.10) shows, and takes the file in beside it, before and after a change
// of plan.
// Subscribed, what they hold is what the plan holds and nothing stale; vdirsyncer names what it has from an
// address anew by what it says, so that days are compared. Taken in twice, what has moved stands once, on its
// new day under its old name, and what was withdrawn as cancelled.
func TestCalendarProgramsFollowThePlan(t *testing.T) {
	dir, in := khalled(t), khalled(t)
	g := newGuarded(t)
	at := g.address(t, url.Values{"name": {"khal"}, "vehicle": {"heron"}})
	conf, file := filepath.Join(dir, "vdirsyncer"), filepath.Join(in, "plan.ics")
	if err := os.WriteFile(conf, fmt.Appendf(nil, "[general]\nstatus_path = %q\n[pair plan]\na = \"server\"\n"+
		"b = \"here\"\ncollections = null\n[storage server]\ntype = \"http\"\nurl = %q\n[storage here]\n"+
		"type = \"filesystem\"\npath = %q\nfileext = \".ics\"\n", filepath.Join(dir, "status"), g.url+at,
		filepath.Join(dir, "plan")), 0o600); err != nil {
		t.Fatal(err)
	}
	tool(t, dir, "vdirsyncer", "-c", conf, "discover")
	follow := func(was answer) (given answer, held map[string]string) {
		t.Helper()
		a := g.get(at, "If-None-Match", was.Header.Get("ETag"), "If-Modified-Since", was.Header.Get("Last-Modified"))
		tool(t, dir, "vdirsyncer", "-c", conf, "sync")
		want := slices.Sorted(maps.Values(days(t, a.body)))
		if got := khalShows(t, dir, "{start-date}"); len(want) < 5 || !slices.Equal(got, want) {
			t.Fatalf("khal shows\n%v\nand the plan has\n%v", got, want)
		}
		b := g.get("/calendar.ics", g.as(door.Look)...)
		if err := os.WriteFile(file, []byte(b.body), 0o600); err != nil {
			t.Fatal(err)
		}
		tool(t, in, "khal", "-c", filepath.Join(in, "khal"), "import", "--batch", file)
		return a, days(t, b.body)
	}
	first, before := follow(answer{Response: new(http.Response)})
	g.settle(t, "2027-09")
	_, after := follow(first)
	moved, cancelled := 0, 0
	for _, line := range khalShows(t, in, "{uid}/{start-date}/{cancelled}") {
		at := strings.Split(line, "/")
		was, before := before[at[0]]
		switch day, holds := after[at[0]]; {
		case !holds || day != at[1]:
			t.Errorf("khal has %s, the plan %s", line, day)
		case at[2] != "":
			cancelled++
		case before && was != day:
			moved++
		}
		delete(after, at[0])
	}
	if moved == 0 || cancelled == 0 || len(after) > 0 {
		t.Errorf("%d moved, %d are cancelled, khal lacks %v", moved, cancelled, after)
	}
}
