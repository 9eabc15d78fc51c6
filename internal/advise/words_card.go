package advise

import (
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
)

// AdviceWords heads what a driver does on a sign.
func AdviceWords(do string) message.Text {
	switch do {
	case catalogue.StopNow:
		return "Stop now"
	case catalogue.DriveHome:
		return "Drive gently home"
	}
	return "Look tonight"
}

// Words says what the driver does on a sign, and why.
func (l *CardLine) Words() message.Text {
	if l.Turns == nil {
		return message.Name(l.Sign.Then)
	}
	return message.Of("Its belt also turns the %s. %s", say.LowerFirst(l.Turns.Name), l.Turns.Driven.Says)
}

// CardView is the driver's card in JSON.
type CardView struct {
	Vehicle string         `json:"vehicle"`
	Left    message.Text   `json:"left,omitempty"` // what the owner leaves as it is
	Signs   []CardSignView `json:"signs"`
}

// CardSignView is a sign on the card in JSON.
type CardSignView struct {
	Sign   message.Text `json:"sign"`
	Do     string       `json:"do"`
	Then   message.Text `json:"then"`
	Source string       `json:"source"`
}

// CardView returns the card in JSON's form, signs that ask for the same as one.
func (r *Report) CardView() CardView {
	v := CardView{Vehicle: r.Vehicle.ID, Left: r.LeftWords()}
	for _, l := range r.Card() {
		then := l.Words()
		if i := slices.IndexFunc(v.Signs, func(s CardSignView) bool { return s.Do == l.Do && s.Then == then }); i >= 0 {
			v.Signs[i].Sign = message.Of("%s; or %s", v.Signs[i].Sign, say.LowerFirst(l.Sign.Say))
			continue
		}
		v.Signs = append(v.Signs, CardSignView{message.Name(l.Sign.Say), l.Do, then, l.Sign.Source.String()})
	}
	return v
}
