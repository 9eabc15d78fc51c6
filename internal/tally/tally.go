package tally

import (
	"image"
	"math"
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/tally/onbelt"
	"undertray.example/undertray/surface"
	"undertray.example/undertray/units"
)

// Unit is that of cracks, ClosestUnit that of those that stand closest; outlines tell a share in %.
const (
	Unit        = "per 75 mm"
	ClosestUnit = "per 25 mm"
)

// Unit is that of what the check counts or measures.
func (p *Place) Unit() string {
	if p.Check.Photograph.Of == catalogue.OfCracks {
		return Unit
	}
	return "%"
}

// Closest is the check that cracks answer as well where they stand closest, nil for none.
func (p *Place) Closest() *catalogue.Check {
	if p.Judgement == nil || p.Check.Photograph.Closest == "" {
		return nil
	}
	return p.Judgement.Kind.Check(p.Check.Photograph.Closest)
}

// Place is what is counted or measured at: a check of the part at a position that a photograph can answer.
type Place struct {
	Judgement *judge.Judgement
	Check     *catalogue.Check
	Section   catalogue.RibPitch // of the belt; nothing of a hose
}

// PlaceOf finds a check that can be counted on a photograph; an empty check is the first such of the position. The
// section, where it is empty, is that of the position's belt run, else the usual one.
func PlaceOf(r *advise.Report, position, check, section string) (*Place, error) {
	j, err := r.Find(position)
	if err != nil {
		return nil, err
	}
	p := &Place{Judgement: j, Check: Countable(j.Kind, check)}
	if p.Check == nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "position",
			Msg:  message.Of("nothing of %s is counted on a photograph", j.Position.Name),
			Hint: "name a ribbed belt or a hose"}
	}
	for i := range r.Vehicle.Runs {
		if run := &r.Vehicle.Runs[i]; section == "" && run.Belt == position {
			section = run.Section
		}
	}
	if p.Section, err = sectionOf(p.Check, section); err != nil {
		return nil, err
	}
	return p, nil
}

// sectionOf is a section by its name, the usual one for none, nothing where the check asks for none.
func sectionOf(c *catalogue.Check, name string) (catalogue.RibPitch, error) {
	s, ok := c.Photograph.Section(name)
	if name != "" && !ok && len(c.Photograph.Sections) > 0 {
		return s, unknownSection(c, name)
	}
	return s, nil
}

// Options are what a picture is read with: what a new rib measures is told by the part, else by the catalogue.
func (p *Place) Options() onbelt.Options {
	var own map[string]units.Quantity
	if j := p.Judgement; j != nil && j.Place != nil && j.Place.Fitted != nil {
		own = j.Place.Fitted.Spec.Spec
	}
	o := onbelt.Options{Of: p.Check.Photograph.Of, Pitch: p.Section.Pitch.Base()}
	if o.Of != catalogue.OfProfile {
		return o
	}
	for i, usual := range [][]units.Quantity{p.Section.Height, p.Section.Width} {
		if all := p.Check.Photograph.New; i < len(all) {
			if q, ok := own[all[i]]; ok {
				usual = []units.Quantity{q, q}
			}
		}
		low, high := usual[0].Base(), usual[1].Base()
		o.Usual = append(o.Usual, surface.Measure{Value: (low + high) / 2, Low: low, High: high})
	}
	return o
}

// Countable is the check of that id that a photograph can count, the first such for no id, or nil.
func Countable(k *catalogue.Kind, check string) *catalogue.Check {
	for i := range k.Checks {
		if c := &k.Checks[i]; c.Photograph != nil && (check == "" || c.ID == check) {
			return c
		}
	}
	return nil
}

// AnyPlace is a check of any kind of part, the first that a photograph can answer where no id is given; nothing is
// known of a part.
func AnyPlace(cat *catalogue.Catalogue, check, section string) (*Place, error) {
	p := &Place{}
	var ids []string
	for _, k := range cat.Kinds() {
		for i := range k.Checks {
			if c := &k.Checks[i]; c.Photograph != nil && !slices.Contains(ids, c.ID) {
				ids = append(ids, c.ID)
			}
		}
		if p.Check == nil {
			p.Check = Countable(k, check)
		}
	}
	if p.Check == nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "check",
			Msg:  message.Of("no photograph answers a check %q", check),
			Hint: message.Of("write one of %s", fleet.Offer(ids))}
	}
	var err error
	p.Section, err = sectionOf(p.Check, section)
	return p, err
}

func unknownSection(c *catalogue.Check, name string) error {
	var names []string
	for _, s := range c.Photograph.Sections {
		names = append(names, s.Name)
	}
	return &fleet.Error{Kind: fleet.Invalid, Where: "section",
		Msg:  message.Of("the pitch of ribs of the section %q is not known", name),
		Hint: message.Of("write one of %s", fleet.Offer(names))}
}

// Read reads a picture as the place says; focal is the lens's, px, 0 for not known.
func (p *Place) Read(g *image.Gray, focal float64) (*onbelt.Seen, error) {
	o := p.Options()
	o.Focal = focal
	s, err := onbelt.Read(g, o)
	if err != nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "picture",
			Msg:  "the picture cannot be read",
			Hint: "send one of 200 to 5000 pixels either way", Err: err}
	}
	return s, nil
}

// by is how a figure came about.
func (p *Place) by() fleet.CountedBy {
	if p.Check.Photograph.Of == catalogue.OfCracks {
		return fleet.ByPhotograph
	}
	return fleet.ByOutline
}

// Entries are what a count is kept as: the finding, the picture where it is not kept yet, and the marks on it. Nothing
// is kept of a picture that could not be counted.
func (p *Place) Entries(s *onbelt.Seen, hash string, kept bool, note string) ([]*fleet.Entry, error) {
	if s.Stops || s.Of != p.Check.Photograph.Of {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "picture", Msg: "nothing was counted on this picture",
			Hint: "take another, or write the count down by hand"}
	}
	position := p.Judgement.Position.ID
	if p.Check.Photograph.Of == catalogue.OfGauge {
		return p.gaugeEntries(s, hash, kept, note)
	}
	value := units.Must(s.Value, p.Unit())
	out := []*fleet.Entry{{Type: fleet.TypeFound, Found: &fleet.Found{Position: position, Check: p.Check.ID,
		Value: &value, Note: note, Counted: &fleet.Counted{By: p.by(), Picture: hash, Version: s.Version,
			Marks: s.Marks, ByHand: s.ByHand, Struck: s.Struck, Low: s.Low, High: s.High}}}}
	if c := p.Closest(); c != nil {
		closest := units.Must(float64(s.Closest), ClosestUnit)
		out = append(out, &fleet.Entry{Type: fleet.TypeFound, Found: &fleet.Found{Position: position, Check: c.ID,
			Value: &closest, Note: "Counted on the same photograph."}})
	}
	if !kept {
		out = append(out, &fleet.Entry{Type: fleet.TypePicture,
			Picture: &fleet.Picture{Hash: hash, Position: position, Check: p.Check.ID}})
	}
	return append(out, &fleet.Entry{Type: fleet.TypeMark, Mark: markOf(s, hash)}), nil
}

// gaugeEntries are what a gauge is kept as: the answer that its bars give, in a note how far they stand, the picture,
// and the outline on it.
func (p *Place) gaugeEntries(s *onbelt.Seen, hash string, kept bool, note string) ([]*fleet.Entry, error) {
	if s.Answer == "" {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "picture", Msg: "no bar of the gauge is left to measure",
			Hint: "put one back, or answer by eye"}
	}
	position := p.Judgement.Position.ID
	out := []*fleet.Entry{{Type: fleet.TypeFound, Found: &fleet.Found{Position: position, Check: p.Check.ID,
		Answer: s.Answer, Note: s.GaugeNote(note)}}}
	if !kept {
		out = append(out, &fleet.Entry{Type: fleet.TypePicture,
			Picture: &fleet.Picture{Hash: hash, Position: position, Check: p.Check.ID}})
	}
	return append(out, &fleet.Entry{Type: fleet.TypeMark, Mark: markOf(s, hash)}), nil
}

// markOf is what was counted as a mark on its picture, in parts of its width.
func markOf(s *onbelt.Seen, hash string) *fleet.PictureMark {
	if s.Outline != nil {
		return outlineOf(s, hash)
	}
	w := float64(s.Width)
	b := &fleet.BeltMarks{Pitch: s.Frame.Pitch}
	for _, v := range s.Frame.Faint {
		b.Faint = append(b.Faint, round(v, 1e5))
	}
	at := fleet.Across{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, st := range s.Frame.Stations {
		line := fleet.RibLine{Along: round(st.Along, 1e3)}
		for _, l := range st.Lines {
			x, y := round(l.X/w, 1e5), round(l.Y/w, 1e5)
			line.At = append(line.At, x, y)
			at = fleet.Across{min(at[0], x), min(at[1], y), max(at[2], x), max(at[3], y)}
		}
		b.Ribs = append(b.Ribs, line)
	}
	struck := map[int]bool{}
	for _, i := range s.Out {
		struck[i] = true
	}
	for i, c := range s.Cracks {
		m := fleet.CrackMark{Ribs: c.Ribs, Length: round(c.Length, 1e3), Width: round(c.Width, 1e3),
			Contrast: round(c.Contrast, 1e3), Chance: round(c.Chance, 1e3), Hand: c.Hand, Out: struck[i]}
		for _, p := range c.Path {
			m.At = append(m.At, round(p.X, 1e3), round(p.Y, 1e3))
		}
		b.Cracks = append(b.Cracks, m)
	}
	return &fleet.PictureMark{Picture: hash, Shape: fleet.MarkCracks, At: inside(s, at), Belt: b}
}

// inside is what of a picture lies between two points: a line may reach beyond it.
func inside(s *onbelt.Seen, at fleet.Across) fleet.Across {
	tall := float64(s.Height) / float64(s.Width)
	for i, most := range [...]float64{1, tall, 1, tall} {
		at[i] = min(max(at[i], 0), most)
	}
	return at
}

func round(v, steps float64) float64 { return math.Round(v*steps) / steps }

// Open is what was counted or measured on a picture of that size, as it was kept.
func (p *Place) Open(m *fleet.PictureMark, version string, width, height int) *onbelt.Seen {
	s := &onbelt.Seen{Width: width, Height: height, Of: p.Check.Photograph.Of}
	s.Version = version
	switch {
	case m.Outline != nil:
		s.Outline, s.Out = outlined(m.Outline, float64(width))
	case m.Belt != nil:
		s.Frame, s.Cracks, s.Out = marked(m, float64(width))
	}
	s.Again()
	return s
}

// marked is a mark's ribs on a picture so many px wide, its cracks, and which of them are struck out.
func marked(m *fleet.PictureMark, width float64) (f surface.Frame, cracks []surface.Crack, out []int) {
	f.Pitch, f.Faint = m.Belt.Pitch, m.Belt.Faint
	for _, r := range m.Belt.Ribs {
		st := surface.Station{Along: r.Along}
		for i := 0; i+1 < len(r.At); i += 2 {
			st.Lines = append(st.Lines, surface.Point{X: r.At[i] * width, Y: r.At[i+1] * width})
		}
		f.Stations = append(f.Stations, st)
	}
	for i, c := range m.Belt.Cracks {
		to := surface.Crack{Ribs: c.Ribs, Length: c.Length, Width: c.Width, Contrast: c.Contrast, Chance: c.Chance,
			Hand: c.Hand}
		for k := 0; k+1 < len(c.At); k += 2 {
			to.Path = append(to.Path, surface.Point{X: c.At[k], Y: c.At[k+1]})
		}
		if cracks = append(cracks, to); c.Out {
			out = append(out, i)
		}
	}
	return f, cracks, out
}

// Kept is the newest count on a picture among entries that stand, and the finding that came with it; nil for none.
func Kept(standing []*fleet.Entry, hash string) (mark, found *fleet.Entry) {
	for _, e := range standing {
		switch {
		case e.Mark != nil && (e.Mark.Belt != nil || e.Mark.Outline != nil) && e.Mark.Picture == hash:
			mark = e
		case e.Found != nil && e.Found.Counted != nil && e.Found.Counted.Picture == hash:
			found = e
		}
	}
	return mark, found
}
