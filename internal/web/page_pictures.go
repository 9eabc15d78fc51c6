package web

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"undertray/internal/fleet"
	"undertray/internal/picture"
	"undertray/internal/visit"
)

// Bounds of the small versions that are held in memory.
const (
	mostSmalls  = 400
	smallsBytes = 16 << 20
)

// picturesPage shows pictures of one thing along its life, or all of a vehicle's, any
// two side by side, and takes one more.
type picturesPage struct {
	Page
	Headline string
	Rows     []pictureRow // the newest first
	Two      []pictureRow // that stand side by side, the older first
	Take     takePicture
	Faults   []fault
}

// takePicture is the form that takes a picture in.
type takePicture struct {
	Form                                 roundForm
	Position, Check, Opening, Step, Text string
	Room                                 string  // how much is taken, where that is much
	Positions                            []group // to choose from, where nothing is named
}

// pictureRow is one picture that is kept.
type pictureRow struct {
	Hash     string `json:"hash"`
	Entry    string `json:"entry"`
	Day      string `json:"day"`
	Position string `json:"position,omitempty"` // its name
	Words    string `json:"words"`
	Full     string `json:"address"`
	Small    string `json:"small"`
}

func (d *desk) pictureRow(e *fleet.Entry) pictureRow {
	at := "/v/" + d.vehicle.ID + "/picture/" + e.Picture.Hash
	row := pictureRow{Hash: e.Picture.Hash, Entry: e.ID, Day: e.Date.Long(), Words: d.report.PictureWords(e.Picture),
		Full: at + "/full", Small: at + "/small"}
	if p := d.vehicle.Position(e.Picture.Position); p != nil {
		row.Position = p.Name
	}
	return row
}

// picturesOf lists the pictures of what is asked about, the newest first.
func (d *desk) picturesOf(of fleet.Picture) []pictureRow {
	all := slices.Clone(d.report.State.Pictures)
	for id, p := range d.report.State.Places {
		if of.Position == "" || id == of.Position {
			all = append(all, p.Pictures...)
		}
	}
	fleet.SortByDate(all)
	var out []pictureRow
	for _, e := range slices.Backward(all) {
		p := e.Picture
		if (of.Position == "" || p.Position == of.Position) && (of.Opening == "" || p.Opening == of.Opening) {
			out = append(out, d.pictureRow(e))
		}
	}
	return out
}

// pictured reads what a picture is of; a step is that of its opening or position.
func (d *desk) pictured(f url.Values) fleet.Picture {
	p := fleet.Picture{Position: f.Get("position"), Check: f.Get("check"), Opening: f.Get("opening"),
		Step: f.Get("step"), Text: strings.TrimSpace(f.Get("text"))}
	if p.Position == "" && p.Opening == "" {
		p.Position, p.Opening = visit.StepOf(d.vehicle, p.Step)
	}
	return p
}

func (s *Server) picturesPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	page, err := s.layPictures(d, r, r.URL.Query())
	if err != nil {
		return err
	}
	return s.answer(w, r, "pictures", page, map[string]any{"headline": page.Headline, "pictures": page.Rows})
}

func (s *Server) layPictures(d *desk, r *http.Request, asked url.Values) (*picturesPage, error) {
	of := d.pictured(asked)
	page := &picturesPage{Page: s.page(r, d, "pictures", "Pictures, "+d.vehicle.Name), Rows: d.picturesOf(of)}
	name := d.vehicle.Name
	if of.Position != "" {
		j, err := d.report.Find(of.Position)
		if err != nil {
			return nil, err
		}
		name = j.Position.Name
	}
	if o := d.vehicle.Opening(of.Opening); o != nil {
		name = o.Name
	}
	page.Headline = "Pictures: " + name
	if len(page.Rows) == 0 {
		page.Headline = "No picture is kept: " + name
	}
	page.Two = twoOf(page.Rows, asked.Get("a"), asked.Get("b"))
	page.Take = s.takePicture(d, r, of)
	return page, nil
}

// twoOf picks the two that are asked for, or the oldest and the newest.
func twoOf(rows []pictureRow, a, b string) []pictureRow {
	if len(rows) < 2 {
		return nil
	}
	find := func(hash string, or pictureRow) pictureRow {
		i := slices.IndexFunc(rows, func(row pictureRow) bool { return row.Hash == hash })
		if i < 0 {
			return or
		}
		return rows[i]
	}
	return []pictureRow{find(a, rows[len(rows)-1]), find(b, rows[0])}
}

func (s *Server) takePicture(d *desk, r *http.Request, of fleet.Picture) takePicture {
	t := takePicture{Form: s.roundForm(d, r), Position: of.Position, Check: of.Check, Opening: of.Opening,
		Step: of.Step, Text: of.Text}
	t.Form.Action = "/v/" + d.vehicle.ID + "/pictures"
	t.Form.Date = cmp.Or(r.FormValue("date"), s.today().String())
	if used, err := picture.Used(r.Context(), s.opt.Journal); err == nil {
		t.Room = picture.UsedWords(used, d.yard.Settings.Pictures.Bytes())
	}
	if of.Position == "" && of.Opening == "" {
		t.Positions = d.allPositions()
	}
	return t
}

// pictureKeep keeps a picture and what it is of, once.
func (s *Server) pictureKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.bare(r)
	if err != nil {
		return err
	}
	src, err := takeFile(r, "picture", picture.MaxFile, &fleet.Error{Kind: fleet.Invalid, Where: "picture",
		Msg: "no picture came with the form", Hint: "take one, or choose a file"})
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return err
	}
	batch, of := r.PostForm.Get("batch"), d.pictured(r.PostForm)
	if err == nil && !s.has(r, d, batch) { // else the form was sent before
		err = s.keepPicture(r, d, of, src)
	}
	if err != nil && (fleet.KindOf(err) == fleet.Internal || wantsJSON(r)) {
		return err
	}
	if err != nil {
		return s.pictureAgain(w, r, err)
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusCreated, map[string]string{"batch": batch})
	}
	to := url.Values{}
	for key, v := range map[string]string{"position": of.Position, "opening": of.Opening} {
		if v != "" {
			to.Set(key, v)
		}
	}
	http.Redirect(w, r, "/v/"+d.vehicle.ID+"/pictures?"+to.Encode(), http.StatusSeeOther)
	return nil
}

// pictureAgain shows the form of a picture that was not kept, with what is wrong.
func (s *Server) pictureAgain(w http.ResponseWriter, r *http.Request, err error) error {
	d, deskErr := s.desk(r)
	if deskErr != nil {
		return errors.Join(err, deskErr)
	}
	page, again := s.layPictures(d, r, r.PostForm)
	if again != nil {
		return err
	}
	page.Faults = faults(err)
	return s.render(w, r, status(err), "pictures", page)
}

func (s *Server) keepPicture(r *http.Request, d *desk, of fleet.Picture, src []byte) error {
	e := &fleet.Entry{Type: fleet.TypePicture, Date: s.typedDay(r.PostForm), Picture: &of}
	var err error
	if typed := r.PostForm.Get("date"); typed != "" {
		if e.Date, err = parseDay("date", typed); err != nil {
			return err
		}
	}
	rec, err := s.formRecorder(r, d)
	if err == nil {
		err = rec.Check(r.Context(), d.vehicle, []*fleet.Entry{e})
	}
	if err != nil {
		return err
	}
	s.drawing.Lock()
	of.Hash, err = picture.Keep(r.Context(), s.opt.Journal, src, d.yard.Settings.Pictures.Bytes())
	s.drawing.Unlock()
	if err == nil {
		_, err = s.send(r, d, []*fleet.Entry{e})
	}
	return err
}

// pictureFile sends a picture, or its small version.
func (s *Server) pictureFile(w http.ResponseWriter, r *http.Request) error {
	hash, size := r.PathValue("hash"), r.PathValue("size")
	src, err := s.pictureSource(r.Context(), hash, size == "small")
	if err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", picture.Media)
	h.Set("Cache-Control", "private, no-cache")
	h.Set("ETag", `"`+hash+size+`"`)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(src))
	return nil
}

func (s *Server) pictureSource(ctx context.Context, hash string, small bool) ([]byte, error) {
	if src := s.smalls.get(hash); src != nil && small {
		return src, nil
	}
	a, err := s.opt.Journal.Attachment(ctx, hash)
	if err != nil {
		return nil, err
	}
	if a.Media != picture.Media {
		return nil, &fleet.Error{Kind: fleet.NotFound, Msg: "there is no such picture",
			Hint: "look in the vehicle's journal"}
	}
	if !small {
		return a.Data, nil
	}
	s.drawing.Lock()
	defer s.drawing.Unlock()
	src, err := picture.Reduced(a.Data)
	if err == nil {
		s.smalls.put(hash, src)
	}
	return src, err
}
