package ahead

import (
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// Rests says what the chance rests on, in words.
func (c *Chance) Rests() message.Text {
	s := message.Of("%s, %s", c.restsOn(), c.looked())
	switch {
	case c.Own == 0:
		s = message.Of("%s and no past parts of your own", s)
	default:
		s = message.Of("%s and %s of your own", s, told.Count(c.Own, "past part", "past parts"))
	}
	if c.Assumed && c.Due == nil {
		s = message.Of("%s; history not known, taken to be the first or renewed when it failed", s)
	} else if c.Assumed {
		s = message.Of("%s; history not known, taken to have been renewed as often as the interval implies", s)
	}
	if c.Rough {
		return message.Of("rough: %s", s)
	}
	return s
}

// restsOn says from what life it starts.
func (c *Chance) restsOn() message.Text {
	switch {
	case c.Due == nil:
		return "rests on a guess from memory of how long such parts last, no interval being named"
	case c.Due.Interval.Authority == fleet.CommonPractice:
		return "rests on the trade's interval"
	}
	return message.Of("rests on the interval of the %s", c.Due.Interval.Authority)
}

// Brief says in a word or two what the chance rests on, for a list: Rests says the
// rest where the part itself is looked at.
func (c *Chance) Brief() message.Text {
	s := message.Text("no look yet")
	if c.Looks > 0 {
		s = told.Count(c.Looks, "look", "looks")
	}
	if c.Own > 0 {
		s = message.Of("%s, %s", s, told.Count(c.Own, "past part", "past parts"))
	}
	switch {
	case c.Due == nil:
		return message.Of("a guess from memory: %s", s)
	case c.Rough:
		return message.Of("rough: %s", s)
	}
	return s
}

// looked says how often something was looked at and what the last look found.
func (c *Chance) looked() message.Text {
	if c.Looks == 0 {
		return "no look at it"
	}
	s := told.Count(c.Looks, "look", "looks")
	switch what := told.MonthYear(c.Seen.Date); {
	case c.Glance && c.Looks == 1:
		return message.Of("one glance in %s", what)
	case c.Glance:
		return message.Of("%s, the last in %s a glance", s, what)
	case c.Found < fleet.Watch && c.Looks == 1:
		return message.Of("one good look in %s", what)
	case c.Found < fleet.Watch:
		return message.Of("%s, the last in %s good", s, what)
	case c.Looks == 1:
		return message.Of("one look in %s (%s)", what, c.Found)
	default:
		return message.Of("%s, the last in %s (%s)", s, what, c.Found)
	}
}

// Words says the chance of being let down before the next oil change, and what
// that rests on.
func (c *Chance) Words(rests message.Text) message.Text {
	v := c.report.Visits[0].When
	day := v.Expected
	if day.IsZero() || !c.report.On.Before(day) {
		day = c.report.On.AddMonths(6)
		total, _ := c.report.Forecast.Total(day)
		return message.Of("Chance of letting you down within half a year %s (%s).",
			told.Odds(c.Until(day, total)), rests)
	}
	total, _ := c.report.Forecast.Total(day)
	return message.Of("Chance of letting you down before the next oil change %s (%s).",
		told.Odds(c.Until(day, total)), rests)
}
