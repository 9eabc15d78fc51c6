package web

import (
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
)

// roundPage is a pass over the vehicle: one long form, shown one position at a
// time where there is script.
type roundPage struct {
	Page
	Headline message.Text
	More     message.Text // what else there is to it
	Form     roundForm
	Openings []opening
	Minutes  float64
	Have     string       // minutes there are, as typed
	Picked   message.Text // what was chosen for them, and what is left unseen
	By       string
	Stages   []stageRow
	Hidden   []hiddenRow
	Closes   []openRow // at the end, where nothing is run before it
	Stops    int
	Faults   []fault
	Plain    bool      // over a connection by which browsers keep no pages
	Bays     []bareBay // where a stop is, for script
	Table    answerTable
	// Whole says that every question is laid out, for pages without script and where what was
	// typed comes back. Else each distinct one is sent once, for script to lay out where it is wanted.
	Whole     bool
	Questions []question
}

// question is what is asked of one or more positions.
type question struct {
	ID         string       `json:"id"`
	Title      message.Text `json:"t"`
	Question   message.Text `json:"q"`
	How        message.Text `json:"h"`
	Caution    message.Text `json:"c,omitempty"`
	Sense      message.Text `json:"s"`
	Unit       message.Text `json:"u,omitempty"`
	Answers    [][2]any     `json:"a,omitempty"` // id and words
	Photograph message.Text `json:"p,omitempty"` // how one answers it
}

// asking is a question at one stop.
type asking struct {
	Question int          `json:"q"` // its place among the page's
	Likely   int          `json:"n"`
	Asked    bool         `json:"a,omitempty"`
	Again    message.Text `json:"c,omitempty"`
	Last     message.Text `json:"l,omitempty"`
}

// once gives the questions of all stops to the page, each distinct one once.
func (p *roundPage) once() {
	at := map[string]int{}
	for i := range p.Stages {
		for j := range p.Stages[i].Stops {
			stop := &p.Stages[i].Stops[j]
			stop.Asks = make([]asking, 0, len(stop.Checks))
			for _, c := range stop.Checks {
				q := question{ID: c.ID, Title: message.Name(c.Title), Question: message.Name(c.Question),
					How: message.Name(c.How), Caution: message.Name(c.Caution), Sense: message.Name(c.Sense).Capital(),
					Unit: c.Unit, Photograph: c.Photograph.Words}
				for _, a := range c.Answers {
					q.Answers = append(q.Answers, [2]any{a.ID, message.Name(a.Say).Capital()})
				}
				key := fmt.Sprintf("%#v", q)
				if _, ok := at[key]; !ok {
					at[key] = len(p.Questions)
					p.Questions = append(p.Questions, q)
				}
				stop.Asks = append(stop.Asks, asking{at[key], c.Likely, c.Asked, message.Name(c.Again), c.Last})
			}
		}
	}
}

// roundForm is what a form of findings needs beside its questions.
type roundForm struct {
	Action, Batch, Date, Odometer, Unit string
	Meter                               message.Text
	Sure                                bool
}

type stageRow struct {
	Title    message.Text
	Closes   []openRow // before it, of what was opened
	Opens    []openRow
	Cautions []string
	Stops    []stopRow
}

// openRow is what is opened or closed for a round, behind its cautions.
type openRow struct {
	Do       string
	Minutes  float64
	Cautions []string
	Torques  []torqueRow
	Figure   message.Text // see visit.Opened
}

// stopRow is one position with its questions.
type stopRow struct {
	N         int
	ID, Name  string
	Where     string
	Verdict   fleet.Verdict
	Why       message.Text
	Part      message.Text
	Cautions  []string
	Checks    []checkRow
	Asks      []asking     // the same for script
	Last      message.Text // the answer that stands, or the newest
	Look      message.Text // what to look at
	Glance    *checkRow
	NoteField string
	Note      string
}

// checkRow is one question, with what was found the last time.
type checkRow struct {
	ID, Field, Title, Question, How, Caution, Sense string
	Unit                                            message.Text
	Answers                                         []answerRow
	Typed                                           string
	Last                                            message.Text
	Again                                           string // a caution that was said before
	Asked                                           bool   // a glance does not answer it
	Likely                                          int
	Drawn                                           bool   // its answers have their plates
	Photograph                                      onward // where a photograph answers it
}

type answerRow struct {
	ID, Say string
	Chosen  bool
	Plate   string // where it is, for pages without script
}

type hiddenRow struct {
	Name    string
	Minutes float64
	Shows   []string
}

// The names of a round's fields: "a.POSITION.CHECK" for an answer and
// "n.POSITION" for a note.
const (
	answerPrefix = "a."
	notePrefix   = "n."
)

func (s *Server) roundPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	page, twin, err := s.layRound(d, r, r.URL.Query(), nil)
	if err != nil {
		return err
	}
	if wantsPDF(r) {
		return s.paper(w, r, d.vehicle.Reader, func(p print.Paper, w io.Writer) error { return p.Round(w, twin) })
	}
	return s.answer(w, r, "round", page, twin.View())
}

// openFor returns what must be open for the positions that something was typed
// about: what was typed comes back, also where the round that was sent had it
// open and this one would not.
func (d *desk) openFor(typed url.Values) []string {
	var out []string
	for field, values := range typed {
		rest, answer := strings.CutPrefix(field, answerPrefix)
		if !answer {
			var note bool
			if rest, note = strings.CutPrefix(field, notePrefix); !note {
				continue
			}
		}
		id, _, _ := strings.Cut(rest, ".")
		if p := d.vehicle.Position(id); p != nil && strings.TrimSpace(strings.Join(values, "")) != "" {
			out = append(out, p.Seen...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// layRound lays a round out for the openings chosen, with what was typed.
func (s *Server) layRound(d *desk, r *http.Request, chosen, typed url.Values) (*roundPage, *visit.Round, error) {
	opt := visit.RoundOptions{Open: append(several(chosen, "open"), d.openFor(typed)...),
		BySystem: chosen.Get("by") == "system"}
	have := ""
	if typed == nil { // what was typed comes back on a round without a limit
		have = strings.TrimSpace(chosen.Get("minutes"))
	}
	var err error
	if opt.Minutes, err = minutesHave(have); err != nil {
		return nil, nil, err
	}
	round, err := visit.NewRound(d.report, opt)
	if err != nil {
		return nil, nil, err
	}
	page := &roundPage{Have: have, Picked: round.PickedWords(), Page: s.page(r, d, "round", "Round, %s"),
		Form: s.roundForm(d, r), Minutes: round.Minutes, By: "walk", Plain: !by(r).secure && !localName(r.Host)}
	if opt.BySystem {
		page.By = "system"
	}
	all, _, err := d.openings("")
	if err != nil {
		return nil, nil, err
	}
	for i := range all {
		all[i].Open = slices.ContainsFunc(round.Open, func(o *fleet.Opening) bool { return o.ID == all[i].ID })
	}
	page.Openings = all
	for _, o := range round.Closing() {
		page.Closes = append(page.Closes, openRow{o.Undo, o.UndoMinutes, o.Cautions,
			torqueRows(o.Torques, d.vehicle.Reader.Show), o.MakersFigure()})
	}
	stops := map[string]int{} // laid out so far, by position
	for i, st := range round.Stages {
		row := stageRow{Title: st.Title(), Cautions: st.Cautions}
		for _, o := range st.Open {
			do := strings.TrimSuffix(o.Name+". "+o.Note, ". ")
			row.Opens = append(row.Opens, openRow{Do: do, Minutes: o.Minutes, Cautions: o.Cautions})
		}
		if i == round.ClosesBefore() {
			row.Closes, page.Closes = page.Closes, nil
		}
		for _, stop := range st.Stops {
			row.Stops = append(row.Stops, d.stop(stop, typed, stops[stop.Position.ID]))
			stops[stop.Position.ID]++
			page.Stops++
		}
		page.Stages = append(page.Stages, row)
	}
	for _, h := range round.Hidden {
		row := hiddenRow{Name: h.Opening.Name, Minutes: h.Minutes}
		for _, p := range h.Positions {
			row.Shows = append(row.Shows, say.LowerFirst(p.Name))
		}
		page.Hidden = append(page.Hidden, row)
	}
	page.Table = d.answerTable(round.Stages)
	if page.Bays, err = d.bareBays(); err != nil {
		return nil, nil, err
	}
	if page.Whole = typed != nil || chosen.Get("whole") != ""; page.Whole {
		page.drawn(round.Stages, d)
	} else {
		page.once()
		q := r.URL.Query()
		q.Set("whole", "1")
		page.Unscripted = r.URL.Path + "?" + q.Encode()
	}
	page.Headline, page.More = round.Answer(), told.Rest(round.Told())
	page.told(round.Headline())
	return page, round, nil
}

// minutesHave reads the minutes there are for a round; 0 where nothing is typed.
func minutesHave(typed string) (float64, error) {
	if typed == "" {
		return 0, nil
	}
	m, err := strconv.ParseFloat(typed, 64)
	if err != nil || !(m > 0 && m <= 600) {
		return 0, &fleet.Error{Kind: fleet.Invalid, Where: "minutes",
			Msg:  message.Of("a round of %q minutes cannot be laid out", typed),
			Hint: "write the minutes you have, up to 600", Err: err}
	}
	return m, nil
}

func (s *Server) roundForm(d *desk, r *http.Request) roundForm {
	f := roundForm{Action: "/v/" + d.vehicle.ID + "/round", Batch: s.opt.NewID(),
		Date: s.today().String(), Unit: d.unit(),
		Meter: told.Meter(d.vehicle.Reader).Capital()}
	if r.Method == http.MethodPost {
		f.Batch, f.Date, f.Odometer = r.PostForm.Get("batch"), r.PostForm.Get("date"), r.PostForm.Get("odometer")
		f.Sure = r.PostForm.Get("sure") != ""
	}
	return f
}

// nth is a value of a field that stands several times, or "".
func nth(values []string, n int) string {
	if n < len(values) {
		return values[n]
	}
	return ""
}

// stop lays out a stop; before says how many stops at the position came before
// it, each with a note of its own.
func (d *desk) stop(stop visit.Stop, typed url.Values, before int) stopRow {
	p := stop.Position
	row := stopRow{N: stop.N, ID: p.ID, Name: p.Name, Where: p.Where, Verdict: stop.Judgement.Verdict,
		Part: advise.PartWords(stop.Judgement, d.report.On, d.report.Total, d.report.HasTotal,
			d.vehicle.Reader),
		Cautions: stop.Cautions, NoteField: notePrefix + p.ID, Note: nth(typed[notePrefix+p.ID], before),
		Look: lookAt(stop.Checks)}
	if f := stop.Last(); f != nil {
		row.Last = message.Of("%s, %s", visit.FoundWords(stop.Kind, f), told.Short(f.Date))
	}
	if before > 0 {
		row.Part = "" // said at its first stop
	} else if row.Verdict >= fleet.Watch {
		row.Why = advise.Why(stop.Judgement)
	}
	if g := stop.Glance; g != nil {
		glance := checkOf(stop.Kind, p.ID, visit.CheckItem{Check: g}, typed)
		row.Glance = &glance
	}
	for _, c := range stop.Checks {
		check := checkOf(stop.Kind, p.ID, c, typed)
		check.Photograph = d.countLink(p, c.Check)
		if check.Caution == "" {
			check.Again = d.report.Catalogue.CautionOn(d.vehicle, c.Check)
		}
		row.Checks = append(row.Checks, check)
	}
	return row
}

func checkOf(k *catalogue.Kind, position string, c visit.CheckItem, typed url.Values) checkRow {
	field := answerPrefix + position + "." + c.ID
	row := checkRow{ID: c.ID, Field: field, Title: c.Title(), Question: c.Question, How: c.How, Caution: c.Caution,
		Sense: c.Sense, Typed: typed.Get(field), Asked: c.Asked, Likely: c.Likely}
	if c.Measured() {
		row.Unit = told.Unit(c.FigureUnit())
	}
	for _, a := range c.Answers {
		row.Answers = append(row.Answers, answerRow{ID: a.ID, Say: a.Say, Chosen: row.Typed == a.ID})
	}
	if c.Last != nil {
		row.Last = message.Of("%s, %s", visit.AnswerWords(c.Check, c.Last), told.Short(c.Last.Date))
	}
	return row
}

// stopHere is the stop of one position, with every check it has, and what their
// answers mean.
func (d *desk) stopHere(j *judge.Judgement, said []string) (stopRow, answerTable) {
	stop := visit.Stop{Position: j.Position, Kind: j.Kind, Judgement: j}
	for i := range j.Kind.Checks {
		c := &j.Kind.Checks[i]
		stop.Checks = append(stop.Checks, visit.CheckItem{Check: c, Last: j.Place.Latest[c.ID],
			Caution: d.report.Catalogue.CautionOn(d.vehicle, c)})
	}
	here := visit.Stage{Cautions: said, Stops: []visit.Stop{stop}}
	here.SayOnce()
	return d.stop(here.Stops[0], nil, 0), d.answerTable([]visit.Stage{here})
}
