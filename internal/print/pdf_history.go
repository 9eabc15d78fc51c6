package print

import (
	"bytes"
	"fmt"
	"slices"

	"codeberg.org/go-pdf/fpdf"

	"undertray/civil"
	"undertray/internal/advise"
	"undertray/internal/fleet"
	"undertray/internal/say"
	"undertray/units"
)

// day is what the service record holds of one day.
type day struct {
	date     civil.Date
	odometer *units.Quantity
	work     []advise.HistoryLine // done, fitted, noted
	found    []advise.HistoryLine // one line for each position
}

// byDay gathers the record into days in the order of first meeting; the
// findings at one position become one line, and a reading the day's heading.
func byDay(lines []advise.HistoryLine) []day {
	var days []day
	for _, l := range lines {
		if n := len(days); n == 0 || days[n-1].date != l.Date {
			days = append(days, day{date: l.Date})
		}
		d := &days[len(days)-1]
		if d.odometer == nil {
			d.odometer = l.Odometer
		}
		switch {
		case l.What == string(fleet.TypeFound):
			d.find(l)
		case l.What == string(fleet.TypeOdometer) && same(l.Odometer, d.odometer):
		default:
			d.work = append(d.work, l)
		}
	}
	return days
}

func (d *day) find(l advise.HistoryLine) {
	for i := range d.found {
		if d.found[i].Position == l.Position {
			d.found[i].Words += "; " + l.Words
			return
		}
	}
	d.found = append(d.found, l)
}

func (s *sheet) history(v *fleet.Vehicle, lines []advise.HistoryLine, position string) {
	s.title(s.recordHeadline(lines, position), v)
	for _, d := range byDay(lines) {
		s.day(d)
	}
	if total := recordCost(lines); total != "" {
		sum := s.para(0, s.full(), strongStyle, "Together "+total+", where a cost is recorded.")
		sum.right = true
		s.put(row{before: 3, above: lineRule, pad: 1, cells: []cell{sum}})
	}
}

func (s *sheet) recordHeadline(lines []advise.HistoryLine, position string) string {
	words := "Service record of " + s.frame.vehicle
	if position != "" {
		words += ", " + say.LowerFirst(position)
	}
	if len(lines) == 0 {
		return words + ": nothing is recorded yet."
	}
	return fmt.Sprintf("%s: %s to %s, newest first.", words, lines[len(lines)-1].Date.Long(), lines[0].Date.Long())
}

// recordCost adds up the costs; "" where there are none or currencies differ.
func recordCost(lines []advise.HistoryLine) string {
	var known []units.Quantity
	for _, l := range lines {
		if l.Cost != nil {
			known = append(known, *l.Cost)
		}
	}
	total, err := units.Sum(known...)
	if err != nil || total.IsZero() {
		return ""
	}
	return total.String()
}

// The columns of the service record, mm.
const (
	whatWide  = 14.0
	placeWide = 46.0
	costWide  = 25.0
)

func (s *sheet) day(d day) {
	s.hold(s.dayHead(d, "")...)
	said := ""
	for _, l := range append(d.work, d.found...) {
		what := l.What
		if what == said {
			what = ""
		}
		said = l.What
		s.put(s.entry(what, l))
		s.repeat = s.dayHead(d, ", continued")
	}
	s.repeat = nil
	s.put(row{pad: 1})
}

func (s *sheet) dayHead(d day, more string) []row {
	words := d.date.Long() + more
	var at cell
	if d.odometer != nil {
		at = s.para(0, s.full(), strongStyle, s.paper.Units.Show(*d.odometer))
		at.right = true
	}
	return []row{{before: 4, above: lineRule, pad: 1.2, cells: []cell{s.para(0, s.full()-40, strongStyle, words), at}}}
}

// entry returns a line of the record: what was done, where, and what it cost.
// Findings are set small: they are many.
func (s *sheet) entry(what string, l advise.HistoryLine) row {
	st := bodyStyle
	if l.What == string(fleet.TypeFound) {
		st = smallStyle
	}
	x := whatWide + tableGap
	w := s.full() - x
	cost := s.para(s.full()-costWide, costWide, st, exactMoney(l.Cost))
	cost.right = true
	if l.Cost != nil {
		w -= costWide + tableGap
	}
	cells := []cell{s.para(0, whatWide, smallStyle, what), cost}
	if l.Position != "" {
		cells = append(cells, s.para(x, placeWide, st, l.Position))
		x += placeWide + tableGap
		w -= placeWide + tableGap
	}
	cells = append(cells, s.para(x, w, st, say.Sentence(l.Words)))
	return row{before: 0.9, above: hairRule, pad: 0.6, cells: cells}
}

// same reports whether two readings were typed alike.
func same(a, b *units.Quantity) bool {
	return a != nil && b != nil && a.String() == b.String()
}

// mostShots is how many pictures a service record shows, and shotHigh how high at most, in mm.
const (
	mostShots = 24
	shotHigh  = 60.0
)

var shotOptions = fpdf.ImageOptions{ImageType: "JPG"}

// pictures shows the newest pictures of the vehicle or of a position, two beside each other,
// each with its day and what it is of.
func (s *sheet) pictures(r *advise.Report, position string) {
	all := r.Pictures()
	slices.Reverse(all)
	all = slices.DeleteFunc(all, func(e *fleet.Entry) bool { return position != "" && e.Picture.Position != position })
	if len(all) == 0 || s.err != nil {
		return
	}
	s.head("Pictures")
	if left := len(all) - mostShots; left > 0 {
		s.put(row{cells: []cell{s.para(0, s.full(), smallStyle, fmt.Sprintf("The newest %d; %s not shown.", mostShots,
			say.Count(left, "older one is", "older ones are")))}})
		all = all[:mostShots]
	}
	for two := range slices.Chunk(all, 2) {
		cells := make([]cell, len(two))
		for i, e := range two {
			cells[i] = s.shot(r, e, float64(i)*(s.column()+columnGap))
		}
		s.put(row{before: 3, cells: cells})
	}
}

// shot is a picture with its words below. One that the journal lacks is said to be missing.
func (s *sheet) shot(r *advise.Report, e *fleet.Entry, x float64) cell {
	name := r.Vehicle.Name
	if p := r.Vehicle.Position(e.Picture.Position); p != nil {
		name = p.Name
	}
	words := fmt.Sprintf("%s, %s: %s", name, e.Date.Long(), r.PictureWords(e.Picture))
	for _, m := range r.State.Marks {
		if m.Mark.Picture == e.Picture.Hash {
			words += "; marked on it, not shown: " + advise.MarkWords(m.Mark)
		}
	}
	out := cell{x: x, w: s.column()}
	src, err := s.paper.Picture(e.Picture.Hash)
	if err == nil {
		info := s.pdf.RegisterImageOptionsReader(e.Picture.Hash, shotOptions, bytes.NewReader(src))
		if err = s.pdf.Error(); err == nil {
			scale := min(out.w/info.Width(), shotHigh/info.Height())
			shown := &shot{e.Picture.Hash, scale * info.Width(), scale * info.Height()}
			out.lines = []line{{style{lead: shown.h + 1}, []piece{{shot: shown}}}}
		}
	}
	if err != nil {
		s.pdf.ClearError()
		words += "; the picture cannot be read"
	}
	out.lines = append(out.lines, s.text(smallStyle, out.w, say.Sentence(words))...)
	return out
}
