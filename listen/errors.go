package listen

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// What can be wrong with a recording. Test with errors.Is; a *Fault says where and which figures.
var (
	// ErrNotAudio: the bytes are not a RIFF WAVE file.
	ErrNotAudio = errors.New("not a WAV recording")
	// ErrBroken: a WAVE file whose parts contradict each other or are missing.
	ErrBroken = errors.New("broken WAV recording")
	// ErrFormat: a WAVE file with a coding, depth, rate or number of channels that is not read here.
	ErrFormat = errors.New("WAV coding not read")
	// ErrSilent: nothing but silence, or one constant value.
	ErrSilent = errors.New("recording is silent")
	// ErrTooShort: too few seconds or shaft turns for the question.
	ErrTooShort = errors.New("recording is too short")
	// ErrTooLong: more samples than are read into memory.
	ErrTooLong = errors.New("recording is too long")
	// ErrInput: a number handed over is impossible (NaN, negative speed, a bearing without balls).
	ErrInput = errors.New("impossible input")
)

// Kind of warning about a recording that can be used, with care.
type WarningKind int

// The warnings.
const (
	Clipped   WarningKind = iota + 1 // more than 0.01 % of the samples sit at the extreme value
	Truncated                        // the file ends before the length its header promises
	Steps                            // the level jumps as an automatic gain control makes it jump
	Faint                            // so quiet that the steps of the sample format show
	Lossy                            // the sound was coded so that something of it is lost: Coding
	Cut                              // a part of a longer recording: From, To, Of
	Opposed                          // two channels ran against each other and would have cancelled: Channel
	Coarse                           // so few distinct values that their steps are a noise of their own
)

// String names the kind.
func (k WarningKind) String() string {
	switch k {
	case Clipped:
		return "clipped"
	case Truncated:
		return "truncated"
	case Steps:
		return "level steps"
	case Faint:
		return "faint"
	case Lossy:
		return "lossy"
	case Cut:
		return "cut"
	case Opposed:
		return "opposed"
	case Coarse:
		return "few levels"
	}
	return "unknown"
}

// Warning is one thing to know about a recording before trusting what is read from it.
type Warning struct {
	Kind  WarningKind
	Share float64 // Clipped: of the samples, 0 to 1

	Coding   string  // Lossy: its name, letters and figures only
	From, To float64 // Cut: what was kept, s from the start
	Of       float64 // Cut: length of the whole, s
	Channel  int     // Opposed: the one that was taken, counted from 1; 0 for the difference of both
}

// Doubts reports whether the warning lowers the certainty of what is read from the recording: what was cut away or
// turned round does not.
func (w Warning) Doubts() bool { return w.Kind != Cut && w.Kind != Opposed }

func isKind(kinds ...WarningKind) func(Warning) bool {
	return func(w Warning) bool { return slices.Contains(kinds, w.Kind) }
}

// Code says exactly what is meant; it is never shown to an owner, who is told in words made elsewhere.
type Code string

// Arg is one argument of a Fault: a name, or a figure with its unit.
type Arg struct {
	Of    string // what it is, such as "lasts"
	Name  string // of a bearing, a pulley; "" for a figure
	Value float64
	Unit  string // s, Hz, rpm, m, kg/m, degrees; "" for a bare number
}

func called(of, name string) Arg { return Arg{Of: of, Name: name} }

func figure(of string, v float64, unit string) Arg { return Arg{Of: of, Value: v, Unit: unit} }

// Fault is the error of this package, as data. Kind is one of the errors above, found by errors.Is.
type Fault struct {
	Kind error
	Code Code // which case of the kind
	Args []Arg
}

// Error is kind, code and arguments, for programmers.
func (f *Fault) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "listen: %v: %s", f.Kind, f.Code)
	for _, a := range f.Args {
		if a.Unit == "" && a.Name != "" {
			fmt.Fprintf(&b, " %s=%q", a.Of, a.Name)
			continue
		}
		fmt.Fprintf(&b, " %s=%g%s", a.Of, a.Value, a.Unit)
	}
	return b.String()
}

// Unwrap returns the kind.
func (f *Fault) Unwrap() error { return f.Kind }

func wrap(kind error, code Code, args ...Arg) error { return &Fault{kind, code, args} }
