package surface

import (
	"fmt"
	"image"
	"math"
)

// Strip is a belt squared up: ribs upright, x across and y along, at a set number of px to a mm. Its light is that of
// the picture; nothing is evened out. The place X mm across and Y mm along lies at X·PerMM-0.5, Y·PerMM-0.5, so that
// its left edge is the first line and its upper edge the first station.
type Strip struct {
	Picture
	PerMM float64 // px to a mm, both ways
	Ribs  int
	Pitch float64 // of the ribs, mm
}

// At is the place in a strip, px, of a place on the belt (X mm across, Y mm along).
func (s Strip) At(belt Point) Point { return Point{belt.X*s.PerMM - 0.5, belt.Y*s.PerMM - 0.5} }

// Belt is the place on the belt, mm, of a place in a strip, px.
func (s Strip) Belt(at Point) Point { return Point{(at.X + 0.5) / s.PerMM, (at.Y + 0.5) / s.PerMM} }

// Strip squares the belt up at a number of px to a mm. Where the picture has more, it is sampled more closely and
// averaged, so that nothing finer than a pixel of the strip turns into something else. Errors wrap [ErrPicture]
// (the picture, a frame that can't be used, a strip of more than [Largest] pixels).
func (f Frame) Strip(p *image.Gray, perMM float64) (Strip, error) {
	if err := checkGray(p); err != nil {
		return Strip{}, err
	}
	if !f.sound() {
		return Strip{}, fmt.Errorf("%w: a frame of %d stations and %d ribs, want two and one at least, in order",
			ErrPicture, len(f.Stations), f.Ribs())
	}
	size := f.Size()
	s := Strip{PerMM: perMM, Ribs: f.Ribs(), Pitch: f.Pitch}
	w, h := math.Round(size.X*perMM), math.Round(size.Y*perMM)
	if !(w >= 1 && h >= 1 && w*h <= Largest) {
		return Strip{}, fmt.Errorf("%w: a strip of %v by %v pixels, want from 1 to %d", ErrPicture, w, h, Largest)
	}
	s.Width, s.Height = int(w), int(h)
	s.Light = make([]float64, s.Width*s.Height)
	f.fill(&s, whole(p))
	return s, nil
}

// fill samples row by row: along a row the lines' places come from its station, and between them it is linear.
func (f Frame) fill(s *Strip, l *layer) {
	lines := make([]Point, f.Ribs()+1)
	for y := range s.Height {
		along := (float64(y) + 0.5) / s.PerMM
		n := f.denser(along, s.PerMM)
		row := s.Light[y*s.Width:][:s.Width]
		for j := range n {
			f.linesAt(along+((float64(j)+0.5)/float64(n)-0.5)/s.PerMM, lines)
			f.addRow(s, l, lines, row, n)
		}
		k := 1 / (255 * float64(n*n))
		for x := range row {
			row[x] *= k
		}
	}
}

func (f Frame) addRow(s *Strip, l *layer, lines []Point, row []float64, n int) {
	for x := range row {
		for i := range n {
			u := (float64(x) + (float64(i)+0.5)/float64(n)) / s.PerMM / f.Pitch
			k := min(int(u), len(lines)-2)
			u -= float64(k)
			a, b := lines[k], lines[k+1]
			row[x] += l.at(a.X+u*(b.X-a.X), a.Y+u*(b.Y-a.Y))
		}
	}
}

// denser is how many samples a pixel of a strip wants in each direction: as many as the picture has px there.
func (f Frame) denser(along, perMM float64) int {
	k := f.station(along)
	a, b := f.Stations[k], f.Stations[k+1]
	last := len(a.Lines) - 1
	across := a.Lines[0].distance(a.Lines[last]) / (float64(last) * f.Pitch)
	way := a.Lines[last/2].distance(b.Lines[last/2]) / (b.Along - a.Along)
	return min(max(int(math.Ceil(max(across, way)/perMM-0.2)), 1), 8)
}

// linesAt is where the lines are, some mm along.
func (f Frame) linesAt(along float64, lines []Point) {
	k := f.station(along)
	a, b := f.Stations[k], f.Stations[k+1]
	t := (along - a.Along) / (b.Along - a.Along)
	for i := range lines {
		lines[i] = a.Lines[i].plus(b.Lines[i].minus(a.Lines[i]).times(t))
	}
}
