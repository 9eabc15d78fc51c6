package belt

import (
	"slices"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/listen"
)

// EnvelopeFigure draws how the loudness of the upper band beats, with the
// lines at which each suspect would beat; numbers are places in the ranking.
func (h *Heard) EnvelopeFigure(head draw.Head) (draw.Figure, error) {
	var cs []draw.Candidate
	top := 60.0
	for i, q := range h.Ranking.Suspects {
		if q.Shows == listen.ShowsTone || len(cs) == drawnCandidates {
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

func (h *Heard) candidateName(q listen.Suspect) message.Text {
	if len(q.Lines) == 0 {
		return h.Name(q)
	}
	return message.Of("%s, %s", h.Name(q), h.whatWords(q))
}

// envelopeFigure draws an envelope spectrum up to top Hz, levels over its
// median.
func envelopeFigure(head draw.Head, rec listen.Recording, top float64, cs []draw.Candidate) (draw.Figure, error) {
	high := min(0.49*rec.Rate, carrierTop)
	top = min(top, high/4)
	sp, err := listen.EnvelopeSpectrum(rec.Part(0, 30), listen.Band{From: 0.01 * rec.Rate, To: high},
		listen.Cepstral, top)
	if err != nil {
		return draw.Figure{}, recordingError("recording", err)
	}
	if head.Title == "" {
		head.Title = "How the loudness beats"
	}
	head.Desc = "Spectrum of the squared envelope of the recording."
	spec := draw.Spectrum{Head: head, X: draw.Axis{Label: "beats per second", Unit: "Hz", Lo: 0, Hi: top},
		Y:    draw.Axis{Label: "level over its middle", Unit: "dB"},
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
		if q.Shows == listen.ShowsTone {
			cs = append(cs, draw.Candidate{Number: i + 1, Name: h.candidateName(q), At: h.beats(q)})
		}
	}
	firing := listen.Engine{Cylinders: max(h.Vehicle.Engine.Cylinders, 1)}.Firing() * h.Ranking.Crank.Hz
	cs = append(cs, draw.Candidate{Number: len(h.Ranking.Suspects) + 1, Name: "engine firing",
		At: []float64{firing, 2 * firing}})
	top := h.Recording.Rate / 2
	return spectrumFigure(draw.Spectrum{Head: head,
		X: draw.Axis{Label: "frequency", Unit: "Hz", Lo: 20, Hi: top, Log: true},
		Y: draw.Axis{Label: "level over its middle", Unit: "dB"}, Line: levels(sp, 20, top), Candidates: cs})
}

func spectrumFigure(spec draw.Spectrum) (draw.Figure, error) {
	fig, err := draw.SpectrumChart(spec)
	if err != nil {
		return fig, &fleet.Error{Kind: fleet.Invalid, Where: "recording", Msg: "its spectrum cannot be drawn",
			Hint: "record ten seconds at one held speed", Err: err}
	}
	return fig, nil
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
			name message.Text
			rate float64
		}{{"outer ring", r.Outer}, {"inner ring", r.Inner}, {"twice ball spin", 2 * r.Spin}, {"cage", r.Cage}} {
			c := draw.Candidate{Number: len(cs) + 1, Name: message.Of("%s, %s", b.Name, e.name)}
			for k := 1.0; k <= drawnLines; k++ {
				c.At = append(c.At, k*e.rate*hz)
			}
			top = max(top, slices.Max(c.At))
			cs = append(cs, c)
		}
	}
	return envelopeFigure(head, h.Recording, 1.08*top, cs)
}

// Figures draws both spectra, the first suspect's own kind first.
func (h *Heard) Figures(beats, levels draw.Head) ([]draw.Figure, error) {
	envelope, err := h.EnvelopeFigure(beats)
	if err != nil {
		return nil, err
	}
	plain, err := h.PlainFigure(levels)
	if err != nil {
		return nil, err
	}
	if h.Tonal() {
		return []draw.Figure{plain, envelope}, nil
	}
	return []draw.Figure{envelope, plain}, nil
}

// Drawn lists the candidates whose lines show in one of the figures, with
// their numbers there.
func (h *Heard) Drawn(figs []draw.Figure) []draw.Candidate {
	var out []draw.Candidate
	for i, q := range h.Ranking.Suspects {
		out = append(out, draw.Candidate{Number: i + 1, Name: h.Name(q)})
	}
	out = append(out, draw.Candidate{Number: len(out) + 1, Name: "Engine firing"})
	return slices.DeleteFunc(out, func(c draw.Candidate) bool {
		return !slices.ContainsFunc(figs, func(f draw.Figure) bool { return slices.Contains(f.Numbers, c.Number) })
	})
}
