package handover

import (
	"cmp"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

const (
	openTitle    message.Text = "Open, and by when"
	noneOpen     message.Text = "Nothing that was looked at asks for anything."
	wholeVehicle message.Text = "The vehicle as a whole"
)

// Title says to whom a hand-over goes.
func (f For) Title() message.Text {
	switch f {
	case Mechanic:
		return "For the next mechanic"
	case Driver:
		return "For who borrows it"
	}
	return "For its buyer"
}

// headline says the most important thing: what forbids to drive it, before all else.
func (h *Handover) headline() message.Text {
	parked, now := h.With(fleet.Park), h.NowWords()
	switch s := h.StandsWords(); {
	case s != "":
		return s
	case len(parked) > 0:
		return advise.ParkWords(parked)
	case h.For == Driver && now != "":
		return now
	case h.For == Driver && len(h.Watch) > 0:
		return message.Of("Nothing recorded forbids driving it; keep an eye on %s.",
			told.Count(len(h.Watch), "part", "parts"))
	case h.For == Driver:
		return "Nothing recorded forbids driving it."
	}
	dated := message.Of("%d of %d parts have a known date", len(h.Fitted), len(h.Judgements))
	open := message.Of("%s open, %s not fully known", told.Number(len(h.Open)), told.Number(h.Unknown.Count()))
	if h.For == Mechanic {
		return message.Of("%s; %s.", open.Capital(), dated)
	}
	return message.Of("%s; %s.", dated, open)
}

// basis says what the summary rests on, and what was left out of it.
func (h *Handover) basis(p units.Preferences) []message.Text {
	var out []message.Text
	if h.State.Began.IsZero() {
		out = append(out, "Nothing is recorded yet.")
	} else {
		out = append(out, message.Of("Recorded since %s; what was before is known only as it was told.",
			told.Long(h.State.Began)))
	}
	if last, ok := h.State.Last(); ok {
		out = append(out, message.Of("Last reading: %s on %s.",
			p.Run(last.Total), told.Long(last.Date)))
	}
	if n := len(h.State.Problems) + h.State.MoreProblems; n > 0 {
		out = append(out, told.Count(n, "entry contradicts others and is left out",
			"entries contradict others and are left out").Sentence())
	}
	switch h.Shows {
	case With{}:
		out = append(out, "Left out: prices and names.")
	case With{Names: true}:
		out = append(out, "Left out: prices.")
	case With{Prices: true}:
		out = append(out, "Left out: names.")
	}
	return append(out, "It says what was recorded, not that it is so.")
}

// openRows are what is half done, what asks for something and what waits to be fitted.
func (h *Handover) openRows(p units.Preferences) []Row {
	var out []Row
	for _, o := range h.OpenViews() {
		out = append(out, Row{Name: "Half done", Words: o.Words.Sentence()})
	}
	for _, j := range h.Open {
		r := row(j)
		r.When, r.Words = deadline(j, p), message.Of("%s: %s", advise.ActionVerb(j.Remedy()).Capital(),
			advise.Evidence(j).LowerFirst()).Sentence()
		out = append(out, r)
	}
	for _, j := range h.Waits {
		r := row(j)
		bought := j.Place.Bought.Without(!h.Shows.Prices, !h.Shows.Names)
		r.When, r.Words = "waits", advise.BoughtWords(bought).Sentence()
		out = append(out, r)
	}
	return out
}

// deadline says by when a part is put right.
func deadline(j *judge.Judgement, p units.Preferences) message.Text {
	if j.Verdict == fleet.Park || len(j.Todos) == 0 {
		return "before it moves"
	}
	return advise.DeadlineWords(&j.Todos[0], p)
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
		var who []fleet.Authority
		var said []message.Text
		names := map[fleet.Authority][]message.Text{}
		for _, d := range due[:n] {
			by := d.By.Interval.Authority
			if names[by] == nil {
				who = append(who, by)
			}
			names[by] = append(names[by], listed(d.Position))
		}
		for _, by := range who {
			said = append(said, message.Of("%s (%s)", told.Listing(names[by]), by))
		}
		s.Rows = append(s.Rows, Row{Name: when.Capital(), Words: message.Joined(said, "; ").Sentence()})
		due = due[n:]
	}
	var later []message.Text
	for _, d := range due {
		later = append(later, listed(d.Position))
	}
	if len(later) > 0 {
		s.Rows = append(s.Rows, Row{Name: message.Of("After %s", told.MonthYear(h.On.AddMonths(dueMonths))),
			Words: told.Listing(later).Sentence()})
	}
	return s
}

// fittedSection lists what was fitted together.
func (h *Handover) fittedSection(p units.Preferences) Section {
	s := Section{Title: "Fitted when", None: "Of no part it is known when it was fitted."}
	when := func(j *judge.Judgement) message.Text {
		part := j.Place.Fitted
		words := told.Short(part.From.Date)
		if part.From.HasTotal {
			words = message.Of("%s, %s", words, p.Run(part.From.Total))
		}
		if part.Known == fleet.Told {
			return message.Of("%s, as told", words)
		}
		return words
	}
	var names []message.Text
	for i, j := range h.Fitted {
		names = append(names, listed(j.Position))
		if i+1 == len(h.Fitted) || when(h.Fitted[i+1]) != when(j) {
			s.Rows = append(s.Rows, Row{Name: when(j), Words: told.Listing(names).Sentence()})
			names = nil
		}
	}
	return s
}

// listed names a part within a sentence.
func listed(p *fleet.Position) message.Text { return message.Name(p.Name).LowerFirst() }

func (h *Handover) unknownSection() Section {
	s := Section{Title: "Not known",
		None: "Every part was looked at in time, and it is known when each was fitted."}
	for _, u := range []struct {
		of   []*judge.Judgement
		name message.Text
	}{{h.Neither, "Never looked at, and fitted nobody knows when (%d)"},
		{h.Unseen, "Never looked at since they were fitted (%d)"},
		{h.Undated, "Looked at, but fitted nobody knows when (%d)"},
		{h.LongSeen, "Looked at longer ago than they should be (%d)"}} {
		if len(u.of) > 0 {
			s.Rows = append(s.Rows, Row{Name: u.name.With(len(u.of)),
				Words: advise.Names(u.of).Sentence()})
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
			r.When, r.Words = "before it moves", message.Of("Do not drive it: %s", advise.Evidence(j).LowerFirst())
		default:
			r.When, r.Words = deadline(j, p), cmp.Or(message.Name(j.Until),
				message.Of("Not for longer than that: %s", advise.Evidence(j).LowerFirst()))
		}
		r.Words = r.Words.Sentence()
		s.Rows = append(s.Rows, r)
	}
	return s
}

// watchSection says what the driver keeps an eye on.
func (h *Handover) watchSection(p units.Preferences) Section {
	s := Section{Title: "What to watch", None: "No part is on watch. The driver's card says what to do on which sign."}
	for _, j := range h.Watch {
		r := row(j)
		r.Words = advise.Evidence(j).Sentence()
		if j.Again != nil {
			r.When = h.AgainWords(j, p).LowerFirst().Open()
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
		s.Rows = append(s.Rows, Row{Name: message.Name(e.Aboard.Thing).Capital(),
			When: message.Of("since %s", told.Short(e.Date)), Words: message.Name(e.Aboard.Note)})
	}
	return s
}

// said is what a line of the record says.
func (l *Line) said() message.Text {
	switch {
	case l.Run != nil:
		looks := told.Count(l.Run.Looks, "look", "looks")
		words := message.Of("Sound at %s", looks)
		if l.Run.Answers > l.Run.Looks {
			words = message.Of("Sound at %s, %d answers", looks, l.Run.Answers)
		}
		if len(l.Run.Figures) > 0 {
			words = message.Of("%s. The newest: %s", words, message.Joined(l.Run.Figures, "; "))
		}
		return words.Sentence()
	case l.Others > 0:
		return message.Of("%s; %s that day: sound.", l.Words.Capital().Open(),
			told.Count(l.Others, "other answer", "other answers"))
	}
	return l.Words.Sentence()
}

// span is from when to when the looks of a run were.
func (r *Run) span() message.Text {
	if r.From == r.To {
		return told.Short(r.To)
	}
	return message.Of("%s to %s", told.Short(r.From), told.Short(r.To))
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
		Words: message.Of("Read %s: %s to %s.", told.Count(n, "time", "times"), p.Run(first.Total),
			p.Run(last.Total))}, true
}

func span(from, to civil.Date) message.Text { return (&Run{From: from, To: to}).span() }
