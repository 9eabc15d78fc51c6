package web

import (
	"cmp"
	"context"
	"html/template"
	"io"
	"net/http"
	"net/url"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/moves"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/together"
)

// planPage is what to do at which visit in the months ahead.
type planPage struct {
	Page
	Headline, Summary message.Text
	More              message.Text // what else there is to the headline
	Buy               string       // address of what it buys
	Gives             []message.Text
	Drawing           drawing
	Visits            []visitRow
	Next              *visitRow // the first of them
	Between           []betweenRow
	Notes, Basis      []message.Text
	Elsewhere         []planTask
	Ask               planAsk
	Tried             *wishRow // what a move that was asked for would cost
	Settled           []wishRow
	Movable           []moveChoice
	Months            []moveChoice
	Batch             string // of what is settled next
	Moved             planMoved
	Also              *planAlso
	Against           message.Text // the plan as it is
	Positions         []group
}

// planMoved is what the entries recorded together last did to a plan.
type planMoved struct {
	Words message.Text
	Batch string // "": nothing is recorded
	Rows  []movedRow
}

type movedRow struct {
	ID, Name string
	Words    message.Text
	Because  []message.Text
}

// planMovedBy compares the plan with what it was before the last entries.
func (s *Server) planMovedBy(ctx context.Context, d desk, now *plan.Plan, opt plan.Options) (planMoved, error) {
	if err := s.readAll(ctx, &d); err != nil {
		return planMoved{}, err
	}
	batch, changes, err := moves.BeforeLast(ctx, d.report, now, d.entries, opt)
	if err != nil || batch.ID == "" {
		return planMoved{}, err
	}
	out := planMoved{Words: batch.ChangesWords(changes), Batch: batch.ID}
	for i := range changes {
		c := &changes[i]
		out.Rows = append(out.Rows, movedRow{c.Position.ID, c.Position.Name, c.Words(), c.Because()})
	}
	return out, nil
}

// wishRow is something the owner has settled, or tries.
type wishRow struct {
	Words, Title    message.Text
	Entry           string // "": only tried
	Position, Month string
	Not             bool
}

type moveChoice struct {
	Value       string
	Name, Short message.Text
	Chosen      bool
}

type visitRow struct {
	N             int
	Day, Does     message.Text
	Instead       message.Text // when it would be by itself
	Takes, Main   message.Text
	Tasks         []planTask
	Round         message.Text
	Open, Buy, By message.Text
	Job           string // address of its job sheet
}

type planTask struct {
	ID            string
	Name, Do, Why message.Text
	Verdict       fleet.Verdict
	First         []string
	Asks          bool   // the verdict asks for something by itself
	Move          string // address at which it can be moved; "": it cannot
}

type betweenRow struct {
	By, Takes, Open message.Text
	Tasks           []planTask
}

func (s *Server) planPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	made, err := s.planned(r, d)
	if err != nil {
		return err
	}
	p, ask, opt := made.Plan, made.ask, made.opt
	also, err := d.whatElse(ask, p, opt)
	if err != nil {
		return err
	}
	switch {
	case wantsPDF(r):
		return s.paper(w, r, d.vehicle.Reader, func(to print.Paper, w io.Writer) error { return to.Plan(w, p) })
	case wantsJSON(r) && also != nil:
		return s.writeJSON(w, r, http.StatusOK, also.View())
	case wantsJSON(r):
		return s.writeJSON(w, r, http.StatusOK, p.View(d.vehicle.Reader))
	}
	page := planPage{Page: s.page(r, d, "plan", "Plan, %s"), Headline: p.Headline(),
		More: told.Rest(p.Told()), Summary: p.Summary(), Gives: p.GivesWords(),
		Buy:   "/v/" + d.vehicle.ID + "/plan/parts" + asked(ask),
		Basis: p.Assumes(d.vehicle.Reader), Ask: ask}
	page.told(page.Headline)
	if words := opt.Share.Words(); words != "" {
		page.Basis = append(page.Basis, words)
	}
	if together.Large(d.yard) && d.yard.Settings.Visits.Any() {
		page.Basis = append(page.Basis, together.AloneWords(len(d.yard.IDs())))
	}
	page.Notes = told.Sentences(p.HiddenWords(), p.UnknownWords())
	d.planVisits(&page, p)
	if page.Drawing, err = d.monthsAhead(p); err != nil {
		return err
	}
	d.planMove(&page, p)
	if opt.Asks() {
		asItIs, err := plan.Make(r.Context(), d.report, opt.AsItIs())
		if err != nil {
			return err
		}
		page.Against = p.Against(asItIs)
	}
	page.Positions, page.Also = d.allPositions(), alsoShown(also)
	page.Batch = s.opt.NewID()
	if page.Moved, err = s.moved.get(r.Context(), s.stamp(r, d.known), func(ctx context.Context) (planMoved, error) {
		return s.planMovedBy(ctx, *d, p, opt)
	}); err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "plan", page)
}

func (d *desk) planVisits(page *planPage, p *plan.Plan) {
	for i := range p.Visits {
		v := &p.Visits[i]
		row := visitRow{N: v.N, Day: told.Long(v.Date), Does: v.Does(), Instead: v.InsteadWords(),
			Takes: plan.TakesWords(v.Minutes, v.Money, p.Currency), Main: v.MainWords(), Round: v.RoundWords(),
			Open: plan.OpenWords(v.Openings), Buy: v.BuyWords(), By: told.Long(v.BuyBy)}
		for _, t := range v.Rows() {
			task := planTaskRow(t.Task)
			task.Why, task.First = t.Words, t.First
			if t.Task.Do == fleet.DoReplace {
				task.Move = "/v/" + d.vehicle.ID + "/plan?move=" + url.QueryEscape(task.ID) + "#move"
			}
			row.Tasks = append(row.Tasks, task)
		}
		row.Job = visitSheet(d.vehicle, page.Ask, v.N)
		page.Visits = append(page.Visits, row)
	}
	if len(page.Visits) > 0 {
		page.Next = &page.Visits[0]
	}
	for _, l := range p.Between {
		row := betweenRow{By: told.Long(l.By), Takes: plan.TakesWords(l.Minutes, 0, ""),
			Open: plan.OpenWords(l.Openings)}
		for _, t := range l.Tasks {
			row.Tasks = append(row.Tasks, planTaskRow(t))
		}
		page.Between = append(page.Between, row)
	}
	for _, s := range p.Small {
		page.Between = append(page.Between,
			betweenRow{By: told.Long(s.By), Takes: plan.TakesWords(s.Task.Minutes, s.Task.Money, p.Currency),
				Tasks: []planTask{planTaskRow(s.Task)}})
	}
	for _, t := range p.Elsewhere {
		page.Elsewhere = append(page.Elsewhere, planTaskRow(t))
	}
}

func planTaskRow(t plan.Task) planTask {
	return planTask{ID: t.Positions[0].ID, Name: t.Title(), Do: t.DoWords(),
		Why: t.Why(), Verdict: t.Verdict(), First: t.First,
		Asks: t.Verdict() >= fleet.Watch}
}

// monthsAhead draws the months of a plan with its visits.
func (d *desk) monthsAhead(p *plan.Plan) (drawing, error) {
	start := civil.Date{Year: p.On.Year, Month: p.On.Month, Day: 1}
	spec := draw.Months{Head: draw.Head{ID: "months", Title: "The months ahead", In: d.in}}
	spec.Names = monthNames(start, p.End)
	for _, m := range p.Months() {
		spec.Keys = append(spec.Keys, m.String())
	}
	for i := range p.Visits {
		v := &p.Visits[i]
		dv := draw.Visit{At: monthsFrom(start, v.Date),
			When: told.Long(v.Date), Note: plan.TakesWords(v.Minutes, v.Money, p.Currency)}
		dv.Openings = mostOpened(v.Openings)
		dv.Tasks = drawnTasks(p, v, fleet.Unseen)
		spec.Visits = append(spec.Visits, dv)
	}
	fig, err := draw.MonthsAhead(spec)
	if err != nil {
		return drawing{}, err
	}
	return drawing{Title: fig.Title, Caption: fig.Caption, SVG: template.HTML(fig.SVG)}, nil
}

// drawnTasks are the changes of a visit on parts whose verdict asks for at
// least so much.
func drawnTasks(p *plan.Plan, v *plan.Visit, least fleet.Verdict) []draw.VisitTask {
	var out []draw.VisitTask
	for _, t := range v.Tasks {
		if verdict := t.Verdict(); t.Do == fleet.DoReplace && verdict >= least {
			out = append(out, draw.VisitTask{Verdict: advise.DrawnVerdict(verdict), Name: t.Title(),
				Href: "/v/" + p.Vehicle.ID + "/p/" + t.Positions[0].ID})
		}
	}
	return out
}

// openedShown is how many openings of a visit its drawing names.
const openedShown = 4

// mostOpened names the openings that take longest, in their order, and counts
// the others: the list beside the drawing has them all.
func mostOpened(os []*fleet.Opening) []message.Text {
	long := slices.Clone(os)
	slices.SortStableFunc(long, func(a, b *fleet.Opening) int {
		return cmp.Compare(b.Both(), a.Both())
	})
	long = long[:min(len(long), openedShown)]
	var out []message.Text
	for _, o := range os {
		if slices.Contains(long, o) {
			out = append(out, message.Name(say.LowerFirst(o.Name)))
		}
	}
	if more := len(os) - len(out); more > 0 {
		out = append(out, message.Of("%d more", more))
	}
	return out
}

// planMove fills the form that asks what a move would cost, answers it, and
// lists what is settled.
func (d *desk) planMove(page *planPage, p *plan.Plan) {
	page.Movable = []moveChoice{{Value: theVisit, Name: "a visit", Chosen: page.Ask.Move == theVisit}}
	seen := map[string]bool{}
	for i := range p.Visits {
		for _, t := range p.Visits[i].Tasks {
			id := t.Positions[0].ID
			if t.Do == fleet.DoReplace && !seen[id] {
				seen[id] = true
				page.Movable = append(page.Movable, moveChoice{Value: id, Name: t.Title(), Chosen: id == page.Ask.Move})
			}
		}
	}
	for _, m := range p.Months() {
		page.Months = append(page.Months,
			moveChoice{Value: m.String(), Name: told.MonthYear(m.First()), Chosen: m.String() == page.Ask.To,
				Short: told.ShortMonthYear(m.First())})
	}
	for i := range p.Wishes {
		w := &p.Wishes[i]
		row := wishRow{Words: w.Words(), Title: w.Title(), Entry: w.Entry, Month: w.Month.String(), Not: w.Not}
		if w.Position != nil {
			row.Position = w.Position.ID
		}
		if w.Entry == "" {
			page.Tried = &row
		} else {
			page.Settled = append(page.Settled, row)
		}
	}
}

// planSettle records what the owner has settled, once a plan with it has been
// found.
func (s *Server) planSettle(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	f := r.PostForm
	opt := plan.Options{}
	if err := d.planTry(&opt, planAsk{Move: f.Get("position"), To: f.Get("month"),
		Not: f.Get("not") != ""}); err != nil {
		return err
	}
	if len(opt.Wishes) == 0 {
		return &fleet.Error{Kind: fleet.Invalid, Where: "position, month", Msg: "there is nothing to settle",
			Hint: "choose a part, or the visit, and a month"}
	}
	if opt.Share, err = s.share(r, d); err != nil {
		return err
	}
	if _, err := plan.Make(r.Context(), d.report, opt); err != nil {
		return err
	}
	e := &fleet.Entry{Type: fleet.TypeWish, Date: s.today(), Wish: &opt.Wishes[0]}
	if _, err := s.send(r, d, []*fleet.Entry{e}); err != nil {
		return err
	}
	http.Redirect(w, r, "/v/"+d.vehicle.ID+"/plan#settled", http.StatusSeeOther)
	return nil
}

// planTakeBack withdraws what the owner has settled.
func (s *Server) planTakeBack(w http.ResponseWriter, r *http.Request) error {
	d, err := s.postedWhole(r)
	if err != nil {
		return err
	}
	id := r.PathValue("entry")
	for _, e := range d.report.State.Wishes {
		if e.ID != id {
			continue
		}
		rec, err := s.formRecorder(r, d)
		if err != nil {
			return err
		}
		if _, err := rec.Withdraw(r.Context(), d.vehicle, id, "no longer wanted"); err != nil {
			return err
		}
		http.Redirect(w, r, "/v/"+d.vehicle.ID+"/plan", http.StatusSeeOther)
		return nil
	}
	if s.has(r, d, r.PostForm.Get("batch")) { // the form was sent before
		http.Redirect(w, r, "/v/"+d.vehicle.ID+"/plan", http.StatusSeeOther)
		return nil
	}
	return &fleet.Error{Kind: fleet.NotFound, Msg: "nothing settled stands under that entry",
		Hint: "load the plan again and see what it lists"}
}
