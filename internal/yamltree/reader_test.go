package yamltree

import (
	"reflect"
	"strings"
	"testing"

	"undertray.example/undertray/internal/harm"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

type hen struct {
	ID     string                     `yaml:"id"`
	Weighs *units.Quantity            `yaml:"weighs,omitempty" of:"mass,positive"`
	Cost   units.Quantity             `yaml:"cost,omitempty" of:"amount of money,not negative"`
	Eggs   int                        `yaml:"eggs,omitempty"`
	Lays   bool                       `yaml:"lays,omitempty"`
	Rank   float64                    `yaml:"rank,omitempty"`
	Side   fleet.Side                 `yaml:"side,omitempty"`
	Also   []string                   `yaml:"also,omitempty"`
	Spec   map[string]units.Quantity  `yaml:"spec,omitempty"`
	Units  map[units.Dimension]string `yaml:"units,omitempty"`
	Chicks []hen                      `yaml:"chicks,omitempty"`
	Nest   *struct {
		At string `yaml:"at"`
	} `yaml:"nest,omitempty"`
	Source fleet.Sources `yaml:"source,omitempty"`
	Raw    Node          `yaml:"raw,omitempty"`
	Hidden string
}

var henYard = Options{File: "a hen house", Top: "the house", Sample: func(_ reflect.Type, key string) string {
	return key + ": x"
},
	Nouns: map[reflect.Type]message.Text{reflect.TypeFor[struct {
		At string `yaml:"at"`
	}](): "the nest"}}

func readHen(t *testing.T, src string, opt Options) (hen, *Reader) {
	t.Helper()
	n, err := Document([]byte(src))
	if err != nil {
		t.Fatal(err)
	}
	var h hen
	r := NewReader(opt)
	r.Read(n, &h)
	return h, r
}

func TestReaderReadsWhole(t *testing.T) {
	h, r := readHen(t, `
id: "007"
weighs: 1.9 kg
cost: 0 EUR
eggs: 3
lays: true
rank: 2.5
side: above
also: [Speckle, 08]
spec: {wing: 30 cm}
units: {mass: lb}
chicks:
- id: a
  chicks: [{id: b}]
nest: {at: the barn}
source: [a book, its second edition]
raw: {any: [thing]}
`, henYard)
	if len(r.Problems()) > 0 {
		t.Fatalf("problems %v", r.Problems())
	}
	if h.ID != "007" || h.Weighs.Base() != 1900 || h.Eggs != 3 || !h.Lays || h.Rank != 2.5 || h.Side != fleet.Above ||
		h.Also[1] != "08" {
		t.Errorf("read %+v", h)
	}
	if wing := h.Spec["wing"]; wing.In("mm") != 300 || h.Units[units.Mass] != "lb" || h.Chicks[0].Chicks[0].ID != "b" ||
		h.Nest.At != "the barn" {
		t.Errorf("read %+v", h)
	}
	if len(h.Source) != 2 || h.Source[1] != "its second edition" {
		t.Errorf("sources %q", h.Source)
	}
	if one, _ := readHen(t, "id: a\nsource: handbook, page 7\n", henYard); len(one.Source) != 1 {
		t.Errorf("a source alone is read as %q", one.Source)
	}
	if pairs, ok := Pairs(&h.Raw); !ok || pairs[0].Key.Value != "any" {
		t.Errorf("raw %+v", h.Raw)
	}
	if at := r.At("chicks.0.chicks.0.id"); at != (Place{14, 17}) {
		t.Errorf("the inner chick's id stands at %v", at)
	}
	if at := r.At("chicks.0.weighs"); at != (Place{13, 3}) {
		t.Errorf("what is not there is looked for at %v", at)
	}
}

// Each mistake alone: one message, at its place.
func TestReaderTellsEachMistake(t *testing.T) {
	for src, want := range map[string]string{
		"id: a\ncolour: red":               `2:1: "colour" is not a key of the house: write one of id, `,
		"id: a\negs: 3":                    `2:1: "egs" is not a key of the house: did you mean "eggs"?`,
		"di: a":                            `1:1: "di" is not a key of the house: did you mean "id"?`,
		"id: a\nid: b":                     `2:1: the house has the key "id" twice, first in line 1: keep one`,
		"eggs: 3":                          `1:1: the house has no id: add a line such as "id: x"`,
		"id:":                              `1:1: the house has no id: add a line such as "id: x"`,
		"id: [a]":                          `1:5: id is a list: it needs a single value`,
		"id: a\nweighs: 2":                 `2:9: weighs "2" has no unit: write 2 kg or 2 lb`,
		"id: a\nweighs: 2 km":              `2:9: weighs "2 km" is a distance, not a mass`,
		"id: a\nweighs: 0 kg":              `2:9: weighs is 0 kg: it must be more than 0`,
		"id: a\nweighs: {a: 1}":            `2:9: weighs is a group of keys: it needs a figure and its unit`,
		"id: a\ncost: -1 EUR":              `2:7: cost is -1 EUR: it cannot be less than 0`,
		"id: a\neggs: three":               `2:7: eggs is "three": write a whole number`,
		"id: a\nlays: yes":                 `2:7: lays is "yes": write true or false`,
		"id: a\nrank: 2 min":               `2:7: rank is "2 min": write a plain number, 2`,
		"id: a\nrank: .nan":                `2:7: rank is ".nan": write a plain number, without a unit`,
		"id: a\nside: left":                `2:7: side: "left" is not a side: write above or below`,
		"id: a\nalso: Speckle":             `2:7: also needs a list: write [Speckle]`,
		"id: a\nalso: {a: b}":              `2:7: also is a group of keys: it needs a list, each item after a hyphen`,
		"id: a\nalso: [a, ]\nspec: [x]":    `3:7: spec is a list: it needs names, each with its figure`,
		"id: a\nalso:\n- a\n-":             `4:2: also has an empty item: fill it in or take it out`,
		"id: a\nspec: {w: 1 mm, w: 2 mm}":  `2:17: spec has the name "w" twice: keep one`,
		"id: a\nspec: {w: 1 furlong}":      `2:11: w "1 furlong" has a unit that is not known`,
		"id: a\nunits: {weight: kg}":       `2:9: weight: "weight" is no dimension`,
		"id: a\nchicks: [b]":               `2:10: an item of chicks is a single value: it needs keys, each with its value`,
		"id: a\nchicks: [{id: b, egs: 1}]": `2:18: "egs" is not a key of hen "b": did you mean "eggs"?`,
		"id: a\nchicks: [{eggs: 1}]":       `2:10: this hen has no id: add a line such as "id: x"`,
		"id: a\nnest: {at: x, roof: y}":    `2:15: "roof" is not a key of the nest: write one of at`,
		"id: a\nnest: barn":                `2:7: nest is a single value: it needs keys, each with its value`,
		"id: &x a":                         `1:5: anchors, aliases and tags (&, *, !) are not read in a hen house: write the value itself`,
		"- id: a":                          `1:1: the house is a list: it needs keys, each with its value`,
		"id: a\neggs: 1\negs: 2":           `3:1: "egs" is not a key of the house: did you mean "eggs"?`,
	} {
		_, r := readHen(t, src, henYard)
		err := Joined("h", r.Problems())
		if err == nil || !strings.HasPrefix(err.Error(), "h:"+want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q:\n got %v\nwant h:%s", src, err, want)
		}
	}
}

// All mistakes of one file come together, in order of place, each once.
func TestReaderTellsAllMistakes(t *testing.T) {
	_, r := readHen(t, "weighs: 2\nlays: no\nchicks: [{egs: 1}, 3]\n", henYard)
	r.Note("weighs", "and too heavy")       // broken: nothing more is said of it
	r.Note("chicks.1.eggs", "and too many") // what holds it is broken
	r.Wrong("rank", "no rank")              // not there: told where it would stand
	r.Wrong("rank", "no rank at all")
	r.NoteAt(Place{3, 20}, fleet.Invalid, "an item of chicks is a single value: it needs keys, each with its value")
	err := Joined("h", r.Problems())
	want := `h:1:1: the house has no id: add a line such as "id: x"
h:1:1: no rank
h:1:9: weighs "2" has no unit: write 2 kg or 2 lb
h:2:7: lays is "no": write true or false
h:3:10: this hen has no id: add a line such as "id: x"
h:3:11: "egs" is not a key of this hen: did you mean "eggs"?
h:3:20: an item of chicks is a single value: it needs keys, each with its value`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	if !r.Broken("rank") || !r.Broken("chicks.1") || r.Broken("chicks.0") || r.Broken("rank.x") {
		t.Error("what is broken is told wrongly")
	}
}

// What a sort of file leaves out or does not ask for.
func TestReaderOptions(t *testing.T) {
	opt := henYard
	opt.Without = map[reflect.Type]string{reflect.TypeFor[hen](): "eggs"}
	opt.Optional = map[reflect.Type][]string{reflect.TypeFor[hen](): {"id"}}
	_, r := readHen(t, "eggs: 3\n", opt)
	if err := Joined("h", r.Problems()); err == nil || strings.Contains(err.Error(), "id:") ||
		!strings.Contains(err.Error(), `"eggs" is not a key`) {
		t.Errorf("got %v", err)
	}
	if err := Read([]byte("weighs: 2 kg\n"), new(hen)); err != nil {
		t.Errorf("nothing is asked, and yet: %v", err)
	}
	if err := Read([]byte("lays: no\nrank: x\n"), new(hen)); err == nil || strings.Count(err.Error(), "line ") != 2 {
		t.Errorf("two mistakes give %v", err)
	}
}

// FuzzReader: whatever a file holds, it is read or refused with places in it.
func FuzzReader(f *testing.F) {
	harm.Add(f, "id: a", "- - -", "? [a]\n: b", "id: a\n? x\n: y", "spec: {: 1}", "units: {? [a] : b}", "raw: &a [*a]",
		"chicks: [~, {}]")
	f.Fuzz(readAny)
}

func readAny(t *testing.T, src string) {
	n, err := Document([]byte(src))
	if n == nil || err != nil {
		return
	}
	r := NewReader(henYard)
	r.Read(n, new(hen))
	for _, p := range r.Problems() {
		if p.Line < 1 || p.Col < 1 || p.Msg == "" {
			t.Errorf("a problem without a place: %+v", p)
		}
	}
}
