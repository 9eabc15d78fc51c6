package fleet

import (
	"bytes"
	"encoding/json"
	"errors"
	"unicode/utf8"

	"undertray.example/undertray/internal/message"
)

// EncodeEntry returns the entry as JSON in its one canonical form: a single
// line without a newline, fields in the order of the type, absent fields left
// out, Recorded in UTC. Two entries have the same content if and only if their
// encodings are equal. The entry is checked as DecodeEntry checks it; the
// error is an *Error of kind Invalid or TooNew whose Where is the field.
func EncodeEntry(e *Entry) ([]byte, error) {
	if e == nil {
		return nil, &Error{Kind: Invalid, Msg: "there is no entry", Hint: "give one"}
	}
	if err := checkEntry(e); err != nil {
		return nil, err
	}
	b, err := marshalEntry(canonical(e))
	if err != nil {
		return nil, &Error{Kind: Invalid, Msg: message.Of("the entry cannot be written: %s", err), Err: err}
	}
	if lostText(b) {
		return nil, &Error{Kind: Invalid, Msg: "a text of the entry is not valid UTF-8",
			Hint: "save or send it as UTF-8"}
	}
	return b, nil
}

// DecodeEntry reads one entry in JSON. It reads every format up to
// EntryFormat and is strict: an unknown, repeated or misspelt field, a value
// of another type, null, a missing body, a body that is not the one type
// names, an id that is not a UUID version 7, a date that does not exist and
// anything after the entry are refused. Fields may come in any order.
//
// The error is an *Error of kind Invalid that names the first wrong field and
// says what would be right, or of kind TooNew for a format this program does
// not know. Recorded is in UTC, whatever its offset was.
func DecodeEntry(b []byte) (*Entry, error) {
	if !utf8.Valid(b) {
		return nil, &Error{Kind: Invalid, Msg: "the entry is not valid UTF-8", Hint: "save or send it as UTF-8"}
	}
	e := new(Entry)
	decodeErr := json.Unmarshal(b, e)
	if decodeErr == nil {
		e = canonical(e)
		if again, err := marshalEntry(e); err == nil && bytes.Equal(again, b) {
			return checked(e)
		}
	}
	// Not what EncodeEntry writes: find out whether only spacing and order
	// differ, or what is wrong.
	if err := newerFormat(b); err != nil {
		return nil, err
	}
	if err := inspectEntry(b); err != nil {
		return nil, err
	}
	if decodeErr != nil {
		return nil, notJSON(decodeErr)
	}
	return checked(e)
}

// DecodeStored reads what EncodeEntry wrote, from storage that nothing else
// writes to. It checks the values as DecodeEntry does but not the spelling,
// which costs as much again.
func DecodeStored(b []byte) (*Entry, error) {
	e := new(Entry)
	if err := json.Unmarshal(b, e); err != nil {
		return DecodeEntry(b) // says which field it is
	}
	return checked(e)
}

// checked returns the entry if its values make sense.
func checked(e *Entry) (*Entry, error) {
	if err := checkEntry(e); err != nil {
		return nil, err
	}
	return e, nil
}

// marshalEntry writes the canonical form of what canonical returns.
func marshalEntry(e *Entry) ([]byte, error) {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(e); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(buf.Bytes(), []byte("\n")), nil
}

// canonical returns the entry with its instants in UTC and without an empty
// map, which JSON would show where it shows no empty list. The entry passed in
// is not changed.
func canonical(e *Entry) *Entry {
	out := *e
	out.Recorded = e.Recorded.UTC()
	if f := e.Fitted; f != nil && f.Part.Spec != nil && len(f.Part.Spec) == 0 {
		fitted := *f
		fitted.Part.Spec = nil
		out.Fitted = &fitted
	}
	if c := e.Correction; c != nil && c.Instead != nil {
		correction := *c
		correction.Instead = canonical(c.Instead)
		out.Correction = &correction
	}
	return &out
}

// lostText reports whether the JSON holds the escape that stands for bytes
// that were not UTF-8. A genuine U+FFFD is written as it is, not escaped.
func lostText(b []byte) bool {
	escape := []byte(`\ufffd`)
	for {
		i := bytes.Index(b, escape)
		if i < 0 {
			return false
		}
		slashes := 0
		for i-slashes > 0 && b[i-slashes-1] == '\\' {
			slashes++
		}
		if slashes%2 == 0 {
			return true
		}
		b = b[i+len(escape):]
	}
}

// newerFormat returns an error if the JSON says that it is of a later format,
// whatever else it holds.
func newerFormat(b []byte) error {
	var peek struct {
		Format int `json:"v"`
	}
	if err := json.Unmarshal(b, &peek); err != nil {
		return nil // reported by inspectEntry
	}
	return checkFormat(peek.Format)
}

func checkFormat(format int) error {
	if format <= EntryFormat {
		return nil
	}
	return &Error{Kind: TooNew, Where: "v",
		Msg:  message.Of("the entry is of format %d, and this program reads formats up to %d", format, EntryFormat),
		Hint: "use the newer version of the program that wrote it"}
}

// notJSON words an error of the JSON reader.
func notJSON(err error) *Error {
	out := &Error{Kind: Invalid, Msg: message.Of("the entry is not JSON: %s", err),
		Hint: `an entry is one JSON object, like {"v":1,"id":"…","type":"note",…}`, Err: err}
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		out.Msg = message.Of("the entry is not JSON: %s at byte %d", syntax, syntax.Offset)
	}
	return out
}
