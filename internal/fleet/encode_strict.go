package fleet

import (
	"bytes"
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"

	"undertray.example/undertray/internal/message"
)

// maxDepth is how deep an entry's JSON nests at most; the types need five.
const maxDepth = 12

// inspectEntry compares JSON with the fields of an Entry and returns an *Error
// for the first difference, in the order of the text. The standard decoder is
// too lenient for a file that is to be kept for decades (it takes "ID" for
// "id", the last of two equal names, null for anything) and does not say
// which field a date or a quantity was in.
func inspectEntry(b []byte) error {
	if !json.Valid(b) {
		return notJSON(json.Unmarshal(b, new(json.RawMessage)))
	}
	return inspect(reflect.TypeFor[Entry](), b, "", 0)
}

// inspect compares one value with the type it is for.
func inspect(t reflect.Type, b json.RawMessage, where string, depth int) error {
	if depth > maxDepth {
		return wrong(where, "it is nested too deep", "a correction holds one entry, which holds no other")
	}
	if string(bytes.TrimSpace(b)) == "null" {
		return wrong(where, "null is not a value", "leave the field out")
	}
	if t.Kind() == reflect.Pointer {
		return inspect(t.Elem(), b, where, depth)
	}
	if isLeaf(t) {
		return inspectLeaf(t, b, where)
	}
	switch t.Kind() {
	case reflect.Struct:
		return inspectObject(b, where, func(name string, value json.RawMessage) error {
			field, ok := fieldType(t, name)
			if !ok {
				return wrong(join(where, name), "there is no such field",
					message.Of("the fields here are %s", strings.Join(fieldNames(t), ", ")))
			}
			return inspect(field, value, join(where, name), depth+1)
		})
	case reflect.Map:
		return inspectObject(b, where, func(name string, value json.RawMessage) error {
			return inspect(t.Elem(), value, join(where, name), depth+1)
		})
	case reflect.Slice:
		return inspectList(t, b, where, depth)
	}
	return inspectLeaf(t, b, where)
}

// isLeaf reports whether values of the type are read in one piece.
func isLeaf(t reflect.Type) bool {
	p := reflect.PointerTo(t)
	return p.Implements(reflect.TypeFor[json.Unmarshaler]()) ||
		p.Implements(reflect.TypeFor[encoding.TextUnmarshaler]())
}

func inspectLeaf(t reflect.Type, b json.RawMessage, where string) error {
	err := json.Unmarshal(b, reflect.New(t).Interface())
	if err == nil {
		return nil
	}
	if _, ok := err.(*json.UnmarshalTypeError); ok || t.PkgPath() == "time" {
		return wrong(where, message.Of("%s is of the wrong type", shorten(b)), message.Of("write %s", wanted(t)))
	}
	return &Error{Kind: Invalid, Where: where, Msg: message.Is(err), Hint: message.Of("write %s", wanted(t)), Err: err}
}

// inspectObject calls member for every member of an object, in order.
func inspectObject(b json.RawMessage, where string, member func(string, json.RawMessage) error) error {
	dec := json.NewDecoder(bytes.NewReader(b))
	if open, err := dec.Token(); err != nil || open != json.Delim('{') {
		return wrong(where, message.Of("%s is of the wrong type", shorten(b)), "write an object, like {…}")
	}
	seen := map[string]bool{}
	for dec.More() {
		token, err := dec.Token()
		if err != nil {
			return notJSON(err)
		}
		name, _ := token.(string)
		if seen[name] {
			return wrong(join(where, name), "the field is there twice", "keep one of the two")
		}
		seen[name] = true
		var value json.RawMessage
		if err := dec.Decode(&value); err != nil {
			return notJSON(err)
		}
		if err := member(name, value); err != nil {
			return err
		}
	}
	return nil
}

func inspectList(t reflect.Type, b json.RawMessage, where string, depth int) error {
	var items []json.RawMessage
	if err := json.Unmarshal(b, &items); err != nil {
		return wrong(where, message.Of("%s is of the wrong type", shorten(b)), `write a list, like ["…","…"]`)
	}
	for i, item := range items {
		if err := inspect(t.Elem(), item, fmt.Sprintf("%s[%d]", where, i), depth+1); err != nil {
			return err
		}
	}
	return nil
}

// fieldType returns the type of the field that JSON calls name.
func fieldType(t reflect.Type, name string) (reflect.Type, bool) {
	for i := range t.NumField() {
		if jsonName(t.Field(i)) == name {
			return t.Field(i).Type, true
		}
	}
	return nil, false
}

func fieldNames(t reflect.Type) []string {
	names := make([]string, t.NumField())
	for i := range names {
		names[i] = jsonName(t.Field(i))
	}
	return names
}

func jsonName(f reflect.StructField) string {
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	return name
}

// wanted says what a value of the type looks like.
func wanted(t reflect.Type) message.Text {
	switch t.String() {
	case "civil.Date":
		return `a date, like "2026-11-25"`
	case "units.Quantity":
		return `a quantity with its unit, like "8200 mi"`
	case "time.Time":
		return `an instant, like "2026-11-25T09:30:00Z"`
	}
	switch t.Kind() {
	case reflect.Bool:
		return "true or leave the field out"
	case reflect.Int:
		return "a whole number"
	case reflect.Float64:
		return "a number"
	default:
		return `a text, like "…"`
	}
}

func wrong(where string, msg, hint message.Text) *Error {
	return &Error{Kind: Invalid, Where: where, Msg: msg, Hint: hint}
}

// join appends a name to the path of the object it is in.
func join(where, name string) string {
	if where == "" {
		return name
	}
	return where + "." + name
}

// shorten quotes the beginning of a value for a message.
func shorten(b []byte) string {
	const longest = 40
	runes := []rune(string(bytes.TrimSpace(b)))
	if len(runes) > longest {
		runes = append(runes[:longest], '…')
	}
	return string(runes)
}
