package belt

import (
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/record"
)

// SoundType is the media type by which a recording among the attachments is
// known, whatever was written beside it.
const SoundType = "audio/wav"

// Kept is a recording in the journal.
type Kept struct {
	Entry *fleet.Entry
	Hash  string // of the attachment
	Note  string // what was written beside it
}

// Recordings lists the recordings kept with entries, the newest entry first;
// media gives an attachment's media type, "" for one that is not known.
func Recordings(entries []*fleet.Entry, media func(hash string) string) []Kept {
	var out []Kept
	for _, e := range slices.Backward(fleet.Standing(entries)) {
		hashes, note := attached(e)
		for _, hash := range hashes {
			if media(hash) == SoundType {
				out = append(out, Kept{e, hash, note})
			}
		}
	}
	return out
}

// attached is what a finding or a note has attached, and its words.
func attached(e *fleet.Entry) (hashes []string, note string) {
	switch {
	case e.Found != nil:
		return e.Found.Attachments, e.Found.Note
	case e.Note != nil:
		return e.Note.Attachments, e.Note.Text
	}
	return nil, ""
}

// Keepable is a position at which a recording can be kept, with the answers
// that it can be to the check of the part's noise.
type Keepable struct {
	Position *fleet.Position
	Answers  []catalogue.Answer
}

// Keepable lists where the recording can be kept, the likeliest part first.
func (h *Heard) Keepable(cat *catalogue.Catalogue) []Keepable {
	var out []Keepable
	for _, id := range h.Positions() {
		p := h.Vehicle.Position(id)
		if p == nil {
			continue
		}
		k := Keepable{Position: p}
		if kind := cat.Kind(p.Kind); kind != nil && kind.SoundCheck() != nil {
			k.Answers = kind.SoundCheck().Answers
		}
		out = append(out, k)
	}
	return out
}

// Entry is what a recording is kept with: a note at a position, or on the
// vehicle where at is empty; with an answer, the finding of the part's noise.
// The error is NotFound for a position that the vehicle has not or whose part
// has no check of its noise, Invalid for an answer that the check has not.
func Entry(cat *catalogue.Catalogue, v *fleet.Vehicle, at, answer, note string) (*fleet.Entry, error) {
	if answer == "" {
		return &fleet.Entry{Type: fleet.TypeNote, Note: &fleet.Note{Position: at, Text: note}}, nil
	}
	p := v.Position(at)
	if p == nil {
		ids := make([]string, len(v.Positions))
		for i := range v.Positions {
			ids[i] = v.Positions[i].ID
		}
		return nil, advise.NotFound(v.Name, "position", at, ids)
	}
	found, err := record.Sound(cat.Kind(p.Kind), answer)
	if err != nil {
		return nil, err
	}
	found.Position, found.Note = at, note
	return &fleet.Entry{Type: fleet.TypeFound, Found: found}, nil
}

// Attach attaches recordings to the entry that they are kept with.
func Attach(e *fleet.Entry, hashes ...string) {
	if e.Found != nil {
		e.Found.Attachments = hashes
		return
	}
	e.Note.Attachments = hashes
}
