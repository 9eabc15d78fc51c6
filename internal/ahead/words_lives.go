package ahead

import (
	"fmt"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/units"
)

// Headline says how long such a part lasts.
func (k *KindLives) Headline(p units.Preferences) string { return say.Head(k.Told(p)) }

// Told is the headline and what that rests on, a sentence each.
func (k *KindLives) Told(p units.Preferences) []string {
	mean := fmt.Sprintf("%.1f years", k.Mean)
	p.Counts = k.counts
	if k.Unit != "years" {
		mean = say.Rough(k.Mean, p)
	}
	running := 0
	for _, l := range k.Parts {
		if l.Running {
			running++
		}
	}
	failed := "none"
	if k.failed > 0 {
		failed = say.Number(k.failed)
	}
	return []string{fmt.Sprintf("%s: believed to last about %s on average.", k.Kind.Name, mean),
		fmt.Sprintf("%s came off, %s of them failed; %s at work.",
			say.Capital(say.Count(len(k.Parts)-running, "part", "parts")), failed, say.Number(running)),
		k.StartWords(p)}
}

// StartWords says what the belief starts from.
func (k *KindLives) StartWords(p units.Preferences) string {
	return fmt.Sprintf("It starts from an interval (%s: %s) and learns from the parts below.", k.Due.Interval.Authority,
		advise.IntervalWords(k.Due.Interval, p))
}

// AgeWords says an age in the unit of the lives.
func (k *KindLives) AgeWords(age float64, p units.Preferences) string {
	if p.Counts = k.counts; k.Unit != "years" {
		return p.Run(age)
	}
	return fmt.Sprintf("%.1f years", age)
}

// EndWords says how a part's life here ended, or that it has not.
func (l *PartLife) EndWords() string {
	switch {
	case l.Running:
		return "at work"
	case l.Removed == "":
		return "came off, reason not known"
	}
	return string(l.Removed)
}
