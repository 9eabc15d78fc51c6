package wear

import (
	"math"
)

const (
	slopeNodes  = 11  // along ln slope
	slopeReach  = 3.5 // standard deviations either side
	faint       = 7.0 // log weight below the best at which a node is dropped
	enoughOwn   = 4   // own measurements after which they may choose between distance and time
	enoughPeers = 3   // or peers
	openEnd     = 1e4 // lives: beyond this a crossing counts as never
	tenth       = 0.1 // the band leaves one tenth on each side
)

// node is one way the part may go on.
type node struct {
	bend          int
	weight        float64
	level, spread float64 // mean and variance of the level at the last measurement, transformed
	slope         float64
	noise         noise
	last          float64 // exposure of the last measurement, transformed
	limit         float64 // transformed
	scatter       float64 // variance of the slope to come, relative to the slope squared, per unit of t
	longest       float64 // and the step beyond which it grows no further
	unlearned     float64 // share of the variance of ln slope left by the measurements
}

// Forecast is how one part's value may go on. It is read-only and may be used from several
// goroutines.
type Forecast struct {
	limit Limit
	scale scale
	nodes []node
	now   float64 // exposure of the last measurement
	value float64 // and its value
	known Crossing
	basis Basis
}

// Basis says what a forecast rests on.
type Basis struct {
	Own   int // measurements of the part
	Peers int // other parts with two measurements or more

	// Axis is the exposure the forecast is in: the one that explains wear better where there are
	// enough data to tell (AxisShare is then its share of the evidence), else the first.
	Axis      int
	AxisShare float64 // 0 where there are too few data to tell
	AxisTold  bool

	Bend      Bend    // the bend with most of the evidence
	BendShare float64 // its share, 0 to 1

	// PriorWeight is how much of the rate still comes from prior and peers, 1 (all) to 0: the
	// variance of ln rate given the measurements over that before them.
	PriorWeight float64
}

// Basis returns what the forecast rests on.
func (f *Forecast) Basis() Basis { return f.basis }

// Forecast works out how the part goes on from its own measurements, which must be in order of
// exposure and at least one. [ErrTooLittle] when nothing tells a rate.
func (k *Kind) Forecast(own Path) (*Forecast, error) {
	if err := own.check(-1, k.axes); err != nil {
		return nil, err
	}
	if len(own) == 0 {
		return nil, ErrTooLittle
	}
	var choices [2]*Forecast
	var evidence [2]float64
	for axis := range k.axes {
		f, e, err := k.along(axis, own)
		if err != nil {
			return nil, err
		}
		choices[axis], evidence[axis] = f, e
	}
	f := choices[0]
	if k.axes == 2 && (len(own) >= enoughOwn || len(k.peers) >= enoughPeers) {
		share := 1 / (1 + math.Exp(evidence[1]-evidence[0]))
		if share < 0.5 {
			f, share = choices[1], 1-share
		}
		f.basis.AxisTold, f.basis.AxisShare = true, share
	}
	return f, nil
}

// along forecasts on one axis and returns the log evidence of peers and own measurements.
func (k *Kind) along(axis int, own Path) (*Forecast, float64, error) {
	last := own[len(own)-1]
	f := &Forecast{limit: k.limit, now: last.Exposure[axis], value: last.Value}
	f.basis = Basis{Own: len(own), Peers: len(k.peers), Axis: axis}
	settings, err := k.settingsFor(axis, own, f)
	if err != nil {
		return nil, 0, err
	}
	evidence := f.weigh(settings, own, axis)
	if len(f.nodes) == 0 {
		return nil, 0, ErrTooLittle
	}
	if x, ok := FirstCrossing(own, k.limit, axis); ok {
		f.known = Crossing{Earliest: x, Expected: x, Latest: x, Crossed: true}
	}
	return f, evidence, nil
}

func (k *Kind) settingsFor(axis int, own Path, f *Forecast) ([]setting, error) {
	if k.known != nil {
		f.scale = k.scale[axis]
		return k.known[axis], nil
	}
	s, ok := k.scaleOf(axis, own)
	if !ok {
		return nil, ErrTooLittle
	}
	f.scale = s
	return k.settings(axis, &f.scale), nil
}

// weigh fills the nodes: every setting times a row of slopes, weighted by peers, prior and own
// measurements.
func (f *Forecast) weigh(settings []setting, own Path, axis int) float64 {
	var path straight
	bend, best := -1, math.Inf(-1)
	nodes := make([]node, 0, 256)
	for i := range settings {
		c := &settings[i]
		if c.bend != bend {
			bend = c.bend
			straighten(own, axis, bends[bend].Bend, &f.scale, &path)
		}
		if !path.ok {
			continue
		}
		l := path.filter(c.noise, c.open)
		nodes, best = c.expand(&l, nodes, best)
	}
	return f.settle(nodes, best)
}

// expand adds a row of slopes around where prior and likelihood meet.
func (c *setting) expand(l *line, nodes []node, best float64) ([]node, float64) {
	centre, sd := c.meet(l)
	step := 2 * slopeReach * sd / (slopeNodes - 1)
	ratio := math.Exp(step)
	log := centre - slopeReach*sd
	b := math.Exp(log)
	top := c.weight + l.at(math.Exp(centre)) // near the row's largest
	if top < best-faint-6 {
		return nodes, best
	}
	fixed := c.weight - math.Log(c.spread) - 0.5*logTwoPi + math.Log(step)
	unlearned := sd * sd / (c.spread * c.spread)
	scatter := 0.0
	if l.seen > 0 {
		scatter = c.change * c.change / l.seen
	}
	for range slopeNodes {
		d := (log - c.slope) / c.spread
		w := fixed - d*d/2 + l.at(b)
		if w > best-faint {
			best = math.Max(best, w)
			nodes = append(nodes, node{
				bend: c.bend, weight: w, level: l.level + b*l.lever, spread: l.spread,
				slope: b, noise: c.noise, last: l.last, limit: c.limit, unlearned: unlearned,
				scatter: scatter, longest: changeReach * l.seen,
			})
		}
		log += step
		b *= ratio
	}
	return nodes, best
}

// meet finds the mode of prior times likelihood in ln slope by Newton's method and the width there.
func (c *setting) meet(l *line) (centre, sd float64) {
	inv := 1 / (c.spread * c.spread)
	x := c.slope
	if l.a > 0 && l.bb > 0 {
		log, v := l.slope()
		x = (x*inv + log/v) / (inv + 1/v)
	}
	bend := inv
	for range 4 {
		b := math.Exp(x)
		g := b*l.bb - b*b*l.a - (x-c.slope)*inv
		bend = math.Max(2*b*b*l.a-b*l.bb, 0) + inv
		step := math.Max(-1, math.Min(1, g/bend))
		x += step
		if math.Abs(step) < 1e-3 {
			break
		}
	}
	return x, 1 / math.Sqrt(bend)
}

// settle drops faint nodes, scales weights to sum 1, fills the basis and returns the log evidence.
func (f *Forecast) settle(nodes []node, best float64) float64 {
	total, kept := 0.0, nodes[:0]
	var shares [len(bends)]float64
	for _, n := range nodes {
		if n.weight < best-faint {
			continue
		}
		n.weight = math.Exp(n.weight - best)
		total += n.weight
		shares[n.bend] += n.weight
		kept = append(kept, n)
	}
	for i := range kept {
		kept[i].weight /= total
		f.basis.PriorWeight += kept[i].weight * math.Min(kept[i].unlearned, 1)
	}
	f.nodes = kept
	for i, s := range shares {
		if s/total > f.basis.BendShare {
			f.basis.Bend, f.basis.BendShare = bends[i].Bend, s/total
		}
	}
	return best + math.Log(total)
}
