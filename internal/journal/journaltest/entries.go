package journaltest

import (
	"bytes"
	"cmp"
	"fmt"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/units"
)

// day is when the first made-up entry was recorded.
var day = time.Date(2026, 3, 14, 8, 30, 0, 0, time.UTC)

// ID returns the n-th id of a fixed series: a UUID version 7 of its own
// millisecond, greater than that of n-1. It suits n from 0 to 2^31.
func ID(n int) string {
	ms := day.UnixMilli() + int64(n)
	return fmt.Sprintf("%08x-%04x-7%03x-8%03x-%012x", ms>>16, ms&0xffff, n&0xfff, n>>12&0xfff, n)
}

// Note returns the n-th entry of a fixed series of notes about a vehicle.
func Note(n int, vehicle string) *fleet.Entry {
	return &fleet.Entry{
		Format: fleet.EntryFormat, ID: ID(n), Vehicle: vehicle, Type: fleet.TypeNote,
		Recorded: day.Add(time.Duration(n) * time.Minute),
		Date:     civil.Of(day).AddDays(n % 2000),
		Note:     &fleet.Note{Text: fmt.Sprintf("note %d", n)},
	}
}

// Notes returns the first n entries of that series.
func Notes(n int, vehicle string) []*fleet.Entry {
	out := make([]*fleet.Entry, n)
	for i := range out {
		out[i] = Note(i, vehicle)
	}
	return out
}

// Round returns n entries as a yard makes them: an odometer reading and
// findings on ten positions at every visit, over the given vehicles in turn.
// The entries of a visit share a batch.
func Round(n int, vehicles ...string) []*fleet.Entry {
	const perVisit = 11
	out := make([]*fleet.Entry, n)
	for i := range out {
		visit := i / perVisit
		e := Note(i, vehicles[visit%len(vehicles)])
		e.Date = civil.Of(day).AddDays(visit)
		e.Batch = ID(visit * perVisit)
		e.Note = nil
		if i%perVisit == 0 {
			total := units.Must(float64(80000+25*visit), "km")
			e.Type, e.Odometer = fleet.TypeOdometer, &total
		} else {
			e.Type = fleet.TypeFound
			e.Found = &fleet.Found{Position: fmt.Sprintf("position-%d", i%perVisit), Check: "cracks", Answer: "none",
				Note: "looked at with a lamp from above"}
		}
		out[i] = e
	}
	return out
}

// EveryType returns one sound entry of every type, with ids from first on. The
// note and the picture refer to the attachment with this content hash, if it is not
// empty; the correction withdraws the note.
func EveryType(first int, vehicle, hash string) []*fleet.Entry {
	reading, span, cost := units.MustParse("114525 mi"), units.MustParse("420 mm"), units.MustParse("38.50 EUR")
	out := Notes(len(fleet.EntryTypes()), vehicle)
	for i, t := range fleet.EntryTypes() {
		e := out[i]
		e.ID, e.Type, e.Batch, e.By = ID(first+i), t, ID(first), "warden"
		if t != fleet.TypeNote {
			e.Note = nil
		}
		switch t {
		case fleet.TypeOdometer:
			e.Odometer, e.Sure = &reading, true
		case fleet.TypeFitted:
			e.Fitted = &fleet.Fitted{Position: "main-belt", Removed: fleet.RemovedWorn,
				Part: fleet.PartSpec{Name: "ribbed belt <6 ribs>", Cost: &cost,
					Spec: map[string]units.Quantity{"free span": span}}}
		case fleet.TypeFound:
			e.Found = &fleet.Found{Position: "main-belt", Check: "span", Value: &span}
		case fleet.TypeDone:
			e.Done = &fleet.Done{Positions: []string{"clamp"}, What: "tightened", Minutes: 7.5}
		case fleet.TypeNote:
			if hash != "" {
				e.Note.Attachments = []string{hash}
			}
		case fleet.TypeWish:
			e.Wish = &fleet.Wish{Position: "main-belt", Month: fleet.Month{Year: 2027, Month: time.September}}
		case fleet.TypeAside:
			e.Aside = &fleet.Aside{Position: "main-belt", Why: "the part comes on Friday"}
		case fleet.TypeOpened:
			e.Opened = &fleet.Opened{Opening: "coolant-drained"}
		case fleet.TypeAboard:
			e.Aboard = &fleet.Aboard{Thing: "self-fusing tape"}
		case fleet.TypeWork:
			e.Work = &fleet.Work{Begins: []fleet.WorkTask{{Position: "main-belt", Do: fleet.DoReplace}}}
		case fleet.TypePicture:
			e.Picture = &fleet.Picture{Hash: cmp.Or(hash, strings.Repeat("0", 64)), Position: "main-belt",
				Check: "span"}
		case fleet.TypeMark:
			e.Mark = &fleet.PictureMark{Picture: cmp.Or(hash, strings.Repeat("0", 64)), Shape: fleet.MarkRing,
				At: fleet.Across{0.1, 0.1, 0.5, 0.4}}
		case fleet.TypeBought:
			e.Bought = &fleet.Bought{Positions: []string{"main-belt"}, Number: "6PK2415", Cost: &cost}
		case fleet.TypeCorrection:
			e.Correction = &fleet.Correction{Of: out[4].ID, Withdraw: true, Why: "the other vehicle"}
		}
	}
	return out
}

// Text returns the encodings of entries, one per line, to compare them by.
func Text(entries []*fleet.Entry) string {
	var out []byte
	for _, e := range entries {
		b, err := fleet.EncodeEntry(e)
		if err != nil {
			b = []byte(err.Error())
		}
		out = append(append(out, b...), '\n')
	}
	return string(out)
}

// Add returns a function for Store.Land that adds entries until one fails.
func Add(entries ...*fleet.Entry) func(journal.Landing) error {
	return func(l journal.Landing) error {
		for _, e := range entries {
			if _, err := l.Add(e); err != nil {
				return err
			}
		}
		return nil
	}
}

// Exported is a whole journal as it is exported, attachments included.
func Exported(t testing.TB, s journal.Store) string {
	t.Helper()
	var out bytes.Buffer
	if _, err := journal.Export(t.Context(), s, &out, journal.ExportOptions{Attachments: true}); err != nil {
		t.Fatal(err)
	}
	return out.String()
}
