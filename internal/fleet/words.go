package fleet

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/message"
)

// Verdict is what is to be done about a part. Higher is more urgent.
type Verdict uint8

// The verdicts. Unseen is no verdict at all: nobody has looked yet, and no
// age or distance speaks for a change.
const (
	Unseen   Verdict = iota // not known: never inspected, and nothing known asks for action
	Keep                    // no action before the next usual inspection
	Watch                   // usable; look again sooner than usual, at a stated distance or date
	PutRight                // usable now; to be put right by its deadline
	Park                    // do not drive before it is put right
)

var verdictWords = [...]string{"not known", "keep", "watch", "put right", "park"}

// String returns the verdict's word.
func (v Verdict) String() string {
	if int(v) < len(verdictWords) {
		return verdictWords[v]
	}
	return fmt.Sprintf("verdict %d", uint8(v))
}

// Message is the verdict's word in any language.
func (v Verdict) Message() message.Text { return message.Text(v.String()) }

// ParseVerdict reads one of keep, watch, put right, park. "replace" is read as put right:
// sheets and catalogue files written before say so.
func ParseVerdict(s string) (Verdict, error) {
	if s == "replace" {
		return PutRight, nil
	}
	for v := Keep; v <= Park; v++ {
		if s == verdictWords[v] {
			return v, nil
		}
	}
	return Unseen, message.Errorf("%q is not a verdict: write keep, watch, put right or park", s)
}

// MarshalText writes the verdict's word.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// UnmarshalText reads a verdict's word; "not known" is accepted too.
func (v *Verdict) UnmarshalText(b []byte) error {
	if string(b) == verdictWords[Unseen] {
		*v = Unseen
		return nil
	}
	got, err := ParseVerdict(string(b))
	if err != nil {
		return err
	}
	*v = got
	return nil
}

// Authority says who stands behind a limit or an interval.
type Authority string

// The authorities, as written in catalogue files and vehicle sheets.
const (
	VehicleMaker      Authority = "vehicle maker"
	PartMaker         Authority = "part maker"
	PublishedStandard Authority = "published standard"
	CommonPractice    Authority = "common practice"
	Owner             Authority = "owner"
)

// Authorities lists every authority in the order they are shown.
func Authorities() []Authority {
	return []Authority{VehicleMaker, PartMaker, PublishedStandard, CommonPractice, Owner}
}

// Message is how the authority is called in any language.
func (a Authority) Message() message.Text { return message.Text(a) }

// UnmarshalText reads an authority and refuses any other word.
func (a *Authority) UnmarshalText(b []byte) error {
	for _, known := range Authorities() {
		if string(b) == string(known) {
			*a = known
			return nil
		}
	}
	return message.Errorf("%q is not an authority: write one of %s", b, joinWords(Authorities()))
}

// Stance says which authority the owner follows where they disagree.
type Stance string

// The stances. An empty stance means Strictest.
const (
	Strictest          Stance = "strictest"
	FollowVehicleMaker Stance = "vehicle maker"
	FollowPartMaker    Stance = "part maker"
	FollowOwn          Stance = "own"
)

// Stances lists every stance.
func Stances() []Stance {
	return []Stance{Strictest, FollowVehicleMaker, FollowPartMaker, FollowOwn}
}

// UnmarshalText reads a stance and refuses any other word.
func (s *Stance) UnmarshalText(b []byte) error {
	for _, known := range Stances() {
		if string(b) == string(known) {
			*s = known
			return nil
		}
	}
	return message.Errorf("%q is not a stance: write one of %s", b, joinWords(Stances()))
}

// Message is how the stance is called in any language.
func (s Stance) Message() message.Text { return message.Text(s) }

// Authority returns the authority a stance follows, or "" for Strictest.
func (s Stance) Authority() Authority {
	switch s {
	case FollowVehicleMaker:
		return VehicleMaker
	case FollowPartMaker:
		return PartMaker
	case FollowOwn:
		return Owner
	}
	return ""
}

// Side says from where a position or an opening is reached.
type Side string

// The sides.
const (
	Above Side = "above"
	Below Side = "below"
)

// Message is the side in any language.
func (s Side) Message() message.Text { return message.Text(s) }

// UnmarshalText reads a side and refuses any other word.
func (s *Side) UnmarshalText(b []byte) error {
	switch Side(b) {
	case Above, Below:
		*s = Side(b)
		return nil
	}
	return message.Errorf("%q is not a side: write above or below", b)
}

// EngineState is the condition of the engine that a step or a check needs.
// Empty means it does not matter.
type EngineState string

// The engine states.
const (
	Cold    EngineState = "cold"
	Hot     EngineState = "hot"
	Running EngineState = "running"
)

// UnmarshalText reads an engine state and refuses any other word.
func (e *EngineState) UnmarshalText(b []byte) error {
	switch EngineState(b) {
	case "", Cold, Hot, Running:
		*e = EngineState(b)
		return nil
	}
	return message.Errorf("%q is not an engine state: write cold, hot or running", b)
}

func joinWords[T ~string](words []T) string {
	parts := make([]string, len(words))
	for i, w := range words {
		parts[i] = string(w)
	}
	return strings.Join(parts, ", ")
}

// Words says what is measured, inside a sentence.
func (m Measure) Words() message.Text {
	switch m.Kind {
	case "diameter":
		return message.Of("the diameter of the %s", m.Of)
	case "centres":
		return message.Of("from the centre of the %s to that of the %s", m.Of, m.And)
	case "over":
		return message.Of("over the outsides of the %s and the %s", m.Of, m.And)
	case "gap":
		return message.Of("between the rims of the %s and the %s", m.Of, m.And)
	}
	return "the length of the belt that is on"
}
