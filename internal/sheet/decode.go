package sheet

import (
	"encoding"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/yamltree"
	"undertray/units"
)

// place is where something stands in the file.
type place = yamltree.Place

// problem is one thing wrong with a sheet.
type problem struct {
	place
	kind fleet.ErrorKind
	msg  string
}

// reader turns a YAML tree into Go values. It never stops at a mistake: it
// notes the problem, marks the value as broken and goes on, so that one
// reading finds everything.
type reader struct {
	shapes   map[reflect.Type]shape
	marks    map[string]place // where each value stands, by its path
	broken   map[string]bool  // paths whose value could not be read
	problems []problem
}

// shape is what a struct's tags say about a mapping.
type shape struct {
	keys     []string
	index    map[string]int
	required []string
}

func newReader() *reader {
	return &reader{
		shapes: map[reflect.Type]shape{},
		marks:  make(map[string]place, 2048),
		broken: map[string]bool{},
	}
}

// shapeOf reads the yaml tags of a struct type. A key whose tag does not say
// omitempty is required.
func shapeOf(t reflect.Type) shape {
	s := shape{index: map[string]int{}}
	for i := range t.NumField() {
		key, options, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ",")
		if key == "" || key == "-" {
			continue
		}
		s.keys = append(s.keys, key)
		s.index[key] = i
		if !strings.Contains(options, "omitempty") {
			s.required = append(s.required, key)
		}
	}
	return s
}

// note notes a problem at a place.
func (r *reader) note(at place, format string, args ...any) {
	r.problems = append(r.problems, problem{at, fleet.Invalid, fmt.Sprintf(format, args...)})
}

// fail notes a problem at a place and marks the path as broken.
func (r *reader) fail(path string, at place, format string, args ...any) {
	r.broken[path] = true
	r.note(at, format, args...)
}

// value reads a node into v. An empty value leaves v as it is.
func (r *reader) value(path string, n *yamltree.Node, v reflect.Value) {
	at := yamltree.PlaceOf(n)
	r.marks[path] = at
	if yamltree.Indirect(n) {
		r.fail(path, at, "anchors, aliases and tags (&, *, !) are not read in a vehicle sheet: write the value itself")
		return
	}
	if yamltree.Empty(n) {
		return
	}
	if v.Kind() == reflect.Pointer {
		target := reflect.New(v.Type().Elem())
		r.value(path, n, target.Elem())
		if !r.broken[path] {
			v.Set(target)
		}
		return
	}
	if q, ok := v.Addr().Interface().(*units.Quantity); ok {
		r.quantity(path, n, q)
		return
	}
	if u, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok {
		r.words(path, n, u)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		r.mapping(path, n, v)
	case reflect.Map:
		r.table(path, n, v)
	case reflect.Slice:
		r.sequence(path, n, v)
	default:
		r.scalar(path, n, v)
	}
}

// mapping reads a YAML mapping into a struct and reports unknown, repeated
// and missing keys.
func (r *reader) mapping(path string, n *yamltree.Node, v reflect.Value) {
	pairs, ok := yamltree.Pairs(n)
	if !ok {
		r.fail(path, yamltree.PlaceOf(n), "%s is %s: it needs keys, each with its value", itemOf(path), yamltree.Describe(n))
		return
	}
	s, ok := r.shapes[v.Type()]
	if !ok {
		s = shapeOf(v.Type())
		r.shapes[v.Type()] = s
	}
	what := label(v.Type(), pairs)
	seen := make(map[string]place, len(pairs))
	for _, p := range pairs {
		key, at := p.Key.Value, yamltree.PlaceOf(p.Key)
		first, again := seen[key]
		i, known := s.index[key]
		switch {
		case again:
			r.note(at, "%s has the key %q twice, first in line %d: keep one", what, key, first.Line)
		case !known:
			r.note(at, "%q is not a key of %s: %s", key, what, instead(key, s.keys))
			meant := nearest(key, s.keys) // misspelt, and therefore not missing
			seen[meant], r.broken[yamltree.Join(path, meant)] = at, true
		default:
			r.value(yamltree.Join(path, key), p.Value, v.Field(i))
			if !yamltree.Empty(p.Value) {
				seen[key] = at
			}
		}
	}
	for _, key := range s.required {
		if _, ok := seen[key]; !ok {
			r.fail(yamltree.Join(path, key), r.marks[path], "%s has no %s: add a line such as %q", what, key, sample(v.Type(), key))
		}
	}
}

// table reads a YAML mapping with free keys into a map of quantities.
func (r *reader) table(path string, n *yamltree.Node, v reflect.Value) {
	pairs, ok := yamltree.Pairs(n)
	if !ok {
		r.fail(path, yamltree.PlaceOf(n), "%s is %s: it needs names, each with its figure", lastKey(path), yamltree.Describe(n))
		return
	}
	v.Set(reflect.MakeMapWithSize(v.Type(), len(pairs)))
	for _, p := range pairs {
		key := p.Key.Value
		name := reflect.ValueOf(key)
		if v.MapIndex(name).IsValid() {
			r.note(yamltree.PlaceOf(p.Key), "%s has the name %q twice: keep one", lastKey(path), key)
			continue
		}
		item := reflect.New(v.Type().Elem()).Elem()
		r.value(yamltree.Join(path, key), p.Value, item)
		v.SetMapIndex(name, item)
	}
}

// sequence reads a YAML list into a slice.
func (r *reader) sequence(path string, n *yamltree.Node, v reflect.Value) {
	items, ok := yamltree.Items(n)
	if !ok {
		text, isText := yamltree.Text(n)
		if isText {
			r.fail(path, yamltree.PlaceOf(n), "%s needs a list: write [%s]", lastKey(path), text)
			return
		}
		r.fail(path, yamltree.PlaceOf(n), "%s is %s: it needs a list, each item after a hyphen", lastKey(path), yamltree.Describe(n))
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(items), len(items)))
	for i, item := range items {
		at := yamltree.Join(path, strconv.Itoa(i))
		r.value(at, item, v.Index(i))
		if yamltree.Empty(item) {
			r.fail(at, yamltree.PlaceOf(item), "%s has an empty item: fill it in or take it out", lastKey(path))
		}
	}
}

// quantity reads a figure with its unit, of the dimension the key asks for.
func (r *reader) quantity(path string, n *yamltree.Node, q *units.Quantity) {
	text, ok := yamltree.Text(n)
	key := lastKey(path)
	if !ok {
		r.fail(path, yamltree.PlaceOf(n), "%s is %s: it needs a figure and its unit", key, yamltree.Describe(n))
		return
	}
	got, err := units.Parse(text, dimensionOf(path))
	if err != nil {
		r.fail(path, yamltree.PlaceOf(n), "%s %v", key, err)
		return
	}
	if got.Base() <= 0 && mustBePositive(key) && !strings.Contains(path, ".spec.") {
		r.fail(path, yamltree.PlaceOf(n), "%s is %s: it must be more than 0", key, got)
		return
	}
	if got.Base() < 0 && key == "cost" {
		r.fail(path, yamltree.PlaceOf(n), "cost is %s: it cannot be less than 0", got)
		return
	}
	*q = got
}

// words reads a scalar whose type knows its own words.
func (r *reader) words(path string, n *yamltree.Node, u encoding.TextUnmarshaler) {
	text, ok := yamltree.Text(n)
	if !ok {
		r.fail(path, yamltree.PlaceOf(n), "%s is %s: it needs a single value", lastKey(path), yamltree.Describe(n))
		return
	}
	if err := u.UnmarshalText([]byte(text)); err != nil {
		r.fail(path, yamltree.PlaceOf(n), "%s: %v", lastKey(path), err)
	}
}

// scalar reads text, a number or true and false.
func (r *reader) scalar(path string, n *yamltree.Node, v reflect.Value) {
	text, ok := yamltree.Text(n)
	key := lastKey(path)
	if !ok {
		r.fail(path, yamltree.PlaceOf(n), "%s is %s: it needs a single value", key, yamltree.Describe(n))
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(text)
	case reflect.Bool:
		if text != "true" && text != "false" {
			r.fail(path, yamltree.PlaceOf(n), "%s is %q: write true or false", key, text)
			return
		}
		v.SetBool(text == "true")
	case reflect.Int:
		i, err := strconv.ParseInt(text, 10, 32)
		if err != nil {
			r.fail(path, yamltree.PlaceOf(n), "%s is %q: write a whole number", key, text)
			return
		}
		v.SetInt(i)
	case reflect.Float64:
		f, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(f) || math.IsInf(f, 0) {
			r.fail(path, yamltree.PlaceOf(n), "%s is %q: write a plain number%s", key, text, plainly(key, text))
			return
		}
		v.SetFloat(f)
	}
}

// plainly adds what a plain number means for the key, and which one was
// probably meant.
func plainly(key, text string) string {
	of := ""
	if strings.HasSuffix(key, "minutes") {
		of = " of minutes"
	}
	figure, _, _ := strings.Cut(text, " ")
	if _, err := strconv.ParseFloat(figure, 64); err == nil && figure != text {
		return of + ", " + figure
	}
	return of + ", without a unit"
}

// dimensionOf returns the dimension of the quantity under a path; 0 where any
// will do.
func dimensionOf(path string) units.Dimension {
	if strings.Contains(path, ".spec.") {
		return 0 // the catalogue knows
	}
	switch lastKey(path) {
	case "torque":
		return units.Torque
	case "cost", "recovery", "consequence", "money_per_month", "hour_worth":
		return units.Money
	case "yearly", "distance", "distance_to":
		return units.Distance
	case "time", "time_to":
		return units.TimeSpan
	case "x", "y", "diameter", "length", "pivot_x", "pivot_y", "offset", "ball", "pitch":
		return units.Length
	case "mass":
		return units.Mass
	case "power":
		return units.Power
	case "idle", "usual", "maximum":
		return units.Speed
	case "groove", "slide":
		return units.Angle
	case "set", "rating":
		return units.Force
	}
	return 0
}

// mustBePositive says whether nothing or less makes no sense under a key.
func mustBePositive(key string) bool {
	switch key {
	case "torque", "yearly", "distance", "distance_to", "time", "time_to", "diameter", "amount",
		"mass", "idle", "usual", "maximum", "rating", "ball", "pitch", "spring":
		return true
	}
	return false
}
