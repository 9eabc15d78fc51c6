package web

import (
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strings"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// runPage answers for one belt run and for what it would be.
type runPage struct {
	Page
	Run      *fleet.Run
	Others   []runLink
	Headline message.Text // of the what-if where one is asked, otherwise of the run
	Rest     message.Text // what else there is to it
	AsItIs   message.Text // headline of the run as it is, beside a what-if
	Caution  message.Text
	Drawing  drawing
	Drawn    message.Text // what the drawing shows
	Facts    []message.Text
	Notes    []message.Text
	Basis    []message.Text
	Rows     []runRow
	Spans    []spanRow
	Speeds   []string // heads of the columns of speeds
	Slips    []message.Text
	Grip     string // at which speed the grip is shown
	Lives    bool
	LifeNote message.Text
	Findings []runFound
	Taps     []message.Text
	Ways     []wayRow
	Ask      runAsk
	Refused  bool
	Units    runUnits
	Faults   []fault // of what was asked: it is answered for the run as it is
	Keep     *runKeep

	figure func(value float64, unit string, decimals int) string // in the reader's unit
}

// runUnits are those that the tables' columns are in.
type runUnits struct{ Length, Force, Torque string }

type runLink struct {
	ID, Name string
	Here     bool
}

// runRow is one pulley of the table.
type runRow struct {
	N                           int
	Name, Position              string
	Side, Turns                 message.Text
	Wrap, Ratio                 string
	RPM                         []string
	Torque, Used, Friction, Hub string
	Life                        message.Text
}

// spanRow is one span of the table.
type spanRow struct {
	Name               message.Text
	Length, Rest, Tone string
}

type runFound struct {
	Position string
	Verdict  fleet.Verdict
	Name     string
	Words    message.Text
}

// wayRow is a way round that was found.
type wayRow struct {
	Order       string
	Belts, Note message.Text
}

// runAsk is what was asked, to fill the form in again.
type runAsk struct {
	Belt, RPM, Leave, Arm, Tap, Hz string
	Idler                          [3]string // diameter, x, y
	Pulleys                        []askRow
	Spans                          []spanChoice
	Changed                        bool
}

// askRow is one pulley of the what-if form: its figures in mm as typed.
type askRow struct {
	N       int
	Name    string
	X, Y, D string
	Driver  bool
	Left    bool // out
}

type spanChoice struct {
	Value  string
	Name   message.Text
	Chosen bool
}

// runPage answers GET /v/{id}/run/{run}, and GET /v/{id}/run with the first run
// of the vehicle.
func (s *Server) runPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	id := r.PathValue("run")
	if id == "" {
		if len(d.vehicle.Runs) == 0 {
			return &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("%s has no belt run on its sheet",
				d.vehicle.Name),
				Hint: message.Of("measure one at /v/%s/measure; docs/your-own-run.md says how", d.vehicle.ID)}
		}
		id = d.vehicle.Runs[0].ID
	}
	b, wrong := d.askedRun(id, r.URL.Query())
	known := d.vehicle.Run(id) != nil || d.vehicle.RunOf(id) != nil
	if wrong != nil && (!known || fleet.KindOf(wrong) == fleet.Internal || wantsJSON(r)) {
		return wrong
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, b.View())
	}
	code := http.StatusOK
	if wrong != nil {
		code = status(wrong)
		if b, err = belt.Of(d.report, id, belt.Question{}); err != nil {
			return err
		}
	}
	page, err := d.layRun(b)
	if err != nil {
		return err
	}
	page.Ask, page.Faults = askAgain(b, r.URL.Query()), faults(wrong)
	if next := b.Changed(); next != nil && !page.Refused {
		if page.Keep, err = s.runKeep(d, next, b.Run.ID, b.Headline()); err != nil {
			return err
		}
	}
	page.Page = s.page(r, d, "run", "%s, %s", b.Run.Name)
	return s.render(w, r, code, "run", page)
}

// askedRun works out a run with what the form asks of it.
func (d *desk) askedRun(id string, v url.Values) (*belt.Run, error) {
	q, err := runQuestion(d.vehicle.Run(id), v)
	if err != nil {
		return nil, err
	}
	return belt.Of(d.report, id, q)
}

// layRun sets the page out.
func (d *desk) layRun(b *belt.Run) (runPage, error) {
	page := runPage{Run: b.Run, Headline: b.Headline(), Rest: told.Rest(b.Told()), Caution: belt.Caution,
		Basis: b.Basis(), Refused: len(b.Refused) > 0, figure: d.vehicle.Reader.Figure,
		Units: runUnits{d.vehicle.Reader.UnitFor("mm"), d.vehicle.Reader.UnitFor("N"),
			d.vehicle.Reader.UnitFor("N·m")}}
	for i := range d.vehicle.Runs {
		o := &d.vehicle.Runs[i]
		page.Others = append(page.Others, runLink{o.ID, o.Name, o.ID == b.Run.ID})
	}
	for i := range b.Taps {
		page.Taps = append(page.Taps, b.Taps[i].Words())
	}
	for i := range b.Findings {
		f := &b.Findings[i]
		page.Findings = append(page.Findings, runFound{f.Position, f.Reason.Verdict, f.Name, f.Words()})
	}
	if b.Offset != nil {
		page.Notes = append(page.Notes, b.Offset.Words())
	}
	if b.Wear != nil {
		page.Notes = append(page.Notes, b.Wear.Words())
	}
	work := &b.Work
	if b.Change != nil {
		work, page.AsItIs = &b.Change.After, b.AsItIs()
		page.Refused = len(work.Refused) > 0
		page.ways(b.Change)
	}
	if page.Refused {
		return page, nil
	}
	if err := d.drawRun(&page, b); err != nil {
		return page, err
	}
	page.Facts = append(page.Facts, b.LengthWords())
	page.Facts = append(page.Facts, b.FitWords()...)
	if b.Change != nil {
		page.Facts = nil
	}
	page.Notes = append(page.Notes, work.WarningWords()...)
	page.tables(work, b.Run)
	return page, nil
}

func (d *desk) drawRun(page *runPage, b *belt.Run) error {
	head := draw.Head{ID: "run-" + b.Run.ID, Title: message.Name(b.Run.Name), Width: planWidth, In: d.in}
	var fig draw.Figure
	var err error
	if b.Change != nil {
		head.Title = message.Of("%s: %s", b.Run.Name, b.Change.Title())
		fig, err = b.Change.Figure(head)
		page.Drawn = "Drawn after the change."
	} else {
		fig, err = b.Figure(head, d.positionHref)
		page.Drawn = b.FigureWords()
	}
	if err != nil {
		page.Drawing = drawing{Title: message.Name(b.Run.Name), Fault: message.Is(err).Sentence()}
		return nil
	}
	page.Drawing = drawing{Title: fig.Title, Caption: fig.Caption, SVG: template.HTML(fig.SVG)}
	return nil
}

// ways lists the ways round that a search found.
func (page *runPage) ways(c *belt.Change) {
	for i := range c.Ways {
		w := &c.Ways[i]
		page.Ways = append(page.Ways,
			wayRow{Order: strings.Join(w.Order, ", "), Belts: belt.BeltsWords(w), Note: belt.WayWords(w)})
	}
}

// tables fills in pulleys and spans.
func (page *runPage) tables(w *belt.Work, run *fleet.Run) {
	for i := range w.States {
		page.Speeds = append(page.Speeds, fmt.Sprintf("%.0f", w.States[i].RPM))
		if s := w.States[i].SlipWords(); s != "" {
			page.Slips = append(page.Slips, s)
		}
	}
	if st := w.Hardest(); st != nil {
		page.Grip = fmt.Sprintf("%.0f rpm", st.RPM)
	}
	for _, p := range w.Pulleys(run) {
		row := runRow{N: p.N, Name: say.Capital(p.Name), Position: p.Position, Side: belt.SideWords(p.Back),
			Turns: belt.TurnWords(p.Turns), Wrap: fmt.Sprintf("%.0f°", p.WrapDeg)}
		for _, rpm := range p.RPM {
			row.RPM = append(row.RPM, fmt.Sprintf("%.0f", rpm))
			row.Ratio = fmt.Sprintf("%.2f", p.Ratio)
		}
		if p.Bears != nil {
			page.force(&row, p.Bears)
		}
		page.Rows = append(page.Rows, row)
	}
	for _, s := range w.Spans() {
		row := spanRow{Name: message.Of("%s to %s", say.Capital(s.From), s.To),
			Length: page.figure(s.LengthMM, "mm", 0)}
		if s.Rest != nil {
			row.Rest, row.Tone = page.figure(s.Rest.N, "N", 0), fmt.Sprintf("%.0f", s.Rest.Hz)
		}
		page.Spans = append(page.Spans, row)
	}
}

func (page *runPage) force(row *runRow, l *belt.Load) {
	row.Hub = page.figure(l.HubN, "N", 0)
	if !l.Idles {
		row.Torque, row.Used, row.Friction = page.figure(l.TorqueNm, "N·m", 1), fmt.Sprintf("%.0f %%", l.Used*100),
			fmt.Sprintf("%.2f", l.Friction)
	}
	if l.Life != nil {
		row.Life, page.Lives, page.LifeNote = belt.LifeWords(l.Life.Hours), true, belt.LifeCaution
	}
}
