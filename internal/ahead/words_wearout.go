package ahead

import (
	"fmt"
	"math"

	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/units"
)

// Words says when the limit is reached and what that rests on.
func (w *Wearout) Words(p units.Preferences) string {
	who := fmt.Sprintf("%s, %s", w.Check.Shown(w.Bound), w.Limit.Authority)
	switch {
	case w.Crossed:
		return fmt.Sprintf("%s: past the limit of %s.", w.Check.Title(), who)
	case w.When.Expected.IsZero():
		return fmt.Sprintf("%s: the limit of %s is too far ahead to date.", w.Check.Title(), who)
	case w.When.Latest.IsZero() || w.When.Latest.After(w.When.On.AddMonths(farMonths)):
		return fmt.Sprintf("%s: not at the limit of %s before %s (9 in 10), most likely about %s; %s.",
			w.Check.Title(), who,
			w.When.Earliest.MonthYear(), w.When.Expected.MonthYear(), w.Rests())
	}
	s := fmt.Sprintf("%s: reaches the limit of %s between %s and %s (8 in 10)", w.Check.Title(), who,
		w.When.Earliest.MonthYear(), w.When.Latest.MonthYear())
	if w.When.HasTotal {
		s += fmt.Sprintf(", most likely at about %s", say.Rough(w.When.Total, p))
	}
	return s + "; " + w.Rests() + "."
}

// Rests says what the forecast rests on.
func (w *Wearout) Rests() string {
	switch {
	case w.Prior:
		return "rough: rests on one measurement and the interval alone"
	case w.Basis.Own < 3:
		return fmt.Sprintf("rough: rests on %s", w.counts())
	}
	return "rests on " + w.counts()
}

func (w *Wearout) counts() string {
	s := say.Count(w.Basis.Own, "measurement", "measurements")
	if w.Basis.Peers > 0 {
		s += " and " + say.Count(w.Basis.Peers, "other part of the kind", "other parts of the kind")
	}
	return s
}

// SurpriseWords says that the newest finding contradicts the forecast, or "".
func (w *Wearout) SurpriseWords() string {
	s := w.Surprise
	if s == nil || !s.Contradicts {
		return ""
	}
	if !s.Faster {
		return fmt.Sprintf("%s: less wear than the measurements before had led to expect; measure again.",
			w.Check.Title())
	}
	if s.Factor >= 1.5 && s.Factor < 100 {
		return fmt.Sprintf("%s: %s times the wear expected since the measurement before: look for the cause.",
			w.Check.Title(), say.Number(int(math.Round(s.Factor))))
	}
	return fmt.Sprintf("%s: more wear than expected since the measurement before: look for the cause.", w.Check.Title())
}
