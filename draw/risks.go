package draw

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undertray.example/undertray/internal/message"
)

// Risk is the chance that one part fails.
type Risk struct {
	Verdict Verdict // "": no part, but all of them together
	Name    message.Text
	Words   message.Text // the chance as it is read: "about 1 in 9"
	Href    string
	Chance  float64 // above 0, at most 1
	After   float64 // once what is proposed is done; 0: nothing is
}

// Risks are the chances of parts on one trip.
type Risks struct {
	Head
	Rows   []Risk
	Accept float64 // the chance that is accepted; 0: none is
}

// Sizes of a drawing of risks, px.
const (
	riskLong = 31.0
	leastOdd = 0.001 // where the scale begins; less likely bars have no length
)

// RisksChart draws chances as bars on one scale of tenths, the likeliest first and what stands for all of
// them above; a ring shows where a bar ends once what is proposed is done. It fails without rows and on
// chances outside 0 to 1.
func RisksChart(spec Risks) (Figure, error) {
	if err := spec.check(); err != nil {
		return Figure{}, err
	}
	rows := slices.Clone(spec.Rows)
	slices.SortStableFunc(rows, func(a, b Risk) int {
		if (a.Verdict == "") != (b.Verdict == "") {
			return map[bool]int{true: -1, false: 1}[a.Verdict == ""]
		}
		return cmpFloat(b.Chance, a.Chance)
	})
	desc, links, after := spec.words(spec.Desc), false, false
	for _, r := range rows {
		links, after = links || r.Href != "", after || r.After > 0
		if spec.Desc == "" {
			desc = strings.TrimSpace(desc + " " + spec.words(ended(r.words())))
		}
	}
	top := 8.0
	if spec.Accept > 0 {
		top = 20
	}
	bottom := top + float64(len(rows))*riskLong
	x := scale{leastOdd, 1, 6, spec.Width - 8, true}
	var c canvas
	c.begin(spec.Head, "risks", desc, spec.Width, bottom+22, links)
	for _, t := range []struct {
		at   float64
		says message.Text
	}{{.001, "1 in 1000"}, {.01, "1 in 100"}, {.1, "1 in 10"}, {1, "always"}} {
		at, anchor := x.at(t.at), centred
		switch {
		case t.at == 1:
			anchor = toRight
		case t.at == leastOdd:
			anchor = fromLeft
		}
		c.line("d-grid", at, top, at, bottom)
		c.text("d-note", anchor, at, bottom+16, spec.words(t.says))
	}
	c.line("d-frame", x.a, bottom, x.b, bottom)
	if spec.Accept > 0 {
		at := x.at(x.clamp(spec.Accept))
		c.line("d-now", at, top-4, at, bottom)
		accepted := spec.words("accepted")
		w := textWidth(accepted, letter)
		c.text("d-note", centred, math.Max(w/2, math.Min(spec.Width-w/2, at)), top-7, accepted)
	}
	for i := range rows {
		rows[i].draw(&c, &spec.Head, x, top+float64(i)*riskLong)
	}
	caption := message.Text("Each bar: the chance of failing, ten times as likely at each line.")
	if after {
		caption = "Each bar: the chance of failing, ten times as likely at each line; " +
			"ring: once what is proposed is done."
	}
	return Figure{Title: spec.Title, Caption: caption, SVG: c.finish()}, nil
}

// words are what is read of a risk.
func (r *Risk) words() message.Text { return message.Of("%s: %s", r.Name, r.Words) }

func (r *Risk) draw(c *canvas, h *Head, x scale, y float64) {
	from, to := x.a, x.at(x.clamp(r.Chance))
	odds := h.words(r.Words)
	right := textWidth(odds, letter)
	name, class := h.words(r.Name), "d-word"
	left := x.a + 17
	if r.Verdict == "" {
		left, class = x.a, "d-bold"
	}
	if room := x.b - right - left - 8; textWidth(name, 11)*boldLetter/meanLetter > room {
		name = wrap(name, 11*boldLetter/meanLetter, room)[0] + "…"
	}
	c.link("d-call", r.Href, h.words(r.words()))
	if r.Verdict != "" {
		c.mark(r.Verdict, x.a+6, y+9, .95)
	}
	c.rect("d-halo", left, y+5, textWidth(name, 11), 7)
	c.text(class, fromLeft, left, y+13, name)
	c.end()
	c.rect("d-halo", x.b-right, y+5, right, 7)
	c.text("d-note", toRight, x.b, y+13, odds)
	bar := "d-solid"
	if r.Verdict == PutRight || r.Verdict == Park {
		bar = "d-put-right"
	}
	if to > from {
		c.rect(bar, from, y+19, to-from, 6)
	}
	if r.After > 0 {
		at := x.at(x.clamp(r.After))
		c.line("d-lead", at, y+22, to, y+22)
		c.circle("d-ring", at, y+22, 4)
	}
}

func (s *Risks) check() error {
	if err := s.Head.check(); err != nil {
		return err
	}
	if len(s.Rows) == 0 {
		return fmt.Errorf("draw: figure %s: a drawing of risks needs one at the least", s.ID)
	}
	if !(s.Accept >= 0 && s.Accept <= 1) {
		return fmt.Errorf("draw: figure %s: %g accepted: between 0 and 1", s.ID, s.Accept)
	}
	for _, r := range s.Rows {
		if !(r.Chance > 0 && r.Chance <= 1) || !(r.After >= 0 && r.After <= 1) {
			return fmt.Errorf("draw: figure %s: %s: a chance of %g, then %g: above 0 and at most 1", s.ID, r.Name,
				r.Chance, r.After)
		}
		if r.Verdict != "" && !r.Verdict.known() {
			return fmt.Errorf("draw: figure %s: %s: verdict %q: use keep, watch, put right, park or unseen", s.ID,
				r.Name, r.Verdict)
		}
		if err := checkHref(r.Href); err != nil {
			return err
		}
	}
	return nil
}
