package web

import (
	"html/template"
	"net/http"

	"undertray/draw"
	"undertray/internal/ahead"
	"undertray/internal/catalogue"
	"undertray/internal/say"
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
	l, ok := ahead.Lives(reports, k)
	if !ok {
		return nil, nil
	}
	prefs := y.Settings.Units
	out := &livesPart{Headline: l.Headline(prefs), Start: say.Rest(l.Told(prefs))}
	for i := range l.Parts {
		p := &l.Parts[i]
		out.Parts = append(out.Parts, lifeRow{p.Vehicle, p.Name, l.AgeWords(p.Age, prefs), p.EndWords()})
	}
	before, after := l.Bands()
	x := draw.Axis{Label: "age", Unit: l.Unit}
	out.Before = survival(draw.Survival{Head: draw.Head{ID: "lives-before", Title: "By the interval alone", Width: planWidth}, X: x, Curve: before})
	own := draw.Survival{Head: draw.Head{ID: "lives-after", Title: "With this yard's own parts", Width: planWidth}, X: x, Curve: after}
	own.Failed, own.Censored = l.Ages()
	out.After = survival(own)
	return out, nil
}

// survival draws one curve.
func survival(s draw.Survival) drawing {
	fig, err := draw.SurvivalChart(s)
	if err != nil {
		return drawing{Title: s.Title, Fault: "This cannot be drawn: " + err.Error()}
	}
	return drawing{Title: fig.Title, Caption: fig.Caption, SVG: template.HTML(fig.SVG)}
}
