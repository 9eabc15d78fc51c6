// Package measured places the pulleys of a belt run: from measures by tape, or from a photograph on which their rims
// were touched. It hands on what package survey works out, as a run that package belt answers for.
package measured

import (
	"math"
	"slices"
	"strconv"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/survey"
	"undertray.example/undertray/units"
)

// Photo is a photograph with the rims that were touched on it, and Touch a place on it: px from its upper left corner.
type (
	Photo = survey.Photo
	Touch = survey.Touch
)

// Ask is a run to be placed.
type Ask struct {
	// Run says which pulleys there are, in the order the belt travels, and on which side of it. Their places are a
	// sketch, in any scale; diameters above 0 were measured, as were its Measures.
	Run  *fleet.Run
	Belt sheet.BeltFacts
	// Photo is nil for a run measured by tape. A rim is that of the pulley at its place in the run.
	Photo *Photo
	// Like is the run as the sheet has it, onto which this one is laid; nil: the first pulley is the origin.
	Like *fleet.Run
}

// Placed is a run with its pulleys placed.
type Placed struct {
	As      *belt.Run // the run, worked out as any other; places and diameters to a tenth of a millimetre
	Belt    sheet.BeltFacts
	Without []Without
	found   *survey.Result
	photo   *Photo
}

// Without is what the run comes to with one pulley left out.
type Without struct {
	Pulley         string
	LengthMM, SDMM float64
}

// Place works a run out. Errors are of kind Invalid: they name the pulley or the measure and what would be right.
func Place(a Ask) (*Placed, error) {
	run := *a.Run
	run.Pulleys = slices.Clone(run.Pulleys)
	run.Typical = run.Typical && a.Photo == nil && len(run.Measures) == 0
	sketched(&run)
	source, _ := sheet.DriveRun(&run, a.Belt.Belt)
	source.Tensioner = drive.Tensioner{}
	ms := measures(&run)
	var found *survey.Result
	var err error
	if a.Photo != nil {
		found, err = survey.Photograph(source, *a.Photo, ms)
	} else {
		found, err = survey.Tape(source, ms)
	}
	if err != nil {
		return nil, refused(&run, err)
	}
	onto(&run, found.Run.Pulleys, a.Like)
	as, err := belt.Alone(&sheet.RunSheet{Run: &run, Belt: a.Belt}, belt.Question{})
	if err != nil {
		return nil, err
	}
	p := &Placed{As: as, Belt: a.Belt, found: found, photo: a.Photo}
	for i := range source.Pulleys {
		name := source.Pulleys[i].Name
		mm, sd, err := found.After(func(r drive.Run) (drive.Run, error) { return r.Without(name) })
		if err == nil {
			p.Without = append(p.Without, Without{name, mm, sd})
		}
	}
	return p, nil
}

// ringMM is how large a run without a sketch is drawn.
const ringMM = 200

// sketched sets pulleys round a ring where nobody sketched them, those on the back further in.
func sketched(run *fleet.Run) {
	for i := range run.Pulleys {
		if p := &run.Pulleys[i]; p.X.Base() != 0 || p.Y.Base() != 0 {
			return
		}
	}
	way := 1.0
	if run.Turns == "clockwise" {
		way = -1
	}
	for i := range run.Pulleys {
		sin, cos := math.Sincos(-math.Pi/2 + way*2*math.Pi*float64(i)/float64(len(run.Pulleys)))
		r := float64(ringMM)
		if run.Pulleys[i].Side == "back" {
			r *= 0.6
		}
		run.Pulleys[i].X, run.Pulleys[i].Y = millimetres(r*cos), millimetres(r*sin)
	}
}

func millimetres(v float64) units.Quantity {
	q, err := units.Parse(strconv.FormatFloat(v+0, 'f', 1, 64)+"mm", units.Length)
	if err != nil {
		return units.Quantity{}
	}
	return q
}

var kinds = map[string]survey.Kind{"diameter": survey.Diameter, "centres": survey.Centres, "over": survey.Over,
	"gap": survey.Gap, "belt": survey.Belt}

// measures are what was taken on a run: its measures, and diameters that none of them gives.
func measures(run *fleet.Run) (out []survey.Measure) {
	given := map[string]bool{}
	for i := range run.Measures {
		m := &run.Measures[i]
		s := survey.Measure{Kind: kinds[m.Kind], A: sheet.PulleyName(m.Of), B: sheet.PulleyName(m.And),
			MM: m.Reads.Base()}
		if m.Within != nil {
			s.SDMM = m.Within.Base()
		}
		given[s.A] = given[s.A] || s.Kind == survey.Diameter
		out = append(out, s)
	}
	for i := range run.Pulleys {
		p := &run.Pulleys[i]
		if name := sheet.PulleyName(p.Name); p.Diameter.Base() > 0 && !given[name] {
			out = append(out, survey.Measure{Kind: survey.Diameter, A: name, MM: p.Diameter.Base()})
		}
	}
	return out
}

// onto writes places and diameters into a run, moved and turned as a whole so that they lie best on those of the run
// that they are measured anew of (least squares of the pulleys that both have; Umeyama 1991, without a scale).
func onto(run *fleet.Run, found []drive.Pulley, like *fleet.Run) {
	var n, ax, ay, bx, by float64
	pairs := func(do func(a drive.Point, b *fleet.Pulley)) {
		for i := range found {
			for j := 0; like != nil && j < len(like.Pulleys); j++ {
				if sheet.PulleyName(like.Pulleys[j].Name) == found[i].Name {
					do(found[i].Centre, &like.Pulleys[j])
				}
			}
		}
	}
	pairs(func(a drive.Point, b *fleet.Pulley) {
		n, ax, ay, bx, by = n+1, ax+a.X, ay+a.Y, bx+b.X.Base(), by+b.Y.Base()
	})
	sin, cos := 0.0, 1.0
	if n >= 2 {
		ax, ay, bx, by = ax/n, ay/n, bx/n, by/n
		var dot, cross float64
		pairs(func(a drive.Point, b *fleet.Pulley) {
			x, y, u, v := a.X-ax, a.Y-ay, b.X.Base()-bx, b.Y.Base()-by
			dot, cross = dot+x*u+y*v, cross+x*v-y*u
		})
		sin, cos = math.Sincos(math.Atan2(cross, dot))
	} else {
		ax, ay, bx, by = 0, 0, 0, 0
	}
	for i := range found {
		x, y := found[i].Centre.X-ax, found[i].Centre.Y-ay
		p := &run.Pulleys[i]
		p.X, p.Y = millimetres(bx+cos*x-sin*y), millimetres(by+sin*x+cos*y)
		p.Diameter = millimetres(found[i].DiameterMM)
	}
}

// chance is that of the bands that are told.
const chance = 0.9

// Band is the range that the effective length lies in nine times in ten, mm.
func (p *Placed) Band() (lo, hi float64) { return p.found.BandMM(chance) }

// LengthMM is the effective length of the belt as the pulleys stand, mm.
func (p *Placed) LengthMM() float64 { return p.found.LengthMM }

// slips is beyond how many standard deviations a measure is told as a likely slip (Baarda 1968, see package survey).
const slips = 3

// Fit is how a measure agrees with the others.
type Fit struct {
	Measure         fleet.Measure
	MisfitMM        float64 // what the run as placed has, less what was read
	Odd, Unchecked  bool    // a slip is likely; nothing else checks it
	fromAPulleyOnly bool
}

// Fits lists each measure with its misfit, diameters given with a pulley after the run's measures.
func (p *Placed) Fits() []Fit {
	out := make([]Fit, len(p.found.Fits))
	run := p.As.Run
	for i, f := range p.found.Fits {
		out[i] = Fit{MisfitMM: f.MisfitMM, Odd: math.Abs(f.Odd) > slips, Unchecked: f.Odd == 0}
		if i < len(run.Measures) {
			out[i].Measure = run.Measures[i]
			continue
		}
		out[i].Measure = fleet.Measure{Kind: "diameter", Of: p.title(f.A), Reads: millimetres(f.MM)}
		out[i].fromAPulleyOnly = true
	}
	return out
}

// title is a pulley's name as it is written down.
func (p *Placed) title(name string) string {
	for i := range p.As.Run.Pulleys {
		if sheet.PulleyName(p.As.Run.Pulleys[i].Name) == name {
			return p.As.Run.Pulleys[i].Name
		}
	}
	return name
}

// Keep is the run as a sheet keeps it: with its measures, and without what only a sketch had.
func (p *Placed) Keep() *fleet.Run {
	run := *p.As.Run
	for _, f := range p.Fits() {
		if f.fromAPulleyOnly {
			run.Measures = append(slices.Clip(run.Measures), f.Measure)
		}
	}
	return &run
}

// Outline is a rim as it is taken to lie on the photograph, and the places it was told by.
type Outline struct {
	Pulley string
	Line   []Touch // closed
	At     []Touch // edges of the picture, or touches as they were made
	Edges  bool
}

// Outlines are the rims on the photograph; none where the run was measured by tape.
func (p *Placed) Outlines() (out []Outline) {
	for _, r := range p.found.Rims {
		out = append(out, Outline{p.title(r.Pulley), r.Outline, r.At, r.Edges})
	}
	return out
}
