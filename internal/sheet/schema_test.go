package sheet

import (
	"bytes"
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v4"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/yamltree"
)

func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("sheet.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("sheet.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// validate puts a YAML sheet to a general-purpose JSON Schema validator.
func validate(t *testing.T, s *jsonschema.Schema, src []byte) error {
	t.Helper()
	var typed any
	if err := yaml.Unmarshal(src, &typed); err != nil {
		t.Fatal(err)
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

// plainDays writes the days that the YAML library reads as instants the way
// they were typed.
func plainDays(v any) any {
	switch v := v.(type) {
	case time.Time:
		return v.Format(time.DateOnly)
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

func TestSchemaAcceptsOldSheets(t *testing.T) {
	s := compiled(t)
	for id, src := range old(t) {
		if err := validate(t, s, src); err != nil {
			t.Errorf("%s: %v", id, err)
		}
	}
}

// Each wrong sheet differs from a valid one in one line.
func TestSchemaRejects(t *testing.T) {
	s := compiled(t)
	if err := validate(t, s, []byte(small)); err != nil {
		t.Fatalf("the valid sheet: %v", err)
	}
	for _, change := range [][2]string{
		{"undertray: 1", "undertray: 2"},
		{"vehicle: blue-van", "vehicle: Blue Van"},
		{"name: Blue van", "nmae: Blue van"},
		{"built: 2011-09-01", "built: 1st September 2011"},
		{"built: 2011-09-01", "built: 2011-13-01"},
		{"yearly: 12000 km", "yearly: 12000"},
		{"stance: strictest", "stance: strict"},
		{"minutes: 10", "minutes: ten"},
		{"torque: 4 N·m", "torque: 4"},
		{"from: below", "from: beneath"},
		{"x: 50 # across", "x: 150"},
		{"kind: ribbed-belt", "sort: ribbed-belt"},
		{"verdict: put right", "verdict: renew"},
		{"verdict: put right", "verdict: put right\n        do: mend"},
		{"verdict: put right", "verdict: put right\n        by: [soon]"},
		{"at_least: 3 per 75 mm", "note: three"},
		{"authority: owner", "authority: me"},
		{"side: back", "side: rear"},
		{"diameter: 80 mm", "diameter: 80"},
		{"needs: [raised]", "needs: raised"},
	} {
		if !strings.Contains(small, change[0]) {
			t.Fatalf("the small sheet has no %q", change[0])
		}
		src := strings.Replace(small, change[0], change[1], 1)
		if err := validate(t, s, []byte(src)); err == nil {
			t.Errorf("%q instead of %q is accepted", change[1], change[0])
		}
	}
}

// Every yaml key of the Go types stands in the schema and the other way
// round, and both agree on which are required.
func TestSchemaKeys(t *testing.T) {
	type object struct {
		Properties map[string]json.RawMessage `json:"properties"`
		Required   []string                   `json:"required"`
	}
	var doc struct {
		object
		Defs map[string]object `json:"$defs"`
	}
	if err := json.Unmarshal(Schema(), &doc); err != nil {
		t.Fatal(err)
	}
	for name, v := range map[string]any{
		"": fleet.Vehicle{}, "engine": fleet.Engine{}, "again": fleet.Again{}, "opening": fleet.Opening{},
		"position": fleet.Position{}, "part": fleet.PartSpec{}, "fastener": fleet.Fastener{},
		"consumable": fleet.Consumable{}, "limit": fleet.Limit{}, "interval": fleet.Interval{},
		"run": fleet.Run{}, "pulley": fleet.Pulley{}, "tensioner": fleet.Tensioner{}, "mark": fleet.Mark{},
		"bearing": fleet.Bearing{}, "measure": fleet.Measure{},
	} {
		o := doc.Defs[name]
		if name == "" {
			o = doc.object
		}
		wantKeys, required := yamltree.Keys(reflect.TypeOf(v))
		var keys []string
		for k := range o.Properties {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		want := slices.Sorted(slices.Values(wantKeys))
		if diff := cmp.Diff(want, keys); diff != "" {
			t.Errorf("%T: keys (-Go +schema):\n%s", v, diff)
		}
		slices.Sort(o.Required)
		if diff := cmp.Diff(slices.Sorted(slices.Values(required)), o.Required); diff != "" {
			t.Errorf("%T: required (-Go +schema):\n%s", v, diff)
		}
	}
}
