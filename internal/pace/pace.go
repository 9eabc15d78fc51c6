// Package pace learns from the ticks of job sheets how long the work on a vehicle
// takes its owner, and puts that in the place of what the vehicle sheet says.
//
// A stretch of work is the time between ticks (fleet.Spell). What is ticked
// together shares it in proportion to what the sheet says of each step. Of at least
// two times the middle one is drawn towards the sheet's figure, which counts as
// Prior times more.
package pace

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/undone"
)

// What work takes whose sheet does not say, in minutes (common practice).
const (
	Look     = 2  // to look at one position
	Part     = 20 // to change a part
	PutRight = 10 // to put a part right without changing it
)

const (
	// Least is how many times are wanted before they count.
	Least = 2
	// Prior is how many times the sheet's own figure counts for.
	Prior = 2
	// Odd is by how many times a stretch may be longer or shorter than the sheet
	// says: beyond it, it was no work, or was ticked late (common practice).
	Odd = 4
	// Longest is how many minutes a stretch may take: beyond it something else was
	// done between.
	Longest = 6 * 60
)

// Own is what a step takes its owner.
type Own struct {
	Minutes float64 // as reckoned with, whole
	Sheet   float64 // as the vehicle sheet says
	Times   int     // that it rests on
}

// Of returns what steps take the owner, by their keys: openings, closings and
// changes that were ticked often enough.
func Of(s *fleet.State) map[string]Own {
	ratios := map[string][]float64{}
	for i := range s.Spells {
		p := &s.Spells[i]
		took, sum := p.To.Sub(p.From).Minutes(), said(s.Vehicle, p.Keys)
		ratio := took / sum
		if p.From.IsZero() || sum <= 0 || took > Longest || ratio > Odd || ratio < 1.0/Odd {
			continue
		}
		for _, key := range p.Keys {
			ratios[key] = append(ratios[key], ratio)
		}
	}
	out := map[string]Own{}
	for key, all := range ratios {
		sheet, learns := minutes(s.Vehicle, key)
		if len(all) < Least || !learns {
			continue
		}
		n := float64(len(all))
		own := sheet * (Prior + n*middle(all)) / (Prior + n)
		out[key] = Own{Minutes: max(1, math.Round(own)), Sheet: sheet, Times: len(all)}
	}
	return out
}

func middle(all []float64) float64 {
	slices.Sort(all)
	n := len(all)
	return (all[(n-1)/2] + all[n/2]) / 2
}

// said is what the sheet says of some steps together; 0 where it cannot be said of
// one of them, or where one is mere waiting.
func said(v *fleet.Vehicle, keys []string) float64 {
	sum := 0.0
	for _, key := range keys {
		m, _ := minutes(v, key)
		if m <= 0 {
			return 0
		}
		sum += m
	}
	return sum
}

// minutes is what the sheet says that a step takes, 0 where it does not, and
// whether its own times are learnt.
func minutes(v *fleet.Vehicle, key string) (sheet float64, learns bool) {
	what, of, _ := strings.Cut(key, ":")
	written := v.Written()
	o, p := written.Opening(of), written.Position(of)
	switch {
	case o != nil && key == undone.OpenKey(of) && !o.Waits():
		return o.Minutes, o.Minutes > 0
	case o != nil && key == undone.CloseKey(of):
		return o.UndoMinutes, o.UndoMinutes > 0
	case p != nil && key == undone.ChangeKey(of):
		return cmp.Or(p.Minutes, Part), true
	case p != nil && what == "look":
		return Look, false
	case p != nil && what == "right":
		return PutRight, false
	}
	return 0, false
}

// Applied returns a state whose vehicle takes its owner's own times, and these
// times. Where none are known it is the state itself.
func Applied(s *fleet.State) (*fleet.State, map[string]Own) {
	own := Of(s)
	if len(own) == 0 {
		return s, nil
	}
	v, out := *s.Vehicle, *s
	v.AsWritten = s.Vehicle.Written()
	v.Openings, v.Positions = slices.Clone(v.Openings), slices.Clone(v.Positions)
	out.Places = maps.Clone(s.Places)
	for i := range v.Openings {
		o := &v.Openings[i]
		o.Minutes = instead(own, undone.OpenKey(o.ID), o.Minutes)
		o.UndoMinutes = instead(own, undone.CloseKey(o.ID), o.UndoMinutes)
	}
	for i := range v.Positions {
		p := &v.Positions[i]
		p.Minutes = instead(own, undone.ChangeKey(p.ID), p.Minutes)
		if at := out.Places[p.ID]; at != nil {
			place := *at
			place.Position = p
			out.Places[p.ID] = &place
		}
	}
	out.Vehicle = &v
	return &out, own
}

func instead(own map[string]Own, key string, sheet float64) float64 {
	if o, ok := own[key]; ok {
		return o.Minutes
	}
	return sheet
}
