package surface

import (
	"fmt"
	"image"
	"math"
	"slices"
)

// ProfileOptions say what a new belt is like. What is 0 is taken from [NewRib].
type ProfileOptions struct {
	Pitch  float64 // from rib to rib, mm
	Height float64 // of a new rib, mm
	Width  float64 // of a new rib at half its height, mm
}

// NewRib is a new PK rib: the pitch of ISO 9982 (3.56 mm), and 2.2 mm high and half a pitch wide at half its height
// from memory. Height and width differ from maker to maker: measure a new belt.
var NewRib = ProfileOptions{Pitch: 3.56, Height: 2.2, Width: 1.78}

// RibShape is what a picture along the ribs tells of one rib. Lengths in mm, angles in radians.
type RibShape struct {
	Tip    Point   `json:"tip"`    // px
	Height Measure `json:"height"` // from the mean of the bottoms beside it to its tip
	Width  Measure `json:"width"`  // half a new rib's height above those bottoms
	Angle  Measure `json:"angle"`  // between its flanks; 40 degrees when new
	// Round and Groove are the radii of the circles that touch both flanks and the tip, or both flanks and the
	// bottom of the groove after the rib (0 after the last): near 0 for a V, and the greater the more it is a U.
	Round  float64 `json:"round"`
	Groove float64 `json:"groove"`
	Lost   Measure `json:"lost"`  // of a new rib's height
	Flank  Measure `json:"flank"` // off each flank, square to it
}

// Profile is a picture along the ribs of a belt, read.
type Profile struct {
	Version string     `json:"version"` // of the method
	Ribs    []RibShape `json:"ribs"`
	PerMM   float64    `json:"perMM"`             // px, by the pitch
	Blur    float64    `json:"blur"`              // of the outline, px, standard deviation
	Outline []Point    `json:"outline,omitempty"` // px, from one side of the ribs to the other
	Faults  []Fault    `json:"faults,omitempty"`
}

// Codes of faults of outlines.
const (
	NoOutline = "no-outline" // too little of the outline stands out: Value share seen, Want at least
	NoHose    = "no-hose"    // no two edges side by side
)

// profileVersion tells readings of one method from those of another.
const profileVersion = "profile 1"

const (
	leastRibs    = 3    // whose middles give a scale that can be checked
	leastPerMM   = 6.0  // px
	mostBlurMM   = 0.18 // of a tip
	leastOutline = 0.8  // of an outline must be seen
)

// ReadProfile measures ribs in a picture that looks along them, at a cut end or a fold before something lighter or
// darker. The pitch gives the scale. The error wraps [ErrPicture] or [ErrSettings]; what is wrong with what is in the
// picture is a Fault, and where one stops there are no ribs.
//
// The outline is found coarsely as the border of what is darker or lighter than one of several levels, by ribs that
// stand in a row at one pitch; then in the whole picture, along its normals, where light (by the curve of sRGB) is
// half way from one side to the other. Flanks are lines through what lies between 0.3 and 0.7 of a rib's height.
func ReadProfile(p *image.Gray, o ProfileOptions) (Profile, error) {
	o, err := o.filled()
	if err != nil {
		return Profile{}, err
	}
	if err := checkGray(p); err != nil {
		return Profile{}, err
	}
	out := Profile{Version: profileVersion}
	row := findRow(p)
	if len(row.tips) < leastRibs {
		out.Faults = []Fault{{Code: NoBelt, Value: float64(len(row.tips)), Want: leastRibs, Stops: true}}
		return out, nil
	}
	edge := sharpen(p, row.line, row.pitch, false)
	out.Blur = edge.blur
	for _, q := range edge.points {
		out.Outline = append(out.Outline, q.at)
	}
	if edge.seen < leastOutline {
		out.Faults = append(out.Faults, Fault{Code: NoOutline, Value: edge.seen, Want: leastOutline, Stops: true})
		return out, nil
	}
	m := measuring{ProfileOptions: o, row: row, edge: edge}
	straight := m.scale()
	out.PerMM = m.perMM
	if m.perMM == 0 {
		out.PerMM = row.pitch / o.Pitch
	}
	if out.PerMM < leastPerMM {
		out.Faults = []Fault{{Code: Small, Value: out.PerMM, Want: leastPerMM, Stops: true}}
		return out, nil
	}
	if !straight {
		out.Faults = []Fault{{Code: NotBelt, Stops: true}}
		return out, nil
	}
	out.Blur = blurOf(p, m.onFlanks(), 0.16*row.pitch)
	if most := mostBlurMM * m.perMM; out.Blur > most {
		out.Faults = []Fault{{Code: Blurred, Value: out.Blur, Want: most, Stops: true}}
		return out, nil
	}
	m.edge.blur = out.Blur
	ribs := m.ribs()
	if !m.plausible(ribs) {
		out.Faults = []Fault{{Code: NotBelt, Stops: true}}
		return out, nil
	}
	out.Ribs = ribs
	return out, nil
}

// onFlanks are the places of the outline that are half way up a rib.
func (m *measuring) onFlanks() []edgePoint {
	var out []edgePoint
	for i, p := range m.pts {
		for _, f := range m.flanks {
			for _, side := range f {
				if side.ok && math.Abs(p.Y-side.middle) < 0.15*m.deep &&
					math.Abs(p.X-side.x(p.Y)) < 2 && m.edge.points[i].ok {
					out = append(out, m.edge.points[i])
				}
			}
		}
	}
	return out
}

// plausible is whether ribs could be those of a belt: four in five with flanks at 25 to 60
// degrees that are straight, evenly apart, and
// of a height that ribs have. Teeth of many other things are not.
func (m *measuring) plausible(ribs []RibShape) bool {
	var angles, heights, offs []float64
	for i, r := range ribs {
		if m.flanks[i][0].ok && m.flanks[i][1].ok {
			angles = append(angles, r.Angle.Value)
		}
		heights = append(heights, r.Height.Value)
		for _, f := range m.flanks[i] {
			offs = append(offs, f.off/m.perMM)
		}
	}
	if len(angles) < leastRibs-1 {
		return false
	}
	slices.Sort(angles)
	slices.Sort(offs)
	fifth := len(angles) / 5
	height := median(heights)
	if angles[fifth] < 0.44 || angles[len(angles)-1-fifth] > 1.05 {
		return false
	}
	return height > 0.3*m.Height && height < 1.5*m.Height && offs[len(offs)*4/5] < 0.08 && m.spread < 0.08*m.perMM
}

func (o ProfileOptions) filled() (ProfileOptions, error) {
	for _, f := range []struct {
		name string
		of   *float64
		new  float64
	}{{"pitch", &o.Pitch, NewRib.Pitch}, {"height", &o.Height, NewRib.Height}, {"width", &o.Width, NewRib.Width}} {
		if *f.of == 0 {
			*f.of = f.new
		}
		if !(*f.of >= 0.2 && *f.of <= 20) {
			return o, fmt.Errorf("%w: %s %v mm, want 0.2 to 20", ErrSettings, f.name, *f.of)
		}
	}
	return o, nil
}

// measuring turns an outline into ribs. Its own coordinates are px along the row of ribs and px up from it.
type measuring struct {
	ProfileOptions
	row           row
	edge          outline
	origin        Point
	along, up     Point // unit vectors
	pts           []Point
	flanks        [][2]flank // of each rib, before and after
	middles       []float64  // px along
	perMM, spread float64    // px; of the middles about their pitch, px
	deep          float64    // px, the ribs' median height as first seen
}

// flank is a line: along = at + lean*up.
type flank struct {
	at, lean, off float64 // off is how far its points are from it, px
	middle        float64 // px up, of what it was fitted to
	ok            bool
}

func (f flank) x(up float64) float64 { return f.at + f.lean*up }

// scale lays the coordinates, finds the flanks and takes the scale from the ribs' middles.
func (m *measuring) scale() bool {
	tips := m.row.tips
	m.origin = tips[0]
	d := Point{tips[len(tips)-1].X - tips[0].X, tips[len(tips)-1].Y - tips[0].Y}
	long := math.Hypot(d.X, d.Y)
	m.along = Point{d.X / long, d.Y / long}
	m.up = Point{m.along.Y, -m.along.X} // the inside is on the left of the outline, which goes this way or the other
	if m.row.up.X*m.up.X+m.row.up.Y*m.up.Y < 0 {
		m.up = Point{-m.up.X, -m.up.Y}
	}
	for _, e := range m.edge.points {
		dx, dy := e.at.X-m.origin.X, e.at.Y-m.origin.Y
		m.pts = append(m.pts, Point{dx*m.along.X + dy*m.along.Y, dx*m.up.X + dy*m.up.Y})
	}
	pitch := long / float64(len(tips)-1)
	if !m.flanksOf(tips, pitch) {
		return false
	}
	return m.pitchOf(pitch)
}

// flanksOf finds both flanks of each rib.
func (m *measuring) flanksOf(tips []Point, pitch float64) bool {
	n := len(tips)
	tops, lows := make([]float64, n), make([]float64, n-1)
	var deep []float64
	for i := range tips {
		tops[i], _ = m.extreme(float64(i)*pitch, 0.25*pitch, 1)
		if i > 0 {
			lows[i-1], _ = m.extreme((float64(i)-0.5)*pitch, 0.25*pitch, -1)
			deep = append(deep, tops[i-1]-lows[i-1])
		}
	}
	m.deep = median(deep)
	good := 0
	for i := range tips {
		// Of two grooves the shallower one says how far down the flanks go.
		own := min(tops[i]-lows[max(i-1, 0)], tops[i]-lows[min(i, n-2)])
		var both [2]flank
		for side := range both {
			way := float64(2*side - 1)
			both[side] = m.flank(float64(i)*pitch, way, pitch, tops[i]-0.7*own, tops[i]-0.3*own)
			both[side].middle = tops[i] - own/2
			if both[side].ok {
				good++
			}
		}
		m.flanks = append(m.flanks, both)
	}
	return good >= len(tips)*2*2/3
}

// extreme is the highest (way 1) or lowest (way -1) place of the outline within reach of a place along, as the mean
// of the places within half a px of it and 3 px of each other, px up; and where.
func (m *measuring) extreme(x, reach, way float64) (up, at float64) {
	best, where := math.Inf(-1), -1
	for i, p := range m.pts {
		if math.Abs(p.X-x) <= reach && m.edge.points[i].ok && way*m.mean(i) > best {
			best, where = way*m.mean(i), i
		}
	}
	if where < 0 {
		return 0, x
	}
	return way * best, m.pts[where].X
}

// mean is how far up the outline is at a point, with its neighbours.
func (m *measuring) mean(i int) float64 {
	sum, n := 0.0, 0
	for j := max(i-2, 0); j <= min(i+2, len(m.pts)-1); j++ {
		if m.edge.points[j].ok && math.Hypot(m.pts[j].X-m.pts[i].X, m.pts[j].Y-m.pts[i].Y) < 3.5 {
			sum, n = sum+m.pts[j].Y, n+1
		}
	}
	return sum / float64(max(n, 1))
}

// flank fits a line to one flank of the rib at x, between two heights, leaving out what is off it.
func (m *measuring) flank(x, way, pitch, low, high float64) flank {
	var pts []Point
	for i, p := range m.pts {
		if d := way * (p.X - x); d > 0 && d < 0.5*pitch && p.Y > low && p.Y < high && m.edge.points[i].ok {
			pts = append(pts, p)
		}
	}
	if len(pts) < 5 {
		return flank{}
	}
	weight := make([]float64, len(pts))
	for i := range weight {
		weight[i] = 1
	}
	var f flank
	for range 6 { // Huber's weights at 1.5 of the median distance over 0.6745 (Huber 1964, from memory)
		f.at, f.lean = weighted(pts, weight)
		off := make([]float64, len(pts))
		for i, p := range pts {
			off[i] = math.Abs(p.X-f.x(p.Y)) / math.Hypot(1, f.lean)
		}
		sorted := slices.Sorted(slices.Values(off))
		f.off = sorted[len(sorted)/2] / 0.6745
		for i := range weight {
			weight[i] = min(1, 1.5*max(f.off, 0.05)/max(off[i], 1e-9))
		}
	}
	f.ok = way*f.lean < 0.2 // it leans to its rib
	return f
}

// weighted is the line X = at + lean*Y through points, by least squares.
func weighted(pts []Point, weight []float64) (at, lean float64) {
	var w, x, y, yy, xy float64
	for i, p := range pts {
		w, x, y = w+weight[i], x+weight[i]*p.X, y+weight[i]*p.Y
		yy, xy = yy+weight[i]*p.Y*p.Y, xy+weight[i]*p.X*p.Y
	}
	den := w*yy - y*y
	if den <= 0 {
		return x / w, 0
	}
	lean = (w*xy - x*y) / den
	return (x - lean*y) / w, lean
}

// pitchOf takes the scale from the middles between flanks at half height, by the median of the slopes between any two
// (Theil and Sen, from memory).
func (m *measuring) pitchOf(pitch float64) bool {
	var slopes []float64
	for i, f := range m.flanks {
		middle := math.NaN()
		if f[0].ok && f[1].ok {
			middle = (f[0].x(f[0].middle) + f[1].x(f[1].middle)) / 2
		}
		m.middles = append(m.middles, middle)
		for j, other := range m.middles[:i] {
			if !math.IsNaN(other) && !math.IsNaN(middle) {
				slopes = append(slopes, (middle-other)/float64(i-j))
			}
		}
	}
	if len(slopes) == 0 {
		return false
	}
	slices.Sort(slopes)
	one := slopes[len(slopes)/2]
	m.perMM = one / m.Pitch
	var off []float64
	for i, x := range m.middles {
		off = append(off, x-float64(i)*one)
	}
	off = slices.DeleteFunc(off, math.IsNaN)
	slices.Sort(off)
	first := off[len(off)/2]
	var apart []float64
	for i, x := range m.middles {
		if math.IsNaN(x) {
			m.middles[i] = first + float64(i)*one
			continue
		}
		apart = append(apart, math.Abs(x-first-float64(i)*one))
	}
	slices.Sort(apart)
	m.spread = apart[(len(apart)-1)*4/5] // four in five of them
	return m.perMM > 0 && m.spread < 0.15*one
}

// ribs measures each.
func (m *measuring) ribs() []RibShape {
	one := m.Pitch * m.perMM
	n := len(m.middles)
	tops, lows := make([]float64, n), make([]float64, n+1)
	for i, x := range m.middles {
		tops[i], _ = m.extreme(x, 0.25*one, 1)
	}
	for i := 1; i < n; i++ {
		lows[i], _ = m.extreme((m.middles[i-1]+m.middles[i])/2, 0.3*one, -1)
	}
	lows[0] = m.outer(m.middles[0], -1, lows[1])
	lows[n] = m.outer(m.middles[n-1], 1, lows[n-1])
	var out []RibShape
	for i := range m.middles {
		out = append(out, m.rib(i, tops[i], lows[i], lows[i+1]))
	}
	return out
}

// outer is how far up the bottom is beside an outer rib, just before the belt's edge. Where that is not seen, or not
// like the groove on its other side, the latter is taken.
func (m *measuring) outer(x, way, inner float64) float64 {
	one := m.Pitch * m.perMM
	outside, ok := m.level(x+way*0.44*one, inner)
	inside, ok2 := m.level(x-way*0.44*one, inner)
	// So near to the edge the bottom is not quite reached: by as much as on the rib's other side.
	if up := inner + outside - inside; ok && ok2 && math.Abs(up-inner) < 0.4*m.perMM {
		return up
	}
	return inner
}

// level is how far up the outline is at a place along, where it is nearest to a height.
func (m *measuring) level(x, near float64) (up float64, ok bool) {
	best := math.Inf(1)
	for i := 1; i < len(m.pts); i++ {
		a, b := m.pts[i-1], m.pts[i]
		if (a.X-x)*(b.X-x) > 0 || a.X == b.X {
			continue
		}
		y := a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X)
		if math.Abs(y-near) < best {
			best, up, ok = math.Abs(y-near), y, true
		}
	}
	return up, ok
}

func (m *measuring) rib(i int, top, before, after float64) RibShape {
	base := (before + after) / 2
	s := RibShape{Tip: m.px(Point{m.middles[i], top})}
	f := m.flanks[i]
	level := base + m.Height/2*m.perMM
	blur := m.edge.blur / m.perMM
	height := (top - base) / m.perMM
	s.Height = within(height, heightError(height, blur, m.perMM))
	s.Lost = Measure{m.Height - s.Height.Value, m.Height - s.Height.High, m.Height - s.Height.Low}
	width := (m.cross(i, level, 1) - m.cross(i, level, -1)) / m.perMM
	s.Width = within(max(width, 0), widthError(width, blur, m.perMM))
	lean := math.Cos(20 * math.Pi / 180)
	s.Flank = Measure{(m.Width - s.Width.Value) / 2 * lean, (m.Width - s.Width.High) / 2 * lean,
		(m.Width - s.Width.Low) / 2 * lean}
	if f[0].ok && f[1].ok {
		angle := math.Atan(f[0].lean) - math.Atan(f[1].lean)
		s.Angle = within(angle, angleError(f, m.deep, blur))
		apex := (f[1].at - f[0].at) / (f[0].lean - f[1].lean)
		s.Round = touching(apex-top, angle) / m.perMM
	}
	if i+1 < len(m.flanks) && f[1].ok && m.flanks[i+1][0].ok {
		g := m.flanks[i+1][0]
		angle := math.Atan(g.lean) - math.Atan(f[1].lean)
		apex := (g.at - f[1].at) / (f[1].lean - g.lean)
		s.Groove = touching(after-apex, angle) / m.perMM
	}
	return s
}

// cross is where the outline of a rib is at a height, px along: where it first is below that going out from its
// middle, between the points beside it.
func (m *measuring) cross(i int, level, way float64) float64 {
	x, one := m.middles[i], m.Pitch*m.perMM
	side := 0
	if way > 0 {
		side = 1
	}
	if f := m.flanks[i][side]; f.ok && math.Abs(level-f.middle) < 0.2*m.deep {
		return f.x(level)
	}
	best := math.Inf(1)
	for j := 1; j < len(m.pts); j++ {
		a, b := m.pts[j-1], m.pts[j]
		if (a.Y-level)*(b.Y-level) > 0 || a.Y == b.Y {
			continue
		}
		at := a.X + (b.X-a.X)*(level-a.Y)/(b.Y-a.Y)
		if d := way * (at - x); d > 0 && d < 0.5*one {
			best = min(best, d)
		}
	}
	if math.IsInf(best, 1) {
		return x
	}
	return x + way*best
}

// touching is the radius of the circle that touches two lines at an angle and comes within deep of where they meet:
// its middle is r/sin(angle/2) from there.
func touching(deep, angle float64) float64 {
	s := math.Sin(angle / 2)
	if s <= 0.05 {
		return 0
	}
	return max(deep, 0) / (1/s - 1)
}

func (m *measuring) px(p Point) Point {
	return Point{m.origin.X + p.X*m.along.X + p.Y*m.up.X, m.origin.Y + p.X*m.along.Y + p.Y*m.up.Y}
}

// within is a value with its band of nine in ten, by its standard deviation.
func within(v, sd float64) Measure { return Measure{v, v - 1.645*sd, v + 1.645*sd} }

// The errors are those of an edge found to a part of a px, more where it is blurred, and of the line of sight,
// which may be off the ribs' direction by 10 degrees sideways and lets a little of what is beyond be seen. Their
// sizes were chosen on drawn pictures of other seeds than the tests score.
func heightError(height, blur, perMM float64) float64 {
	return math.Sqrt(sq(0.29/perMM) + sq(0.13*blur) + sq(0.007*height) + sq(0.01))
}

func widthError(width, blur, perMM float64) float64 {
	return math.Sqrt(sq(0.31/perMM) + sq(0.09*blur) + sq(0.007*width) + sq(0.009))
}

func angleError(f [2]flank, deep, blur float64) float64 {
	// A line through points that are off it by so much, over 0.4 of the height.
	off := max(f[0].off, f[1].off, 0.2)
	return math.Sqrt(sq(off/(0.4*deep)) + sq(0.1*blur) + sq(0.015))
}

func sq(v float64) float64 { return v * v }
