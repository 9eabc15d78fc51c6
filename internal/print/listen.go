package print

import (
	"fmt"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/message"
)

// Heard writes what a recording says about a vehicle's pulleys.
func (t *Text) Heard(h *belt.Heard) {
	t.Told(h.Told())
	t.Line(belt.ListenDecides)
	t.notes("Recording:", h.Warnings())
	if s := h.NoiseWords(); s != "" {
		t.Line(s)
	}
	t.Blank()
	t.Named("Caution:", 0, belt.ListenCaution)
	t.Head("Who it could be")
	var rows [][]any
	for i, q := range h.Ranking.Suspects {
		row := []any{fmt.Sprint(i + 1), h.Name(q), h.What(q), fmt.Sprintf("%.0f", h.RPMOf(q)),
			fmt.Sprintf("%.1f", q.Score), fmt.Sprintf("%.0f %%", 100*q.Share)}
		rows = append(rows, row)
	}
	t.table([]column{{head: "No", right: true}, {head: "Suspect"}, {head: "What of it"},
		{head: "rpm", right: true},
		{head: "Score", right: true}, {head: "Share", right: true}}, rows)
	t.lines("What supports the first", belt.LineWords(h.Ranking.Suspects[0].Lines))
	t.lines("What would tell more", h.More())
	t.lines("What to try", h.Tests())
	t.lines("How it is known", h.Basis())
}

// Shaft writes what a recording says about the bearings of one shaft.
func (t *Text) Shaft(h *belt.ShaftHeard) {
	t.Told(h.Told())
	t.Line(belt.ShaftDecides)
	t.notes("Recording:", h.Warnings())
	t.lines("Lines of the best fit", belt.LineWords(h.Diagnosis.Lines))
	t.lines("What would tell more", h.More())
	t.lines("How it is known", h.Basis())
}

// Tapped writes the tension read from a tapped span.
func (t *Text) Tapped(h *belt.TapHeard) {
	t.Told(h.Told())
	t.notes("Recording:", h.Warnings())
	t.lines("How it is known", h.Basis())
}

// Compared writes two recordings side by side, band by band.
func (t *Text) Compared(c *belt.Compared) {
	t.Told(c.Told())
	t.Head("Third-octave bands")
	var rows [][]any
	for _, b := range c.Bands {
		rows = append(rows, []any{message.Of("%.0f to %.0f", b.From, b.To), fmt.Sprintf("%.1f", b.A),
			fmt.Sprintf("%.1f", b.B), fmt.Sprintf("%+.1f", b.Change)})
	}
	t.table([]column{{head: "Hz", right: true}, {head: "First, dB", right: true},
		{head: "Second, dB", right: true},
		{head: "Change less the rest, dB", right: true}}, rows)
	t.lines("How it is known", c.Basis())
}

func (t *Text) notes(name message.Text, all []message.Text) {
	for _, s := range all {
		t.Named(name, 0, s)
	}
}

// lines writes a list under a heading, nothing where there is none.
func (t *Text) lines(head message.Text, all []message.Text) {
	if len(all) == 0 {
		return
	}
	t.Head(head)
	for _, s := range all {
		t.Item("- ", s)
	}
}
