package journal

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"sync"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// tables is a journal in the tables of an SQL database: all that does not depend
// on which database it is. Queries are written with ?1, ?2 for their arguments.
type tables struct {
	name    string // path or address, for errors
	read    *sql.DB
	explain func(error) error
	words   func(query string) string // the query as the database wants it

	last     string                 // query for seq, landing and digest of the last row; it waits for landings before
	some     string                 // query for id and body of the rows with one of the ids ?1
	list     func(ids []string) any // ids as that query wants them
	insert   string                 // statement that inserts rows
	inserted func([]row) [][]any    // what it is called with, once for each

	mu       sync.Mutex
	prepared map[string]*sql.Stmt // those of landings, by their words
}

// landIn runs one landing in a transaction of db.
func (s *tables) landIn(ctx context.Context, db *sql.DB, add func(Landing) error) error {
	if err := s.prepareOn(ctx, db); err != nil {
		return s.explain(err)
	}
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return s.explain(err)
	}
	defer tx.Rollback() // does nothing once committed
	l := &rowLanding{ctx: ctx, tx: landingTx{tx, s.prepared}, t: s}
	if err := l.begin(); err != nil {
		return s.explain(err)
	}
	if err := add(l); err != nil {
		return err
	}
	return s.explain(tx.Commit())
}

// What every landing asks for.
const (
	lastRow    = "SELECT seq, landing, digest FROM entries ORDER BY seq DESC LIMIT 1"
	digestAt   = "SELECT digest FROM entries WHERE seq = ?1"
	ofBatch    = "SELECT seq, id, body FROM entries WHERE batch = ?1 AND batch <> '' ORDER BY id"
	ofIDs      = "SELECT id, body FROM entries WHERE id "
	insertRows = "INSERT INTO entries (seq, id, landing, batch, vehicle, type, date, body, sum, digest) "
)

// prepareOn prepares the statements of landings, once for all. It does so before a
// landing begins, which may hold the only connection.
func (s *tables) prepareOn(ctx context.Context, db *sql.DB) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.prepared != nil {
		return nil
	}
	prepared := map[string]*sql.Stmt{}
	for _, query := range []string{s.last, digestAt, ofBatch, s.some, insertRows + s.insert} {
		query = s.words(query)
		stmt, err := db.PrepareContext(ctx, query)
		if err != nil {
			return err
		}
		prepared[query] = stmt
	}
	s.prepared = prepared
	return nil
}

// landingTx is a transaction that takes prepared statements where there are.
type landingTx struct {
	*sql.Tx
	prepared map[string]*sql.Stmt
}

// ExecContext is that of the statement or of the transaction.
func (t landingTx) ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error) {
	if stmt := t.prepared[query]; stmt != nil {
		return t.StmtContext(ctx, stmt).ExecContext(ctx, args...)
	}
	return t.Tx.ExecContext(ctx, query, args...)
}

// QueryContext is that of the statement or of the transaction.
func (t landingTx) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	if stmt := t.prepared[query]; stmt != nil {
		return t.StmtContext(ctx, stmt).QueryContext(ctx, args...)
	}
	return t.Tx.QueryContext(ctx, query, args...)
}

// QueryRowContext is that of the statement or of the transaction.
func (t landingTx) QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row {
	if stmt := t.prepared[query]; stmt != nil {
		return t.StmtContext(ctx, stmt).QueryRowContext(ctx, args...)
	}
	return t.Tx.QueryRowContext(ctx, query, args...)
}

// Land implements Store.
func (s *SQLite) Land(ctx context.Context, add func(Landing) error) error {
	if s.write == nil {
		if err := s.read.PingContext(ctx); err != nil {
			return s.explain(err)
		}
		return &fleet.Error{Kind: fleet.Unavailable, Where: s.path, Msg: "the journal cannot be written, only read",
			Hint: hintWritable}
	}
	return s.landIn(ctx, s.write, add)
}

// rowLanding adds rows in one transaction.
type rowLanding struct {
	ctx    context.Context // of the one call of Land
	tx     landingTx
	t      *tables
	number int
	head   Head
}

func (l *rowLanding) begin() error {
	var digest []byte
	err := l.tx.QueryRowContext(l.ctx, l.t.last).Scan(&l.head.Entries, &l.number, &digest)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	copy(l.head.Digest[:], digest)
	l.number++
	return nil
}

// Add implements Landing.
func (l *rowLanding) Add(e *fleet.Entry) (bool, error) {
	added, err := l.addAll([]*fleet.Entry{e})
	return added == 1, err
}

// addAll adds entries at once: one look for those that are there, then what is new.
// Its error tells of every entry that cannot land.
func (l *rowLanding) addAll(entries []*fleet.Entry) (added int, err error) {
	there, err := l.bodies(entries)
	if err != nil {
		return 0, l.t.explain(err)
	}
	var errs []error
	var fresh []row
	for _, e := range entries {
		r, err := newRow(e)
		if stored, is := there[r.id]; err == nil && is {
			if !sameFact(stored, e, r.body) {
				errs = append(errs, conflict(r.id))
			}
			continue
		}
		if err != nil {
			errs = append(errs, err)
			continue
		}
		sum := sumOf(r.body)
		l.head = l.head.With(r.body)
		r.seq, r.landing, r.sum, r.digest = l.head.Entries, l.number, sum[:], bytes.Clone(l.head.Digest[:])
		there[r.id] = r.body
		fresh = append(fresh, r)
	}
	if len(errs) > 0 || len(fresh) == 0 {
		return 0, errors.Join(errs...)
	}
	for _, args := range l.t.inserted(fresh) {
		if _, err := l.tx.ExecContext(l.ctx, l.t.words(insertRows+l.t.insert), args...); err != nil {
			return 0, l.t.explain(err)
		}
	}
	return len(fresh), nil
}

// bodies returns the bodies of those of some entries that are there, by id.
func (l *rowLanding) bodies(entries []*fleet.Entry) (map[string][]byte, error) {
	ids := make([]string, len(entries))
	for i, e := range entries {
		ids[i] = e.ID
	}
	rows, err := l.tx.QueryContext(l.ctx, l.t.words(l.t.some), l.t.list(ids))
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	out := map[string][]byte{}
	for rows.Next() {
		var id string
		var body []byte
		if err := rows.Scan(&id, &body); err != nil {
			return nil, err
		}
		out[id] = body
	}
	return out, rows.Err()
}

// Attach implements Landing.
func (l *rowLanding) Attach(a *Attachment) (bool, error) {
	a, err := sealed(a)
	if err != nil {
		return false, err
	}
	var there int
	err = l.tx.QueryRowContext(l.ctx, l.t.words("SELECT count(*) FROM attachments WHERE hash = ?1"),
		a.Hash).Scan(&there)
	if err != nil || there > 0 {
		return false, l.t.explain(err)
	}
	sum := a.sum()
	_, err = l.tx.ExecContext(l.ctx,
		l.t.words("INSERT INTO attachments (hash, name, media, size, data, sum) VALUES (?1, ?2, ?3, ?4, ?5, ?6)"),
		a.Hash, a.Name, a.Media, a.Size, a.Data, sum[:])
	return err == nil, l.t.explain(err)
}

// Batch implements Landing.
func (l *rowLanding) Batch(id string) ([]*fleet.Entry, error) {
	entries, _, err := l.t.decoded(l.ctx, l.tx, ofBatch, id)
	return entries, err
}

// HeadAt implements Landing.
func (l *rowLanding) HeadAt(entries int64) (Head, bool, error) {
	if entries == l.head.Entries {
		return l.head, true, nil
	}
	return l.t.headAt(l.ctx, l.tx, entries)
}

// Head implements Landing.
func (l *rowLanding) Head() Head { return l.head }

// headAt reads what the journal held when it had so many entries.
func (s *tables) headAt(ctx context.Context, db querier, entries int64) (Head, bool, error) {
	if entries == 0 {
		return Head{}, true, nil
	}
	var digest []byte
	err := db.QueryRowContext(ctx, s.words(digestAt), entries).Scan(&digest)
	if errors.Is(err, sql.ErrNoRows) {
		return Head{}, false, nil
	}
	if err != nil {
		return Head{}, false, s.explain(err)
	}
	head := Head{Entries: entries}
	copy(head.Digest[:], digest)
	return head, true, nil
}

// HeadAt implements Store.
func (s *tables) HeadAt(ctx context.Context, entries int64) (Head, bool, error) {
	return s.headAt(ctx, s.read, entries)
}

// Head implements Store.
func (s *tables) Head(ctx context.Context) (Head, error) {
	var head Head
	var digest []byte
	err := s.read.QueryRowContext(ctx,
		"SELECT seq, digest FROM entries ORDER BY seq DESC LIMIT 1").Scan(&head.Entries, &digest)
	if errors.Is(err, sql.ErrNoRows) {
		return head, nil
	}
	copy(head.Digest[:], digest)
	return head, s.explain(err)
}

// Alarm implements Store.
func (s *tables) Alarm() error { return nil }

// where returns the conditions of a filter, and what they are compared with.
func (f Filter) where() (string, []any) {
	var conditions []string
	var args []any
	add := func(condition string, value string) {
		if value != "" {
			args = append(args, value)
			conditions = append(conditions, fmt.Sprintf("%s ?%d", condition, len(args)))
		}
	}
	add("vehicle =", f.Vehicle)
	add("type =", string(f.Type))
	add("batch =", f.Batch)
	if f.Batch != "" {
		conditions = append(conditions, "batch <> ''") // lets the partial index serve
	}
	add("date >=", f.Since.String())
	add("date <=", f.Until.String())
	add("id >", f.After)
	if len(f.IDs) > 0 {
		var places []string
		for _, id := range f.IDs {
			args = append(args, id)
			places = append(places, fmt.Sprintf("?%d", len(args)))
		}
		conditions = append(conditions, "id IN ("+strings.Join(places, ", ")+")")
	}
	if f.UpTo > 0 {
		args = append(args, f.UpTo)
		conditions = append(conditions, fmt.Sprintf("seq <= ?%d", len(args)))
	}
	if len(conditions) == 0 {
		return "", nil
	}
	return " WHERE " + strings.Join(conditions, " AND "), args
}

// Entries implements Store.
func (s *tables) Entries(ctx context.Context, f Filter) ([]*fleet.Entry, error) {
	where, args := f.where()
	query := "SELECT seq, id, body FROM entries" + where + " ORDER BY id"
	if f.Limit > 0 {
		query += fmt.Sprintf(" LIMIT %d", f.Limit)
	}
	entries, _, err := s.decoded(ctx, s.read, query, args...)
	return entries, err
}

// The readings that every page and note make: what arrived, what arrived of a vehicle,
// and what it holds by date. Each goes through an index, in its order; the + keeps
// SQLite from the index of arrivals.
const (
	ofArrived = "SELECT seq, id, body FROM entries WHERE vehicle = ?1 AND seq > ?2 ORDER BY seq"
	ofDates   = "SELECT seq, id, body FROM entries WHERE vehicle = ?1 AND +seq <= ?2 ORDER BY date"
	touched   = "SELECT vehicle, seq FROM entries WHERE seq > ?1 ORDER BY seq"
)

// Arrived implements Store.
func (s *tables) Arrived(ctx context.Context, vehicle string, since int64) ([]*fleet.Entry, int64, error) {
	entries, last, err := s.decoded(ctx, s.read, ofArrived, vehicle, since)
	if err != nil {
		return nil, since, err
	}
	return entries, max(since, last), nil
}

// Touched implements Store.
func (s *tables) Touched(ctx context.Context, since int64) (vehicles map[string]int64, last int64, err error) {
	rows, err := s.read.QueryContext(ctx, s.words(touched), since)
	if err != nil {
		return nil, since, s.explain(err)
	}
	defer rows.Close()
	vehicles, last = map[string]int64{}, since
	for rows.Next() {
		var vehicle string
		if err := rows.Scan(&vehicle, &last); err != nil {
			return nil, since, s.explain(err)
		}
		vehicles[vehicle] = last
	}
	return vehicles, last, s.explain(rows.Err())
}

// ByDate implements Store.
func (s *tables) ByDate(ctx context.Context, vehicle string, upTo int64, each func(*fleet.Entry) error) error {
	_, err := s.eachDecoded(ctx, s.read, each, ofDates, vehicle, upTo)
	return err
}

// decoded returns the entries that a query for seq, id and body finds, and the
// seq of the last of them.
func (s *tables) decoded(ctx context.Context, db querier, query string, args ...any) (entries []*fleet.Entry,
	last int64, err error) {
	last, err = s.eachDecoded(ctx, db, func(e *fleet.Entry) error {
		entries = append(entries, e)
		return nil
	}, query, args...)
	if err != nil {
		return nil, 0, err
	}
	return entries, last, nil
}

// eachDecoded calls each with the entries that a query for seq, id and body
// finds, and returns the seq of the last of them.
func (s *tables) eachDecoded(ctx context.Context, db querier, each func(*fleet.Entry) error, query string,
	args ...any) (last int64, err error) {
	rows, err := db.QueryContext(ctx, s.words(query), args...)
	if err != nil {
		return 0, s.explain(err)
	}
	defer rows.Close()
	for rows.Next() {
		var id string
		var body sql.RawBytes
		if err := rows.Scan(&last, &id, &body); err != nil {
			return 0, s.explain(err)
		}
		e, err := fleet.DecodeStored(body)
		if err != nil {
			return 0, unreadable(id, err)
		}
		if err := each(e); err != nil {
			return 0, err
		}
	}
	return last, s.explain(rows.Err())
}

// Vehicles implements Store. It steps from vehicle to vehicle through the
// index, so its cost does not grow with the entries.
func (s *tables) Vehicles(ctx context.Context) ([]string, error) {
	rows, err := s.read.QueryContext(ctx, `
		WITH RECURSIVE step(vehicle) AS (
			SELECT min(vehicle) FROM entries
			UNION ALL
			SELECT (SELECT min(vehicle) FROM entries WHERE vehicle > step.vehicle) FROM step WHERE step.vehicle IS NOT NULL
		)
		SELECT vehicle FROM step WHERE vehicle IS NOT NULL`)
	if err != nil {
		return nil, s.explain(err)
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var vehicle string
		if err := rows.Scan(&vehicle); err != nil {
			return nil, s.explain(err)
		}
		out = append(out, vehicle)
	}
	return out, s.explain(rows.Err())
}

// Count implements Store.
func (s *tables) Count(ctx context.Context) (int, error) {
	var n int
	err := s.read.QueryRowContext(ctx, "SELECT count(*) FROM entries").Scan(&n)
	return n, s.explain(err)
}

// Attachment implements Store.
func (s *tables) Attachment(ctx context.Context, hash string) (*Attachment, error) {
	a := new(Attachment)
	err := s.read.QueryRowContext(ctx,
		s.words("SELECT hash, name, media, size, data FROM attachments WHERE hash = ?1"), hash).
		Scan(&a.Hash, &a.Name, &a.Media, &a.Size, &a.Data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, noAttachment(hash)
	}
	if err == nil {
		err = matchesHash(a)
	}
	if err != nil {
		return nil, s.explain(err)
	}
	return a, nil
}

// Attachments implements Store.
func (s *tables) Attachments(ctx context.Context) ([]AttachmentInfo, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT hash, name, media, size FROM attachments ORDER BY hash")
	if err != nil {
		return nil, s.explain(err)
	}
	defer rows.Close()
	infos := []AttachmentInfo{}
	for rows.Next() {
		var a AttachmentInfo
		if err := rows.Scan(&a.Hash, &a.Name, &a.Media, &a.Size); err != nil {
			return nil, s.explain(err)
		}
		infos = append(infos, a)
	}
	return infos, s.explain(rows.Err())
}

// Inspect implements Store.
func (s *SQLite) Inspect(ctx context.Context) (*Inspection, error) {
	in := new(inspector)
	faults, err := integrity(ctx, s.read)
	if err = in.damage(s.path, err); err != nil {
		return nil, err
	}
	for _, fault := range faults {
		in.problems = append(in.problems,
			Problem{Where: s.path, Msg: message.Of("the file is damaged: %s", fault), Hint: hintBackup})
	}
	if err := in.damage(s.path, in.guards(ctx, s.read)); err != nil {
		return nil, err
	}
	for _, check := range []func() error{
		func() error { return in.rows(ctx, s.read) }, func() error { return in.attached(ctx, s.read) }} {
		if err := in.damage(s.path, check()); err != nil {
			return nil, err
		}
	}
	return in.result(), nil
}

// damage notes an error that says that the file is damaged as a problem, and
// returns any other.
func (in *inspector) damage(path string, err error) error {
	switch resultCode(err) {
	case codeCorrupt, codeNotADB, codeIOErr:
		in.problems = append(in.problems, Problem{Where: path, Msg: message.Of("the file is damaged: %s", err),
			Hint: hintBackup})
		return nil
	}
	return explain(path, err)
}

// guards checks that the triggers that refuse changes are there.
func (in *inspector) guards(ctx context.Context, db querier) error {
	for _, table := range []string{"entries", "attachments"} {
		for _, what := range []string{"change", "go", "replaced"} {
			name := table + "_never_" + what
			var there int
			err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema WHERE type = 'trigger' AND name = ?1",
				name).Scan(&there)
			if err != nil {
				return err
			}
			if there == 0 {
				in.unguarded(name)
			}
		}
	}
	return nil
}

func (in *inspector) unguarded(trigger string) {
	in.problems = append(in.problems, Problem{Where: "trigger " + trigger,
		Msg: "the guard against changes is missing: entries may have been changed", Hint: hintBackup})
}

// rows checks every row of entries.
func (in *inspector) rows(ctx context.Context, db querier) error {
	rows, err := db.QueryContext(ctx,
		"SELECT seq, id, landing, batch, vehicle, type, date, body, sum, digest FROM entries ORDER BY id")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var r row
		if err := rows.Scan(&r.seq, &r.id, &r.landing, &r.batch, &r.vehicle, &r.kind, &r.date, &r.body, &r.sum,
			&r.digest); err != nil {
			return err
		}
		in.row(r)
		in.summed(r)
	}
	in.running()
	return rows.Err()
}

// attached checks what stands beside the content of every attachment.
func (in *inspector) attached(ctx context.Context, db querier) error {
	rows, err := db.QueryContext(ctx, "SELECT hash, name, media, size, sum FROM attachments ORDER BY hash")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var a AttachmentInfo
		var sum []byte
		if err := rows.Scan(&a.Hash, &a.Name, &a.Media, &a.Size, &sum); err != nil {
			return err
		}
		if want := a.sum(); !bytes.Equal(sum, want[:]) {
			in.problems = append(in.problems, Problem{Where: "attachment " + a.Hash,
				Msg: "its name, type or size does not match its checksum", Hint: hintBackup})
		}
	}
	return rows.Err()
}
