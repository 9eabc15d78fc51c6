package journal

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Guarded is a store that notices when the journal under it no longer holds
// what it held: a journal copied without its write-ahead log, an old file put
// back, one swapped or deleted under a running program. Beside the journal it
// keeps a mark, a small file with the journal's head. From the moment it
// notices, it takes no facts; what can be read is still read.
//
// The mark is written within a second of a landing, after it, and is not
// waited for: it may lag behind the journal and never leads it. What landed in
// the last second before a crash is therefore in the journal, but would not be
// missed if that very journal were then lost too.
type Guarded struct {
	Store
	mark string // path of the mark

	mu      sync.Mutex
	known   Head // what the journal is known to have held
	written Head // what the mark says
	alarm   error
	looked  time.Time   // when the files were looked at last
	later   *time.Timer // writes the mark; nil: nothing to write
	closed  bool
}

var _ Store = (*Guarded)(nil)

const (
	markEvery = 500 * time.Millisecond // after a landing
	lookEvery = time.Second
)

// Guard watches over a store with the mark at a path. It reads the mark and
// raises the alarm where the journal lacks what the mark says.
func Guard(ctx context.Context, s Store, mark string) (*Guarded, error) {
	g := &Guarded{Store: s, mark: mark}
	head, err := s.Head(ctx)
	if err != nil {
		return nil, err
	}
	marked, err := ReadMark(mark)
	if err != nil {
		g.alarm = err
		return g, nil
	}
	g.known, g.written = head, marked
	there, is, err := s.HeadAt(ctx, marked.Entries)
	switch {
	case err != nil:
		return nil, err
	case !is || there != marked:
		g.alarm = lacks(mark, marked)
	case head != marked:
		g.soon()
	}
	return g, nil
}

// ReadMark returns what a mark says; no mark says nothing.
func ReadMark(path string) (Head, error) {
	var head Head
	if path == "" {
		return head, nil
	}
	src, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return head, nil
	}
	if err == nil {
		err = json.Unmarshal(src, &head)
	}
	if err != nil {
		return head, &fleet.Error{Kind: fleet.Unavailable, Where: path,
			Msg: message.Of("the mark of the journal cannot be read: %s", err), Hint: hintAccept, Err: err}
	}
	return head, nil
}

const hintAccept = "if it was copied, bring the file ending in -wal along too; if an old one was put back, restore " +
	"the latest backup (undertray restore); to go on with the journal as it is: undertray journal accept"

// lacks is the alarm of a journal that does not hold what it held.
func lacks(where string, known Head) error {
	return &fleet.Error{Kind: fleet.Unavailable, Where: where,
		Msg: message.Of("the journal lacks entries that it has held: there were %d, and those are not all there; "+
			"no facts are taken", known.Entries), Hint: hintAccept}
}

// intact is a store that can see whether what it lies in is still there.
type intact interface {
	Intact(ctx context.Context, known Head) error
}

// look raises the alarm if the journal's files are not what they were. It does
// so now and then only, as it costs a little.
func (g *Guarded) look(ctx context.Context) {
	s, ok := g.Store.(intact)
	g.mu.Lock()
	due := ok && g.alarm == nil && !g.closed && time.Since(g.looked) >= lookEvery
	known := g.known
	if due {
		g.looked = time.Now()
	}
	g.mu.Unlock()
	if !due {
		return
	}
	if err := s.Intact(ctx, known); err != nil && ctx.Err() == nil {
		g.raise(err)
	}
}

func (g *Guarded) raise(err error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.alarm == nil {
		g.alarm = err
	}
}

// Alarm implements Store.
func (g *Guarded) Alarm() error {
	g.look(context.Background())
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.alarm
}

// Land implements Store.
func (g *Guarded) Land(ctx context.Context, add func(Landing) error) error {
	if err := g.Alarm(); err != nil {
		return err
	}
	var after Head
	err := g.Store.Land(ctx, func(l Landing) error {
		if err := g.still(l); err != nil {
			return err
		}
		err := add(l)
		after = l.Head()
		return err
	})
	if err == nil {
		g.landed(after)
	}
	return err
}

// still checks within a landing that the journal holds what it is known to
// have held.
func (g *Guarded) still(l Landing) error {
	g.mu.Lock()
	known := g.known
	g.mu.Unlock()
	head, there, err := l.HeadAt(known.Entries)
	if err == nil && (!there || head != known) {
		err = lacks(g.mark, known)
		g.raise(err)
	}
	return err
}

// landed notes what the journal holds now.
func (g *Guarded) landed(head Head) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if head.Entries > g.known.Entries {
		g.known = head
	}
	g.soon()
}

// soon has the mark written before long. The caller holds mu, or nobody else
// knows g yet.
func (g *Guarded) soon() {
	if g.later == nil && !g.closed && g.alarm == nil {
		g.later = time.AfterFunc(markEvery, g.write)
	}
}

// write writes the mark. A folder that cannot be written has none.
func (g *Guarded) write() {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.later = nil
	if g.alarm != nil || g.known == g.written {
		return
	}
	if marked, err := ReadMark(g.mark); err == nil && marked.Entries >= g.known.Entries {
		return // another program was quicker
	}
	if writeMark(g.mark, g.known) == nil {
		g.written = g.known
	}
}

// writeMark replaces a mark whole, without waiting for the disk.
func writeMark(path string, head Head) error {
	if path == "" {
		return nil
	}
	src, err := json.Marshal(head)
	if err != nil {
		return err
	}
	return putFile(path, append(src, '\n'))
}

// putFile writes a file whole in place of what was there, without waiting for
// the disk.
func putFile(path string, src []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*.new")
	if err != nil {
		return err
	}
	_, err = f.Write(src)
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

// Accept takes the journal as it is now for whole: the mark says from now on
// what it holds.
func (g *Guarded) Accept(ctx context.Context) (Head, error) {
	head, err := g.Store.Head(ctx)
	if err == nil {
		err = cannotMark(g.mark, writeMark(g.mark, head))
	}
	if err != nil {
		return head, err
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	g.known, g.written, g.alarm = head, head, nil
	return head, nil
}

func cannotMark(path string, err error) error {
	if err == nil {
		return nil
	}
	return &fleet.Error{Kind: fleet.Unavailable, Where: path,
		Msg:  message.Of("the mark of the journal cannot be written: %s", err),
		Hint: "see whether you may write to its folder", Err: err}
}

// Append implements Store.
func (g *Guarded) Append(ctx context.Context, entries []*fleet.Entry) (added int, err error) {
	return appendTo(ctx, g, entries)
}

// Keep implements Store.
func (g *Guarded) Keep(ctx context.Context, entries []*fleet.Entry) (batch string, added int, err error) {
	if s, ok := g.Store.(newKeeper); ok {
		if err := g.Alarm(); err != nil {
			return "", 0, err
		}
		g.mu.Lock()
		known := g.known
		g.mu.Unlock()
		now, is, err := s.keepNew(ctx, known, entries)
		if is {
			g.landed(now)
		}
		if is || err != nil {
			return kept(entries, err)
		}
	}
	return keep(ctx, g, entries)
}

// PutAttachment implements Store.
func (g *Guarded) PutAttachment(ctx context.Context, r io.Reader, name, mediaType string) (string, error) {
	return putAttachment(ctx, g, r, name, mediaType)
}

// Inspect implements Store: an alarm is a problem too.
func (g *Guarded) Inspect(ctx context.Context) (*Inspection, error) {
	in, err := g.Store.Inspect(ctx)
	if err != nil {
		return nil, err
	}
	var alarm *fleet.Error
	if errors.As(g.Alarm(), &alarm) {
		in.Problems = append(in.Problems, Problem{Where: alarm.Where, Msg: alarm.Msg, Hint: alarm.Hint})
	}
	return in, nil
}

// Close implements Store, once the mark is written.
func (g *Guarded) Close() error {
	g.mu.Lock()
	pending := g.later != nil && g.later.Stop()
	g.closed = true
	g.mu.Unlock()
	if pending {
		g.write()
	}
	return g.Store.Close()
}
