package web

import (
	"errors"
	"html/template"
	"net/http"
	"strconv"
	"strings"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/sheet/edit"
	"undertray.example/undertray/internal/yard"
)

// sheetSide is the drawing of one side with the mark of each position on it, to be
// dragged, and to be touched where something is to be added.
type sheetSide struct {
	Side          fleet.Side
	SVG           template.HTML
	Box           string // the drawing's view box
	Across, Along [][2]float64
	New           string // address of the form for what is added; empty: a touch moves the mark
	Marks         []sheetMark
}

// From is the side in words, where Side is what scripts and forms know it by.
func (s sheetSide) From() message.Text { return message.Text(s.Side) }

// sheetMark is a position on a drawing: its coordinates on the vehicle and on it.
type sheetMark struct {
	ID, Href     string
	Name         message.Text
	N            int // 0: no number
	X, Y, Px, Py float64
}

// sheetSides draws both sides with the marks of the positions given.
func (d *desk) sheetSides(of []fleet.Position) ([]sheetSide, error) {
	sides, err := d.report.BareBays(planWidth, d.in, true)
	if err != nil {
		return nil, err
	}
	home := "/v/" + d.vehicle.ID + "/sheet/"
	var out []sheetSide
	for _, side := range []fleet.Side{fleet.Above, fleet.Below} {
		fig := sides[side]
		_, rest, _ := strings.Cut(string(fig.SVG), `viewBox="`)
		box, _, _ := strings.Cut(rest, `"`)
		s := sheetSide{Side: side, SVG: template.HTML(fig.SVG), Box: box, Across: fig.Across, Along: fig.Along,
			New: home + "add?from=" + string(side)}
		for i := range of {
			if p := &of[i]; p.From == side {
				s.Marks = append(s.Marks, sheetMark{ID: p.ID, Name: message.Name(p.Name), Href: home + "p/" + p.ID,
					X: p.X, Y: p.Y, Px: draw.Along(s.Across, p.X), Py: draw.Along(s.Along, p.Y)})
			}
		}
		out = append(out, s)
	}
	return out, nil
}

// changeSheet makes one change of the vehicle's sheet, as a form asks for it.
func (s *Server) changeSheet(r *http.Request, do func(*fleet.Vehicle, *catalogue.Catalogue) error) error {
	src, err := s.readSheet(r)
	if err != nil {
		return err
	}
	if r.PostForm.Get("was") != yard.Digest(src) {
		return &fleet.Error{Kind: fleet.Conflict, Msg: "the file has been changed since this page was loaded",
			Hint: "open the page again in another tab, and put your changes in there"}
	}
	return s.changeSheetFrom(src, r.PathValue("id"), do)
}

// changeSheetFrom makes one change of a vehicle's sheet that reads so.
func (s *Server) changeSheetFrom(src []byte, id string, do func(*fleet.Vehicle, *catalogue.Catalogue) error) error {
	known, err := s.knowledge()
	if err != nil {
		return err
	}
	c, err := edit.Make(id+".yaml", src, known, func(v *fleet.Vehicle) error { return do(v, known) })
	if err != nil || string(c.Now) == string(src) {
		return err
	}
	return yard.ReplaceSheet(s.opt.Dir, id, c.Now, yard.Digest(src), s.opt.Now())
}

// changed answers a change of the sheet: it leads on to what changed, or again shows
// the form as it was typed with what is wrong, in words that name no line of a file.
func (s *Server) changed(w http.ResponseWriter, r *http.Request, err error,
	again func([]fault) (name string, page any, err error)) error {
	if err == nil {
		return s.goOn(w, r, "/v/"+r.PathValue("id")+"/sheet?saved=1")
	}
	if fleet.KindOf(err) == fleet.Internal || wantsJSON(r) {
		return err
	}
	said := faults(err)
	for i := range said {
		if said[i].Line > 0 {
			said[i].Where, said[i].Line = "", 0
		}
	}
	name, page, wrong := again(said)
	if wrong != nil {
		return wrong
	}
	return s.render(w, r, status(err), name, page)
}

// sheetMove keeps marks that were moved on the drawing: at.ID holds x and y.
func (s *Server) sheetMove(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	err := s.changeSheet(r, func(v *fleet.Vehicle, _ *catalogue.Catalogue) error {
		for name, to := range r.PostForm {
			id, ok := strings.CutPrefix(name, "at.")
			if !ok {
				continue
			}
			p := v.Position(id)
			x, y, _ := strings.Cut(to[0], " ")
			nx, err1 := strconv.ParseFloat(x, 64)
			ny, err2 := strconv.ParseFloat(y, 64)
			if p == nil || err1 != nil || err2 != nil {
				return errors.Join(&fleet.Error{Kind: fleet.Invalid, Where: id, Msg: "the mark cannot be moved there",
					Hint: "load the page again: the sheet may have been changed"}, err1, err2)
			}
			p.X, p.Y = nx, ny
		}
		return nil
	})
	if err != nil {
		return err
	}
	return s.changed(w, r, nil, nil)
}

func (s *Server) sheetUndo(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	src, err := s.readSheet(r)
	if err != nil {
		return err
	}
	before, err := yard.BeforeLast(s.opt.Dir, r.PathValue("id"), src)
	if err != nil {
		return err
	}
	if v, err := sheet.Parse("before", before, nil); err == nil {
		if err := s.counted(r, v); err != nil {
			return err
		}
	}
	if err := yard.UndoSheet(s.opt.Dir, r.PathValue("id"), r.PostForm.Get("was"), s.opt.Now()); err != nil {
		return err
	}
	return s.goOn(w, r, "/v/"+r.PathValue("id")+"/sheet?undone=1")
}
