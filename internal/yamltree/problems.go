package yamltree

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Problem is one thing wrong with a file.
type Problem struct {
	Place
	Kind fleet.ErrorKind
	Msg  message.Text
}

// Problems returns what was noted so far.
func (r *Reader) Problems() []Problem { return r.problems }

// At returns where the value under a path stands, or the nearest thing around
// it that stands somewhere.
func (r *Reader) At(path string) Place {
	for {
		if at, ok := r.marks[path]; ok {
			return at
		}
		i := strings.LastIndexByte(path, '.')
		if i < 0 {
			return cmp.Or(r.marks[""], Place{1, 1})
		}
		path = path[:i]
	}
}

// Broken reports whether the value under a path has a problem of its own, or
// it or what holds it could not be read.
func (r *Reader) Broken(path string) bool {
	if len(r.broken) == 0 {
		return false
	}
	if _, has := r.broken[path]; has {
		return true
	}
	for {
		if r.broken[path] {
			return true
		}
		i := strings.LastIndexByte(path, '.')
		if i < 0 {
			return r.broken[""]
		}
		path = path[:i]
	}
}

// Note notes a problem at a path, unless the value there is broken.
func (r *Reader) Note(path, format string, args ...any) {
	if !r.Broken(path) {
		r.NoteAt(r.At(path), fleet.Invalid, format, args...)
	}
}

// Wrong notes a problem at a path as Note does, and no further one there.
func (r *Reader) Wrong(path, format string, args ...any) {
	r.Note(path, format, args...)
	if _, noted := r.broken[path]; !noted {
		r.broken[path] = false
	}
}

// NoteAt notes a problem at a place.
func (r *Reader) NoteAt(at Place, kind fleet.ErrorKind, format string, args ...any) {
	r.problems = append(r.problems, Problem{at, kind, message.Of(format, args...)})
}

// refuse notes that the value at a path cannot be read.
func (r *Reader) refuse(path, format string, args ...any) {
	r.Note(path, format, args...)
	r.broken[path] = true
}

// Errors puts problems of a file into order of place and returns each once, as
// a *fleet.Error whose Where is "name:line:column".
func Errors(name string, problems []Problem) []*fleet.Error {
	problems = slices.Clone(problems)
	slices.SortStableFunc(problems, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	var out []*fleet.Error
	for _, p := range slices.CompactFunc(problems, func(a, b Problem) bool {
		return a.Place == b.Place && a.Kind == b.Kind && a.Msg.String() == b.Msg.String()
	}) {
		out = append(out, &fleet.Error{Kind: p.Kind, Where: fmt.Sprintf("%s:%d:%d", name, p.Line, p.Col), Msg: p.Msg})
	}
	return out
}

// Joined is Errors as one error, nil for none.
func Joined(name string, problems []Problem) error {
	var errs []error
	for _, e := range Errors(name, problems) {
		errs = append(errs, e)
	}
	return errors.Join(errs...)
}
