package listen

import (
	"errors"
	"fmt"
)

// What can be wrong with a recording. Test with errors.Is; the error text says where and what would do.
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
	}
	return "unknown"
}

// Warning is one thing to know about a recording before trusting what is read from it.
type Warning struct {
	Kind WarningKind
	Text string // a sentence for the owner
}

func wrap(kind error, format string, args ...any) error {
	return fmt.Errorf("%w: %s", kind, fmt.Sprintf(format, args...))
}
