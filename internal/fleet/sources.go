package fleet

import (
	"encoding/json"
	"slices"
	"strings"
)

// Sources lists what a rule rests on: ids of the catalogue's sources, or what
// an owner says in words, a page of the handbook. It is written as one text or
// as a list.
type Sources []string

// String names the sources one after another, for people.
func (s Sources) String() string { return strings.Join(s, ", ") }

// Equal reports whether two rules rest on the same.
func (s Sources) Equal(other Sources) bool { return slices.Equal(s, other) }

// UnmarshalText reads a single source.
func (s *Sources) UnmarshalText(text []byte) error {
	*s = nil
	if len(text) > 0 {
		*s = Sources{string(text)}
	}
	return nil
}

// MarshalJSON writes a single source as a text, and several as a list.
func (s Sources) MarshalJSON() ([]byte, error) {
	if len(s) > 1 {
		return json.Marshal([]string(s))
	}
	return json.Marshal(s.String())
}

// UnmarshalJSON reads what MarshalJSON writes.
func (s *Sources) UnmarshalJSON(text []byte) error {
	if len(text) > 0 && text[0] == '[' {
		return json.Unmarshal(text, (*[]string)(s))
	}
	var one string
	if err := json.Unmarshal(text, &one); err != nil {
		return err
	}
	return s.UnmarshalText([]byte(one))
}
