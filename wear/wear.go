package wear

import (
	"errors"
	"fmt"
	"math"
)

// Observation is one measurement of one part.
type Observation struct {
	// Exposure is what the part had done by then: one number, or two where both distance and time
	// are known (then always in the same order). Any units, the same for all observations.
	Exposure []float64
	Value    float64 // what was measured, in the unit of the limit

	// SD is the standard deviation of the reading, in the unit of the limit, where it is known; 0
	// leaves it to be learned with the rest of the scatter.
	SD float64
}

// Path is the measurements of one part in order of exposure.
type Path []Observation

// Limit is what the value is measured against.
type Limit struct {
	Value   float64
	Falling bool // the value falls towards the limit (thickness, depth left); otherwise it rises

	// Counts says that values are counts (cracks, broken strands): a count of n scatters like a Poisson
	// count, by about the square root of n, besides anything else.
	Counts bool
}

// Prior is what is believed of a kind of part before any measurement in this yard. Zero fields are
// not used.
type Prior struct {
	Start   float64 // value of a new part; used only where HasStart is true
	StartSD float64 // how much new parts differ, 0 for 2 % of the way to the limit

	HasStart bool

	// Life is the median exposure from new to the limit, one per exposure. With no peers and a
	// single measurement it is all there is, and it needs HasStart.
	Life      []float64
	LifeLogSD float64 // standard deviation of its logarithm between parts and in our knowledge; 0 for 0.7
}

const defaultLifeLogSD = 0.7

// ErrTooLittle is returned when neither measurements, peers nor prior tell a rate of wear.
var ErrTooLittle = errors.New("wear: one measurement, no other parts of the kind and no prior life: measure once " +
	"more, or give the life from new to the limit")

// DataError is a value that cannot be right.
type DataError struct {
	Path  int // index of the peer, -1 for the part itself or a parameter
	Row   int // index of the observation, -1 for a parameter
	Field string
	Value float64
	Want  string
}

// Error names where the value stands and what would be right.
func (e *DataError) Error() string {
	where := ""
	if e.Path >= 0 {
		where = fmt.Sprintf("peer %d, ", e.Path)
	}
	if e.Row >= 0 {
		where += fmt.Sprintf("observation %d: ", e.Row)
	}
	return fmt.Sprintf("wear: %s%s is %v: want %s", where, e.Field, e.Value, e.Want)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func (p Path) check(index, axes int) error {
	for i, o := range p {
		bad := func(field string, value float64, want string) error {
			return &DataError{index, i, field, value, want}
		}
		if len(o.Exposure) != axes {
			return bad("Exposure", float64(len(o.Exposure)),
				fmt.Sprintf("%d numbers, as the other observations have", axes))
		}
		for j, x := range o.Exposure {
			if !finite(x) || x < 0 {
				return bad("Exposure", x, "a finite number, 0 or above")
			}
			if i > 0 && x < p[i-1].Exposure[j] {
				return bad("Exposure", x, "an exposure not below the one before")
			}
		}
		if !finite(o.Value) {
			return bad("Value", o.Value, "a finite number")
		}
		if !finite(o.SD) || o.SD < 0 {
			return bad("SD", o.SD, "a finite number, 0 or above")
		}
	}
	return nil
}

func (l Limit) check() error {
	if !finite(l.Value) {
		return &DataError{-1, -1, "Limit", l.Value, "a finite number"}
	}
	if l.Counts && (l.Falling || l.Value < 1) {
		return &DataError{-1, -1, "Limit", l.Value, "a count of 1 or more that is reached from below"}
	}
	return nil
}

func (p Prior) check(l Limit, axes int) error {
	if !p.HasStart && p.Start != 0 {
		return &DataError{-1, -1, "Start", p.Start, "HasStart to be set as well"}
	}
	if !finite(p.Start) || p.HasStart && (p.Start >= l.Value) != l.Falling {
		return &DataError{-1, -1, "Start", p.Start, "a value on the good side of the limit"}
	}
	if !finite(p.StartSD) || p.StartSD < 0 {
		return &DataError{-1, -1, "StartSD", p.StartSD, "a finite number, 0 or above"}
	}
	if !finite(p.LifeLogSD) || p.LifeLogSD < 0 || p.LifeLogSD > 3 {
		return &DataError{-1, -1, "LifeLogSD", p.LifeLogSD, "a number from 0 to 3"}
	}
	if len(p.Life) != 0 && len(p.Life) != axes {
		return &DataError{-1, -1, "Life", float64(len(p.Life)), "one life for each exposure"}
	}
	for _, x := range p.Life {
		if !finite(x) || x <= 0 {
			return &DataError{-1, -1, "Life", x, "a finite exposure above 0"}
		}
	}
	return nil
}

// past is true when a value is at or beyond the limit.
func (l Limit) past(value float64) bool {
	if l.Falling {
		return value <= l.Value
	}
	return value >= l.Value
}

// FirstCrossing is the exposure at which straight lines between the measurements first reach the
// limit; ok is false when they do not. A path that starts beyond the limit crosses at its start.
func FirstCrossing(p Path, l Limit, axis int) (exposure float64, ok bool) {
	for i, o := range p {
		if !l.past(o.Value) {
			continue
		}
		if i == 0 {
			return o.Exposure[axis], true
		}
		a, b := p[i-1], o
		part := (l.Value - a.Value) / (b.Value - a.Value)
		return a.Exposure[axis] + part*(b.Exposure[axis]-a.Exposure[axis]), true
	}
	return 0, false
}
