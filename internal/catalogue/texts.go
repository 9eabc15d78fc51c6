package catalogue

import (
	"reflect"
	"slices"
	"strings"

	"undertray.example/undertray/draw/plate"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// asTexts lists the fields that are read by people; the others name, count or refer.
var asTexts = []string{"Name", "Plural", "Also", "About", "Say", "Says", "Do", "Did", "Question", "How", "Sense",
	"Caution", "Cautions", "Never", "Tips", "Until", "Materials", "Likely", "Roadside", "LetsDown", "Carry", "Thing",
	"HighVoltage", "NoPlate", "NoPlates", "Title", "New", "Then", "What", "Seen"}

// Texts are all texts of the built-in catalogue that are read by people, for catalogues of messages.
func Texts() map[string]bool {
	out := map[string]bool{}
	c, err := Load()
	if err != nil { // it ships with the program, which has ended before
		return out
	}
	for _, k := range c.Kinds() {
		gather(out, "", reflect.ValueOf(k))
		for i := range k.Checks {
			out[k.Checks[i].Title()] = true
		}
	}
	gather(out, "", reflect.ValueOf(c.words))
	return out
}

func gather(into map[string]bool, field string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			gather(into, field, v.Elem())
		}
	case reflect.String:
		if s, ok := v.Interface().(plate.Spec); ok && s.Words() != "" {
			into[s.Words()] = true
		}
		if v.Type() == reflect.TypeFor[string]() && v.Len() > 0 && slices.Contains(asTexts, field) {
			into[v.String()] = true
			if strings.HasPrefix(field, "Caution") { // of which what was said already is left out
				for _, s := range message.Sentences(v.String()) {
					into[s] = true
				}
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			gather(into, field, v.Index(i))
		}
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[units.Quantity]() {
			return
		}
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				gather(into, f.Name, v.Field(i))
			}
		}
	}
}
