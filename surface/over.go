package surface

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
)

// Codes of faults of two readings that cannot be laid over each other.
const (
	OtherRibs = "other-ribs" // Value ribs in the later picture, Want those of the earlier one
	FewMarks  = "few-marks"  // Value marks in the one that has fewer, Want at least
	NoMatch   = "no-match"   // Value as good matches as the best one that chance gives, Want at most
)

// Pair is a crack that two pictures show.
type Pair struct {
	Before int     `json:"before"` // index among the earlier reading's cracks
	After  int     `json:"after"`
	Longer float64 `json:"longer"` // mm by which it is longer in the later one
}

// Overlay is how a later reading of a belt lies over an earlier one, and what has changed where both were read.
type Overlay struct {
	Flipped bool `json:"flipped,omitempty"` // the belt, or the camera, was turned end for end
	// A place Y mm along in the earlier picture lies Scale·Y+Shift mm along in the later one, Scale·(end-Y)+Shift where
	// it is flipped, end being the length of the earlier frame.
	Scale float64 `json:"scale"`
	Shift float64 `json:"shift"`
	From  float64 `json:"from"` // mm along in the later picture: what both show
	To    float64 `json:"to"`
	Pairs []Pair  `json:"pairs"`
	// New are cracks of the later picture with no partner, plain enough that the earlier picture would have shown them;
	// Faint those with none that it need not have shown. Gone are those of the earlier one with none in the later.
	// More are others with none that lie where both have a crack: a piece of it, or what it has grown into.
	New   []int `json:"new"`
	More  []int `json:"more,omitempty"`
	Faint []int `json:"faint,omitempty"`
	Gone  []int `json:"gone,omitempty"`
	// Growth is how much longer a crack has become in the middle of all pairs of which no hand drew either, mm, with
	// the band of that middle.
	Growth Measure `json:"growth"`
	Chance float64 `json:"chance"` // how many matches as good chance gives in such a search
}

const (
	leastMarks = 4    // on each side
	mostChance = 2e-4 // of a match
	stretch    = 0.10 // by which scales along may differ: tilt is hardly seen in a picture
	leastShare = 0.25 // of the shorter frame that both have to show
	unlike     = 0.6  // mm: of a belt on which nothing grew, marks of two pictures differ by so much in length
	joined     = 0.8  // mm: ends of marks so near are those of one crack
	beside     = 1.3  // mm: a mark no further from one that both show is no new one
	likely     = 0.90 // chance of a mark that may be called new
	fainter    = 0.60 // share of the earlier marks that are fainter than one that may be called new
)

// apart is how far from each other, in mm, places of one crack in two pictures may lie: each is tried.
var apart = []float64{0.5, 1}

// LayOver finds how a later reading of the same belt lies over an earlier one, by the cracks that both show: neither
// dirt nor light lasts, cracks do. Each shift that brings two of them together is tried, both ends first, with scales a
// little apart and two widths of what is taken for one place; a shift is as good as it is improbable that so many of
// the cracks in the common stretch meet by chance (the number of false alarms of Desolneux, Moisan and Morel 2000, from
// memory; the tail of the binomial distribution with the mean chance, which bounds that of unlike chances, Hoeffding
// 1956, from memory). Where no match is less likely than [NoMatch] allows the fault says so: then only the counts of
// both can be compared. Constants were chosen on drawn belts (TestPicturesAreLaidOver, seeds from 4 000 000 on).
func LayOver(before, after Reading) (Overlay, *Fault) {
	if b, a := before.Frame.Ribs(), after.Frame.Ribs(); a != b || a == 0 {
		return Overlay{}, &Fault{Code: OtherRibs, Value: float64(a), Want: float64(b), Stops: true}
	}
	few := min(len(before.Cracks), len(after.Cracks))
	if few < leastMarks {
		return Overlay{}, &Fault{Code: FewMarks, Value: float64(few), Want: leastMarks, Stops: true}
	}
	l := laying{before: before, after: after, to: places(after), end: after.Frame.Size().Y}
	l.on = make([][]float64, after.Frame.Ribs())
	for _, c := range l.to {
		for _, k := range c {
			l.on[k.rib] = append(l.on[k.rib], k.along)
		}
	}
	for _, on := range l.on {
		slices.Sort(on)
	}
	best := Overlay{Chance: math.Inf(1)}
	for _, flipped := range []bool{false, true} {
		l.from = places(before)
		if flipped {
			l.flip()
		}
		for _, l.near = range apart {
			l.search(&best, flipped)
		}
	}
	if !(best.Chance <= mostChance) {
		return Overlay{}, &Fault{Code: NoMatch, Value: best.Chance, Want: mostChance, Stops: true}
	}
	l.from = places(before)
	if best.Flipped {
		l.flip()
	}
	l.near = max(l.best, 0.7)
	l.settle(&best)
	return best, nil
}

// crossing is where a crack crosses a rib.
type crossing struct {
	rib   int
	along float64
}

// places are where each crack of a reading crosses its ribs.
func places(r Reading) [][]crossing {
	out := make([][]crossing, len(r.Cracks))
	for i, c := range r.Cracks {
		for _, rib := range c.Ribs {
			if rib >= 0 && rib < r.Frame.Ribs() {
				out[i] = append(out[i], crossing{rib, c.alongRib(r.Frame.Pitch, rib)})
			}
		}
	}
	return out
}

// laying lays one set of places over another.
type laying struct {
	before, after Reading
	from, to      [][]crossing // of each mark
	near, best    float64      // mm: the one of apart that is tried, and that of the best match
	on            [][]float64  // where later cracks cross each rib, in order
	end           float64      // of the later frame, mm
}

func (l *laying) flip() {
	last, end := l.before.Frame.Ribs()-1, l.before.Frame.Size().Y
	for _, c := range l.from {
		for k := range c {
			c[k] = crossing{last - c[k].rib, end - c[k].along}
		}
	}
}

// search tries scales and shifts and keeps the least probable.
func (l *laying) search(best *Overlay, flipped bool) {
	const step = 0.01
	length := l.before.Frame.Size().Y
	// How many shifts there are that differ by more than what is taken for one place, scales, both ends and widths.
	tests := 2 * float64(len(apart)) * (2*stretch/step + 1) * (length + l.end) / (2 * l.near)
	density := l.density()
	for scale := 1 - stretch; scale < 1+stretch+step/2; scale += step {
		for _, shift := range l.shifts(scale) {
			low, high := max(0, shift), min(l.end, shift+scale*length)
			if high-low < leastShare*min(l.end, length) {
				continue
			}
			n, met, expected := l.meet(scale, shift, low, high, density)
			if met < leastMarks {
				continue
			}
			if chance := tests * binomialTail(n, met, expected/float64(n)); chance < best.Chance {
				l.best = l.near
				*best = Overlay{Flipped: flipped, Scale: scale, Shift: shift, From: low, To: high, Chance: chance}
			}
		}
	}
}

// density is how many cracks of the later picture a mm of each rib has.
func (l *laying) density() []float64 {
	d := make([]float64, len(l.on))
	for rib, on := range l.on {
		d[rib] = float64(len(on)) / max(l.end, 1)
	}
	return d
}

// shifts are those that bring two crossings of one rib together, each once.
func (l *laying) shifts(scale float64) []float64 {
	var out []float64
	for _, a := range l.from {
		for _, b := range l.to {
			for _, p := range a {
				for _, q := range b {
					if p.rib == q.rib {
						out = append(out, q.along-scale*p.along)
					}
				}
			}
		}
	}
	slices.Sort(out)
	last := math.Inf(-1)
	return slices.DeleteFunc(out, func(v float64) bool {
		if v-last < l.near/4 {
			return true
		}
		last = v
		return false
	})
}

// meet counts, of the earlier cracks that lie in the common stretch, those that meet a later one, and how many would by
// chance.
func (l *laying) meet(scale, shift, low, high float64, density []float64) (n, met int, expected float64) {
	for _, a := range l.from {
		inside, near, lit := false, false, 0.0
		for _, p := range a {
			at := scale*p.along + shift
			if at < low || at > high {
				continue
			}
			inside = true
			lit += 2 * l.near * density[p.rib]
			near = near || l.hit(p.rib, at)
		}
		if inside {
			n++
			expected += 1 - math.Exp(-lit)
		}
		if near {
			met++
		}
	}
	return n, met, expected
}

func (l *laying) hit(rib int, at float64) bool {
	i, _ := slices.BinarySearch(l.on[rib], at-l.near)
	return i < len(l.on[rib]) && l.on[rib][i] <= at+l.near
}

// binomialTail is the chance of met (1 or more) or more of n.
func binomialTail(n, met int, p float64) float64 {
	if p >= 1 {
		return 1
	}
	return mathext.RegIncBeta(float64(met), float64(n-met+1), max(p, 1e-9))
}

// settle pairs what meets, nearest first and each crack once, fits scale and shift to the pairs, pairs anew, and says
// what is left over on both sides.
func (l *laying) settle(o *Overlay) {
	var pairs []Pair
	for range 3 {
		pairs = l.pair(*o)
		l.fit(o, pairs)
	}
	o.Pairs = l.pair(*o)
	o.From, o.To = max(0, o.Shift), min(l.end, o.Shift+o.Scale*l.before.Frame.Size().Y)
	left, right := make([]bool, len(l.from)), make([]bool, len(l.to))
	grown := make([]float64, 0, len(o.Pairs))
	for i := range o.Pairs {
		p := &o.Pairs[i]
		left[p.Before], right[p.After] = true, true
		a, b := l.before.Cracks[p.Before], l.after.Cracks[p.After]
		if p.Longer = b.Length - a.Length; !a.Hand && !b.Hand { // a hand draws no length
			grown = append(grown, p.Longer)
		}
	}
	if o.Growth = middle(grown); len(grown) > 0 {
		o.Growth.Low, o.Growth.High = o.Growth.Low-unlike, o.Growth.High+unlike
	}
	l.leftOver(o, left, right)
}

// leftOver says what became of marks without a partner; left and right are those with one.
func (l *laying) leftOver(o *Overlay, left, right []bool) {
	moved := make([][]crossing, len(l.from))
	for i, a := range l.from {
		for _, p := range a {
			moved[i] = append(moved[i], crossing{p.rib, o.Scale*p.along + o.Shift})
		}
	}
	near := func(c []crossing, others [][]crossing) bool {
		return slices.ContainsFunc(others, func(d []crossing) bool {
			far, ok := farOf(c, d, Overlay{Scale: 1})
			return ok && far <= beside
		})
	}
	old, late := ofMarked(l.before.Cracks, left), ofMarked(l.after.Cracks, right)
	faint := l.faint(o)
	o.New = []int{}
	for i, b := range l.to {
		c := l.after.Cracks[i]
		switch {
		case right[i] || !l.within(b, o.From, o.To):
		case late[i] || near(b, moved):
			o.More = append(o.More, i)
		case c.Hand || c.Chance >= likely && c.Width*c.Contrast >= faint:
			o.New = append(o.New, i)
		default:
			o.Faint = append(o.Faint, i)
		}
	}
	for i, a := range moved {
		if !left[i] && l.within(a, o.From, o.To) && !old[i] && !near(a, l.to) {
			o.Gone = append(o.Gone, i)
		}
	}
}

// faint is how little light, in mm of width times contrast, a mark of the later picture may take for the earlier one
// not to have shown it: what a share of the earlier marks is fainter than, in the light of the later picture, which
// pairs tell.
func (l *laying) faint(o *Overlay) float64 {
	strength := func(c Crack) float64 { return c.Width * c.Contrast }
	var all, ratio []float64
	for _, c := range l.before.Cracks {
		if !c.Hand {
			all = append(all, strength(c))
		}
	}
	for _, p := range o.Pairs {
		a, b := l.before.Cracks[p.Before], l.after.Cracks[p.After]
		if !a.Hand && !b.Hand && strength(a) > 0 {
			ratio = append(ratio, strength(b)/strength(a))
		}
	}
	if len(all) == 0 || len(ratio) == 0 {
		return 0
	}
	slices.Sort(all)
	return median(ratio) * all[int(fainter*float64(len(all)))]
}

// ofMarked says which marks belong to one crack with a marked one, themselves or not.
func ofMarked(cracks []Crack, marked []bool) []bool {
	of := parts(cracks)
	group := map[int]bool{}
	for i, m := range marked {
		if m {
			group[of[i]] = true
		}
	}
	out := make([]bool, len(cracks))
	for i := range cracks {
		out[i] = group[of[i]]
	}
	return out
}

// parts numbers the cracks that marks belong to: those whose ends meet are one.
func parts(cracks []Crack) []int {
	of := make([]int, len(cracks))
	for i := range of {
		of[i] = i
	}
	for i, a := range cracks {
		for k, b := range cracks[:i] {
			if of[i] != of[k] && meets(a.Path, b.Path) {
				from, to := of[i], of[k]
				for m := range of {
					if of[m] == from {
						of[m] = to
					}
				}
			}
		}
	}
	return of
}

// meets says whether an end of one path is near one of another.
func meets(a, b []Point) bool {
	if len(a) == 0 || len(b) == 0 {
		return false
	}
	for _, p := range []Point{a[0], a[len(a)-1]} {
		for _, q := range []Point{b[0], b[len(b)-1]} {
			if p.distance(q) <= joined {
				return true
			}
		}
	}
	return false
}

// within says whether a crack lies wholly inside a stretch, a little away from its ends.
func (l *laying) within(c []crossing, low, high float64) bool {
	for _, p := range c {
		if p.along < low+beside || p.along > high-beside {
			return false
		}
	}
	return len(c) > 0
}

func (l *laying) pair(o Overlay) []Pair {
	type maybe struct {
		before, after int
		far           float64
	}
	var all []maybe
	for i, a := range l.from {
		for j, b := range l.to {
			if far, ok := farOf(a, b, o); ok && far <= l.near {
				all = append(all, maybe{i, j, far})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b maybe) int { return cmp.Compare(a.far, b.far) })
	left, right := make([]bool, len(l.from)), make([]bool, len(l.to))
	var pairs []Pair
	for _, m := range all {
		if !left[m.before] && !right[m.after] {
			left[m.before], right[m.after] = true, true
			pairs = append(pairs, Pair{Before: m.before, After: m.after})
		}
	}
	return pairs
}

// farOf is how far apart two cracks lie on the ribs that both cross, on average; ok is false where there is none.
func farOf(a, b []crossing, o Overlay) (far float64, ok bool) {
	n := 0.0
	for _, p := range a {
		for _, q := range b {
			if p.rib == q.rib {
				far += math.Abs(q.along - o.Scale*p.along - o.Shift)
				n++
			}
		}
	}
	return far / max(n, 1), n > 0
}

// fit is the least squares line through the places of pairs.
func (l *laying) fit(o *Overlay, pairs []Pair) {
	var n, x, y, xx, xy float64
	for _, p := range pairs {
		for _, a := range l.from[p.Before] {
			for _, b := range l.to[p.After] {
				if a.rib == b.rib {
					n, x, y = n+1, x+a.along, y+b.along
					xx, xy = xx+a.along*a.along, xy+a.along*b.along
				}
			}
		}
	}
	if n < 3 {
		return
	}
	if spread := xx/n - x/n*x/n; spread > 25 { // over 5 mm: less says nothing of a scale
		if k := (xy/n - x/n*y/n) / spread; math.Abs(k-1) <= 1.5*stretch {
			o.Scale = k
		}
	}
	o.Shift = y/n - o.Scale*x/n
}

// middle is the median, with the 90 % band of a median by order statistics (normal approximation of the binomial).
func middle(v []float64) Measure {
	if len(v) == 0 {
		return Measure{}
	}
	slices.Sort(v)
	n := float64(len(v))
	half := 0.5 * 1.645 * math.Sqrt(n)
	low := max(int(math.Floor(n/2-half)), 0)
	high := min(int(math.Ceil(n/2+half)), len(v)-1)
	return Measure{Value: median(v), Low: v[low], High: v[high]}
}
