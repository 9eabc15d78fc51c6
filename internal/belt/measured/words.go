package measured

import (
	"math"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/survey"
)

// Privacy says what becomes of the photograph.
const Privacy message.Text = "The picture stays on this device. To find the rims' edges, pieces of it about your " +
	"touches go to the server, which keeps none."

// half is half of a band, mm.
func (p *Placed) half() float64 {
	lo, hi := p.Band()
	return (hi - lo) / 2
}

// Told is the headline and what else there is to it, a sentence each.
func (p *Placed) Told() []message.Text {
	lo, hi := p.Band()
	out := []message.Text{message.Of("Effective length %.0f mm, nine times in ten from %.0f to %.0f mm.", p.LengthMM(),
		lo, hi)}
	odd := 0
	for _, f := range p.Fits() {
		if f.Odd {
			odd++
		}
	}
	if odd > 0 {
		out = append(out, message.Of("%s off the others: look again.",
			told.Count(odd, "measure", "measures").Capital()))
	}
	return append(out, p.Next(), p.camera())
}

// Headline is the first sentence.
func (p *Placed) Headline() message.Text { return told.Head(p.Told()) }

// Next says which measure to take, and what it would do; empty where none helps.
func (p *Placed) Next() message.Text {
	n, ok := p.found.Halving()
	if !ok || n.LengthSDMM > 0.95*p.found.LengthSDMM {
		return ""
	}
	does := message.Text("Measure this one to bring %.0f mm either way down to %.1f mm: %s, about %.0f mm.")
	if n.LengthSDMM <= p.found.LengthSDMM/2 {
		does = "Measure this one to halve it and more, %.0f mm either way down to %.1f mm: %s, about %.0f mm."
	}
	return does.With(p.half(), p.half()*n.LengthSDMM/p.found.LengthSDMM, p.proposed(n.Measure), n.MM)
}

func (p *Placed) proposed(m survey.Measure) message.Text {
	for kind, k := range kinds {
		if k == m.Kind {
			return fleet.Measure{Kind: kind, Of: m.A, And: m.B}.Words()
		}
	}
	return ""
}

// camera says how the picture was taken; empty for a tape.
func (p *Placed) camera() message.Text {
	if p.photo == nil {
		return ""
	}
	c := p.found.Camera
	return message.Of("Taken from about %.1f m, %.0f° from straight on; both are taken out.", c.AwayMM/1000, c.TiltDeg)
}

// Words says how a measure agrees with the others.
func (f *Fit) Words() message.Text {
	switch {
	case f.Unchecked:
		return "nothing else checks it"
	case f.Odd:
		return message.Of("%+.1f mm: a slip is likely", f.MisfitMM)
	}
	return message.Of("%+.1f mm", f.MisfitMM)
}

// Words is the length a pulley is left out with.
func (w *Without) Words() message.Text {
	return message.Of("%.0f mm, within %.0f mm", w.LengthMM, math.Ceil(survey.Half(chance)*w.SDMM))
}

// Mirrors says where else a pulley may lie.
func (p *Placed) Mirrors() (out []message.Text) {
	for _, m := range p.found.Mirrors {
		out = append(out, message.Of("The %s may as well lie at x %.0f, y %.0f mm, for %.0f mm of belt: see that the "+
			"sketch has it on the right side.", m.Pulley, m.Centre.X, m.Centre.Y, m.LengthMM))
	}
	return out
}

// Basis says what it rests on.
func (p *Placed) Basis() []message.Text {
	if p.photo == nil {
		return []message.Text{"All measures adjusted together by least squares; what a tape misses is taken as usual."}
	}
	edges := 0
	for _, r := range p.found.Rims {
		if r.Edges {
			edges++
		}
	}
	return []message.Text{message.Of("The edge was found on %d of %d rims; the others lie as touched.", edges,
		len(p.found.Rims)), "Rims may stand up to 10 mm out of one plane: most of what stays unsure.",
		"Proven on made-up pictures, on no real engine bay yet."}
}
