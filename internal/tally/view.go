package tally

import (
	_ "embed"
	"encoding/base64"
	"fmt"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/tally/onbelt"
	"undertray.example/undertray/units"
)

// Counted is a count with what it means by the limits.
type Counted struct {
	*onbelt.Seen
	Means Meaning `json:"means,omitzero"`
	// Edge says that it would mean something else within its band, "" where it would not.
	Edge message.Text `json:"edge,omitempty"`
}

// Meaning is the verdict on a count by itself, and who says what.
type Meaning struct {
	Verdict fleet.Verdict `json:"verdict"`
	Words   message.Text  `json:"words"`
}

// Counted says what a count means at its place.
func (p *Place) Counted(r *advise.Report, s *onbelt.Seen) Counted {
	c := Counted{Seen: s}
	if s.Stops {
		return c
	}
	if s.Of == onbelt.Gauge {
		c.Means = p.answered(r, s.Answer)
		for _, a := range s.Else {
			if m := p.answered(r, a); m.Verdict != c.Means.Verdict {
				c.Edge = message.Of("Within its error it would be: %s.", m.Verdict)
			}
		}
		return c
	}
	c.Means = p.worst(r, s.Value, s.Closest)
	for _, n := range []float64{s.High, s.Low} {
		if m := p.worst(r, n, s.Closest); m.Verdict != c.Means.Verdict {
			c.Edge = message.Of("At %.0f it would be: %s.", n, m.Verdict)
		}
	}
	return c
}

// worst is the graver of what so many mean, and so many where they stand closest.
func (p *Place) worst(r *advise.Report, count float64, closest int) Meaning {
	out := p.means(r, p.Check, units.Must(count, p.Unit()))
	if c := p.Closest(); c != nil {
		if m := p.means(r, c, units.Must(float64(closest), ClosestUnit)); m.Verdict > out.Verdict {
			return m
		}
	}
	return out
}

// answered is what an answer in words means, as the judge says it of the check by itself.
func (p *Place) answered(r *advise.Report, answer string) Meaning {
	list, _ := r.Meanings(p.Judgement, p.Check)
	for _, m := range list {
		if m.Answer == answer {
			out := Meaning{fleet.Keep, advise.MeansWords(m.Reason)}
			if m.Reason != nil {
				out.Verdict = m.Reason.Verdict
			}
			return out
		}
	}
	return Meaning{}
}

// means is what a figure means, as the judge says it of the check by itself.
func (p *Place) means(r *advise.Report, check *catalogue.Check, of units.Quantity) Meaning {
	figure := of.In(check.FigureUnit())
	list, _ := r.Meanings(p.Judgement, check)
	for _, m := range list {
		if m.To == nil || figure < *m.To || m.Within && figure == *m.To {
			out := Meaning{fleet.Keep, advise.MeansWords(m.Reason)}
			if m.Reason != nil {
				out.Verdict = m.Reason.Verdict
			}
			return out
		}
	}
	return Meaning{}
}

// Drawing is the picture with ribs and marks as an SVG that stands alone; jpeg is the picture as it is kept.
func Drawing(s *onbelt.Seen, jpeg []byte) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d"><title>%s</title>`, s.Width, s.Height,
		s.Headline)
	fmt.Fprintf(&b, `<image width="%d" height="%d" href="data:image/jpeg;base64,%s"/><g fill="none">`, s.Width, s.Height,
		base64.StdEncoding.EncodeToString(jpeg))
	wide := float64(s.Width+s.Height) / 1000
	line := func(path, colour string, width float64, more string) {
		fmt.Fprintf(&b, `<path d="%s" stroke="%s" stroke-width="%.1f"%s/>`, path, colour, width*wide, more)
	}
	for _, l := range s.Lines {
		line(l, "#56b4e9", 0.7, "")
	}
	for _, m := range s.Drawn {
		line(m.Path, "#000", 3, "")
		line(m.Path, "#f0e442", 1.5, "")
	}
	for _, m := range s.Loose {
		line(m.Path, "#fff", 1.5, ` stroke-dasharray="8 4"`)
	}
	b.WriteString("</g></svg>\n")
	return b.String()
}

// said lists what package onbelt says, each message as Go writes it out, of one that depends on a number both formats:
// go test ./internal/arch -run Messages -update.
//
//go:embed onbelt.txt
var said string

// Told is what the reader on a device is told: how to read, and what it says in a language.
func (p *Place) Told(in *message.Language) onbelt.Told {
	var all []string
	for line := range strings.Lines(said) {
		text, _ := strconv.Unquote(strings.TrimSpace(line)) // the test that writes it reads it back
		all = append(all, text)
	}
	return onbelt.Told{Options: p.Options(), Words: in.Some(all)}
}
