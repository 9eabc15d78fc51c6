package fleet

import (
	"cmp"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// EntryFormat is the version of the entry encoding this program writes. It
// reads every version up to it and refuses a later one. Version 2 added the
// field clock, version 3 the types aside and opened, version 4 the types aboard and
// work, version 5 what was found on a part once off, version 6 what a fastener was
// tightened to, version 7 the types picture and bought, version 8 the type mark and the part of a
// picture at full size, version 9 what was counted on a picture; an entry without them is written as the
// earlier version, which older programs read too: see FormatOf.
const EntryFormat = 10

// Entry is one fact in the journal. Exactly one of the body fields is set,
// and it is the one Type names. Entries are never changed; a Correction is
// another entry.
type Entry struct {
	Format   int       `json:"v"`
	ID       string    `json:"id"`              // UUIDv7, made where the fact is recorded
	Batch    string    `json:"batch,omitempty"` // entries that landed together share it
	Recorded time.Time `json:"recorded"`        // UTC instant at which it was typed, by the clock of that device
	// Clock is by how many seconds that clock was behind the one of the
	// server the entry was sent to, found when it was sent; below 0 it was
	// ahead. See Instant.
	Clock   float64   `json:"clock,omitempty"`
	Type    EntryType `json:"type"`
	Vehicle string    `json:"vehicle"`

	Date civil.Date `json:"date"` // the day the fact is about
	// Odometer is what the instrument showed that day, where it was read. It
	// counts as a reading whatever the entry is about.
	Odometer *units.Quantity `json:"odometer,omitempty"`
	// Sure says that the owner confirmed a reading that looked absurd.
	Sure bool   `json:"sure,omitempty"`
	By   string `json:"by,omitempty"` // who typed it, where more than one person does

	Instrument *Instrument  `json:"instrument,omitempty"`
	Fitted     *Fitted      `json:"fitted,omitempty"`
	Found      *Found       `json:"found,omitempty"`
	Done       *Done        `json:"done,omitempty"`
	Note       *Note        `json:"note,omitempty"`
	Wish       *Wish        `json:"wish,omitempty"`
	Aside      *Aside       `json:"aside,omitempty"`
	Opened     *Opened      `json:"opened,omitempty"`
	Aboard     *Aboard      `json:"aboard,omitempty"`
	Work       *Work        `json:"work,omitempty"`
	Picture    *Picture     `json:"picture,omitempty"`
	Mark       *PictureMark `json:"mark,omitempty"`
	Bought     *Bought      `json:"bought,omitempty"`
	Correction *Correction  `json:"correction,omitempty"`
}

// EntryType names what an entry is about.
type EntryType string

// The entry types.
const (
	TypeOdometer   EntryType = "odometer"
	TypeFitted     EntryType = "fitted"
	TypeFound      EntryType = "found"
	TypeDone       EntryType = "done"
	TypeNote       EntryType = "note"
	TypeWish       EntryType = "wish"
	TypeAside      EntryType = "aside"
	TypeOpened     EntryType = "opened"
	TypeAboard     EntryType = "aboard"
	TypeWork       EntryType = "work"
	TypePicture    EntryType = "picture"
	TypeMark       EntryType = "mark"
	TypeBought     EntryType = "bought"
	TypeCorrection EntryType = "correction"
)

// Message is the type in any language.
func (t EntryType) Message() message.Text { return message.Text(t) }

// EntryTypes lists every type.
func EntryTypes() []EntryType {
	return []EntryType{TypeOdometer, TypeFitted, TypeFound, TypeDone, TypeNote, TypeWish, TypeAside, TypeOpened,
		TypeAboard, TypeWork, TypePicture, TypeMark, TypeBought, TypeCorrection}
}

// Instrument belongs to an odometer entry and says that the instrument was
// changed that day: the old one stopped at Old, the new one started at New,
// and the vehicle's total goes on. The entry's own Odometer, if set, is a
// reading of the new instrument.
type Instrument struct {
	Old units.Quantity `json:"old"`
	New units.Quantity `json:"new"`
	Why string         `json:"why,omitempty"`
}

// Known says how well the moment of a fitting is known.
type Known string

// How well a fitting is known.
const (
	Recorded Known = ""        // fitted on the entry's date, at its odometer reading
	Told     Known = "told"    // before the journal began, as somebody told it
	Unknown  Known = "unknown" // it was there when the journal began
)

// Fitted says that a part was fitted at a position. What was there before is
// thereby removed, for the reason given.
type Fitted struct {
	Position string   `json:"position"`
	Part     PartSpec `json:"part,omitzero"`
	Known    Known    `json:"known,omitempty"`
	// Since is for told history: when and at which total distance of the
	// vehicle it was fitted. Either may be missing.
	Since *Since `json:"since,omitempty"`
	// Removed says why the part before it came off; empty means unknown.
	Removed Removal `json:"removed,omitempty"`
	Note    string  `json:"note,omitempty"`
}

// Since is a moment before the journal began.
type Since struct {
	Date  civil.Date      `json:"date,omitzero"`
	Total *units.Quantity `json:"total,omitempty"`
}

// Removal is the reason a part came off.
type Removal string

// The reasons.
const (
	RemovedUnknown Removal = ""
	RemovedFailed  Removal = "failed"      // it had let go or stopped working
	RemovedWorn    Removal = "worn"        // worn or out of limits, still working
	RemovedAge     Removal = "due"         // sound, but its interval was over
	RemovedWith    Removal = "another job" // sound, changed along with another job
)

// Message is the reason in any language.
func (r Removal) Message() message.Text { return message.Text(r) }

// Removals lists every reason that can be typed.
func Removals() []Removal {
	return []Removal{RemovedFailed, RemovedWorn, RemovedAge, RemovedWith}
}

// Found is the answer to one check on one position at one moment.
type Found struct {
	Position string          `json:"position"`
	Check    string          `json:"check"`
	Answer   string          `json:"answer,omitempty"` // for a check answered in words: the answer's id
	Value    *units.Quantity `json:"value,omitempty"`  // for a check answered by a figure
	Note     string          `json:"note,omitempty"`
	// Attachments are content hashes (lower-case hexadecimal SHA-256).
	Attachments []string `json:"attachments,omitempty"`
	// Off is the id of the entry that took the part off, where the answer is of
	// that part, off and in the hand; empty: of the part that is fitted.
	Off string `json:"off,omitempty"`
	// Counted is how Value was counted, where that was not by eye.
	Counted *Counted `json:"counted,omitempty"`
}

// Done is work that is not a fitting: cleaned, tightened, adjusted, topped
// up, taken off without replacement.
type Done struct {
	Positions []string `json:"positions,omitempty"`
	What      string   `json:"what"`
	// Settles lists checks whose earlier findings at these positions no
	// longer stand, because the work put them right.
	Settles []string `json:"settles,omitempty"`
	// TakenOff says that the parts at these positions were taken off and
	// nothing was fitted in their place.
	TakenOff bool `json:"taken_off,omitempty"`
	// Used is what was used up, where the work was that; what was bought of it no longer waits.
	Used        *Supply         `json:"used,omitempty"`
	Removed     Removal         `json:"removed,omitempty"`
	Cost        *units.Quantity `json:"cost,omitempty"`
	Minutes     float64         `json:"minutes,omitempty"`
	Attachments []string        `json:"attachments,omitempty"`
}

// Note is free text about the vehicle or one position.
type Note struct {
	Position    string   `json:"position,omitempty"`
	Text        string   `json:"text"`
	Attachments []string `json:"attachments,omitempty"`
}

// Wish is what the owner has settled about the months ahead, whatever would be
// cheapest: a part is changed in a certain month or not in it, or there is a
// visit then or none. It is over with its month, or once the part is changed.
type Wish struct {
	Position string `json:"position,omitempty"` // what is changed; empty: the visit itself
	Month    Month  `json:"month"`
	Not      bool   `json:"not,omitempty"` // not in that month
	Note     string `json:"note,omitempty"`
}

// Aside says that the owner leaves what a part asks for, although its deadline
// stands, and why. It holds for what was known of the part by then, not for
// what is found later, and is over once the part is changed. It never holds
// against the verdict park.
type Aside struct {
	Position string `json:"position"`
	Why      string `json:"why"`
}

// Opened says that something was taken off, drained, raised or disconnected, or
// that it was closed again. What is open outlives the evening: the vehicle is
// not started or driven with it.
type Opened struct {
	Opening string `json:"opening"`          // of the vehicle sheet
	Closed  bool   `json:"closed,omitempty"` // it is as it is driven again
	Note    string `json:"note,omitempty"`
}

// Aboard says that something is carried on the vehicle, a spare or a tool, or
// that it is not there any more. One thing is carried once.
type Aboard struct {
	Thing string `json:"thing"`          // as the catalogue names it, or in the owner's words
	Gone  Gone   `json:"gone,omitempty"` // empty: it is aboard from that day on
	Note  string `json:"note,omitempty"`
}

// Gone is why something is no longer aboard.
type Gone string

// Why something is no longer aboard.
const (
	GoneUsed Gone = "used"
	GoneOut  Gone = "taken out"
)

// Work says what becomes of a job sheet that is worked through: it was begun, a
// step of it was ticked or its tick taken back, or it is over. What a step opened
// or closed stands in an Opened beside it.
type Work struct {
	// Begins is what the sheet deals with, where this begins it; Of is the id of
	// the entry that began it, elsewhere.
	Begins []WorkTask `json:"begins,omitempty"`
	Of     string     `json:"of,omitempty"`
	Step   string     `json:"step,omitempty"` // that was ticked, by its key: "open:coolant-drained"
	Back   bool       `json:"back,omitempty"` // its tick no longer stands
	Ended  bool       `json:"ended,omitempty"`
	// Set is what fasteners of the ticked step were tightened to, where that was
	// told, with its tick or afterwards.
	Set []SetTo `json:"set,omitempty"`
}

// SetTo is what one sort of fastener was tightened to.
type SetTo struct {
	What   string         `json:"what"` // as the vehicle sheet names it
	Torque units.Quantity `json:"torque"`
}

// WorkTask is a position that a job sheet deals with.
type WorkTask struct {
	Position string `json:"position"`
	Do       string `json:"do"`               // DoReplace, DoInspect or DoPutRight
	Action   Action `json:"action,omitempty"` // of putting right
}

// Picture is a photograph of the vehicle, of what a position holds, of what a check
// there found, of something opened (how it went together) or of a step of a job
// sheet.
type Picture struct {
	Hash     string `json:"hash"` // of the attachment
	Position string `json:"position,omitempty"`
	Check    string `json:"check,omitempty"` // of the position: what was found by it that day
	Opening  string `json:"opening,omitempty"`
	Step     string `json:"step,omitempty"` // by its key, as in Work
	Text     string `json:"text,omitempty"`
	// Part is what was framed to be measured, at full size.
	Part *PicturePart `json:"part,omitempty"`
}

// PicturePart is a part of a picture at full size, kept beside the reduced whole.
type PicturePart struct {
	Hash string `json:"hash"` // of the attachment
	At   Across `json:"at"`   // its corners in the whole
}

// Across are two points of a picture: x and y of one, then of the other, from its upper
// left corner in parts of its width, so that lengths are told alike in all directions.
type Across [4]float64

// MaxAcross is how far down a point of a picture can lie, in parts of its width.
const MaxAcross = 20

// PictureMark is drawn on a picture, and kept beside it and never in it.
type PictureMark struct {
	Picture string          `json:"picture"` // content hash of what it is drawn on
	Shape   MarkShape       `json:"shape"`
	At      Across          `json:"at"`
	Length  *units.Quantity `json:"length,omitempty"` // between the points of a MarkLength
	Text    string          `json:"text,omitempty"`
	Belt    *BeltMarks      `json:"belt,omitempty"`    // of MarkCracks
	Outline *OutlineMarks   `json:"outline,omitempty"` // of MarkOutline
}

// MarkShape is what a mark looks like.
type MarkShape string

// Message is the shape in any language.
func (m MarkShape) Message() message.Text { return message.Text(m) }

// The shapes of marks.
const (
	MarkRing   MarkShape = "ring"   // an ellipse within the corners
	MarkArrow  MarkShape = "arrow"  // from the first point to the second
	MarkLength MarkShape = "length" // between two points whose distance is known
	MarkCracks MarkShape = "cracks" // the ribs of a belt between the corners, and each crack in them
	// MarkOutline is an outline between the corners, and what was measured on it.
	MarkOutline MarkShape = "outline"
)

// Bought says that a part was bought and waits to be fitted: one, or a set for
// several positions at one price; or, without positions, that a consumable was.
type Bought struct {
	Positions []string        `json:"positions,omitempty"`
	Of        *Supply         `json:"of,omitempty"`
	Number    string          `json:"number,omitempty"`
	Supplier  string          `json:"supplier,omitempty"` // where it was bought, in the owner's words
	Cost      *units.Quantity `json:"cost,omitempty"`     // of all of it
}

// Supply is how much there is of a consumable, by the name that the vehicle sheet
// gives it.
type Supply struct {
	What   string          `json:"what"`
	Amount *units.Quantity `json:"amount,omitempty"`
}

// Spec is what a position takes as far as what was bought for it tells otherwise: the
// cost of a set stands at the first of its positions, and at no other.
func (b *Bought) Spec(position string, takes PartSpec) PartSpec {
	takes.Number, takes.Supplier = cmp.Or(b.Number, takes.Number), cmp.Or(b.Supplier, takes.Supplier)
	if b.Cost != nil {
		takes.Cost = nil
		if b.Positions[0] == position {
			takes.Cost = b.Cost
		}
	}
	return takes
}

// Correction says that an earlier entry was wrong. Either it is withdrawn,
// or Instead stands in its place. The last correction of an entry counts;
// a correction can itself be withdrawn.
type Correction struct {
	Of       string `json:"of"` // id of the entry that was wrong
	Withdraw bool   `json:"withdraw,omitempty"`
	Instead  *Entry `json:"instead,omitempty"` // whole entry; its id, batch and recorded are ignored
	Why      string `json:"why,omitempty"`
}

// Position returns the id of the position the entry is about, or "".
// An entry of work done at several positions, or bought for them, returns the first.
func (e *Entry) Position() string {
	switch {
	case e.Fitted != nil:
		return e.Fitted.Position
	case e.Found != nil:
		return e.Found.Position
	case e.Note != nil:
		return e.Note.Position
	case e.Wish != nil:
		return e.Wish.Position
	case e.Aside != nil:
		return e.Aside.Position
	case e.Picture != nil:
		return e.Picture.Position
	case e.Done != nil && len(e.Done.Positions) > 0:
		return e.Done.Positions[0]
	case e.Bought != nil && len(e.Bought.Positions) > 0:
		return e.Bought.Positions[0]
	}
	return ""
}

// Attachments returns the content hashes that an entry refers to, those of the entry that
// a correction holds included.
func (e *Entry) Attachments() []string {
	switch {
	case e.Found != nil:
		return e.Found.Attachments
	case e.Done != nil:
		return e.Done.Attachments
	case e.Note != nil:
		return e.Note.Attachments
	case e.Picture != nil && e.Picture.Part != nil:
		return []string{e.Picture.Hash, e.Picture.Part.Hash}
	case e.Picture != nil:
		return []string{e.Picture.Hash}
	case e.Correction != nil && e.Correction.Instead != nil:
		return e.Correction.Instead.Attachments()
	}
	return nil
}
