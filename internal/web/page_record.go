package web

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// recordPage is the service record of one vehicle.
type recordPage struct {
	Page
	Headline  message.Text
	Filter    recordFilter
	Days      []recordDay
	Positions []group
	Whats     []string
	Out       string // address of the same as files
	Cost      string
	More      int    // older lines that are not shown
	All       string // address that shows them too
}

// mostLines is how many lines are shown at first.
const mostLines = 200

// recordFilter says which lines are wanted.
type recordFilter struct {
	What, Position, Text string
	Since, Until         civil.Date
}

type recordLine struct {
	advise.HistoryLine
	ID, Odo, Sum string
	Day          message.Text
}

// recordDay is what was recorded of one day with one reading of the odometer: what
// was changed, what was found, and apart the looks that found nothing.
type recordDay struct {
	Day          message.Text
	Odo          string
	Lines, Sound []recordLine
}

// add takes a line into its day; days follow one another as their lines do.
func (p *recordPage) add(l recordLine) {
	n := len(p.Days)
	if n == 0 || p.Days[n-1].Day != l.Day || l.Odo != "" && p.Days[n-1].Odo != "" && p.Days[n-1].Odo != l.Odo {
		p.Days = append(p.Days, recordDay{Day: l.Day})
		n++
	}
	d := &p.Days[n-1]
	d.Odo = cmp.Or(d.Odo, l.Odo)
	if l.Sound {
		d.Sound = append(d.Sound, l)
		return
	}
	d.Lines = append(d.Lines, l)
}

// order puts what was changed before what was found, and both before the rest.
func (d *recordDay) order() {
	rank := func(l recordLine) int {
		switch fleet.EntryType(l.What) {
		case fleet.TypeFitted, fleet.TypeDone:
			return 0
		case fleet.TypeFound:
			return 1
		}
		return 2
	}
	slices.SortStableFunc(d.Lines, func(a, b recordLine) int { return rank(a) - rank(b) })
}

func (s *Server) recordPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.whole(r)
	if err != nil {
		return err
	}
	f, err := readFilter(r)
	if err != nil {
		return err
	}
	if f.Position != "" && d.vehicle.Once(f.Position) == nil {
		if _, err := d.report.Find(f.Position); err != nil {
			return err
		}
	}
	lines := []advise.HistoryLine{}
	for _, l := range advise.History(d.report, f.Position) {
		if f.takes(l, d.in) {
			lines = append(lines, l)
		}
	}
	page := recordPage{Page: s.page(r, d, "record", "Service record of %s"), Filter: f,
		Positions: d.groups("system", nil, nil),
		Whats:     []string{"fitted", "done", "found", "note", "odometer"}, Cost: cost(lines)}
	page.Headline = recordAnswer(lines)
	page.set(d, lines, r.URL.Query())
	return s.answer(w, r, "record", page, lines)
}

// recordAnswer says what was changed last and when, and how much is recorded.
func recordAnswer(lines []advise.HistoryLine) message.Text {
	if len(lines) == 0 {
		return "Nothing is recorded of that."
	}
	for _, l := range lines {
		if fleet.EntryType(l.What) == fleet.TypeFitted && l.Position != "" {
			return message.Of("Last changed: %s, on %s; %d entries.", say.LowerFirst(l.Position), told.Long(l.Date),
				len(lines))
		}
	}
	return message.Of("Last written down on %s; %s.", told.Long(lines[0].Date),
		told.Several(len(lines), "entry", "entries"))
}

// set puts the lines on the page, the newest alone unless all are asked for.
func (p *recordPage) set(d *desk, lines []advise.HistoryLine, q url.Values) {
	all := q.Get("all") != ""
	q.Set(formatField, formatWhich)
	p.Out = "?" + q.Encode()
	if !all && len(lines) > mostLines {
		p.More, lines = len(lines)-mostLines, lines[:mostLines]
		q.Del(formatField)
		q.Set("all", "1")
		p.All = "?" + q.Encode()
	}
	for _, l := range lines {
		p.add(d.recordLine(l))
	}
	for i := range p.Days {
		p.Days[i].order()
	}
}

func (d *desk) recordLine(l advise.HistoryLine) recordLine {
	out := recordLine{HistoryLine: l, ID: l.Entry, Day: told.Short(l.Date)}
	if l.Odometer != nil {
		out.Odo = d.vehicle.Reader.Show(*l.Odometer)
	}
	if l.Cost != nil {
		out.Sum = l.Cost.String()
	}
	return out
}

func readFilter(r *http.Request) (f recordFilter, err error) {
	q := r.URL.Query()
	f = recordFilter{What: q.Get("what"), Position: q.Get("position"), Text: strings.TrimSpace(q.Get("text"))}
	for field, to := range map[string]*civil.Date{"since": &f.Since, "until": &f.Until} {
		if typed := q.Get(field); typed != "" {
			if *to, err = parseDay(field, typed); err != nil {
				return f, err
			}
		}
	}
	return f, nil
}

func (f *recordFilter) takes(l advise.HistoryLine, in *message.Language) bool {
	if f.What != "" && l.What != f.What || !f.Since.IsZero() && l.Date.Before(f.Since) || !f.Until.IsZero() &&
		l.Date.After(f.Until) {
		return false
	}
	return f.Text == "" || strings.Contains(strings.ToLower(l.Words.In(in)+" "+l.Position), strings.ToLower(f.Text))
}

// cost adds up what is known; "" where nothing is, or currencies differ.
func cost(lines []advise.HistoryLine) string {
	var sums []units.Quantity
	for _, l := range lines {
		if l.Cost != nil {
			sums = append(sums, *l.Cost)
		}
	}
	if len(sums) == 0 {
		return ""
	}
	total, err := units.Sum(sums...)
	if err != nil {
		return ""
	}
	return price(&total)
}
