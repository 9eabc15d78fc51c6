package belt

import (
	"math"
	"slices"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/listen"
)

// Most candidates numbered on one drawing, and most lines of each.
const (
	drawnCandidates = 6
	drawnLines      = 3
	carrierTop      = 12000 // Hz
)

// Tonal reports whether the first suspect shows in the plain spectrum rather
// than in the envelope.
func (h *Heard) Tonal() bool { return h.Ranking.Suspects[0].Shows == listen.ShowsTone }

// beats are the rates of a suspect's lines: those that fit best, or its own
// turns and its bearing's outer ring where none do.
func (h *Heard) beats(q listen.Suspect) []float64 {
	var at []float64
	for _, l := range q.Lines[:min(len(q.Lines), drawnLines)] {
		at = append(at, l.Hz)
	}
	s := h.source(suspectNames(q)[0])
	if len(at) > 0 || s == nil {
		return at
	}
	turn := s.Ratio * h.Ranking.Crank.Hz
	at = []float64{turn}
	if s.Bearing != nil {
		if r, err := s.Bearing.Rates(); err == nil {
			at = append(at, r.Outer*turn)
		}
	}
	return at
}

// levels are the bins between two frequencies, dB over their median.
func levels(sp listen.Spectrum, from, to float64) []draw.Point {
	var out []draw.Point
	var all []float64
	for k := int(math.Ceil(from / sp.Step)); k < len(sp.Power) && float64(k)*sp.Step <= to; k++ {
		out = append(out, draw.Point{X: float64(k) * sp.Step, Y: sp.Decibels(k)})
		all = append(all, sp.Decibels(k))
	}
	slices.Sort(all)
	for i := range out {
		out[i].Y = max(out[i].Y-all[len(all)/2], -30)
	}
	return out
}

// Band is the range of carrier frequencies to listen to by itself: about the
// first suspect's tone, or where the recording knocks most.
func (h *Heard) Band() (from, to float64) {
	first := h.Ranking.Suspects[0]
	if h.Tonal() && len(first.Lines) > 0 {
		return 0.9 * first.Lines[0].Hz, 1.1 * first.Lines[0].Hz
	}
	b, _, err := listen.BestBand(h.Recording.Part(0, 30), 500)
	if err != nil {
		return 0, 0
	}
	return max(b.From, 200), b.To
}
