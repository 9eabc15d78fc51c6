package web

import (
	"fmt"
	"html/template"
	"net/http"

	"undertray/draw"
	"undertray/internal/advise"
	"undertray/internal/catalogue"
)

// livesPart is how long parts of a kind last in this yard.
type livesPart struct {
	Headline string
	Start    string  // what the belief starts from
	Before   drawing // by the interval alone
	After    drawing // with the yard's own parts
	Parts    []lifeRow
}

type lifeRow struct{ Vehicle, Name, Age, End string }

// Figures lists the two curves.
func (l *livesPart) Figures() []drawing { return []drawing{l.Before, l.After} }

// lives works out how long parts of a kind last in the yard, or returns nil
// where nothing can be said.
func (s *Server) lives(r *http.Request, k *catalogue.Kind) (*livesPart, error) {
	y, reports, err := s.reports(r)
	if err != nil {
		return nil, err
	}
	l, ok := advise.Lives(reports, k)
	if !ok {
		return nil, nil
	}
	prefs := y.Settings.Units
	out := &livesPart{Headline: l.Headline(prefs), Start: fmt.Sprintf("It starts from an interval (%s: %s) and learns from the parts below.",
		l.Due.Interval.Authority, advise.IntervalWords(l.Due.Interval, prefs))}
	age := func(a float64) string {
		if l.Unit == "km" {
			return prefs.Show(advise.Kilometres(a))
		}
		return fmt.Sprintf("%.1f years", a)
	}
	for _, p := range l.Parts {
		row := lifeRow{p.Vehicle, p.Name, age(p.Age), "at work"}
		if !p.Running {
			row.End = string(p.Removed)
			if row.End == "" {
				row.End = "came off, reason not known"
			}
		}
		out.Parts = append(out.Parts, row)
	}
	var before, after []draw.Band
	for _, c := range l.Curve {
		before = append(before, draw.Band{X: c.Age, Mid: c.Prior, Lo: c.Prior, Hi: c.Prior})
		after = append(after, draw.Band{X: c.Age, Mid: c.Mid, Lo: c.Low, Hi: c.High})
	}
	out.Before = survival(l, "lives-before", "By the interval alone", before, false)
	out.After = survival(l, "lives-after", "With this yard's own parts", after, true)
	return out, nil
}

// survival draws one curve, with the yard's own parts marked on it or not.
func survival(l *advise.KindLives, id, title string, curve []draw.Band, own bool) drawing {
	s := draw.Survival{Head: draw.Head{ID: id, Title: title, Width: planWidth}, X: draw.Axis{Label: "age", Unit: l.Unit}, Curve: curve}
	for _, p := range l.Parts {
		switch {
		case !own:
		case p.Failed:
			s.Failed = append(s.Failed, p.Age)
		default:
			s.Censored = append(s.Censored, p.Age)
		}
	}
	fig, err := draw.SurvivalChart(s)
	if err != nil {
		return drawing{Title: title, Fault: "This cannot be drawn: " + err.Error()}
	}
	return drawing{Title: fig.Title, Caption: fig.Caption, SVG: template.HTML(fig.SVG)}
}
