package catalogue

import (
	"encoding"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/yamltree"
	"undertray/units"
)

// maxFile is the size beyond which a file is refused unread: the largest
// built-in file is a tenth of it.
const maxFile = 1 << 20

// document is one catalogue file as read, with the place of everything in it.
type document struct {
	name     string
	body     body
	marks    map[string]place // by path: kinds.3.checks.0.limits.1.source
	broken   map[string]bool  // paths whose value could not be read
	problems []problem
}

// body is what a catalogue file may hold.
type body struct {
	Kinds      []Kind    `yaml:"kinds"`
	Sources    []Source  `yaml:"sources"`
	Systems    []System  `yaml:"systems"`
	Symptoms   []Symptom `yaml:"symptoms"`
	Severe     *Severe   `yaml:"severe"`
	Lives      *Reading  `yaml:"lives"`
	Precedence []string  `yaml:"precedence"`
}

// place is where something stands in a file.
type place = yamltree.Place

// problem is one thing wrong with a file.
type problem struct {
	place
	msg string
}

// fail notes a problem at a path, or at the nearest place above it that is
// known. Of a value that could not be read nothing more is said.
func (d *document) fail(path, format string, args ...any) {
	if !d.isBroken(path) {
		d.failAt(d.placeOf(path), format, args...)
	}
}

// refuse notes that the value at a path cannot be read.
func (d *document) refuse(path, format string, args ...any) {
	d.fail(path, format, args...)
	d.broken[path] = true
}

// isBroken reports whether the value at a path, or one that holds it, could
// not be read.
func (d *document) isBroken(path string) bool {
	for {
		if d.broken[path] {
			return true
		}
		i := strings.LastIndexByte(path, '.')
		if i < 0 {
			return false
		}
		path = path[:i]
	}
}

func (d *document) failAt(at place, format string, args ...any) {
	d.problems = append(d.problems, problem{at, fmt.Sprintf(format, args...)})
}

func (d *document) placeOf(path string) place {
	for {
		if at, ok := d.marks[path]; ok {
			return at
		}
		i := strings.LastIndexByte(path, '.')
		if i < 0 {
			return place{Line: 1, Col: 1}
		}
		path = path[:i]
	}
}

// read parses a file. Problems are noted in the document, which holds what
// could be read.
func read(name string, src []byte) *document {
	d := &document{name: name, marks: map[string]place{}, broken: map[string]bool{}}
	if len(src) > maxFile {
		d.failAt(place{Line: 1, Col: 1}, "the file is larger than 1 MiB: split it")
		return d
	}
	root := d.parse(src)
	if root == nil {
		return d
	}
	d.value("", root, reflect.ValueOf(&d.body).Elem())
	return d
}

// parse returns the file's top node, or nil for an empty or unreadable file.
func (d *document) parse(src []byte) *yamltree.Node {
	docs, err := yamltree.Parse(src)
	var f *yamltree.Fault
	switch {
	case errors.As(err, &f):
		d.failAt(f.Place, "this is not YAML: %s", f.Msg)
	case err != nil:
		d.failAt(place{Line: 1, Col: 1}, "this is not YAML: %v", err)
	case len(docs) > 1:
		d.failAt(yamltree.PlaceOf(docs[1]), "a second document begins here: put it in a file of its own")
	}
	if len(docs) == 0 {
		return nil
	}
	return docs[0]
}

// value reads a node into v. An empty value leaves v as it is.
func (d *document) value(path string, n *yamltree.Node, v reflect.Value) {
	d.marks[path] = yamltree.PlaceOf(n)
	if yamltree.Indirect(n) {
		d.refuse(path, "anchors, aliases and tags (&, *, !) are not read in a catalogue: write the value itself")
		return
	}
	if yamltree.Empty(n) {
		return
	}
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	if u, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok {
		d.words(path, n, u)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		d.mapping(path, n, v)
	case reflect.Slice:
		d.sequence(path, n, v)
	default:
		d.scalar(path, n, v)
	}
}

// mapping reads a YAML mapping into a struct and reports unknown and repeated
// keys.
func (d *document) mapping(path string, n *yamltree.Node, v reflect.Value) {
	pairs, ok := yamltree.Pairs(n)
	if !ok {
		d.refuse(path, "%s needs keys, each with its value", lastKey(path))
		return
	}
	keys, index := keysOf(v.Type())
	seen := map[string]int{}
	for _, p := range pairs {
		at := yamltree.PlaceOf(p.Key)
		key := p.Key.Value
		first, again := seen[key]
		i, known := index[key]
		switch {
		case again:
			d.failAt(at, "the key %q stands here twice, first in line %d: keep one", key, first)
		case !known:
			d.failAt(at, "%q is not a key of %s: %s", key, noun(v.Type()), instead(key, keys))
		default:
			seen[key] = at.Line
			d.value(yamltree.Join(path, key), p.Value, v.Field(i))
		}
	}
}

// sequence reads a YAML list into a slice.
func (d *document) sequence(path string, n *yamltree.Node, v reflect.Value) {
	items, ok := yamltree.Items(n)
	if !ok {
		if text, isText := yamltree.Text(n); isText {
			d.refuse(path, "%s needs a list: write [%s]", lastKey(path), text)
			return
		}
		d.refuse(path, "%s needs a list, each item after a hyphen", lastKey(path))
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(items), len(items)))
	for i, item := range items {
		at := yamltree.Join(path, strconv.Itoa(i))
		d.value(at, item, v.Index(i))
		if yamltree.Empty(item) {
			d.refuse(at, "%s has an empty item: fill it in or take it out", lastKey(path))
		}
	}
}

// words reads a scalar whose type knows its own words, a quantity among them.
func (d *document) words(path string, n *yamltree.Node, u encoding.TextUnmarshaler) {
	text, ok := yamltree.Text(n)
	if !ok {
		d.refuse(path, "%s needs a single value", lastKey(path))
		return
	}
	if err := u.UnmarshalText([]byte(text)); err != nil {
		d.refuse(path, "%s: %v", lastKey(path), err)
		return
	}
	if v, ok := u.(*fleet.Verdict); ok && *v == fleet.Unseen {
		d.refuse(path, "verdict: %q is no verdict of a limit: write keep, watch, replace or park", text)
	}
}

// scalar reads text, a number or true and false.
func (d *document) scalar(path string, n *yamltree.Node, v reflect.Value) {
	text, ok := yamltree.Text(n)
	if !ok {
		d.refuse(path, "%s needs a single value", lastKey(path))
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(strings.TrimSpace(text))
	case reflect.Bool:
		if text != "true" && text != "false" {
			d.refuse(path, "%s is %q: write true or false", lastKey(path), text)
		}
		v.SetBool(text == "true")
	case reflect.Float64:
		f, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(f) || math.IsInf(f, 0) {
			d.refuse(path, "%s is %q: write a plain number", lastKey(path), text)
			return
		}
		v.SetFloat(f)
	}
}

// keysOf returns the yaml keys of a struct type and where each belongs. The
// check of a limit is left out: a limit stands inside its check here.
func keysOf(t reflect.Type) (keys []string, index map[string]int) {
	index = map[string]int{}
	for i := range t.NumField() {
		key, _, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ",")
		if key == "" || t == reflect.TypeFor[fleet.Limit]() && key == "check" {
			continue
		}
		keys = append(keys, key)
		index[key] = i
	}
	return keys, index
}

// noun names what a struct of the catalogue stands for, in messages.
func noun(t reflect.Type) string {
	switch t {
	case reflect.TypeFor[body]():
		return "a catalogue file"
	case reflect.TypeFor[Kind]():
		return "a kind"
	case reflect.TypeFor[Check]():
		return "a check"
	case reflect.TypeFor[Answer]():
		return "an answer"
	case reflect.TypeFor[fleet.Limit]():
		return "a limit"
	case reflect.TypeFor[fleet.Interval]():
		return "an interval"
	case reflect.TypeFor[fleet.Again]():
		return "again"
	case reflect.TypeFor[units.Quantity]():
		return "a figure"
	}
	return "a " + strings.ToLower(t.Name())
}
