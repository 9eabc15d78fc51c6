package yamltree

import (
	"cmp"
	"encoding"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// Options says how a sort of file is spoken of and which keys it has. The
// zero value serves for a file of which nothing is asked.
type Options struct {
	File     message.Text                            // "a vehicle sheet", "a catalogue"
	Top      message.Text                            // what its uppermost keys belong to: "the sheet"
	Nouns    map[reflect.Type]message.Text           // words for mappings, where the Go name does not serve
	Without  map[reflect.Type]string                 // a key that a type has and this sort of file has not
	Optional map[reflect.Type][]string               // keys that may be left out here, whatever the tag says
	Sample   func(t reflect.Type, key string) string // a line that fills in a missing key; nil: none has to stand
}

// Reader turns trees into Go values by their yaml tags. It never stops at a
// mistake: it notes the problem and goes on, so that one reading finds
// everything. It remembers where each value stands under its path
// (kinds.3.checks.0), for those who look at the whole afterwards.
//
// A key without omitempty in its tag has to stand where Options has a Sample.
// A second tag says which figures a quantity takes: of:"length" its dimension,
// of:"length,positive" that it is more than 0, of:"money,not negative" that it
// is 0 or more, of:"any,positive" only the latter.
type Reader struct {
	opt      Options
	shapes   map[reflect.Type]shape
	marks    map[string]Place
	broken   map[string]bool // true: unreadable with all below it; false: has its problem
	problems []Problem
}

// NewReader returns a reader of one file.
func NewReader(opt Options) *Reader {
	opt.Top = cmp.Or(opt.Top, "the file")
	return &Reader{opt: opt, shapes: map[reflect.Type]shape{}, marks: make(map[string]Place, 2048),
		broken: map[string]bool{}}
}

// Read reads a tree into what a pointer points to. An empty value leaves its
// target as it is.
func (r *Reader) Read(n *Node, into any) { r.value("", n, reflect.ValueOf(into).Elem(), figure{}) }

// shape is what a struct's tags say about a mapping.
type shape struct {
	fields   map[string]field
	keys     []string
	required []string
}

// field is a field of a struct and what its tag says of quantities.
type field struct {
	i  int
	of figure
}

// figure is what a quantity has to be: of a dimension, 0 for any, and above a
// bound.
type figure struct {
	dimension units.Dimension
	bound     string
}

// figureOf reads a tag. It is written in the program: a wrong one is a fault of
// it.
func figureOf(tag string) figure {
	name, bound, _ := strings.Cut(tag, ",")
	f := figure{bound: bound}
	if name == "any" {
		return f
	}
	if err := f.dimension.UnmarshalText([]byte(name)); err != nil {
		panic("yamltree: tag of: " + err.Error())
	}
	return f
}

// Keys lists the keys of a struct's mapping, and those that have to stand.
func Keys(t reflect.Type) (keys, required []string) {
	s := shapeOf(t, Options{})
	return s.keys, s.required
}

func shapeOf(t reflect.Type, opt Options) shape {
	s := shape{fields: map[string]field{}}
	for i := range t.NumField() {
		tag := t.Field(i).Tag
		key, options, _ := strings.Cut(tag.Get("yaml"), ",")
		if key == "" || key == "-" || opt.Without[t] == key {
			continue
		}
		s.keys = append(s.keys, key)
		s.fields[key] = field{i, figureOf(tag.Get("of"))}
		if !strings.Contains(options, "omitempty") && !slices.Contains(opt.Optional[t], key) {
			s.required = append(s.required, key)
		}
	}
	return s
}

// value reads a node into v; of is for quantities.
func (r *Reader) value(path string, n *Node, v reflect.Value, of figure) {
	r.marks[path] = PlaceOf(n)
	if node, ok := v.Addr().Interface().(*Node); ok {
		*node = *n
		return
	}
	if Indirect(n) {
		r.refuse(path, "anchors, aliases and tags (&, *, !) are not read in %s: write the value itself",
			cmp.Or(r.opt.File, "this file"))
		return
	}
	if Empty(n) {
		return
	}
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	switch target := v.Addr().Interface().(type) {
	case *units.Quantity:
		r.quantity(path, n, target, of)
		return
	case encoding.TextUnmarshaler:
		if _, list := Items(n); !list || v.Kind() != reflect.Slice { // one of a list may stand alone
			r.words(path, n, target)
			return
		}
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
func (r *Reader) mapping(path string, n *Node, v reflect.Value) {
	pairs, ok := Pairs(n)
	if !ok {
		r.refuse(path, "%s is %s: it needs keys, each with its value", r.item(path), Describe(n))
		return
	}
	t := v.Type()
	s, ok := r.shapes[t]
	if !ok {
		s = shapeOf(t, r.opt)
		r.shapes[t] = s
	}
	what := r.label(path, t, pairs)
	first := make(map[string]int, len(pairs))
	var misspelt []string
	for _, p := range pairs {
		key, at := p.Key.Value, PlaceOf(p.Key)
		line, again := first[key]
		f, known := s.fields[key]
		switch {
		case again:
			r.NoteAt(at, fleet.Invalid, "%s has the key %q twice, first in line %d: keep one", what, key, line)
		case !known:
			r.NoteAt(at, fleet.Invalid, "%q is not a key of %s: %s", key, what, fleet.Instead(key, s.keys))
			misspelt = append(misspelt, key)
		default:
			first[key] = at.Line
			r.value(Join(path, key), p.Value, v.Field(f.i), f.of)
		}
	}
	for _, key := range misspelt { // a key that was meant is not missing
		if meant := fleet.Nearest(key, s.keys); meant != "" && first[meant] == 0 {
			r.broken[Join(path, meant)] = true
		}
	}
	if r.opt.Sample == nil {
		return
	}
	for _, key := range s.required {
		if !slices.ContainsFunc(pairs, func(p Pair) bool { return p.Key.Value == key && !Empty(p.Value) }) {
			at := Join(path, key)
			delete(r.marks, at) // told where the mapping begins
			r.refuse(at, "%s has no %s: add a line such as %q", what, key, r.opt.Sample(t, key))
		}
	}
}

// table reads a YAML mapping with free keys into a map.
func (r *Reader) table(path string, n *Node, v reflect.Value) {
	pairs, ok := Pairs(n)
	if !ok {
		r.refuse(path, "%s is %s: it needs names, each with its figure", r.lastKey(path), Describe(n))
		return
	}
	v.Set(reflect.MakeMapWithSize(v.Type(), len(pairs)))
	for _, p := range pairs {
		name := reflect.New(v.Type().Key()).Elem()
		at := Join(path, p.Key.Value)
		if v.Type().Key().Kind() == reflect.String {
			name.SetString(p.Key.Value)
		} else {
			r.value(at, p.Key, name, figure{})
		}
		if v.MapIndex(name).IsValid() {
			r.NoteAt(PlaceOf(p.Key), fleet.Invalid, "%s has the name %q twice: keep one", r.lastKey(path), p.Key.Value)
			continue
		}
		item := reflect.New(v.Type().Elem()).Elem()
		r.value(at, p.Value, item, figure{})
		v.SetMapIndex(name, item)
	}
}

// sequence reads a YAML list into a slice.
func (r *Reader) sequence(path string, n *Node, v reflect.Value) {
	items, ok := Items(n)
	if !ok {
		if text, isText := Text(n); isText {
			r.refuse(path, "%s needs a list: write [%s]", r.lastKey(path), text)
			return
		}
		r.refuse(path, "%s is %s: it needs a list, each item after a hyphen", r.lastKey(path), Describe(n))
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(items), len(items)))
	for i, item := range items {
		at := Join(path, strconv.Itoa(i))
		r.value(at, item, v.Index(i), figure{})
		if Empty(item) {
			r.refuse(at, "%s has an empty item: fill it in or take it out", r.lastKey(path))
		}
	}
}

// single returns the text of a scalar, and notes what is none.
func (r *Reader) single(path string, n *Node, needs message.Text) (string, bool) {
	text, ok := Text(n)
	if !ok {
		r.refuse(path, "%s is %s: it needs %s", r.lastKey(path), Describe(n), needs)
	}
	return strings.TrimRight(text, "\n"), ok // of a block of text
}

// quantity reads a figure with its unit, as its tag asks for it.
func (r *Reader) quantity(path string, n *Node, q *units.Quantity, of figure) {
	text, ok := r.single(path, n, "a figure and its unit")
	if !ok {
		return
	}
	got, err := units.Parse(text, of.dimension)
	switch {
	case err != nil:
		r.refuse(path, "%s %v", r.lastKey(path), err)
	case of.bound == "positive" && got.Base() <= 0:
		r.refuse(path, "%s is %s: it must be more than 0", r.lastKey(path), got)
	case of.bound == "not negative" && got.Base() < 0:
		r.refuse(path, "%s is %s: it cannot be less than 0", r.lastKey(path), got)
	default:
		*q = got
	}
}

// words reads a scalar whose type knows its own words.
func (r *Reader) words(path string, n *Node, u encoding.TextUnmarshaler) {
	if text, ok := r.single(path, n, "a single value"); ok {
		if err := u.UnmarshalText([]byte(text)); err != nil {
			r.refuse(path, "%s: %v", r.lastKey(path), err)
		}
	}
}

// scalar reads text, a number or true and false.
func (r *Reader) scalar(path string, n *Node, v reflect.Value) {
	text, ok := r.single(path, n, "a single value")
	if !ok {
		return
	}
	key := r.lastKey(path)
	switch v.Kind() {
	case reflect.String:
		v.SetString(text)
	case reflect.Bool:
		if text != "true" && text != "false" {
			r.refuse(path, "%s is %q: write true or false", key, text)
		}
		v.SetBool(text == "true")
	case reflect.Int:
		i, err := strconv.ParseInt(text, 10, 32)
		if err != nil {
			r.refuse(path, "%s is %q: write a whole number", key, text)
		}
		v.SetInt(i)
	case reflect.Float64:
		f, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(f) || math.IsInf(f, 0) {
			r.refuse(path, "%s is %q: %s", key, text, plainly(LastKey(path), text))
			return
		}
		v.SetFloat(f)
	default:
		panic("yamltree: " + v.Type().String() + " cannot be read from YAML")
	}
}

// plainly asks for a plain number: what it means for the key, and which one was probably meant.
func plainly(key, text string) message.Text {
	plain := message.Text("write a plain number")
	if strings.HasSuffix(key, "minutes") {
		plain = "write a plain number of minutes"
	}
	figure, _, _ := strings.Cut(text, " ")
	if _, err := strconv.ParseFloat(figure, 64); err == nil && figure != text {
		return message.Of("%s, %s", plain, figure)
	}
	return message.Of("%s, without a unit", plain)
}

// lastKey names the value under a path in messages.
func (r *Reader) lastKey(path string) message.Text {
	return cmp.Or(message.Name(LastKey(path)), r.opt.Top)
}

// item names the value under a path: its key, or the list it is an item of.
func (r *Reader) item(path string) message.Text {
	key := r.lastKey(path)
	if path != "" && !strings.HasSuffix(path, LastKey(path)) {
		return message.Of("an item of %s", key)
	}
	return key
}

// label names a mapping in messages: what it is, with its id or name.
func (r *Reader) label(path string, t reflect.Type, pairs []Pair) message.Text {
	word := cmp.Or(r.opt.Nouns[t], message.Name(strings.ToLower(t.Name())))
	if path == "" {
		return r.opt.Top
	}
	if strings.HasPrefix(word.String(), "the ") || strings.HasPrefix(word.String(), "a ") {
		return word
	}
	for _, wanted := range [...]string{"id", "name", "what", "check", "do", "kind"} {
		for _, p := range pairs {
			if text, ok := Text(p.Value); ok && p.Key.Value == wanted && text != "" {
				return message.Of(`%s "%s"`, word, text)
			}
		}
	}
	return message.Of("this %s", word)
}
