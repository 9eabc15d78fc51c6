package condition

import (
	"math"
)

// chain is a kind as a Markov chain over phases. A stage of stay shape b >= 1 is a row of phases
// of equal pace: floor(b)+1 of them, of which the first is skipped with chance 1 - (b - floor(b)).
// A stage of shape below 1 is two phases side by side, one quick, one slow. All numbers that depend on parameters
// lie in flat, so that derivatives by them are a slice of the same layout.
type chain struct {
	form
	flat []float64

	pace   []float64        // of each phase: exits per mean stay
	skip   []float64        // of each stage: chance to enter at its second phase
	inv    []float64        // stage by exposure: mean stays per unit
	fail   []float64        // stage by exposure: failures per unit
	speed  []float64        // nodes of the part's own speed
	habit  []float64        // nodes of the part's own odds, as many
	looks  []table          // one a sort
	weight []float64        // of each node; not in flat
	links  []link           // how phases are entered from others; follows from skip
	far    int              // the longest of them
	into   [bands][]float64 // into[d][i]: share of the exits of phase i-d that go to phase i
	quick  []float64        // the quickest pace of each stage
}

// link is a way from one phase to a later one: the share of from's exits that take it, and how that
// changes with the skip of the stage that is entered.
type link struct {
	from, to, stage int
	share, slope    float64
}

// form is what stays the same while parameters move a little.
type form struct {
	stages, exposures, phases int

	start   []int  // first phase of each stage, and one beyond the last
	stageOf []int  // stage of each phase
	leaves  []bool // the phase's exit leaves the stage
	whole   []int  // floor of the nominal shape; 0 for two phases side by side
	speeds  int
	grades  []int // of each sort, 0 for a measured value
}

// table is a sort of look in flat numbers.
type table struct {
	says    []float64 // stage by grade
	level   []float64
	scatter []float64 // one number
}

// nominal turns family and shape into the shape parameter of the chain: the count of phases, not
// whole, for 1 and above; the shape of the gamma of the same spread below.
func (s Stage) nominal() float64 {
	if s.Shape == 0 || s.Shape == 1 {
		return 1
	}
	c2 := 1 / s.Shape // squared coefficient of variation
	if s.Family == Weibull {
		m := math.Gamma(1 + 1/s.Shape)
		c2 = math.Gamma(1+2/s.Shape)/(m*m) - 1
	}
	if c2 > 1 {
		return 1 / c2
	}
	n := math.Floor(1/c2 + 1e-12)
	d := 1 - n*c2
	f := (d + math.Sqrt(math.Max(0, d*d-(1+c2)*(n*n*c2-n)))) / (1 + c2)
	return math.Min(n+math.Min(math.Max(f, 0), 1), maxShape)
}

// form of a kind with nominal shapes; free are those that may be moved a little, nil for none.
func (k Kind) form(shapes []float64, free []bool) form {
	f := form{stages: len(k.Stages), exposures: k.Exposures(), speeds: 1}
	for j, b := range shapes {
		f.start = append(f.start, f.phases)
		n, whole := 2, 0
		switch {
		case b >= 1:
			whole = int(math.Floor(b))
			n = whole + 1
			if b == float64(whole) && !(free != nil && free[j]) {
				n = whole
			}
		}
		f.whole = append(f.whole, whole)
		for i := range n {
			f.stageOf = append(f.stageOf, j)
			f.leaves = append(f.leaves, i == n-1 || whole == 0)
		}
		f.phases += n
	}
	f.start = append(f.start, f.phases)
	f.speeds = len(ownNodes(k))
	for _, s := range k.Looks {
		if s.measured() {
			f.grades = append(f.grades, 0)
		} else {
			f.grades = append(f.grades, len(s.Says[0]))
		}
	}
	return f
}

// room makes an empty chain of a form.
func (f form) room() *chain {
	size := f.phases + f.stages + 2*f.stages*f.exposures + 2*f.speeds
	for _, g := range f.grades {
		if g == 0 {
			size += f.stages + 1
		} else {
			size += f.stages * g
		}
	}
	c := &chain{form: f, flat: make([]float64, size)}
	rest := c.flat
	take := func(n int) []float64 {
		part := rest[:n:n]
		rest = rest[n:]
		return part
	}
	c.pace, c.skip = take(f.phases), take(f.stages)
	c.inv, c.fail = take(f.stages*f.exposures), take(f.stages*f.exposures)
	c.speed, c.habit = take(f.speeds), take(f.speeds)
	c.looks = make([]table, len(f.grades))
	for i, g := range f.grades {
		if g == 0 {
			c.looks[i] = table{level: take(f.stages), scatter: take(1)}
		} else {
			c.looks[i] = table{says: take(f.stages * g)}
		}
	}
	return c
}

// compile makes the chain of a checked kind.
func (k Kind) compile() *chain {
	shapes := make([]float64, len(k.Stages))
	for j, s := range k.Stages {
		shapes[j] = s.nominal()
	}
	c := k.form(shapes, nil).room()
	c.fill(k, shapes)
	return c
}

// fill writes a kind into a chain of its form; shapes may differ from those of the form a little.
func (c *chain) fill(k Kind, shapes []float64) {
	for j, s := range k.Stages {
		c.fillStay(j, shapes[j])
		for e, m := range s.Mean {
			c.inv[j*c.exposures+e] = 0
			if m > 0 {
				c.inv[j*c.exposures+e] = 1 / m
			}
			c.fail[j*c.exposures+e] = fails(s, e)
		}
	}
	c.setLinks()
	c.weight = c.weight[:0]
	for i, n := range ownNodes(k) {
		c.speed[i], c.habit[i] = math.Exp(k.SpeedLogSD*n.speed), math.Exp(k.HabitSD*n.habit)
		c.weight = append(c.weight, n.weight)
	}
	for i, s := range k.Looks {
		t := c.looks[i]
		if s.measured() {
			copy(t.level, s.Level)
			t.scatter[0] = s.Scatter
			continue
		}
		for j, row := range s.Says {
			copy(t.says[j*len(row):], row)
		}
	}
}

func (c *chain) fillStay(j int, b float64) {
	from, to := c.start[j], c.start[j+1]
	c.skip[j] = 0
	switch whole := c.whole[j]; {
	case whole == 0:
		r := math.Sqrt((1 - b/2) / (1 + b)) // first three moments of a gamma (Tijms)
		quick, slow := 2*(1+r), 2*(1-r)
		c.skip[j] = 1 - quick*(slow-1)/(slow-quick)
		c.pace[from], c.pace[from+1] = quick, slow
	case to-from == whole: // a whole number of phases
		for i := from; i < to; i++ {
			c.pace[i] = b
		}
	default:
		c.skip[j] = 1 - (b - float64(whole))
		for i := from; i < to; i++ {
			c.pace[i] = b
		}
	}
}

func (c *chain) setLinks() {
	c.links, c.far, c.into = c.links[:0], 1, [bands][]float64{1: make([]float64, c.phases)}
	c.quick = make([]float64, c.stages)
	for i, j := range c.stageOf {
		c.quick[j] = max(c.quick[j], c.pace[i])
	}
	for i, j := range c.stageOf {
		if !c.leaves[i] {
			c.links = append(c.links, link{from: i, to: i + 1, stage: j, share: 1})
			continue
		}
		if j+1 == c.stages {
			continue
		}
		at := c.start[j+1]
		if c.start[j+2]-at == 1 {
			c.links = append(c.links, link{from: i, to: at, stage: j + 1, share: 1})
		} else {
			c.links = append(c.links, link{from: i, to: at, stage: j + 1, share: 1 - c.skip[j+1], slope: -1},
				link{from: i, to: at + 1, stage: j + 1, share: c.skip[j+1], slope: 1})
		}
	}
	for i := range c.links {
		l := &c.links[i]
		d := l.to - l.from
		c.far = max(c.far, d)
		if c.into[d] == nil {
			c.into[d] = make([]float64, c.phases)
		}
		c.into[d][l.to] = l.share
	}
}

// own is a node of what is a part's own, in standard deviations.
type own struct{ speed, habit, weight float64 }

// hermite5 and hermite3 are Gauss and Hermite's nodes for the standard normal, with weights.
var (
	hermite5 = [][2]float64{{-2.8569700138728056, 0.011257411327720691}, {-1.3556261799742659, 0.22207592200561266},
		{0, 0.5333333333333333}, {1.3556261799742659, 0.22207592200561266}, {2.8569700138728056, 0.011257411327720691}}
	hermite3 = [][2]float64{{-math.Sqrt(3), 1. / 6}, {0, 2. / 3}, {math.Sqrt(3), 1. / 6}}

	ownNothing = []own{{0, 0, 1}}
	ownSpeed   = product(hermite5, ownNothing1)
	ownHabit   = product(ownNothing1, hermite5)
	ownBoth    = product(hermite3, hermite3)

	ownNothing1 = [][2]float64{{0, 1}}
)

func product(speeds, habits [][2]float64) []own {
	var out []own
	for _, s := range speeds {
		for _, h := range habits {
			out = append(out, own{s[0], h[0], s[1] * h[1]})
		}
	}
	return out
}

// ownNodes is the nodes over which the speed and the habit of a part are summed.
func ownNodes(k Kind) []own {
	switch {
	case k.SpeedLogSD > 0 && k.HabitSD > 0:
		return ownBoth
	case k.SpeedLogSD > 0:
		return ownSpeed
	case k.HabitSD > 0:
		return ownHabit
	}
	return ownNothing
}

// newPart writes the phases of a new part.
func (c *chain) newPart(v []float64) {
	clear(v)
	c.enter(v, 0, 1)
}

func (c *chain) enter(v []float64, stage int, weight float64) {
	if stage == c.stages {
		return
	}
	at := c.start[stage]
	v[at] += weight * (1 - c.skip[stage])
	if c.skip[stage] != 0 {
		v[at+1] += weight * c.skip[stage]
	}
}
