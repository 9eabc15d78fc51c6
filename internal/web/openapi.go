package web

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/yamltree"
)

// object is one of JSON.
type object = map[string]any

// OpenAPI describes the addresses for programs (OpenAPI 3.1), worked out from their list and from the Go types that are
// answered and told.
var OpenAPI = sync.OnceValue(func() []byte {
	out, err := json.MarshalIndent(describe(), "", "  ")
	if err != nil {
		panic("web: " + err.Error()) // objects, lists and texts alone
	}
	return append(out, '\n')
})

func (s *Server) openAPI(w http.ResponseWriter, r *http.Request) error {
	return s.write(w, r, http.StatusOK, jsonType, OpenAPI())
}

// The statuses by which a question and a telling are refused.
var (
	askRefused = map[string]string{"400": "Something is asked that is not asked here, or it lacks something.",
		"401": "No token, or none that holds now.", "404": "There is no such vehicle, position or entry.",
		"405": "It is not this method that is answered here.", "421": "The server does not answer to this name.",
		"422": "Something that was typed is not possible.",
		"429": "Too many wrong tokens are tried.", "503": "It is not worked out in time, or a file cannot be read now."}
	tellRefused = map[string]string{"400": "What was sent is not JSON.",
		"403": "The token only asks, or another site sent it.",
		"409": "It contradicts what is recorded, or the id is another entry's.", "413": "More than 1 MiB was sent.",
		"415": "Something else than JSON was sent."}
)

// jsonType is the media type of all that programs say and are told.
const jsonType = "application/json"

// toldExamples are examples of what is told, of the demo's yard.
//
//go:embed told.json
var toldExamples json.RawMessage

func describe() object {
	all := questions()
	var types []reflect.Type
	for _, a := range all {
		for _, v := range a.gives {
			types = append(types, reflect.TypeOf(v))
		}
	}
	types = append(types, reflect.TypeFor[keptEntries](), reflect.TypeFor[notTaken]())
	var kinds, told []any
	for _, t := range fleet.EntryTypes() {
		kinds = append(kinds, string(t))
	}
	for _, t := range toldTypes {
		told = append(told, string(t))
	}
	refs, defs := yamltree.Definitions("#/components/schemas/",
		yamltree.SchemaOptions{Tag: "json", Written: true}, types...)
	defs["entry"].(object)["properties"].(object)["type"] = object{"enum": kinds}
	fact := maps.Clone(defs["entry"].(object))
	fact["required"], fact["properties"] = []any{"type", "date"}, maps.Clone(fact["properties"].(object))
	fact["properties"].(object)["type"] = object{"enum": told}
	fact["description"] = "An entry, of which v, id, batch, recorded and vehicle may be left out."
	defs["fact"] = fact
	instead := defs["correction"].(object)["properties"].(object)
	instead["instead"] = object{"anyOf": []any{instead["instead"], object{"$ref": "#/components/schemas/fact"}}}
	paths, n := object{}, 0
	for _, a := range all {
		of := refs[n : n+len(a.gives)]
		n += len(a.gives)
		paths[httpAt+a.path] = object{"get": a.describe(of)}
	}
	tell := address{path: "vehicles/{id}/entries", id: "tell",
		what: "Keep one fact, or several together: all or nothing, and once"}
	post := tell.describe(refs[n : n+1])
	answers := post["responses"].(object)
	for code, why := range tellRefused {
		answers[code] = refusal(why)
	}
	there := answers["200"].(object)
	answers["201"] = object{"description": "Kept; at least one entry is new.", "content": there["content"]}
	there["description"] = "All of it was there already."
	one := object{"$ref": "#/components/schemas/fact"}
	post["requestBody"] = object{"required": true, "content": object{jsonType: object{"examples": toldExamples,
		"schema": object{"anyOf": []any{one,
			object{"type": "array", "items": one, "minItems": 1, "maxItems": mostTold}}}}}}
	paths[httpAt+tell.path] = object{"post": post}
	doc := address{path: "openapi.json", id: "description", what: "This description"}
	paths[httpAt+doc.path] = object{"get": doc.describe([]any{object{"type": "object"}})}
	return object{"openapi": "3.1.0", "info": object{"title": "Undertray", "version": "1",
		"description": "Questions about the vehicles of a yard, and facts told about them, for programs at home."},
		"paths":    paths,
		"security": []any{object{"token": []any{}}},
		"components": object{"schemas": defs, "securitySchemes": object{"token": object{"type": "http",
			"scheme": "bearer", "description": "Made on the page Devices, or by: undertray devices token NAME"}}}}
}

var inPath = regexp.MustCompile(`\{(\w+)\}`)

// pathWords say what stands in an address, with one of the demo's.
var pathWords = map[string][2]string{"id": {"a vehicle", "heron"}, "pos": {"a position of its sheet", "main-belt"},
	"entry": {"the id of an entry", "019abf2e-7c00-7a31-8f00-3d5b2c7e9a10"}}

// describe is the operation of an address that is answered by one of some schemas.
func (a *address) describe(of []any) object {
	var takes []any
	for _, m := range inPath.FindAllStringSubmatch(a.path, -1) {
		w := pathWords[m[1]]
		takes = append(takes, object{"name": m[1], "in": "path", "required": true, "description": w[0],
			"schema": object{"type": "string"}, "example": w[1]})
	}
	for _, p := range a.takes {
		takes = append(takes, p.describe())
	}
	answer := of[0]
	if len(of) > 1 {
		answer = object{"anyOf": of}
	}
	answers := object{"200": object{"description": "The answer.",
		"content": object{jsonType: object{"schema": answer}}}}
	for code, why := range askRefused {
		answers[code] = refusal(why)
	}
	out := object{"operationId": a.id, "summary": a.what, "responses": answers}
	if len(takes) > 0 {
		out["parameters"] = takes
	}
	return out
}

func refusal(why string) object {
	return object{"description": why,
		"content": object{jsonType: object{"schema": object{"$ref": "#/components/schemas/nottaken"}}}}
}

func (p *param) describe() object {
	schema := object{"type": "string"}
	example := any(p.example)
	switch p.form {
	case "date":
		schema["format"] = "date"
	case "integer", "number", "boolean":
		schema["type"] = p.form
		if err := json.Unmarshal([]byte(p.example), &example); err != nil {
			panic(fmt.Sprintf("web: %s is no example of %s", p.example, p.name))
		}
	case "":
	default:
		schema["enum"] = slices.Collect(strings.SplitSeq(p.form, "|"))
	}
	if p.list {
		schema, example = object{"type": "array", "items": schema}, []any{example}
	}
	out := object{"name": p.name, "in": "query", "description": p.what, "required": p.must, "schema": schema}
	if p.example != "" {
		out["example"] = example
	}
	return out
}
