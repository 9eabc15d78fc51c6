package web

import (
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/sheet/edit"
	"undertray.example/undertray/internal/yard"
)

// walkPage asks of each position of the sheet, zone by zone, whether the vehicle has
// it; what is said is one change of the sheet.
type walkPage struct {
	Page
	work
	Headline message.Text
	Was      string
	Zones    []zone
	Kinds    []*catalogue.Kind
	Faults   []fault
}

// zone is a part of the vehicle that is looked over from one place.
type zone struct {
	Name  message.Text
	Side  sheetSide
	Rows  []walkRow
	rear  bool
	above bool
}

type walkRow struct {
	N               int
	ID, Name, Where string
	Kind            string // empty: it is called as its kind
	Unsure          bool
}

// zones parts a sheet's positions, front of the bulkhead (y 100) and behind it.
func (d *desk) zones() ([]zone, error) {
	all := []zone{{Name: "Under the bonnet", above: true},
		{Name: "Behind the bulkhead, from above", above: true, rear: true},
		{Name: "The front from below"}, {Name: "The middle and rear from below", rear: true}}
	n := 0
	for i := range all {
		z := &all[i]
		var in []fleet.Position
		for _, p := range d.vehicle.Positions {
			if (p.From == fleet.Above) != z.above || (p.Y >= 100) != z.rear {
				continue
			}
			n++
			in = append(in, p)
			row := walkRow{N: n, ID: p.ID, Name: p.Name, Where: p.Where, Unsure: p.Unsure}
			if k := d.yard.Catalogue.Kind(p.Kind); k != nil && !strings.EqualFold(k.Name, p.Name) {
				row.Kind = k.Name
			}
			z.Rows = append(z.Rows, row)
		}
		sides, err := d.sheetSides(in)
		if err != nil {
			return nil, err
		}
		z.Side = sides[0]
		if !z.above {
			z.Side = sides[1]
		}
		z.Side.New = ""
		z.Side.SVG = template.HTML(strings.ReplaceAll(string(z.Side.SVG), "bare-", fmt.Sprintf("zone-%d-", i)))
		for j := range z.Side.Marks {
			z.Side.Marks[j].N, z.Side.Marks[j].Href = z.Rows[j].N, ""
		}
	}
	return slices.DeleteFunc(all, func(z zone) bool { return len(z.Rows) == 0 }), nil
}

func (s *Server) layWalk(r *http.Request, d *desk, f url.Values) (*walkPage, error) {
	src, err := s.readSheet(r)
	if err != nil {
		return nil, err
	}
	p := &walkPage{Page: s.page(r, d, "sheet", "Walk round, %s"), work: work{f}, Was: yard.Digest(src),
		Kinds: d.yard.Catalogue.Kinds()}
	if r.Method == http.MethodPost {
		p.Was = r.PostForm.Get("was")
	}
	unsure := 0
	for i := range d.vehicle.Positions {
		if d.vehicle.Positions[i].Unsure {
			unsure++
		}
	}
	p.Headline = message.Of("Walk round the vehicle: which of %d parts are there?", len(d.vehicle.Positions))
	if unsure > 0 {
		p.Headline = message.Of("Of %d parts, it is not known whether %d are there.", len(d.vehicle.Positions), unsure)
	}
	p.Zones, err = d.zones()
	return p, err
}

func (s *Server) walkPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	page, err := s.layWalk(r, d, url.Values{})
	if err != nil {
		return err
	}
	return s.answer(w, r, "walk", page, map[string]any{"vehicle": d.vehicle.ID, "was": page.Was, "zones": page.Zones})
}

// What is said of a position on the walk; said of nothing, it stays as it is.
const (
	walkThere   = "there"
	walkNot     = "not"
	walkUnknown = "unknown"
	walkOther   = "other"
)

func (s *Server) walkKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.postedWhole(r)
	if err != nil {
		return err
	}
	err = s.changeSheet(r, func(v *fleet.Vehicle, known *catalogue.Catalogue) error {
		var errs []error
		for _, at := range slices.Clone(v.Positions) {
			errs = append(errs, d.walked(v, known, at, r.PostForm))
		}
		return errors.Join(errs...)
	})
	return s.changed(w, r, err, func(said []fault) (string, any, error) {
		laid, err := s.layWalk(r, d, r.PostForm)
		if err == nil {
			laid.Faults = said
		}
		return "walk", laid, err
	})
}

// walked does to a sheet what was said of one of its positions.
func (d *desk) walked(v *fleet.Vehicle, known *catalogue.Catalogue, at fleet.Position, f url.Values) error {
	switch f.Get("is." + at.ID) {
	case walkThere:
		v.Position(at.ID).Unsure = false
	case walkUnknown:
		v.Position(at.ID).Unsure = true
	case walkNot:
		return edit.RemovePosition(v, at.ID)
	case walkOther:
		word := strings.TrimSpace(f.Get("kind." + at.ID))
		kind := kindNamed(known, word)
		if kind == nil {
			return &fleet.Error{Kind: fleet.Invalid, Where: at.Name,
				Msg: message.Of("%q is not a kind of part", word), Hint: "choose what is there from the list"}
		}
		there := fleet.Position{Name: kind.Name, Kind: kind.ID, From: at.From, X: at.X, Y: at.Y, Where: at.Where,
			Seen: at.Seen, Changed: at.Changed}
		there.ID = edit.NewID(v, kind.Name, d.takenIDs()...)
		if err := edit.RemovePosition(v, at.ID); err != nil {
			return err
		}
		edit.AddPosition(v, there, known)
	}
	return nil
}

// knownPage is what is known of each part: fitted when, at what distance, which part,
// how sure. What is left blank stays not known.
type knownPage struct {
	Page
	work
	Headline    message.Text
	Batch, Unit string
	Groups      []knownGroup
	Faults      []fault
	Saved       bool
}

type knownGroup struct {
	Title string
	Rows  []knownRow
}

// knownRow is a position: what is known of its part, or fields for it.
type knownRow struct {
	ID, Name string
	Known    message.Text // empty: it is asked
	Takes    string       // the part that belongs there
}

// howSure are the words for how a past fitting is known.
var howSure = []message.Text{"from an invoice", "from memory", "a guess"}

// HowSure lists them.
func (knownPage) HowSure() []message.Text { return howSure }

func (s *Server) layKnown(r *http.Request, d *desk, f url.Values) *knownPage {
	p := &knownPage{Page: s.page(r, d, "add", "What is known, %s"), work: work{f}, Batch: s.opt.NewID(),
		Unit: d.unit()}
	if r.Method == http.MethodPost {
		p.Batch = r.PostForm.Get("batch")
	}
	p.Saved = r.URL.Query().Has("saved")
	asked, n := 0, 0
	for _, g := range d.allPositions() {
		out := knownGroup{Title: say.Capital(g.Title).String()}
		for _, at := range g.Rows {
			place := d.report.State.Place(at.ID)
			row := knownRow{ID: at.ID, Name: at.Name}
			row.Takes = strings.TrimSpace(place.Position.Part.Name + " " + place.Position.Part.Number)
			part := place.Fitted
			if part != nil && part.Known != fleet.Unknown && (!part.From.Date.IsZero() || part.From.HasTotal) {
				row.Known = message.Joined(told.Sentences(told.Long(part.From.Date), d.at(part.From)), ", ")
			} else {
				asked++
			}
			n++
			out.Rows = append(out.Rows, row)
		}
		p.Groups = append(p.Groups, out)
	}
	p.Headline = message.Of("Of %d parts, %d are not known: fill in what you know.", n, asked)
	return p
}

func (s *Server) knownPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	page := s.layKnown(r, d, url.Values{})
	return s.answer(w, r, "known", page, map[string]any{"vehicle": d.vehicle.ID, "parts": page.Groups})
}

func (s *Server) knownKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	return s.keepForm(w, r, d, at("known?saved=1"), func() ([]*fleet.Entry, error) {
		var out []*fleet.Entry
		var errs []error
		for i := range d.vehicle.Positions {
			p := &d.vehicle.Positions[i]
			e, err := d.knownEntry(p, r.PostForm)
			if err != nil {
				errs = append(errs, err)
			}
			if e != nil {
				e.Date = s.today()
				out = append(out, e)
			}
		}
		if len(errs) == 0 && len(out) == 0 {
			errs = append(errs, &fleet.Error{Kind: fleet.Invalid, Msg: "no row is filled in",
				Hint: "fill in what is known, and leave the rest blank"})
		}
		return out, errors.Join(errs...)
	}, func(err error) error {
		page := s.layKnown(r, d, r.PostForm)
		page.Faults = faults(err)
		return s.render(w, r, status(err), "known", page)
	})
}

// knownEntry is what the fields of a position say, nil where all are blank.
func (d *desk) knownEntry(p *fleet.Position, f url.Values) (*fleet.Entry, error) {
	field := func(name string) string { return strings.TrimSpace(f.Get(name + "." + p.ID)) }
	if field("when")+field("far")+field("part")+field("sure") == "" {
		return nil, nil
	}
	wrong := func(msg, hint message.Text) error {
		return &fleet.Error{Kind: fleet.Invalid, Where: p.Name, Msg: msg, Hint: hint}
	}
	day, about, err := looseDay(field("when"))
	if err != nil {
		return nil, wrong(message.Of("%q is not a day, a month or a year", field("when")),
			"write it as 2019-05-12, 2019-05 or 2019")
	}
	total, err := distance(p.Name, field("far"), d.vehicle.Reader)
	if err != nil {
		return nil, err
	}
	if day.IsZero() && total == nil {
		return nil, wrong("it is not said when it was fitted", "give the day or the distance, or leave the row blank")
	}
	note := []string{about.In(d.in)}
	if sure := message.Text(field("sure")); slices.Contains(howSure, sure) {
		note = append(note, sure.In(d.in))
	}
	note = slices.DeleteFunc(note, func(s string) bool { return s == "" })
	return &fleet.Entry{Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: p.ID, Known: fleet.Told,
		Since: &fleet.Since{Date: day, Total: total}, Part: fleet.PartSpec{Name: field("part")},
		Note: say.Capital(strings.Join(note, "; "))}}, nil
}
