package ahead

import (
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// Headline says how long such a part lasts.
func (k *KindLives) Headline(p units.Preferences) message.Text { return told.Head(k.Told(p)) }

// Told is the headline and what that rests on, a sentence each.
func (k *KindLives) Told(p units.Preferences) []message.Text {
	mean := message.Of("%.1f years", k.Mean)
	p.Counts = k.counts
	if k.Unit != "years" {
		mean = message.Name(say.Rough(k.Mean, p))
	}
	running := 0
	for _, l := range k.Parts {
		if l.Running {
			running++
		}
	}
	failed := message.Text("none")
	if k.failed > 0 {
		failed = told.Number(k.failed)
	}
	return []message.Text{message.Of("%s: believed to last about %s on average.", k.Kind.Name, mean),
		message.Of("%s came off, %s of them failed; %s at work.",
			say.Capital(told.Count(len(k.Parts)-running, "part", "parts")), failed, told.Number(running)),
		k.StartWords(p)}
}

// StartWords says what the belief starts from.
func (k *KindLives) StartWords(p units.Preferences) message.Text {
	return message.Of("It starts from an interval (%s: %s) and learns from the parts below.", k.Due.Interval.Authority,
		advise.IntervalWords(k.Due.Interval, p))
}

// AgeWords says an age in the unit of the lives.
func (k *KindLives) AgeWords(age float64, p units.Preferences) message.Text {
	if p.Counts = k.counts; k.Unit != "years" {
		return message.Name(p.Run(age))
	}
	return message.Of("%.1f years", age)
}

// EndWords says how a part's life here ended, or that it has not.
func (l *PartLife) EndWords() message.Text {
	switch {
	case l.Running:
		return "at work"
	case l.Removed == "":
		return "came off, reason not known"
	}
	return l.Removed.Message()
}
