package web

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/picture"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
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
	Headline message.Text
	Rows     []pictureRow // the newest first
	Two      []pictureRow // that stand side by side, the older first
	Scaled   bool         // a length is marked in both
	Take     takePicture
	Faults   []fault
}

// takePicture is the form that takes a picture in.
type takePicture struct {
	Form                                 roundForm
	Position, Check, Opening, Step, Text string
	Room                                 message.Text // how much is taken, where that is much
	Positions                            []group      // to choose from, where nothing is named
}

// pictureRow is one picture that is kept.
type pictureRow struct {
	Hash     string       `json:"hash"`
	Entry    string       `json:"entry"`
	Day      message.Text `json:"day"`
	On       civil.Date   `json:"-"`
	Position string       `json:"position,omitempty"` // its name
	Words    message.Text `json:"words"`
	Full     string       `json:"address"`
	Small    string       `json:"small"`
	Part     string       `json:"part,omitempty"` // what was framed, at full size
	Frame    string       `json:"-"`              // around it, as the path of an SVG

	Marks []markRow  `json:"marks,omitempty"`
	Scale float64    `json:"mm_across,omitempty"` // by the longest length marked in it
	Mid   [2]float64 `json:"-"`                   // of that length
}

// markRow is what is marked on a picture, and where its number stands.
type markRow struct {
	N     int
	Entry string
	Words message.Text
	Path  string
	X, Y  float64
	Mark  *fleet.PictureMark
}

func (d *desk) pictureRow(e *fleet.Entry) pictureRow {
	at := "/v/" + d.vehicle.ID + "/picture/" + e.Picture.Hash
	row := pictureRow{Hash: e.Picture.Hash, Entry: e.ID, Day: told.Long(e.Date), On: e.Date,
		Words: d.report.PictureWords(e.Picture), Full: at + "/full", Small: at + "/small"}
	if p := d.vehicle.Position(e.Picture.Position); p != nil {
		row.Position = p.Name
	}
	if p := e.Picture.Part; p != nil {
		row.Part = "/v/" + d.vehicle.ID + "/picture/" + p.Hash + "/full"
		row.Frame = picture.Path(picture.Frame(p.At))
	}
	longest := 0.0
	for _, e := range d.report.State.Marks {
		m := e.Mark
		if m.Picture != row.Hash {
			continue
		}
		at := m.At
		row.Marks = append(row.Marks, markRow{len(row.Marks) + 1, e.ID, advise.MarkWords(m),
			picture.Path(picture.Strokes(m.Shape, at)), min(at[0]+0.01, 0.95), max(at[1]-0.01, 0.04), m})
		if long := math.Hypot(at[2]-at[0], at[3]-at[1]); m.Length != nil && long > longest {
			longest, row.Scale = long, m.Length.Base()/long
			row.Mid = [2]float64{(at[0] + at[2]) / 2, (at[1] + at[3]) / 2}
		}
	}
	return row
}

// picturesOf lists the pictures of what is asked about, the newest first.
func (d *desk) picturesOf(of fleet.Picture) []pictureRow {
	var out []pictureRow
	for _, e := range slices.Backward(d.report.Pictures()) {
		p := e.Picture
		if (of.Position == "" || p.Position == of.Position) && (of.Opening == "" || p.Opening == of.Opening) {
			out = append(out, d.pictureRow(e))
		}
	}
	tellApart(out)
	return out
}

// tellApart numbers pictures of one day, the oldest first.
func tellApart(rows []pictureRow) {
	of, n := map[message.Text]int{}, map[message.Text]int{}
	for _, row := range rows {
		of[row.Day]++
	}
	for i := len(rows) - 1; i >= 0; i-- {
		if day := rows[i].Day; of[day] > 1 {
			n[day]++
			rows[i].Day = message.Of("%s, no. %d", day, n[day])
		}
	}
}

// shotsOf are the newest pictures, of some, of a step by its key: how what it opens or
// closes went together, or what was taken at that step before.
func (d *desk) shotsOf(all []*fleet.Entry, keys []string) (out []pictureRow) {
	for _, e := range slices.Backward(all) {
		of := slices.ContainsFunc(keys, func(key string) bool {
			_, opening := visit.StepOf(d.vehicle, key)
			return e.Picture.Step == key || opening != "" && e.Picture.Opening == opening
		})
		if of && len(out) < shotsAtStep {
			out = append(out, d.pictureRow(e))
		}
	}
	return out
}

// shotsAtStep is how many pictures a step of a job sheet shows.
const shotsAtStep = 2

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
	page := &picturesPage{Page: s.page(r, d, "pictures", "Pictures, %s"), Rows: d.picturesOf(of)}
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
	page.Headline = message.Of("Pictures: %s", name)
	if len(page.Rows) == 0 {
		page.Headline = message.Of("No picture is kept: %s", name)
	}
	page.Two = twoOf(page.Rows, asked.Get("a"), asked.Get("b"))
	page.Scaled = len(page.Two) == 2 && page.Two[0].Scale > 0 && page.Two[1].Scale > 0
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
	t.Room = s.roomWords(r, d)
	if of.Position == "" && of.Opening == "" {
		t.Positions = d.allPositions()
	}
	return t
}

// roomWords says how much room pictures take, where that is much.
func (s *Server) roomWords(r *http.Request, d *desk) message.Text {
	used, err := picture.Used(r.Context(), s.opt.Journal)
	if err != nil {
		return ""
	}
	return picture.UsedWords(used, d.yard.Settings.Pictures.Bytes())
}

// pictureKeep keeps a picture and what it is of, once.
func (s *Server) pictureKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.bare(r)
	if err != nil {
		return err
	}
	files, err := takeFiles(r, picture.MaxFile, &fleet.Error{Kind: fleet.Invalid, Where: "picture",
		Msg: "no picture came with the form", Hint: "take one, or choose a file"}, "picture", "part")
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return err
	}
	batch, of := r.PostForm.Get("batch"), d.pictured(r.PostForm)
	if err == nil && !s.has(r, d, batch) { // else the form was sent before
		err = s.keepPicture(r, d, of, files)
	}
	if err != nil && (fleet.KindOf(err) == fleet.Internal || wantsJSON(r)) {
		return err
	}
	if err != nil {
		return s.pictureAgain(w, r, err)
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusCreated, map[string]any{"batch": batch, "room": s.roomWords(r, d)})
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

func (s *Server) keepPicture(r *http.Request, d *desk, of fleet.Picture, files [][]byte) error {
	e := &fleet.Entry{Type: fleet.TypePicture, Date: s.typedDay(r.PostForm), Picture: &of}
	var err error
	if typed := r.PostForm.Get("date"); typed != "" {
		if e.Date, err = parseDay("date", typed); err != nil {
			return err
		}
	}
	if len(files) > 1 {
		of.Part = &fleet.PicturePart{}
		if of.Part.At, err = across(r.PostForm.Get("at")); err != nil {
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
	hashes, err := picture.Keep(r.Context(), s.opt.Journal, d.yard.Settings.Pictures.Bytes(), files...)
	if err != nil {
		return err
	}
	if of.Hash = hashes[0]; of.Part != nil {
		of.Part.Hash = hashes[1]
	}
	_, err = s.send(r, d, []*fleet.Entry{e})
	return err
}

// across reads where a part lies in its picture, four figures in parts of its width.
func across(typed string) (at fleet.Across, err error) {
	fields := strings.Fields(typed)
	for i := range at {
		bad := len(fields) != len(at)
		if !bad {
			at[i], err = strconv.ParseFloat(fields[i], 64)
			bad = err != nil || !(at[i] >= 0 && at[i] <= fleet.MaxAcross)
		}
		if bad {
			return at, &fleet.Error{Kind: fleet.Invalid, Where: "at",
				Msg:  "where the part lies in its picture cannot be read",
				Hint: "give its two corners in parts of the picture's width: 0.25 0.2 0.75 0.5"}
		}
	}
	return at, nil
}

// markKeep keeps what is marked on a picture, once.
func (s *Server) markKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	entry := func() ([]*fleet.Entry, error) {
		m := &fleet.PictureMark{Picture: r.PathValue("hash"), Shape: fleet.MarkShape(r.PostForm.Get("shape")),
			Text: strings.TrimSpace(r.PostForm.Get("text"))}
		for i, field := range [...]string{"x1", "y1", "x2", "y2"} {
			v, err := strconv.ParseFloat(r.PostForm.Get(field), 64)
			if err != nil {
				return nil, &fleet.Error{Kind: fleet.Invalid, Where: field, Msg: "where the mark stands is missing",
					Hint: "touch the picture, or type both points in % of its width", Err: err}
			}
			m.At[i] = v / 100
		}
		if m.Shape == fleet.MarkLength {
			var err error
			if m.Length, err = quantity("length", r.PostForm.Get("length"), units.Length, "mm"); err != nil {
				return nil, err
			}
		}
		e := &fleet.Entry{Type: fleet.TypeMark, Date: s.today(), Mark: m}
		return []*fleet.Entry{e}, fleet.CheckFact(e)
	}
	of, err := s.shotOf(r, d, r.PathValue("hash"))
	if err != nil {
		return err
	}
	return s.keepForm(w, r, d, func() string { return "journal/" + of.ID + "#mark" }, entry, func(err error) error {
		r.SetPathValue("entry", of.ID)
		page, again := s.layEntry(d, r)
		if again != nil {
			return again
		}
		page.Faults, page.Marking = faults(err), r.PostForm
		return s.render(w, r, status(err), "entry", page)
	})
}

// shotOf is the newest picture of the vehicle with this content.
func (s *Server) shotOf(r *http.Request, d *desk, hash string) (*fleet.Entry, error) {
	if err := s.readAll(r.Context(), d); err != nil {
		return nil, err
	}
	for _, e := range slices.Backward(fleet.Standing(d.entries)) {
		if e.Picture != nil && e.Picture.Hash == hash {
			return e, nil
		}
	}
	return nil, &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("%s has no such picture", d.vehicle.Name),
		Hint: "look in the vehicle's journal"}
}

// pictureFile sends a picture, or its small version.
func (s *Server) pictureFile(w http.ResponseWriter, r *http.Request) error {
	hash, size := r.PathValue("hash"), r.PathValue("size")
	src, err := s.pictureSource(r.Context(), hash, size == "small")
	if err != nil {
		return err
	}
	return sendJPEG(w, r, src, hash+size)
}

// sendJPEG sends a picture; tag tells one state of it from another.
func sendJPEG(w http.ResponseWriter, r *http.Request, src []byte, tag string) error {
	h := w.Header()
	h.Set("Content-Type", picture.Media)
	h.Set("Cache-Control", "private, no-cache")
	h.Set("ETag", `"`+tag+`"`)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(src))
	return nil
}

func (s *Server) pictureSource(ctx context.Context, hash string, small bool) ([]byte, error) {
	if src := s.smalls.get(hash); src != nil && small {
		return src, nil
	}
	if src := s.held.get(hash); src != nil && !small {
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
	src, err := picture.Reduced(a.Data)
	if err == nil {
		s.smalls.put(hash, src)
	}
	return src, err
}
