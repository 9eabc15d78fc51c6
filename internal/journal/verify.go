package journal

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Problem is something in a journal that does not hold together.
type Problem struct {
	Entry string // id of the entry, empty where it is about something else
	Where string // row, column or attachment
	Msg   message.Text
	Hint  message.Text
	Newer bool // only a newer version of the program reads it
}

// String returns the problem in one line.
func (p Problem) String() string {
	s := p.Msg.String()
	if p.Where != "" {
		s = p.Where + ": " + s
	}
	if p.Entry != "" {
		s = "entry " + p.Entry + ": " + s
	}
	return s
}

const hintBackup = "restore the latest backup, then import what was recorded since"

// Verify reads the whole journal back and returns what does not hold together:
// the storage itself; entries that cannot be read, do not match the columns
// beside them or share an id; batches of which a part is missing; corrections of
// entries that are not there; attachments that are missing or damaged. Check
// adds the domain's own problems, from the entries that can be read; it may be
// nil. No problems means a sound journal; the error says that it could not be
// read at all.
func Verify(ctx context.Context, s Store, check func([]*fleet.Entry) []Problem) ([]Problem, error) {
	in, err := s.Inspect(ctx)
	if err != nil {
		return nil, err
	}
	problems := slices.Concat(in.Problems, checkIDs(in.Entries), checkCorrections(in.Entries))
	damaged, err := checkAttachments(ctx, s, in.Entries)
	if err != nil {
		return nil, err
	}
	problems = append(problems, damaged...)
	if check != nil {
		problems = append(problems, check(in.Entries)...)
	}
	return problems, nil
}

// checkIDs finds ids that two entries share; that each is a UUID version 7 was
// checked when it was decoded.
func checkIDs(entries []*fleet.Entry) []Problem {
	var problems []Problem
	for i := 1; i < len(entries); i++ {
		if entries[i].ID == entries[i-1].ID {
			problems = append(problems, Problem{Entry: entries[i].ID, Where: "id", Msg: "the id is there twice",
				Hint: hintBackup})
		}
	}
	return problems
}

func checkCorrections(entries []*fleet.Entry) []Problem {
	vehicle := make(map[string]string, len(entries))
	for _, e := range entries {
		vehicle[e.ID] = e.Vehicle
	}
	var problems []Problem
	for _, e := range entries {
		if e.Correction == nil {
			continue
		}
		switch of, there := vehicle[e.Correction.Of]; {
		case !there:
			problems = append(problems, Problem{Entry: e.ID, Where: "correction.of",
				Msg:  message.Of("it corrects entry %s, which is not in the journal", e.Correction.Of),
				Hint: "import the entries of the device that recorded it"})
		case of != e.Vehicle:
			problems = append(problems, Problem{Entry: e.ID, Where: "correction.of",
				Msg:  message.Of("it is about %s and corrects an entry about %s", e.Vehicle, of),
				Hint: "withdraw the entry it means with a correction for the right vehicle"})
		}
	}
	return problems
}

// checkAttachments reads every attachment once and finds those that entries
// refer to in vain.
func checkAttachments(ctx context.Context, s Store, entries []*fleet.Entry) ([]Problem, error) {
	infos, err := s.Attachments(ctx)
	if err != nil {
		return nil, err
	}
	var problems []Problem
	there := make(map[string]bool, len(infos))
	for _, info := range infos {
		there[info.Hash] = true
		if _, err := s.Attachment(ctx, info.Hash); err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			problems = append(problems, Problem{Where: "attachment " + info.Hash, Msg: message.Is(err),
				Hint: hintBackup})
		}
	}
	for _, e := range entries {
		for _, hash := range e.Attachments() {
			if !there[hash] {
				problems = append(problems, Problem{Entry: e.ID, Where: "attachments",
					Msg:  message.Of("attachment %s is not in the journal", hash),
					Hint: "import it from the device that made it, or attach the file again"})
			}
		}
	}
	return problems, nil
}

// inspector checks stored rows one by one; stores share it.
type inspector struct {
	entries  []*fleet.Entry
	problems []Problem
	batches  map[string]int // landing of each batch
	sums     []stamped
	changed  bool // a checksum did not match
	split    map[string]bool
}

// row checks one row against the entry it holds.
func (in *inspector) row(r row) {
	e, err := fleet.DecodeEntry(r.body)
	if err != nil {
		p := Problem{Entry: r.id, Where: "stored entry", Msg: message.Is(err), Hint: hintBackup}
		if p.Newer = fleet.KindOf(err) == fleet.TooNew; p.Newer {
			p.Hint = message.Joined(fleet.Hints(err), "; ")
		}
		in.problems = append(in.problems, p)
		return
	}
	in.entries = append(in.entries, e)
	columns := []struct{ name, column, entry string }{
		{"id", r.id, e.ID},
		{"vehicle", r.vehicle, e.Vehicle},
		{"type", string(r.kind), string(e.Type)},
		{"date", r.date, e.Date.String()},
		{"batch", r.batch, e.Batch},
	}
	for _, c := range columns {
		if c.column != c.entry {
			in.problems = append(in.problems, Problem{Entry: r.id, Where: "column " + c.name,
				Msg: message.Of("the column holds %q and the entry %q", c.column, c.entry), Hint: hintBackup})
		}
	}
	in.batch(e, r.landing)
}

// stamped is what a row says of the journal up to it.
type stamped struct {
	seq         int64
	sum, digest Sum
}

// summed checks a row against its checksum.
func (in *inspector) summed(r row) {
	sum := sumOf(r.body)
	if !bytes.Equal(r.sum, sum[:]) {
		in.changed = true
		in.problems = append(in.problems, Problem{Entry: r.id, Where: "checksum",
			Msg: "the entry does not match its checksum: it was changed after it was recorded", Hint: hintBackup})
	}
	s := stamped{seq: r.seq, sum: sum}
	copy(s.digest[:], r.digest)
	in.sums = append(in.sums, s)
}

// running checks that no row is missing or stands in another's place.
func (in *inspector) running() {
	slices.SortFunc(in.sums, func(a, b stamped) int { return cmp.Compare(a.seq, b.seq) })
	var head Head
	for _, s := range in.sums {
		head = Head{head.Entries + 1, head.Digest.with(s.sum)}
		if !in.changed && (s.seq != head.Entries || s.digest != head.Digest) {
			in.problems = append(in.problems, Problem{Where: fmt.Sprintf("arrival %d", s.seq),
				Msg: "the entries up to this one are not those that were recorded: one is missing, or the rows were " +
					"changed", Hint: hintBackup})
			return
		}
	}
}

// batch checks that the entries of a batch landed together.
func (in *inspector) batch(e *fleet.Entry, landing int) {
	if e.Batch == "" {
		return
	}
	if in.batches == nil {
		in.batches, in.split = map[string]int{}, map[string]bool{}
	}
	first, known := in.batches[e.Batch]
	if !known {
		in.batches[e.Batch] = landing
		return
	}
	if first != landing && !in.split[e.Batch] {
		in.split[e.Batch] = true
		in.problems = append(in.problems, Problem{Entry: e.ID, Where: "batch",
			Msg:  message.Of("the entries of batch %s did not land together", e.Batch),
			Hint: "compare them with the device that recorded them: a part may be missing"})
	}
}

func (in *inspector) result() *Inspection {
	return &Inspection{Entries: in.entries, Problems: in.problems}
}
