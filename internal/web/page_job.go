package web

import (
	"cmp"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// jobPage is the sheet of one visit.
type jobPage struct {
	Page
	Headline message.Text
	More     message.Text // what else there is to it
	Visit    message.Text // of the plan, "" where it is none of the plan's
	Round    message.Text // that goes with it
	Alone    bool
	Chosen   bool // positions were named
	Choices  []jobChoice
	Others   []group
	Tasks    []taskRow // what is changed
	Along    []alongRow
	Looks    []taskRow // what is looked at on the way
	Steps    []stepRow
	Torques  []torqueRow
	LookUps  []visit.LookUp
	Tools    []string
	Parts    []partRow
	Ready    []message.Text
	Bear     []string
	Exposed  []message.Text // what can be looked at besides
	Cost     string
	Minutes  float64
	Cheapest bool

	Batch  string
	Begin  string           // the batch that begins it
	Begins []fleet.WorkTask // what a tick begins; none where the sheet is in hand
	InHand bool
	Stand  string      // of the sheet in hand: another device changes it
	Else   []jobChoice // what something else may have been found on, laid open
	Next   int         // number of the step that is next
	Who    string
	Faults []fault
	Asked  bool // a tick waits for whether the steps before it are done too
	// Unlikely says that a figure waits for whether it is so.
	Unlikely bool
}

type jobChoice struct {
	row
	Why    message.Text
	Picked bool
}

type taskRow struct {
	ID            string
	Name, Do, Why message.Text
	Verdict       fleet.Verdict
	Elsewhere     bool
}

// alongRow is a part that is changed only because another is: it may be left.
type alongRow struct {
	taskRow
	Cost string
}

type stepRow struct {
	N        int
	Key      string // of the step; of several looks all of them
	Done     bool
	Ticked   bool // as it is on the page: done, or tried to be
	Cautions []message.Text
	Text     message.Text // in view in at most stepHead words, where it can be said in so many
	Turn     message.Text // "Now from below", where the side changes
	Minutes  float64
	Yours    message.Text // behind the minutes, where they are the owner's own
	Basis    message.Text // what they rest on then
	Asks     []askOf
	Told     message.Text // who ticked it when
	Shots    []pictureRow
	Torques  []setRow
	Figure   message.Text // what is tightened to a torque that the sheet does not have
}

// setRow asks what a fastener was tightened to.
type setRow struct{ What, Says, Field, Typed, Unit string }

// askOf is what to ask of one part that is looked at.
type askOf struct {
	Name      string
	Questions []string
}

type torqueRow struct {
	Where, Fastener, Count, Torque string
	Note                           message.Text
}

type partRow struct {
	Quantity, Number, Supplier, Cost, For, ID string
	Name                                      message.Text
}

func (s *Server) jobPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	q := r.URL.Query()
	opt := visit.JobOptions{Positions: append(several(q, "for"), several(q, "at")...), Alone: q.Get("alone") != ""}
	job, visit, err := s.jobOf(r, d, opt)
	if err != nil {
		return err
	}
	if wantsPDF(r) {
		return s.paper(w, r, d.vehicle.Reader, func(p print.Paper, w io.Writer) error { return p.Job(w, job) })
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, job.View())
	}
	return s.render(w, r, http.StatusOK, "job", s.layJob(d, r, job, opt, visit))
}

// layJob lays a job sheet out; visit names it where it is one of the plan.
func (s *Server) layJob(d *desk, r *http.Request, job *visit.Job, opt visit.JobOptions, visit message.Text) jobPage {
	page := jobPage{Page: s.page(r, d, "job", "Job sheet, %s"), Headline: job.Headline(),
		More: told.Rest(job.Told()), Alone: opt.Alone, Chosen: len(opt.Positions) > 0, Visit: visit,
		Round: job.RoundWords(),
		Tools: job.Tools, Cost: jobCost(job), Minutes: job.Minutes, Cheapest: job.Cheapest, Batch: s.opt.NewID(),
		Begin:  s.opt.NewID(),
		InHand: job.Work != nil}
	page.told(page.Headline)
	if !page.InHand {
		page.Begins = job.Begins()
	}
	if page.InHand {
		page.Stand, page.Who = standOf(d.report.State), s.who(r)
		if _, next := job.Progress(); next != nil {
			page.Next = next.N
		}
		for _, j := range job.LaidOpen() {
			page.Else = append(page.Else, jobChoice{row: d.row(j)})
		}
	}
	d.jobChoices(&page, job, opt.Positions)
	for _, of := range job.Alike() {
		for i, t := range of {
			row := task(t, false)
			switch {
			case t.Along():
				page.Along = append(page.Along, companion(t))
			case t.Do == fleet.DoReplace:
				page.Tasks = append(page.Tasks, row)
			default:
				if i < len(of)-1 { // it is said behind the last of them
					row.Why = ""
				}
				page.Looks = append(page.Looks, row)
			}
		}
	}
	for _, t := range job.Elsewhere {
		page.Tasks = append(page.Tasks, task(t, true))
	}
	page.Steps = d.steps(job)
	d.jobLists(&page, job)
	return page
}

// jobOf lays out what was chosen, or else the sheet in hand, or else the visit of this number in the plan
// that the rest of the address asks for, the next one where it has no number,
// and names it.
func (s *Server) jobOf(r *http.Request, d *desk, opt visit.JobOptions) (*visit.Job, message.Text, error) {
	if len(opt.Positions) > 0 {
		job, err := visit.NewJob(d.report, opt)
		return job, "", err
	}
	if !r.URL.Query().Has("visit") {
		if job, err := visit.InHand(d.report); job != nil || err != nil {
			return job, "", err
		}
	}
	typed := cmp.Or(r.URL.Query().Get("visit"), "1")
	n, err := strconv.Atoi(typed)
	if err != nil {
		return nil, "", &fleet.Error{Kind: fleet.Invalid, Where: "visit",
			Msg: message.Of("%q is not the number of a visit", typed), Hint: "go there from the plan", Err: err}
	}
	made, err := s.planned(r, d)
	if err != nil {
		return nil, "", err
	}
	if len(made.Visits) == 0 && n == 1 {
		job, err := made.NextJob()
		return job, "", err
	}
	job, err := made.Job(n)
	if err != nil {
		return nil, "", err
	}
	day := made.Visits[n-1].Date
	return job, message.Of("visit %d of the plan, on %s %s", n, told.Weekday(day), told.Long(day)), nil
}

// jobChoices lists what a visit may be for: what needs the owner or falls due
// soon, and everything else to add.
func (d *desk) jobChoices(page *jobPage, job *visit.Job, picked []string) {
	in := func(j *judge.Judgement) bool {
		if len(picked) > 0 {
			return slices.Contains(picked, j.Position.ID)
		}
		return slices.ContainsFunc(job.Tasks, func(t visit.Task) bool {
			return t.Judgement.Position.ID == j.Position.ID && t.Do == fleet.DoReplace
		})
	}
	others := group{Title: "Anything else"}
	for _, j := range d.report.Walk() {
		if j.Verdict >= fleet.Watch || d.report.DueSoon(j) {
			page.Choices = append(page.Choices, jobChoice{row: d.row(j), Why: advise.Why(j), Picked: in(j)})
			continue
		}
		row := d.row(j)
		row.Lit = in(j) && len(picked) > 0
		others.Rows = append(others.Rows, row)
	}
	slices.SortStableFunc(page.Choices, func(a, b jobChoice) int { return int(b.Verdict) - int(a.Verdict) })
	page.Others = []group{others}
}

func companion(t visit.Task) alongRow {
	return alongRow{task(t, false), price(visit.PartOf(t.Judgement).Cost)}
}

func task(t visit.Task, elsewhere bool) taskRow {
	return taskRow{t.Judgement.Position.ID, t.Title(), t.DoWords(), t.Why(), t.Verdict(), elsewhere}
}

// steps sets the steps out; a caution that stands before the step above and
// still holds is not said again.
func (d *desk) steps(job *visit.Job) []stepRow {
	var out []stepRow
	var said []message.Text
	side, pictures := fleet.Above, d.report.Pictures()
	for i := range job.Steps {
		st := &job.Steps[i]
		row := stepRow{N: st.N, Key: strings.Join(st.Keys, keyBreak), Done: st.Done, Ticked: st.Done,
			Minutes: st.Minutes, Yours: st.YoursWords(), Basis: st.YoursInFull(),
			Text: st.Words().Sentence()}
		for _, c := range st.Before() {
			if !slices.Contains(said, c) {
				row.Cautions = append(row.Cautions, c)
			}
		}
		said = st.Before()
		if st.From != "" && st.From != side {
			side = st.From
			row.Turn = message.Of("From here on, from %s.", side)
		}
		row.Asks, row.Shots = d.asks(st), d.shotsOf(pictures, st.Keys)
		row.Figure = st.MakersFigure()
		for _, q := range st.Torques {
			row.Torques = append(row.Torques, d.setRow(job, st, &q))
		}
		if job.Work != nil {
			row.Told = tickedBy(job.Work.Ticks[st.Keys[0]], d.report.On)
		}
		out = append(out, row)
	}
	return out
}

// setRow asks what the fasteners of a step were tightened to, with what was told.
func (d *desk) setRow(job *visit.Job, st *visit.Step, q *visit.Torque) setRow {
	what, prefs := q.Fasteners(), d.vehicle.Reader
	row := setRow{What: what, Says: prefs.Show(*q.Torque), Field: setPrefix + st.Keys[0] + "|" + what,
		Unit: prefs.Preferred(units.Torque)}
	if job.Work != nil {
		for _, set := range job.Work.Set[st.Keys[0]] {
			if set.What == what {
				row.Typed = set.Torque.String()
			}
		}
	}
	return row
}

// tickedBy says who ticked a step, where that is known, and when.
func tickedBy(e *fleet.Entry, today civil.Date) message.Text {
	if e == nil {
		return ""
	}
	at := e.Instant().Local()
	var day message.Text
	if d := civil.Of(at); d != today {
		day = told.Short(d)
	}
	return message.Joined(told.Sentences(message.Name(e.By), day, message.Name(at.Format("15:04"))), ", ")
}

// asks are the questions of a look, part by part.
func (d *desk) asks(st *visit.Step) []askOf {
	var out []askOf
	for _, p := range st.Looks {
		ask := askOf{Name: p.Name}
		checks := d.report.Judgement(p.ID).Kind.Checks
		for i := range checks {
			if slices.Contains(st.Checks, &checks[i]) {
				ask.Questions = append(ask.Questions, checks[i].Question)
			}
		}
		out = append(out, ask)
	}
	return out
}

func (d *desk) jobLists(page *jobPage, job *visit.Job) {
	show := d.vehicle.Reader.Show
	page.Torques, page.LookUps = torqueRows(job.Torques, show), job.LookUps()
	page.Parts = partRows(job)
	for _, c := range job.Consumables {
		line := message.Name(c.What)
		if c.Amount != nil {
			line = message.Of("%s, %s", line, show(*c.Amount))
		}
		page.Ready = append(page.Ready, line)
	}
	page.Bear = job.Bear
	page.Exposed = job.ExposedWords()
}

// torqueRows lists torques.
func torqueRows(all []visit.Torque, show func(units.Quantity) string) []torqueRow {
	var out []torqueRow
	for _, q := range all {
		row := torqueRow{Where: q.Where, Fastener: strings.TrimSpace(q.What + " " + q.Size),
			Torque: show(*q.Torque), Note: message.Name(q.Note)}
		if q.Count > 0 {
			row.Count = fmt.Sprint(q.Count)
		}
		if q.New {
			row.Note = "new one"
			if q.Note != "" {
				row.Note = message.Of("%s; %s", row.Note, q.Note)
			}
		}
		out = append(out, row)
	}
	return out
}

// partRows lists the parts of a job.
func partRows(job *visit.Job) []partRow {
	var out []partRow
	for _, p := range job.Parts {
		row := partRow{Quantity: p.Spec.Quantity, Name: p.What(), Number: p.Spec.Number, Supplier: p.Spec.Supplier,
			For: p.Position.Name, ID: p.Position.ID}
		if row.Quantity == "" {
			row.Quantity = "1"
		}
		if p.Spec.Cost != nil {
			row.Cost = price(p.Spec.Cost)
		}
		out = append(out, row)
	}
	return out
}

// jobCost is what a job's parts cost together, or "".
func jobCost(job *visit.Job) string {
	if total, ok := job.Money(); ok {
		return price(&total)
	}
	return ""
}

// visitSheet is the address of the job sheet of a visit of the plan that was
// asked for.
func visitSheet(v *fleet.Vehicle, ask planAsk, visit int) string {
	query := ask.rules()
	query.Set("visit", strconv.Itoa(visit))
	return "/v/" + v.ID + "/job?" + query.Encode()
}

// stepHead is how many words of a step stand in view, where a part of its sentence can stand alone.
const stepHead = 20

// stepShort is what stands in view of a step, and stepRest what is below its line in view: it may be what keeps
// somebody safe. It is parted where a sentence of it, or a part of one, ends within so many words.
func stepShort(text string) string { return parted(text)[0] }
func stepRest(text string) string  { return parted(text)[1] }

func parted(text string) [2]string {
	all := strings.Fields(text)
	if len(all) <= stepHead {
		return [2]string{text}
	}
	for _, ends := range []string{".", ":", ";", ","} { // a list is not parted before its colon
		for n := stepHead; n > 2; n-- {
			head, ok := strings.CutSuffix(strings.Join(all[:n], " "), ends)
			if !ok {
				continue
			}
			if ends != ":" {
				ends = "."
			}
			return [2]string{head + ends, message.Capital(strings.Join(all[n:], " "))}
		}
	}
	return [2]string{text}
}
