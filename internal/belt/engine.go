package belt

import (
	"undertray/drive"
	"undertray/listen"
)

// What is handed to this room and comes from it, so that nothing above it
// reaches for the engines: lengths are in mm, forces in N.
type (
	// Recording is a sound as samples.
	Recording = listen.Recording
	// Point is a place in the plane of a belt.
	Point = drive.Point
	// Refusal says why a run cannot be laid, and what would make it possible.
	Refusal = drive.Refusal
	// Forces are those of a belt in one state of its engine.
	Forces = drive.Forces
	// PulleyForce is the force of a belt on one pulley.
	PulleyForce = drive.PulleyForce
)

// LifeCaution says what a belt's reckoned life is worth.
const LifeCaution = drive.LifeCaution

// NewIdler is a plain idler of a diameter in mm, to ask about (Question.Idler).
func NewIdler(diameter float64, at Point) *drive.Pulley {
	return &drive.Pulley{Name: "new idler", DiameterMM: diameter, Measured: drive.Plain, Centre: at}
}
