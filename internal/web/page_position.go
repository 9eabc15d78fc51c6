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
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/tally"
	"undertray.example/undertray/internal/visit"
)

// positionPage tells all that is known of one position.
type positionPage struct {
	Page
	Position  *fleet.Position
	Kind      kindLink
	Verdict   fleet.Verdict
	Answer    message.Text // what to do, and by when
	Todo      message.Text // the same of all that is to be done, where that is longer
	Seen      message.Text // what the verdict rests on, and since when
	Who       message.Text // who says so, and the rule
	Standing  *drawing     // where it stands
	Left      message.Text // that the owner leaves it, and why
	CanLeave  bool
	Part      message.Text
	Looked    message.Text
	Again     message.Text
	Chances   []message.Text // in few words; what follows from a failure
	Ahead     []message.Text // the chance with what it rests on, the next look
	Together  message.Text   // what is changed along with it, in few words
	Further   []message.Text // each limit ahead, and what waiting costs
	Place     []message.Text // where it is and what is opened for it
	Opinions  []opinion      // that govern
	Others    []opinion
	Dues      []dueRow
	Causes    []causeRow
	Shares    message.Text // causes that it shares with others
	First     []string
	With      []message.Text
	Cautions  []string
	Findings  []findingRow
	Past      []pastRow
	Notes     []message.Text
	Pictures  []pictureRow // the newest
	More      int          // pictures beside them
	Count     []onward     // where a photograph answers a check
	Run       *drawing
	Trends    []drawing // what else was measured
	Chance    *drawing  // over the months ahead
	Sources   []sourceLine
	Stop      stopRow // to record a finding here
	Table     answerTable
	Form      roundForm
	Found     bool   // something was found here: the form stands open
	Neighbour [2]row // the one before and after on the walk
}

type kindLink struct{ ID, Name string }

// opinion is what one authority says of one finding or of the part's age.
type opinion struct {
	Verdict   fleet.Verdict
	Authority fleet.Authority
	Words     message.Text
	Source    string
	Governs   bool
}

// dueRow says when a part is due under one authority.
type dueRow struct {
	Authority                fleet.Authority
	Interval, When, At, Note message.Text
	Governs                  bool
}

type causeRow struct {
	Of     string
	Likely []string
}

type findingRow struct {
	Date, At message.Text
	Entry    string
	Words    message.Text
	Settled  bool
	Since    message.Text // what a count shows since the one before it
	Then     string       // where both are laid over each other
}

type pastRow struct{ What, From, To, Why, Ran message.Text }

func (s *Server) positionPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	j, err := d.report.Find(r.PathValue("pos"))
	if err != nil {
		return err
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, ahead.PositionView(d.report, j, d.vehicle.Reader))
	}
	page := d.positionPage(j, s.nextTime(d))
	page.Page = s.page(r, d, "position", "%s, %s", j.Position.Name)
	page.Form, page.Found = s.roundForm(d, r), r.URL.Query().Has("found")
	return s.render(w, r, http.StatusOK, "position", page)
}

// drawChance draws the chance of a part over the months ahead, or nothing.
func (d *desk) drawChance(j *judge.Judgement, o ahead.Outlook) *drawing {
	p, ok := ahead.PictureOf(d.report, j, o)
	if !ok {
		return nil
	}
	const title = "Chance of letting you down, over the months"
	fig, err := draw.ChanceChart(draw.Chance{
		Head: draw.Head{ID: "chance", Title: title, Desc: p.Words(d.report), Width: planWidth, In: d.in},
		X:    draw.Axis{Label: "month", Lo: p.Begins(), Hi: p.Ends(), Ticks: p.Ticks(d.report)}, Without: p.Without,
		With: p.With, Looks: p.Past, Next: p.Next})
	if err != nil {
		return nil // nothing that can be drawn
	}
	return &drawing{Title: fig.Title, Caption: fig.Caption, SVG: template.HTML(fig.SVG)}
}

// drawStandings draws where a part stands, the figure that its verdict rests on first.
func (d *desk) drawStandings(j *judge.Judgement, o ahead.Outlook, next ahead.NextTime, shots []pictureRow) []drawing {
	var out []drawing
	for i, s := range ahead.Standings(d.report, j, o.Wear, next, d.vehicle.Reader) {
		s.ID, s.In = "standing-"+strconv.Itoa(i), d.in
		if i == 0 {
			for _, p := range shots {
				s.Shots = append(s.Shots, draw.Shot{At: float64(p.On.Days()), Src: p.Small, Href: p.Full,
					Label: message.Of("Picture of %s", p.Day)})
			}
		}
		fig, err := draw.StandingChart(s)
		if err != nil {
			continue // there is nothing to draw it from
		}
		out = append(out, drawing{Caption: fig.Caption, SVG: template.HTML(fig.SVG)})
	}
	return out
}

// nextTime is the plan's next visit where the plan is worked out already, and the next oil change elsewhere.
func (s *Server) nextTime(d *desk) ahead.NextTime {
	if made, ok := s.next.kept(s.nextKey(d)); ok && !made.on.IsZero() {
		return ahead.NextTime{On: made.on, Name: "next visit"}
	}
	if v := d.report.Visits[0].When.Expected; d.report.On.Before(v) {
		return ahead.NextTime{On: v, Name: "next oil change"}
	}
	return ahead.NextTime{On: d.report.Visits[1].When.Expected, Name: "oil change after that"} // the next is due now
}

func (d *desk) positionPage(j *judge.Judgement, next ahead.NextTime) positionPage {
	rep, prefs := d.report, d.vehicle.Reader
	page := positionPage{Position: j.Position, Kind: kindLink{j.Kind.ID, j.Kind.Name}, Verdict: j.Verdict,
		Answer: rep.Answer(j, prefs), Todo: advise.TodoWords(j, prefs), Seen: rep.SeenWords(j, prefs),
		Who: advise.WhoWords(j), Together: advise.WithWords(rep.Own(j)),
		Part: advise.PartWords(j, rep.On, rep.Total, rep.HasTotal, prefs), Looked: rep.LookedWords(j, prefs),
		Cautions: j.Cautions, Run: d.run(j.Position.ID), Place: d.placeWords(j)}
	page.Left, page.CanLeave = advise.LeftWords(j), len(j.Todos) > 0
	if j.Again != nil {
		page.Again = rep.AgainWords(j, prefs)
	}
	if len(page.Cautions) == 0 {
		page.Cautions = judge.CautionsAt(j.Kind, j.Position)
	}
	o := ahead.OutlookOf(rep, j)
	page.Chances, page.Ahead, page.Further = o.Lines(prefs, false), o.Near(), o.Far(prefs)
	if s := ahead.LetsDown(j); s != "" {
		page.Chances = append(page.Chances, s)
	}
	if m := ahead.MendOf(rep, j); m.Bar != aboard.NotStated {
		page.Ahead = append(page.Ahead, m.Words())
	}
	page.Chance = d.drawChance(j, o)
	if page.Todo == page.Answer { // nothing is said twice
		page.Todo = ""
	}
	if page.Again == page.Answer {
		page.Again = ""
	}
	page.Opinions, page.Others = opinions(j)
	page.Dues = d.dueRows(j)
	page.Shares = rep.SharesWords(j)
	for _, c := range rep.Own(j).Causes {
		page.Causes = append(page.Causes, causeRow{say.Capital(d.catalogue().SymptomName(c.Of)), c.Likely})
	}
	for _, f := range j.First {
		page.First = append(page.First, f.Do)
	}
	for _, c := range j.With {
		page.With = append(page.With, advise.CompanionWords(c))
	}
	page.Findings, page.Past = d.findingRows(j), d.pastRows(j)
	page.Pictures = d.picturesOf(fleet.Picture{Position: j.Position.ID})
	if page.Trends = d.drawStandings(j, o, next, page.Pictures); len(page.Trends) > 0 {
		page.Standing, page.Trends = &page.Trends[0], page.Trends[1:]
	} else {
		page.Standing, page.Chance = page.Chance, nil
	}
	page.More = max(0, len(page.Pictures)-picturesShown)
	page.Pictures = page.Pictures[:len(page.Pictures)-page.More]
	for i := range j.Kind.Checks {
		if to := d.countLink(j.Position, &j.Kind.Checks[i]); to.Href != "" {
			page.Count = append(page.Count, to)
		}
	}
	for _, n := range j.Place.Notes {
		page.Notes = append(page.Notes, message.Of("%s: %s", told.Long(n.Date), n.Note.Text))
	}
	page.Sources = d.sources(j)
	page.Stop, page.Table = d.stopHere(j, page.Cautions)
	page.Neighbour = d.neighbours(j)
	return page
}

// placeWords says where a position is and what is opened to see and to change
// it.
func (d *desk) placeWords(j *judge.Judgement) []message.Text {
	p := j.Position
	var out []message.Text
	if p.Where != "" {
		out = append(out, message.Name(p.Where).Sentence())
	}
	if open := d.openingWords(p.Seen); open != "" {
		out = append(out, message.Of("Looked at from %s once open: %s.", p.From, open))
	} else {
		out = append(out, message.Of("Looked at from %s.", p.From))
	}
	if len(p.Changed) > 0 {
		out = append(out, message.Of("To change it: %s.", d.openingWords(p.Changed)))
	}
	if p.Unsure {
		out = append(out, "It is not known whether the vehicle has it.")
	}
	if p.LookOnly {
		out = append(out, "Only looked at here: the change is for a licensed workshop.")
	}
	return out
}

func (d *desk) openingWords(ids []string) message.Text {
	var names []message.Text
	for _, id := range d.vehicle.Closure(ids) {
		names = append(names, message.Name(say.LowerFirst(d.vehicle.Opening(id).Name)))
	}
	return message.Joined(names, "; ")
}

// opinions returns what governs the verdict, and all that is said besides.
func opinions(j *judge.Judgement) (govern, others []opinion) {
	for _, r := range j.Reasons {
		o := opinion{Verdict: r.Verdict, Authority: r.Authority, Words: advise.ReasonWords(r),
			Source: r.Source.String(), Governs: r.Governs}
		if r.Governs && r.Verdict == j.Verdict {
			govern = append(govern, o)
		} else {
			others = append(others, o)
		}
	}
	return govern, others
}

func (d *desk) dueRows(j *judge.Judgement) []dueRow {
	var out []dueRow
	for i := range j.Dues {
		due := &j.Dues[i]
		row := dueRow{Authority: due.Interval.Authority,
			Interval: advise.IntervalWords(due.Interval, d.vehicle.Reader),
			When:     d.report.WhenDue(due), Note: message.Name(strings.Join(due.Interval.Materials, ", ")),
			Governs: due.Governs}
		if !due.Rough.IsZero() {
			row.Note = message.Joined(told.Sentences(row.Note, advise.RoughWords), "; ")
		}
		if due.Mark.HasTotal {
			row.At = message.Name(d.km(due.Mark.Total))
		}
		if due.Guess != nil {
			row.Note = message.Joined(told.Sentences(row.Note, "as old as the vehicle, as far as is known"), "; ")
		}
		if due.Severe {
			row.Note = message.Joined(told.Sentences(row.Note, "shortened for severe service"), "; ")
		}
		out = append(out, row)
	}
	return out
}

// picturesShown is how many pictures a page of a position shows.
const picturesShown = 4

func (d *desk) findingRows(j *judge.Judgement) []findingRow {
	var out []findingRow
	counts := map[string][]tally.Once{}
	for _, f := range slices.Backward(j.Place.Findings) {
		row := findingRow{Date: told.Short(f.Date), At: d.at(f.Moment), Words: visit.FoundWords(j.Kind, f),
			Entry: f.Entry, Settled: f.Settled != ""}
		if f.Counted != nil {
			if counts[f.Check] == nil {
				counts[f.Check] = tally.Series(d.report, j, f.Check)
			}
			row.Since = tally.Since(counts[f.Check], f)
			row.Then = d.thenHref(counts[f.Check], j.Position.ID, f.Check, f.Counted.Picture)
		}
		out = append(out, row)
	}
	return out
}

func (d *desk) pastRows(j *judge.Judgement) []pastRow {
	var out []pastRow
	for _, p := range slices.Backward(j.Place.Past) {
		row := pastRow{What: message.Name(p.Spec.Name), From: told.Short(p.From.Date), To: told.Short(p.To.Date),
			Why: advise.OffWords(j.Kind, j.Place, p)}
		if p.From.Date.IsZero() {
			row.From = "not known"
		}
		if p.From.HasTotal && p.To.HasTotal {
			row.Ran = message.Name(d.km(p.To.Total - p.From.Total))
		}
		out = append(out, row)
	}
	return out
}

func (d *desk) sources(j *judge.Judgement) []sourceLine {
	var ids fleet.Sources
	for _, r := range j.Reasons {
		ids = append(ids, r.Source...)
	}
	for i := range j.Dues {
		ids = append(ids, j.Dues[i].Interval.Source...)
	}
	for _, c := range j.Causes {
		ids = append(ids, c.Source...)
	}
	for _, f := range j.First {
		ids = append(ids, f.Source...)
	}
	for _, c := range j.With {
		ids = append(ids, c.Source...)
	}
	return sourceLines(d.catalogue(), ids)
}

// neighbours returns the positions before and after on the walk.
func (d *desk) neighbours(j *judge.Judgement) (out [2]row) {
	walk := d.report.Walk()
	i := slices.Index(walk, j)
	if i > 0 {
		out[0] = d.row(walk[i-1])
	}
	if i >= 0 && i < len(walk)-1 {
		out[1] = d.row(walk[i+1])
	}
	return out
}
