package web

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strings"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// heardPage says what a recording tells.
type heardPage struct {
	Page
	Headline, Rest message.Text
	Decides        message.Text
	Caution        message.Text
	Warnings       []message.Text
	Noise          message.Text
	Figures        []drawing // the first suspect's own kind first
	Lines          []lineSwitch
	Suspects       []suspectRow
	Silent         message.Text // of whom nothing shows
	Support        []message.Text
	More           []message.Text
	Tests          []message.Text
	Basis          []message.Text
	Sound          string // address
	From, To       string // Hz of the band to listen to by itself
	Compared       *comparedPart
	Try            *tryPart
	Ask            listenAsk // to compare with another
	Keep           heardKeepForm
}

// lineSwitch switches a candidate's lines on and off in the drawings.
type lineSwitch struct {
	N    int
	Name message.Text
}

type suspectRow struct {
	N          int
	Name, What message.Text
	RPM, Score string
}

// comparedPart is the comparison with another recording.
type comparedPart struct {
	Headline, Rest message.Text
	Bands          []bandRow
	Basis          []message.Text
}

type bandRow struct {
	Band         message.Text
	A, B, Change string
}

// heardKeepForm keeps the recording.
type heardKeepForm struct {
	Form   roundForm
	Text   message.Text
	As     []heardAs
	Chosen string
}

// heardAs is a position with the ways a recording can be kept at it.
type heardAs struct {
	Name    string
	Choices []heardChoice
}

type heardChoice struct {
	Value string
	Say   message.Text
}

func (s *Server) heardPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	h, err := s.hear(r, d)
	var c *belt.Compared
	if err == nil {
		c, err = s.compared(r, h)
	}
	var x *belt.Experiment
	if err == nil {
		x, err = s.experiment(r, d, h)
	}
	if err != nil {
		if fleet.KindOf(err) != fleet.Invalid || wantsJSON(r) {
			return err
		}
		return s.render(w, r, status(err), "listen", s.layListen(d, r, r.URL.Query(), faults(err)))
	}
	if wantsJSON(r) {
		v := h.View()
		v.Experiment = x.View()
		return s.writeJSON(w, r, http.StatusOK, v)
	}
	page, err := s.layHeard(d, r, h, c, x)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "heard", page)
}

// compared sets the recording beside the one that ?other= names, nil for none.
func (s *Server) compared(r *http.Request, h *belt.Heard) (*belt.Compared, error) {
	other := r.URL.Query().Get("other")
	if other == "" {
		return nil, nil
	}
	before, err := s.recording(r, other)
	if err != nil {
		return nil, err
	}
	return belt.CompareRecordings(before, h.Recording, "the recording before", "this one")
}

func (s *Server) layHeard(d *desk, r *http.Request, h *belt.Heard, c *belt.Compared, x *belt.Experiment) (heardPage,
	error) {
	base := "/v/" + d.vehicle.ID + "/listen/" + r.PathValue("hash")
	page := heardPage{Page: s.page(r, d, "listen", "Heard, %s"), Headline: h.Headline(),
		Rest: told.Rest(h.Told()), Decides: belt.ListenDecides, Caution: belt.ListenCaution,
		Warnings: h.Warnings(), Noise: h.NoiseWords(), Support: belt.LineWords(h.Ranking.Suspects[0].Lines),
		More: h.More(), Tests: h.Tests(), Basis: h.Basis(),
		Sound: base + "/sound", Ask: d.listenAsk(r.URL.Query())}
	page.Ask.Other = r.PathValue("hash")
	var silent []message.Text
	for i, q := range h.Ranking.Suspects {
		if q.Score <= 0 && i > 0 {
			silent = append(silent, message.Of("the %s", h.Name(q).LowerFirst()))
			continue
		}
		row := suspectRow{N: i + 1, Name: h.Name(q), What: h.What(q), RPM: fmt.Sprintf("%.0f", h.RPMOf(q)),
			Score: fmt.Sprintf("%.1f", q.Score)}
		page.Suspects = append(page.Suspects, row)
	}
	page.Silent = told.Listing(silent)
	if from, to := h.Band(); to > 0 {
		page.From, page.To = fmt.Sprintf("%.0f", from), fmt.Sprintf("%.0f", to)
	}
	if c != nil {
		page.Compared = comparedRows(c)
	}
	page.try(r, d, x)
	page.Keep = s.heardKeepForm(d, r, h)
	page.Keep.Text = message.Joined(told.Sentences(page.Keep.Text, x.NoteWords()), " ")
	page.Keep.Form.Action = base + "?" + r.URL.RawQuery
	return page, page.draw(h, d.in)
}

func (page *heardPage) draw(h *belt.Heard, in *message.Language) error {
	figs, err := h.Figures(draw.Head{ID: "beats", Width: planWidth, In: in},
		draw.Head{ID: "levels", Width: planWidth, In: in})
	if err != nil {
		return err
	}
	for _, f := range figs {
		page.Figures = append(page.Figures, drawing{Title: f.Title, Caption: f.Caption, SVG: template.HTML(f.SVG)})
	}
	for _, c := range h.Drawn(figs) {
		page.Lines = append(page.Lines, lineSwitch{c.Number, c.Name})
	}
	return nil
}

func comparedRows(c *belt.Compared) *comparedPart {
	out := &comparedPart{Headline: c.Headline(), Rest: told.Rest(c.Told()), Basis: c.Basis()}
	for _, b := range c.Bands {
		out.Bands = append(out.Bands, bandRow{message.Of("%.0f to %.0f", b.From, b.To), fmt.Sprintf("%.1f", b.A),
			fmt.Sprintf("%.1f", b.B), fmt.Sprintf("%+.1f", b.Change)})
	}
	return out
}

// heardKeepForm offers to keep the recording as a note, or as the answer to the
// noise check of a part that may be the one.
func (s *Server) heardKeepForm(d *desk, r *http.Request, h *belt.Heard) heardKeepForm {
	f := heardKeepForm{Form: s.roundForm(d, r), Text: h.NoteWords()}
	for _, k := range h.Keepable(d.catalogue()) {
		id := k.Position.ID
		as := heardAs{Name: k.Position.Name, Choices: []heardChoice{{id + "/", "a note on it"}}}
		for _, a := range k.Answers {
			as.Choices = append(as.Choices, heardChoice{id + "/" + a.ID, message.Name(a.Say).LowerFirst()})
		}
		f.As = append(f.As, as)
	}
	if id := h.Suspected(); id != "" {
		f.Chosen = id + "/"
	}
	return f
}

// heardKeep puts the recording into the journal with a note or a finding.
func (s *Server) heardKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	src, err := s.sound(r.Context(), r.PathValue("hash"))
	if err != nil {
		return err
	}
	if _, err := belt.ReadRecording("recording", bytes.NewReader(src)); err != nil {
		return err
	}
	e, err := d.heardEntry(r.PostForm)
	if err != nil {
		return err
	}
	hash, err := s.opt.Journal.PutAttachment(r.Context(), bytes.NewReader(src),
		"recording "+e.Date.String()+".wav", belt.SoundType)
	if err != nil {
		return err
	}
	hashes := []string{hash}
	for _, t := range triesOf(r.URL.Query()) {
		if t.hash == "" {
			continue
		}
		src, err := s.sound(r.Context(), t.hash)
		if err != nil {
			return err
		}
		hash, err := s.opt.Journal.PutAttachment(r.Context(), bytes.NewReader(src),
			"recording "+e.Date.String()+", "+string(t.what)+".wav", belt.SoundType)
		if err != nil {
			return err
		}
		hashes = append(hashes, hash)
	}
	belt.Attach(e, hashes...)
	return s.keep(w, r, d, []*fleet.Entry{e})
}

// heardEntry reads the form: "position/answer", "position/" for a note on it,
// or nothing for a note on the vehicle.
func (d *desk) heardEntry(v url.Values) (*fleet.Entry, error) {
	day, errDay := parseDay("date", v.Get("date"))
	odometer, errOdo := distance("odometer", v.Get("odometer"), d.vehicle.Reader)
	at, answer, _ := strings.Cut(v.Get("as"), "/")
	e, err := belt.Entry(d.catalogue(), d.vehicle, at, answer, strings.TrimSpace(v.Get("text")))
	if err = errors.Join(errDay, errOdo, err); err != nil {
		return nil, err
	}
	e.Date, e.Odometer = day, odometer
	return e, nil
}
