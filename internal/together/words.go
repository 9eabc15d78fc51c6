package together

import (
	"math"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// ReadingWords says what the instrument showed last, and what is expected of it.
func ReadingWords(r *advise.Report, p units.Preferences) message.Text {
	last, ok := r.State.Last()
	if !ok {
		return message.Of("No %s reading is recorded.", told.Meter(p))
	}
	s := message.Of("Last reading: %s on %s.", p.Run(last.Total), told.Long(last.Date))
	if f, ok := r.Forecast.At(r.On); ok && last.Date != r.On {
		step := 10.0
		if p.Counter() == units.EngineHours {
			step = 1
		}
		return message.Of("%s Expected on %s: about %s.", s, told.Long(r.On), p.Run(math.Round(f.Expected/step)*step))
	}
	return s
}

// Told is the headline of a large yard and what else there is to it, a sentence
// each; WaitingWords goes with it.
func (s *Stretch) Told() []message.Text {
	looked := s.Of - s.Waiting
	var out []message.Text
	if n := s.By[Parked]; n > 0 {
		out = append(out, message.Of("Do not drive %s before being put right.", many(n)))
	}
	if n := s.By[Now]; n > 0 {
		out = append(out, message.Of("Before the next drive, put something right on %s.", many(n)))
	}
	if n := s.By[Shut]; n > 0 {
		out = append(out, message.Of("The sheets of %s have mistakes.", many(n)))
	}
	calm := len(out) == 0
	switch n := s.By[Past]; {
	case n > 0:
		out = append(out, message.Of("Parts are past a limit on %s.", many(n)))
	case looked == 0:
		out = append(out, "No vehicle is looked at yet today.")
	case calm:
		out = append(out, message.Of("Nothing is past a limit on the %s looked at.", many(looked)))
	}
	return out
}

func many(n int) message.Text { return told.Count(n, "vehicle", "vehicles") }

// WaitingWords says how many vehicles were not looked at, "" for none.
func (s *Stretch) WaitingWords() message.Text {
	if s.Waiting == 0 {
		return ""
	}
	return message.Of("%s not looked at yet today: they are worked out bit by bit.",
		told.Count(s.Waiting, "vehicle is", "vehicles are").Capital())
}

// PlaceWords says which part of the roll it is.
func (s *Stretch) PlaceWords() message.Text {
	return message.Of("Vehicles %d to %d of %d, the nearest deadline first.", s.From+1, s.From+len(s.Rows), s.Of)
}

// SomeWords says that a plan is of some vehicles of a large yard, or asks for them
// where none is named.
func SomeWords(planned, of int) message.Text {
	if planned == 0 {
		return message.Of("A plan of %d vehicles is not worked out at once: name those that share your hours and "+
			"money, up to fifty. Each vehicle has a plan of its own on its page.", of)
	}
	return message.Of("Planned together: %s of %d. The others are left out.",
		told.Count(planned, "vehicle", "vehicles"), of)
}

// SampleWords says of which vehicles of a large yard something is told.
func SampleWords(sampled, of int) message.Text {
	return message.Of("Told of the %s of %d that the others learn from.", told.Count(sampled, "vehicle", "vehicles"),
		of)
}

// AloneWords says why a vehicle's plan does not go by what others leave, in a yard
// of so many.
func AloneWords(vehicles int) message.Text {
	return message.Of("This plan is of this vehicle alone: hours and money of a month are not shared out among %d "+
		"vehicles.", vehicles)
}
