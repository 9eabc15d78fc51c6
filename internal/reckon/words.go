package reckon

import (
	"strconv"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Span names the period: a year, or two days.
func (p Period) Span() message.Text {
	if p.From.Month == 1 && p.From.Day == 1 && p.To.Month == 12 && p.To.Day == 31 {
		if p.From.Year == p.To.Year {
			return message.Name(strconv.Itoa(p.From.Year))
		}
		return message.Of("%d to %d", p.From.Year, p.To.Year)
	}
	return message.Of("%s to %s", told.Short(p.From), told.Short(p.To))
}

// Headline says what was forecast and what happened.
func (r *Reckoning) Headline() message.Text { return told.Head(r.Words()) }

// Words is the headline and what it rests on, a sentence each.
func (r *Reckoning) Words() []message.Text {
	if r.All.Said == 0 {
		return told.Sentences(message.Of("%s: no chance of failing had been reckoned.", r.Span()), r.basis())
	}
	head := message.Of("%s: %s expected to fail, %s: %s.", r.Span(), expected(r.All.Expected),
		failed(r.All.Came), r.All.Told)
	return told.Sentences(append(append([]message.Text{head, r.bandWords()}, r.surpriseWords()...), r.looksWords(),
		r.basis())...)
}

func expected(n float64) message.Text {
	if n >= 10 {
		return message.Of("%.0f parts", n)
	}
	return message.Of("%.1f parts", n)
}

func failed(n int) message.Text {
	if n == 0 {
		return "none did"
	}
	return message.Of("%s did", told.Number(n))
}

func (r *Reckoning) bandWords() message.Text {
	b := &r.All
	return message.Of("Of %d forecasts of a part, each until the next look or quarter, %.1f were to come true, and in "+
		"19 of 20 such yards %s would; %s.",
		b.Said, b.Expected, between(b.Low, b.High), failed(b.Came))
}

func between(low, high int) message.Text {
	if low == high {
		return told.Number(low)
	}
	return message.Of("%d to %d", low, high)
}

func (r *Reckoning) surpriseWords() []message.Text {
	var out []message.Text
	add := func(offs []Off, what message.Text) {
		if len(offs) == 0 {
			return
		}
		var names []message.Text
		for i := range offs {
			names = append(names, offs[i].Words())
		}
		out = append(out, what.With(told.Few(names, 3)))
	}
	add(r.Surprises(), "Failed without a warning: %s.")
	add(r.Foretold(), "Failed after a warning: %s.")
	add(r.Sound(), "Came off for what was seen, and sound in the hand: %s.")
	add(r.Confirmed(), "Came off as bad as was seen: %s.")
	if n := len(r.Overdue); n > 0 {
		var names []message.Text
		for i := range r.Overdue {
			names = append(names, r.Overdue[i].Words())
		}
		out = append(out, message.Of("Still there past a deadline on %s: %s.", told.Long(r.To), told.Few(names, 3)))
	}
	return out
}

// Words names a part with its vehicle.
func (p *Part) Words() message.Text {
	return message.Of("%s (%s)", say.LowerFirst(p.Name), p.VehicleName)
}

func (r *Reckoning) looksWords() message.Text {
	n, minutes, changed, confirmed := 0, 0.0, 0, 0
	for i := range r.Looks {
		l := &r.Looks[i]
		n, minutes = n+1, minutes+l.Minutes
		if l.Changed {
			changed++
		}
		if l.Confirmed() {
			confirmed++
		}
	}
	if n == 0 {
		return ""
	}
	s := message.Of("Parts were looked at %s in about %s; %s changed a verdict or a deadline",
		told.Several(n, "time", "times"), told.Minutes(minutes), told.Several(changed, "look", "looks"))
	if confirmed > 0 {
		s = message.Of("%s, and %s by the part in the hand", s,
			told.Count(confirmed, "was borne out", "were borne out"))
	}
	return s.Sentence()
}

func (r *Reckoning) basis() message.Text {
	return message.Of("Forecasts are worked out anew from what had been recorded by their day, by today's sheets "+
		"and catalogue; what happened, as known on %s.", told.Long(r.On))
}

// AmongWords says of how many vehicles a reckoning is where there are more, or "".
func (r *Reckoning) AmongWords(all int) message.Text {
	if len(r.Vehicles) >= all {
		return ""
	}
	return message.Of("It is of %s of the yard's %d; others are reckoned where they are named.",
		told.Count(len(r.Vehicles), "vehicle", "vehicles"), all)
}

// SaidWords names the chances of a bin as they were said.
func (b *Bin) SaidWords() message.Text {
	switch {
	case b.About > 0:
		return told.Odds(b.About)
	case b.From == 0:
		return message.Of("less than 1 in %.0f", 1/b.To)
	}
	return message.Of("more than %.0f in 10", 10*b.From)
}

// ExpectedWords says how many were to come true, and how many would in 99 of 100 yards.
func (b *Bin) ExpectedWords() message.Text {
	return message.Of("%.1f (%s)", b.Expected, between(b.Low, b.High))
}

// ShareWords says between what the share lies that comes true in the long run, by what
// came true alone.
func (b *Bin) ShareWords() message.Text {
	return message.Of("%.1f to %.1f %%", 100*b.ShareLow, 100*b.ShareHigh)
}

// FateWords says what was found of parts whose looks asked for work.
func (k *KindLooks) FateWords() message.Text {
	var out []message.Text
	if k.Confirmed > 0 {
		out = append(out, message.Of("%d borne out", k.Confirmed))
	}
	if k.Misled > 0 {
		out = append(out, message.Of("%d sound", k.Misled))
	}
	return message.Joined(out, ", ")
}

// MoreWords counts those that are not listed, or says nothing.
func MoreWords(n int) message.Text {
	if n <= 0 {
		return ""
	}
	return message.Of("And %d more.", n)
}

// CameWords says how many came true of how many.
func (b *Bin) CameWords() message.Text {
	return message.Of("%d of %d", b.Came, b.Said)
}

// Words says how many bands held.
func (b *Bands) Words(what message.Text) message.Text {
	if b.Of() == 0 {
		if b.Open > 0 {
			return message.Of("%s: none can be told yet, %d are open.", what, b.Open)
		}
		return ""
	}
	s := message.Of("%s: %d of %d lay in their band, 8 in 10 are meant to (%d below or sooner, %d above or "+
		"later): %s.", what, b.Held, b.Of(), b.Below, b.Above, b.Told)
	if b.Open > 0 {
		s = message.Joined([]message.Text{s, message.Of("%d cannot be told yet.", b.Open)}, " ")
	}
	return s
}

// WearWords says how measured wear went, a sentence each.
func (r *Reckoning) WearWords() []message.Text {
	return told.Sentences(r.Figures.Words("The next figure measured"), r.Dates.Words("The day a limit was met"))
}

// Ask asks what a part was, in the hand.
func (o *Off) Ask() message.Text {
	return message.Of("What was the %s, which came off on %s?", o.Words(), told.Long(o.On))
}

// PictureWords tells the drawing.
func (r *Reckoning) PictureWords() message.Text {
	return message.Of("What was to fail and what failed, summed up over %s; shaded: 19 of 20 such yards.", r.Span())
}

// FullWords says on a vehicle's page that a year is full, in the three months after
// it; "" elsewhere, and for a vehicle that was not kept then.
func FullWords(began, on civil.Date) message.Text {
	p := LastYear(on)
	if on.Month > 3 || began.IsZero() || began.After(p.To) {
		return ""
	}
	return message.Of("The year %d is full: what was forecast, and what happened", p.From.Year)
}

// FromTo reads the period that is asked for as the first and the last day; without
// either it is the last full year.
func FromTo(from, to, on civil.Date) (Period, error) {
	p := LastYear(on)
	if !from.IsZero() {
		p.From, p.To = from, on
	}
	if !to.IsZero() {
		p.To = to
		if from.IsZero() {
			p.From = to.AddMonths(-12).AddDays(1)
		}
	}
	switch {
	case p.To.After(on):
		return p, &fleet.Error{Kind: fleet.Invalid, Where: "to",
			Msg:  message.Of("%s has not come yet", told.Long(p.To)),
			Hint: message.Of("what is to come is forecast: ask until %s", on.String())}
	case !p.From.Before(p.To):
		return p, &fleet.Error{Kind: fleet.Invalid, Where: "from", Msg: "the period ends before it begins",
			Hint: "name the earlier day first"}
	}
	return p, nil
}
