package web

import (
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/sheet/edit"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/yard"
)

// sheetPage shows what one vehicle's sheet holds, to be changed by drawing and in
// forms, and the file itself. It reads the file and not the yard, so that a broken
// sheet can be put right here.
type sheetPage struct {
	Page
	ID       string
	Headline message.Text
	Text     string
	Was      string // digest of the file that the text was made from
	Faults   []fault
	Lines    []string // of the text where a fault stands, by fault
	Notes    []fault  // what looks odd in a sheet that works
	Saved    bool
	Sides    []sheetSide
	Groups   []group
	LookUps  []visit.LookUp
	Changed  []edit.Line // what the last change did to the file, if it can be undone
	Fresh    bool        // nothing is written down of the vehicle yet
}

func (s *Server) sheetPage(w http.ResponseWriter, r *http.Request) error {
	src, err := s.readSheet(r)
	if err != nil {
		return err
	}
	page, err := s.laySheet(r, string(src), yard.Digest(src))
	if err != nil {
		return err
	}
	if d, err := s.desk(r); err == nil && page.Vehicle != nil && len(page.Faults) == 0 {
		page.Fresh = d.report.State.Began.IsZero()
		page.Stands, page.Groups = d.report.StandsWords(), d.allPositions()
		page.LookUps = visit.LookUps(page.Vehicle)
		if page.Sides, err = d.sheetSides(page.Vehicle.Positions); err != nil {
			return err
		}
	}
	before, err := yard.BeforeLast(s.opt.Dir, page.ID, src)
	if err != nil {
		return err
	}
	if before != nil {
		page.Changed = (&edit.Change{Was: before, Now: src}).Lines()
	}
	page.Saved = r.URL.Query().Get("saved") != ""
	return s.answer(w, r, "sheet", page, page.view())
}

// ChangedWords says how much the last change did to the file.
func (p sheetPage) ChangedWords() message.Text {
	added := 0
	for _, l := range p.Changed {
		if l.Added {
			added++
		}
	}
	gone := len(p.Changed) - added
	switch {
	case gone == 0:
		return message.Of("What it did to the file: %s added", told.Count(added, "line", "lines"))
	case added == 0:
		return message.Of("What it did to the file: %s taken out", told.Count(gone, "line", "lines"))
	}
	return message.Of("What it did to the file: %s added, %s taken out", told.Count(added, "line", "lines"),
		told.Number(gone))
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
	return &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("the yard has no sheet of a vehicle %q", id),
		Hint: "start one at /new", Err: err}
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
	page := &sheetPage{Page: s.base(r, message.Of("Sheet of %s", id)), ID: id, Text: text, Was: was,
		Headline: "What this vehicle has, and where."}
	page.Here = "sheet"
	read, err := sheet.Read(id+".yaml", []byte(text), known)
	if err != nil {
		page.setFaults(err)
		page.Vehicle = s.lastVehicle(id)
		return page, nil
	}
	page.Vehicle = read.Vehicle
	page.Headline = sheetAnswer(read.Vehicle)
	for _, n := range read.Warnings {
		page.Notes = append(page.Notes, faults(n)...)
	}
	return page, nil
}

// sheetAnswer says what a sheet holds, and whether something in it is not known.
func sheetAnswer(v *fleet.Vehicle) message.Text {
	unsure := 0
	for i := range v.Positions {
		if v.Positions[i].Unsure {
			unsure++
		}
	}
	known := message.Text("the sheet has no mistakes")
	if unsure > 0 {
		known = told.Several(unsure, "is not known to be there", "are not known to be there")
	}
	return message.Of("%s, %s; %s.", told.Several(len(v.Positions), "part", "parts"),
		told.Several(len(v.Openings), "opening", "openings"), known)
}

func (p *sheetPage) setFaults(err error) {
	p.Faults = faults(err)
	p.Headline = message.Of("%d mistakes to put right before it can be kept.", len(p.Faults))
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

// replaceSheet puts a text in place of the vehicle's sheet.
func (s *Server) replaceSheet(r *http.Request, v *fleet.Vehicle, src []byte, was string) error {
	id := r.PathValue("id")
	if v.ID != id {
		return &fleet.Error{Kind: fleet.Invalid, Where: "vehicle",
			Msg:  message.Of("the sheet is of %q and was opened as %q", v.ID, id),
			Hint: "the id stands in the journal and never changes"}
	}
	if _, err := s.readSheet(r); err != nil {
		return err
	}
	if err := s.counted(r, v); err != nil {
		return err
	}
	return yard.ReplaceSheet(s.opt.Dir, id, src, was, s.opt.Now())
}

// counted refuses a sheet that counts otherwise than the readings which are recorded: they
// would be left out, and with them the age of every part.
func (s *Server) counted(r *http.Request, v *fleet.Vehicle) error {
	if last := s.lastVehicle(v.ID); last != nil && last.Counts.Dimension() == v.Counts.Dimension() {
		return nil
	}
	all, err := s.opt.Journal.Entries(r.Context(), journal.Filter{Vehicle: v.ID})
	if err != nil {
		return err
	}
	for _, e := range fleet.Standing(all) {
		if q := e.Odometer; q != nil && !v.Counts.Reads(*q) {
			return &fleet.Error{Kind: fleet.Conflict, Where: "counts",
				Msg:  message.Of("the journal reads %s, and this sheet counts %s", q, v.Counts.Dimension()),
				Hint: "leave counts as it was, or start another sheet for what counts otherwise"}
		}
	}
	return nil
}
