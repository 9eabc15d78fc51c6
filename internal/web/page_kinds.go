package web

import (
	"html/template"
	"io"
	"net/http"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// kindsPage lists the kinds of part that are known.
type kindsPage struct {
	Page
	Headline message.Text
	Systems  []kindGroup
}

type kindGroup struct {
	Name  string
	Kinds []*catalogue.Kind
}

func (s *Server) kindsPage(w http.ResponseWriter, r *http.Request) error {
	y, err := s.yards.open()
	if err != nil {
		return err
	}
	kinds := y.Catalogue.Kinds()
	page := kindsPage{Page: s.base(r, "Kinds of part"),
		Headline: message.Of("%d kinds of part: what to check, the limits and who says so.", len(kinds))}
	for _, k := range kinds {
		name := say.Capital(y.Catalogue.SystemName(k.System))
		if n := len(page.Systems); n == 0 || page.Systems[n-1].Name != name {
			page.Systems = append(page.Systems, kindGroup{Name: name})
		}
		g := &page.Systems[len(page.Systems)-1]
		g.Kinds = append(g.Kinds, k)
	}
	return s.answer(w, r, "kinds", page, kinds)
}

// kindPage is all that is known of one kind.
type kindPage struct {
	Page
	Kind      *catalogue.Kind
	Checks    []kindCheck
	Intervals []intervalRow
	Causes    []causeRow
	Sources   []sourceLine
	Uses      []kindUse    // positions of the yard that take it
	Among     message.Text // of a large yard: which vehicles that is told of
	Lives     *livesPart   // nil: nothing can be said
	Drawn     bool         // some answers have plates
}

type kindCheck struct {
	*catalogue.Check
	Limits []limitRow
	Looks  []lookRow // answers that are drawn
}

// lookRow is an answer with its plate.
type lookRow struct {
	ID, Say string
	Plate   template.HTML
}

// looksOf lists the answers of a check that are drawn.
func looksOf(c *catalogue.Check, p units.Preferences, in *message.Language) []lookRow {
	var out []lookRow
	for _, a := range c.Answers {
		if drawn := drawnPlate(a.Plate, p, in); drawn != "" {
			out = append(out, lookRow{a.ID, a.Say, drawn})
		}
	}
	return out
}

type limitRow struct {
	Verdict   fleet.Verdict
	When      message.Text
	Materials string
	Authority fleet.Authority
	Source    string
	Says      string
}

type intervalRow struct {
	Do        string
	After     message.Text
	Materials string
	Authority fleet.Authority
	Says      string
	Source    string
}

type kindUse struct{ Vehicle, VehicleName, ID, Name string }

func (s *Server) kindPage(w http.ResponseWriter, r *http.Request) error {
	y, k, err := s.kindAsked(r)
	if err != nil {
		return err
	}
	page := kindPage{Page: s.base(r, message.Name(k.Name)), Kind: k, Sources: sourceLines(y.Catalogue, k.SourceIDs())}
	for i := range k.Checks {
		page.Checks = append(page.Checks, kindCheck{&k.Checks[i], limitRows(&k.Checks[i], y.Settings.Units),
			looksOf(&k.Checks[i], y.Settings.Units, s.inLanguage(r))})
		page.Drawn = page.Drawn || len(page.Checks[i].Looks) > 0
	}
	for i := range k.Intervals {
		iv := &k.Intervals[i]
		page.Intervals = append(page.Intervals,
			intervalRow{iv.Do, advise.IntervalWords(iv, y.Settings.Units), strings.Join(iv.Materials, ", "),
				iv.Authority, iv.Says, iv.Source.String()})
	}
	for i := range k.Causes {
		page.Causes = append(page.Causes,
			causeRow{say.Capital(y.Catalogue.SymptomName(k.Causes[i].Of)), k.Causes[i].Likely})
	}
	y, peers, err := s.peers(r)
	if err != nil {
		return err
	}
	for _, rep := range peers {
		for i := range rep.Vehicle.Positions {
			if p := &rep.Vehicle.Positions[i]; p.Kind == k.ID {
				page.Uses = append(page.Uses, kindUse{rep.Vehicle.ID, rep.Vehicle.Name, p.ID, p.Name})
			}
		}
	}
	if together.Large(y) {
		page.Among = together.SampleWords(len(peers), len(y.IDs()))
	}
	page.Lives = lives(peers, k, y.Settings.Units, s.inLanguage(r))
	return s.answer(w, r, "kind", page, k)
}

// wallPaper sends the wall sheet of a kind as PDF.
func (s *Server) wallPaper(w http.ResponseWriter, r *http.Request) error {
	y, k, err := s.kindAsked(r)
	if err != nil {
		return err
	}
	return s.paper(w, r, y.Settings.Units, func(p print.Paper, w io.Writer) error {
		return p.Wall(w, y.Catalogue, k, s.today())
	})
}

// kindAsked is the kind that an address names, as the yard knows it.
func (s *Server) kindAsked(r *http.Request) (*yard.Yard, *catalogue.Kind, error) {
	y, err := s.yards.open()
	if err != nil {
		return nil, nil, err
	}
	k, err := findKind(y.Catalogue, r.PathValue("kind"))
	return y, k, err
}

func findKind(c *catalogue.Catalogue, id string) (*catalogue.Kind, error) {
	if k := c.Kind(id); k != nil {
		return k, nil
	}
	hint := message.Text("the kinds are listed at /kinds")
	if near := c.NearestKind(id); near != "" {
		hint = message.Of("did you mean %q?", near)
	}
	return nil, &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("the catalogue has no kind %q", id), Hint: hint}
}

func limitRows(c *catalogue.Check, p units.Preferences) []limitRow {
	var out []limitRow
	for i := range c.Limits {
		l := &c.Limits[i]
		when := advise.ConditionWords(l, p)
		if a := c.Answer(l.Is); a != nil {
			when = message.Name(a.Say)
		}
		out = append(out, limitRow{l.Verdict, when, strings.Join(l.Materials, ", "), l.Authority,
			l.Source.String(), l.Says})
	}
	return out
}

// meansPage says what one answer to one check means.
type meansPage struct {
	Page
	Kind               *catalogue.Kind
	Headline, More     message.Text
	Verdict            fleet.Verdict
	Opinions           []opinion
	Causes             []causeRow
	First, With        []string
	Cautions           []string
	Sources            []sourceLine
	Materials          []string
	Check, Answer, Mat string
	Plate              template.HTML // what the answer looks like, with its words; "" for none
	Says               message.Text
}

// meansPage answers for a bare part of a kind; its twin is the same view as
// the command's.
func (s *Server) meansPage(w http.ResponseWriter, r *http.Request) error {
	y, k, err := s.kindAsked(r)
	if err != nil {
		return err
	}
	q := r.URL.Query()
	f, err := record.Answer(k, q.Get("check"), q.Get("answer"))
	if err != nil {
		return err
	}
	if err := record.Material(k, q.Get("material")); err != nil {
		return err
	}
	m := advise.WhatItMeans(y.Catalogue, k,
		fleet.PartSpec{Material: q.Get("material"), Spec: map[string]units.Quantity{}}, f, fleet.Strictest, s.today())
	page := meansPage{Page: s.base(r, "What it means"), Kind: k, Headline: m.Headline(y.Settings.Units),
		More: told.Rest(m.Told(y.Settings.Units)), Verdict: m.Judgement.Verdict,
		Materials: k.Materials, Check: f.Check, Answer: q.Get("answer"), Mat: q.Get("material"),
		Cautions: m.Judgement.Cautions}
	if a := m.Check.Answer(f.Answer); a != nil {
		page.Plate, page.Says = drawnPlate(a.Plate, y.Settings.Units, s.inLanguage(r)), message.Name(a.Say)
	}
	var fields []string
	for _, o := range m.Judgement.Reasons {
		if o.Finding != nil {
			page.Opinions = append(page.Opinions,
				opinion{o.Verdict, o.Authority, o.Says, o.Source.String(), o.Governs})
			fields = append(fields, o.Source...)
		}
	}
	for _, c := range m.Judgement.Causes {
		page.Causes = append(page.Causes, causeRow{say.Capital(y.Catalogue.SymptomName(c.Of)), c.Likely})
	}
	for _, f := range m.Judgement.First {
		page.First = append(page.First, f.Do)
	}
	for _, w := range m.With {
		page.With = append(page.With, w.Say)
	}
	page.Sources = sourceLines(y.Catalogue, fields)
	return s.answer(w, r, "means", page, m.View(y.Settings.Units))
}
