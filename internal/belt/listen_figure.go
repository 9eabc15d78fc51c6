package belt

import (
	"fmt"
	"math"
	"slices"

	"undertray/draw"
	"undertray/internal/fleet"
	"undertray/listen"
)

// Most candidates numbered on one drawing, and most lines of each.
const (
	drawnCandidates = 6
	drawnLines      = 3
	carrierTop      = 12000 // Hz
)

// Tonal reports whether the first suspect shows in the plain spectrum rather
// than in the envelope.
func (h *Heard) Tonal() bool { return h.Ranking.Suspects[0].What == alternatorTone }

// EnvelopeFigure draws how the loudness of the upper band beats, with the
// lines at which each suspect would beat; numbers are places in the ranking.
func (h *Heard) EnvelopeFigure(head draw.Head) (draw.Figure, error) {
	var cs []draw.Candidate
	top := 60.0
	for i, q := range h.Ranking.Suspects {
		if q.What == alternatorTone || len(cs) == drawnCandidates {
			continue
		}
		c := draw.Candidate{Number: i + 1, Name: h.candidateName(q), At: h.beats(q)}
		if len(c.At) == 0 {
			continue
		}
		top = max(top, slices.Max(c.At))
		cs = append(cs, c)
	}
	return envelopeFigure(head, h.Recording, 1.08*top, cs)
}

func (h *Heard) candidateName(q listen.Suspect) string {
	if len(q.Lines) == 0 {
		return h.Name(q)
	}
	return h.Name(q) + ", " + h.whatWords(q)
}

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

// envelopeFigure draws an envelope spectrum up to top Hz, levels over its
// median.
func envelopeFigure(head draw.Head, rec listen.Recording, top float64, cs []draw.Candidate) (draw.Figure, error) {
	high := min(0.49*rec.Rate, carrierTop)
	top = min(top, high/4)
	sp, err := listen.EnvelopeSpectrum(rec.Part(0, 30), listen.Band{From: 0.01 * rec.Rate, To: high}, listen.Cepstral, top)
	if err != nil {
		return draw.Figure{}, recordingError("recording", err)
	}
	if head.Title == "" {
		head.Title = "How the loudness beats"
	}
	head.Desc = "Spectrum of the squared envelope of the recording."
	spec := draw.Spectrum{Head: head, X: draw.Axis{Label: "beats per second", Unit: "Hz", Lo: 0, Hi: top}, Y: draw.Axis{Label: "level over its middle", Unit: "dB"},
		Line: levels(sp, 2, top), Candidates: cs}
	return spectrumFigure(spec)
}

// PlainFigure draws the level over frequency, with the tones the suspects
// would make and the engine's firing.
func (h *Heard) PlainFigure(head draw.Head) (draw.Figure, error) {
	sp, err := listen.Welch(h.Recording.Part(0, 30), int(h.Recording.Rate*0.4)/1000*1000)
	if err != nil {
		return draw.Figure{}, recordingError("recording", err)
	}
	if head.Title == "" {
		head.Title = "Level over frequency"
	}
	head.Desc = "Power spectrum of the recording."
	var cs []draw.Candidate
	for i, q := range h.Ranking.Suspects {
		if q.What == alternatorTone {
			cs = append(cs, draw.Candidate{Number: i + 1, Name: h.candidateName(q), At: h.beats(q)})
		}
	}
	firing := listen.Engine{Cylinders: max(h.Vehicle.Engine.Cylinders, 1)}.Firing() * h.Ranking.Crank.Hz
	cs = append(cs, draw.Candidate{Number: len(h.Ranking.Suspects) + 1, Name: "engine firing", At: []float64{firing, 2 * firing}})
	top := h.Recording.Rate / 2
	return spectrumFigure(draw.Spectrum{Head: head, X: draw.Axis{Label: "frequency", Unit: "Hz", Lo: 20, Hi: top, Log: true},
		Y: draw.Axis{Label: "level over its middle", Unit: "dB"}, Line: levels(sp, 20, top), Candidates: cs})
}

func spectrumFigure(spec draw.Spectrum) (draw.Figure, error) {
	fig, err := draw.SpectrumChart(spec)
	if err != nil {
		return fig, &fleet.Error{Kind: fleet.Invalid, Where: "recording", Msg: "its spectrum cannot be drawn", Hint: "record ten seconds at one held speed", Err: err}
	}
	return fig, nil
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

// Figure draws the first suspect's own kind of spectrum.
func (h *Heard) Figure(head draw.Head) (draw.Figure, error) {
	if h.Tonal() {
		return h.PlainFigure(head)
	}
	return h.EnvelopeFigure(head)
}

// Figure draws the envelope with the lines of every element of the bearings.
func (h *ShaftHeard) Figure(head draw.Head) (draw.Figure, error) {
	var cs []draw.Candidate
	top := 0.0
	hz := h.Diagnosis.Speed.Hz
	for _, b := range h.geometry {
		r, err := b.Rates()
		if err != nil {
			continue // the catalogue's bearings were checked
		}
		for _, e := range []struct {
			name string
			rate float64
		}{{"outer ring", r.Outer}, {"inner ring", r.Inner}, {"twice ball spin", 2 * r.Spin}, {"cage", r.Cage}} {
			c := draw.Candidate{Number: len(cs) + 1, Name: fmt.Sprintf("%s, %s", b.Name, e.name)}
			for k := 1.0; k <= drawnLines; k++ {
				c.At = append(c.At, k*e.rate*hz)
			}
			top = max(top, slices.Max(c.At))
			cs = append(cs, c)
		}
	}
	return envelopeFigure(head, h.Recording, 1.08*top, cs)
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
