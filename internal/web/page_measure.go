package web

import (
	"bytes"
	"fmt"
	"html/template"
	"image"
	"image/draw"
	_ "image/jpeg" // pieces of a photograph
	_ "image/png"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	ourdraw "undertray.example/undertray/draw"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/belt/measured"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/units"
)

// Bounds of the form, and of a photograph as the page reduces it.
const (
	mostPulleys  = 16
	mostMeasures = 30
	mostPX       = 3300
	shownPulleys = 5 // rows of an empty form
)

// measurePage places the pulleys of a run: by tape on a sketch, or by touches on a photograph.
type measurePage struct {
	Page
	Action           string
	Caution, Privacy message.Text
	Ask              measureAsk
	Headline         message.Text // of what was worked out, or what is asked for
	Told             []message.Text
	Missing          []fault // what is wanted yet, or is wrong
	Drawing          drawing
	Facts, Mirrors   []message.Text
	Without          [][2]message.Text
	Outlines         []outlineRow
	Keep             *runKeep
	Names            []string
}

// Ways are how a diameter may have been taken.
func (measurePage) Ways() [][2]message.Text {
	return [][2]message.Text{{"effective", "effective"}, {"over balls", "over balls"}, {"plain", "smooth"}}
}

// Kinds are what a measure between two pulleys may be.
func (measurePage) Kinds() [][2]message.Text {
	return [][2]message.Text{{"centres", "centre to centre"}, {"over", "over the outsides of both"},
		{"gap", "from rim to rim"}}
}

// Sections are those of belts.
func (measurePage) Sections() []any {
	return []any{"PK", "PJ", "AV10", "AV13", message.Text("flat")}
}

// outlineRow is a rim as it lies on the photograph, in the form SVG draws.
type outlineRow struct {
	Points string
	At     [][2]string
	Edges  bool
}

// measureAsk is the form as filled in.
type measureAsk struct {
	Name, Like, Section, Ribs, Belt, W, H, Touch string
	Pulleys                                      []measurePulley
	Measures                                     []measureRow
}

// measurePulley is a pulley as typed. N is its row, from 1.
type measurePulley struct {
	N                                       int
	Order, Name, Side, Measured, D, X, Y, T string
	DNote                                   message.Text
	Driver, Spare                           bool
}

// measureRow is a measure between two pulleys, which are named by their rows.
type measureRow struct {
	N                            int
	Kind, Of, And, Reads, Within string
	Off                          message.Text
	Odd, Spare                   bool
}

// measurePage answers GET /v/{id}/measure, with ?run= for one that is measured anew.
func (s *Server) measurePage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	ask := measureAsk{Section: "PK", Name: "Belt run"}
	ask.Pulleys = []measurePulley{{Name: "Crank pulley", Driver: true}}
	if id := r.URL.Query().Get("run"); id != "" {
		run := d.vehicle.Run(id)
		if run == nil {
			_, err := belt.Of(d.report, id, belt.Question{})
			return err
		}
		ask = measureOf(run)
	}
	page := s.layMeasure(r, d, ask)
	return s.answer(w, r, "measure", page, map[string]any{"vehicle": d.vehicle.ID, "caution": page.Caution,
		"measure": page.Action})
}

// How a sheet means a diameter where it does not say; a rim that is touched or taken by calliper is the outside.
var usually = map[string]string{"ribs": "effective", "back": "plain"}

// measureOf fills the form in from a run of the sheet.
func measureOf(run *fleet.Run) measureAsk {
	a := measureAsk{Name: run.Name, Like: run.ID, Section: or(run.Section, "PK")}
	if run.Ribs > 0 {
		a.Ribs = strconv.Itoa(run.Ribs)
	}
	row := map[string]string{}
	for i := range run.Pulleys {
		p := &run.Pulleys[i]
		row[sheet.PulleyName(p.Name)] = strconv.Itoa(i + 1)
		a.Pulleys = append(a.Pulleys, measurePulley{Name: p.Name, Side: p.Side, Driver: p.Driver,
			Measured: strings.TrimPrefix(or(p.Measured, usually[p.Side]), "outside"),
			D:        plainMM(p.Diameter), X: plainMM(p.X), Y: plainMM(p.Y)})
	}
	for i := range run.Measures {
		m := &run.Measures[i]
		of, _ := strconv.Atoi(row[sheet.PulleyName(m.Of)])
		switch m.Kind {
		case "belt":
			a.Belt = m.Reads.String()
		case "diameter":
			a.Pulleys[of-1].D = m.Reads.String()
		default:
			t := measureRow{Kind: m.Kind, Of: row[sheet.PulleyName(m.Of)], And: row[sheet.PulleyName(m.And)],
				Reads: m.Reads.String()}
			if m.Within != nil {
				t.Within = m.Within.String()
			}
			a.Measures = append(a.Measures, t)
		}
	}
	return a
}

func (s *Server) layMeasure(r *http.Request, d *desk, ask measureAsk) measurePage {
	shown := max(shownPulleys, len(ask.Pulleys)+1)
	for n := len(ask.Pulleys); n < mostPulleys; n++ {
		ask.Pulleys = append(ask.Pulleys, measurePulley{Spare: n >= shown})
	}
	shown = max(4, len(ask.Measures)+2)
	for n := len(ask.Measures); n < mostMeasures; n++ {
		ask.Measures = append(ask.Measures, measureRow{Kind: "centres", Spare: n >= shown})
	}
	for i := range ask.Pulleys {
		ask.Pulleys[i].N = i + 1
	}
	for i := range ask.Measures {
		ask.Measures[i].N = i + 1
	}
	page := measurePage{Page: s.page(r, d, "run", "Measure a belt run, %s"), Ask: ask,
		Action: "/v/" + d.vehicle.ID + "/measure", Caution: belt.Caution, Privacy: measured.Privacy,
		Headline: "Say what was measured: the run is worked out at each figure."}
	for i := range d.vehicle.Positions {
		page.Names = append(page.Names, d.vehicle.Positions[i].Name)
	}
	return page
}

// measureTake answers POST /v/{id}/measure: it works out what the form says, and keeps nothing.
func (s *Server) measureTake(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	grey, err := takePieces(r)
	if err != nil {
		return err
	}
	ask := readMeasure(r.PostForm)
	var placed *measured.Placed
	rows, err := []int(nil), error(nil)
	if r.PostForm.Get("more") == "" {
		var q measured.Ask
		if q, rows, err = ask.put(d); err == nil {
			if q.Photo != nil && grey != nil {
				q.Photo.Grey = grey
			}
			placed, err = measured.Place(q)
		}
	}
	if err != nil && (fleet.KindOf(err) == fleet.Internal || wantsJSON(r)) {
		return err
	}
	if placed != nil && wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, placed.View())
	}
	page := s.layMeasure(r, d, ask)
	if err != nil {
		page.Missing, page.Headline = faults(err), "Something is still missing."
		code := status(err)
		if r.PostForm.Get("live") != "" {
			code = http.StatusOK // it was asked while the form is being filled in
		}
		return s.render(w, r, code, "measure", page)
	}
	if placed != nil {
		if err := s.layPlaced(&page, d, placed, rows); err != nil {
			return err
		}
	}
	return s.render(w, r, http.StatusOK, "measure", page)
}

// takePieces reads a form with pieces of a photograph, all else of it blank; nil where none came.
func takePieces(r *http.Request) (*image.Gray, error) {
	if !strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
		return nil, form(r)
	}
	bad := &fleet.Error{Kind: fleet.Invalid, Where: "picture", Msg: "the picture cannot be read",
		Hint: message.Of("send a JPEG or PNG of at most %d pixels either way", mostPX)}
	if err := r.ParseMultipartForm(maxSound); err != nil {
		return nil, form(r)
	}
	defer r.MultipartForm.RemoveAll()
	f, _, err := r.FormFile("pieces")
	if err != nil {
		return nil, nil
	}
	defer f.Close()
	src, err := io.ReadAll(f)
	if err != nil {
		return nil, err
	}
	size, _, err := image.DecodeConfig(bytes.NewReader(src))
	if err != nil || size.Width > mostPX || size.Height > mostPX {
		return nil, bad
	}
	img, _, err := image.Decode(bytes.NewReader(src))
	if err != nil {
		return nil, bad
	}
	if coded, ok := img.(*image.YCbCr); ok { // the light of a JPEG as it is coded
		return &image.Gray{Pix: coded.Y, Stride: coded.YStride, Rect: coded.Rect}, nil
	}
	grey := image.NewGray(image.Rect(0, 0, size.Width, size.Height))
	draw.Draw(grey, grey.Rect, img, img.Bounds().Min, draw.Src)
	return grey, nil
}

// readMeasure reads the form; rows that say nothing are left out at the end.
func readMeasure(f url.Values) measureAsk {
	get := func(name string) string { return strings.TrimSpace(f.Get(name)) }
	a := measureAsk{Name: get("name"), Like: get("like"), Section: get("section"), Ribs: get("ribs"), Belt: get("on"),
		W: get("w"), H: get("h"), Touch: get("touch")}
	for n := range mostPulleys {
		k := strconv.Itoa(n + 1)
		a.Pulleys = append(a.Pulleys, measurePulley{Order: get("o" + k), Name: get("p" + k), Side: get("s" + k),
			Measured: get("m" + k), D: get("d" + k), X: get("x" + k), Y: get("y" + k), T: get("t" + k),
			Driver: get("driver") == k})
	}
	for len(a.Pulleys) > 0 && !a.Pulleys[len(a.Pulleys)-1].there() {
		a.Pulleys = a.Pulleys[:len(a.Pulleys)-1]
	}
	for n := range mostMeasures {
		k := strconv.Itoa(n + 1)
		m := measureRow{Kind: get("k" + k), Of: get("a" + k), And: get("b" + k), Reads: get("r" + k),
			Within: get("w" + k)}
		if m.Reads != "" || m.Of != "" {
			a.Measures = append(a.Measures, m)
		}
	}
	return a
}

// there reports whether a row says anything of a pulley.
func (p *measurePulley) there() bool { return p.Name != "" || p.D != "" || p.T != "" }

func (p *measurePulley) title(n int) string { return or(p.Name, fmt.Sprintf("Pulley %d", n+1)) }

// put makes of the form what is asked. Rows gives the form's row of each pulley, in the order of travel.
func (a *measureAsk) put(d *desk) (q measured.Ask, rows []int, err error) {
	run := &fleet.Run{ID: a.Like, Name: or(a.Name, "Belt run"), Section: a.Section}
	if q.Like = d.vehicle.Run(a.Like); q.Like != nil {
		*run = *q.Like
		run.Pulleys, run.Measures = nil, nil
	}
	run.Ribs, _ = strconv.Atoi(a.Ribs)
	order := map[int]float64{}
	for i := range a.Pulleys {
		if p := &a.Pulleys[i]; p.there() {
			rows = append(rows, i)
			if order[i], err = strconv.ParseFloat(or(p.Order, strconv.Itoa(i+1)), 64); err != nil {
				return q, rows, unreadable(p.title(i)+", order", p.Order)
			}
		}
	}
	slices.SortStableFunc(rows, func(i, j int) int { return int(2*order[i]) - int(2*order[j]) })
	for _, i := range rows {
		p, err := a.Pulleys[i].put(i, q.Like)
		if err != nil {
			return q, rows, err
		}
		run.Pulleys = append(run.Pulleys, p)
	}
	if run.Measures, err = a.taken(); err != nil {
		return q, rows, err
	}
	q.Run, q.Belt = run, sheet.BeltOf(run, nil, d.partOf(run.Belt))
	q.Photo, err = a.photo(rows)
	return q, rows, err
}

func unreadable(where, typed string) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: message.Of("%q is no figure", typed),
		Hint: "write it as 12 or 12.5"}
}

// put makes a pulley of its row, and keeps what the sheet knows of it besides.
func (p *measurePulley) put(n int, like *fleet.Run) (out fleet.Pulley, err error) {
	name := p.title(n)
	for i := 0; like != nil && i < len(like.Pulleys); i++ {
		if sheet.PulleyName(like.Pulleys[i].Name) == sheet.PulleyName(name) {
			out = like.Pulleys[i]
		}
	}
	out.Name, out.Side, out.Driver, out.Measured = name, or(p.Side, "ribs"), p.Driver, p.Measured
	if out.Measured == "" && out.Side == "ribs" {
		out.Measured = "outside"
	}
	for _, f := range []struct {
		what, typed string
		to          *units.Quantity
	}{{"diameter", p.D, &out.Diameter}, {"x", p.X, &out.X}, {"y", p.Y, &out.Y}} {
		*f.to = units.Quantity{}
		v, err := quantity(name+", "+f.what, f.typed, units.Length, "mm")
		if err != nil {
			return out, err
		}
		if v != nil {
			*f.to = *v
		}
	}
	return out, nil
}

// taken reads the measures between pulleys and the length of the belt that is on.
func (a *measureAsk) taken() (out []fleet.Measure, err error) {
	for i := range a.Measures {
		m, where := &a.Measures[i], fmt.Sprintf("measure %d", i+1)
		var ends [2]string
		for k, typed := range []string{m.Of, m.And} {
			n, err := strconv.Atoi(typed)
			if err != nil || n < 1 || n > len(a.Pulleys) || !a.Pulleys[n-1].there() {
				return nil, &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: "it names no pulley at one end",
					Hint: "choose the two pulleys it was taken from"}
			}
			ends[k] = a.Pulleys[n-1].title(n - 1)
		}
		reads, err := quantity(where, m.Reads, units.Length, "mm")
		if err != nil {
			return nil, err
		}
		if reads == nil {
			return nil, &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: "its figure is missing",
				Hint: "write what the tape read, such as 318 mm"}
		}
		within, err := quantity(where+", within", m.Within, units.Length, "mm")
		if err != nil {
			return nil, err
		}
		out = append(out, fleet.Measure{Kind: m.Kind, Of: ends[0], And: ends[1], Reads: *reads, Within: within})
	}
	on, err := quantity("length of the belt that is on", a.Belt, units.Length, "mm")
	if on != nil {
		out = append(out, fleet.Measure{Kind: "belt", Reads: *on})
	}
	return out, err
}

// photo reads the touches; nil where no rim was touched.
func (a *measureAsk) photo(rows []int) (*measured.Photo, error) {
	p, any := &measured.Photo{}, false
	for _, i := range rows {
		var rim []measured.Touch
		words := strings.Fields(strings.NewReplacer(",", " ", ";", " ").Replace(a.Pulleys[i].T))
		for k := 0; k+1 < len(words); k += 2 {
			x, err := strconv.ParseFloat(words[k], 64)
			if err != nil {
				return nil, unreadable(a.Pulleys[i].title(i)+", touches", words[k])
			}
			y, err := strconv.ParseFloat(words[k+1], 64)
			if err != nil {
				return nil, unreadable(a.Pulleys[i].title(i)+", touches", words[k+1])
			}
			rim = append(rim, measured.Touch{X: x, Y: y})
		}
		p.Rims, any = append(p.Rims, rim), any || rim != nil
	}
	if !any {
		return nil, nil
	}
	p.WidthPX, _ = strconv.Atoi(a.W)
	p.HeightPX, _ = strconv.Atoi(a.H)
	p.TouchPX, _ = strconv.ParseFloat(or(a.Touch, "0"), 64)
	return p, nil
}

// layPlaced sets out what was worked out.
func (s *Server) layPlaced(page *measurePage, d *desk, p *measured.Placed, rows []int) error {
	all := p.Told()
	page.Headline, page.Told, page.Mirrors, page.Facts = all[0], all[1:], p.Mirrors(), p.Basis()
	fits, run := p.Fits(), p.As.Run
	for i := range fits {
		f := &fits[i]
		switch {
		case f.Measure.Kind == "belt":
			page.Facts = append([]message.Text{message.Of("The belt that is on: %s.", f.Words())}, page.Facts...)
		case i < len(page.Ask.Measures) && i < len(run.Measures):
			page.Ask.Measures[i].Off, page.Ask.Measures[i].Odd = f.Words(), f.Odd
		default:
			for k := range run.Pulleys {
				if run.Pulleys[k].Name == f.Measure.Of {
					page.Ask.Pulleys[rows[k]].DNote = f.Words()
				}
			}
		}
	}
	for _, w := range p.Without {
		page.Without = append(page.Without, [2]message.Text{message.Name(say.Capital(w.Pulley)), w.Words()})
	}
	fig, err := p.As.Figure(ourdraw.Head{ID: "measured", Title: message.Name(run.Name), Width: planWidth, In: d.in},
		nil)
	if err != nil {
		page.Drawing = drawing{Title: message.Name(run.Name), Fault: message.Is(err).Sentence()}
	} else {
		page.Drawing = drawing{Title: fig.Title, Caption: fig.Caption, SVG: template.HTML(fig.SVG)}
	}
	for _, o := range p.Outlines() {
		row := outlineRow{Edges: o.Edges}
		for _, t := range o.Line {
			row.Points += fmt.Sprintf("%.1f,%.1f ", t.X, t.Y)
		}
		row.Points = strings.TrimSpace(row.Points)
		page.Outlines = append(page.Outlines, row)
	}
	page.Keep, err = s.runKeep(d, p.Keep(), page.Ask.Like, p.Headline())
	return err
}
