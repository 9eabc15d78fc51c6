package sheet

import (
	"cmp"
	"reflect"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/yamltree"
)

// lastKey names the value under a path in messages.
func lastKey(path string) string { return cmp.Or(yamltree.LastKey(path), "the sheet") }

// itemOf names the value under a path: its key, or the list it is an item of.
func itemOf(path string) string {
	key := lastKey(path)
	if path != "" && !strings.HasSuffix(path, key) {
		return "an item of " + key
	}
	return key
}

// noun is the word for a thing that a sheet consists of.
func noun(t reflect.Type) string {
	switch t {
	case reflect.TypeFor[fleet.Vehicle]():
		return "the sheet"
	case reflect.TypeFor[fleet.PartSpec]():
		return "part"
	case reflect.TypeFor[fleet.Again]():
		return "the recurrence"
	}
	return strings.ToLower(t.Name())
}

// label names a mapping in messages: the noun with its id or name.
func label(t reflect.Type, pairs []yamltree.Pair) string {
	word := noun(t)
	if t == reflect.TypeFor[fleet.Vehicle]() || t == reflect.TypeFor[fleet.PartSpec]() {
		return word
	}
	for _, wanted := range [...]string{"id", "name", "what", "check", "do"} {
		for _, p := range pairs {
			if p.Key.Value != wanted {
				continue
			}
			if text, ok := yamltree.Text(p.Value); ok && text != "" {
				return word + ` "` + text + `"`
			}
		}
	}
	return "this " + strings.TrimPrefix(word, "the ")
}

// sample is a line that fills in a missing key.
func sample(t reflect.Type, key string) string {
	if t == reflect.TypeFor[fleet.Pulley]() && (key == "x" || key == "y") {
		return key + ": 120 mm"
	}
	if key == "name" {
		switch t {
		case reflect.TypeFor[fleet.Vehicle]():
			return "name: Blue van"
		case reflect.TypeFor[fleet.Opening]():
			return "name: Take the undertray off"
		}
	}
	switch key {
	case "undertray":
		return "undertray: 1"
	case "vehicle":
		return "vehicle: blue-van"
	case "id":
		return "id: top-hose"
	case "name":
		return "name: Top hose"
	case "minutes":
		return "minutes: 10"
	case "what":
		return "what: drain plug"
	case "kind":
		return "kind: ribbed-belt"
	case "from":
		return "from: above"
	case "x", "y":
		return key + ": 50"
	case "belt":
		return "belt: main-belt"
	case "pulleys":
		return "pulleys: [{name: Crank pulley, x: 0 mm, y: 0 mm, diameter: 160 mm, side: ribs, driver: true}]"
	case "diameter":
		return "diameter: 160 mm"
	case "side":
		return "side: ribs"
	case "verdict":
		return "verdict: replace"
	case "authority":
		return "authority: vehicle maker"
	case "source":
		return "source: vehicle handbook, page 212"
	case "says":
		return "says: Replace when the pointer is past the second mark."
	case "do":
		return "do: replace"
	}
	return key + ": ..."
}
