package web

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/internal/sheet"
	"undertray/internal/yard"
)

// sheetPage is a plain editor of one vehicle's sheet. It reads the file itself
// and not the yard, so that a broken sheet can be put right here.
type sheetPage struct {
	Page
	ID       string
	Headline string
	Text     string
	Was      string // digest of the file that the text was made from
	Faults   []fault
	Lines    []string // of the text where a fault stands, by fault
	Notes    []fault  // oddities that stop nothing
	Kinds    []*catalogue.Kind
	Openings []fleet.Opening
	Saved    bool
}

func (s *Server) sheetPage(w http.ResponseWriter, r *http.Request) error {
	src, err := s.readSheet(r)
	if err != nil {
		return err
	}
	page, err := s.laySheet(r, string(src), digest(src))
	if err != nil {
		return err
	}
	if d, err := s.desk(r); err == nil && page.Vehicle != nil {
		page.Stands = d.report.StandsWords()
	}
	page.Saved = r.URL.Query().Get("saved") != ""
	return s.answer(w, r, "sheet", page, page.view())
}

// sheetView is the page's twin.
type sheetView struct {
	Vehicle string `json:"vehicle"`
	Sheet   string `json:"sheet"` // YAML
	Was     string `json:"was"`   // to send along when the sheet is sent back
	Errors  []said `json:"errors,omitempty"`
	Notes   []said `json:"notes,omitempty"`
}

func (p *sheetPage) view() sheetView {
	return sheetView{Vehicle: p.ID, Sheet: p.Text, Was: p.Was, Errors: saidOf(p.Faults), Notes: saidOf(p.Notes)}
}

func (s *Server) readSheet(r *http.Request) ([]byte, error) {
	id := r.PathValue("id")
	if !idPattern.MatchString(id) {
		return nil, noSheet(id, nil)
	}
	src, err := os.ReadFile(yard.SheetPath(s.opt.Dir, id))
	if err != nil {
		return nil, noSheet(id, err)
	}
	return src, nil
}

func noSheet(id string, err error) error {
	return &fleet.Error{Kind: fleet.NotFound, Msg: fmt.Sprintf("the yard has no sheet of a vehicle %q", id),
		Hint: "start one at /new", Err: err}
}

func digest(src []byte) string {
	sum := sha256.Sum256(src)
	return hex.EncodeToString(sum[:8])
}

// knowledge returns the catalogue that sheets are checked against, also while
// a sheet of the yard is broken.
func (s *Server) knowledge() (*catalogue.Catalogue, error) {
	if y, err := s.yards.open(); err == nil {
		return y.Catalogue, nil
	}
	if y := s.yards.last(); y != nil {
		return y.Catalogue, nil
	}
	return catalogue.Load()
}

// laySheet sets out the editor for a text and says what is wrong with it.
func (s *Server) laySheet(r *http.Request, text, was string) (*sheetPage, error) {
	id := r.PathValue("id")
	known, err := s.knowledge()
	if err != nil {
		return nil, err
	}
	page := &sheetPage{Page: s.base(r, "Sheet of "+id), ID: id, Text: text, Was: was,
		Headline: "The sheet holds together.", Kinds: known.Kinds()}
	page.Here = "sheet"
	read, err := sheet.Read(id+".yaml", []byte(text), known)
	if err != nil {
		page.setFaults(err)
		page.Vehicle = s.lastVehicle(id)
		return page, nil
	}
	page.Vehicle, page.Openings = read.Vehicle, read.Vehicle.Openings
	for _, n := range read.Warnings {
		page.Notes = append(page.Notes, faults(n)...)
	}
	return page, nil
}

func (p *sheetPage) setFaults(err error) {
	p.Faults = faults(err)
	p.Headline = fmt.Sprintf("%d mistakes to put right before it can be kept.", len(p.Faults))
	if len(p.Faults) == 1 {
		p.Headline = "One mistake to put right before it can be kept."
	}
	lines := strings.Split(p.Text, "\n")
	for _, f := range p.Faults {
		line := ""
		if f.Line > 0 && f.Line <= len(lines) {
			line = strings.TrimRight(lines[f.Line-1], "\r ")
		}
		p.Lines = append(p.Lines, line)
	}
}

func (s *Server) lastVehicle(id string) *fleet.Vehicle {
	if y := s.yards.last(); y != nil {
		v, err := y.Vehicle(id)
		var b *yard.Broken
		if errors.As(err, &b) {
			return b.Last
		}
		return v
	}
	return nil
}

var placePattern = regexp.MustCompile(`([a-z0-9-]+)\.yaml:([0-9]+)(?::[0-9]+)?$`)

// sheetPlace reads the line and the sheet's id out of an error's place.
func sheetPlace(where string) (line int, id string) {
	m := placePattern.FindStringSubmatch(filepath.ToSlash(where))
	if m == nil {
		return 0, ""
	}
	line, err := strconv.Atoi(m[2])
	if err != nil {
		return 0, ""
	}
	return line, m[1]
}

func (s *Server) sheetKeep(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	text := strings.ReplaceAll(r.PostForm.Get("text"), "\r\n", "\n")
	return s.keepSheet(w, r, []byte(text), r.PostForm.Get("was"))
}

// keepSheet checks a sheet and puts it in place of the old one, or shows the
// editor again with what is wrong.
func (s *Server) keepSheet(w http.ResponseWriter, r *http.Request, src []byte, was string) error {
	page, err := s.laySheet(r, string(src), was)
	if err != nil {
		return err
	}
	if len(page.Faults) == 0 {
		err = s.replaceSheet(r, page.Vehicle, src, was)
	}
	if err == nil && len(page.Faults) == 0 {
		http.Redirect(w, r, "/v/"+page.ID+"/sheet?saved=1", http.StatusSeeOther)
		return nil
	}
	if err != nil {
		if fleet.KindOf(err) == fleet.Internal {
			return err
		}
		page.setFaults(err)
	}
	code := http.StatusUnprocessableEntity
	if err != nil {
		code = status(err)
	}
	return s.render(w, r, code, "sheet", page)
}

// replaceSheet keeps the old file beside the new one, under the time.
func (s *Server) replaceSheet(r *http.Request, v *fleet.Vehicle, src []byte, was string) error {
	id := r.PathValue("id")
	if v.ID != id {
		return &fleet.Error{Kind: fleet.Invalid, Where: "vehicle",
			Msg:  fmt.Sprintf("the sheet is of %q and was opened as %q", v.ID, id),
			Hint: "the id stands in the journal and never changes"}
	}
	old, err := s.readSheet(r)
	if err != nil {
		return err
	}
	if was != digest(old) {
		return &fleet.Error{Kind: fleet.Conflict, Msg: "the file has been changed since this page was loaded",
			Hint: "copy what you typed, load the page again and put your changes in"}
	}
	kept := filepath.Join(s.opt.Dir, "vehicles", "old",
		id+"-"+s.opt.Now().UTC().Format("20060102T150405.000000000")+".yaml")
	if err := yard.WriteNew(kept, old); err != nil && fleet.KindOf(err) != fleet.Conflict {
		return err
	}
	return yard.Replace(yard.SheetPath(s.opt.Dir, id), src, 0o644)
}
