package handover

import (
	"cmp"
	"fmt"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/units"
)

const (
	openTitle    = "Open, and by when"
	noneOpen     = "Nothing that was looked at asks for anything."
	wholeVehicle = "The vehicle as a whole"
)

// Title says to whom a hand-over goes.
func (f For) Title() string {
	switch f {
	case Mechanic:
		return "For the next mechanic"
	case Driver:
		return "For who borrows it"
	}
	return "For its buyer"
}

// headline says the most important thing: what forbids to drive it, before all else.
func (h *Handover) headline() string {
	parked := h.With(fleet.Park)
	switch s := h.StandsWords(); {
	case s != "":
		return s
	case len(parked) > 0:
		return advise.ParkWords(parked)
	case h.For == Driver && h.NowWords() != "":
		return h.NowWords()
	case h.For == Driver && len(h.Watch) > 0:
		return fmt.Sprintf("Nothing recorded forbids driving it; keep an eye on %s.",
			say.Count(len(h.Watch), "part", "parts"))
	case h.For == Driver:
		return "Nothing recorded forbids driving it."
	}
	dated := fmt.Sprintf("%d of %d parts have a known date", len(h.Fitted), len(h.Judgements))
	open := fmt.Sprintf("%s open, %s not fully known", say.Number(len(h.Open)), say.Number(h.Unknown.Count()))
	if h.For == Mechanic {
		return say.Capital(open) + "; " + dated + "."
	}
	return dated + "; " + open + "."
}

// basis says what the summary rests on, and what was left out of it.
func (h *Handover) basis(p units.Preferences) []string {
	var out []string
	if h.State.Began.IsZero() {
		out = append(out, "Nothing is recorded yet.")
	} else {
		out = append(out, "Recorded since "+h.State.Began.Long()+"; what was before is known only as it was told.")
	}
	if last, ok := h.State.Last(); ok {
		out = append(out, fmt.Sprintf("Last reading: %s on %s.",
			p.Run(last.Total), last.Date.Long()))
	}
	if n := len(h.State.Problems) + h.State.MoreProblems; n > 0 {
		out = append(out, say.Capital(say.Count(n, "entry contradicts others and is left out",
			"entries contradict others and are left out"))+".")
	}
	var left []string
	if !h.Shows.Prices {
		left = append(left, "prices")
	}
	if !h.Shows.Names {
		left = append(left, "names")
	}
	if len(left) > 0 {
		out = append(out, "Left out: "+say.Listing(left)+".")
	}
	return append(out, "It says what was recorded, not that it is so.")
}

// openRows are what is half done, what asks for something and what waits to be fitted.
func (h *Handover) openRows(p units.Preferences) []Row {
	var out []Row
	for _, o := range h.OpenViews() {
		out = append(out, Row{Name: "Half done", Words: say.Sentence(o.Words)})
	}
	for _, j := range h.Open {
		r := row(j)
		r.When, r.Words = deadline(j, p), say.Sentence(say.Capital(advise.ActionVerb(j.Remedy())).String()+": "+
			say.LowerFirst(reason(j)))
		out = append(out, r)
	}
	for _, j := range h.Waits {
		r := row(j)
		bought := j.Place.Bought.Without(!h.Shows.Prices, !h.Shows.Names)
		r.When, r.Words = "waits", say.Sentence(advise.BoughtWords(bought))
		out = append(out, r)
	}
	return out
}

// deadline says by when a part is put right.
func deadline(j *judge.Judgement, p units.Preferences) string {
	if j.Verdict == fleet.Park || len(j.Todos) == 0 {
		return "before it moves"
	}
	return advise.DeadlineWords(&j.Todos[0], p)
}

// reason is why a part asks for something, in short: what was found, or its age.
func reason(j *judge.Judgement) string {
	words, _, _ := strings.Cut(advise.Why(j).String(), ". ")
	return words
}

// dueMonths is how far ahead what falls due is told by its date.
const dueMonths = 24

// dueSection lists what falls due together, and who says so; what is far ahead, together.
func (h *Handover) dueSection() Section {
	s := Section{Title: "Due", None: "Nothing has a date at which it falls due."}
	due := h.Due
	for end := h.On.AddMonths(dueMonths); len(due) > 0 && !due[0].When.Expected.After(end); {
		when, n := due[0].When.Words(), 1
		for n < len(due) && due[n].When.Words() == when {
			n++
		}
		var who, said []string
		names := map[string][]string{}
		for _, d := range due[:n] {
			by := string(d.By.Interval.Authority)
			who, names[by] = append(who, by), append(names[by], d.Position.Name)
		}
		for _, by := range say.Unique(who) {
			said = append(said, listed(names[by])+" ("+by+")")
		}
		s.Rows = append(s.Rows, Row{Name: say.Capital(when), Words: say.Sentence(strings.Join(said, "; "))})
		due = due[n:]
	}
	var later []string
	for _, d := range due {
		later = append(later, d.Position.Name)
	}
	if len(later) > 0 {
		s.Rows = append(s.Rows, Row{Name: "After " + h.On.AddMonths(dueMonths).MonthYear(),
			Words: say.Sentence(listed(later))})
	}
	return s
}

// fittedSection lists what was fitted together.
func (h *Handover) fittedSection(p units.Preferences) Section {
	s := Section{Title: "Fitted when", None: "Of no part it is known when it was fitted."}
	when := func(j *judge.Judgement) string {
		part := j.Place.Fitted
		words := part.From.Date.Short()
		if part.From.HasTotal {
			words += ", " + p.Run(part.From.Total)
		}
		if part.Known == fleet.Told {
			words += ", as told"
		}
		return words
	}
	var names []string
	for i, j := range h.Fitted {
		names = append(names, j.Position.Name)
		if i+1 == len(h.Fitted) || when(h.Fitted[i+1]) != when(j) {
			s.Rows = append(s.Rows, Row{Name: when(j), Words: say.Sentence(listed(names))})
			names = nil
		}
	}
	return s
}

// listed names parts within a sentence.
func listed(names []string) string {
	small := make([]string, len(names))
	for i, n := range names {
		small[i] = say.LowerFirst(n)
	}
	return say.Listing(small)
}

func (h *Handover) unknownSection() Section {
	s := Section{Title: "Not known",
		None: "Every part was looked at in time, and it is known when each was fitted."}
	for _, u := range []struct {
		of   []*judge.Judgement
		name string
	}{{h.Neither, "Never looked at, and fitted nobody knows when"},
		{h.Unseen, "Never looked at since they were fitted"},
		{h.Undated, "Looked at, but fitted nobody knows when"},
		{h.LongSeen, "Looked at longer ago than they should be"}} {
		if len(u.of) > 0 {
			s.Rows = append(s.Rows, Row{Name: fmt.Sprintf("%s (%d)", u.name, len(u.of)),
				Words: say.Sentence(advise.Names(u.of))})
		}
	}
	return s
}

// mindSection says what not to do, and what is minded while something is not right.
func (h *Handover) mindSection(p units.Preferences) Section {
	s := Section{Title: "What not to do", None: "Nothing recorded forbids anything; the maker's handbook holds."}
	if stands := h.StandsWords(); stands != "" {
		s.Rows = append(s.Rows, Row{Name: "Half done", Words: stands})
	}
	for _, j := range h.Open {
		r := row(j)
		switch {
		case j.Verdict == fleet.Park:
			r.When, r.Words = "before it moves", "Do not drive it: "+say.LowerFirst(reason(j))
		default:
			r.When, r.Words = deadline(j, p), cmp.Or(j.Until, "Not for longer than that: "+say.LowerFirst(reason(j)))
		}
		r.Words = say.Sentence(r.Words)
		s.Rows = append(s.Rows, r)
	}
	return s
}

// watchSection says what the driver keeps an eye on.
func (h *Handover) watchSection(p units.Preferences) Section {
	s := Section{Title: "What to watch", None: "No part is on watch. The driver's card says what to do on which sign."}
	for _, j := range h.Watch {
		r := row(j)
		r.Words = say.Sentence(reason(j))
		if j.Again != nil {
			r.When = strings.TrimSuffix(say.LowerFirst(h.AgainWords(j, p)), ".")
		}
		s.Rows = append(s.Rows, r)
	}
	if len(s.Rows) > 0 {
		s.Rows = append(s.Rows, Row{Name: "Signs while driving", Words: "See the driver's card."})
	}
	return s
}

func (h *Handover) aboardSection() Section {
	s := Section{Title: "Aboard", None: "Nothing is recorded as carried."}
	for _, e := range h.State.Aboard {
		s.Rows = append(s.Rows, Row{Name: say.Capital(e.Aboard.Thing), When: "since " + e.Date.Short(),
			Words: e.Aboard.Note})
	}
	return s
}

// said is what a line of the record says.
func (l *Line) said() string {
	switch {
	case l.Run != nil:
		words := fmt.Sprintf("Sound at %s", say.Count(l.Run.Looks, "look", "looks"))
		if l.Run.Answers > l.Run.Looks {
			words += fmt.Sprintf(", %d answers", l.Run.Answers)
		}
		if len(l.Run.Figures) > 0 {
			words += ". The newest: " + strings.Join(l.Run.Figures, "; ")
		}
		return say.Sentence(words)
	case l.Others > 0:
		others := say.Count(l.Others, "other answer", "other answers")
		return say.Sentence(strings.TrimSuffix(l.Words, ".") + "; " + others + " that day: sound")
	}
	return say.Sentence(l.Words)
}

// span is from when to when the looks of a run were.
func (r *Run) span() string {
	if r.From == r.To {
		return r.To.Short()
	}
	return r.From.Short() + " to " + r.To.Short()
}

// readings is the line of the odometer: how often it was read, first and last.
func (h *Handover) readings(p units.Preferences) (LineView, bool) {
	n := 0
	for _, e := range h.State.Record {
		if e.Odometer != nil {
			n++
		}
	}
	all := h.State.Readings
	if n == 0 || len(all) == 0 {
		return LineView{}, false
	}
	first, last := all[0], all[len(all)-1]
	return LineView{When: span(first.Date, last.Date), What: p.Meter(),
		Words: fmt.Sprintf("Read %s: %s to %s.", say.Count(n, "time", "times"), p.Run(first.Total),
			p.Run(last.Total))}, true
}

func span(from, to civil.Date) string { return (&Run{From: from, To: to}).span() }
