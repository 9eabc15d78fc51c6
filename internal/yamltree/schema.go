package yamltree

import (
	"encoding"
	"encoding/json"
	"maps"
	"path"
	"reflect"
	"strings"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/units"
)

// SchemaOptions say what a JSON Schema is of. As the Reader goes by the tags of Go types, so does it: no key is
// described that is not read.
type SchemaOptions struct {
	Name, Title, About string
	Tag                string // by which keys are named: "yaml" or "json"
	Words              map[reflect.Type][]string
	Without            map[reflect.Type]string // as in Options
	Required           map[reflect.Type][]string
	// Written says that it is of what is written and not read: empty lists, and what is pointed to, may be null.
	Written bool
}

// Schema is the JSON Schema (draft 2020-12) of a file that is read into a struct of type t. It describes shapes, dates,
// figures with units and fixed words; what refers to what is checked by the program alone.
func Schema(t reflect.Type, o SchemaOptions) []byte {
	b := &schemas{o: o, at: "#/$defs/", defs: map[string]any{}, names: map[string]reflect.Type{}}
	all := b.object(t)
	all["$schema"], all["$id"] = "https://json-schema.org/draft/2020-12/schema", "urn:undertray:"+o.Name+":1"
	all["title"], all["description"], all["$defs"] = o.Title, o.About, b.defs
	out, err := json.MarshalIndent(all, "", "  ")
	if err != nil {
		panic("yamltree: " + err.Error()) // maps, lists and texts alone
	}
	return append(out, '\n')
}

// Definitions are the schemas of types of JSON, for a document that keeps all of them by name below at, such as
// "#/components/schemas/": one for each type, and those that they refer to.
func Definitions(at string, o SchemaOptions, types ...reflect.Type) (of []any, defs map[string]any) {
	b := &schemas{o: o, at: at, defs: map[string]any{}, names: map[string]reflect.Type{}}
	for _, t := range types {
		of = append(of, b.of(t))
	}
	return of, b.defs
}

type schemas struct {
	o     SchemaOptions
	at    string // where references lead
	defs  map[string]any
	names map[string]reflect.Type // whose they are
}

// name is what a type's definition is called; of two of a name, the second goes by its package too.
func (b *schemas) name(t reflect.Type) string {
	name := strings.TrimSuffix(strings.ToLower(t.Name()), "view")
	for _, n := range []string{name, path.Base(t.PkgPath()) + "-" + name} {
		if n = strings.TrimSuffix(n, "-"); n != "" && (b.names[n] == nil || b.names[n] == t) {
			b.names[n] = t
			return n
		}
	}
	panic("yamltree: two types are called " + t.String())
}

var (
	ofWords = reflect.TypeFor[encoding.TextUnmarshaler]()
	inWords = reflect.TypeFor[encoding.TextMarshaler]()
	fixed   = map[reflect.Type]map[string]any{
		reflect.TypeFor[civil.Date]():      {"type": "string", "format": "date"},
		reflect.TypeFor[time.Time]():       {"type": "string", "format": "date-time"},
		reflect.TypeFor[json.RawMessage](): {},
		reflect.TypeFor[Node]():            {},
		reflect.TypeFor[units.Quantity]():  {"type": []string{"string", "number"}, "pattern": `\d|[½¼¾⅓⅔⅛⅜⅝⅞]`},
	}
)

// member describes a value that a key has, which may be null where the key is written whatever it holds.
func (b *schemas) member(t reflect.Type, always bool) any {
	of := b.of(t)
	if b.o.Written && always && (t.Kind() == reflect.Slice || t.Kind() == reflect.Pointer || t.Kind() == reflect.Map) {
		return map[string]any{"anyOf": []any{of, map[string]any{"type": "null"}}}
	}
	return of
}

// of describes a value.
func (b *schemas) of(t reflect.Type) any {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if s, ok := fixed[t]; ok {
		return s
	}
	if words, ok := b.o.Words[t]; ok {
		return map[string]any{"enum": words}
	}
	switch {
	case reflect.PointerTo(t).Implements(ofWords) && t.Kind() == reflect.Slice:
		return map[string]any{"anyOf": []any{b.text(), map[string]any{"type": "array", "items": b.of(t.Elem())}}}
	case reflect.PointerTo(t).Implements(ofWords), b.o.Written && t.Implements(inWords):
		return b.text()
	}
	switch t.Kind() {
	case reflect.Struct:
		name := b.name(t)
		if _, known := b.defs[name]; !known {
			b.defs[name] = nil // a type may hold itself
			b.defs[name] = b.object(t)
		}
		return map[string]any{"$ref": b.at + name}
	case reflect.Map:
		return map[string]any{"type": "object", "additionalProperties": b.of(t.Elem())}
	case reflect.Slice:
		if t.Elem().Kind() == reflect.Uint8 {
			return map[string]any{"type": "string", "contentEncoding": "base64"}
		}
		list := map[string]any{"type": "array", "items": b.of(t.Elem())}
		if b.o.Tag == "yaml" {
			list["type"] = []string{"array", "null"} // a key without a value is read as none of them
		}
		return list
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.Int, reflect.Int64:
		return map[string]any{"type": "integer"}
	case reflect.Float64:
		return map[string]any{"type": "number"}
	case reflect.String:
		return b.text()
	default:
		return map[string]any{}
	}
}

// text is a text; YAML needs no quotes round one that reads as a figure.
func (b *schemas) text() map[string]any {
	if b.o.Tag == "yaml" {
		return map[string]any{"type": []string{"string", "number", "boolean"}}
	}
	return map[string]any{"type": "string"}
}

func (b *schemas) object(t reflect.Type) map[string]any {
	properties, required := map[string]any{}, b.o.Required[t]
	for i := range t.NumField() {
		f := t.Field(i)
		key, options, _ := strings.Cut(f.Tag.Get(b.o.Tag), ",")
		if f.Anonymous && key == "" && b.o.Tag == "json" {
			inner := b.object(f.Type)
			maps.Copy(properties, inner["properties"].(map[string]any))
			of, _ := inner["required"].([]string)
			required = append(required, of...)
			continue
		}
		if key == "" || key == "-" || !f.IsExported() || b.o.Without[t] == key {
			continue
		}
		always := b.o.Tag == "json" && !strings.Contains(options, "omit")
		properties[key] = b.member(f.Type, always)
		if always {
			required = append(required, key)
		}
	}
	out := map[string]any{"type": "object", "additionalProperties": false, "properties": properties}
	if len(required) > 0 {
		out["required"] = required
	}
	return out
}
