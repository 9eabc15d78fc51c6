package draw

import (
	"fmt"
	"math"
	"slices"

	"undertray.example/undertray/internal/message"
)

// check refuses what cannot be drawn and settles the scale so that all there is to show lies on it.
func (s *Standing) check() error {
	if err := s.Head.check(); err != nil {
		return err
	}
	if s.Measured == nil && len(s.Bars) == 0 && len(s.Looks) == 0 {
		return fmt.Errorf("draw: figure %s: a standing needs something measured, an interval or a look", s.ID)
	}
	if s.X.Hi <= s.X.Lo {
		return fmt.Errorf("draw: figure %s: time from %g to %g: the lower end first", s.ID, s.X.Lo, s.X.Hi)
	}
	if err := s.X.fit(s.ID, nil); err != nil {
		return err
	}
	at := []float64{s.Today}
	if s.Next != nil {
		at = append(at, s.Next.At)
	}
	for _, b := range s.Bars {
		at = append(at, b.From, b.To, b.Late)
		if !b.Open && b.To < b.From {
			return fmt.Errorf("draw: figure %s: an interval from %g to %g: the lower end first", s.ID, b.From, b.To)
		}
	}
	for _, l := range s.Looks {
		at = append(at, l.At)
		if !l.Verdict.known() {
			return fmt.Errorf("draw: figure %s: verdict %q: use keep, watch, put right, park or unseen", s.ID,
				l.Verdict)
		}
	}
	for _, p := range s.Shots {
		at = append(at, p.At)
		for _, href := range []string{p.Src, p.Href} {
			if err := checkHref(href); err != nil {
				return err
			}
		}
	}
	if !finite(at...) {
		return fmt.Errorf("draw: figure %s: a moment that is not a finite number", s.ID)
	}
	if s.Measured != nil {
		return s.Measured.check(s.ID)
	}
	return nil
}

func (m *Measured) check(id string) error {
	if len(m.Points) == 0 {
		return fmt.Errorf("draw: figure %s: a standing needs at least one measured point", id)
	}
	if err := checkPoints(id, "point", m.Points); err != nil {
		return err
	}
	if err := checkBands(id, "expected value", m.Path); err != nil {
		return err
	}
	var ys []float64
	for _, q := range m.Points {
		ys = append(ys, q.Y)
	}
	for _, b := range m.Path {
		ys = append(ys, b.Lo, b.Hi)
	}
	if t := m.Then; t != nil {
		if !finite(t.Lo, t.Mid, t.Hi) || t.Lo > t.Mid || t.Mid > t.Hi {
			return fmt.Errorf("draw: figure %s: at the next visit %g, %g to %g: finite, the middle between the bounds",
				id, t.Mid, t.Lo, t.Hi)
		}
		ys = append(ys, t.Lo, t.Hi)
	}
	for _, l := range m.Limits {
		if !finite(l.At) {
			return fmt.Errorf("draw: figure %s: limit %q at %g", id, l.Name, l.At)
		}
		ys = append(ys, l.At)
	}
	return m.Y.fit(id, ys)
}

func (s *Standing) caption() message.Text {
	var next message.Text
	if s.Next != nil && s.Next.At > s.Today {
		next = s.Next.Text
	}
	m := s.Measured
	if m == nil {
		var bars, looks message.Text
		if len(s.Bars) > 0 {
			bars = "Bars: how long it lasts, by who says so"
		}
		if len(s.Looks) > 0 {
			looks = "Marks: looks at it"
		}
		return sentences(bars, looks)
	}
	first := message.Text("Dots: measured")
	if len(m.Path) > 1 {
		first = "Shade: 8 in 10 fall inside"
	}
	var then message.Text
	if m.Then != nil && next != "" {
		then = message.Of("By the %s: %s", next, m.thenWords())
	}
	return sentences(then, first)
}

// thenWords says what is expected at the next visit: "5.1, between 4.8 and 6".
func (m *Measured) thenWords() message.Text {
	d := max(0, axisDecimals(m.Y.Lo, m.Y.Hi)-1)
	unit := ""
	if m.Y.Unit != "" {
		unit = " " + m.Y.Unit
	}
	lo, mid, hi := figure(m.Then.Lo, d), figure(m.Then.Mid, d), figure(m.Then.Hi, d)
	if lo == hi {
		return message.Of("about %s", mid+unit)
	}
	return message.Of("about %s, %s to %s", mid+unit, lo, hi)
}

// axisDecimals is how many decimals tell three figures apart on an axis.
func axisDecimals(lo, hi float64) int {
	return int(math.Max(0, math.Min(6, 2-math.Floor(math.Log10(hi-lo)))))
}

// describe is the text alternative: what was measured and every limit, or each interval.
func (s *Standing) describe() message.Text {
	m := s.Measured
	if m == nil {
		var parts []message.Text
		for _, b := range s.Bars {
			w := b.Words
			if b.Due != "" {
				w = message.Of("%s, %s", w, b.Due)
			}
			parts = append(parts, w)
		}
		if n := len(s.Looks); n > 0 {
			parts = append(parts, message.Counted(n, "%d look, the last: %s", "%d looks, the last: %s", n,
				s.Looks[n-1].Verdict.word()))
		}
		for i := range parts {
			parts[i] = ended(parts[i])
		}
		return message.Joined(parts, " ")
	}
	last := slices.MaxFunc(m.Points, func(a, b Point) int { return cmpFloat(a.X, b.X) })
	d := max(0, axisDecimals(m.Y.Lo, m.Y.Hi)-1)
	figure := figure(last.Y, d)
	if m.Y.Unit != "" {
		figure += " " + m.Y.Unit
	}
	w := message.Counted(len(m.Points), "%d measurement of %s, the last %s", "%d measurements of %s, the last %s",
		len(m.Points), m.Y.Label, figure)
	for _, l := range m.Limits {
		w = message.Of("%s; %s, %s", w, l.Name, l.Authority)
	}
	var then message.Text
	if m.Then != nil && s.Next != nil {
		then = message.Of("By the %s: %s", s.Next.Text, m.thenWords())
	}
	return sentences(w, then)
}
