package condition

import (
	"fmt"
	"slices"
)

// Pool is what is believed of one part where some looks may be blind on it: a crack on the far side is missed by the
// eye each time, however often it looks. It is the part as all its looks tell it, and as it is with some of them left
// out, each with a share that stays what it is whatever the answers say. Were the shares learnt from the answers, a
// good one on an old part would raise its chance (it must be the eye that is blind), and a small finding would lower
// it (the eye is not). It is not changed by use and may be shared.
type Pool struct {
	parts []*Part
	share []float64
	found bool // something bad was found: the eye that found it is not blind
}

// Blind is one way in which looks may be blind on a part.
type Blind struct {
	Share float64 // of the parts of the kind, above 0
	Part  *Part   // the same part without what those looks said
}

// PoolOf joins a part as all its looks tell it with the ways in which some may be blind, which leave a share to
// it. found says that some look said more than the best grade: what all looks tell then counts in full where it is
// worse.
func PoolOf(whole *Part, found bool, blind ...Blind) (*Pool, error) {
	p := &Pool{parts: []*Part{whole}, share: []float64{1}, found: found}
	for i, b := range blind {
		where := fmt.Sprintf("blind %d", i)
		if err := first(bad(b.Share > 0 && b.Share < p.share[0], where, "Share", b.Share,
			"above 0, all together below 1"),
			bad(b.Part.post == whole.post, where, "Part", float64(i), "the same part, of one posterior")); err != nil {
			return nil, err
		}
		p.share[0] -= b.Share
		p.parts, p.share = append(p.parts, b.Part), append(p.share, b.Share)
	}
	return p, nil
}

// different is every different part, with the share of all ways it stands for.
func (p *Pool) different() (parts []*Part, shares []float64) {
	for i, part := range p.parts {
		k := slices.Index(parts, part)
		if k < 0 {
			k = len(parts)
			parts, shares = append(parts, part), append(shares, 0)
		}
		shares[k] += p.share[i]
	}
	return parts, shares
}

// FailWithin is the chance that the part fails within further exposures; see [Part.FailWithin].
func (p *Pool) FailWithin(dx []float64) (Chance, error) {
	parts, shares := p.different()
	each, err := failings(parts, dx)
	if err != nil {
		return Chance{}, err
	}
	var all []weighed
	for i := range parts {
		for _, e := range each[i] {
			all = append(all, weighed{e.value, shares[i] * e.weight})
		}
	}
	mixed := chanceOf(all)
	if p.found {
		if whole := chanceOf(each[0]); whole.Mean > mixed.Mean {
			return whole, nil
		}
	}
	return mixed, nil
}

// Later is the part after further exposures, given that it has not failed.
func (p *Pool) Later(dx []float64) (*Pool, error) {
	out := &Pool{found: p.found}
	alive := 0.0
	for i, part := range p.parts {
		c, err := part.FailWithin(dx)
		if err != nil {
			return nil, err
		}
		later, err := p.again(out, i, func() (*Part, error) { return part.Later(dx) })
		if err != nil {
			return nil, err
		}
		out.parts, out.share = append(out.parts, later), append(out.share, p.share[i]*(1-c.Mean))
		alive += out.share[i]
	}
	for i := range out.share {
		out.share[i] /= alive
	}
	return out, nil
}

// again is what make makes of part i, made once for ways that are one part.
func (p *Pool) again(out *Pool, i int, make func() (*Part, error)) (*Part, error) {
	for k, done := range out.parts {
		if p.parts[k] == p.parts[i] {
			return done, nil
		}
	}
	return make()
}

// Seen is the part after one more look, now, that said a grade. sorts names the sort of look that it is as a
// whole and, in the order given to [PoolOf], where some of it is blind; below 0 where nothing is left of it.
func (p *Pool) Seen(sorts []int, grade int) (*Pool, error) {
	if err := p.checkSorts(sorts); err != nil {
		return nil, err
	}
	out := &Pool{share: p.share, found: p.found || grade > 0}
	for i, part := range p.parts {
		var err error
		if sorts[i] >= 0 {
			if part, err = part.Seen(Look{Sort: sorts[i], Grade: grade}); err != nil {
				return nil, err
			}
		}
		out.parts = append(out.parts, part)
	}
	return out, nil
}

func (p *Pool) checkSorts(sorts []int) error {
	grades := p.parts[0].nodes[0].grades
	if err := bad(len(sorts) == len(p.parts), "pool", "sorts", float64(len(sorts)),
		fmt.Sprint(len(p.parts))); err != nil {
		return err
	}
	for i, s := range sorts {
		known := s >= 0 && s < len(grades) && grades[s] > 0 && grades[s] == grades[sorts[0]]
		if err := bad(known || i > 0 && s < 0, "pool", "sorts", float64(s),
			"a sort of look for the whole, and sorts of as many grades or below 0"); err != nil {
			return err
		}
	}
	return nil
}

// Answers is what a look may say now, with its chance, and the chance of failing within further exposures once it has
// said so: that of [Pool.Seen]. See there for sorts, which must be of grades.
func (p *Pool) Answers(sorts []int, within []float64) ([]Answer, error) {
	out, _, err := p.answers(sorts, within)
	return out, err
}

// answers is Answers with, in perfect, how likely each stage is and what the chance is there.
func (p *Pool) answers(sorts []int, within []float64) (out, perfect []Answer, err error) {
	if err := p.checkSorts(sorts); err != nil {
		return nil, nil, err
	}
	whole, err := p.parts[0].joint(sorts[0], within)
	if err != nil {
		return nil, nil, err
	}
	sound := p.parts[0].nodes[0].looks[sorts[0]].says
	told := whole.answers()
	out = make([]Answer, len(told))
	for i, part := range p.parts {
		t := whole
		if i > 0 {
			if t, err = part.joint(max(sorts[i], 0), within); err != nil {
				return nil, nil, err
			}
		}
		total := 0.0
		for _, f := range t.fails {
			total += f
		}
		perfect = append(perfect, t.perfect(p.share[i])...)
		each := t.answers()
		for g := range out {
			a := Answer{Chance: sound[g], Fails: total} // blind: it says what it would of a sound part
			if sorts[i] >= 0 {
				a = each[g]
			}
			out[g].Grade = g
			out[g].Chance += p.share[i] * a.Chance
			out[g].Fails += p.share[i] * a.Fails
		}
	}
	for g, a := range told {
		if g > 0 || p.found {
			out[g].Fails = max(out[g].Fails, a.Fails)
		}
	}
	return out, perfect, nil
}

// Worth is what a look is worth for a decision; see [Part.Worth], and [Pool.Seen] for sorts.
func (p *Pool) Worth(d Decision, sorts []int) (Worth, error) {
	answers, perfect, err := p.answers(sorts, d.Within)
	if err == nil {
		err = d.check()
	}
	if err != nil {
		return Worth{}, err
	}
	return d.worth(answers, perfect), nil
}
