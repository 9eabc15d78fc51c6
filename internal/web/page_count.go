package web

import (
	"context"
	"encoding/json"
	"errors"
	"image"
	"net"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/picture"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/tally"
	"undertray.example/undertray/internal/tally/onbelt"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// Bounds of pictures that are counted on and not kept yet.
const (
	mostHeld  = 8
	heldBytes = 2 * picture.MaxFile
)

// countPage counts cracks on a photograph of a belt, or measures an outline.
type countPage struct {
	Page
	Headline      message.Text
	Of            string // as the catalogue has it
	Place         *tally.Place
	Told          onbelt.Told
	Reader        string // how much the reader weighs that runs on the device; "": there is none
	Seen          *onbelt.Seen
	Picture, Hash string          // where the picture is, and what it is
	Kept          message.Text    // what was kept of it before
	Then          string          // address at which it is laid over the count before it
	Ticks         []markTick      // of each mark
	Says          [3]message.Text // what the count means: mark of the verdict, its word, who says what
	Edge          message.Text    // that it would mean something else within its band
	Caution       string
	Note          string
	Table         answerTable
	Form          roundForm
	Faults        []fault
	New           string // address of another count here
}

// markTick says whether a mark counts.
type markTick struct {
	N    int
	Says message.Text
	On   bool
}

// Proven says what the method was tried on.
func (p countPage) Proven() message.Text { return onbelt.ProvenOf(p.Of) }

// countAsked is a check that a count answers: its field, and one of what is counted in the unit of its figures.
type countAsked struct {
	Field   string   `json:"field"`
	Each    float64  `json:"each"`
	Answers []string `json:"answers,omitempty"` // of a check answered in words, in their order
}

// Asked are the checks that the count answers, and where cracks stand closest.
func (p countPage) Asked() []countAsked {
	of := func(c *catalogue.Check, unit string) countAsked {
		out := countAsked{Field: answerPrefix + p.Place.Judgement.Position.ID + "." + c.ID}
		if c.Measured() {
			out.Each = units.Must(1, unit).In(c.FigureUnit())
		}
		for _, a := range c.Answers {
			out.Answers = append(out.Answers, a.ID)
		}
		return out
	}
	out := []countAsked{of(p.Place.Check, p.Place.Unit())}
	if c := p.Place.Closest(); c != nil {
		out = append(out, of(c, tally.ClosestUnit))
	}
	return out
}

// Graver are the marks of the verdicts, the least first.
func (countPage) Graver() (out []string) {
	for v := fleet.Unseen; v <= fleet.Park; v++ {
		out = append(out, slug(v))
	}
	return out
}

// countHref is where a check of a position is counted on a photograph, or "".
func (d *desk) countHref(position, check string) string {
	j := d.report.Judgement(position)
	if j == nil || j.Kind == nil || tally.Countable(j.Kind, check) == nil {
		return ""
	}
	q := url.Values{"position": {position}}
	if check != "" {
		q.Set("check", check)
	}
	return "/v/" + d.vehicle.ID + "/count?" + q.Encode()
}

// onward leads somewhere, in words that stand alone and in short ones.
type onward struct {
	Href         string
	Words, Short message.Text
}

// countLink is where a photograph answers a check, in words; nothing where none does.
func (d *desk) countLink(p *fleet.Position, c *catalogue.Check) onward {
	if c.Photograph == nil {
		return onward{}
	}
	to := onward{d.countHref(p.ID, c.ID), "Measure it on a photograph", "measure it"}
	switch c.Photograph.Of {
	case catalogue.OfCracks:
		to.Words, to.Short = "Count cracks on a photograph", "count cracks"
	case catalogue.OfProfile:
		to.Words, to.Short = "Measure ribs on a photograph", "measure ribs"
	case catalogue.OfGauge:
		to.Words, to.Short = "Read the gauge on a photograph", "read gauge"
	}
	return to
}

// countOf is where the count is opened that an entry is of: the finding, its picture or the marks on it; or "".
func (d *desk) countOf(e *fleet.Entry) string {
	hash := ""
	switch {
	case e.Found != nil && e.Found.Counted != nil:
		hash = e.Found.Counted.Picture
	case e.Picture != nil:
		hash = e.Picture.Hash
	case e.Mark != nil && (e.Mark.Belt != nil || e.Mark.Outline != nil):
		hash = e.Mark.Picture
	default:
		return ""
	}
	mark, found := tally.Kept(fleet.Standing(d.entries), hash)
	if mark == nil || found == nil {
		return ""
	}
	to := d.countHref(found.Found.Position, found.Found.Check)
	if to == "" {
		return ""
	}
	return to + "&hash=" + hash
}

// countPage asks for a picture; with ?hash= it opens what was counted on one.
func (s *Server) countPage(w http.ResponseWriter, r *http.Request) error {
	hash := r.URL.Query().Get("hash")
	of := s.desk
	if hash != "" {
		of = s.whole
	}
	d, err := of(r)
	if err != nil {
		return err
	}
	page, err := s.layCount(d, r, r.URL.Query())
	if err == nil && hash != "" {
		err = s.openCount(r, d, page, hash)
	}
	if err != nil {
		return err
	}
	return s.answer(w, r, "count", page, page.view())
}

// countView is the page's twin.
type countView struct {
	Position string       `json:"position"`
	Check    string       `json:"check"`
	Section  string       `json:"section"`
	Caution  string       `json:"caution"`
	Seen     *onbelt.Seen `json:"seen,omitempty"`
	Means    message.Text `json:"means,omitempty"`
}

func (p *countPage) view() countView {
	v := countView{p.Place.Judgement.Position.ID, p.Place.Check.ID, p.Place.Section.Name, p.Caution, p.Seen, ""}
	if p.Says[1] != "" {
		v.Means = message.Of("%s: %s", p.Says[1], p.Says[2])
	}
	return v
}

func (s *Server) layCount(d *desk, r *http.Request, asked url.Values) (*countPage, error) {
	at, err := tally.PlaceOf(d.report, asked.Get("position"), asked.Get("check"), asked.Get("section"))
	if err != nil {
		return nil, err
	}
	headline := message.Text("%s, counted on a photograph")
	if at.Check.Photograph.Of != catalogue.OfCracks {
		headline = "%s, measured on a photograph"
	}
	page := &countPage{Page: s.page(r, d, "position", "%s on a photograph, %s", at.Check.Title()), Place: at,
		Of: at.Check.Photograph.Of, Told: at.Told(d.in),
		Headline: headline.With(at.Judgement.Position.Name), Reader: s.assets.readerSize(),
		Caution: d.report.Catalogue.CautionOn(d.vehicle, at.Check), Note: asked.Get("note"),
		New: d.countHref(at.Judgement.Position.ID, at.Check.ID)}
	checks := []visit.CheckItem{{Check: at.Check}}
	if c := at.Closest(); c != nil {
		checks = append(checks, visit.CheckItem{Check: c})
	}
	page.Table = d.answerTable([]visit.Stage{{Stops: []visit.Stop{{Position: at.Judgement.Position,
		Kind: at.Judgement.Kind, Judgement: at.Judgement, Checks: checks}}}})
	page.Form = s.roundForm(d, r)
	page.Form.Batch, page.Form.Date = or(page.Form.Batch, s.opt.NewID()), or(page.Form.Date, s.today().String())
	page.Form.Action = "/v/" + d.vehicle.ID + "/count"
	return page, nil
}

// show lays out what was counted on a picture.
func (p *countPage) show(d *desk, s *onbelt.Seen, hash string) {
	p.Seen, p.Hash, p.Picture = s, hash, "/v/"+d.vehicle.ID+"/picture/"+hash+"/full"
	if p.Headline = s.Headline; s.Stops {
		return
	}
	for i, m := range s.Drawn {
		p.Ticks = append(p.Ticks, markTick{i, m.Says, !m.Out})
	}
	c := p.Place.Counted(d.report, s)
	m := c.Means
	p.Says, p.Edge = [3]message.Text{message.Text(slug(m.Verdict)), m.Verdict.Message(), m.Words}, c.Edge
}

// openCount shows what was counted on a picture that is kept, as it was kept.
func (s *Server) openCount(r *http.Request, d *desk, page *countPage, hash string) error {
	mark, found := tally.Kept(fleet.Standing(d.entries), hash)
	if mark == nil || found == nil {
		return &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("%s has no such count", d.vehicle.Name),
			Hint: "look in the vehicle's journal"}
	}
	grey, _, err := s.grey(r.Context(), hash)
	if err != nil {
		return err
	}
	seen := page.Place.Open(mark.Mark, found.Found.Counted.Version, grey.Rect.Dx(), grey.Rect.Dy())
	page.show(d, seen, hash)
	page.Kept = message.Of("%s: %s, %s.", told.Long(found.Date), found.Found.Value,
		advise.CountedWords(found.Found.Counted))
	page.Form.Date = found.Date.String()
	at := page.Place
	series := tally.Series(d.report, at.Judgement, at.Check.ID)
	page.Then = d.thenHref(series, at.Judgement.Position.ID, at.Check.ID, hash)
	return nil
}

// countTake reads a picture, counts again what hands changed, or keeps it: a page, or in JSON what is seen.
func (s *Server) countTake(w http.ResponseWriter, r *http.Request) error {
	var files [][]byte
	err := form(r)
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
		files, err = takeFiles(r, picture.MaxFile, nil, "picture")
		if len(files) == 0 && err == nil {
			files = [][]byte{nil}
		}
	}
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return err
	}
	if err != nil {
		return err
	}
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	page, err := s.layCount(d, r, r.PostForm)
	if err != nil {
		return err
	}
	var src []byte
	if len(files) > 0 {
		src = files[0]
	}
	switch r.PostForm.Get("do") {
	case "keep":
		err = s.countKeep(w, r, d, page, src)
		if err == nil {
			return nil
		}
	case "again":
		page.Seen, err = typedCount(r.PostForm)
		page.Hash = r.PostForm.Get("hash")
	default:
		page.Seen, page.Hash, err = s.countRead(r, page.Place, src)
	}
	if err != nil && (fleet.KindOf(err) == fleet.Internal || wantsJSON(r)) {
		return err
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, page.Seen)
	}
	code := http.StatusOK
	if err != nil {
		page.Faults, code = faults(err), status(err)
	}
	if page.Seen != nil {
		page.show(d, page.Seen, page.Hash)
	}
	return s.render(w, r, code, "count", page)
}

// countRead reads a picture that was sent, or that of a hash anew. It is held until it is kept.
func (s *Server) countRead(r *http.Request, at *tally.Place, src []byte) (*onbelt.Seen, string, error) {
	leave, err := s.reading.enter(device(r))
	if err != nil {
		return nil, "", err
	}
	hash := r.PostForm.Get("hash")
	if src == nil && hash == "" {
		leave()
		return nil, "", &fleet.Error{Kind: fleet.Invalid, Where: "picture", Msg: "no picture came with the form",
			Hint: "take one, or choose a file"}
	}
	if src != nil {
		kept, err := picture.Read(src)
		if err != nil {
			leave()
			return nil, "", err
		}
		hash = journal.ContentHash(kept)
		s.held.put(hash, kept)
	}
	grey, size, err := s.grey(r.Context(), hash)
	if err != nil {
		leave()
		return nil, "", err
	}
	focal := picture.Focal(src, size[0], size[1])
	type outcome struct {
		seen *onbelt.Seen
		err  error
	}
	done := make(chan outcome, 1)
	go func() { // the engine knows no context: who gives up leaves it to end
		defer leave()
		seen, err := at.Read(grey, focal)
		done <- outcome{seen, err}
	}()
	select {
	case o := <-done:
		return o.seen, hash, o.err
	case <-r.Context().Done():
		return nil, "", &fleet.Error{Kind: fleet.Unavailable, Where: "picture",
			Msg: "reading the picture took too long", Hint: "send it again later, or a smaller one",
			Err: r.Context().Err()}
	}
}

// grey is the light of a picture that is held or kept, and its size.
func (s *Server) grey(ctx context.Context, hash string) (*image.Gray, [2]int, error) {
	src, err := s.pictureSource(ctx, hash, false)
	if err != nil {
		return nil, [2]int{}, err
	}
	g, err := picture.Grey(src)
	if err != nil {
		return nil, [2]int{}, err
	}
	return g, [2]int{g.Rect.Dx(), g.Rect.Dy()}, nil
}

// typedCount is what a form brings back: what was seen, with what was struck out or added, counted again.
func typedCount(f url.Values) (*onbelt.Seen, error) {
	seen := new(onbelt.Seen)
	if err := json.Unmarshal([]byte(f.Get("seen")), seen); err != nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "seen", Msg: "what was seen on the picture is missing",
			Hint: "send the picture again", Err: err}
	}
	if f.Has("ticks") { // each mark has a tick of its own
		seen.Out = nil
		for i := range seen.Things() {
			if !slices.Contains(f["on"], strconv.Itoa(i)) {
				seen.Out = append(seen.Out, i)
			}
		}
	}
	x, errX := strconv.ParseFloat(f.Get("x"), 64)
	y, errY := strconv.ParseFloat(f.Get("y"), 64)
	if errX == nil && errY == nil {
		seen.Add(x, y)
	}
	seen.Again()
	return seen, nil
}

// countKeep keeps a count with its picture and marks, once.
func (s *Server) countKeep(w http.ResponseWriter, r *http.Request, d *desk, page *countPage, src []byte) error {
	hash := r.PostForm.Get("hash")
	page.Hash = hash
	seen, err := typedCount(r.PostForm)
	if err != nil {
		return err
	}
	if page.Seen = seen; s.has(r, d, r.PostForm.Get("batch")) {
		return s.goOn(w, r, "/v/"+d.vehicle.ID+"/batch/"+r.PostForm.Get("batch"))
	}
	day, errDay := parseDay("date", r.PostForm.Get("date"))
	odometer, errOdo := distance("odometer", r.PostForm.Get("odometer"), d.vehicle.Reader)
	if err := errors.Join(errDay, errOdo); err != nil {
		return err
	}
	if src == nil && hash != "" {
		src = s.held.get(hash)
	}
	kept := src == nil
	if !kept {
		plain, err := picture.Read(src)
		if err != nil {
			return err
		}
		src, hash = plain, journal.ContentHash(plain)
	}
	entries, err := page.Place.Entries(seen, hash, kept, strings.TrimSpace(page.Note))
	if err != nil {
		return err
	}
	for _, e := range entries {
		e.Date, e.Sure = day, r.PostForm.Get("sure") != ""
	}
	entries[0].Odometer = odometer
	rec, err := s.formRecorder(r, d)
	if err == nil {
		err = rec.Check(r.Context(), d.vehicle, entries)
	}
	if err == nil && !kept {
		_, err = picture.Keep(r.Context(), s.opt.Journal, d.yard.Settings.Pictures.Bytes(), src)
	}
	if err != nil {
		return err
	}
	return s.keep(w, r, d, entries)
}

// readers let each device have one picture read at a time, and two in all: each takes the processor for a second.
type readers struct {
	mu   sync.Mutex
	busy map[string]bool
}

const mostReaders = 2

func (l *readers) enter(device string) (leave func(), err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.busy[device] || len(l.busy) >= mostReaders {
		return nil, &fleet.Error{Kind: fleet.Conflict, Where: "picture", Msg: "another picture is being read",
			Hint: "send this one again in a few seconds"}
	}
	if l.busy == nil {
		l.busy = map[string]bool{}
	}
	l.busy[device] = true
	return func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		delete(l.busy, device)
	}, nil
}

// device tells devices apart as far as a request does by itself.
func device(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}
