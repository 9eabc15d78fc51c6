package advise

import (
	"fmt"

	"undertray/internal/fleet"
	"undertray/internal/say"
)

// Rests says what the chance rests on, in words.
func (c *Chance) Rests() string {
	s := fmt.Sprintf("rests on the interval of the %s", c.Due.Interval.Authority)
	if c.Due.Interval.Authority == fleet.CommonPractice {
		s = "rests on the trade's interval"
	}
	switch {
	case c.Own == 0:
		s += " and no past parts of your own"
	default:
		s += fmt.Sprintf(" and %s of your own", say.Count(c.Own, "past part", "past parts"))
	}
	if c.Assumed {
		s += "; history not known, taken to be as old as the vehicle"
	}
	if c.Rough {
		return "rough: " + s
	}
	return s
}

// Words says the chance of being let down before the next visit.
func (c *Chance) Words() string {
	v := c.report.Visits[0].When
	day := v.Expected
	if day.IsZero() || !c.report.On.Before(day) {
		day = c.report.On.AddMonths(6)
		total, _ := c.report.Forecast.Total(day)
		return fmt.Sprintf("Chance of letting you down within half a year %s (%s).", say.Odds(c.Until(day, total)), c.Rests())
	}
	total, _ := c.report.Forecast.Total(day)
	return fmt.Sprintf("Chance of letting you down before the next visit %s (%s).", say.Odds(c.Until(day, total)), c.Rests())
}
