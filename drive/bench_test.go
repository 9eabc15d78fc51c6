package drive

import "testing"

// eight is the run of nine without its lower idler.
func eight(b *testing.B) *Drive {
	r, err := nine().Without("lower idler")
	if err != nil {
		b.Fatal(err)
	}
	return mustNew(b, r)
}

// The lengths reported beside the times let bench/drive.sh see that the
// reference computes the same thing.

func BenchmarkGeometry(b *testing.B) {
	cs := eight(b).cs
	var s Solver
	var length float64
	b.ReportAllocs()
	for b.Loop() {
		p, _ := s.Solve(cs)
		length = p.LengthMM
	}
	b.ReportMetric(1000*length, "µm")
}

func BenchmarkGeometryChecked(b *testing.B) {
	cs := eight(b).cs
	var s Solver
	b.ReportAllocs()
	for b.Loop() {
		p, _ := s.Solve(cs)
		if f := s.Check(cs, p); !f.OK() {
			b.Fatal(f)
		}
	}
}

func BenchmarkArm(b *testing.B) {
	d := eight(b)
	length := d.Drawn().EffectiveMM + 5
	var at float64
	b.ReportAllocs()
	for b.Loop() {
		f, err := d.Fit(length)
		if err != nil {
			b.Fatal(err)
		}
		at = f.Position
	}
	b.ReportMetric(1e6*at, "µdeg")
}

func BenchmarkForces(b *testing.B) {
	d := eight(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := d.Forces(3000); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFirstSlip(b *testing.B) {
	d := eight(b)
	for b.Loop() {
		if _, err := d.FirstSlip(3000); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNew(b *testing.B) {
	r := nine()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := New(r); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLeaveOneOut(b *testing.B) {
	r := nine()
	closing := 0
	b.ReportAllocs()
	for b.Loop() {
		all, err := r.LeaveOneOut(SearchOptions{})
		if err != nil {
			b.Fatal(err)
		}
		closing = 0
		for _, res := range all {
			closing += res.Closing
		}
	}
	b.ReportMetric(float64(closing), "routes")
}

func BenchmarkLeaveOneOutAllOrders(b *testing.B) {
	r := nine()
	for b.Loop() {
		if _, err := r.LeaveOneOut(SearchOptions{Orders: true}); err != nil {
			b.Fatal(err)
		}
	}
}
