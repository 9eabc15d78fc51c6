package ahead

import (
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/lifetime"
	"undertray.example/undertray/units"
)

// Words compares the choices in one or two sentences.
func (w *Worth) Words(p units.Preferences) message.Text {
	far := p.CounterUnit()
	per, scale := message.Name("1000 "+far), units.Must(1, far).Base()
	if p.Counter() == units.EngineHours {
		per, scale = message.Name("100 "+far), 0.1
	}
	if w.PerYear {
		per, scale = "year", 1
	}
	money := func(v float64) string { return units.Format(v*scale, w.Currency, 2) }
	s := message.Of("Changed now it will have cost %s for each %s; at the next oil change %s, the chance of "+
		"failing before it counted; left until it fails about %s.",
		money(w.Now), per, money(w.Wait), money(w.Fail))
	switch {
	case w.Best.Why != lifetime.Worthwhile:
		return message.Of("%s No age is known at which changing it beforehand pays.", s)
	case w.PerYear:
		return message.Of("%s Cheapest in the long run: changed at about %.1f years.", s, w.Best.Age/365.2425)
	}
	return message.Of("%s Cheapest in the long run: changed at about %s.", s, say.Rough(w.Best.Age, p))
}

// Lines says the outlook in sentences: all of it, or what to know of the part in
// passing.
func (o *Outlook) Lines(p units.Preferences, all bool) []message.Text {
	if all {
		return append(o.Near(), o.Far(p)...)
	}
	var out []message.Text
	for _, w := range o.worthSaying(false) {
		out = append(out, w.Words(p))
	}
	out = append(out, o.contradicts()...)
	if o.Chance != nil {
		out = append(out, o.Chance.Words(o.Chance.Brief()))
	}
	return out
}

// Near says the chance, the next look and what contradicts the forecast.
func (o *Outlook) Near() []message.Text {
	var out []message.Text
	if o.Chance != nil {
		out = append(out, o.Chance.Words(o.Chance.Rests()))
		if o.Next != nil {
			out = append(out, o.Next.Words())
		}
	}
	return append(out, o.contradicts()...)
}

// Far says when each authority's limit is reached and what waiting costs.
func (o *Outlook) Far(p units.Preferences) []message.Text {
	var out []message.Text
	for _, w := range o.worthSaying(true) {
		out = append(out, w.Words(p))
	}
	if o.Worth != nil {
		out = append(out, o.Worth.Words(p))
	}
	return out
}

func (o *Outlook) contradicts() []message.Text {
	var out []message.Text
	for _, w := range o.Contradict {
		out = append(out, w.SurpriseWords())
	}
	return out
}

// LetsDown says what happens when the part fails and what to mind while one
// that is to be put right is still in, or "".
func LetsDown(j *judge.Judgement) message.Text {
	if j.Kind.Life == nil || j.Verdict == fleet.Keep {
		return message.Name(j.Until)
	}
	return message.Joined(told.Sentences(message.Of("If it fails: %s", j.LetsDown()).Sentence(), message.Name(j.Until)),
		" ")
}

// Words says by when to look again and what that rests on.
func (n *NextLook) Words() message.Text {
	if n.By != nil {
		return message.Of("Look again by %s, as the %s asks; chance that it fails unseen before that %s.",
			told.Long(n.On),
			n.By.Authority, told.Odds(n.Chance))
	}
	return message.Of("Look again by %s: chance that it fails unseen before that %s, and no more than %s is left "+
		"unseen.", told.Long(n.On), told.Odds(n.Chance), told.Odds(n.Bound))
}
