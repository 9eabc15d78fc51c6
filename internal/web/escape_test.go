package web

import (
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

// markup closes what it may stand in and then stands out.
const markup = `"'></textarea></title></script><i class=evil>x</i>{{.}}`

// plant puts markup behind the text of every field that takes free text. Ids,
// words of a fixed list and references stay as they are.
func plant(v reflect.Value, fixed []string) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			plant(v.Elem(), fixed)
		}
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[units.Quantity]() || v.Type() == reflect.TypeFor[civil.Date]() {
			return
		}
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() && !slices.Contains(fixed, f.Name) {
				plant(v.Field(i), fixed)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			plant(v.Index(i), fixed)
		}
	case reflect.String:
		if v.Type() == reflect.TypeFor[string]() {
			v.SetString(v.String() + markup)
		}
	}
}

func evilSite(t *testing.T) *site {
	t.Helper()
	made, err := madeDemo()
	if err != nil {
		t.Fatal(err)
	}
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	src, err := os.ReadFile(filepath.Join(made.dir, heronSheet))
	if err != nil {
		t.Fatal(err)
	}
	v, err := sheet.Parse("heron.yaml", src, cat)
	if err != nil {
		t.Fatal(err)
	}
	plant(reflect.ValueOf(v).Elem(), []string{"ID", "VIN", "Fuel", "Layout", "Needs", "Seen", "Changed", "Neighbours",
		"Kind", "System", "Belt", "Position", "Side",
		"Check", "Is", "Materials", "Material", "Do", "Pivot", "Tensioner", "Source", "Quantity", "Runs", "NotIn"})
	for i := range v.Runs {
		v.Runs[i].Name += markup
		if t := v.Runs[i].Tensioner; t != nil && t.Pulley != "" {
			t.Pulley += markup
		}
		for k := range v.Runs[i].Pulleys {
			v.Runs[i].Pulleys[k].Name += markup
		}
	}
	out, err := yamltree.Write(v)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := sheet.Parse("planted", out, cat); err != nil {
		t.Fatalf("a field of fixed words was planted in: leave it out. %.600v", err)
	}
	dir := t.TempDir()
	s := newSite(t, dir, evilEntries(t, made.entries), Options{})
	s.write(heronSheet, string(out))
	name, err := yamltree.Write(map[string]string{"yard": "Fen" + markup})
	if err != nil {
		t.Fatal(err)
	}
	s.write("yard.yaml", string(name))
	return s
}

// evilEntries plants markup in every entry of one vehicle, and adds sorts of
// entry that the demo does not have.
func evilEntries(t *testing.T, all []*fleet.Entry) []*fleet.Entry {
	t.Helper()
	var out []*fleet.Entry
	for _, e := range all {
		if e.Vehicle != "heron" {
			continue
		}
		b, err := fleet.EncodeEntry(e)
		if err != nil {
			t.Fatal(err)
		}
		c, err := fleet.DecodeEntry(b)
		if err != nil {
			t.Fatal(err)
		}
		plant(reflect.ValueOf(c).Elem(), []string{"ID", "Batch", "Vehicle", "Position", "Positions", "Check", "Answer",
			"Settles", "Of", "Off", "Attachments", "Material"})
		c.By = "warden" + markup
		out = append(out, c)
	}
	fix := func(body *fleet.Correction) *fleet.Entry {
		return &fleet.Entry{Format: fleet.EntryFormat, ID: journal.NewID(), Batch: journal.NewID(), Recorded: noon(),
			Type: fleet.TypeCorrection, Vehicle: "heron", Date: civil.Of(noon()), Correction: body}
	}
	return append(out, fix(&fleet.Correction{Of: out[len(out)-1].ID, Withdraw: true, Why: "why" + markup}))
}

func TestNothingTypedComesOutAsMarkup(t *testing.T) {
	s := evilSite(t)
	entries, err := s.journal.Entries(t.Context(), journal.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	paths := []string{"/", "/v/heron", "/v/heron?by=system&open=undertray", "/v/heron/round?open=all",
		"/v/heron/round?by=system&open=all", "/v/heron/job", "/v/heron/record?all=1",
		"/v/heron/journal", "/v/heron/add", "/v/heron/sheet", "/v/heron/plan", "/v/heron/trip?distance=2400",
		"/reckoning", "/kinds", "/kinds/ribbed-belt", "/search?q=x", "/search?q=%22%27%3E%3Ci+class%3Devil%3E", "/new",
		"/nowhere%3Ci%20class=evil%3E", "/v/heron/p/%3Ci%20class=evil%3E",
		"/kinds/ribbed-belt/means?check=cracks&answer=9&material=%22%3E%3Ci+class%3Devil%3E",
		"/?on=%3Ci+class%3Devil%3E", "/v/heron/record?text=%22%3E%3Ci+class%3Devil%3E", "/v/%3Ci%20class=evil%3E/sheet"}
	for _, p := range []string{"main-belt", "top-hose", "battery", "heater-hose-feed", "gearbox-fluid",
		"main-tensioner", "engine-oil"} {
		paths = append(paths, "/v/heron/p/"+p)
	}
	for _, e := range entries[len(entries)-4:] {
		paths = append(paths, "/v/heron/journal/"+e.ID, "/v/heron/batch/"+e.Batch)
	}
	planted := 0
	for _, path := range paths {
		a := s.get(path)
		if a.StatusCode >= 500 || a.StatusCode == 422 && !strings.Contains(path, "on=") &&
			!strings.Contains(path, "material=") {
			t.Errorf("%s: %s %.300s", path, a.Status, parse(t, a.body).text("main"))
			continue
		}
		if len(parse(t, a.body).find(".evil")) > 0 || strings.Contains(a.body, "<i class") {
			t.Errorf("%s lets markup through", path)
		}
		planted += strings.Count(a.body, "&lt;i class=evil&gt;")
	}
	if planted < 500 {
		t.Errorf("only %d pieces of markup were shown: the test does not reach what it is about", planted)
	}
	forms := s.post("/v/heron/round", map[string][]string{"date": {markup}, "batch": {markup}, "odometer": {markup},
		"a.battery.rest-voltage": {markup}, "n.battery": {markup}, markup: {markup}, "a." + markup: {markup}})
	if len(parse(t, forms.body).find(".evil")) > 0 {
		t.Error("a round brought back lets markup through")
	}
	for _, what := range []string{"odometer", "fitted", "done", "note"} {
		fields := map[string][]string{}
		for _, f := range []string{"date", "batch", "odometer", "position", "name", "number", "cost", "removed",
			"known", "note", "text", "old", "new", "why", "minutes", "since-date"} {
			fields[f] = []string{markup}
		}
		a := s.post("/v/heron/add/"+what, fields)
		if len(parse(t, a.body).find(".evil")) > 0 || !strings.Contains(a.body, "evil") {
			t.Errorf("%s brought back lets markup through, or forgets what was typed: %s", what, a.Status)
		}
	}
}
