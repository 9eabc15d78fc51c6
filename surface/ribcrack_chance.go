package surface

import "math"

// evidence of a look as numbers, each about 1 in size.
func (l look) traits() []float64 {
	clip := func(v, most float64) float64 { return min(max(v, -most), most) }
	return []float64{
		1,
		math.Log(max(l.Z, 1)),
		clip(l.Z/10, 3),
		math.Log(max(l.Rest, 0.5)),
		clip(l.Least, 1),
		l.Dark,
		clip(l.Even, 3),
		math.Log(max(l.Contrast, 0.002)) + 3,
		math.Log1p(clip(max(l.Lesser, 0), 40)),
		math.Log1p(clip(max(l.Greater, 0), 40)),
		math.Log1p(clip(l.Broad, 60)),
		clip(max(l.Before, l.Behind), 2),
		clip(min(l.Before, l.Behind), 2),
		clip(l.Twin, 2),
		clip(max(l.Before, l.Behind), 2) * clip(l.Z/10, 3),
		clip(l.Twin, 2) * clip(l.Z/10, 3),
		math.Log(l.PerMM / 12),
		clip(l.Width/0.3, 4),
		clip(l.Width/0.3, 4) * clip(l.Width/0.3, 4) / 4,
		l.Slant,
		l.Slant * l.Slant * 2,
		clip(l.Wander/0.1, 3),
		clip(l.Edge, 2),
		clip(l.Light, 2),
		clip(l.Eye/3, 3),
		max(l.Eye/3, -0.5),
		yes(l.Eye == unseen),
	}
}

func yes(is bool) float64 {
	if is {
		return 1
	}
	return 0
}

// alone is the log odds that a line is a crack by its own look.
func (l look) alone() float64 { return lookNet.odds(l.traits()) }

// net is a logistic regression on a few sums of traits, each bent by a hyperbolic tangent: one hidden layer.
type net struct {
	sums [][]float64 // weights of traits, the first of which is 1
	out  []float64   // of the sums, and last what is always there
}

// odds is the log odds.
func (n net) odds(traits []float64) float64 {
	z := n.out[len(n.sums)]
	for j, w := range n.sums {
		z += n.out[j] * math.Tanh(dot(w, traits))
	}
	return z
}

// logistic is the chance of log odds.
func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// company is what others say about a line: cracks go on on the next rib, and those of one belt are alike.
type company struct {
	alone  float64 // log odds by its own look
	left   float64 // chance of the best line that meets it on the rib before, by how well it does
	right  float64
	belt   float64 // expected cracks a mm of rib on the whole belt without this
	rib    float64 // and on its own rib
	light  float64 // standard deviations its contrast, as a logarithm, is off what the others have
	wide   float64 // the same of its width
	strong float64 // its strength over theirs, as a logarithm
	bend   float64 // how well it goes down the flanks as others do, 0 to 1
	sure   float64 // expected cracks that tell of that, 1 at the most
	clear  float64 // how far the others' chances lie from a half: their squares over their sum
	lines  float64 // a mm of rib on the whole belt
}

func (c company) traits() []float64 {
	a := min(max(c.alone, -7), 7)
	belt, rib := math.Log(c.belt+0.001)+4, math.Log(c.rib+0.003)+4
	light, wide, strong := min(max(c.light, -3), 3), min(max(c.wide, -3), 3), min(max(c.strong, -2), 2)
	return []float64{
		1, a, a * a / 6, max(c.left, c.right), min(c.left, c.right), a * max(c.left, c.right) / 3,
		belt, belt * a / 3, rib, c.sure, c.sure * light, c.sure * wide, c.sure * math.Abs(light),
		c.sure * math.Abs(wide), c.sure * strong, c.sure * c.bend, c.sure * c.bend * a / 3, c.clear, c.clear * a / 3,
		math.Log(c.lines+0.01) + 1,
	}
}

// meet looks at all lines of a belt together and gives each its chance: first as others are by their own look, and
// once more as they are by what those say of each other.
func meet(s Strip, ribs [][]*line) {
	var all []*line
	for _, lines := range ribs {
		for _, c := range lines {
			c.solo = logistic(c.look.alone())
			all = append(all, c)
		}
	}
	for _, n := range []net{companyNet, againNet} {
		confer(s, ribs, all)
		for _, c := range all {
			c.chance = logistic(n.odds(c.company.traits()))
		}
		for _, c := range all {
			c.solo = c.chance
		}
	}
}

// confer tells each line what the others are, by the chances they have so far.
func confer(s Strip, ribs [][]*line, all []*line) {
	mm := float64(s.Height) / s.PerMM
	onRib := make([]float64, len(ribs))
	var total, square, light, wide, strong float64
	for _, c := range all {
		onRib[c.rib] += c.solo
		total += c.solo
		square += c.solo * c.solo
		light += c.solo * math.Log(c.look.Contrast)
		wide += c.solo * c.look.Width
		strong += c.solo * math.Log(max(c.look.Z, 1))
	}
	for _, c := range all {
		k := &c.company
		*k = company{alone: c.look.alone(), lines: float64(len(all)) / (mm * float64(len(ribs)))}
		if c.rib > 0 {
			k.left = next(s, c, ribs[c.rib-1], -1)
		}
		if c.rib+1 < len(ribs) {
			k.right = next(s, c, ribs[c.rib+1], 1)
		}
		rest := max(total-c.solo, 0)
		k.belt = rest / (mm * float64(len(ribs)))
		k.rib = max(onRib[c.rib]-c.solo, 0) / mm
		k.sure = min(rest, 1)
		if rest > 0.05 {
			other := func(sum, own float64) float64 { return own - (sum-c.solo*own)/rest }
			k.light = other(light, math.Log(c.look.Contrast)) / 0.5
			k.wide = other(wide, c.look.Width) / 0.1
			k.strong = other(strong, math.Log(max(c.look.Z, 1)))
			k.clear = min(max(square-c.solo*c.solo, 0)/rest, 1)
		}
		k.bend = bend(s, c, all)
	}
}

// next is the chance of the best line on a neighbouring rib that meets a line over the groove, by how well it does.
func next(s Strip, c *line, others []*line, side int) float64 {
	best := 0.0
	for _, o := range others {
		u := c.miss(s, o, side) / (0.5 * s.PerMM)
		if math.Abs(u) < 3 {
			best = max(best, o.solo*math.Exp(-u*u/2))
		}
	}
	return best
}

// bend is how well a line goes down the flanks as others near by do.
func bend(s Strip, c *line, all []*line) float64 {
	sum, total := 0.0, 1e-3
	for _, o := range all {
		if o == c || o.solo < 0.1 {
			continue
		}
		d := (o.y - c.y) / s.PerMM / 25
		w := o.solo * math.Exp(-d*d/2)
		off := (math.Abs(o.flank[0]-c.flank[0]) + math.Abs(o.flank[1]-c.flank[1])) / (0.6 * s.PerMM)
		sum += w * math.Exp(-off)
		total += w
	}
	return sum / total
}
