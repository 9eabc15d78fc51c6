package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v4"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/intake"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// compiled is a schema as an independent validator (santhosh-tekuri/jsonschema) takes it, formats asserted.
func compiled(t *testing.T, src []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(src))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// holds puts a file, YAML or JSON, to a schema.
func holds(t *testing.T, s *jsonschema.Schema, src []byte) error {
	t.Helper()
	var typed any
	if err := yaml.Unmarshal(src, &typed); err != nil {
		return err
	}
	text, err := json.Marshal(plainDays(typed))
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(doc)
}

// plainDays writes days that the YAML library reads as instants the way they were typed.
func plainDays(v any) any {
	switch v := v.(type) {
	case time.Time:
		if v.Equal(v.Truncate(24 * time.Hour)) {
			return v.Format(time.DateOnly)
		}
		return v.Format(time.RFC3339Nano)
	case map[any]any:
		named := map[string]any{}
		for key := range v {
			named[fmt.Sprint(key)] = plainDays(v[key])
		}
		return named
	case map[string]any:
		for key := range v {
			v[key] = plainDays(v[key])
		}
	case []any:
		for i := range v {
			v[i] = plainDays(v[i])
		}
	}
	return v
}

// files are what the schemas are of: all that the program ships and makes.
func files(t *testing.T, dir string) map[string]map[string][]byte {
	t.Helper()
	out := map[string]map[string][]byte{}
	add := func(schema, name string, src []byte) {
		if out[schema] == nil {
			out[schema] = map[string][]byte{}
		}
		out[schema][name] = src
	}
	for schema, pattern := range map[string]string{"sheet": dir + "/vehicles/*.yaml", "yard": dir + "/yard.yaml",
		"catalogue": "../catalogue/data/*.yaml"} {
		names, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			src, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			add(schema, name, src)
		}
	}
	add("yard", "all of it", []byte("yard: Shed\nunits: {system: imperial, units: {distance: mi}}\ncurrency: GBP\n"+
		"visits: {hours_per_month: 20, money_per_month: 400 GBP}\npictures: {megabytes: 500}\njournal: other.db\n"))
	blank, _, _ := ran(t, dir, "round", "heron", "--form", "yaml")
	add("round", "blank", []byte(blank))
	add("round", "filled", []byte("vehicle: heron\ndate: 2026-11-24\nodometer: 184310 km\nfound:\n  main-belt:\n"+
		"    cracks: 3 per 75 mm\n    note: below\n"))
	add("round", "by numbers",
		[]byte("vehicle: heron\nsheet: all/k7qd\nsound: 1-20 22\nfound:\n  21a: 3\n  23: damp\n"))
	far, day := units.MustParse("184310 km"), demo.Today
	answers, err := intake.Answers{Vehicle: "heron", Date: day, Odometer: &far, Found: map[string]map[string]string{
		"main-belt": {"cracks": "3 per 75 mm", "edges": "1"}, "battery": {"rest-voltage": "12.4"}}}.File()
	if err != nil {
		t.Fatal(err)
	}
	add("answers", "all of it", answers)
	y, err := yard.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	entries, err := demo.Entries(y)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		line, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		add("entry", e.ID, line)
	}
	return out
}

// Every file that ships or is made fits its schema, and the schemas are those of what is read: what a schema and a
// reader both can tell is refused by both.
func TestSchemasFitTheFiles(t *testing.T) {
	dir := demoFolder(t)
	all, checked := files(t, dir), map[string]*jsonschema.Schema{}
	for _, s := range schemas {
		if s.name == httpSchema {
			continue // internal/web puts it, and every answer to it, to another validator
		}
		checked[s.name] = compiled(t, s.schema())
		if len(all[s.name]) == 0 {
			t.Errorf("no %s is checked", s.name)
		}
		for name, src := range all[s.name] {
			if err := holds(t, checked[s.name], src); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	entry := `{"v":1,"id":"0193a1b2-0000-7000-8000-000000000001","recorded":"2026-11-24T09:00:00Z","type":"found",` +
		`"vehicle":"heron","date":"2026-11-24","found":{"position":"main-belt","check":"cracks","value":"3 per 75 mm"}}`
	readers := map[string]func(src string) error{
		"yard": func(src string) error {
			dir := t.TempDir()
			if err := os.WriteFile(filepath.Join(dir, "yard.yaml"), []byte(src), 0o600); err != nil {
				t.Fatal(err)
			}
			_, err := yard.Open(dir)
			return err
		},
		"catalogue": func(src string) error {
			_, err := catalogue.LoadWith(catalogue.File{Name: "own.yaml", Source: []byte(src)})
			return err
		},
		"round":   func(src string) error { _, err := intake.Findings("round.yaml", []byte(src)); return err },
		"answers": func(src string) error { _, err := intake.Findings("answers.yaml", []byte(src)); return err },
		"entry": func(src string) error {
			_, err := journal.Import(t.Context(), journal.NewMemory(), "entries.jsonl", strings.NewReader(src+"\n"),
				journal.ImportOptions{})
			return err
		},
	}
	for _, c := range []struct{ schema, good, was, is string }{
		{"yard", "yard: Shed\nvisits: {hours_per_month: 20}\n", "yard:", "yrad:"},
		{"yard", "yard: Shed\nvisits: {hours_per_month: 20}\n", "20", "many"},
		{"yard", "yard: Shed\nunits: {system: metric}\n", "metric", "cubits"},
		{"yard", "yard: Shed\nvisits: {money_per_month: 20 EUR}\n", "20 EUR", "much"},
		{"catalogue", "sources:\n  - {id: own, what: A handbook, seen: seen}\n", "sources", "source"},
		{"catalogue", "kinds:\n  - kind: ribbed-belt\n    tips: [keep it dry]\n", "[keep it dry]", "keep it dry"},
		{"catalogue", "kinds:\n  - kind: ribbed-belt\n    tips: [keep it dry]\n", "tips", "tipps"},
		{"catalogue", "kinds:\n  - kind: ribbed-belt\n    battery_off: true\n", "true", "perhaps"},
		{"round", "vehicle: heron\ndate: 2026-11-24\nfound:\n", "2026-11-24", "24th November"},
		{"round", "vehicle: heron\nodometer: 184310 km\nfound:\n", " km", ""},
		{"round", "vehicle: heron\nfound:\n  main-belt:\n    cracks: 3\n", "found", "seen"},
		{"round", "vehicle: heron\nfound:\n  main-belt:\n    cracks: 3\n", "\n    cracks: 3", " [3]"},
		{"answers", "vehicle: heron\ndate: 2026-11-24\nfound: {main-belt: {cracks: 3}}\n", "2026-11-24", "24th"},
		{"answers", "vehicle: heron\ndate: 2026-11-24\nfound:\n  main-belt:\n    cracks: 3\n", "found", "seen"},
		{"answers", "vehicle: heron\ndate: 2026-11-24\nfound:\n  main-belt:\n    cracks: 3\n", "\n    cracks: 3",
			" [3]"},
		{"entry", entry, `"type":"found"`, `"type":"fund"`}, {"entry", entry, `"vehicle":"heron",`, ""},
		{"entry", entry, `"2026-11-24"`, `"2026-13-24"`}, {"entry", entry, `"check"`, `"chek"`},
		{"entry", entry, `"3 per 75 mm"`, `"few"`}, {"entry", entry, `"v":1`, `"v":"1"`},
	} {
		bad := strings.Replace(c.good, c.was, c.is, 1)
		if err := holds(t, checked[c.schema], []byte(c.good)); err != nil {
			t.Errorf("%s by its schema: %v", c.good, err)
		}
		if err := readers[c.schema](c.good); err != nil {
			t.Errorf("%s by its reader: %v", c.good, err)
		}
		if holds(t, checked[c.schema], []byte(bad)) == nil || readers[c.schema](bad) == nil {
			t.Errorf("%s: %q instead of %q: schema %v, reader %v", c.schema, c.is, c.was,
				holds(t, checked[c.schema], []byte(bad)), readers[c.schema](bad))
		}
	}
}
