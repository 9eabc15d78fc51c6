package usage

import "errors"

// PlainRate returns the plain rate on a day: the distance driven in the window of days up to it,
// divided by the window, with straight lines between readings (distance per day). The readings
// must be as [Fit] wants them, and reach from day-window to day; errors say what does not.
func PlainRate(readings []Reading, day, window float64) (float64, error) {
	days, dist, err := clean(readings)
	if err != nil {
		return 0, err
	}
	if len(days) < 2 {
		return 0, errors.New("usage: fewer than two readings on different days, want readings from day-window to day")
	}
	first, last := days[0], days[len(days)-1]
	if err := within("window", window, sameMoment, last-first); err != nil {
		return 0, err
	}
	if err := within("day", day, min(first+window, last), last); err != nil {
		return 0, err
	}
	start := max(day-window, first)
	return (interpolate(days, dist, day) - interpolate(days, dist, start)) / window, nil
}
