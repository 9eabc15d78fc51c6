package draw

import (
	"fmt"

	"undertray.example/undertray/internal/message"
)

// Verdict is the state of a part that a mark stands for.
type Verdict string

// The four verdicts, and one for positions nobody has looked at.
const (
	Keep     Verdict = "keep"
	Watch    Verdict = "watch"
	PutRight Verdict = "put right"
	Park     Verdict = "park"
	Unseen   Verdict = "unseen"
)

// Verdicts lists them from the calmest to the gravest.
func Verdicts() []Verdict { return []Verdict{Unseen, Keep, Watch, PutRight, Park} }

func (v Verdict) known() bool {
	switch v {
	case Keep, Watch, PutRight, Park, Unseen:
		return true
	}
	return false
}

// word is the verdict as it is read: what nobody has looked at is not known.
func (v Verdict) word() message.Text {
	if v == Unseen {
		return "not known"
	}
	return message.Text(v)
}

// outline describes the mark in words, for captions.
func (v Verdict) outline() message.Text {
	switch v {
	case Watch:
		return "ring with a dot"
	case PutRight:
		return "filled diamond"
	case Park:
		return "filled octagon with a bar"
	case Unseen:
		return "broken circle"
	default:
		return "open circle"
	}
}

// reach is how far the mark goes from its centre, px at size 1.
func (v Verdict) reach() float64 {
	switch v {
	case Watch:
		return 5.3
	case PutRight:
		return 6.2
	case Park:
		return 6.4
	case Unseen:
		return 3.8
	default:
		return 3.6
	}
}

// mark draws the verdict's own outline. Each is told apart by its shape alone:
// small open circle, ring with a dot, filled diamond, octagon with a bar,
// broken circle.
func (c *canvas) mark(v Verdict, x, y, size float64) {
	r := v.reach() * size
	switch v {
	case Watch:
		c.circle("d-watch", x, y, r-.8*size)
		c.circle("d-watch-dot", x, y, 1.9*size)
	case PutRight:
		r -= .5 * size
		c.path("d-put-right", new(trace).move(x, y-r).to(x+r, y).to(x, y+r).to(x-r, y).close().d())
	case Park:
		r -= .5 * size
		h := r * 0.41421356 // tan 22.5 degrees: half an octagon's edge at inradius 1
		t := new(trace).move(x-h, y-r).to(x+h, y-r).to(x+r, y-h).to(x+r, y+h)
		t.to(x+h, y+r).to(x-h, y+r).to(x-r, y+h).to(x-r, y-h).close()
		c.path("d-park", t.d())
		c.line("d-park-bar", x-r*.5, y, x+r*.5, y)
	case Unseen:
		c.circle("d-unseen", x, y, r-.6*size)
	default:
		c.circle("d-keep", x, y, r-.6*size)
	}
}

// MarkSVG draws one mark alone, 20 by 20 px, to stand before the verdict's
// word. The word says it, so the picture is hidden from screen readers.
func MarkSVG(v Verdict) (SVG, error) {
	if !v.known() {
		return "", fmt.Errorf("draw: verdict %q: use keep, watch, put right, park or unseen", v)
	}
	var c canvas
	c.start("svg", ` xmlns="http://www.w3.org/2000/svg" class="d-icon" viewBox="0 0 20 20"`+
		` width="20" height="20" fill="none" aria-hidden="true" focusable="false"`)
	c.mark(v, 10, 10, 1.45)
	return c.finish(), nil
}
