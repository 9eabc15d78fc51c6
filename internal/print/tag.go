package print

import (
	"io"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Tag writes what is open on a vehicle and what must not be done with it.
func (t *Text) Tag(r *advise.Report) {
	t.Line(r.TagWords())
	open := r.OpenViews()
	if len(open) > 0 {
		t.Head("Open")
	}
	for _, o := range open {
		t.Item("- ", o.Words)
	}
}

// Ticked says what was ticked or taken back, and what the vehicle must not do by
// then.
func (t *Text) Ticked(r *advise.Report, stored []*fleet.Entry) {
	for _, e := range stored {
		if e.Work != nil && (e.Work.Step != "" || e.Work.Ended) {
			t.Item("- ", r.EntryWords(e).Sentence())
		}
	}
	t.Line(r.TagWords())
}

// Tag writes the tag that hangs on the key of a vehicle whose work rests: what
// must not be done, in letters to be read from where one sits, what is open
// since when, and room for a name. It is folded across the middle.
func (p Paper) Tag(w io.Writer, r *advise.Report) error {
	s := p.sheet("Tag", r.Vehicle, r.On)
	for range 2 { // front and back
		s.put(row{before: 6, cells: []cell{s.para(0, s.full(), tagStyle, message.Name(r.Vehicle.Name))}})
		s.put(row{before: 2, cells: []cell{s.para(0, s.full(), tagStyle, r.TagWords().Capital())}})
		for _, o := range r.OpenViews() {
			box := s.ticks(bodyStyle, s.full(), 1, []message.Text{o.Words})
			s.put(row{before: 1.5, cells: []cell{{w: s.full(), lines: box}}})
		}
		s.put(s.blank(0, "By", "Telephone"))
		s.put(row{before: 8, above: hairRule, pad: 4})
	}
	return s.writeTo(w)
}
