package together

import (
	"fmt"
	"math"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/units"
)

// ReadingWords says what the instrument showed last, and what is expected of it.
func ReadingWords(r *advise.Report, p units.Preferences) string {
	last, ok := r.State.Last()
	if !ok {
		return fmt.Sprintf("No %s reading is recorded.", p.Meter())
	}
	s := fmt.Sprintf("Last reading: %s on %s.", p.Run(last.Total), last.Date.Long())
	if f, ok := r.Forecast.At(r.On); ok && last.Date != r.On {
		step := 10.0
		if p.Counter() == units.EngineHours {
			step = 1
		}
		s += fmt.Sprintf(" Expected on %s: about %s.", r.On.Long(), p.Run(math.Round(f.Expected/step)*step))
	}
	return s
}

// Told is the headline of a large yard and what else there is to it, a sentence
// each; WaitingWords goes with it.
func (s *Stretch) Told() []string {
	looked := s.Of - s.Waiting
	var out []string
	if n := s.By[Parked]; n > 0 {
		out = append(out, fmt.Sprintf("Do not drive %s before being put right.", many(n)))
	}
	if n := s.By[Now]; n > 0 {
		out = append(out, fmt.Sprintf("Before the next drive, put something right on %s.", many(n)))
	}
	if n := s.By[Shut]; n > 0 {
		out = append(out, fmt.Sprintf("The sheets of %s have mistakes.", many(n)))
	}
	calm := len(out) == 0
	switch n := s.By[Past]; {
	case n > 0:
		out = append(out, fmt.Sprintf("Parts are past a limit on %s.", many(n)))
	case looked == 0:
		out = append(out, "No vehicle is looked at yet today.")
	case calm:
		out = append(out, fmt.Sprintf("Nothing is past a limit on the %s looked at.", many(looked)))
	}
	return out
}

func many(n int) string { return say.Count(n, "vehicle", "vehicles") }

// WaitingWords says how many vehicles were not looked at, "" for none.
func (s *Stretch) WaitingWords() string {
	if s.Waiting == 0 {
		return ""
	}
	return fmt.Sprintf("%s not looked at yet today: they are worked out bit by bit.",
		say.Capital(say.Count(s.Waiting, "vehicle is", "vehicles are")))
}

// PlaceWords says which part of the roll it is.
func (s *Stretch) PlaceWords() string {
	return fmt.Sprintf("Vehicles %d to %d of %d, the nearest deadline first.", s.From+1, s.From+len(s.Rows), s.Of)
}

// SomeWords says that a plan is of some vehicles of a large yard, or asks for them
// where none is named.
func SomeWords(planned, of int) string {
	if planned == 0 {
		return fmt.Sprintf("A plan of %d vehicles is not worked out at once: name those that share your hours and "+
			"money, up to fifty. Each vehicle has a plan of its own on its page.", of)
	}
	return fmt.Sprintf("Planned together: %s of %d. The others are left out.",
		say.Count(planned, "vehicle", "vehicles"), of)
}

// SampleWords says of which vehicles of a large yard something is told.
func SampleWords(told, of int) string {
	return fmt.Sprintf("Told of the %s of %d that the others learn from.", say.Count(told, "vehicle", "vehicles"), of)
}

// AloneWords says why a vehicle's plan does not go by what others leave, in a yard
// of so many.
func AloneWords(vehicles int) string {
	return fmt.Sprintf("This plan is of this vehicle alone: hours and money of a month are not shared out among %d "+
		"vehicles.", vehicles)
}
