package sheet

import (
	"strings"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// Toothed is the name of the section that stands for belts with teeth. Such a
// run is laid out on the diameters given; nothing slips on it.
const Toothed = "toothed"

// Ribs assumed where no designation says how many: only the estimate of the
// belt's mass hangs on them.
const assumedRibs = 6

// BeltFacts is what is known of the belt of a run.
type BeltFacts struct {
	Belt    drive.Belt
	Printed string // designation, where one was found
	// Section is the name of the section that was assumed where nothing says
	// which; Ribs the number of ribs assumed for the belt's mass. Empty and 0
	// where nothing was assumed.
	Section string
	Ribs    int
}

// BeltOf works out the belt of a run from the kind of its position, nil where
// it is not known, and the part there. A designation in the part's number or name comes first, then
// section, ribs and length of the run, then the part's own length.
func BeltOf(r *fleet.Run, kind *catalogue.Kind, part fleet.PartSpec) BeltFacts {
	section := ""
	if kind != nil {
		section = kind.Belt
	}
	if section == catalogue.ToothedBelt {
		return toothed(r, part)
	}
	f := BeltFacts{}
	for _, word := range append(designationWords(part.Number), designationWords(part.Name)...) {
		d, err := drive.ParseDesignation(word)
		if err != nil {
			continue
		}
		if f.Belt, err = d.Belt(); err == nil {
			f.Printed = d.String()
			break
		}
	}
	if f.Printed == "" {
		f.describe(r, section, part)
	}
	f.Belt.Stretch = r.Stretch || section == catalogue.StretchBelt
	f.Belt.KgPerM = massPerMetre(r, f.Belt.LengthMM)
	return f
}

// designationWords splits a text into what may be designations: the whole,
// and each word.
func designationWords(text string) []string {
	if text == "" {
		return nil
	}
	return append([]string{text}, strings.FieldsFunc(text, func(c rune) bool {
		return c == ' ' || c == ',' || c == ';' || c == '(' || c == ')'
	})...)
}

// describe fills in a belt without a designation.
func (f *BeltFacts) describe(r *fleet.Run, assumed string, part fleet.PartSpec) {
	name := r.Section
	if name == "" {
		name = "PK"
		if assumed == catalogue.VBelt {
			name = "AV10"
		}
		f.Section = name
	}
	section, err := drive.SectionNamed(name)
	if err != nil {
		section = drive.PK()
	}
	f.Belt.Section, f.Belt.Ribs = section, float64(r.Ribs)
	if r.Ribs == 0 {
		f.Belt.Ribs = 1
		if section.Family == drive.Ribbed {
			f.Belt.Ribs = assumedRibs
			f.Ribs = assumedRibs
		}
	}
	f.Belt.LengthMM = base(r.Length)
	if q, ok := part.Spec["length"]; ok && f.Belt.LengthMM == 0 && q.Dimension() == units.Length {
		f.Belt.LengthMM = q.Base()
	}
	if d, ok := f.Belt.Designation(); ok && r.Section != "" && r.Ribs > 0 {
		f.Printed = d.String()
	}
}

// toothed is a belt with teeth on the diameters given.
func toothed(r *fleet.Run, part fleet.PartSpec) BeltFacts {
	s := drive.FlatSection(4)
	s.Name, s.LineMM, s.MinMM = Toothed, 0, 0
	b := drive.Belt{Section: s, Ribs: 20, LengthMM: base(r.Length)}
	if q, ok := part.Spec["length"]; ok && b.LengthMM == 0 && q.Dimension() == units.Length {
		b.LengthMM = q.Base()
	}
	return BeltFacts{Belt: b}
}

// massPerMetre is the weighed mass over the length of the belt that was
// weighed, kg/m; 0 unless both are known.
func massPerMetre(r *fleet.Run, lengthMM float64) float64 {
	if r.Length != nil {
		lengthMM = r.Length.Base()
	}
	if r.Mass == nil || lengthMM <= 0 {
		return 0
	}
	return r.Mass.Base() / lengthMM // g/mm are kg/m
}

// PulleyName is a pulley's name inside a sentence, and in package drive: with
// a small first letter unless it begins with an abbreviation.
func PulleyName(name string) string {
	if len(name) < 2 || name[1] < 'a' || name[1] > 'z' {
		return name
	}
	return strings.ToLower(name[:1]) + name[1:]
}

// DriveRun puts a run with its belt into the form that package drive works
// on, mm and degrees. A tensioner whose pivot, direction or stops are not
// measured yet is left out; the text says what is missing and is empty
// otherwise. DriveRun checks nothing: drive.New does.
func DriveRun(r *fleet.Run, belt drive.Belt) (run drive.Run, unmeasured string) {
	run = drive.Run{Belt: belt, Friction: drive.Friction{Mu: r.Friction}}
	switch r.Turns {
	case "clockwise":
		run.DriverTurns = drive.Clockwise
	case "anticlockwise":
		run.DriverTurns = drive.Anticlockwise
	}
	for i := range r.Pulleys {
		run.Pulleys = append(run.Pulleys, drivePulley(&r.Pulleys[i]))
	}
	if t := r.Tensioner; t != nil {
		if unmeasured = missing(t); unmeasured == "" {
			run.Tensioner = driveTensioner(t)
		} else {
			run.Tensioner.SetN = base(t.Set)
		}
	}
	return run, unmeasured
}

func drivePulley(p *fleet.Pulley) drive.Pulley {
	out := drive.Pulley{Name: PulleyName(p.Name), Centre: drive.Point{X: p.X.Base(), Y: p.Y.Base()},
		DiameterMM: p.Diameter.Base(),
		GrooveDeg:  base(p.Groove), Driver: p.Driver, MaxRPM: base(p.Maximum), Alternator: p.Alternator}
	out.Axial.OffsetMM = base(p.Offset)
	if p.Side == "back" {
		out.Side, out.Measured = drive.BackSide, drive.Plain
	}
	if m, ok := measures[p.Measured]; ok {
		out.Measured = m
	}
	switch {
	case p.Power != nil:
		out.Load = drive.Load{Kind: drive.PowerLoad, Value: p.Power.Base()}
	case p.Torque != nil:
		out.Load = drive.Load{Kind: drive.TorqueLoad, Value: p.Torque.Base()}
	}
	if b := p.Bearing; b != nil {
		out.Bearing = &drive.Bearing{DynamicN: base(b.Rating), Roller: b.Roller, Elements: b.Elements,
			ElementMM: base(b.Ball), PitchMM: base(b.Pitch), OuterTurns: b.OuterTurns, Share: b.Share}
	}
	return out
}

func driveTensioner(t *fleet.Tensioner) drive.Tensioner {
	out := drive.Tensioner{Kind: tensionerKinds[t.Kind], Pulley: PulleyName(t.Pulley),
		Pivot: drive.Point{X: base(t.PivotX), Y: base(t.PivotY)}, SlideDeg: base(t.Slide),
		Low: base(t.Low), High: base(t.High), Spring: base(t.Spring), Rate: base(t.Rise), SetN: base(t.Set)}
	for _, m := range t.Marks {
		out.Marks = append(out.Marks, drive.Mark{Name: m.Name, At: m.At.Base()})
	}
	return out
}

func base(q *units.Quantity) float64 {
	if q == nil {
		return 0
	}
	return q.Base()
}

// Slides reports whether a tensioner moves along a line rather than about a
// pivot.
func Slides(t *fleet.Tensioner) bool {
	kind := tensionerKinds[t.Kind]
	return kind != drive.NoTensioner && !kind.Swings()
}
