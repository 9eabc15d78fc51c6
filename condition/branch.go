package condition

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// branch is the kinds of a prior that have one sort of shape of the first stay, with how many of them are drawn.
type branch struct {
	*space
	weight float64 // how likely beforehand
	count  int
	peak   *Peak
	grid   [][]float64 // see gridOf
}

func (b *branch) half() int { return (b.count + 1) / 2 }

// branches are those of a prior: one, or two where it has [Prior.Else].
func (p Prior) branches(nodes int) ([]branch, error) {
	s, err := p.space()
	if err != nil {
		return nil, err
	}
	out := []branch{{space: s, weight: 1 - p.Else.Weight, count: nodes}}
	if p.Else.Weight > 0 {
		proper := (&target{space: s}).proper()
		if err := bad(proper, "prior", "Else", p.Else.Weight, "no number that is Flat"); err != nil {
			return nil, err
		}
		if s, err = p.otherwise().space(); err != nil {
			return nil, placed(err, "Else")
		}
		out = append(out, branch{space: s, weight: p.Else.Weight, count: (nodes + 3) / 4})
	}
	for i, b := range out {
		if len(b.params) == 0 && len(ownNodes(p.Kind)) == 1 {
			out[i].count = 1
		}
	}
	return out, nil
}

// otherwise is the prior where Else holds.
func (p Prior) otherwise() Prior {
	p.Kind = p.Kind.clone()
	p.Kind.Stages[0].Family, p.Kind.Stages[0].Shape = Gamma, p.Else.Shape
	if p.Shapes = slices.Clone(p.Shapes); len(p.Shapes) > 0 {
		p.Shapes[0] = 0
	}
	p.Else = Else{}
	return p
}

// peakOf searches for the most likely kind of each branch.
func peakOf(all []branch, histories []History) (*Peak, error) {
	var out *Peak
	for _, b := range slices.Backward(all) {
		peak, err := b.space.peak(histories, b.count)
		if err != nil {
			return nil, err
		}
		peak.Else, out = out, peak
	}
	return out, nil
}

// shares is how likely each branch is after the histories.
func shares(all []branch) []float64 {
	out := make([]float64, len(all))
	for i, b := range all {
		out[i] = math.Log(b.weight) + b.peak.Likely
	}
	total := logSum(out)
	for i, w := range out {
		out[i] = math.Exp(w - total)
	}
	return out
}

// check says whether the peak can be one of the branch.
func (b *branch) check() error {
	n := len(b.params)
	of := func(list []float64, name string, n int) error {
		return bad(len(list) == n, "peak", name, float64(len(list)), fmt.Sprint(n, " numbers"))
	}
	if err := first(of(b.peak.At, "At", n), of(b.peak.Root, "Root", n*n),
		of(b.peak.Weight, "Weight", b.count)); err != nil {
		return err
	}
	if q := b.point(b.peak.At); !q.sane() {
		return placed(ErrImpossible, "peak")
	}
	return nil
}

// weigh says what each of so many kinds around the peak stands for, of a lattice by its density, and how likely the
// histories are.
func (t *target) weigh(p *Peak, count int) {
	n := len(p.At)
	p.Weight = slices.Repeat([]float64{1 / float64(count)}, count)
	p.Likely = -t.value(p.At, nil)
	if n > 0 {
		size, _ := mat.LogDet(mat.NewDense(n, n, p.Root))
		p.Likely += size
	}
	if n == 0 || n > 2 || count == 1 {
		return
	}
	grid, half := gridOf(n, count), (count+1)/2
	normal := make([]float64, count) // as it would be, were the density normal
	for i := range normal {
		square := 0.0
		for d := range n {
			square += grid[d][i%half] * grid[d][i%half]
		}
		p.Weight[i] = square/(2*wider*wider) - t.value(p.place(grid, i%half, sign(i, half)), nil)
		normal[i] = square/(2*wider*wider) - square/2 - t.value(p.At, nil)
	}
	total := logSum(p.Weight)
	p.Likely += total - logSum(normal)
	for i, w := range p.Weight {
		p.Weight[i] = math.Exp(w - total)
	}
}
