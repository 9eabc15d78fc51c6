package fleet

import (
	"errors"
	"io/fs"

	"undertray.example/undertray/internal/message"
)

// ErrorKind sorts errors by what the person can do about them. Shells turn
// it into an exit code or an HTTP status.
type ErrorKind uint8

// The kinds of error.
const (
	Internal    ErrorKind = iota // a fault of the program; its text is for the log
	Invalid                      // what was typed is wrong: say what would be right
	NotFound                     // there is no such vehicle, position, kind, entry
	Conflict                     // it contradicts what is already recorded
	Unavailable                  // the file cannot be read or written now
	TooNew                       // written by a newer version of the program
)

// Error is an error phrased for the owner. Msg is a complete sentence that
// names the thing; Hint says what to do next.
type Error struct {
	Kind  ErrorKind
	Where string // file and line, or field, where it helps
	Msg   message.Text
	Hint  message.Text
	// Reason is what Msg says as data, a code and its arguments, for JSON; nil
	// where there is none.
	Reason any
	Err    error // cause, may be nil
}

// Error returns the message with its place in front.
func (e *Error) Error() string { return e.Message().String() }

// Message is the same in any language.
func (e *Error) Message() message.Text {
	if e.Where == "" {
		return e.Msg
	}
	return message.Of("%s: %s", Field(e.Where), e.Msg)
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// KindOf returns the kind of the first *Error in err's tree, or Internal.
func KindOf(err error) ErrorKind {
	var e *Error
	if errors.As(err, &e) {
		return e.Kind
	}
	return Internal
}

// Why is what is wrong with a file without its name, which may be one it has for a moment only.
func Why(err error) string {
	var of *fs.PathError
	if errors.As(err, &of) {
		return of.Err.Error()
	}
	return err.Error()
}

// Hints returns the hint of every *Error in err's tree, in order, without
// empty ones.
func Hints(err error) []message.Text {
	var hints []message.Text
	var walk func(error)
	walk = func(err error) {
		if e, ok := err.(*Error); ok && e.Hint != "" {
			hints = append(hints, e.Hint)
		}
		switch x := err.(type) {
		case interface{ Unwrap() []error }:
			for _, sub := range x.Unwrap() {
				walk(sub)
			}
		case interface{ Unwrap() error }:
			if sub := x.Unwrap(); sub != nil {
				walk(sub)
			}
		}
	}
	walk(err)
	return hints
}
