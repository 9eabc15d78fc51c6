package web

import (
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/trip"
)

// tripPage is whether the vehicle gets through a trip.
type tripPage struct {
	Page
	Asked                bool
	Blocked              bool // it must not be driven
	Headline, More       message.Text
	First                []tripRow
	Before, Besides      []planTask
	Together             message.Text
	Passes, Check, Carry []tripRow
	CarryCaution         message.Text
	Risks, Slight        []tripRow // in a thousand such trips at least one failure; less
	Drawing              *drawing  // the chance of each part
	Looks                []tripRow // that would tell most before the start
	LooksHead, LooksLeft message.Text
	LooksCautions        []string
	Chances              message.Text
	Basis                []message.Text
	Ask                  tripAsk
}

type tripRow struct {
	ID          string
	Name, Words message.Text
	Verdict     fleet.Verdict
	More        []tripPart // of which the same is to be said
}

type tripPart struct{ ID, Name string }

type tripAsk struct {
	Distance, Start, Days, Under string
	Load, Heat                   bool
}

// tripRisks is how many of the likeliest let-downs are shown.
const tripRisks = 8

func (s *Server) tripPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	q := r.URL.Query()
	ask := tripAsk{Distance: q.Get("distance"), Start: q.Get("start"), Days: q.Get("days"), Under: q.Get("under"),
		Load: q.Get("load") != "", Heat: q.Get("heat") != ""}
	page := tripPage{Page: s.page(r, d, "trip", "Trip, %s"),
		Headline: "Will it get through? Say how far you go.", Ask: ask}
	if page.InHours() {
		page.Headline = "Will it get through? Say how many hours it is to work."
	}
	if ask.Distance == "" {
		return s.answer(w, r, "trip", page, map[string]string{"headline": page.Headline.String()})
	}
	opt, err := d.tripOptions(ask)
	if err != nil {
		return err
	}
	t, err := trip.Ask(d.report, opt)
	if err != nil {
		return err
	}
	d.trip(&page, t)
	return s.answer(w, r, "trip", page, t.View(d.vehicle.Reader))
}

// tripOptions reads what was asked.
func (d *desk) tripOptions(ask tripAsk) (trip.Options, error) {
	opt := trip.Options{Load: ask.Load, Heat: ask.Heat}
	var err error
	if opt.Km, err = trip.Far(d.vehicle, ask.Distance, d.vehicle.Reader.CounterUnit()); err != nil {
		return opt, err
	}
	if ask.Start != "" {
		if opt.Start, err = parseDay("start", ask.Start); err != nil {
			return opt, err
		}
	}
	if ask.Days != "" {
		if opt.Days, err = strconv.Atoi(strings.TrimSpace(ask.Days)); err != nil || opt.Days < 1 {
			return opt, &fleet.Error{Kind: fleet.Invalid, Where: "days",
				Msg: message.Of("%q is not a number of days", ask.Days), Hint: "write it as 5", Err: err}
		}
	}
	if ask.Under != "" {
		many, err := strconv.ParseFloat(strings.TrimSpace(ask.Under), 64)
		if err != nil || many <= 1 {
			return opt, &fleet.Error{Kind: fleet.Invalid, Where: "under",
				Msg:  message.Of("one in %q is not a chance", ask.Under),
				Hint: "write how many trips may pass for one breakdown, such as 50", Err: err}
		}
		opt.Under = 1 / many
	}
	return opt, nil
}

func (d *desk) trip(page *tripPage, t *trip.Trip) {
	page.Asked, page.Blocked, page.Headline = true, t.Stands != "" || len(t.Parked) > 0,
		t.Headline(d.vehicle.Reader)
	page.told(page.Headline)
	page.More = told.Rest(t.Told(d.vehicle.Reader))
	fix := func(fs []trip.Fix) []planTask {
		var out []planTask
		for _, f := range fs {
			out = append(out, planTask{ID: f.Judgement.Position.ID, Name: f.Title(), Do: advise.ActionVerb(f.Do),
				Why: f.Brief(t.Currency), Verdict: f.Judgement.Verdict})
		}
		return out
	}
	must, besides := t.Lines()
	page.Before, page.Besides, page.Together = fix(must), fix(besides), t.BeforeWords()
	for _, g := range t.FirstGroups(d.vehicle.Reader) {
		page.First = append(page.First, groupRow(g))
	}
	for _, p := range t.Passes {
		page.Passes = append(page.Passes, tripRow{ID: p.Judgement.Position.ID, Words: p.Words(),
			Name: message.Name(p.Judgement.Position.Name), Verdict: p.Judgement.Verdict})
	}
	page.LooksHead, page.LooksLeft = t.Looks.Headline(t.Vehicle), t.Looks.LeftWords(t.Currency)
	page.LooksCautions = t.Looks.Cautions
	for i := range t.Looks.Looks {
		l := &t.Looks.Looks[i]
		page.Looks = append(page.Looks,
			tripRow{ID: l.Judgement.Position.ID, Name: message.Name(l.Judgement.Position.Name),
				Words: l.Words()})
	}
	page.Chances, page.Drawing = t.ChanceWords(), d.drawRisks(t)
	for _, g := range t.RiskGroups(tripRisks) {
		row := groupRow(g)
		if len(row.More) > 0 {
			row.Words = message.Of("each %s", row.Words)
		}
		if g.Slight {
			page.Slight = append(page.Slight, row)
			continue
		}
		page.Risks = append(page.Risks, row)
	}
	for i := range t.Check {
		c := &t.Check[i]
		row := tripRow{Words: c.Words()}
		if c.Judgement != nil {
			at := c.Judgement.Position
			row.ID, row.Name, row.Verdict = at.ID, message.Name(at.Name), fleet.Watch
		}
		page.Check = append(page.Check, row)
	}
	page.CarryCaution = aboard.Caution
	for i := range t.Carry {
		page.Carry = append(page.Carry, tripRow{Name: t.Carry[i].Title(), Words: t.Carry[i].Words()})
	}
	page.Basis = t.RestWords(d.vehicle.Reader)
}

// drawRisks draws the likeliest let-downs of a trip, or nothing where no chance is reckoned.
func (d *desk) drawRisks(t *trip.Trip) *drawing {
	spec := draw.Risks{Head: draw.Head{ID: "risks", Title: "What may let you down", In: d.in}, Accept: t.Under}
	if t.Stranded > 0 {
		spec.Rows = append(spec.Rows, draw.Risk{Name: "Stranded by any part", Words: told.Odds(t.Stranded),
			Chance: t.Stranded})
		if must, besides := t.Lines(); len(must)+len(besides) > 0 {
			spec.Rows[0].After = t.After
		}
	}
	done := map[string]bool{}
	for _, f := range slices.Concat(t.Must, t.Fixes) {
		done[f.Judgement.Position.ID] = true
	}
	for i := range t.Risks {
		r := &t.Risks[i]
		if r.P < told.Slight || i == tripRisks {
			break
		}
		row := draw.Risk{Verdict: advise.DrawnVerdict(r.Judgement.Verdict), Name: message.Is(r.Judgement.Position.Name),
			Words: told.Odds(r.P), Href: d.positionHref(r.Judgement.Position.ID), Chance: r.P}
		if done[r.Judgement.Position.ID] {
			row.After = r.New
		}
		spec.Rows = append(spec.Rows, row)
	}
	fig, err := draw.RisksChart(spec)
	if err != nil {
		return nil // no chance is reckoned
	}
	return &drawing{Caption: fig.Caption, SVG: template.HTML(fig.SVG)}
}

// groupRow is a row of parts of which the same is to be said.
func groupRow(g trip.RiskGroup) tripRow {
	first := g.Judgements[0]
	row := tripRow{ID: first.Position.ID, Name: message.Name(first.Position.Name), Words: g.Words,
		Verdict: first.Verdict}
	for _, j := range g.Judgements[1:] {
		row.More = append(row.More, tripPart{ID: j.Position.ID, Name: say.LowerFirst(j.Position.Name)})
	}
	return row
}
