package journal

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// keep is Keep by way of Land.
func keep(ctx context.Context, s Store, entries []*fleet.Entry) (batch string, added int, err error) {
	if len(entries) == 0 {
		return "", 0, ctx.Err()
	}
	err = s.Land(ctx, func(l Landing) error {
		batch, added, err = keepOnce(l, entries)
		return err
	})
	if err != nil {
		return "", 0, err
	}
	return batch, added, nil
}

// newKeeper is a store that lands a form of which nothing is there in one go.
type newKeeper interface {
	keepNew(ctx context.Context, known Head, entries []*fleet.Entry) (now Head, is bool, err error)
}

// kept is what Keep answers where all entries of a form are new.
func kept(entries []*fleet.Entry, err error) (batch string, added int, _ error) {
	if err != nil {
		return "", 0, err
	}
	return entries[0].Batch, len(entries), nil
}

// keepOnce lands what the batch of the entries does not hold yet. What is new
// in a batch that has landed before lands as a batch of its own, which is found
// again the same way when the form is sent a third time.
func keepOnce(l Landing, entries []*fleet.Entry) (batch string, added int, err error) {
	first := entries[0].Batch
	for _, e := range entries {
		if e.Batch != first || !fleet.IsID(first) {
			return "", 0, &fleet.Error{Kind: fleet.Invalid, Where: "batch",
				Msg:  message.Of("%.40q is not the batch of all that is kept together", e.Batch),
				Hint: "give every entry of a form the form's batch"}
		}
	}
	batch = first
	left := entries
	for n := 1; len(left) > 0; n++ {
		there, err := l.Batch(batch)
		if err != nil {
			return "", 0, err
		}
		if len(there) == 0 {
			added, err = landAll(l, inBatch(left, batch))
			return batch, added, err
		}
		if left, err = without(left, there); err != nil {
			return "", 0, err
		}
		if len(left) > 0 {
			batch = further(first, n)
		}
	}
	return batch, 0, nil
}

// without returns the entries that say something that none of those there
// says. One that is there answers for one entry only.
func without(entries, there []*fleet.Entry) ([]*fleet.Entry, error) {
	said := map[string]int{}
	for _, e := range there {
		text, err := fleet.Content(e)
		if err != nil {
			return nil, unreadable(e.ID, err)
		}
		said[string(text)]++
	}
	var left []*fleet.Entry
	for _, e := range entries {
		text, err := fleet.Content(e)
		if err != nil {
			return nil, err
		}
		if said[string(text)] > 0 {
			said[string(text)]--
			continue
		}
		left = append(left, e)
	}
	return left, nil
}

// inBatch returns the entries with this batch. Those passed in keep theirs.
func inBatch(entries []*fleet.Entry, batch string) []*fleet.Entry {
	if entries[0].Batch == batch {
		return entries
	}
	out := make([]*fleet.Entry, len(entries))
	for i, e := range entries {
		other := *e
		other.Batch = batch
		out[i] = &other
	}
	return out
}

// further returns the id of the n-th batch that follows on a batch: of the same
// moment, the rest worked out from it, so that every store finds the same one.
func further(batch string, n int) string {
	sum := sha256.Sum256(binary.BigEndian.AppendUint32([]byte(batch), uint32(n)))
	b, _ := hex.DecodeString(string(bytes.ReplaceAll([]byte(batch), []byte("-"), nil))) // IsID has seen it
	copy(b[6:], sum[:])
	b[6], b[8] = b[6]&0x0f|0x70, b[8]&0x3f|0x80
	return fmt.Sprintf("%x-%x-%x-%x-%x", b[:4], b[4:6], b[6:8], b[8:10], b[10:])
}
