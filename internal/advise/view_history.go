package advise

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/say"
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
	Words    string          `json:"words"`
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
			Words: r.EntryWords(e) + byWhom(e), By: e.By, Sound: r.sound(e.Found)}
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

func (r *Report) EntryWords(e *fleet.Entry) string {
	switch {
	case e.Instrument != nil:
		return fmt.Sprintf("instrument changed: the old one showed %s, the new one %s", e.Instrument.Old,
			e.Instrument.New)
	case e.Fitted != nil:
		return fittedWords(e.Fitted)
	case e.Found != nil:
		return r.foundWords(e.Found)
	case e.Done != nil:
		return e.Done.What
	case e.Note != nil:
		return e.Note.Text
	case e.Wish != nil:
		return wishWords(e.Wish)
	case e.Aside != nil:
		return "left as it is, because " + because(e.Aside.Why)
	case e.Opened != nil:
		return r.openedWords(e.Opened)
	case e.Aboard != nil:
		return aboard.EntryWords(e.Aboard).String()
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
func (r *Report) PictureWords(p *fleet.Picture) string {
	s := "as it looked"
	if o := r.Vehicle.Opening(p.Opening); o != nil {
		s = "how it went together: " + say.LowerFirst(o.Name)
	}
	if at := r.Vehicle.Once(p.Position); at != nil && p.Check != "" {
		if k := r.Catalogue.Kind(at.Kind); k != nil && k.Check(p.Check) != nil {
			s = say.LowerFirst(k.Check(p.Check).Title())
		}
	}
	if p.Text != "" {
		s += ". " + say.Capital(p.Text)
	}
	return s
}

// MarkWords says what a mark on a picture is: its shape or length, and what it shows.
func MarkWords(m *fleet.PictureMark) string {
	s := string(m.Shape)
	switch {
	case m.Length != nil:
		s = m.Length.String() + " long"
	case m.Belt != nil:
		s = crackWords(m.Belt)
	}
	if m.Text != "" {
		s += ": " + m.Text
	}
	return s
}

// crackWords says how many cracks are marked: those that count.
func crackWords(b *fleet.BeltMarks) string {
	n := 0
	for i := range b.Cracks {
		if !b.Cracks[i].Out {
			n++
		}
	}
	return say.Count(n, "crack", "cracks") + " marked"
}

// toldWords says since when a part is there, as somebody told it.
func toldWords(since *fleet.Since) string {
	s := "as told"
	if since == nil {
		return s
	}
	if !since.Date.IsZero() {
		s += ", fitted on " + since.Date.Long()
	}
	if since.Total != nil {
		s += ", at " + since.Total.String()
	}
	return s
}

func fittedWords(f *fleet.Fitted) string {
	words := []string{}
	for _, w := range []string{f.Part.Name, f.Part.Number, f.Part.Material} {
		if w != "" {
			words = append(words, w)
		}
	}
	s := strings.Join(words, ", ")
	switch f.Known {
	case fleet.Told:
		s = strings.TrimSuffix(toldWords(f.Since)+": "+s, ": ")
	case fleet.Unknown:
		s = strings.TrimSpace("history not known " + s)
	}
	if s == "" {
		s = "as the sheet says"
	}
	if f.Removed != "" {
		s += "; the one before: " + string(f.Removed)
	}
	if f.Note != "" {
		s += ". " + f.Note
	}
	return s
}

// BoughtWords says when a part was bought, for how much and where.
func BoughtWords(e *fleet.Entry) string {
	return strings.TrimSuffix("bought on "+e.Date.Long()+", "+boughtWords(e.Bought), ", ")
}

// SupplyWords says how much there is of a consumable.
func SupplyWords(s *fleet.Supply) string {
	if s.Amount == nil {
		return s.What
	}
	return s.What + ", " + s.Amount.String()
}

// UsedWords says what was used up of a consumable, as the journal will, and what it was
// bought as; bought may be nil.
func UsedWords(s *fleet.Supply, bought *fleet.Entry) string {
	words := "Used: " + SupplyWords(s)
	if bought != nil {
		as := &fleet.Bought{Number: bought.Bought.Number, Supplier: bought.Bought.Supplier}
		words = strings.TrimSuffix(words+", "+boughtWords(as), ", ")
	}
	return words
}

func boughtWords(b *fleet.Bought) string {
	words := []string{b.Number, b.Supplier}
	if b.Cost != nil {
		words = append([]string{"for " + b.Cost.String()}, words...)
	}
	if b.Of != nil {
		words = append([]string{SupplyWords(b.Of)}, words...)
	}
	return strings.Join(slices.DeleteFunc(words, func(w string) bool { return w == "" }), ", ")
}

// OffWords says why a part came off, and what it was in the hand; "" where neither
// was told.
func OffWords(k *catalogue.Kind, place *fleet.Place, part *fleet.Part) string {
	var words []string
	if part.Removed != fleet.RemovedUnknown {
		words = append(words, string(part.Removed))
	}
	var hand []string
	for _, f := range place.InHand(part) {
		if c := k.Check(f.Check); c != nil {
			hand = append(hand, FindingWords(c, f).String())
		}
	}
	if len(hand) > 0 {
		words = append(words, "in the hand: "+strings.Join(hand, ", "))
	}
	return strings.Join(words, "; ")
}

func (r *Report) foundWords(f *fleet.Found) string {
	s := f.Answer
	if p := r.Vehicle.Once(f.Position); p != nil {
		if k := r.Catalogue.Kind(p.Kind); k != nil {
			if c := k.Check(f.Check); c != nil {
				s = FindingWords(c, &fleet.Finding{Found: f}).String()
			}
		}
	}
	if how := CountedWords(f.Counted); how != "" {
		s += ", " + how
	}
	if f.Off != "" {
		s += " (the part before, off and in the hand)"
	}
	if f.Note != "" {
		s += ". " + f.Note
	}
	return s
}

// wishWords says what an entry settles.
func wishWords(w *fleet.Wish) string {
	s := "to be changed in " + w.Month.Words()
	switch {
	case w.Position == "" && w.Not:
		s = "no visit in " + w.Month.Words()
	case w.Position == "":
		s = "a visit in " + w.Month.Words()
	case w.Not:
		s = "not to be changed in " + w.Month.Words()
	}
	if w.Note != "" {
		s += ". " + w.Note
	}
	return s
}
