package draw

import (
	"fmt"
	"math"
	"slices"

	"undertray.example/undertray/internal/message"
)

// VisitTask is one thing done at a visit.
type VisitTask struct {
	Verdict Verdict
	Name    message.Text
	Href    string // empty: no link
}

// words names the task, with its verdict where that asks for something: a part
// that is merely due says keep, and is changed all the same.
func (t *VisitTask) words() message.Text {
	if t.Verdict == Keep {
		return t.Name
	}
	return message.Of("%s: %s", t.Name, t.Verdict.word())
}

// Visit is one occasion, with what is opened and what is done while it is.
type Visit struct {
	At       float64      // months from the start
	When     message.Text // "14 May, about 186 900 km"
	Openings []message.Text
	Tasks    []VisitTask
	Note     message.Text
}

// Months is the time ahead with its visits.
type Months struct {
	Head
	Names []message.Text // of the months, from the start on: one for each month shown
	// Keys, if given, name the months for a script: the ground of each carries
	// its key as data-month, and each task with a link can be picked up.
	Keys   []string
	Visits []Visit
}

// Sizes of the months ahead, px.
const (
	railX     = 46.0
	blockX    = 74.0
	monthLong = 26.0
	rowLong   = 16.0
	blockAir  = 14.0
)

// MonthsAhead draws time down the page: months to scale at the left, visits at
// their dates, and at each what is open (bracket) and what is done meanwhile.
// Visits too close for their words move down and keep a line to their date.
// It fails on visits outside the months shown.
func MonthsAhead(spec Months) (Figure, error) {
	if err := spec.check(); err != nil {
		return Figure{}, err
	}
	visits := slices.Clone(spec.Visits)
	slices.SortStableFunc(visits, func(a, b Visit) int { return cmpFloat(a.At, b.At) })
	fig := Figure{Title: spec.Title, Caption: monthsCaption(visits)}
	desc := spec.words(spec.Desc)
	if desc == "" {
		desc = spec.words(fig.Caption)
	}
	const top = 14.0
	blocks := make([]visitBlock, len(visits))
	y, links := top-4, false
	for i, v := range visits {
		blocks[i] = spec.block(v)
		y = math.Max(y, top+v.At*monthLong-6)
		blocks[i].y = y
		y += blocks[i].height + blockAir
		for _, t := range v.Tasks {
			links = links || t.Href != ""
		}
	}
	end := top + float64(len(spec.Names))*monthLong
	var c canvas
	c.begin(spec.Head, "months", desc, spec.Width, math.Max(end+8, y), links)
	c.line("d-frame", railX, top, railX, end)
	for i, key := range spec.Keys {
		c.el("rect", "d-slot", ` data-month="`+esc(key)+`" x="0" y="`+num(top+float64(i)*monthLong)+`" width="`+
			num(railX+12)+`" height="`+num(monthLong)+`"`)
	}
	for i, n := range spec.Names {
		at := top + float64(i)*monthLong
		c.line("d-frame", railX-5, at, railX, at)
		c.text("d-note", toRight, railX-8, at+monthLong/2+3.5, spec.words(n))
	}
	c.line("d-frame", railX-5, end, railX, end)
	for _, b := range blocks {
		b.draw(&c, &spec.Head, top+b.visit.At*monthLong)
	}
	fig.SVG = c.finish()
	return fig, nil
}

func (m *Months) check() error {
	if err := m.Head.check(); err != nil {
		return err
	}
	if n := len(m.Names); n < 1 || n > 60 {
		return fmt.Errorf("draw: figure %s: %d months: show 1 to 60", m.ID, n)
	}
	if len(m.Keys) > 0 && len(m.Keys) != len(m.Names) {
		return fmt.Errorf("draw: figure %s: %d keys for %d months: give one for each, or none", m.ID,
			len(m.Keys), len(m.Names))
	}
	for i, v := range m.Visits {
		if !finite(v.At) || v.At < 0 || v.At > float64(len(m.Names)) {
			return fmt.Errorf("draw: figure %s: visit %d at month %g: the months shown run from 0 to %d", m.ID, i+1,
				v.At, len(m.Names))
		}
		for _, t := range v.Tasks {
			if !t.Verdict.known() {
				return fmt.Errorf("draw: figure %s: visit %d: %s: verdict %q: use keep, watch, put right, park or "+
					"unseen", m.ID, i+1, t.Name, t.Verdict)
			}
			if err := checkHref(t.Href); err != nil {
				return err
			}
		}
	}
	return nil
}

// visitBlock is the text of one visit, broken into lines.
type visitBlock struct {
	visit     Visit
	y, height float64
	when      []string
	open      []string
	tasks     [][]string
	note      []string
}

func (m *Months) block(v Visit) visitBlock {
	b, width := visitBlock{visit: v}, m.Width-blockX-6
	b.when = wrap(m.words(v.When), 11*boldLetter/meanLetter, width)
	b.note = wrap(m.words(v.Note), 10, width)
	if len(v.Openings) > 0 {
		b.open = wrap(m.words(message.Of("Open: %s", message.Joined(v.Openings, "; "))), 10, width-12)
	}
	rows := len(b.when) + len(b.open) + len(b.note)
	for _, t := range v.Tasks {
		lines := wrap(m.words(t.words()), 11, width-32)
		b.tasks = append(b.tasks, lines)
		rows += len(lines)
	}
	b.height = float64(rows) * rowLong
	return b
}

func (b *visitBlock) draw(c *canvas, h *Head, date float64) {
	c.path("d-lead", new(trace).move(railX, date).to(blockX-14, b.y+6).to(blockX-4, b.y+6).d())
	c.circle("d-tip", railX, date, 3.2)
	y := b.y + 10
	for _, l := range b.when {
		c.text("d-bold", fromLeft, blockX, y, l)
		y += rowLong
	}
	from, x := y-10, blockX
	if len(b.open) > 0 {
		x = blockX + 12
		for _, l := range b.open {
			c.text("d-note", fromLeft, x, y, l)
			y += rowLong
		}
	}
	for i, t := range b.visit.Tasks {
		c.link("d-call v-"+string(t.Verdict), t.Href, h.words(t.words()))
		c.mark(t.Verdict, x+6, y-4, .95)
		for k, l := range b.tasks[i] {
			if k < len(b.tasks[i])-1 {
				l += " " // lines are read as one
			}
			c.text("d-word", fromLeft, x+18, y, l)
			y += rowLong
		}
		c.end()
	}
	if len(b.open) > 0 {
		c.path("d-opens", new(trace).move(blockX+7, from).to(blockX+2, from).to(blockX+2, y-rowLong+4).to(blockX+7,
			y-rowLong+4).d())
	}
	for _, l := range b.note {
		c.text("d-note", fromLeft, blockX, y, l)
		y += rowLong
	}
}

func monthsCaption(visits []Visit) message.Text {
	if len(visits) == 0 {
		return "No visit in the months shown."
	}
	tasks := 0
	for _, v := range visits {
		tasks += len(v.Tasks)
	}
	return message.Counted(len(visits),
		"%d visit with %d to do; a bracket holds what is done while the same things are open.",
		"%d visits with %d to do; a bracket holds what is done while the same things are open.", len(visits), tasks)
}
