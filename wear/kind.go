package wear

import (
	"math"
	"sort"
)

// Kind is what is known of a kind of part before one of them is forecast: the limit, the prior and
// the paths of the yard's other parts of the kind. Prepare it once and use it for all parts of the kind; it
// is read-only and may be used from several goroutines.
type Kind struct {
	limit Limit
	prior Prior
	peers []Path
	axes  int
	known [][]setting // per axis, worked out once where peers or a prior fix the scale; else nil
	scale []scale
}

// Prepare checks and works out what peers and prior tell. axes is the number of exposures, 1 or 2.
// Peers may be none, may be short and may end beyond the limit.
func Prepare(limit Limit, prior Prior, peers []Path, axes int) (*Kind, error) {
	if axes != 1 && axes != 2 {
		return nil, &DataError{-1, -1, "axes", float64(axes), "1 or 2"}
	}
	if err := limit.check(); err != nil {
		return nil, err
	}
	if err := prior.check(limit, axes); err != nil {
		return nil, err
	}
	for i, p := range peers {
		if err := p.check(i, axes); err != nil {
			return nil, err
		}
	}
	k := &Kind{limit: limit, prior: prior, axes: axes}
	for _, p := range peers {
		if len(p) > 1 {
			k.peers = append(k.peers, p)
		}
	}
	if len(k.peers) == 0 && !(prior.HasStart && len(prior.Life) > 0) {
		return k, nil // the part's own path must give the scale
	}
	for axis := range axes {
		s, ok := k.scaleOf(axis, nil)
		if !ok {
			k.known, k.scale = nil, nil
			return k, nil
		}
		k.scale = append(k.scale, s)
		k.known = append(k.known, k.settings(axis, &k.scale[axis]))
	}
	return k, nil
}

// scaleOf finds the units of an axis from the prior, or else the peers, or else the part itself.
func (k *Kind) scaleOf(axis int, own Path) (scale, bool) {
	paths := k.peers
	if len(paths) == 0 {
		paths = []Path{own}
	}
	start := k.prior.Start
	if !k.prior.HasStart {
		var firsts []float64
		for _, p := range paths {
			if len(p) > 0 {
				firsts = append(firsts, p[0].Value)
			}
		}
		if len(firsts) == 0 {
			return scale{}, false
		}
		start = median(firsts)
	}
	way := math.Abs(k.limit.Value - start)
	if way == 0 {
		way = math.Max(math.Abs(start)*0.1, 1e-9)
	}
	life := k.typicalLife(axis, paths, way)
	if life == 0 {
		return scale{}, false
	}
	s := scale{limit: k.limit, unit: math.Abs(k.limit.Value), life: life}
	if s.unit < way/50 {
		s.unit = way
	}
	s.way = way / s.unit
	s.start = s.in(start)
	s.mid = (s.start + s.in(k.limit.Value)) / 2
	return s, true
}

// typicalLife is the prior's life, or the median of the paths' straight extrapolations; 0 for none.
func (k *Kind) typicalLife(axis int, paths []Path, way float64) float64 {
	if len(k.prior.Life) > 0 {
		return k.prior.Life[axis]
	}
	var lives []float64
	for _, p := range paths {
		if len(p) < 2 {
			continue
		}
		first, last := p[0], p[len(p)-1]
		span := last.Exposure[axis] - first.Exposure[axis]
		rise := last.Value - first.Value
		if k.limit.Falling {
			rise = -rise
		}
		if span > 0 {
			lives = append(lives, span*way/math.Max(rise, way/10))
		}
	}
	if len(lives) == 0 {
		return 0
	}
	return median(lives)
}

func median(x []float64) float64 {
	sort.Float64s(x)
	n := len(x)
	return (x[(n-1)/2] + x[n/2]) / 2
}

// setting is one choice of bend and scatter, with what it makes of peers and prior: the weight of
// the choice and the distribution of the logarithm of a part's slope.
type setting struct {
	bend   int
	noise  noise
	open   opening
	weight float64   // log
	slope  float64   // mean of ln slope
	spread float64   // its standard deviation for a part not seen yet
	change float64   // how far a part's own slope may change, over as long a step as was seen (of ln slope)
	limit  float64   // the limit, transformed
	fits   []float64 // log evidence of each peer, while it is needed
}

// Scatter of readings, and of the walk over a whole life, as shares of the way from new to the
// limit, with the log of their prior weights. A judgement: readings are good to about 1 to 3 %, paths to a few.
var (
	readingShares = [...]float64{0.003, 0.01, 0.03, 0.1}
	readingWeight = [...]float64{-0.7, 0, 0, -0.7}
	walkShares    = [...]float64{0, 0.03, 0.1, 0.25}
	walkWeight    = [...]float64{0, 0, 0, -0.7}
)

const (
	betweenParts   = 0.35 // prior guess of the sd of ln slope between parts of a kind
	betweenWeight  = 3.0  // and the number of parts it is worth
	vagueLogSD     = 1.0  // of ln slope about the straight line of peers or own readings, with no prior life
	ownChange      = 0.2  // sd of ln slope of one part between what was seen and as long a step to come
	changeReach    = 4.0  // steps as long as what was seen after which it changes no further
	bendWeight     = 1.0  // parts of the kind that the prior weights of bends are worth
	bendRounds     = 10
	droppedSetting = 14.0 // log weight below the best at which a setting is dropped once peers have spoken
)

// settings works out every choice on an axis.
func (k *Kind) settings(axis int, s *scale) []setting {
	out := make([]setting, 0, len(bends)*len(readingShares)*len(walkShares))
	paths := make([]straight, len(k.peers))
	var fits [][]float64 // per bend, how well a peer fits it
	for bi := range bends {
		b := bends[bi].Bend
		usable := b.takes(s.start) && b.takes(s.in(k.limit.Value)) && !(k.limit.Value <= 0 && b.Value != 1)
		for i, p := range k.peers {
			straighten(p, axis, b, s, &paths[i])
			usable = usable && paths[i].ok
		}
		if !usable {
			continue
		}
		from := len(out)
		out = k.withNoise(out, bi, s, paths)
		fits = append(fits, weighNoise(out[from:], len(k.peers)))
	}
	k.weighBends(out, fits)
	best := math.Inf(-1)
	for i := range out {
		out[i].fits = nil
		best = math.Max(best, out[i].weight)
	}
	kept := out[:0]
	for _, c := range out {
		if len(k.peers) == 0 || c.weight > best-droppedSetting {
			kept = append(kept, c)
		}
	}
	return kept
}

// withNoise adds the settings of one bend.
func (k *Kind) withNoise(out []setting, bi int, s *scale, paths []straight) []setting {
	base := k.base(bi, s)
	lines := make([]line, len(paths))
	for ri := range readingShares {
		for wi := range walkShares {
			c := base
			c.addNoise(bends[bi].Bend, s, ri, wi)
			for i := range paths {
				lines[i] = paths[i].filter(c.noise, c.open)
			}
			c.pool(lines, k.priorLogSD())
			out = append(out, c)
		}
	}
	return out
}

// weighNoise weighs the scatters within one bend by how well they explain all peers, scaled to sum
// 1, and returns how well each peer fits the bend.
func weighNoise(settings []setting, peers int) []float64 {
	logs := make([]float64, len(settings))
	for i := range settings {
		logs[i] = settings[i].weight
		for _, f := range settings[i].fits {
			logs[i] += f
		}
	}
	total := logSum(logs)
	fits := make([]float64, peers)
	for i := range settings {
		settings[i].weight = logs[i] - total
	}
	for p := range fits {
		for i := range settings {
			logs[i] = settings[i].weight + settings[i].fits[p]
		}
		fits[p] = logSum(logs)
	}
	return fits
}

func logSum(logs []float64) float64 {
	best := math.Inf(-1)
	for _, v := range logs {
		best = math.Max(best, v)
	}
	sum := 0.0
	for _, v := range logs {
		sum += math.Exp(v - best)
	}
	return best + math.Log(sum)
}

// weighBends adds the share of each bend among parts of the kind. Each part has a bend of its own;
// the shares are estimated from the peers and drawn towards the prior weights, which count as bendWeight
// parts (expectation-maximisation for a mixture with known components).
func (k *Kind) weighBends(settings []setting, fits [][]float64) {
	n := len(fits)
	prior, share := make([]float64, n), make([]float64, n)
	which, total := make([]int, len(settings)), 0.0
	row := -1
	for i := range settings {
		if i == 0 || settings[i].bend != settings[i-1].bend {
			row++
			prior[row] = bends[settings[i].bend].weight
			total += prior[row]
		}
		which[i] = row
	}
	for j := range prior {
		prior[j] /= total
		share[j] = prior[j]
	}
	logs := make([]float64, n)
	for range bendRounds {
		next := make([]float64, n)
		for p := range k.peers {
			for j := range logs {
				logs[j] = math.Log(share[j]) + fits[j][p]
			}
			sum := logSum(logs)
			for j := range next {
				next[j] += math.Exp(logs[j] - sum)
			}
		}
		for j := range share {
			share[j] = (bendWeight*prior[j] + next[j]) / (bendWeight + float64(len(k.peers)))
		}
	}
	for i := range settings {
		settings[i].weight += math.Log(share[which[i]])
	}
}

func (k *Kind) priorLogSD() float64 {
	switch {
	case len(k.prior.Life) == 0:
		return vagueLogSD
	case k.prior.LifeLogSD == 0:
		return defaultLifeLogSD
	}
	return k.prior.LifeLogSD
}

// base is the part of a setting that does not depend on the scatter.
func (k *Kind) base(bi int, s *scale) setting {
	b := bends[bi].Bend
	c := setting{bend: bi, change: ownChange / math.Sqrt(float64(1+len(k.peers)))}
	c.limit = b.value(s.in(k.limit.Value), k.limit.Falling)
	first := b.value(s.start, k.limit.Falling)
	from := 0.0
	if b.Exposure == 0 {
		from = math.Log(0.02) // a logarithm has no start: wear is counted from a fiftieth of a life
	}
	c.slope = math.Log(math.Max(math.Abs(c.limit-first), 1e-6) / (b.exposure(1) - from))
	c.open.mean = first
	steep := b.slope(s.start)
	sd := 2 * s.way * steep
	if k.prior.HasStart && b.Exposure > 0 {
		c.open.atStart = true
		sd = 0.02 * s.way * steep
		if k.prior.StartSD > 0 {
			sd = k.prior.StartSD / s.unit * steep
		}
	}
	c.open.variance = sd * sd
	return c
}

func (c *setting) addNoise(b Bend, s *scale, ri, wi int) {
	way := s.way * b.slope(s.mid)
	c.weight += readingWeight[ri] + walkWeight[wi]
	r, w := readingShares[ri]*way, walkShares[wi]*way
	span := 1.0
	if b.Exposure == 0 {
		span = math.Log(50)
	}
	c.noise = noise{r * r, w * w / span}
}

// pool learns the slopes of the kind from peers: ln slope is normal between parts, with mean and
// spread estimated from all of them and drawn towards the prior (partial pooling), and adds to the
// weight how well the setting explains the peers.
func (c *setting) pool(lines []line, priorSD float64) {
	c.spread = priorSD
	if len(lines) == 0 {
		return
	}
	logs := make([]float64, 3*len(lines))
	variances, fits := logs[len(lines):2*len(lines)], logs[2*len(lines):]
	for i := range lines {
		logs[i], variances[i] = lines[i].slope()
	}
	between := betweenParts * betweenParts
	mean, precision := c.slope, 0.0
	for range 4 {
		precision = 1 / (priorSD * priorSD)
		sum := c.slope * precision
		for i, v := range variances {
			w := 1 / (between + v)
			precision += w
			sum += w * logs[i]
		}
		mean = sum / precision
		squares := betweenWeight * betweenParts * betweenParts
		for i, v := range variances {
			share := between / (between + v)
			d := (logs[i] - mean) * share
			squares += d*d + v*share
		}
		between = squares / (betweenWeight + float64(len(lines)))
	}
	for i, v := range variances {
		total := between + v
		d := logs[i] - mean
		fits[i] = lines[i].integrated() - logs[i] - 0.5*(logTwoPi+math.Log(total)+d*d/total)
	}
	c.fits = fits
	c.slope = mean
	c.spread = math.Sqrt(between + 1/precision)
}
