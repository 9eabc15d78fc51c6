package survey

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"
)

// TestJacobianByGroups: moving many unknowns at once gives what moving each by itself does.
func TestJacobianByGroups(t *testing.T) {
	s := newShot(1, false)
	r, err := Photograph(s.sketch, s.photo, []Measure{s.calm, s.belt})
	if err != nil {
		t.Fatal(err)
	}
	got, want := r.p.jacobian(r.x), mat.NewDense(r.p.count(), len(r.x), nil)
	fd.Jacobian(want, r.p.residuals, r.x, &fd.JacobianSettings{Formula: fd.Central})
	var d mat.Dense
	d.Sub(got, want)
	if off := mat.Norm(&d, math.Inf(1)); off > 1e-6*mat.Norm(want, math.Inf(1)) {
		t.Errorf("off by %g", off)
	}
}
