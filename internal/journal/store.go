package journal

import (
	"context"
	"errors"
	"io"

	"github.com/google/uuid"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
)

// Store keeps entries and attachments. Its methods may be called from several
// goroutines at once. Errors that the owner can do something about are
// *fleet.Error: Invalid, NotFound, Conflict, Unavailable or TooNew.
type Store interface {
	// Append adds entries in one transaction, all or none, and returns how many
	// were not there before. Each is checked as fleet.EncodeEntry checks it. An
	// entry that is there already is passed over; one whose id is taken by an
	// entry that says something else is a Conflict that names the id.
	Append(ctx context.Context, entries []*fleet.Entry) (added int, err error)
	// Keep adds the entries of one form, which all carry its batch, once: what
	// an entry of that batch says already is passed over, whatever its id, and
	// nothing that it does not say is lost. What is new in a batch that landed
	// before lands as a batch of its own. It returns the batch that the new ones
	// landed in, or that of the form, and how many they are.
	Keep(ctx context.Context, entries []*fleet.Entry) (batch string, added int, err error)
	// Land calls add once with a Landing; what it adds there lands in one
	// transaction when add returns nil, and nothing does when it returns an
	// error, which Land then returns. Landings wait for each other, so add must
	// neither linger nor call Append, Land or PutAttachment of the same store.
	Land(ctx context.Context, add func(Landing) error) error

	// Entries returns the entries that pass the filter, by id. They belong to
	// the caller.
	Entries(ctx context.Context, f Filter) ([]*fleet.Entry, error)
	// Arrived returns the entries about a vehicle that arrived after the arrival
	// with number since, those of earlier landings first, and the number of the
	// last one; with 0 it returns all. Nothing new gives no entries and since
	// itself. The entries belong to the caller.
	Arrived(ctx context.Context, vehicle string, since int64) (entries []*fleet.Entry, last int64, err error)
	// Touched returns the vehicles that entries are about which arrived after
	// the arrival with number since, each with the number of its last one, and
	// that of the last of all, or since.
	Touched(ctx context.Context, since int64) (vehicles map[string]int64, last int64, err error)
	// ByDate calls each with every entry about a vehicle that arrived up to the
	// arrival with number upTo, by the day it is about, without holding them
	// all; an error of each ends it and is returned.
	ByDate(ctx context.Context, vehicle string, upTo int64, each func(*fleet.Entry) error) error
	// OfForm returns the entries of a form: those of its batch and of the
	// batches that followed on it.
	OfForm(ctx context.Context, batch string) ([]*fleet.Entry, error)
	// OfVehicle returns every entry about a vehicle, by id.
	OfVehicle(ctx context.Context, vehicle string) ([]*fleet.Entry, error)
	// Vehicles returns the vehicles that have entries, sorted.
	Vehicles(ctx context.Context) ([]string, error)
	// Count returns the number of entries.
	Count(ctx context.Context) (int, error)
	// Head returns what the journal holds now.
	Head(ctx context.Context) (Head, error)
	// HeadAt returns what it held when it had so many entries; false if it
	// never had as many.
	HeadAt(ctx context.Context, entries int64) (Head, bool, error)
	// Alarm returns what forbids to take facts, or nil: see Guard.
	Alarm() error

	// PutAttachment keeps what r holds, at most MaxAttachment bytes, and
	// returns its content hash. Content that is there already is kept once,
	// under the name it came with first.
	PutAttachment(ctx context.Context, r io.Reader, name, mediaType string) (hash string, err error)
	// Attachment returns the attachment with this content hash, or a NotFound.
	// The content is compared with the hash each time.
	Attachment(ctx context.Context, hash string) (*Attachment, error)
	// Attachments lists every attachment by hash, without content.
	Attachments(ctx context.Context) ([]AttachmentInfo, error)

	// Inspect reads everything back for Verify: the entries that can be read,
	// by id, and what is wrong with the storage.
	Inspect(ctx context.Context) (*Inspection, error)
	// Close ends the use of the store. Nothing can be called after it.
	Close() error
}

// Landing adds to the transaction of one Land.
type Landing interface {
	// Add adds one entry, as Append does.
	Add(e *fleet.Entry) (added bool, err error)
	// Batch returns the entries of a batch, those that this landing added
	// included. They belong to the caller.
	Batch(id string) ([]*fleet.Entry, error)
	// HeadAt is that of Store, within the transaction.
	HeadAt(entries int64) (Head, bool, error)
	// Head returns what the journal holds with what this landing added.
	Head() Head
	// Attach adds one attachment, as PutAttachment does. Hash may be empty; if
	// it is not, the content must match it.
	Attach(a *Attachment) (added bool, err error)
}

// Filter says which entries are wanted. The zero Filter wants all; every field
// that is set narrows it.
type Filter struct {
	Vehicle string
	Type    fleet.EntryType
	Batch   string
	Since   civil.Date // entries about this day or a later one
	Until   civil.Date // entries about this day or an earlier one
	IDs     []string   // entries with one of these ids, at most a thousand
	After   string     // entries with a greater id, to go on where Limit stopped
	Limit   int        // at most so many; 0 means all
	UpTo    int64      // entries that arrived up to this arrival; 0 means all
}

// MaxAttachment is the greatest size of an attachment in bytes: a large
// photograph or a minute of recording.
const MaxAttachment = 32 << 20

// AttachmentInfo describes an attachment.
type AttachmentInfo struct {
	Hash  string // SHA-256 of the content in lower-case hexadecimal digits
	Name  string // file name it came with, without a folder; may be empty
	Media string // media type, such as image/jpeg
	Size  int64  // bytes
}

// Attachment is a picture, a recording or another file that entries refer to.
type Attachment struct {
	AttachmentInfo
	Data []byte
}

// Inspection is what a store finds when it reads itself back.
type Inspection struct {
	Entries  []*fleet.Entry
	Problems []Problem
}

// Open opens the journal at an address, the path of an SQLite file or that of a
// PostgreSQL database (postgres://…), under the guard of its mark. It is the one
// door to storage: who asks here knows a journal by its interface only. Errors
// are those of OpenSQLite and OpenPostgres.
func Open(ctx context.Context, address string, o Options) (*Guarded, error) {
	s, err := openStore(ctx, address, o)
	if err != nil {
		return nil, err
	}
	g, err := Guard(ctx, s, markOf(address, o))
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return g, nil
}

func openStore(ctx context.Context, address string, o Options) (Store, error) {
	if isPostgres(address) {
		s, err := OpenPostgres(ctx, address, o)
		if err != nil {
			return nil, err
		}
		return s, nil
	}
	s, err := OpenSQLite(ctx, address, o)
	if err != nil {
		return nil, err
	}
	return s, nil
}

// MarkFile is the name, in a yard's folder, of the mark of a journal that is not
// a file in it.
const MarkFile = "journal.mark"

// markOf returns the path of the mark, "" for none.
func markOf(address string, o Options) string {
	if isPostgres(address) {
		return o.Mark
	}
	return address + ".mark"
}

// NewID returns a new id for an entry or a batch: a UUID version 7 made of the
// clock and of random bits, greater than every one this process made before.
func NewID() string {
	id, err := uuid.NewV7()
	if err != nil {
		panic("journal: the system gives no random bytes: " + err.Error())
	}
	return id.String()
}

// landAll adds entries to a landing. It reports every entry that cannot land,
// not only the first.
func landAll(l Landing, entries []*fleet.Entry) (added int, err error) {
	if l, ok := l.(*rowLanding); ok {
		return l.addAll(entries)
	}
	var errs []error
	for _, e := range entries {
		is, err := l.Add(e)
		if err != nil {
			errs = append(errs, err)
			if fleet.KindOf(err) == fleet.Unavailable || fleet.KindOf(err) == fleet.Internal {
				break // the next one would fail alike
			}
		}
		if is {
			added++
		}
	}
	return added, errors.Join(errs...)
}
