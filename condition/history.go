package condition

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// Look is one look at a part.
type Look struct {
	At   []float64 // exposures since the watching began
	Sort int       // index into [Kind.Looks]

	Grade int     // what it said, from 0 for the best; not used where a value is measured
	Value float64 // what it measured
	SD    float64 // standard deviation of the reading's own error, besides the sort's scatter

	// OrWorse: it is known only to be that grade or a worse one.
	OrWorse bool

	// Blind: it says what it would of a part in the first stage, whatever stage that is in. See [Blinded].
	Blind bool
}

// Outcome is how the watching of a part ended.
type Outcome int

const (
	// Running: still in use.
	Running Outcome = iota

	// Failed at an exposure that is known.
	Failed

	// FoundFailed: failed somewhere between the last look (or the start) and the end.
	FoundFailed

	// Removed without failing, for a reason that tells nothing which the looks do not: at its
	// interval, with the vehicle, or for the very grade that is among the looks. Like Running; a part examined in
	// the hand has one more look, of a sort that seldom errs.
	Removed

	// RemovedBad: taken off without failing because a look of sort By found it at grade To or worse, and
	// the grade itself was not written down. Neither a failure nor mere censoring: it speaks
	// for the worse stages as that look would.
	RemovedBad
)

// Age is one possibility of how much a part had been through when its watching began.
type Age struct {
	At     []float64
	Weight float64 // share of this possibility among parts alive then, above 0; scaled to add up to 1
}

func (a Age) same(o Age) bool { return a.Weight == o.Weight && slices.Equal(a.At, o.At) }

// History is what is known of one part. The order of looks does not matter.
type History struct {
	// Looks are held on to by a [Part] of it: they are not to be changed afterwards.
	Looks []Look

	Outcome Outcome
	At      []float64 // exposures at the end since the watching began; nil for those of the last look
	By, To  int       // for RemovedBad; of a measured sort, To is not used and Value is
	Value   float64   // for RemovedBad of a measured sort: the value at or beyond which it was taken off

	// Ages says how old the part was when its watching began; nil for new. One age where it is
	// known, several where it may have been renewed before. That it was alive by then is taken into account.
	Ages []Age

	Weight float64 // how many parts this stands for, 0 for 1

	// Blind are the ways in which some of the looks may be blind on the part for all its life; Looks is what is left
	// where none is. For [Prior.Learn] and likelihoods alone: a part is followed in each way, see [Pool].
	Blind []Blinded
}

// Blinded is one way in which some looks may be blind on a part.
type Blinded struct {
	Share float64 // of the parts of the kind, above 0, those of all ways together below 1
	Looks []Look  // the same looks: as they were, weaker, or [Look.Blind]
}

// step is the way to one event: exposures since the last, and the look at its end or nil.
type step struct {
	dx   []float64
	look *Look
}

// trail is a history made ready for a kind.
type trail struct {
	steps   []step
	outcome Outcome
	dir     []float64 // the last step that went anywhere, for a density
	off     *Look     // what RemovedBad stands for
	weight  float64
	ages    []Age // nil or normalised
	ways    []way // nil, or all ways in which looks may be blind, the first of them none
}

// way is the history as it is in one way, with its share.
type way struct {
	*trail
	share float64
}

// ready checks a history and puts it in order.
func (k Kind) ready(h History) (*trail, error) {
	t := &trail{outcome: h.Outcome, weight: h.Weight}
	if t.weight == 0 {
		t.weight = 1
	}
	if err := first(bad(finite(t.weight) && t.weight > 0, "", "Weight", h.Weight, "0 for one part, or above 0"),
		bad(h.Outcome >= Running && h.Outcome <= RemovedBad, "", "Outcome", float64(h.Outcome),
			"one of the outcomes")); err != nil {
		return nil, err
	}
	for i := range h.Looks {
		if err := k.checkLook(&h.Looks[i]); err != nil {
			return nil, placed(err, "look %d", i)
		}
	}
	if err := first(t.setAges(h, k.Exposures()), t.setSteps(h, k.Exposures())); err != nil {
		return nil, err
	}
	if h.Outcome == RemovedBad {
		l := Look{At: h.At, Sort: h.By, Grade: h.To, Value: h.Value}
		if err := k.checkLook(&l); err != nil {
			return nil, placed(err, "By and To")
		}
		t.off = &l
	}
	return t, t.setWays(k, h)
}

func (t *trail) setWays(k Kind, h History) error {
	whole := 1.0
	for i, b := range h.Blind {
		as := h
		as.Looks, as.Blind = b.Looks, nil
		in, err := k.ready(as)
		if err = first(bad(b.Share > 0 && b.Share < whole, "", "Share", b.Share, "above 0, all together below 1"),
			err); err != nil {
			return placed(err, "blind %d", i)
		}
		whole -= b.Share
		t.ways = append(t.ways, way{in, b.Share})
	}
	if t.ways != nil {
		none := *t
		none.ways = nil
		t.ways = slices.Insert(t.ways, 0, way{&none, whole})
	}
	return nil
}

func (k Kind) checkLook(l *Look) error {
	if err := checkAt(l.At, k.Exposures()); err != nil {
		return err
	}
	if l.Sort < 0 || l.Sort >= len(k.Looks) {
		return &DataError{"", "Sort", float64(l.Sort), fmt.Sprintf("0 to %d", len(k.Looks)-1)}
	}
	s := &k.Looks[l.Sort]
	if s.measured() {
		return first(bad(!l.OrWorse, "", "OrWorse", 1, "a sort of look that says grades"),
			bad(finite(l.Value), "", "Value", l.Value, "a finite number"),
			bad(finite(l.SD) && l.SD >= 0 && l.SD+s.Scatter > 0, "", "SD", l.SD, "above 0, or the sort to scatter"))
	}
	if grades := len(s.Says[0]); l.Grade < 0 || l.Grade >= grades {
		return &DataError{"", "Grade", float64(l.Grade), fmt.Sprintf("0 to %d", grades-1)}
	}
	return nil
}

func checkAt(at []float64, exposures int) error {
	if len(at) != exposures {
		return &DataError{"", "At", float64(len(at)), fmt.Sprintf("%d numbers, one for each exposure", exposures)}
	}
	for _, x := range at {
		if !finite(x) || x < 0 {
			return &DataError{"", "At", x, "exposures, 0 or above"}
		}
	}
	return nil
}

func (t *trail) setAges(h History, exposures int) error {
	sum := 0.0
	for i, a := range h.Ages {
		if err := first(checkAt(a.At, exposures), bad(finite(a.Weight) && a.Weight > 0, "", "Weight", a.Weight,
			"above 0")); err != nil {
			return placed(err, "age %d", i)
		}
		sum += a.Weight
	}
	for _, a := range h.Ages {
		t.ages = append(t.ages, Age{a.At, a.Weight / sum})
	}
	return nil
}

func (t *trail) setSteps(h History, exposures int) error {
	looks := h.Looks
	if !slices.IsSortedFunc(looks, compareLooks) {
		looks = slices.Clone(looks)
		slices.SortStableFunc(looks, compareLooks)
	}
	t.steps = make([]step, 0, len(looks)+1)
	store := make([]float64, (len(looks)+2)*exposures)
	last := store[:exposures]
	add := func(at []float64, look *Look) error {
		store = store[exposures:]
		dx := store[:exposures:exposures]
		for e := range dx {
			if dx[e] = at[e] - last[e]; dx[e] < 0 {
				return &DataError{"", "At", at[e],
					fmt.Sprintf("exposures that all rise together; another look has %v", last[e])}
			}
			if dx[e] > 0 {
				t.dir = dx
			}
		}
		last = at
		t.steps = append(t.steps, step{dx, look})
		return nil
	}
	for i := range looks {
		if err := add(looks[i].At, &looks[i]); err != nil {
			return placed(err, "look at %v", looks[i].At)
		}
	}
	if h.At != nil {
		if err := checkAt(h.At, exposures); err != nil {
			return placed(err, "end")
		}
		if err := add(h.At, nil); err != nil {
			return placed(err, "end")
		}
	}
	return t.checkEnd(h)
}

func (t *trail) checkEnd(h History) error {
	switch h.Outcome {
	case RemovedBad:
		return bad(h.At != nil, "", "At", 0, "the exposures at which it was taken off")
	case Failed:
		return bad(h.At != nil && t.dir != nil, "", "At", 0, "the exposures at failure, after the start")
	case FoundFailed:
		moved := h.At != nil && slices.Max(t.steps[len(t.steps)-1].dx) > 0
		return bad(moved, "", "At", 0, "the exposures when found failed, after the start and the last look")
	}
	return nil
}

// compareLooks puts looks in order of exposures and, at the same exposures, in an order of their own.
func compareLooks(a, b Look) int {
	if c := slices.Compare(a.At, b.At); c != 0 {
		return c
	}
	for _, d := range []float64{float64(a.Sort - b.Sort), float64(a.Grade - b.Grade), a.Value - b.Value, a.SD - b.SD} {
		if d != 0 {
			return int(math.Copysign(1, d))
		}
	}
	for _, d := range [][2]bool{{a.Blind, b.Blind}, {a.OrWorse, b.OrWorse}} {
		if d[0] != d[1] {
			return map[bool]int{true: 1, false: -1}[d[0]]
		}
	}
	return 0
}

// emit writes the chance of what a look said of a part whose odds of each grade
// against the one before are habit times the kind's, one number a stage.
func (c *chain) emit(l *Look, habit float64, out []float64) {
	switch {
	case l.Blind:
		seen := *l
		seen.Blind = false
		c.emit(&seen, habit, out[:1])
		for j := range out {
			out[j] = out[0]
		}
		return
	case l.OrWorse:
		c.emitBad(l, habit, out)
		return
	}
	t := c.looks[l.Sort]
	if g := c.grades[l.Sort]; g > 0 {
		for j := range out {
			row := t.says[j*g : (j+1)*g]
			out[j] = row[l.Grade]
			if habit != 1 {
				out[j] *= math.Pow(habit, float64(l.Grade)) / shifted(row, habit)
			}
		}
		return
	}
	sd := math.Hypot(t.scatter[0], l.SD)
	for j := range out {
		z := (l.Value - t.level[j]) / sd
		out[j] = math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi))
	}
}

// shifted is what the chances of a row add up to once each is shifted against the one before.
func shifted(row []float64, habit float64) float64 {
	sum, f := 0.0, 1.0
	for _, p := range row {
		sum += p * f
		f *= habit
	}
	return sum
}

// emitBad writes the chance that a look finds what l says or worse.
func (c *chain) emitBad(l *Look, habit float64, out []float64) {
	t := c.looks[l.Sort]
	if n := c.grades[l.Sort]; n > 0 {
		for j := range out {
			out[j] = 0
			row := t.says[j*n : (j+1)*n]
			for g := l.Grade; g < n; g++ {
				out[j] += row[g] * math.Pow(habit, float64(g))
			}
			out[j] /= shifted(row, habit)
		}
		return
	}
	sign := 1.0
	if t.level[len(t.level)-1] < t.level[0] {
		sign = -1
	}
	for j := range out {
		out[j] = normalBetween(math.Inf(-1), sign*(t.level[j]-l.Value)/t.scatter[0])
	}
}

// back adds the derivatives of what a look said, given those by its chances.
func (c *chain) back(l *Look, node int, said, by []float64, g *chain) {
	if l.Blind {
		by[0] = floats.Sum(by)
		by = by[:1]
	}
	if l.OrWorse {
		c.backBad(l, node, by, g)
		return
	}
	if c.grades[l.Sort] > 0 {
		c.backGrades(l.Sort, l.Grade, l.Grade+1, node, by, g)
		return
	}
	t, d := c.looks[l.Sort], g.looks[l.Sort]
	variance := t.scatter[0]*t.scatter[0] + l.SD*l.SD
	for j := range by {
		z := l.Value - t.level[j]
		d.level[j] += by[j] * said[j] * z / variance
		d.scatter[0] += by[j] * said[j] * (z*z/variance - 1) * t.scatter[0] / variance
	}
}

// backBad does so for what was found that bad or worse.
func (c *chain) backBad(l *Look, node int, by []float64, g *chain) {
	if n := c.grades[l.Sort]; n > 0 {
		c.backGrades(l.Sort, l.Grade, n, node, by, g)
		return
	}
	t, d := c.looks[l.Sort], g.looks[l.Sort]
	sign := 1.0
	if t.level[len(t.level)-1] < t.level[0] {
		sign = -1
	}
	for j := range by {
		z := (t.level[j] - l.Value) / t.scatter[0]
		density := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / t.scatter[0]
		d.level[j] += by[j] * sign * density
		d.scatter[0] -= by[j] * sign * density * z
	}
}

// backGrades adds the derivatives of the chance of a grade from low to below high.
func (c *chain) backGrades(sort, low, high, node int, by []float64, g *chain) {
	t, d, n, habit := c.looks[sort], g.looks[sort], c.grades[sort], c.habit[node]
	f := make([]float64, n)
	for k := range f {
		f[k] = math.Pow(habit, float64(k))
	}
	for j := range by {
		row := t.says[j*n : (j+1)*n]
		sum := shifted(row, habit)
		said, worse, mean := 0.0, 0.0, 0.0
		for k, p := range row {
			w := p * f[k] / sum
			mean += w * float64(k)
			if k >= low && k < high {
				said += w
				worse += w * float64(k)
			}
		}
		for k := range row {
			in := 0.0
			if k >= low && k < high {
				in = 1
			}
			d.says[j*n+k] += by[j] * (in - said) * f[k] / sum
		}
		g.habit[node] += by[j] * (worse - said*mean) / habit
	}
}
