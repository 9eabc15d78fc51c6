package message

import (
	"encoding"
	"encoding/json"
	"reflect"
	"slices"
	"strings"
)

// In is a copy of what is to become JSON, with its texts in the language.
func (l *Language) In(v any) any {
	if l == nil || v == nil {
		return v
	}
	return l.in(reflect.ValueOf(v)).Interface()
}

func (l *Language) in(v reflect.Value) reflect.Value {
	if text, ok := v.Interface().(Text); ok {
		return reflect.ValueOf(Text(text.In(l)))
	}
	switch v.Interface().(type) {
	case json.Marshaler, encoding.TextMarshaler:
		return v
	}
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() && f.Tag.Get("json") != "-" {
				out.Field(i).Set(l.in(v.Field(i)))
			}
		}
	case reflect.Slice:
		if v.IsNil() {
			return v
		}
		out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
		fallthrough
	case reflect.Array:
		for i := range v.Len() {
			out.Index(i).Set(l.in(v.Index(i)))
		}
	case reflect.Map:
		if v.IsNil() {
			return v
		}
		out.Set(reflect.MakeMap(v.Type()))
		for k, of := range v.Seq2() {
			out.SetMapIndex(k, l.in(of))
		}
	case reflect.Pointer:
		if !v.IsNil() {
			out.Set(reflect.New(v.Type().Elem()))
			out.Elem().Set(l.in(v.Elem()))
		}
	case reflect.Interface:
		if !v.IsNil() {
			out.Set(l.in(v.Elem()))
		}
	}
	return out
}

// Some are words that a language gave away, by their English, to be told where it is not itself: by the reader of
// pictures in a browser. Of a message that depends on a number it holds the forms, and which of them each number takes.
type Some map[string]string

// alike is from which number on the last two digits alone decide on the form, as the rules of languages for whole
// numbers below a million have it (Unicode CLDR, Language Plural Rules).
const alike = 100

// Some gives what the language says of some messages, of one that depends on a number the format for one and that for
// several with U+0004 between; nil for English.
func (l *Language) Some(of []string) Some {
	if l == nil {
		return nil
	}
	out := Some{}
	for _, key := range of {
		one, many, counted := strings.Cut(key, counts)
		if !counted {
			out[key] = l.message(key)
			continue
		}
		var forms []string
		var takes []byte
		for n := range 2 * alike {
			form := l.counted(one, many, n)
			i := slices.Index(forms, form)
			if i < 0 {
				i, forms = len(forms), append(forms, form)
			}
			takes = append(takes, '0'+byte(i))
		}
		out[key] = strings.Join(append(forms, string(takes)), counts)
	}
	return out
}

// Say implements Words.
func (s Some) Say(english string) string {
	if t, ok := s[english]; ok {
		return t
	}
	return english
}

// Counted implements Words.
func (s Some) Counted(one, many string, n int) string {
	forms := strings.Split(s.Say(one+counts+many), counts)
	takes := forms[len(forms)-1]
	if n >= alike {
		n = alike + n%alike
	}
	if len(takes) != 2*alike || n < 0 {
		return (*Language)(nil).counted(one, many, n)
	}
	return forms[takes[n]-'0']
}

// Markup implements Words: none is given away.
func (s Some) Markup(string) string { return "" }

// Known implements Words: no text of the catalogue of parts is given away.
func (s Some) Known(text string) (string, bool) { return text, false }
