package draw

import "testing"

func BenchmarkBayPlan(b *testing.B) {
	spec := sampleBay("")
	for b.Loop() {
		if _, err := BayPlan(spec); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBeltRun(b *testing.B) {
	spec := sampleRun("")
	for b.Loop() {
		if _, err := BeltRun(spec); err != nil {
			b.Fatal(err)
		}
	}
}
