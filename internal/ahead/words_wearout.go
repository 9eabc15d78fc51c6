package ahead

import (
	"math"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// Words says when the limit is reached and what that rests on.
func (w *Wearout) Words(p units.Preferences) message.Text {
	who := message.Of("%s, %s", w.Check.Shown(w.Bound), w.Limit.Authority)
	switch {
	case w.Crossed:
		return message.Of("%s: past the limit of %s.", w.Check.Title(), who)
	case w.When.Expected.IsZero():
		return message.Of("%s: the limit of %s is too far ahead to date.", w.Check.Title(), who)
	case w.When.Latest.IsZero() || w.When.Latest.After(w.When.On.AddMonths(farMonths)):
		return message.Of("%s: not at the limit of %s before %s (9 in 10), most likely about %s; %s.",
			w.Check.Title(), who,
			told.MonthYear(w.When.Earliest), told.MonthYear(w.When.Expected), w.Rests())
	}
	s := message.Of("%s: reaches the limit of %s between %s and %s (8 in 10)", w.Check.Title(), who,
		told.MonthYear(w.When.Earliest), told.MonthYear(w.When.Latest))
	if w.When.HasTotal {
		s = message.Of("%s, most likely at about %s", s, say.Rough(w.When.Total, p))
	}
	return message.Of("%s; %s.", s, w.Rests())
}

// Rests says what the forecast rests on.
func (w *Wearout) Rests() message.Text {
	switch {
	case w.Prior:
		return "rough: rests on one measurement and the interval alone"
	case w.Basis.Own < 3:
		return message.Of("rough: rests on %s", w.counts())
	}
	return message.Of("rests on %s", w.counts())
}

func (w *Wearout) counts() message.Text {
	s := told.Count(w.Basis.Own, "measurement", "measurements")
	if w.Basis.Peers > 0 {
		s = message.Of("%s and %s", s, told.Count(w.Basis.Peers, "other part of the kind", "other parts of the kind"))
	}
	return s
}

// SurpriseWords says that the newest finding contradicts the forecast, or "".
func (w *Wearout) SurpriseWords() message.Text {
	s := w.Surprise
	if s == nil || !s.Contradicts {
		return ""
	}
	if !s.Faster {
		return message.Of("%s: less wear than the measurements before had led to expect; measure again.",
			w.Check.Title())
	}
	if s.Factor >= 1.5 && s.Factor < 100 {
		return message.Of("%s: %s times the wear expected since the measurement before: look for the cause.",
			w.Check.Title(), told.Number(int(math.Round(s.Factor))))
	}
	return message.Of("%s: more wear than expected since the measurement before: look for the cause.", w.Check.Title())
}
