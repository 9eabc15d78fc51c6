package advise

import (
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// HistoryLine is one line of the service record.
type HistoryLine struct {
	Entry    string          `json:"entry"`
	Batch    string          `json:"batch,omitempty"`
	Date     civil.Date      `json:"date"`
	Odometer *units.Quantity `json:"odometer,omitempty"`
	What     string          `json:"what"`               // fitted, found, done, note, odometer
	Position string          `json:"position,omitempty"` // name of the position, "" for the vehicle as a whole
	Words    message.Text    `json:"words"`
	Sound    bool            `json:"sound,omitempty"` // a look that found nothing, and nothing was noted
	Cost     *units.Quantity `json:"cost,omitempty"`
	By       string          `json:"by,omitempty"` // who wrote it down, in Words as well
}

// History returns the service record, newest first; with a position id, only
// the entries about it.
func History(r *Report, position string) []HistoryLine {
	read, out := readings(r.State.Record), []HistoryLine{}
	for _, e := range slices.Backward(r.State.Record) {
		if position != "" && !Concerns(e, position) {
			continue
		}
		l := HistoryLine{Entry: e.ID, Batch: e.Batch, Date: e.Date, Odometer: read[e.Batch], What: string(e.Type),
			Words: message.Of("%s%s", r.EntryWords(e), byWhom(e)), By: e.By, Sound: r.sound(e.Found)}
		if p := r.Vehicle.Once(e.Position()); p != nil {
			l.Position = p.Name
		}
		switch {
		case e.Fitted != nil:
			l.Cost = e.Fitted.Part.Cost
		case e.Done != nil:
			l.Cost = e.Done.Cost
		}
		out = append(out, l)
	}
	return out
}

// sound reports whether a finding on a part that was in its place says that nothing
// was wrong, whomever the owner follows, and holds nothing else: no note, no picture.
func (r *Report) sound(f *fleet.Found) bool {
	if f == nil || f.Note != "" || f.Off != "" || len(f.Attachments) > 0 {
		return false
	}
	place := r.State.Place(f.Position)
	if place == nil || place.Fitted == nil {
		return false
	}
	k := r.Catalogue.Kind(place.Position.Kind)
	if k == nil || k.Check(f.Check) == nil {
		return false
	}
	c := k.Check(f.Check)
	shows := slices.ContainsFunc(c.Answers, func(a catalogue.Answer) bool {
		return a.ID == f.Answer && a.Symptom != ""
	})
	return !shows && judge.Worst(c, place, place.Fitted, &fleet.Finding{Found: f}) == fleet.Keep
}

// readings returns what the odometer showed, by batch.
func readings(record []*fleet.Entry) map[string]*units.Quantity {
	read := map[string]*units.Quantity{}
	for _, e := range record {
		if e.Odometer != nil {
			read[e.Batch] = e.Odometer
		}
	}
	return read
}

func (r *Report) EntryWords(e *fleet.Entry) message.Text {
	switch {
	case e.Instrument != nil:
		return message.Of("instrument changed: the old one showed %s, the new one %s", e.Instrument.Old,
			e.Instrument.New)
	case e.Fitted != nil:
		return fittedWords(e.Fitted)
	case e.Found != nil:
		return r.foundWords(e.Found)
	case e.Done != nil:
		return message.Name(e.Done.What)
	case e.Note != nil:
		return message.Name(e.Note.Text)
	case e.Wish != nil:
		return wishWords(e.Wish)
	case e.Aside != nil:
		return message.Of("left as it is, because %s", because(e.Aside.Why))
	case e.Opened != nil:
		return r.openedWords(e.Opened)
	case e.Aboard != nil:
		return aboard.EntryWords(e.Aboard)
	case e.Work != nil:
		return r.workWords(e.Work)
	case e.Picture != nil:
		return r.PictureWords(e.Picture)
	case e.Mark != nil:
		return MarkWords(e.Mark)
	case e.Bought != nil:
		return boughtWords(e.Bought)
	}
	return "reading"
}

// Pictures are those of the vehicle and of what its positions hold, the oldest first; the
// list is the caller's own.
func (r *Report) Pictures() []*fleet.Entry {
	all := slices.Clone(r.State.Pictures)
	for _, p := range r.State.Places {
		all = append(all, p.Pictures...)
	}
	fleet.SortByDate(all)
	return all
}

// PictureWords says what a picture is of, beside the position's name.
func (r *Report) PictureWords(p *fleet.Picture) message.Text {
	s := message.Text("as it looked")
	if o := r.Vehicle.Opening(p.Opening); o != nil {
		s = message.Of("how it went together: %s", say.LowerFirst(o.Name))
	}
	if at := r.Vehicle.Once(p.Position); at != nil && p.Check != "" {
		if k := r.Catalogue.Kind(at.Kind); k != nil && k.Check(p.Check) != nil {
			s = message.Name(say.LowerFirst(k.Check(p.Check).Title()))
		}
	}
	if p.Text != "" {
		s = message.Of("%s. %s", s, say.Capital(p.Text))
	}
	return s
}

// MarkWords says what a mark on a picture is: its shape or length, and what it shows.
func MarkWords(m *fleet.PictureMark) message.Text {
	s := m.Shape.Message()
	switch {
	case m.Length != nil:
		s = message.Of("%s long", m.Length)
	case m.Belt != nil:
		s = crackWords(m.Belt)
	}
	if m.Text != "" {
		s = message.Of("%s: %s", s, m.Text)
	}
	return s
}

// crackWords says how many cracks are marked: those that count.
func crackWords(b *fleet.BeltMarks) message.Text {
	n := 0
	for i := range b.Cracks {
		if !b.Cracks[i].Out {
			n++
		}
	}
	return message.Of("%s marked", told.Count(n, "crack", "cracks"))
}

// toldWords says since when a part is there, as somebody told it.
func toldWords(since *fleet.Since) message.Text {
	s := message.Text("as told")
	if since == nil {
		return s
	}
	if !since.Date.IsZero() {
		s = message.Of("%s, fitted on %s", s, told.Long(since.Date))
	}
	if since.Total != nil {
		s = message.Of("%s, at %s", s, since.Total)
	}
	return s
}

func fittedWords(f *fleet.Fitted) message.Text {
	s := message.Joined(told.Sentences(message.Name(f.Part.Name), message.Name(f.Part.Number),
		message.Name(f.Part.Material)), ", ")
	switch {
	case f.Known == fleet.Told && s == "":
		s = toldWords(f.Since)
	case f.Known == fleet.Told:
		s = message.Of("%s: %s", toldWords(f.Since), s)
	case f.Known == fleet.Unknown && s == "":
		s = "history not known"
	case f.Known == fleet.Unknown:
		s = message.Of("history not known %s", s)
	case s == "":
		s = "as the sheet says"
	}
	if f.Removed != "" {
		s = message.Of("%s; the one before: %s", s, f.Removed)
	}
	if f.Note != "" {
		s = message.Of("%s. %s", s, f.Note)
	}
	return s
}

// BoughtWords says when a part was bought, for how much and where.
func BoughtWords(e *fleet.Entry) message.Text {
	return message.Joined(told.Sentences(message.Of("bought on %s", told.Long(e.Date)), boughtWords(e.Bought)), ", ")
}

// SupplyWords says how much there is of a consumable.
func SupplyWords(s *fleet.Supply) message.Text {
	if s.Amount == nil {
		return message.Name(s.What)
	}
	return message.Of("%s, %s", s.What, s.Amount)
}

// UsedWords says what was used up of a consumable, as the journal will, and what it was
// bought as; bought may be nil.
func UsedWords(s *fleet.Supply, bought *fleet.Entry) message.Text {
	words := message.Of("Used: %s", SupplyWords(s))
	if bought != nil {
		as := &fleet.Bought{Number: bought.Bought.Number, Supplier: bought.Bought.Supplier}
		words = message.Joined(told.Sentences(words, boughtWords(as)), ", ")
	}
	return words
}

func boughtWords(b *fleet.Bought) message.Text {
	var of, cost message.Text
	if b.Cost != nil {
		cost = message.Of("for %s", b.Cost)
	}
	if b.Of != nil {
		of = SupplyWords(b.Of)
	}
	return message.Joined(told.Sentences(of, cost, message.Name(b.Number), message.Name(b.Supplier)), ", ")
}

// OffWords says why a part came off, and what it was in the hand; "" where neither
// was told.
func OffWords(k *catalogue.Kind, place *fleet.Place, part *fleet.Part) message.Text {
	var hand []message.Text
	for _, f := range place.InHand(part) {
		if c := k.Check(f.Check); c != nil {
			hand = append(hand, FindingWords(c, f))
		}
	}
	var inHand message.Text
	if len(hand) > 0 {
		inHand = message.Of("in the hand: %s", message.Joined(hand, ", "))
	}
	return message.Joined(told.Sentences(part.Removed.Message(), inHand), "; ")
}

func (r *Report) foundWords(f *fleet.Found) message.Text {
	s := message.Name(f.Answer)
	if p := r.Vehicle.Once(f.Position); p != nil {
		if k := r.Catalogue.Kind(p.Kind); k != nil {
			if c := k.Check(f.Check); c != nil {
				s = FindingWords(c, &fleet.Finding{Found: f})
			}
		}
	}
	if how := CountedWords(f.Counted); how != "" {
		s = message.Of("%s, %s", s, how)
	}
	if f.Off != "" {
		s = message.Of("%s (the part before, off and in the hand)", s)
	}
	if f.Note != "" {
		s = message.Of("%s. %s", s, f.Note)
	}
	return s
}

// wishWords says what an entry settles.
func wishWords(w *fleet.Wish) message.Text {
	s := message.Of("to be changed in %s", w.Month.Words())
	switch {
	case w.Position == "" && w.Not:
		s = message.Of("no visit in %s", w.Month.Words())
	case w.Position == "":
		s = message.Of("a visit in %s", w.Month.Words())
	case w.Not:
		s = message.Of("not to be changed in %s", w.Month.Words())
	}
	if w.Note != "" {
		s = message.Of("%s. %s", s, w.Note)
	}
	return s
}
