package web

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/internal/journal"
)

const heronSheet = "vehicles/heron.yaml"

func TestSheetIsKeptOnlyWhenItHoldsTogether(t *testing.T) {
	s := demoSite(t)
	old := s.read(heronSheet)
	p := s.page("/v/heron/sheet")
	was := value(p.find("input[name=was]")[0], "value")
	bad := strings.Replace(old, "kind: ribbed-belt", "kind: ribed-belt", 1)
	a := s.post("/v/heron/sheet", url.Values{"text": {bad}, "was": {was}})
	p = parse(t, a.body)
	line := 1 + strings.Count(bad[:strings.Index(bad, "kind: ribed-belt")], "\n")
	if a.StatusCode != http.StatusUnprocessableEntity || len(p.find("a[data-line]")) == 0 {
		t.Fatalf("%s %s", a.Status, p.text(".faults"))
	}
	if got := p.text(".faults a[data-line]"); got != "Line "+strconv.Itoa(line) ||
		!strings.Contains(p.text(".faults code"), "ribed-belt") {
		t.Errorf("%q, want line %d; %q", got, line, p.text(".faults code"))
	}
	if s.read(heronSheet) != old {
		t.Fatal("a broken sheet was kept")
	}
	// as a browser sends it
	good := strings.ReplaceAll(strings.Replace(old, "name: Heron", "name: Heron the van", 1), "\n", "\r\n")
	if a = s.post("/v/heron/sheet", url.Values{"text": {good}, "was": {was}}); a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s %s", a.Status, parse(t, a.body).text(".faults"))
	}
	if !strings.Contains(s.page("/v/heron").text("header"), "Heron the van") {
		t.Error("the new name is not shown")
	}
	kept, err := filepath.Glob(filepath.Join(s.dir, "vehicles", "old", "heron-*.yaml"))
	if err != nil || len(kept) != 1 {
		t.Fatalf("%d old sheets, error %v", len(kept), err)
	}
	if b, _ := os.ReadFile(kept[0]); string(b) != old {
		t.Error("the old sheet is not what it was")
	}
	if a := s.post("/v/heron/sheet", url.Values{"text": {old}, "was": {was}}); a.StatusCode != http.StatusConflict {
		t.Errorf("over a newer file: %s", a.Status)
	}
	was = value(s.page("/v/heron/sheet").find("input[name=was]")[0], "value")
	other := strings.Replace(old, "vehicle: heron", "vehicle: egret", 1)
	if a = s.post("/v/heron/sheet",
		url.Values{"text": {other}, "was": {was}}); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("another id: %s", a.Status)
	}
}

func TestABrokenSheetCanBePutRightHere(t *testing.T) {
	s := demoSite(t)
	s.page("/")
	old := s.read(heronSheet)
	s.write(heronSheet, strings.Replace(old, "kind: ribbed-belt", "kind: ribed-belt", 1))
	for _, path := range []string{"/v/heron", "/v/heron/round", "/v/heron/journal"} {
		a := s.get(path)
		p := parse(t, a.body)
		if a.StatusCode != http.StatusUnprocessableEntity || len(p.find("a[href=/v/heron/sheet]")) == 0 ||
			!strings.Contains(p.text("main"), "ribed-belt") {
			t.Errorf("%s: %s %s", path, a.Status, p.text("main"))
		}
		if strings.Join(strings.Fields(p.text("pre")), " ") != strings.Join(strings.Fields(old), " ") {
			t.Errorf("%s does not show the sheet as it was last", path)
		}
	}
	// It alone is shut: the others go on, and take facts.
	s.page("/v/bittern")
	if !strings.Contains(s.page("/").text("main"), "ribed-belt") {
		t.Error("the yard does not name the mistake")
	}
	note := blank(s.page("/v/bittern/add"), "form[action=/v/bittern/add/note]")
	note.Set("text", "the others go on")
	if a := s.post("/v/bittern/add/note", note); a.StatusCode != http.StatusSeeOther {
		t.Error(a.Status)
	}
	note.Set("batch", journal.NewID())
	if a := s.post("/v/heron/add/note", note); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a fact about the vehicle that is shut: %s", a.Status)
	}
	p := s.page("/v/heron/sheet")
	if !strings.Contains(p.text(".faults"), "ribed-belt") {
		t.Errorf("the editor says %q", p.text("main h1"))
	}
	was := value(p.find("input[name=was]")[0], "value")
	if a := s.post("/v/heron/sheet", url.Values{"text": {old}, "was": {was}}); a.StatusCode != http.StatusSeeOther {
		t.Fatal(a.Status)
	}
	s.page("/v/bittern")
}
