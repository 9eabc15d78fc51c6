package sheet

import (
	"cmp"
	"reflect"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yamltree"
)

// reader reads a sheet's tree and notes what is wrong with it.
type reader = yamltree.Reader

// options says how a vehicle sheet is spoken of.
var options = yamltree.Options{
	File: "a vehicle sheet", Top: "the sheet", Sample: sample,
	Nouns: map[reflect.Type]message.Text{
		reflect.TypeFor[fleet.PartSpec](): "a part",
		reflect.TypeFor[fleet.Again]():    "the recurrence",
	},
}

// lastKey names the value under a path in messages.
func lastKey(path string) message.Text {
	return cmp.Or(message.Name(yamltree.LastKey(path)), options.Top)
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
	case "reads":
		return "reads: 318 mm"
	case "verdict":
		return "verdict: put right"
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
