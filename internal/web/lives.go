package web

import (
	"html/template"
	"net/http"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// livesPart is how long parts of a kind last in this yard.
type livesPart struct {
	Headline message.Text
	Start    message.Text // what the belief starts from
	Before   drawing      // by the interval alone
	After    drawing      // with the yard's own parts
	Parts    []lifeRow
}

type lifeRow struct {
	Vehicle, Name string
	Age, End      message.Text
}

// Figures lists the two curves.
func (l *livesPart) Figures() []drawing { return []drawing{l.Before, l.After} }

// peers works out the vehicles that others learn from.
func (s *Server) peers(r *http.Request) (*yard.Yard, []*advise.Report, error) {
	y, err := s.yards.open()
	if err != nil {
		return nil, nil, err
	}
	on, err := s.day(r)
	if err != nil {
		return nil, nil, err
	}
	look, err := s.worked.Look(r.Context(), y.Catalogue, y, on)
	if err != nil {
		return nil, nil, err
	}
	reports, err := look.Peers(r.Context())
	return y, reports, err
}

// lives is how long parts of a kind last on some vehicles, or nil where nothing
// can be said.
func lives(reports []*advise.Report, k *catalogue.Kind, prefs units.Preferences, in *message.Language) *livesPart {
	l, ok := ahead.Lives(reports, k)
	if !ok {
		return nil
	}
	out := &livesPart{Headline: l.Headline(prefs), Start: told.Rest(l.Told(prefs))}
	for i := range l.Parts {
		p := &l.Parts[i]
		out.Parts = append(out.Parts, lifeRow{p.Vehicle, p.Name, l.AgeWords(p.Age, prefs), p.EndWords()})
	}
	before, after := l.Bands()
	x := draw.Axis{Label: "age", Unit: l.Unit}
	out.Before = survival(draw.Survival{Head: draw.Head{ID: "lives-before", Title: "By the interval alone",
		Width: planWidth, In: in}, X: x, Curve: before})
	own := draw.Survival{Head: draw.Head{ID: "lives-after", Title: "With this yard's own parts", Width: planWidth,
		In: in}, X: x, Curve: after}
	own.Failed, own.Censored = l.Ages()
	out.After = survival(own)
	return out
}

// survival draws one curve.
func survival(s draw.Survival) drawing {
	fig, err := draw.SurvivalChart(s)
	if err != nil {
		return drawing{Title: s.Title, Fault: message.Of("This cannot be drawn: %s", err)}
	}
	return drawing{Title: fig.Title, Caption: fig.Caption, SVG: template.HTML(fig.SVG)}
}
