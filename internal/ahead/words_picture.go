package ahead

import (
	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// Words says in words what the picture shows.
func (p *Picture) Words(r *advise.Report) message.Text {
	half, whole := p.Without[pictureMonths/2], p.Without[pictureMonths]
	s := message.Of("Left unseen it fails by %s with a chance of %s, and by %s %s (band %s to %s).",
		told.MonthYear(r.On.AddMonths(pictureMonths/2)), told.Odds(half.Mid),
		told.MonthYear(r.On.AddMonths(pictureMonths)), told.Odds(whole.Mid), told.Odds(whole.Lo), told.Odds(whole.Hi))
	if len(p.With) > 0 {
		s = message.Of("%s Looked at every %s, as often as the next look is away, and changed when something is "+
			"found: %s and %s (strokes).", s,
			told.Count(int(p.Gap), "month", "months"),
			told.Odds(p.With[pictureMonths/2].Y), told.Odds(p.With[pictureMonths].Y))
	}
	if n := len(p.Past); n > 0 {
		s = message.Of("%s Ticks at the foot: %s so far, the long ones where something was found.", s,
			told.Count(n, "look", "looks"))
	}
	if p.Older > 0 {
		s = message.Of("%s %s more lie further back.", s, told.Count(p.Older, "look", "looks").Capital())
	}
	return message.Of("%s %s.", s, p.chance.Rests().Capital())
}

// Ticks are what is marked on the picture's months.
func (p *Picture) Ticks(r *advise.Report) []draw.Tick {
	var out []draw.Tick
	for m := -pictureMonths; m <= pictureMonths; m += 6 {
		out = append(out, draw.Tick{At: float64(m), Text: told.ShortMonthYear(r.On.AddMonths(m))})
	}
	return out
}

// Begins is the first month of the picture, today being 0.
func (p *Picture) Begins() float64 {
	first := 0.0
	for _, l := range p.Past {
		first = min(first, l.At)
	}
	return first - 0.5
}

// Ends is its last month.
func (p *Picture) Ends() float64 { return pictureMonths }
