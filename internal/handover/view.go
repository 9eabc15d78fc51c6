package handover

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// View is a hand-over in words, as pages and paper show it and JSON carries it.
type View struct {
	Vehicle  string         `json:"vehicle"`
	Name     string         `json:"name"`
	On       civil.Date     `json:"on"`
	For      For            `json:"for"`
	Headline message.Text   `json:"headline"`
	Basis    []message.Text `json:"basis"` // what it rests on, and what was left out
	Sections []Section      `json:"sections"`
	Parts    []PartView     `json:"record,omitempty"`
}

// Section is one list of the summary.
type Section struct {
	Title message.Text `json:"title"`
	None  message.Text `json:"none,omitempty"` // what is said where it has no rows
	Rows  []Row        `json:"rows,omitempty"`
}

// Row is a line of the summary.
type Row struct {
	Position string        `json:"position,omitempty"`
	Verdict  fleet.Verdict `json:"verdict,omitempty"`
	Name     message.Text  `json:"name"`
	When     message.Text  `json:"when,omitempty"`
	Words    message.Text  `json:"words,omitempty"`
}

// PartView is the record of one part in words; of the vehicle as a whole without an id.
type PartView struct {
	Position string         `json:"position,omitempty"`
	Name     message.Text   `json:"name"`
	Lines    []LineView     `json:"lines,omitempty"`
	Pictures []*fleet.Entry `json:"-"` // newest first
	Shown    []string       `json:"pictures,omitempty"`
}

// LineView is a line of the record in words.
type LineView struct {
	When  message.Text    `json:"when"`
	Far   string          `json:"odometer,omitempty"`
	What  string          `json:"what"`
	Words message.Text    `json:"words"`
	Cost  *units.Quantity `json:"cost,omitempty"`
	Found bool            `json:"-"`
}

// View says it all in words, distances by preference.
func (h *Handover) View(p units.Preferences) View {
	v := View{Vehicle: h.Vehicle.ID, Name: h.Vehicle.Name, On: h.On, For: h.For, Headline: h.headline(),
		Basis: h.basis(p)}
	open, due := Section{Title: openTitle, None: noneOpen, Rows: h.openRows(p)}, h.dueSection()
	fitted, unknown := h.fittedSection(p), h.unknownSection()
	switch h.For {
	case Driver:
		v.Sections = []Section{h.mindSection(p), h.watchSection(p), h.aboardSection(), unknown}
	case Mechanic:
		v.Sections = []Section{open, due, unknown, fitted}
	default:
		v.Sections = []Section{fitted, due, open, unknown}
	}
	for _, part := range h.Parts {
		v.Parts = append(v.Parts, h.partView(part, p))
	}
	return v
}

func (h *Handover) partView(part Part, p units.Preferences) PartView {
	out := PartView{Name: wholeVehicle, Pictures: part.Pictures}
	if part.Position != nil {
		out.Position, out.Name = part.Position.ID, message.Name(part.Position.Name)
	}
	for _, e := range part.Pictures {
		out.Shown = append(out.Shown, e.Picture.Hash)
	}
	if part.Position == nil {
		if read, ok := h.readings(p); ok {
			out.Lines = append(out.Lines, read)
		}
	}
	for _, l := range part.Lines {
		line := LineView{When: told.Short(l.Date), What: l.What, Words: l.said(), Cost: l.Cost,
			Found: l.What == string(fleet.TypeFound)}
		if l.Odometer != nil {
			line.Far = p.Show(*l.Odometer)
		}
		if l.Run != nil {
			line.When, line.Far = l.Run.span(), ""
		}
		out.Lines = append(out.Lines, line)
	}
	return out
}

func row(j *judge.Judgement) Row {
	return Row{Position: j.Position.ID, Verdict: j.Verdict, Name: message.Name(j.Position.Name)}
}
