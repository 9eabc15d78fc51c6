package aboard

import (
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Caution stands before anything that is done beside the road.
const Caution message.Text = "Beside the road: out of the traffic first, people behind the barrier, engine off and " +
	"the key out. Hot coolant scalds: wait until it is cold. " +
	"Nobody gets under a vehicle on a jack, and nothing is done to fuel lines, brakes, steering or airbags. The " +
	"vehicle maker's handbook and the law of the place come first."

// Headline says what is aboard.
func Headline(v *fleet.Vehicle, things []Thing) message.Text {
	aboard, lacking := 0, 0
	for _, t := range things {
		if t.Entry != nil {
			aboard++
		} else {
			lacking++
		}
	}
	switch {
	case aboard == 0:
		return message.Of("Nothing is recorded as aboard the %s.", v.Name)
	case lacking == 0:
		return message.Of("%s: all that would help is aboard.", v.Name)
	}
	return message.Of("%s: %s aboard, %s more would help.", v.Name, told.Count(aboard, "thing", "things"),
		told.Count(lacking, "thing", "things"))
}

// Words says since when something is aboard and what it helps with.
func (t *Thing) Words() message.Text {
	s := message.Text("not aboard")
	if t.Entry != nil {
		s = message.Of("aboard since %s", told.Long(t.Entry.Date))
		if n := t.Entry.Aboard.Note; n != "" {
			s = message.Of("%s (%s)", s, n)
		}
	}
	if with := t.ForWords(); with != "" {
		return message.Of("%s; %s", s, with)
	}
	return s
}

// ForWords says what something helps with, or "".
func (t *Thing) ForWords() message.Text {
	const most = 3
	if len(t.For) == 0 {
		return ""
	}
	names := make([]message.Text, len(t.For))
	for i, j := range t.For {
		names[i] = message.Name(say.LowerFirst(j.Position.Name))
	}
	return message.Of("for the %s", told.Few(names, most))
}

// Words says whether a part's failure can be mended beside the road.
func (m *Mend) Words() message.Text {
	switch m.Bar {
	case "":
	case NotStated:
		return "Nothing is known that helps beside the road."
	case Licensed:
		return "Not beside the road: work for a licensed workshop."
	case Stretch:
		return "Not beside the road: a stretch-fit belt needs its tool."
	case Timing:
		return "Not beside the road: it belongs to the timing drive."
	case Reach:
		return "Not beside the road: it is reached only with the vehicle raised, drained or opened up."
	default:
		return message.Of("Not beside the road: it takes %.0f minutes, more than you would work there.", m.Minutes)
	}
	if len(m.Missing) > 0 {
		return message.Of("With %s aboard you could go on in %.0f of 10 failures (rough, common practice), after "+
			"about %s.", told.Listing(told.Names(m.Missing)), 10*m.Could, told.Hours(m.Minutes/60))
	}
	if s := m.Spare; s != nil && s.For != nil {
		return message.Of("What helps is aboard, but it fits one part: it is counted for the %s, which is likelier "+
			"to need it.", say.LowerFirst(s.For.Position.Name))
	}
	goes := message.Of("What helps is aboard: you can go on in %.0f of 10 failures (rough, common practice), after "+
		"about %s.", 10*m.Holds, told.Hours(m.Minutes/60))
	if old := m.Spare.oldWords(); old != "" {
		return message.Of("%s %s", goes, old)
	}
	return goes
}

// oldWords says that a spare is past the interval by which it ages, or "".
func (s *Spare) oldWords() message.Text {
	if s == nil || !s.Old() {
		return ""
	}
	return message.Of("The spare has been aboard for %.0f years, which is past its %s: about %.0f of 10 such are "+
		"still good (rough, if it was new).", s.Days/365.2425, s.Lasts, 10*s.Good)
}

// EntryWords says what an entry tells of what is aboard.
func EntryWords(a *fleet.Aboard) message.Text {
	s := message.Of("aboard: %s", a.Thing)
	switch a.Gone {
	case fleet.GoneUsed:
		s = message.Of("no longer aboard (used): %s", a.Thing)
	case fleet.GoneOut:
		s = message.Of("no longer aboard (taken out): %s", a.Thing)
	}
	if a.Note != "" {
		return message.Of("%s. %s", s, a.Note)
	}
	return s
}
