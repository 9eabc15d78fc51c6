package print

import (
	"io"
	"testing"
)

// What a sheet costs beyond reading its fonts: the empty one is the reference
// in the same run.
func BenchmarkRoundSheet(b *testing.B) {
	for _, n := range []int{0, 5, 50} {
		r := sampleRound(n)
		b.Run(map[int]string{0: "empty", 5: "15 stops", 50: "150 stops"}[n], func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := (Paper{}).Round(io.Discard, r); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
