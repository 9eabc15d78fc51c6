package reckon

import (
	"fmt"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
)

// Span names the period: a year, or two days.
func (p Period) Span() string {
	if p.From.Month == 1 && p.From.Day == 1 && p.To.Month == 12 && p.To.Day == 31 {
		if p.From.Year == p.To.Year {
			return fmt.Sprint(p.From.Year)
		}
		return fmt.Sprintf("%d to %d", p.From.Year, p.To.Year)
	}
	return p.From.Short() + " to " + p.To.Short()
}

// Headline says what was forecast and what happened.
func (r *Reckoning) Headline() string { return say.Head(r.Words()) }

// Words is the headline and what it rests on, a sentence each.
func (r *Reckoning) Words() []string {
	if r.All.Said == 0 {
		return say.Told(fmt.Sprintf("%s: no chance of failing had been reckoned.", r.Span()), r.basis())
	}
	head := fmt.Sprintf("%s: %s expected to fail, %s: %s.", r.Span(), expected(r.All.Expected),
		failed(r.All.Came), r.All.Told)
	return say.Told(head, r.bandWords(), r.surpriseWords(), r.looksWords(), r.basis())
}

func expected(n float64) string {
	s := fmt.Sprintf("%.1f parts", n)
	if n >= 10 {
		s = fmt.Sprintf("%.0f parts", n)
	}
	return s
}

func failed(n int) string {
	if n == 0 {
		return "none did"
	}
	return say.Number(n) + " did"
}

func (r *Reckoning) bandWords() string {
	b := &r.All
	return fmt.Sprintf("Of %d forecasts of a part, each until the next look or quarter, %s to come true, and in 19 "+
		"of 20 such yards %s would; %s.",
		b.Said, atMean(b.Expected), between(b.Low, b.High), failed(b.Came))
}

func atMean(n float64) string { return fmt.Sprintf("%.1f were", n) }

func between(low, high int) string {
	if low == high {
		return say.Number(low)
	}
	return fmt.Sprintf("%d to %d", low, high)
}

func (r *Reckoning) surpriseWords() string {
	var out []string
	add := func(offs []Off, what string) {
		if len(offs) == 0 {
			return
		}
		var names []string
		for i := range offs {
			names = append(names, offs[i].Words())
		}
		out = append(out, fmt.Sprintf("%s: %s.", what, say.Few(names, 3)))
	}
	add(r.Surprises(), "Failed without a warning")
	add(r.Foretold(), "Failed after a warning")
	add(r.Sound(), "Came off for what was seen, and sound in the hand")
	add(r.Confirmed(), "Came off as bad as was seen")
	if n := len(r.Overdue); n > 0 {
		var names []string
		for i := range r.Overdue {
			names = append(names, r.Overdue[i].Words())
		}
		out = append(out, fmt.Sprintf("Still there past a deadline on %s: %s.", r.To.Long(), say.Few(names, 3)))
	}
	return strings.Join(out, " ")
}

// Words names a part with its vehicle.
func (p *Part) Words() string { return fmt.Sprintf("%s (%s)", say.LowerFirst(p.Name), p.VehicleName) }

func (r *Reckoning) looksWords() string {
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
	s := fmt.Sprintf("Parts were looked at %s in about %s; %s changed a verdict or a deadline",
		say.Several(n, "time", "times"), say.Minutes(minutes),
		say.Several(changed, "look", "looks"))
	if confirmed > 0 {
		s += fmt.Sprintf(", and %s by the part in the hand", say.Count(confirmed, "was borne out", "were borne out"))
	}
	return s + "."
}

func (r *Reckoning) basis() string {
	return fmt.Sprintf("Forecasts are worked out anew from what had been recorded by their day, by today's sheets "+
		"and catalogue; what happened, as known on %s.", r.On.Long())
}

// AmongWords says of how many vehicles a reckoning is where there are more, or "".
func (r *Reckoning) AmongWords(all int) string {
	if len(r.Vehicles) >= all {
		return ""
	}
	return fmt.Sprintf("It is of %s of the yard's %d; others are reckoned where they are named.",
		say.Count(len(r.Vehicles), "vehicle", "vehicles"), all)
}

// SaidWords names the chances of a bin as they were said.
func (b *Bin) SaidWords() string {
	switch {
	case b.About > 0:
		return say.Odds(b.About)
	case b.From == 0:
		return fmt.Sprintf("less than 1 in %.0f", 1/b.To)
	}
	return fmt.Sprintf("more than %.0f in 10", 10*b.From)
}

// ExpectedWords says how many were to come true, and how many would in 99 of 100 yards.
func (b *Bin) ExpectedWords() string {
	return fmt.Sprintf("%.1f (%s)", b.Expected, between(b.Low, b.High))
}

// ShareWords says between what the share lies that comes true in the long run, by what
// came true alone.
func (b *Bin) ShareWords() string {
	return fmt.Sprintf("%.1f to %.1f %%", 100*b.ShareLow, 100*b.ShareHigh)
}

// FateWords says what was found of parts whose looks asked for work.
func (k *KindLooks) FateWords() string {
	var out []string
	if k.Confirmed > 0 {
		out = append(out, fmt.Sprintf("%d borne out", k.Confirmed))
	}
	if k.Misled > 0 {
		out = append(out, fmt.Sprintf("%d sound", k.Misled))
	}
	return strings.Join(out, ", ")
}

// MoreWords counts those that are not listed, or says nothing.
func MoreWords(n int) string {
	if n <= 0 {
		return ""
	}
	return fmt.Sprintf("And %d more.", n)
}

// CameWords says how many came true of how many.
func (b *Bin) CameWords() string {
	return fmt.Sprintf("%d of %d", b.Came, b.Said)
}

// Words says how many bands held.
func (b *Bands) Words(what string) string {
	if b.Of() == 0 {
		if b.Open > 0 {
			return fmt.Sprintf("%s: none can be told yet, %d are open.", what, b.Open)
		}
		return ""
	}
	s := fmt.Sprintf("%s: %d of %d lay in their band, 8 in 10 are meant to (%d below or sooner, %d above or "+
		"later): %s.", what, b.Held, b.Of(), b.Below, b.Above, b.Told)
	if b.Open > 0 {
		s += fmt.Sprintf(" %d cannot be told yet.", b.Open)
	}
	return s
}

// WearWords says how measured wear went, a sentence each.
func (r *Reckoning) WearWords() []string {
	return say.Told(r.Figures.Words("The next figure measured"), r.Dates.Words("The day a limit was met"))
}

// Ask asks what a part was, in the hand.
func (o *Off) Ask() string {
	return fmt.Sprintf("What was the %s, which came off on %s?", o.Words(), o.On.Long())
}

// PictureWords tells the drawing.
func (r *Reckoning) PictureWords() string {
	return fmt.Sprintf("What was to fail and what failed, summed up over %s; shaded: 19 of 20 such yards.", r.Span())
}

// FullWords says on a vehicle's page that a year is full, in the three months after
// it; "" elsewhere, and for a vehicle that was not kept then.
func FullWords(began, on civil.Date) string {
	p := LastYear(on)
	if on.Month > 3 || began.IsZero() || began.After(p.To) {
		return ""
	}
	return fmt.Sprintf("The year %d is full: what was forecast, and what happened", p.From.Year)
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
		return p, &fleet.Error{Kind: fleet.Invalid, Where: "to", Msg: message.Of("%s has not come yet", p.To.Long()),
			Hint: message.Of("what is to come is forecast: ask until %s", on.String())}
	case !p.From.Before(p.To):
		return p, &fleet.Error{Kind: fleet.Invalid, Where: "from", Msg: "the period ends before it begins",
			Hint: "name the earlier day first"}
	}
	return p, nil
}
