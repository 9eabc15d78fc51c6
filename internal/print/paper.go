package print

import (
	"io"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/buying"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// Size is a size of paper.
type Size string

// The sizes of paper: A4 after ISO 216 (210 mm by 297 mm) and letter, which
// is 8.5 in by 11 in.
const (
	A4     Size = "a4"
	Letter Size = "letter"
)

// Sizes lists the names of the sizes.
func Sizes() []string { return []string{string(A4), string(Letter)} }

// ParseSize reads the name of a size in any case; "" is A4. Anything else is a
// *fleet.Error of kind Invalid.
func ParseSize(s string) (Size, error) {
	name := strings.ToLower(strings.TrimSpace(s))
	if name == "" {
		return A4, nil
	}
	if !slices.Contains(Sizes(), name) {
		return "", &fleet.Error{Kind: fleet.Invalid, Msg: message.Of("%q is no size of paper known here", s),
			Hint: message.Of("write one of %s", strings.Join(Sizes(), ", "))}
	}
	return Size(name), nil
}

// millimetres returns width and height, upright.
func (s Size) millimetres() (w, h float64) {
	if s == Letter {
		return 215.9, 279.4
	}
	return 210, 297
}

// Paper sets sheets as PDF, black on white, to print and to write on. Every
// page carries the vehicle, the sheet, its date and "page 2 of 5". The same
// sheet gives the same bytes on every machine and every day: the fonts are
// part of the program, and the file is dated with the sheet's own date.
type Paper struct {
	Size     Size // "" is A4
	Units    units.Preferences
	Language *message.Language // nil: English
	// Picture gives the small version of a picture by its content hash, as a JPEG.
	Picture func(hash string) ([]byte, error)
}

// Round writes a round sheet: a tick box for every answer, a line for every
// figure, room for a note at every stop.
func (p Paper) Round(w io.Writer, r *visit.Round) error {
	s := p.sheet("Round sheet", r.Vehicle, r.On)
	s.round(r)
	return s.writeTo(w)
}

// Job writes a job sheet: what for, what to have ready, the numbered steps
// with their cautions before them, the torques, and room for what was found.
func (p Paper) Job(w io.Writer, j *visit.Job) error {
	s := p.sheet("Job sheet", j.Vehicle, j.On)
	s.job(j)
	return s.writeTo(w)
}

// Parts writes what to buy and have ready for a job, with its cost.
func (p Paper) Parts(w io.Writer, j *visit.Job) error {
	s := p.sheet("Parts list", j.Vehicle, j.On)
	s.partsList(j)
	return s.writeTo(w)
}

// Shopping writes what a plan buys, by the day by which it is ordered.
func (p Paper) Shopping(w io.Writer, list *buying.Shopping) error {
	name := message.Text("All vehicles")
	if list.Vehicle != nil {
		name = message.Name(list.Vehicle.Name)
	}
	s := newSheet(p, frame{vehicle: name, title: "Shopping list", on: list.On})
	s.shopping(list)
	return s.writeTo(w)
}

func (p Paper) sheet(title message.Text, v *fleet.Vehicle, on civil.Date) *sheet {
	return newSheet(p, frame{vehicle: message.Name(v.Name), title: title, on: on})
}
