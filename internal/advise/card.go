package advise

import (
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// CardLine is one sign on the driver's card of a vehicle.
type CardLine struct {
	Sign *catalogue.Sign
	Do   string // as the sign says, or graver where the vehicle's belt asks for it
	// Turns is what makes it graver: a machine that the same belt turns.
	Turns *judge.Drives
}

// Card lists what shows a driver that something on this vehicle fails, the
// gravest first: signs of what the vehicle has, each by what its own belts turn.
func (r *Report) Card() []CardLine {
	var out []CardLine
	signs := r.Catalogue.Signs()
	for i := range signs {
		s := &signs[i]
		line := CardLine{Sign: s, Do: s.Do}
		concerns := len(s.Kinds) == 0
		for k := range r.Vehicle.Positions {
			p := &r.Vehicle.Positions[k]
			if !slices.Contains(s.Kinds, p.Kind) {
				continue
			}
			concerns = true
			if d := r.beltStops(s, p); d != nil {
				line.Do, line.Turns = catalogue.StopNow, d
			}
		}
		if concerns {
			out = append(out, line)
		}
	}
	rank := func(l CardLine) int { return slices.Index(catalogue.Advices(), l.Do) }
	slices.SortStableFunc(out, func(a, b CardLine) int { return rank(a) - rank(b) })
	return out
}

// beltStops returns what else the belt over a position turns, where that stops
// the vehicle and the sign may come from the belt; else nil.
func (r *Report) beltStops(s *catalogue.Sign, p *fleet.Position) *judge.Drives {
	d := judge.Turned(r.Catalogue, r.Vehicle, p)
	if !s.Belt || d == nil || d.Driven.Failure != catalogue.Stop || d.Machine == p {
		return nil
	}
	return d
}
