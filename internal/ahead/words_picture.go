package ahead

import (
	"fmt"
	"strings"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/say"
)

// Words says in words what the picture shows.
func (p *Picture) Words(r *advise.Report) string {
	half, whole := p.Without[pictureMonths/2], p.Without[pictureMonths]
	s := fmt.Sprintf("Left unseen it fails by %s with a chance of %s, and by %s %s (band %s to %s).",
		r.On.AddMonths(pictureMonths/2).MonthYear(), say.Odds(half.Mid),
		r.On.AddMonths(pictureMonths).MonthYear(), say.Odds(whole.Mid), say.Odds(whole.Lo), say.Odds(whole.Hi))
	if len(p.With) > 0 {
		s += fmt.Sprintf(" Looked at every %s, as often as the next look is away, and changed when something is "+
			"found: %s and %s (strokes).",
			say.Count(int(p.Gap), "month", "months"),
			say.Odds(p.With[pictureMonths/2].Y), say.Odds(p.With[pictureMonths].Y))
	}
	if n := len(p.Past); n > 0 {
		s += fmt.Sprintf(" Ticks at the foot: %s so far, the long ones where something was found.",
			say.Count(n, "look", "looks"))
	}
	if p.Older > 0 {
		s += fmt.Sprintf(" %s more lie further back.", say.Capital(say.Count(p.Older, "look", "looks")))
	}
	return s + " " + say.Capital(p.chance.Rests()) + "."
}

// Ticks are what is marked on the picture's months.
func (p *Picture) Ticks(r *advise.Report) []draw.Tick {
	var out []draw.Tick
	for m := -pictureMonths; m <= pictureMonths; m += 6 {
		out = append(out, draw.Tick{At: float64(m), Text: short(r.On.AddMonths(m).MonthYear())})
	}
	return out
}

// short leaves the first three letters of a month's name.
func short(monthYear string) string {
	month, year, _ := strings.Cut(monthYear, " ")
	return month[:min(3, len(month))] + " " + year
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
