package fleet

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// checkEntry returns an *Error for the first field whose value cannot be
// right, whatever the vehicle sheet and the catalogue say.
func checkEntry(e *Entry) error {
	if err := checkFormat(e.Format); err != nil {
		return err
	}
	switch {
	case e.Format < 1:
		return wrong("v", message.Of("%d is not an entry format", e.Format), message.Of("write %d", EntryFormat))
	case !IsID(e.ID):
		return wrong("id", message.Of("%q is not an entry id", shorten([]byte(e.ID))), idHint)
	case e.Recorded.IsZero() || e.Recorded.UTC().Year() < 1 || e.Recorded.UTC().Year() > 9999:
		return wrong("recorded", "the instant at which the entry was recorded is missing",
			`write it in UTC, like "2026-11-25T09:30:00Z"`)
	case (e.Aside != nil || e.Opened != nil || e.Aboard != nil || e.Work != nil || e.Picture != nil ||
		e.Mark != nil || e.Bought != nil || e.Done != nil && e.Done.Used != nil ||
		e.Found != nil && (e.Found.Off != "" || e.Found.Counted != nil)) &&
		e.Format < FormatOf(e):
		return wrong("v", message.Of("an entry of type %s is of format %d", e.Type, FormatOf(e)),
			message.Of("write %d", FormatOf(e)))
	case e.Clock != 0 && e.Format < 2:
		return wrong("clock", "an entry of format 1 has no such field", "write 2 as the format")
	case math.IsNaN(e.Clock) || math.Abs(e.Clock) > MaxClock:
		return wrong("clock", message.Of("%g is not a number of seconds by which a clock can be wrong", e.Clock),
			"write it like -3600")
	case e.Vehicle == "":
		return wrong("vehicle", "the vehicle is missing", "write the short name from its vehicle sheet")
	}
	return checkFact(e, "")
}

const idHint = `write a UUID version 7 in small letters, like "019abf2e-7c00-7a31-8f00-3d5b2c7e9a10"`

// IsID reports whether s is a UUID version 7 as entries carry it: RFC 9562,
// section 5.7, in the 36 characters of section 4, letters in lower case.
func IsID(s string) bool {
	if len(s) != 36 || s[14] != '7' || !strings.ContainsRune("89ab", rune(s[19])) {
		return false
	}
	for i := range len(s) {
		if i == 8 || i == 13 || i == 18 || i == 23 {
			if s[i] != '-' {
				return false
			}
		} else if !isHex(s[i]) {
			return false
		}
	}
	return true
}

func isHex(c byte) bool { return c >= '0' && c <= '9' || c >= 'a' && c <= 'f' }

// IsHash reports whether s is the content hash of an attachment: SHA-256 in 64
// lower-case hexadecimal digits.
func IsHash(s string) bool {
	for i := range len(s) {
		if !isHex(s[i]) {
			return false
		}
	}
	return len(s) == 64
}

// CheckFact returns what is wrong with what an entry says, an Invalid error that names
// the field; who recorded it when is not looked at.
func CheckFact(e *Entry) error { return checkFact(e, "") }

// checkFact checks what an entry says: all but who recorded it when. The path
// of the entry itself is in; "" for an entry of the journal.
func checkFact(e *Entry, in string) error {
	if !slices.Contains(EntryTypes(), e.Type) {
		return wrong(join(in, "type"), message.Of("%q is not a type of entry", e.Type),
			message.Of("write one of %s", joinWords(EntryTypes())))
	}
	if e.Date.IsZero() {
		return wrong(join(in, "date"), "the date is missing", `write the day the entry is about, like "2026-11-25"`)
	}
	if !e.Date.IsValid() {
		return wrong(join(in, "date"), message.Of("%s is not a day of the calendar", e.Date),
			`write it like "2026-11-25"`)
	}
	if err := checkRun(e.Odometer, join(in, "odometer")); err != nil {
		return err
	}
	if err := checkOneBody(e, in); err != nil {
		return err
	}
	where := join(in, string(e.Type))
	switch e.Type {
	case TypeOdometer:
		return checkInstrument(e.Instrument, join(in, "instrument"))
	case TypeFitted:
		return checkFitted(e.Fitted, where)
	case TypeFound:
		return checkFound(e.Found, where)
	case TypeDone:
		return checkDone(e.Done, where)
	case TypeNote:
		return checkNote(e.Note, where)
	case TypeWish:
		return checkWish(e.Wish, where)
	case TypeAside:
		return checkAside(e.Aside, where)
	case TypeOpened:
		return checkOpened(e.Opened, where)
	case TypeAboard:
		return checkAboard(e.Aboard, where)
	case TypeWork:
		return checkWork(e.Work, where)
	case TypePicture:
		return checkPicture(e.Picture, where)
	case TypeMark:
		return checkMark(e.Mark, where)
	case TypeBought:
		return checkBought(e.Bought, where)
	default:
		return checkCorrection(e, where)
	}
}

// checkOneBody checks that the body is there and no other.
func checkOneBody(e *Entry, in string) error {
	bodies := []struct {
		of    EntryType
		field string
		set   bool
	}{
		{TypeOdometer, "instrument", e.Instrument != nil},
		{TypeFitted, "fitted", e.Fitted != nil},
		{TypeFound, "found", e.Found != nil},
		{TypeDone, "done", e.Done != nil},
		{TypeNote, "note", e.Note != nil},
		{TypeWish, "wish", e.Wish != nil},
		{TypeAside, "aside", e.Aside != nil},
		{TypeOpened, "opened", e.Opened != nil},
		{TypeAboard, "aboard", e.Aboard != nil},
		{TypeWork, "work", e.Work != nil},
		{TypePicture, "picture", e.Picture != nil},
		{TypeMark, "mark", e.Mark != nil},
		{TypeBought, "bought", e.Bought != nil},
		{TypeCorrection, "correction", e.Correction != nil},
	}
	for _, b := range bodies {
		switch {
		case b.set && b.of != e.Type:
			return wrong(join(in, b.field), message.Of("an entry of type %s has no such field", e.Type),
				message.Of("leave it out, or write %q as the type", b.of))
		case b.of == e.Type && !b.set && b.of != TypeOdometer:
			return wrong(join(in, b.field),
				message.Of("the field is missing, and an entry of type %s needs it", e.Type),
				"write it, or correct the type")
		}
	}
	if e.Type == TypeOdometer && e.Odometer == nil && e.Instrument == nil {
		return wrong(join(in, "odometer"), "the field is missing, and an entry of type odometer needs it",
			`write the reading, like "184310 km"`)
	}
	return nil
}

// checkQuantity checks a quantity that may be absent: its dimension, 0 for
// any, and that a distance is not below zero.
func checkQuantity(q *units.Quantity, dim units.Dimension, where string) error {
	switch {
	case q == nil:
		return nil
	case q.IsZero():
		return wrong(where, "the quantity is empty",
			message.Of("write it like %q, or leave the field out", dim.Example()))
	case dim != 0 && q.Dimension() != dim:
		return wrong(where, message.Of("%q is not in a unit of %s", q, dim),
			message.Of("write it like %q", dim.Example()))
	case (dim == units.Distance || dim == units.EngineHours) && q.Value() < 0:
		return wrong(where, message.Of("%q is below zero", q), "write what the instrument shows")
	}
	return nil
}

// checkRun is checkQuantity for a distance or engine hours: which of them the vehicle
// counts is said in its sheet.
func checkRun(q *units.Quantity, where string) error {
	dim := units.Distance
	if q != nil && q.Dimension() == units.EngineHours {
		dim = units.EngineHours
	}
	return checkQuantity(q, dim, where)
}

func checkInstrument(in *Instrument, where string) error {
	if in == nil {
		return nil
	}
	if err := checkRun(&in.Old, join(where, "old")); err != nil {
		return err
	}
	return checkRun(&in.New, join(where, "new"))
}

func checkPosition(id, where string) error {
	if id != "" {
		return nil
	}
	return wrong(join(where, "position"), "the position is missing", "write its id from the vehicle sheet")
}

func checkFitted(f *Fitted, where string) error {
	if err := checkPosition(f.Position, where); err != nil {
		return err
	}
	if f.Known != Recorded && f.Known != Told && f.Known != Unknown {
		return wrong(join(where, "known"), message.Of("%q does not say how well the fitting is known", f.Known),
			"write told or unknown, or leave the field out")
	}
	if err := checkRemoval(f.Removed, where); err != nil {
		return err
	}
	if s := f.Since; s != nil {
		if !s.Date.IsZero() && !s.Date.IsValid() {
			return wrong(join(where, "since.date"), message.Of("%s is not a day of the calendar", s.Date),
				`write it like "2019-04-12"`)
		}
		if err := checkRun(s.Total, join(where, "since.total")); err != nil {
			return err
		}
	}
	for _, name := range slices.Sorted(maps.Keys(f.Part.Spec)) {
		q := f.Part.Spec[name]
		if err := checkQuantity(&q, 0, join(where, "part.spec."+name)); err != nil {
			return err
		}
	}
	return checkQuantity(f.Part.Cost, units.Money, join(where, "part.cost"))
}

func checkRemoval(r Removal, where string) error {
	if r == RemovedUnknown || slices.Contains(Removals(), r) {
		return nil
	}
	return wrong(join(where, "removed"), message.Of("%q is not a reason for a removal", r),
		message.Of("write one of %s", joinWords(Removals())))
}

func checkFound(f *Found, where string) error {
	if err := checkPosition(f.Position, where); err != nil {
		return err
	}
	if f.Check == "" {
		return wrong(join(where, "check"), "the check is missing", "write the id the catalogue gives it")
	}
	if (f.Answer == "") == (f.Value == nil) {
		return wrong(where, "a finding has either an answer or a value", "write one of the two")
	}
	if err := checkQuantity(f.Value, 0, join(where, "value")); err != nil {
		return err
	}
	if f.Off != "" && !IsID(f.Off) {
		return wrong(join(where, "off"),
			message.Of("%q is not the id of the entry that took the part off", shorten([]byte(f.Off))), idHint)
	}
	if err := checkCounted(f, join(where, "counted")); err != nil {
		return err
	}
	return checkHashes(f.Attachments, where)
}

func checkDone(d *Done, where string) error {
	if strings.TrimSpace(d.What) == "" {
		return wrong(join(where, "what"), "the work is not described", "say in a few words what was done")
	}
	if slices.Contains(d.Positions, "") {
		return wrong(join(where, "positions"), "a position is empty", "write its id from the vehicle sheet")
	}
	if err := checkRemoval(d.Removed, where); err != nil {
		return err
	}
	if math.IsNaN(d.Minutes) || math.IsInf(d.Minutes, 0) || d.Minutes < 0 {
		return wrong(join(where, "minutes"), message.Of("%v is not a number of minutes", d.Minutes),
			"write the minutes it took, like 45")
	}
	if err := checkQuantity(d.Cost, units.Money, join(where, "cost")); err != nil {
		return err
	}
	if err := checkSupply(d.Used, join(where, "used")); err != nil {
		return err
	}
	return checkHashes(d.Attachments, where)
}

func checkNote(n *Note, where string) error {
	if strings.TrimSpace(n.Text) == "" {
		return wrong(join(where, "text"), "the note is empty", "write what is to be remembered")
	}
	return checkHashes(n.Attachments, where)
}

func checkWish(w *Wish, where string) error {
	if !w.Month.IsValid() {
		return wrong(join(where, "month"), "the month is missing", `write it like "2027-09"`)
	}
	return nil
}

func checkAside(a *Aside, where string) error {
	if err := checkPosition(a.Position, where); err != nil {
		return err
	}
	if strings.TrimSpace(a.Why) == "" {
		return wrong(join(where, "why"), "the reason is missing", "say why it is left")
	}
	return nil
}

func checkOpened(o *Opened, where string) error {
	if o.Opening == "" {
		return wrong(join(where, "opening"), "the opening is missing", "write its id from the vehicle sheet")
	}
	return nil
}

func checkAboard(a *Aboard, where string) error {
	if strings.TrimSpace(a.Thing) == "" {
		return wrong(join(where, "thing"), "what is aboard is missing", "name the spare or the tool")
	}
	if a.Gone != "" && a.Gone != GoneUsed && a.Gone != GoneOut {
		return wrong(join(where, "gone"), message.Of("%q does not say why it is gone", a.Gone),
			"write used or taken out, or leave the field out")
	}
	return nil
}

// checkPicture wants a picture, and of a check the position that it was made at.
func checkPicture(p *Picture, where string) error {
	if p.Part != nil {
		if err := checkHash(p.Part.Hash, join(where, "part.hash")); err != nil {
			return err
		}
		if err := checkAcross(p.Part.At, join(where, "part.at")); err != nil {
			return err
		}
	}
	switch {
	case !IsHash(p.Hash):
		return checkHash(p.Hash, join(where, "hash"))
	case p.Check != "" && p.Position == "":
		return wrong(join(where, "position"), "the position of the check is missing",
			"write its short name from the vehicle sheet")
	}
	return nil
}

func checkHash(hash, where string) error {
	if IsHash(hash) {
		return nil
	}
	return wrong(where, message.Of("%q is not the content hash of a picture", shorten([]byte(hash))),
		"write SHA-256 in 64 small hexadecimal digits")
}

// checkAcross wants two points of a picture that are not the same.
func checkAcross(at Across, where string) error {
	for i, v := range at {
		if most := float64(1 + i%2*(MaxAcross-1)); !(v >= 0 && v <= most) {
			return wrong(where, message.Of("%g lies outside the picture", v),
				"write x and y of two points in parts of the picture's width, like [0.2,0.1,0.5,0.4]")
		}
	}
	if at[0] == at[2] && at[1] == at[3] {
		return wrong(where, "both points are the same", "mark two points that lie apart")
	}
	return nil
}

// checkMark wants a mark that can be drawn, and of a length how long it is.
func checkMark(m *PictureMark, where string) error {
	if err := checkHash(m.Picture, join(where, "picture")); err != nil {
		return err
	}
	switch m.Shape {
	case MarkRing, MarkArrow, MarkLength, MarkCracks, MarkOutline:
	default:
		return wrong(join(where, "shape"), message.Of("%q is no shape of a mark", shorten([]byte(m.Shape))),
			"write ring, arrow, length, cracks or outline")
	}
	if err := checkBeltMarks(m, join(where, "belt")); err != nil {
		return err
	}
	if err := checkOutline(m, join(where, "outline")); err != nil {
		return err
	}
	if err := checkQuantity(m.Length, units.Length, join(where, "length")); err != nil {
		return err
	}
	if long := m.Length != nil && m.Length.Value() > 0; long != (m.Shape == MarkLength) {
		return wrong(join(where, "length"), "a length is marked with how long it is, and nothing else is",
			`write it like "3.56 mm" with the shape length alone`)
	}
	return checkAcross(m.At, join(where, "at"))
}

// checkWork wants a sheet begun, or one step of a begun one, or its end.
func checkWork(w *Work, where string) error {
	for i, t := range w.Begins {
		at := fmt.Sprintf("%s[%d]", join(where, "begins"), i)
		switch {
		case t.Position == "":
			return wrong(join(at, "position"), "the position is missing", "write its short name from the vehicle sheet")
		case t.Do != DoReplace && t.Do != DoInspect && t.Do != DoPutRight:
			return wrong(join(at, "do"), message.Of("%q is nothing that a job sheet does", shorten([]byte(t.Do))),
				message.Of("write %s, %s or %s", DoReplace, DoInspect, DoPutRight))
		}
	}
	switch begins := len(w.Begins) > 0; {
	case begins && (w.Of != "" || w.Step != "" || w.Back || w.Ended):
		return wrong(join(where, "begins"), "it begins a sheet and says more of one",
			"write that as entries of their own")
	case !begins && !IsID(w.Of):
		return wrong(join(where, "of"),
			message.Of("%q is not the id of the entry that began it", shorten([]byte(w.Of))), idHint)
	case !begins && (w.Step == "") != w.Ended || w.Back && w.Ended:
		return wrong(join(where, "step"), "it neither ticks one step nor ends the work", "write a step, or ended")
	case len(w.Set) > 0 && (w.Step == "" || w.Back):
		return wrong(join(where, "set"), "fasteners are tightened by no step that is ticked", "leave it out")
	}
	return checkSet(w.Set, join(where, "set"))
}

func checkBought(b *Bought, where string) error {
	if (len(b.Positions) == 0) == (b.Of == nil) || slices.Contains(b.Positions, "") {
		return wrong(join(where, "positions"), "it is not said what it is for",
			"write ids from the vehicle sheet, or of a consumable what it is")
	}
	if err := checkSupply(b.Of, join(where, "of")); err != nil {
		return err
	}
	return checkQuantity(b.Cost, units.Money, join(where, "cost"))
}

func checkSupply(s *Supply, where string) error {
	if s == nil {
		return nil
	}
	if strings.TrimSpace(s.What) == "" {
		return wrong(join(where, "what"), "the consumable is missing", "name it as the vehicle sheet does")
	}
	return checkQuantity(s.Amount, 0, join(where, "amount"))
}

func checkSet(set []SetTo, where string) error {
	for i := range set {
		at := fmt.Sprintf("%s[%d]", where, i)
		if set[i].What == "" {
			return wrong(join(at, "what"), "the fastener is missing", "name it as the vehicle sheet does")
		}
		if err := checkQuantity(&set[i].Torque, units.Torque, join(at, "torque")); err != nil {
			return err
		}
		if set[i].Torque.Value() <= 0 {
			return wrong(join(at, "torque"), message.Of("%q tightens nothing", set[i].Torque), `write it like "25 N·m"`)
		}
	}
	return nil
}

func checkHashes(hashes []string, where string) error {
	for i, h := range hashes {
		if !IsHash(h) {
			return wrong(fmt.Sprintf("%s[%d]", join(where, "attachments"), i),
				message.Of("%q is not the content hash of an attachment", shorten([]byte(h))),
				"write the SHA-256 of its content in 64 hexadecimal digits, letters small")
		}
	}
	return nil
}

func checkCorrection(e *Entry, where string) error {
	c := e.Correction
	switch {
	case !IsID(c.Of):
		return wrong(join(where, "of"), message.Of("%q is not an entry id", shorten([]byte(c.Of))),
			"write the id of the entry that was wrong")
	case c.Of == e.ID:
		return wrong(join(where, "of"), "the correction corrects itself", "write the id of the entry that was wrong")
	case c.Withdraw == (c.Instead != nil):
		return wrong(where, "a correction either withdraws an entry or says what stands instead",
			"write one of withdraw and instead")
	case c.Withdraw:
		return nil
	case c.Instead.Type == TypeCorrection:
		return wrong(join(where, "instead.type"), "a correction cannot stand instead of an entry",
			"write the entry as it should have been")
	case c.Instead.Vehicle != "" && c.Instead.Vehicle != e.Vehicle:
		return wrong(join(where, "instead.vehicle"),
			message.Of("a correction cannot move an entry from %s to %s", e.Vehicle, c.Instead.Vehicle),
			"withdraw the entry and record it for the other vehicle")
	}
	if err := checkFormat(c.Instead.Format); err != nil {
		return err
	}
	return checkFact(c.Instead, join(where, "instead"))
}
