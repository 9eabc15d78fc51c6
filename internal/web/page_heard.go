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
	"undertray.example/undertray/internal/say"
)

// heardPage says what a recording tells.
type heardPage struct {
	Page
	Headline, Rest string
	Decides        string
	Caution        string
	Warnings       []string
	Noise          string
	Figures        []drawing // the first suspect's own kind first
	Lines          []lineSwitch
	Suspects       []suspectRow
	Silent         string // of whom nothing shows
	Support        []string
	More           []string
	Tests          []string
	Basis          []string
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
	Name string
}

type suspectRow struct {
	N                      int
	Name, What, RPM, Score string
}

// comparedPart is the comparison with another recording.
type comparedPart struct {
	Headline, Rest string
	Bands          []bandRow
	Basis          []string
}

type bandRow struct{ Band, A, B, Change string }

// heardKeepForm keeps the recording.
type heardKeepForm struct {
	Form   roundForm
	Text   string
	As     []heardAs
	Chosen string
}

// heardAs is a position with the ways a recording can be kept at it.
type heardAs struct {
	Name    string
	Choices []heardChoice
}

type heardChoice struct{ Value, Say string }

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
		Rest: say.Rest(h.Told()), Decides: belt.ListenDecides, Caution: belt.ListenCaution,
		Warnings: h.Warnings(), Noise: h.NoiseWords(), Support: belt.LineWords(h.Ranking.Suspects[0].Lines),
		More: h.More(), Tests: h.Tests(), Basis: h.Basis(),
		Sound: base + "/sound", Ask: d.listenAsk(r.URL.Query())}
	page.Ask.Other = r.PathValue("hash")
	silent := []string{}
	for i, q := range h.Ranking.Suspects {
		if q.Score <= 0 && i > 0 {
			silent = append(silent, "the "+say.LowerFirst(h.Name(q)))
			continue
		}
		row := suspectRow{N: i + 1, Name: h.Name(q), What: h.What(q), RPM: fmt.Sprintf("%.0f", h.RPMOf(q)),
			Score: fmt.Sprintf("%.1f", q.Score)}
		page.Suspects = append(page.Suspects, row)
	}
	if len(silent) > 0 {
		page.Silent = say.Listing(silent)
	}
	if from, to := h.Band(); to > 0 {
		page.From, page.To = fmt.Sprintf("%.0f", from), fmt.Sprintf("%.0f", to)
	}
	if c != nil {
		page.Compared = comparedRows(c)
	}
	page.try(r, d, x)
	page.Keep = s.heardKeepForm(d, r, h)
	page.Keep.Text += x.NoteWords()
	page.Keep.Form.Action = base + "?" + r.URL.RawQuery
	return page, page.draw(h)
}

func (page *heardPage) draw(h *belt.Heard) error {
	figs, err := h.Figures(draw.Head{ID: "beats", Width: planWidth}, draw.Head{ID: "levels", Width: planWidth})
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
	out := &comparedPart{Headline: c.Headline(), Rest: say.Rest(c.Told()), Basis: c.Basis()}
	for _, b := range c.Bands {
		out.Bands = append(out.Bands, bandRow{fmt.Sprintf("%.0f to %.0f", b.From, b.To), fmt.Sprintf("%.1f", b.A),
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
			as.Choices = append(as.Choices, heardChoice{id + "/" + a.ID, say.LowerFirst(a.Say)})
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
