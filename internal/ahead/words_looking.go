package ahead

import (
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Words says what a look may tell and what follows from it.
func (l *Looking) Words() message.Text {
	then := message.Text("leave it")
	if l.IfGood {
		then = "change it all the same"
	}
	var names []message.Text
	for _, c := range l.Checks {
		names = append(names, message.Name(say.LowerFirst(c.Title())))
	}
	how := told.Few(names, 3)
	if l.Running {
		how = message.Of("all closed, engine running, hands away: %s", how)
	}
	return message.Of("%s. Chance of failing %s as it is; nothing found: %s, %s; something to put right: %s, put "+
		"it right first",
		how, told.Odds(l.Chance), told.Odds(l.Good), then, told.Odds(l.Bad))
}

// ToldWords says what a round changed, or "".
func ToldWords(r *advise.Report, stored []*fleet.Entry) message.Text {
	before, after, ok := Told(r, stored)
	if !ok {
		return ""
	}
	a, b := told.Odds(before), told.Odds(after)
	if a.String() == b.String() {
		return message.Of("Chance of being stranded before the next oil change: %s, as before.", b)
	}
	return message.Of("Chance of being stranded before the next oil change: %s before this, %s after.", a, b)
}
