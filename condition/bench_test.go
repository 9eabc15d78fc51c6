package condition_test

import (
	"testing"
)

// BenchmarkCav is one log-likelihood of msm's cav data at fixed parameters, from histories as given; bench/condition.sh
// times msm's on the same.
func BenchmarkCav(b *testing.B) {
	histories, kind := msm(b).histories(), cavKind()
	for b.Loop() {
		if _, err := kind.LogLik(histories); err != nil {
			b.Fatal(err)
		}
	}
}
