package ahead

import (
	"fmt"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say"
)

// Words says what a look may tell and what follows from it.
func (l *Looking) Words() string {
	then := "leave it"
	if l.IfGood {
		then = "change it all the same"
	}
	var names []string
	for _, c := range l.Checks {
		names = append(names, say.LowerFirst(c.Title()))
	}
	how := say.Few(names, 3)
	if l.Running {
		how = "all closed, engine running, hands away: " + how
	}
	return fmt.Sprintf("%s. Chance of failing %s as it is; nothing found: %s, %s; something to put right: %s, put "+
		"it right first",
		how, say.Odds(l.Chance), say.Odds(l.Good), then, say.Odds(l.Bad))
}

// ToldWords says what a round changed, or "".
func ToldWords(r *advise.Report, stored []*fleet.Entry) string {
	before, after, ok := Told(r, stored)
	if !ok {
		return ""
	}
	a, b := say.Odds(before), say.Odds(after)
	if a == b {
		return fmt.Sprintf("Chance of being stranded before the next oil change: %s, as before.", b)
	}
	return fmt.Sprintf("Chance of being stranded before the next oil change: %s before this, %s after.", a, b)
}
