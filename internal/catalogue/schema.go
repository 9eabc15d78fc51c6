package catalogue

import (
	"fmt"
	"reflect"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/yamltree"
)

// Schema is the JSON Schema (draft 2020-12) of a catalogue file.
func Schema() []byte {
	return yamltree.Schema(reflect.TypeFor[body](), yamltree.SchemaOptions{Name: "catalogue", Title: "Catalogue",
		About: "Kinds of part and what is known of them: a file in a yard's folder catalogue adds to what is built in.",
		Tag:   "yaml", Without: options.Without,
		Required: map[reflect.Type][]string{reflect.TypeFor[Kind](): {"kind"}},
		Words: map[reflect.Type][]string{reflect.TypeFor[AnswerType](): texts(AnswerTypes()),
			reflect.TypeFor[fleet.Authority](): texts(fleet.Authorities()),
			reflect.TypeFor[fleet.Action]():    texts(fleet.Actions())}})
}

// texts are words as texts.
func texts[T any](words []T) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = fmt.Sprint(w)
	}
	return out
}
