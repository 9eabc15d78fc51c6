package demo

import (
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/yard"
)

// BenchmarkJudge judges all vehicles of the demo yard after loading; folding
// alone is measured beside it. The aim is under 20 ms for the whole.
func BenchmarkJudge(b *testing.B) {
	dir := b.TempDir()
	if err := Sheets(dir); err != nil {
		b.Fatal(err)
	}
	y, err := yard.Open(dir)
	if err != nil {
		b.Fatal(err)
	}
	entries, err := Entries(y)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("fold", func(b *testing.B) {
		for b.Loop() {
			for _, v := range y.Vehicles() {
				fleet.Fold(v, entries, Today)
			}
		}
	})
	b.Run("judge", func(b *testing.B) {
		for b.Loop() {
			for _, v := range y.Vehicles() {
				s := fleet.Fold(v, entries, Today)
				last, ok := s.Last()
				judge.Vehicle(judge.Input{Catalogue: y.Catalogue, State: s, Total: last.Total, HasTotal: ok})
			}
		}
	})
	b.Run("advise", func(b *testing.B) {
		for b.Loop() {
			for _, v := range y.Vehicles() {
				advise.Vehicle(y.Catalogue, v, entries, Today)
			}
		}
	})
}
