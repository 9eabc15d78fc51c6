// Package machine names what work leaves undone on a vehicle, and what each
// use of it forbids: an engine with its oil out is not run.
package machine

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/internal/message"
)

// Undone is something about the machine that is not as it is driven: the oil
// is out, a belt is off. Openings leave it so until they are undone.
type Undone string

// What can be undone, in the order it is said.
const (
	SwitchedOff    Undone = "switched-off" // a hybrid or electric vehicle, its key away
	BatteryOff     Undone = "battery-off"
	FuelOpen       Undone = "fuel-open"
	InletOpen      Undone = "inlet-open"
	OilOut         Undone = "oil-out"
	CoolantOut     Undone = "coolant-out"
	GearOilOut     Undone = "gear-oil-out"
	BeltLoose      Undone = "belt-loose"
	BeltOff        Undone = "belt-off"       // one the engine is not started without, or not known what it turns
	SideBeltOff    Undone = "side-belt-off"  // the engine runs without it, the vehicle is not driven
	SpareBeltOff   Undone = "spare-belt-off" // nothing on the road needs it
	TimingCoverOff Undone = "timing-cover-off"
	FanOff         Undone = "fan-off" // or its shroud
	EngineLoose    Undone = "engine-loose"
	SteeringOpen   Undone = "steering-open"
	BrakesOpen     Undone = "brakes-open"
	Raised         Undone = "raised"
	WheelsOff      Undone = "wheels-off"
	WheelsLoose    Undone = "wheels-loose"

	// What is left once all is closed again. It forbids nothing and is still to do.
	WheelsToTighten Undone = "wheels-to-tighten" // again, after some distance
	IdleToLearn     Undone = "idle-to-learn"     // the engine's control has forgotten it
)

// All lists everything that can be undone, in the order it is said.
func All() []Undone {
	return []Undone{SwitchedOff, BatteryOff, FuelOpen, InletOpen, OilOut, CoolantOut, GearOilOut, BeltLoose, BeltOff,
		SideBeltOff, SpareBeltOff,
		TimingCoverOff, FanOff, EngineLoose, SteeringOpen, BrakesOpen, Raised, WheelsOff, WheelsLoose,
		WheelsToTighten, IdleToLearn}
}

// words say each; their English is the word itself, its hyphens spaced.
var words = map[Undone]message.Text{SwitchedOff: "switched off", BatteryOff: "battery off", FuelOpen: "fuel open",
	InletOpen: "inlet open", OilOut: "oil out", CoolantOut: "coolant out", GearOilOut: "gear oil out",
	BeltLoose: "belt loose", BeltOff: "belt off", SideBeltOff: "side belt off", SpareBeltOff: "spare belt off",
	TimingCoverOff: "timing cover off", FanOff: "fan off", EngineLoose: "engine loose", SteeringOpen: "steering open",
	BrakesOpen: "brakes open", Raised: "raised", WheelsOff: "wheels off", WheelsLoose: "wheels loose",
	WheelsToTighten: "wheels to tighten", IdleToLearn: "idle to learn"}

// Message is what is undone, in any language.
func (u Undone) Message() message.Text { return words[u] }

// Later reports whether something is only still to do and forbids no use.
func (u Undone) Later() bool { return u == WheelsToTighten || u == IdleToLearn }

// Covers reports whether undoing u undoes o as well: a belt that was slackened,
// or behind a cover, is in order once it lies again and the cover is on.
func (u Undone) Covers(o Undone) bool {
	belts := []Undone{BeltLoose, BeltOff, SideBeltOff, SpareBeltOff}
	return u == o || slices.Contains(belts, o) && (u == TimingCoverOff || slices.Contains(belts, u))
}

// UnmarshalText takes one of All and names them in its error.
func (u *Undone) UnmarshalText(b []byte) error {
	if !slices.Contains(All(), Undone(b)) {
		return fmt.Errorf("%q is nothing that work leaves undone: use %s", b, list(All()))
	}
	*u = Undone(b)
	return nil
}

// Use is what a check or a test does with the machine.
type Use string

// The uses, in the order they are made of a machine that was worked on: what
// can show a fault at rest comes before the starter, the pedal is tried before
// anything moves, and the road comes last (common practice).
const (
	ByHand   Use = "by-hand"  // turning the crankshaft by hand, covers still off
	Ignition Use = "ignition" // on, without starting
	Cranking Use = "cranking" // turning it on the starter
	Running  Use = "running"
	InGear   Use = "in-gear" // running, drive engaged, brake held
	Stopped  Use = "stopped" // at rest again, once it has been run for this
	Driving  Use = "driving"
	Later    Use = "later" // after a drive, a day or so many hours
)

// Uses lists the uses in their order.
func Uses() []Use { return []Use{ByHand, Ignition, Cranking, Running, InGear, Stopped, Driving, Later} }

// UnmarshalText takes one of Uses and names them in its error.
func (u *Use) UnmarshalText(b []byte) error {
	if !slices.Contains(Uses(), Use(b)) {
		return fmt.Errorf("%q is no use of the machine: use %s", b, list(Uses()))
	}
	*u = Use(b)
	return nil
}

// Turns reports whether the engine turns during a use.
func (u Use) Turns() bool { return u == Running || u == InGear }

// Rank is the place of a use among Uses, from 1; 0 for no use, a look at rest.
func (u Use) Rank() int { return slices.Index(Uses(), u) + 1 }

// Forbids reports whether a use must wait until something is put back: a belt
// that is off only where it drives the coolant pump or the timing, for a start,
// or something that driving needs.
func (u Use) Forbids(undone Undone) bool {
	switch {
	case u == "" || u == ByHand || undone == SpareBeltOff || undone.Later():
		return false
	case undone == SideBeltOff:
		return u.Rank() >= InGear.Rank()
	}
	switch u {
	case Ignition:
		return undone == BatteryOff || undone == SwitchedOff
	}
	return true
}

func list[T ~string](all []T) string {
	words := make([]string, len(all))
	for i, w := range all {
		words[i] = string(w)
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
