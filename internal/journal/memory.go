package journal

import (
	"cmp"
	"context"
	"io"
	"maps"
	"slices"
	"sync"

	"undertray.example/undertray/internal/fleet"
)

// Memory is a Store that keeps everything in memory and forgets it with the
// process. Use NewMemory to make one.
type Memory struct {
	landing sync.Mutex // held by the one that lands

	mu          sync.RWMutex // guards what follows
	rows        []row        // by id
	attachments map[string]*Attachment
	landings    int
	heads       []Head // after each arrival
	closed      bool
}

var _ Store = (*Memory)(nil)

// row is an entry as stored: its encoding and what it is looked up by.
type row struct {
	id, vehicle, batch, date string
	kind                     fleet.EntryType
	landing                  int
	seq                      int64 // order of arrival, from 1
	body                     []byte
	sum, digest              []byte // as stored: of the body, of all entries up to it
}

// NewMemory returns an empty journal.
func NewMemory() *Memory { return &Memory{attachments: map[string]*Attachment{}} }

// newRow encodes and checks an entry.
func newRow(e *fleet.Entry) (row, error) {
	body, err := fleet.EncodeEntry(e)
	if err != nil {
		return row{}, err
	}
	return row{id: e.ID, vehicle: e.Vehicle, batch: e.Batch, date: e.Date.String(), kind: e.Type, body: body}, nil
}

func byID(r row, id string) int { return cmp.Compare(r.id, id) }

// ready returns an error if the store is closed or ctx is done. The caller
// holds mu.
func (m *Memory) ready(ctx context.Context) error {
	if m.closed {
		return closedError()
	}
	return ctx.Err()
}

func closedError() error {
	return &fleet.Error{Kind: fleet.Unavailable, Msg: "the journal is closed", Hint: "start the program again"}
}

// memoryLanding collects what lands, on top of what is there.
type memoryLanding struct {
	m           *Memory
	rows        map[string]row
	attachments map[string]*Attachment
}

func (l *memoryLanding) stored(id string) (row, bool) {
	if r, ok := l.rows[id]; ok {
		return r, true
	}
	l.m.mu.RLock()
	defer l.m.mu.RUnlock()
	i, ok := slices.BinarySearchFunc(l.m.rows, id, byID)
	if !ok {
		return row{}, false
	}
	return l.m.rows[i], true
}

// Add implements Landing.
func (l *memoryLanding) Add(e *fleet.Entry) (bool, error) {
	r, err := newRow(e)
	if err != nil {
		return false, err
	}
	if old, ok := l.stored(r.id); ok {
		if sameFact(old.body, e, r.body) {
			return false, nil
		}
		return false, conflict(r.id)
	}
	l.rows[r.id] = r
	return true, nil
}

// Batch implements Landing.
func (l *memoryLanding) Batch(id string) ([]*fleet.Entry, error) {
	l.m.mu.RLock()
	rows := slices.Clone(l.m.rows)
	l.m.mu.RUnlock()
	rows = slices.AppendSeq(rows, maps.Values(l.rows))
	rows = slices.DeleteFunc(rows, func(r row) bool { return r.batch != id || id == "" })
	slices.SortFunc(rows, func(a, b row) int { return cmp.Compare(a.id, b.id) })
	return decodeRows(rows)
}

// Head implements Landing.
func (l *memoryLanding) Head() Head {
	l.m.mu.RLock()
	head, _ := l.m.headAt(int64(len(l.m.heads)))
	l.m.mu.RUnlock()
	for _, r := range l.rows {
		head = head.With(r.body)
	}
	return head
}

// HeadAt implements Landing.
func (l *memoryLanding) HeadAt(entries int64) (Head, bool, error) {
	l.m.mu.RLock()
	defer l.m.mu.RUnlock()
	head, there := l.m.headAt(entries)
	return head, there, nil
}

// Attach implements Landing.
func (l *memoryLanding) Attach(a *Attachment) (bool, error) {
	a, err := sealed(a)
	if err != nil {
		return false, err
	}
	l.m.mu.RLock()
	_, there := l.m.attachments[a.Hash]
	l.m.mu.RUnlock()
	if _, landing := l.attachments[a.Hash]; there || landing {
		return false, nil
	}
	a.Data = slices.Clone(a.Data)
	l.attachments[a.Hash] = a
	return true, nil
}

// Land implements Store.
func (m *Memory) Land(ctx context.Context, add func(Landing) error) error {
	m.landing.Lock()
	defer m.landing.Unlock()
	m.mu.RLock()
	err := m.ready(ctx)
	m.mu.RUnlock()
	if err != nil {
		return err
	}
	l := &memoryLanding{m: m, rows: map[string]row{}, attachments: map[string]*Attachment{}}
	if err := add(l); err != nil {
		return err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.ready(ctx); err != nil {
		return err
	}
	m.landings++
	for _, id := range slices.Sorted(maps.Keys(l.rows)) {
		r := l.rows[id]
		r.landing, r.seq = m.landings, int64(len(m.rows)+1)
		m.rows = append(m.rows, r)
		head, _ := m.headAt(int64(len(m.heads)))
		m.heads = append(m.heads, head.With(r.body))
	}
	slices.SortFunc(m.rows, func(a, b row) int { return cmp.Compare(a.id, b.id) })
	maps.Copy(m.attachments, l.attachments)
	return nil
}

// Append implements Store.
func (m *Memory) Append(ctx context.Context, entries []*fleet.Entry) (added int, err error) {
	return appendTo(ctx, m, entries)
}

// Keep implements Store.
func (m *Memory) Keep(ctx context.Context, entries []*fleet.Entry) (batch string, added int, err error) {
	return keep(ctx, m, entries)
}

// Entries implements Store.
func (m *Memory) Entries(ctx context.Context, f Filter) ([]*fleet.Entry, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	if err := m.ready(ctx); err != nil {
		return nil, err
	}
	var out []row
	for _, r := range m.rows {
		if !f.passes(r) {
			continue
		}
		out = append(out, r)
		if len(out) == f.Limit {
			break
		}
	}
	return decodeRows(out)
}

// decodeRows returns the entries that rows hold.
func decodeRows(rows []row) ([]*fleet.Entry, error) {
	var out []*fleet.Entry
	for _, r := range rows {
		e, err := fleet.DecodeStored(r.body)
		if err != nil {
			return nil, unreadable(r.id, err)
		}
		out = append(out, e)
	}
	return out, nil
}

// rowsWhere returns the rows that pass, in the order that less gives.
func (m *Memory) rowsWhere(ctx context.Context, passes func(row) bool, order func(a, b row) int) ([]row, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	if err := m.ready(ctx); err != nil {
		return nil, err
	}
	var rows []row
	for _, r := range m.rows {
		if passes(r) {
			rows = append(rows, r)
		}
	}
	slices.SortFunc(rows, order)
	return rows, nil
}

func bySeq(a, b row) int { return cmp.Compare(a.seq, b.seq) }

// Arrived implements Store.
func (m *Memory) Arrived(ctx context.Context, vehicle string, since int64) ([]*fleet.Entry, int64, error) {
	rows, err := m.rowsWhere(ctx, func(r row) bool { return r.vehicle == vehicle && r.seq > since }, bySeq)
	if err != nil || len(rows) == 0 {
		return nil, since, err
	}
	entries, err := decodeRows(rows)
	if err != nil {
		return nil, since, err
	}
	return entries, rows[len(rows)-1].seq, nil
}

// Touched implements Store.
func (m *Memory) Touched(ctx context.Context, since int64) (map[string]int64, int64, error) {
	rows, err := m.rowsWhere(ctx, func(r row) bool { return r.seq > since }, bySeq)
	if err != nil || len(rows) == 0 {
		return nil, since, err
	}
	vehicles := map[string]int64{}
	for _, r := range rows {
		vehicles[r.vehicle] = r.seq
	}
	return vehicles, rows[len(rows)-1].seq, nil
}

// ByDate implements Store.
func (m *Memory) ByDate(ctx context.Context, vehicle string, upTo int64, each func(*fleet.Entry) error) error {
	rows, err := m.rowsWhere(ctx, func(r row) bool { return r.vehicle == vehicle && r.seq <= upTo },
		func(a, b row) int { return cmp.Or(cmp.Compare(a.date, b.date), bySeq(a, b)) })
	if err != nil {
		return err
	}
	entries, err := decodeRows(rows)
	for _, e := range entries {
		if err == nil {
			err = each(e)
		}
	}
	return err
}

// OfForm implements Store.
func (m *Memory) OfForm(ctx context.Context, batch string) ([]*fleet.Entry, error) {
	return ofForm(ctx, m, batch)
}

// passes reports whether a row is wanted, Limit apart.
func (f Filter) passes(r row) bool {
	return (f.Vehicle == "" || r.vehicle == f.Vehicle) &&
		(f.Type == "" || r.kind == f.Type) &&
		(f.Batch == "" || r.batch == f.Batch) &&
		(f.Since.IsZero() || r.date >= f.Since.String()) &&
		(f.Until.IsZero() || r.date <= f.Until.String()) &&
		(len(f.IDs) == 0 || slices.Contains(f.IDs, r.id)) &&
		(f.After == "" || r.id > f.After) &&
		(f.UpTo == 0 || r.seq <= f.UpTo)
}

// OfVehicle implements Store.
func (m *Memory) OfVehicle(ctx context.Context, vehicle string) ([]*fleet.Entry, error) {
	return ofVehicle(ctx, m, vehicle)
}

// Vehicles implements Store.
func (m *Memory) Vehicles(ctx context.Context) ([]string, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	if err := m.ready(ctx); err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	for _, r := range m.rows {
		seen[r.vehicle] = true
	}
	return slices.Sorted(maps.Keys(seen)), nil
}

// Count implements Store.
func (m *Memory) Count(ctx context.Context) (int, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	return len(m.rows), m.ready(ctx)
}

// headAt returns what the journal held. The caller holds mu.
func (m *Memory) headAt(entries int64) (Head, bool) {
	if entries <= 0 || entries > int64(len(m.heads)) {
		return Head{}, entries == 0
	}
	return m.heads[entries-1], true
}

// Head implements Store.
func (m *Memory) Head(ctx context.Context) (Head, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	head, _ := m.headAt(int64(len(m.heads)))
	return head, m.ready(ctx)
}

// HeadAt implements Store.
func (m *Memory) HeadAt(ctx context.Context, entries int64) (Head, bool, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	head, there := m.headAt(entries)
	return head, there, m.ready(ctx)
}

// Alarm implements Store.
func (m *Memory) Alarm() error { return nil }

// PutAttachment implements Store.
func (m *Memory) PutAttachment(ctx context.Context, r io.Reader, name, mediaType string) (string, error) {
	return putAttachment(ctx, m, r, name, mediaType)
}

// Attachment implements Store.
func (m *Memory) Attachment(ctx context.Context, hash string) (*Attachment, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	if err := m.ready(ctx); err != nil {
		return nil, err
	}
	kept := m.attachments[hash]
	if kept == nil {
		return nil, noAttachment(hash)
	}
	if err := matchesHash(kept); err != nil {
		return nil, err
	}
	return &Attachment{kept.AttachmentInfo, slices.Clone(kept.Data)}, nil
}

// Attachments implements Store.
func (m *Memory) Attachments(ctx context.Context) ([]AttachmentInfo, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	if err := m.ready(ctx); err != nil {
		return nil, err
	}
	infos := make([]AttachmentInfo, 0, len(m.attachments))
	for _, hash := range slices.Sorted(maps.Keys(m.attachments)) {
		infos = append(infos, m.attachments[hash].AttachmentInfo)
	}
	return infos, nil
}

// Inspect implements Store.
func (m *Memory) Inspect(ctx context.Context) (*Inspection, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	if err := m.ready(ctx); err != nil {
		return nil, err
	}
	var in inspector
	for _, r := range m.rows {
		in.row(r)
	}
	return in.result(), nil
}

// Close implements Store.
func (m *Memory) Close() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.closed = true
	return nil
}
