package belt

import (
	"slices"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
)

// A recording is known by the media type of what is attached, whatever words
// stand beside it and whatever program kept it.
func TestRecordings(t *testing.T) {
	day := civil.Date{Year: 2026, Month: 5, Day: 2}
	note := func(id, text string, hashes ...string) *fleet.Entry {
		return &fleet.Entry{ID: id, Type: fleet.TypeNote, Vehicle: "wren", Date: day,
			Note: &fleet.Note{Text: text, Attachments: hashes}}
	}
	entries := []*fleet.Entry{
		// as it was always kept
		note("01", "Sound recorded for 10 s. It was then read as: Most likely the idler.", "a"),
		note("02", "Grinds when cold.", "b"),
		note("03", "Sound recorded for 10 s, says this note with a picture.", "c"),
		note("04", "Sound recorded for 10 s, and not kept."),
		{ID: "05", Type: fleet.TypeFound, Vehicle: "wren", Date: day,
			Found: &fleet.Found{Position: "idler", Check: "noise", Answer: "whine", Attachments: []string{"c", "d"}}},
		note("06", "A recording that was taken back.", "e"),
		{ID: "07", Type: fleet.TypeCorrection, Vehicle: "wren", Date: day, Correction: &fleet.Correction{Of: "06"}},
	}
	media := map[string]string{"a": SoundType, "b": SoundType, "c": "image/jpeg", "d": SoundType, "e": SoundType}
	var got []string
	for _, k := range Recordings(entries, func(hash string) string { return media[hash] }) {
		got = append(got, k.Entry.ID+k.Hash)
		if k.Words() == "" {
			t.Errorf("entry %s has no words", k.Entry.ID)
		}
	}
	if want := []string{"05d", "02b", "01a"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// What a recording is kept with: a note, or the finding it is.
func TestEntry(t *testing.T) {
	cat, v := wren(t)
	for _, c := range []struct {
		at, answer string
		want       fleet.EntryType
		fails      fleet.ErrorKind
	}{
		{"", "", fleet.TypeNote, 0},
		{"idler-upper", "", fleet.TypeNote, 0},
		{"idler-upper", "whine", fleet.TypeFound, 0},
		{"idler-upper", "whistle", "", fleet.Invalid},
		{"idler-uper", "whine", "", fleet.NotFound},
		{"battery", "whine", "", fleet.NotFound},
	} {
		e, err := Entry(cat, v, c.at, c.answer, "Grinds.")
		if c.fails != 0 {
			if fleet.KindOf(err) != c.fails || len(fleet.Hints(err)) == 0 {
				t.Errorf("%+v: %v", c, err)
			}
			continue
		}
		if err != nil || e.Type != c.want || e.Position() != c.at {
			t.Errorf("%+v: %+v, %v", c, e, err)
			continue
		}
		Attach(e, "hash")
		if hashes, words := attached(e); !slices.Equal(hashes, []string{"hash"}) || words != "Grinds." {
			t.Errorf("%+v: attached %v, %q", c, hashes, words)
		}
	}
}
