package yamltree

import (
	"errors"
	"strings"
	"testing"
)

// The places are those of YAML 1.2.2's own notions: a mapping begins at its
// first key, a list at its first hyphen, a flow collection at its bracket.
func TestPlaces(t *testing.T) {
	docs, err := Parse([]byte("# first a comment\nname: Wren\nlist:\n  - a: 1\n  - [x, 02]\nnone:\n"))
	if err != nil || len(docs) != 1 {
		t.Fatalf("%d documents, %v", len(docs), err)
	}
	pairs, ok := Pairs(docs[0])
	if !ok || len(pairs) != 3 || PlaceOf(docs[0]) != (Place{2, 1}) {
		t.Fatalf("pairs %v, %v at %v", pairs, ok, PlaceOf(docs[0]))
	}
	items, ok := Items(pairs[1].Value)
	if !ok || len(items) != 2 || PlaceOf(items[0]) != (Place{4, 5}) || PlaceOf(items[1]) != (Place{5, 5}) {
		t.Errorf("items %v, %v", items, ok)
	}
	second, _ := Items(items[1])
	if text, ok := Text(second[1]); !ok || text != "02" {
		t.Errorf("the item reads %q, %v: a leading zero is lost", text, ok)
	}
	if !Empty(pairs[2].Value) || Empty(pairs[0].Value) {
		t.Error("what is empty is told wrongly")
	}
	if _, ok := Text(pairs[2].Value); ok {
		t.Error("nothing at all has a text")
	}
	for i, want := range []string{"a single value", "a list"} {
		if got := Describe(pairs[i].Value).String(); got != want {
			t.Errorf("%s is described as %s", pairs[i].Key.Value, got)
		}
	}
}

func TestFaultsLieInTheFile(t *testing.T) {
	for src, want := range map[string]struct {
		at   Place
		says string
	}{
		"a: b: c\n":          {Place{1, 5}, "mapping values are not allowed"},
		"a: [\n":             {Place{1, 5}, "did not find"},
		"a: 1\nb: [1,\n\n\n": {Place{2, 7}, "did not find"},
		"\ta: 1\n":           {Place{1, 1}, "cannot start any token"},
		"a: *hen\n":          {Place{1, 4}, "write the value itself"},
		"a: \x01\n":          {Place{1, 1}, "control characters"},
	} {
		_, err := Parse([]byte(src))
		var f *Fault
		if !errors.As(err, &f) || f.Place != want.at || !strings.Contains(f.Msg.String(), want.says) {
			t.Errorf("%q: %v, want %v with %q", src, err, want.at, want.says)
		}
	}
}

func TestIndirect(t *testing.T) {
	docs, err := Parse([]byte("a: &x 1\nb: *x\nc: !hen 2\nd: 'plain'\n"))
	if err != nil {
		t.Fatal(err)
	}
	pairs, _ := Pairs(docs[0])
	for i, want := range []bool{true, true, true, false} {
		if Indirect(pairs[i].Value) != want {
			t.Errorf("%s: indirect is %v", pairs[i].Key.Value, !want)
		}
	}
}

func TestReadIsStrict(t *testing.T) {
	var into struct {
		Name string `yaml:"name"`
	}
	for src, says := range map[string]string{
		"name: Fen\nnmae: Fen\n":    "line 2",
		"name: Fen\nname: Mere\n":   "line 2",
		"name: Fen\n---\nname: M\n": "line 3",
	} {
		if err := Read([]byte(src), &into); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v", src, err)
		}
	}
	into.Name = "before"
	if err := Read([]byte("# nothing\n"), &into); err != nil || into.Name != "before" {
		t.Errorf("an empty file gives %q, %v", into.Name, err)
	}
	out, err := Write(map[string][]string{"list": {"a", "b: c"}})
	if err != nil || string(out) != "list:\n- a\n- 'b: c'\n" && string(out) != "list:\n- a\n- \"b: c\"\n" {
		t.Errorf("written: %q, %v", out, err)
	}
}

func TestPaths(t *testing.T) {
	for path, want := range map[string]string{"": "", "kinds": "kinds", "kinds.3": "kinds",
		"kinds.3.checks.0": "checks", "3": ""} {
		if got := LastKey(path); got != want {
			t.Errorf("the last key of %q is %q, want %q", path, got, want)
		}
	}
	if got := Join(Join("", "kinds"), "3"); got != "kinds.3" {
		t.Errorf("joined: %q", got)
	}
}
