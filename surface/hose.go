package surface

import (
	"fmt"
	"image"
	"math"
	"slices"
)

// HoseOptions say where a hose is. All may be 0.
type HoseOptions struct {
	Outer float64 // diameter of the sound hose, mm
	// Through is a place on the hose, px; 0, 0 is the middle of the picture.
	Through Point
}

// HoseSection is a place along a hose.
type HoseSection struct {
	Along    float64 `json:"along"` // sound diameters from the first place
	A        Point   `json:"a"`     // px, on one edge
	B        Point   `json:"b"`     // px, on the other
	Diameter float64 `json:"diameter"`
}

// Kink is the kind of a flaw where a hose folds.
const Kink = "kink"

// HoseFlaw is where a hose is wider or narrower than its own sound part. Lengths are in sound diameters.
type HoseFlaw struct {
	Kind  string  `json:"kind"` // "swelling", "necking" or Kink
	At    Point   `json:"at"`   // px, on its middle line
	Along Measure `json:"along"`
	Long  float64 `json:"long"`  // between where it is half of what it is at most
	Share Measure `json:"share"` // of the sound diameter that is more, or, below 0, less
	Bend  float64 `json:"bend"`  // of its middle line there, radians
	// Chance is that what is narrower there is a kink: that the hose folds, and was not made so.
	Chance float64 `json:"chance,omitempty"`
	// Beyond says that it goes on where nothing is seen: its Share is what is seen of it, and an edge that was lost
	// looks like it.
	Beyond bool `json:"beyond,omitempty"`
}

// HoseReading is a picture of a hose, read.
type HoseReading struct {
	Version  string        `json:"version"`  // of the method
	Sound    Measure       `json:"sound"`    // diameter of its sound part, px
	PerMM    float64       `json:"perMM"`    // px, 0 where the sound diameter in mm is not known
	Sections []HoseSection `json:"sections"` // Diameter in sound diameters
	Flaws    []HoseFlaw    `json:"flaws"`
	Least    float64       `json:"least"` // share below which no flaw is told
	Faults   []Fault       `json:"faults,omitempty"`
}

const (
	hoseVersion  = "hose 2"
	leastHose    = 24.0 // px of diameter
	leastLong    = 2.0  // diameters of hose in the picture
	leastFlaw    = 0.04 // of the diameter
	leastEdges   = 0.75 // share of places with both edges
	workHose     = 512  // px of the longer side on which a hose is followed
	hoseHeadings = 36
)

// ReadHose follows a hose by its two edges from the middle of the picture, or a place on it, to where it leaves the
// picture or is covered, and compares its diameter along with that of its own sound part. The error wraps [ErrPicture]
// or [ErrSettings]; what is wrong with what is in the picture is a Fault.
//
// Edges are where light changes most along the normal of the middle line, to parts of a px; shade, print and wrinkles
// within lie elsewhere or change light the other way. The sound diameter is the most frequent one, about which most of
// its length lies.
func ReadHose(p *image.Gray, o HoseOptions) (HoseReading, error) {
	if o.Outer != 0 && !(o.Outer >= 2 && o.Outer <= 300) {
		return HoseReading{}, fmt.Errorf("%w: outer %v mm, want 2 to 300", ErrSettings, o.Outer)
	}
	if err := checkGray(p); err != nil {
		return HoseReading{}, err
	}
	out := HoseReading{Version: hoseVersion, Flaws: []HoseFlaw{}}
	light, w, h, step := shrink(p, workHose)
	f := follower{light: light, w: w, h: h}
	at := Point{float64(w-1) / 2, float64(h-1) / 2}
	if o.Through != (Point{}) {
		at = Point{(o.Through.X+0.5)/step - 0.5, (o.Through.Y+0.5)/step - 0.5}
	}
	var sides []side
	if w >= 16 && h >= 16 {
		sides = f.best(p, at, step)
	}
	if len(sides) < 8 {
		out.Faults = []Fault{{Code: NoHose, Stops: true}}
		return out, nil
	}
	out.read(sides, o)
	return out, nil
}

// read turns places along a hose into a reading.
func (r *HoseReading) read(sides []side, o HoseOptions) {
	seen := 0
	var wide []float64
	for _, s := range sides {
		if s.ok {
			seen++
			wide = append(wide, s.b-s.a)
		}
	}
	share := float64(seen) / float64(len(sides))
	lost := []Fault{{Code: NoOutline, Value: share, Want: leastEdges, Stops: true}}
	if len(wide) < 8 {
		r.Faults = lost
		return
	}
	sound, spread := usual(wide)
	r.Sound = within(sound, spread)
	switch {
	case sound < leastHose: // edges are lost for that, too
		r.Faults = []Fault{{Code: Small, Value: sound, Want: leastHose, Stops: true}}
		return
	case share < leastEdges:
		r.Faults = lost
		return
	}
	if o.Outer > 0 {
		r.PerMM = sound / o.Outer
	}
	for _, s := range sides {
		if s.ok {
			r.Sections = append(r.Sections,
				HoseSection{s.along / sound, s.place(s.a), s.place(s.b), (s.b - s.a) / sound})
		}
	}
	if long := r.Sections[len(r.Sections)-1].Along; long < leastLong {
		r.Sections = nil
		r.Faults = []Fault{{Code: TooShort, Value: long, Want: leastLong, Stops: true}}
		return
	}
	r.flaws(spread / sound)
}

// usual is the most frequent diameter: the middle of the shortest stretch that holds half of them (the shorth, Andrews
// et al. 1972, from memory), and how far those near it are from it, as a standard deviation.
func usual(wide []float64) (at, spread float64) {
	s := slices.Sorted(slices.Values(wide))
	half := max(len(s)/2, 1)
	best := 0
	for i := 0; i+half < len(s); i++ {
		if s[i+half]-s[i] < s[best+half]-s[best] {
			best = i
		}
	}
	in := s[best : min(best+half, len(s)-1)+1]
	at = median(in)
	return at, max((in[len(in)-1]-in[0])/quarters, 0.15) // half of a normal distribution lies between its quarters
}

// flaws are stretches whose diameter is off by more than the others vary.
func (r *HoseReading) flaws(spread float64) {
	s := r.Sections
	least := max(leastFlaw, 3.5*spread)
	r.Least = least
	smoothed := make([]float64, len(s))
	for i := range s {
		var near []float64
		for j := range s {
			if math.Abs(s[j].Along-s[i].Along) < 0.06 {
				near = append(near, s[j].Diameter)
			}
		}
		smoothed[i] = median(near) - 1
	}
	for i := 0; i < len(s); {
		if math.Abs(smoothed[i]) < least {
			i++
			continue
		}
		j, top := i, i
		for j < len(s) && smoothed[j]*smoothed[i] > 0 && math.Abs(smoothed[j]) >= least/2 {
			if math.Abs(smoothed[j]) > math.Abs(smoothed[top]) {
				top = j
			}
			j++
		}
		if f, ok := r.flaw(smoothed, top, i, spread); ok {
			r.Flaws = append(r.Flaws, f)
		}
		i = j
	}
	r.folds(spread)
}

// flaw is the one whose greatest place is top.
func (r *HoseReading) flaw(off []float64, top, from int, spread float64) (HoseFlaw, bool) {
	s := r.Sections
	a, b := top, top
	for a > 0 && off[a-1]/off[top] > 0.5 {
		a--
	}
	for b < len(s)-1 && off[b+1]/off[top] > 0.5 {
		b++
	}
	f := HoseFlaw{Long: s[b].Along - s[a].Along, Kind: "swelling",
		At: Point{(s[top].A.X + s[top].B.X) / 2, (s[top].A.Y + s[top].B.Y) / 2}}
	// What is so short can't be told from a lost edge.
	const least = 0.2
	f.Beyond = a == 0 || b == len(s)-1
	if f.Long < least || stepped(s, off, a, b) {
		return f, false
	}
	middle := 0.0
	for i := a; i <= b; i++ {
		middle += s[i].Along / float64(b-a+1)
	}
	f.Along = within(middle, 0.0145+0.024*f.Long)
	f.Bend = r.bend(middle)
	sd := math.Hypot(0.6*spread, 0.0015)
	if off[top] < 0 {
		f.Kind = "necking"
		if f.Chance = r.kinked(middle, -off[top], f.Long); f.Chance >= 0.5 {
			f.Kind = Kink
			sd = math.Hypot(sd, 0.035) // across a kink there is no one diameter
		}
	}
	f.Share = within(off[top], sd)
	return f, true
}

// stepped is whether a hose gets wider at once and narrower at once, as a clamp makes it, and no swelling.
func stepped(s []HoseSection, off []float64, a, b int) bool {
	if off[(a+b)/2] < 0 {
		return false
	}
	rise := func(from, way int) float64 { // diameters along from a fifth to four fifths
		top := off[(a+b)/2]
		i := from
		for i > 0 && i < len(s)-1 && off[i] > 0.2*top {
			i += way
		}
		j := i
		for j > 0 && j < len(s)-1 && off[j] < 0.8*top {
			j -= way
		}
		return math.Abs(s[i].Along - s[j].Along)
	}
	before, after := rise(a, -1), rise(b, 1)
	return max(before, after) < 0.07 || min(before, after) < 0.07 && s[b].Along-s[a].Along < 0.35
}

// bend is by how much the middle line turns within a diameter about a place.
func (r *HoseReading) bend(along float64) float64 {
	before, ok := r.heading(along-1.1, along-0.4)
	after, ok2 := r.heading(along+0.4, along+1.1)
	if !ok || !ok2 {
		return 0
	}
	return math.Remainder(after-before, 2*math.Pi)
}

// heading is the direction of the middle line between two places.
func (r *HoseReading) heading(from, to float64) (float64, bool) {
	var first, last *HoseSection
	for i := range r.Sections {
		s := &r.Sections[i]
		if s.Along >= from && s.Along <= to {
			if first == nil {
				first = s
			}
			last = s
		}
	}
	if first == nil || last.Along-first.Along < 0.25 {
		return 0, false
	}
	return math.Atan2(last.A.Y+last.B.Y-first.A.Y-first.B.Y, last.A.X+last.B.X-first.A.X-first.B.X), true
}

// Of a turn: how far before and after a place the middle line's direction is taken, diameters, so that a fold of half a
// diameter lies between.
const turnFrom, turnTo = 0.3, 0.75

// sharp is by how much more the middle line turns about a place than just before and just behind it, on the mean: a
// moulded bend goes on turning, a fold does not. False where too little of it is seen.
func (r *HoseReading) sharp(along float64) (float64, bool) {
	at := func(off float64) (float64, bool) { // turn about a place
		before, ok := r.heading(along+off-turnTo, along+off-turnFrom)
		after, ok2 := r.heading(along+off+turnFrom, along+off+turnTo)
		return math.Remainder(after-before, 2*math.Pi), ok && ok2
	}
	here, ok := at(0)
	if !ok {
		return 0, false
	}
	sum, n := 0.0, 0.0
	for _, off := range []float64{-(turnFrom + turnTo), turnFrom + turnTo} {
		if v, ok := at(off); ok {
			sum, n = sum+v, n+1
		}
	}
	return math.Abs(here) - math.Copysign(1, here)*sum/max(n, 1), true
}

// kinkOdds are the log odds of a kink without anything, and for each unit of how sharply the middle line turns, of the
// logarithm of how much the hose is narrower, and of how long that goes on, diameters: fitted on drawn hoses, seeds
// from 7 000 000 on, half of which are kinked.
var kinkOdds = [4]float64{1.73, 4.53, 0.60, -5.29}

// kinked is the chance of a kink where a hose is narrower by a share, over a length.
func (r *HoseReading) kinked(along, share, long float64) float64 {
	turn, ok := r.sharp(along)
	if !ok {
		turn = math.Abs(r.bend(along)) / 2
	}
	return logistic(kinkOdds[0] + kinkOdds[1]*turn + kinkOdds[2]*math.Log(max(share, 0.02)/0.1) + kinkOdds[3]*long)
}

// folds finds kinks so sharp that across them the normals of the middle line pass the crease by: where it turns at once
// and the two edges come nearer to each other than a sound hose is thick.
func (r *HoseReading) folds(spread float64) {
	s := r.Sections
	turns := make([]float64, len(s))
	for i := range s {
		turns[i], _ = r.sharp(s[i].Along)
	}
	for i := range s {
		if turns[i] < leastFold {
			continue
		}
		top, told := true, false
		for j := range s {
			if math.Abs(s[j].Along-s[i].Along) < 0.7 && (turns[j] > turns[i] || turns[j] == turns[i] && j < i) {
				top = false
			}
		}
		for _, f := range r.Flaws {
			told = told || f.Share.Value < 0 && math.Abs(f.Along.Value-s[i].Along) < 0.7
		}
		if !top || told {
			continue
		}
		share, at := r.pinch(s[i].Along)
		if share < max(r.Least, leastPinch) {
			continue
		}
		f := HoseFlaw{Kind: Kink, At: Point{(s[at].A.X + s[at].B.X) / 2, (s[at].A.Y + s[at].B.Y) / 2},
			Along: within(s[at].Along, 0.1), Long: 0.4, Bend: r.bend(s[at].Along),
			Chance: r.kinked(s[at].Along, share, 0.4), Share: within(-share, math.Hypot(0.05, 0.6*spread))}
		if f.Chance >= 0.5 {
			r.Flaws = append(r.Flaws, f)
		}
	}
}

// leastFold is by how much a fold turns at least, radians, and leastPinch by what share it is flatter.
const leastFold, leastPinch = 0.25, 0.1

// pinch is by what share of its diameter a hose's edges come nearer to each other about a place, and where.
func (r *HoseReading) pinch(along float64) (share float64, at int) {
	s := r.Sections
	least := math.Inf(1)
	for i := range s {
		if math.Abs(s[i].Along-along) > 0.5 {
			continue
		}
		for j := range s {
			if math.Abs(s[j].Along-along) > 0.8 {
				continue
			}
			if d := s[i].A.distance(s[j].B); d < least {
				least, at = d, i
			}
		}
	}
	return 1 - least/r.Sound.Value, at
}
