package intake

import (
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
)

// parts reads which parts a line names and what was done to each.
func (r *reader) parts(p *Past) {
	words, at := r.c.Words(p.Words)
	mentions := r.c.Mentions(words)
	dids := map[string]bool{}
	named := false
	for _, m := range mentions {
		dids[m.Did] = true
		named = named || m.Kinds != nil
	}
	delete(dids, "")
	for _, m := range mentions {
		if m.Kinds == nil {
			continue
		}
		end := len(p.Words)
		if m.To < len(at) {
			end = at[m.To]
		}
		n := Named{Say: strings.Trim(p.Words[at[m.From]:end], " ,;:.+&()-"), Did: m.Did, All: m.All}
		if n.Did == "" {
			n.Did = clause(dids, words, mentions, m)
		}
		r.place(p, &n, m, words)
		if !slices.ContainsFunc(p.Parts, func(o Named) bool {
			return slices.Equal(o.Positions, n.Positions) && o.Did == n.Did
		}) {
			p.Parts = append(p.Parts, n)
		}
		if n.Did == "" && len(dids) == 0 {
			p.doubt("It does not say what was done to the %s.", n.Say)
		}
	}
	switch {
	case named && len(dids) > 1:
		p.doubt("It says more than one thing: settle what was done to each part.")
	case !named && dids[catalogue.DidChange]:
		p.doubt("It says that something was changed, but no part by a name known here.")
	}
}

// Changed reports whether the line says, and leaves no doubt, that what the name stands for was
// fitted.
func (n *Named) Changed() bool {
	return n.Did == catalogue.DidChange && (n.All || len(n.Positions) == 1)
}

// Fitted are the positions at which the line says that something was fitted, beyond doubt.
func (p *Past) Fitted() []string {
	var out []string
	for _, part := range p.Parts {
		if part.Changed() {
			out = append(out, part.Positions...)
		}
	}
	return out
}

// Stayed reports whether the line says that the part was not changed.
func (n *Named) Stayed() bool { return n.Did == catalogue.DidLook || n.Did == catalogue.DidWant }

// clause is what was done to the part of a mention: what the whole line says if that is one thing,
// else what its clause does, else what the clause before it does; "" where that is not clear.
func clause(all map[string]bool, words []string, mentions []catalogue.Mention, m catalogue.Mention) string {
	if len(all) == 1 {
		for did := range all {
			return did
		}
	}
	from, to := m.From, m.To
	for {
		from, to = stretch(words, from, to)
		var found []string
		for _, o := range mentions {
			if o.Did != "" && o.From >= from && o.To <= to && !slices.Contains(found, o.Did) {
				found = append(found, o.Did)
			}
		}
		if len(found) == 1 {
			return found[0]
		}
		if len(found) > 1 || from == 0 {
			return ""
		}
		from-- // past the mark, to the clause before
	}
}

// stretch widens words to the clause that they stand in.
func stretch(words []string, from, to int) (int, int) {
	const ends = ",;:."
	for from > 0 && !strings.Contains(ends, words[from-1]) {
		from--
	}
	for to < len(words) && !strings.Contains(ends, words[to]) {
		to++
	}
	return from, to
}

// place finds the positions of the vehicle that a mention may mean.
func (r *reader) place(p *Past, n *Named, m catalogue.Mention, words []string) {
	per := map[string]int{}
	var at []*fleet.Position
	for i := range r.v.Positions {
		if pos := &r.v.Positions[i]; slices.Contains(m.Kinds, pos.Kind) {
			at = append(at, pos)
			per[pos.Kind]++
		}
	}
	if !m.All && len(at) > 1 {
		from, to := stretch(words, m.From, m.To)
		at = r.nearest(at, words[from:to])
	}
	for _, pos := range at {
		n.Positions = append(n.Positions, pos.ID)
	}
	if n.Stayed() {
		return
	}
	switch {
	case len(at) == 0:
		p.doubt("The sheet of this vehicle has no %s.", n.Say)
	case m.All && len(per) == len(m.Kinds) && len(at) == len(m.Kinds):
	case len(at) > 1:
		n.All = false
		names := make([]string, len(at))
		for i, pos := range at {
			names[i] = pos.Name
		}
		p.doubt("Which %s: %s?", n.Say, strings.Join(names, ", "))
	}
}

// nearest narrows positions by the words of the line that their names share.
func (r *reader) nearest(at []*fleet.Position, words []string) []*fleet.Position {
	best, out := 0, at
	for _, pos := range at {
		names, _ := r.c.Words(pos.Name)
		shared := 0
		for _, w := range names {
			if slices.Contains(words, w) {
				shared++
			}
		}
		switch {
		case shared > best:
			best, out = shared, []*fleet.Position{pos}
		case shared == best && best > 0:
			out = append(out, pos)
		}
	}
	return out
}

// Entries are the facts of a line once the owner has settled it: what was fitted, else work or a
// note in its words, else the reading alone. A day that is not known to the day is kept as told.
func (p *Past) Entries(fitted []string, today civil.Date) []*fleet.Entry {
	var out []*fleet.Entry
	text := p.Words
	if p.About {
		text = p.Text // with the day as far as it was said
	}
	for _, position := range fitted {
		e := &fleet.Entry{Type: fleet.TypeFitted, Date: p.Date, Fitted: &fleet.Fitted{Position: position, Note: text}}
		if p.About {
			e.Date, e.Fitted.Known = today, fleet.Told
			e.Fitted.Since = &fleet.Since{Date: p.Date, Total: p.Odometer}
		}
		if len(fitted) == 1 {
			e.Fitted.Part.Cost = p.Cost
		}
		out = append(out, e)
	}
	switch {
	case len(fitted) != 1 && p.Cost != nil:
		out = append(out, &fleet.Entry{Type: fleet.TypeDone, Date: p.Date,
			Done: &fleet.Done{Positions: fitted, What: text, Cost: p.Cost}})
	case len(fitted) == 0 && p.Words != "":
		out = append(out, &fleet.Entry{Type: fleet.TypeNote, Date: p.Date, Note: &fleet.Note{Text: text}})
	case len(out) == 0 && p.Odometer != nil:
		out = append(out, &fleet.Entry{Type: fleet.TypeOdometer, Date: p.Date})
	}
	if len(out) > 0 && !p.About {
		out[0].Odometer = p.Odometer
	}
	return out
}
