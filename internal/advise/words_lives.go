package advise

import (
	"fmt"

	"undertray/internal/say"
	"undertray/units"
)

// Headline says how long such a part lasts and what that rests on.
func (k *KindLives) Headline(p units.Preferences) string {
	mean := fmt.Sprintf("%.1f years", k.Mean)
	if k.Unit == "km" {
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
	return fmt.Sprintf("%s: a new one is believed to last about %s on average. %s came off, %s of them failed; %s at work.",
		k.Kind.Name, mean, say.Capital(say.Count(len(k.Parts)-running, "part", "parts")), failed, say.Number(running))
}
