package sheet

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"undertray/civil"
	"undertray/internal/fleet"
	"undertray/internal/yamltree"
	"undertray/units"
)

//go:embed archetypes/*.yaml
var archetypeFiles embed.FS

// Archetype is a ready, commented sheet of a typical vehicle.
type Archetype struct {
	ID     string
	Title  string // the sheet's name
	About  string // one line: what sort of vehicle it fits
	Source []byte // the commented YAML
}

// Filling is what an owner's own sheet says instead of the archetype. Empty
// fields leave the archetype's line as it stands.
type Filling struct {
	Vehicle string // id of the new vehicle; required
	Name    string // its name; required
	Built   civil.Date
	VIN     string
	Yearly  *units.Quantity // distance in a year
}

// Archetypes lists the archetypes in alphabetical order of their ids. The
// files are part of the program; it panics if they are not.
func Archetypes() []Archetype {
	names, err := fs.Glob(archetypeFiles, "archetypes/*.yaml")
	if err != nil {
		panic("sheet: " + err.Error())
	}
	all := make([]Archetype, len(names))
	for i, name := range names {
		src, err := archetypeFiles.ReadFile(name)
		if err != nil {
			panic("sheet: " + err.Error())
		}
		all[i] = Archetype{
			ID:     strings.TrimSuffix(path.Base(name), ".yaml"),
			Title:  topText(src, "name"),
			About:  topText(src, "about"),
			Source: src,
		}
	}
	return all
}

// FromArchetype writes an archetype out as the sheet of a new vehicle: its
// comments stay, and the lines vehicle, name, built, vin and yearly say what
// the filling says. The result is a valid sheet. The error is a *fleet.Error:
// NotFound for an unknown archetype, Invalid for a filling that would not make
// a valid sheet.
func FromArchetype(id string, f Filling) ([]byte, error) {
	src, err := archetypeSource(id)
	if err != nil {
		return nil, err
	}
	values := []struct{ key, value string }{
		{"vehicle", f.Vehicle}, {"name", f.Name}, {"built", dateText(f.Built)}, {"vin", f.VIN}, {"yearly", ""},
	}
	if f.Yearly != nil {
		values[4].value = f.Yearly.String()
	}
	for _, v := range values {
		if v.value == "" && v.key != "vehicle" && v.key != "name" {
			continue
		}
		if strings.ContainsAny(v.value, "\r\n\x00") {
			return nil, &fleet.Error{Kind: fleet.Invalid, Where: v.key,
				Msg: v.key + " has a line break: write it on one line"}
		}
		if src, err = setTop(src, v.key, v.value); err != nil {
			return nil, err
		}
	}
	if _, err := Parse("new sheet", src, nil); err != nil {
		return nil, err
	}
	return src, nil
}

func archetypeSource(id string) ([]byte, error) {
	var ids []string
	for _, a := range Archetypes() {
		if a.ID == id {
			return a.Source, nil
		}
		ids = append(ids, a.ID)
	}
	return nil, &fleet.Error{Kind: fleet.NotFound,
		Msg:  fmt.Sprintf("there is no archetype %q: %s", id, fleet.Instead(id, ids)),
		Hint: "The archetypes are " + strings.Join(ids, ", ") + "."}
}

func dateText(d civil.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}

// topLine returns where the line of a top-level key begins and ends, without
// its line break.
func topLine(src []byte, key string) (from, to int, ok bool) {
	at := 0
	for line := range bytes.Lines(src) {
		if bytes.HasPrefix(line, []byte(key+":")) {
			return at, at + len(bytes.TrimRight(line, "\r\n")), true
		}
		at += len(line)
	}
	return 0, 0, false
}

// topText returns the value of a top-level key whose value is one line of text.
func topText(src []byte, key string) string {
	from, to, ok := topLine(src, key)
	if !ok {
		return ""
	}
	var m map[string]string
	if err := yamltree.Read(src[from:to], &m); err != nil {
		return ""
	}
	return m[key]
}

// setTop replaces the value of a top-level key and keeps the comment behind
// it. The archetypes hold each such key on one line.
func setTop(src []byte, key, value string) ([]byte, error) {
	from, to, ok := topLine(src, key)
	if !ok {
		return nil, fmt.Errorf("archetype has no line %q", key)
	}
	text, err := scalarText(value)
	if err != nil {
		return nil, fmt.Errorf("write %s: %w", key, err)
	}
	line := key + ": " + text
	if _, comment, found := bytes.Cut(src[from:to], []byte(" # ")); found {
		line += " # " + string(comment)
	}
	return bytes.Join([][]byte{src[:from], []byte(line), src[to:]}, nil), nil
}

// scalarText writes a value as a YAML scalar. What has any mark that YAML might
// read as its own is written as a JSON string, which is one.
func scalarText(value string) (string, error) {
	special := strings.ContainsFunc(value, func(c rune) bool {
		return c < 0x80 && c != ' ' && c != '-' && c != '.' && (c < '0' || c > '9') && (c < 'A' || c > 'Z') &&
			(c < 'a' || c > 'z')
	})
	if special {
		text, err := json.Marshal(value)
		return string(text), err
	}
	text, err := yamltree.Write(value)
	return strings.TrimSpace(string(text)), err
}
