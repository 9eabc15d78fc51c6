package survey

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// ellipse fits a x^2 + b xy + c y^2 + d x + e y + f = 0 with 4ac - b^2 = 1 to five points or more: the direct fit of
// Fitzgibbon, Pilu and Fisher (1999) in the stable form of Halir and Flusser (1998). It comes back as a symmetric
// matrix; nil where the points lie on no ellipse.
func ellipse(pts [][2]float64) *mat.SymDense {
	var mx, my, size float64
	for _, p := range pts {
		mx, my = mx+p[0]/float64(len(pts)), my+p[1]/float64(len(pts))
	}
	for _, p := range pts {
		size += math.Hypot(p[0]-mx, p[1]-my) / float64(len(pts))
	}
	if !(size > 0) {
		return nil
	}
	quad, lin := mat.NewDense(len(pts), 3, nil), mat.NewDense(len(pts), 3, nil)
	for i, p := range pts {
		x, y := (p[0]-mx)/size, (p[1]-my)/size
		quad.SetRow(i, []float64{x * x, x * y, y * y})
		lin.SetRow(i, []float64{x, y, 1})
	}
	var s1, s2, s3, t, m mat.Dense
	s1.Mul(quad.T(), quad)
	s2.Mul(quad.T(), lin)
	s3.Mul(lin.T(), lin)
	if t.Solve(&s3, s2.T()) != nil {
		return nil
	}
	m.Mul(&s2, &t)
	m.Sub(&s1, &m)
	m.Mul(mat.NewDense(3, 3, []float64{0, 0, 0.5, 0, -1, 0, 0.5, 0, 0}), &m)
	var eig mat.Eigen
	if !eig.Factorize(&m, mat.EigenRight) {
		return nil
	}
	var vs mat.CDense
	eig.VectorsTo(&vs)
	for k := range 3 {
		a, b, c := real(vs.At(0, k)), real(vs.At(1, k)), real(vs.At(2, k))
		if !(4*a*c-b*b > 0) {
			continue
		}
		var l mat.VecDense
		l.MulVec(&t, mat.NewVecDense(3, []float64{a, b, c}))
		d, e, f := -l.AtVec(0), -l.AtVec(1), -l.AtVec(2)
		// back from the points' own frame
		a, b, c, d, e = a/(size*size), b/(size*size), c/(size*size), d/size, e/size
		f += a*mx*mx + b*mx*my + c*my*my - d*mx - e*my
		d, e = d-2*a*mx-b*my, e-b*mx-2*c*my
		return mat.NewSymDense(3, []float64{a, b / 2, d / 2, b / 2, c, e / 2, d / 2, e / 2, f})
	}
	return nil
}

// normals are the two directions, towards the camera, that the plane of a circle may face whose image, in
// coordinates in which the focal length is 1, is the ellipse q: the circular sections of the cone of sight. Where the
// focal length is right, one of them is the same for all circles of one plane: Chen, Wu and Wada (2004).
func normals(q *mat.SymDense) []r3.Vec {
	var eig mat.EigenSym
	if !eig.Factorize(q, true) {
		return nil
	}
	var v mat.Dense
	eig.VectorsTo(&v)
	l := eig.Values(nil) // rising
	col := func(k int) r3.Vec { return r3.Vec{X: v.At(0, k), Y: v.At(1, k), Z: v.At(2, k)} }
	one, low, mid, high := 1.0, 0, 1, 2
	if l[1] < 0 { // two negative: the other sign of the same cone
		one, low, high = -1, 2, 0
	}
	l1, l2, l3 := one*l[high], one*l[mid], one*l[low]
	if !(l3 < 0 && l2 > 0) {
		return nil
	}
	along, across := math.Sqrt((l1-l2)/(l1-l3)), math.Sqrt((l2-l3)/(l1-l3))
	var out []r3.Vec
	for _, sign := range []float64{1, -1} {
		n := r3.Unit(r3.Add(r3.Scale(along, col(high)), r3.Scale(sign*across, col(low))))
		if n.Z > 0 {
			n = r3.Scale(-1, n)
		}
		out = append(out, n)
	}
	return out
}

// circle is the algebraic fit to three points or more, Kasa's (1976): centre, radius, rms distance of the points.
func circle(pts [][2]float64) (x, y, r, miss float64, ok bool) {
	a, b := mat.NewDense(len(pts), 3, nil), mat.NewVecDense(len(pts), nil)
	for i, p := range pts {
		a.SetRow(i, []float64{p[0], p[1], 1})
		b.SetVec(i, p[0]*p[0]+p[1]*p[1])
	}
	var s mat.VecDense
	if s.SolveVec(a, b) != nil {
		return 0, 0, 0, 0, false
	}
	x, y = s.AtVec(0)/2, s.AtVec(1)/2
	r = math.Sqrt(s.AtVec(2) + x*x + y*y)
	for _, p := range pts {
		d := math.Hypot(p[0]-x, p[1]-y) - r
		miss += d * d / float64(len(pts))
	}
	return x, y, r, math.Sqrt(miss), r > 0
}
