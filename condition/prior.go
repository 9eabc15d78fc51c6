package condition

import (
	"fmt"
	"math"
	"slices"
)

// Prior is what is believed of a kind before this yard's own histories: the kind itself as the
// middle, and for each number how little is known, as the standard deviation of its logarithm (0.7
// is a factor of two, 95 % within four). 0 means known. [Flat] leaves a number to the histories alone.
type Prior struct {
	Kind Kind

	All    float64   // of a factor common to all stays
	First  float64   // of a factor of the first stay, whatever it is counted in
	Lead   float64   // of a factor common to all stays but the first
	Stays  []float64 // of the mean stay, for each stage
	Shapes []float64 // of the shape of the stay, for each stage
	Fails  []float64 // of the rates of failing straight from each stage, where above 0
	Speed  float64   // of SpeedLogSD, where above 0
	Habit  float64   // of HabitSD, where above 0

	// Looks says for each sort how little is known of how it misleads: the standard deviation of
	// the logarithm of each odds in its table, or of each step between levels and of the scatter. Entries of 0
	// stay 0.
	Looks []float64

	// Else is another shape that the first stay may have.
	Else Else
}

// Else is how likely it is that kinds have another shape of the first stay than the prior's, one that is known: most
// kinds wear out, some fail at any age. How likely each is after histories is learnt by how likely they are with it.
type Else struct {
	Weight float64 // how likely beforehand, 0 for never, below 1
	Shape  float64 // of a gamma stay
}

// Flat is the spread of a number of which nothing is known beforehand.
var Flat = math.Inf(1)

// point is a kind with the nominal shapes of its stays.
type point struct {
	Kind
	shapes []float64
}

// param is one unknown number: normal with mean and sd, in a scale without bounds.
type param struct{ mean, sd float64 }

// group is some params that are set together.
type group struct {
	from, to int
	set      func(p *point, x []float64)
}

// space is the unknown numbers of a prior.
type space struct {
	base   point
	free   []bool // stages whose shape is unknown
	params []param
	groups []group
	eyes   bool // how looks mislead is among them
}

func (s *space) add(params []param, set func(p *point, x []float64)) {
	s.groups = append(s.groups, group{len(s.params), len(s.params) + len(params), set})
	s.params = append(s.params, params...)
}

// one adds a positive number.
func (s *space) one(value, sd float64, set func(p *point, x float64)) {
	if sd == 0 || value == 0 {
		return
	}
	s.add([]param{{math.Log(value), sd}}, func(p *point, x []float64) { set(p, math.Exp(x[0])) })
}

func (p Prior) space() (*space, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	s := &space{base: point{Kind: p.Kind.clone()}, free: make([]bool, len(p.Kind.Stages))}
	for j, stage := range p.Kind.Stages {
		b := stage.nominal()
		s.base.shapes = append(s.base.shapes, b)
		s.free[j] = at(p.Shapes, j) > 0
	}
	p.stays(s)
	s.one(p.Kind.SpeedLogSD, p.Speed, func(q *point, x float64) { q.SpeedLogSD = min(x, 2) })
	s.one(p.Kind.HabitSD, p.Habit, func(q *point, x float64) { q.HabitSD = min(x, 5) })
	for i, sort := range p.Kind.Looks {
		if sd := at(p.Looks, i); sd > 0 {
			s.eyes = true
			s.look(i, sort, sd)
		}
	}
	return s, nil
}

// stays adds the unknown numbers of stays and failures.
func (p Prior) stays(s *space) {
	s.one(1, p.All, func(q *point, x float64) { stretch(q.Stages, x) })
	s.one(1, p.First, func(q *point, x float64) { stretch(q.Stages[:1], x) })
	s.one(1, p.Lead, func(q *point, x float64) { stretch(q.Stages[1:], x) })
	for j, stage := range p.Kind.Stages {
		for e, m := range stage.Mean {
			s.one(m, at(p.Stays, j), func(q *point, x float64) { q.Stages[j].Mean[e] *= x / m })
		}
		s.one(s.base.shapes[j], at(p.Shapes, j), func(q *point, x float64) {
			q.shapes[j] = min(max(x, minShape),
				maxShape)
		})
		for e, f := range stage.Fails {
			s.one(f, at(p.Fails, j), func(q *point, x float64) { q.Stages[j].Fails[e] = x })
		}
	}
}

func stretch(stages []Stage, by float64) {
	for j := range stages {
		for e := range stages[j].Mean {
			stages[j].Mean[e] *= by
		}
	}
}

func at(list []float64, i int) float64 {
	if i < len(list) {
		return list[i]
	}
	return 0
}

func (p Prior) check() error {
	if err := first(p.Kind.Check(), bad(p.Else.Weight >= 0 && p.Else.Weight < 1, "prior", "Else.Weight", p.Else.Weight,
		"0 to below 1")); err != nil {
		return err
	}
	for _, l := range []struct {
		name   string
		values []float64
		most   int
	}{
		{"All", []float64{p.All}, 1}, {"First", []float64{p.First}, 1}, {"Lead", []float64{p.Lead}, 1},
		{"Speed", []float64{p.Speed}, 1}, {"Habit",
			[]float64{p.Habit}, 1}, {"Stays", p.Stays, len(p.Kind.Stages)},
		{"Shapes", p.Shapes, len(p.Kind.Stages)}, {"Fails", p.Fails, len(p.Kind.Stages)}, {"Looks", p.Looks,
			len(p.Kind.Looks)},
	} {
		if err := bad(len(l.values) <= l.most, "prior", l.name, float64(len(l.values)),
			fmt.Sprintf("at most %d numbers", l.most)); err != nil {
			return err
		}
		for _, sd := range l.values {
			if err := bad(sd >= 0 && (sd <= 3 || math.IsInf(sd, 1)), "prior", l.name, sd,
				"0 to 3, or Flat"); err != nil {
				return err
			}
		}
	}
	return nil
}

// look adds the unknown numbers of a sort of look.
func (s *space) look(i int, sort Sort, sd float64) {
	switch {
	case sort.measured():
		s.levels(i, sort, sd)
	case positive(sort.Says):
		s.odds(i, sort.Says, sd)
	default:
		s.logits(i, sort.Says, sd)
	}
}

func positive(says [][]float64) bool {
	for _, row := range says {
		for _, p := range row {
			if p <= 0 {
				return false
			}
		}
	}
	return true
}

// odds writes a table without zeros as the log-odds of neighbouring grades in the first stage, and
// the logarithms of all neighbouring log-odds ratios: so a worse grade speaks for a worse stage whatever their
// values.
func (s *space) odds(i int, says [][]float64, sd float64) {
	var params []param
	grades := len(says[0])
	ratio := make([][]int, len(says))
	for g := 1; g < grades; g++ {
		params = append(params, param{math.Log(says[0][g] / says[0][g-1]), sd})
	}
	for j := 1; j < len(says); j++ {
		ratio[j] = make([]int, grades)
		for g := 1; g < grades; g++ {
			ratio[j][g] = -1
			if r := math.Log(says[j][g] * says[j-1][g-1] / (says[j][g-1] * says[j-1][g])); r > 1e-9 {
				ratio[j][g] = len(params)
				params = append(params, param{math.Log(r), sd})
			}
		}
	}
	s.add(params, func(p *point, x []float64) {
		step := append([]float64{0}, x[:grades-1]...)
		for j, row := range p.Looks[i].Says {
			for g := 1; g < grades && j > 0; g++ {
				if at := ratio[j][g]; at >= 0 {
					step[g] += math.Exp(x[at])
				}
			}
			fromLogs(row, step)
		}
	})
}

// fromLogs writes chances whose logarithms rise by the given steps.
func fromLogs(row, step []float64) {
	log, top := 0.0, 0.0
	for g := range row {
		log += step[g]
		row[g] = log
		top = max(top, log)
	}
	sum := 0.0
	for g := range row {
		row[g] = math.Exp(row[g] - top)
		sum += row[g]
	}
	for g := range row {
		row[g] /= sum
	}
}

// logits writes a table with zeros as the log-odds of each grade against the likeliest of its stage.
func (s *space) logits(i int, says [][]float64, sd float64) {
	var params []param
	type place struct{ j, g, base, at int }
	var places []place
	for j, row := range says {
		base := 0
		for g, p := range row {
			if p > row[base] {
				base = g
			}
		}
		for g, p := range row {
			if g != base && p > 0 {
				places = append(places, place{j, g, base, len(params)})
				params = append(params, param{math.Log(p / row[base]), sd})
			}
		}
	}
	s.add(params, func(p *point, x []float64) {
		rows := p.Looks[i].Says
		sum := make([]float64, len(rows))
		for _, l := range places {
			rows[l.j][l.base] = 1
			rows[l.j][l.g] = math.Exp(x[l.at])
		}
		for j, row := range rows {
			for _, q := range row {
				sum[j] += q
			}
			for g := range row {
				row[g] /= sum[j]
			}
		}
	})
}

// levels writes levels as the first, the logarithms of the steps between them and that of the scatter.
func (s *space) levels(i int, sort Sort, sd float64) {
	unit := sort.Scatter
	if unit == 0 {
		unit = math.Abs(sort.Level[len(sort.Level)-1] - sort.Level[0])
	}
	s.add([]param{{sort.Level[0], sd * unit}}, func(p *point, x []float64) {
		for j := range p.Looks[i].Level {
			p.Looks[i].Level[j] += x[0] - sort.Level[0]
		}
	})
	for j := 1; j < len(sort.Level); j++ {
		rise := sort.Level[j] - sort.Level[j-1]
		s.one(math.Abs(rise), sd, func(p *point, x float64) {
			for k := j; k < len(sort.Level); k++ {
				p.Looks[i].Level[k] += math.Copysign(x, rise) - rise
			}
		})
	}
	s.one(sort.Scatter, sd, func(p *point, x float64) { p.Looks[i].Scatter = x })
}

// scale is the unit in which a param is searched.
func (p param) scale() float64 {
	if math.IsInf(p.sd, 1) {
		return 1
	}
	return p.sd
}

// precision is that of the prior in the unit of the search.
func (p param) precision() float64 {
	if math.IsInf(p.sd, 1) {
		return 0
	}
	return 1
}

// point is the kind at z, in prior standard deviations from the middle.
func (s *space) point(z []float64) point {
	base := s.base.Kind
	if !s.eyes {
		base.Looks = nil // the tables are the same for all, and nobody changes them
	}
	p := point{base.clone(), slices.Clone(s.base.shapes)}
	if !s.eyes {
		p.Looks = s.base.Looks
	}
	x := make([]float64, len(z))
	for i, q := range s.params {
		x[i] = q.mean + z[i]*q.scale()
	}
	for _, g := range s.groups {
		g.set(&p, x[g.from:g.to])
	}
	return p
}

// chain of a point, in the form its unknown shapes need.
func (s *space) chain(p point) *chain {
	f := p.form(p.shapes, s.free)
	c := f.room()
	c.fill(p.Kind, p.shapes)
	return c
}

// kind is the point as a plain kind: a learnt shape is stated as that of the gamma stay of the same spread.
func (s *space) kind(p point) Kind {
	k := p.Kind
	for j, b := range p.shapes {
		if s.free[j] {
			k.Stages[j].Family, k.Stages[j].Shape = Gamma, max(1/spreadOf(b), minShape)
		}
	}
	return k
}

// spreadOf is the squared coefficient of variation of a stay of nominal shape b.
func spreadOf(b float64) float64 {
	if b < 1 {
		return 1 / b
	}
	f := b - math.Floor(b)
	return 1/b + f*(1-f)/(b*b)
}

// Lead is what the trade states of a kind of part: how long until the first sign, and how long from there to failure.
type Lead struct {
	Onset []float64 // mean until the first sign, one number for each exposure, 0 where it does not count
	Lead  []float64 // mean from the first sign to failure, likewise
	Signs int       // stages from the first sign on, of equal stay; 0 for 2

	// Shares are the parts of Lead that the stages from the first sign on take, adding up to 1; nil for
	// Signs of equal stay.
	Shares []float64

	// Shape of the stays, 0 for 2: more regular than chance. ShapeLogSD is how little is known of it.
	Shape, ShapeLogSD float64

	// Within takes LeadLogSD as how much lead times differ from part to part, not from what is stated: the stays
	// from the first sign on get the whole shape that spreads their sum at least so, and Shape is that of the
	// onset alone. Doubt is then of the onset alone, and no good answer ever raises a chance: see the package page.
	Within bool

	// How little is known of Onset and Lead: the standard deviation of their logarithms; 0.7 is a factor of two,
	// 95 % within
	// four.
	OnsetLogSD, LeadLogSD float64

	// SpeedLogSD is how much parts of the kind differ among themselves.
	SpeedLogSD float64
}

// FromLead makes a prior of a stated onset and lead time, with the sorts of look given and how little is known
// of how each misleads.
func FromLead(l Lead, looks []Sort, doubt []float64) (Prior, error) {
	if l.Signs == 0 {
		l.Signs = 2
	}
	if l.Shape == 0 {
		l.Shape = 2
	}
	if err := first(bad(l.Signs > 0 && l.Signs < 100, "lead", "Signs", float64(l.Signs), "one stage or more"),
		bad(len(l.Lead) == len(l.Onset), "lead", "Lead", float64(len(l.Lead)), "as many numbers as Onset"),
		l.checkShares()); err != nil {
		return Prior{}, err
	}
	if l.Shares == nil {
		for range l.Signs {
			l.Shares = append(l.Shares, 1/float64(l.Signs))
		}
	}
	p := Prior{Lead: l.LeadLogSD, First: l.OnsetLogSD, Shapes: []float64{l.ShapeLogSD}, Looks: doubt}
	p.Kind = Kind{Stages: []Stage{{Mean: l.Onset, Shape: l.Shape}}, Looks: looks, SpeedLogSD: l.SpeedLogSD}
	signs := l.Shape
	if l.Within {
		signs, p.Lead = l.within(), 0
	}
	for _, share := range l.Shares {
		each := make([]float64, len(l.Lead))
		for e := range each {
			each[e] = l.Lead[e] * share
		}
		p.Kind.Stages = append(p.Kind.Stages, Stage{Mean: each, Shape: signs})
		if !l.Within {
			p.Shapes = append(p.Shapes, l.ShapeLogSD)
		}
	}
	return p, p.check()
}

func (l Lead) checkShares() error {
	sum := 0.0
	for _, s := range l.Shares {
		if err := bad(s > 0 && s <= 1, "lead", "Shares", s, "shares above 0"); err != nil {
			return err
		}
		sum += s
	}
	return bad(l.Shares == nil || math.Abs(sum-1) < 1e-6, "lead", "Shares", sum, "shares that add up to 1")
}

// within is the shape of stays of these shares whose sum has the spread of the lead or, since a whole shape has
// phases that are all passed one by one, a little more.
func (l Lead) within() float64 {
	squares := 0.0
	for _, s := range l.Shares {
		squares += s * s
	}
	return min(max(math.Floor(squares/math.Expm1(l.LeadLogSD*l.LeadLogSD)), 1), maxShape)
}
