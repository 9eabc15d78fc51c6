package ahead

import (
	"fmt"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say"
)

// Rests says what the chance rests on, in words.
func (c *Chance) Rests() string {
	s := c.restsOn() + ", " + c.looked()
	switch {
	case c.Own == 0:
		s += " and no past parts of your own"
	default:
		s += fmt.Sprintf(" and %s of your own", say.Count(c.Own, "past part", "past parts"))
	}
	if c.Assumed && c.Due == nil {
		s += "; history not known, taken to be the first or renewed when it failed"
	} else if c.Assumed {
		s += "; history not known, taken to have been renewed as often as the interval implies"
	}
	if c.Rough {
		return "rough: " + s
	}
	return s
}

// restsOn says from what life it starts.
func (c *Chance) restsOn() string {
	switch {
	case c.Due == nil:
		return "rests on a guess from memory of how long such parts last, no interval being named"
	case c.Due.Interval.Authority == fleet.CommonPractice:
		return "rests on the trade's interval"
	}
	return fmt.Sprintf("rests on the interval of the %s", c.Due.Interval.Authority)
}

// Brief says in a word or two what the chance rests on, for a list: Rests says the
// rest where the part itself is looked at.
func (c *Chance) Brief() string {
	s := "no look yet"
	if c.Looks > 0 {
		s = say.Count(c.Looks, "look", "looks")
	}
	if c.Own > 0 {
		s += ", " + say.Count(c.Own, "past part", "past parts")
	}
	switch {
	case c.Due == nil:
		return "a guess from memory: " + s
	case c.Rough:
		return "rough: " + s
	}
	return s
}

// looked says how often something was looked at and what the last look found.
func (c *Chance) looked() string {
	if c.Looks == 0 {
		return "no look at it"
	}
	s := say.Count(c.Looks, "look", "looks")
	switch what := c.Seen.Date.MonthYear(); {
	case c.Glance && c.Looks == 1:
		return fmt.Sprintf("one glance in %s", what)
	case c.Glance:
		return fmt.Sprintf("%s, the last in %s a glance", s, what)
	case c.Found < fleet.Watch && c.Looks == 1:
		return fmt.Sprintf("one good look in %s", what)
	case c.Found < fleet.Watch:
		return fmt.Sprintf("%s, the last in %s good", s, what)
	case c.Looks == 1:
		return fmt.Sprintf("one look in %s (%s)", what, c.Found)
	default:
		return fmt.Sprintf("%s, the last in %s (%s)", s, what, c.Found)
	}
}

// Words says the chance of being let down before the next oil change, and what
// that rests on.
func (c *Chance) Words(rests string) string {
	v := c.report.Visits[0].When
	day := v.Expected
	if day.IsZero() || !c.report.On.Before(day) {
		day = c.report.On.AddMonths(6)
		total, _ := c.report.Forecast.Total(day)
		return fmt.Sprintf("Chance of letting you down within half a year %s (%s).",
			say.Odds(c.Until(day, total)), rests)
	}
	total, _ := c.report.Forecast.Total(day)
	return fmt.Sprintf("Chance of letting you down before the next oil change %s (%s).",
		say.Odds(c.Until(day, total)), rests)
}
