package print

import (
	"io"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
)

// Card writes the driver's card: which sign means stop, drive home or look.
func (t *Text) Card(r *advise.Report) {
	t.Line(message.Of("What the driver of %s does on which sign.", r.Vehicle.Name))
	if s := r.LeftWords(); s != "" {
		t.Line(s)
	}
	var head message.Text
	for _, l := range r.CardView().Signs {
		if h := advise.AdviceWords(l.Do); h != head {
			head = h
			t.Head(h)
		}
		t.Item("- ", message.Of("%s. %s", l.Sign, l.Then))
	}
}

// Card writes the driver's card on one side.
func (p Paper) Card(w io.Writer, r *advise.Report) error {
	s := p.sheet("Driver's card", r.Vehicle, r.On)
	s.title("What to do on which sign", r.Vehicle)
	if left := r.LeftWords(); left != "" {
		s.put(row{before: 1, cells: []cell{s.para(0, s.full(), bodyStyle, left)}})
	}
	var head message.Text
	for _, l := range r.CardView().Signs {
		if h := advise.AdviceWords(l.Do); h != head {
			head = h
			s.head(h)
		}
		s.put(row{before: 1, cells: []cell{s.para(0, 62, strongStyle, l.Sign),
			s.para(65, s.full()-65, bodyStyle, l.Then)}})
	}
	return s.writeTo(w)
}
