package journal

import (
	"reflect"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/yamltree"
)

// Schema is the JSON Schema (draft 2020-12) of an entry, a line of what Export writes and Import reads.
func Schema() []byte {
	var types []string
	for _, t := range fleet.EntryTypes() {
		types = append(types, string(t))
	}
	return yamltree.Schema(reflect.TypeFor[fleet.Entry](), yamltree.SchemaOptions{Name: "entry", Title: "Entry",
		Tag:   "json",
		About: "One fact of the journal: a line of JSON, with what it says under the name of its type.",
		Words: map[reflect.Type][]string{reflect.TypeFor[fleet.EntryType](): types}})
}
