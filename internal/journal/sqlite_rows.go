package journal

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"

	"undertray/internal/fleet"
)

// Land implements Store.
func (s *SQLite) Land(ctx context.Context, add func(Landing) error) error {
	if s.write == nil {
		if err := s.read.PingContext(ctx); err != nil {
			return explain(s.path, err)
		}
		return &fleet.Error{Kind: fleet.Unavailable, Where: s.path, Msg: "the journal cannot be written, only read", Hint: hintWritable}
	}
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return explain(s.path, err)
	}
	defer tx.Rollback() // does nothing once committed
	l := &sqliteLanding{ctx: ctx, tx: tx, path: s.path}
	if err := l.prepare(); err != nil {
		return explain(s.path, err)
	}
	if err := add(l); err != nil {
		return err
	}
	return explain(s.path, tx.Commit())
}

// sqliteLanding adds rows in one transaction. The statements end with it.
type sqliteLanding struct {
	ctx            context.Context // of the one call of Land
	tx             *sql.Tx
	path           string
	number         int
	lookUp, insert *sql.Stmt
}

func (l *sqliteLanding) prepare() error {
	err := l.tx.QueryRowContext(l.ctx, "SELECT landing + 1 FROM entries ORDER BY seq DESC LIMIT 1").Scan(&l.number)
	if errors.Is(err, sql.ErrNoRows) {
		l.number, err = 1, nil
	}
	if err != nil {
		return err
	}
	if l.lookUp, err = l.tx.PrepareContext(l.ctx, "SELECT body FROM entries WHERE id = ?1"); err != nil {
		return err
	}
	l.insert, err = l.tx.PrepareContext(l.ctx,
		"INSERT INTO entries (id, landing, batch, vehicle, type, date, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)")
	return err
}

// Add implements Landing.
func (l *sqliteLanding) Add(e *fleet.Entry) (bool, error) {
	r, err := newRow(e)
	if err != nil {
		return false, err
	}
	var stored []byte
	err = l.lookUp.QueryRowContext(l.ctx, r.id).Scan(&stored)
	if err == nil {
		if sameFact(stored, e, r.body) {
			return false, nil
		}
		return false, conflict(r.id)
	}
	if !errors.Is(err, sql.ErrNoRows) {
		return false, explain(l.path, err)
	}
	_, err = l.insert.ExecContext(l.ctx, r.id, l.number, r.batch, r.vehicle, string(r.kind), r.date, string(r.body))
	return err == nil, explain(l.path, err)
}

// Attach implements Landing.
func (l *sqliteLanding) Attach(a *Attachment) (bool, error) {
	a, err := sealed(a)
	if err != nil {
		return false, err
	}
	var there int
	err = l.tx.QueryRowContext(l.ctx, "SELECT count(*) FROM attachments WHERE hash = ?1", a.Hash).Scan(&there)
	if err != nil || there > 0 {
		return false, explain(l.path, err)
	}
	_, err = l.tx.ExecContext(l.ctx, "INSERT INTO attachments (hash, name, media, size, data) VALUES (?1, ?2, ?3, ?4, ?5)",
		a.Hash, a.Name, a.Media, a.Size, a.Data)
	return err == nil, explain(l.path, err)
}

// Batch implements Landing.
func (l *sqliteLanding) Batch(id string) ([]*fleet.Entry, error) {
	entries, _, err := decoded(l.ctx, l.tx, l.path, "SELECT seq, id, body FROM entries WHERE batch = ?1 AND batch <> '' ORDER BY id", id)
	return entries, err
}

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
	if len(conditions) == 0 {
		return "", nil
	}
	return " WHERE " + strings.Join(conditions, " AND "), args
}

// Entries implements Store.
func (s *SQLite) Entries(ctx context.Context, f Filter) ([]*fleet.Entry, error) {
	where, args := f.where()
	query := "SELECT seq, id, body FROM entries" + where + " ORDER BY id"
	if f.Limit > 0 {
		query += fmt.Sprintf(" LIMIT %d", f.Limit)
	}
	entries, _, err := decoded(ctx, s.read, s.path, query, args...)
	return entries, err
}

// Arrived implements Store.
func (s *SQLite) Arrived(ctx context.Context, since int64) ([]*fleet.Entry, int64, error) {
	entries, last, err := decoded(ctx, s.read, s.path, "SELECT seq, id, body FROM entries WHERE seq > ?1 ORDER BY seq", since)
	if err != nil {
		return nil, since, err
	}
	return entries, max(since, last), nil
}

// decoded returns the entries that a query for seq, id and body finds, and the
// seq of the last of them.
func decoded(ctx context.Context, db querier, path, query string, args ...any) (entries []*fleet.Entry, last int64, err error) {
	rows, err := db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, 0, explain(path, err)
	}
	defer rows.Close()
	for rows.Next() {
		var id string
		var body sql.RawBytes
		if err := rows.Scan(&last, &id, &body); err != nil {
			return nil, 0, explain(path, err)
		}
		e, err := fleet.DecodeStored(body)
		if err != nil {
			return nil, 0, unreadable(id, err)
		}
		entries = append(entries, e)
	}
	return entries, last, explain(path, rows.Err())
}

// Vehicles implements Store. It steps from vehicle to vehicle through the
// index, so its cost does not grow with the entries.
func (s *SQLite) Vehicles(ctx context.Context) ([]string, error) {
	rows, err := s.read.QueryContext(ctx, `
		WITH RECURSIVE step(vehicle) AS (
			SELECT min(vehicle) FROM entries
			UNION ALL
			SELECT (SELECT min(vehicle) FROM entries WHERE vehicle > step.vehicle) FROM step WHERE step.vehicle IS NOT NULL
		)
		SELECT vehicle FROM step WHERE vehicle IS NOT NULL`)
	if err != nil {
		return nil, explain(s.path, err)
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var vehicle string
		if err := rows.Scan(&vehicle); err != nil {
			return nil, explain(s.path, err)
		}
		out = append(out, vehicle)
	}
	return out, explain(s.path, rows.Err())
}

// Count implements Store.
func (s *SQLite) Count(ctx context.Context) (int, error) {
	var n int
	err := s.read.QueryRowContext(ctx, "SELECT count(*) FROM entries").Scan(&n)
	return n, explain(s.path, err)
}

// Attachment implements Store.
func (s *SQLite) Attachment(ctx context.Context, hash string) (*Attachment, error) {
	a := new(Attachment)
	err := s.read.QueryRowContext(ctx, "SELECT hash, name, media, size, data FROM attachments WHERE hash = ?1", hash).
		Scan(&a.Hash, &a.Name, &a.Media, &a.Size, &a.Data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, noAttachment(hash)
	}
	if err == nil {
		err = matchesHash(a)
	}
	if err != nil {
		return nil, explain(s.path, err)
	}
	return a, nil
}

// Attachments implements Store.
func (s *SQLite) Attachments(ctx context.Context) ([]AttachmentInfo, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT hash, name, media, size FROM attachments ORDER BY hash")
	if err != nil {
		return nil, explain(s.path, err)
	}
	defer rows.Close()
	infos := []AttachmentInfo{}
	for rows.Next() {
		var a AttachmentInfo
		if err := rows.Scan(&a.Hash, &a.Name, &a.Media, &a.Size); err != nil {
			return nil, explain(s.path, err)
		}
		infos = append(infos, a)
	}
	return infos, explain(s.path, rows.Err())
}

// Inspect implements Store.
func (s *SQLite) Inspect(ctx context.Context) (*Inspection, error) {
	in := new(inspector)
	faults, err := integrity(ctx, s.read)
	if err = in.damage(s.path, err); err != nil {
		return nil, err
	}
	for _, fault := range faults {
		in.problems = append(in.problems, Problem{Where: s.path, Msg: "the file is damaged: " + fault, Hint: hintBackup})
	}
	if err := in.damage(s.path, in.guards(ctx, s.read)); err != nil {
		return nil, err
	}
	if err := in.damage(s.path, in.rows(ctx, s.read)); err != nil {
		return nil, err
	}
	return in.result(), nil
}

// damage notes an error that says that the file is damaged as a problem, and
// returns any other.
func (in *inspector) damage(path string, err error) error {
	switch resultCode(err) {
	case codeCorrupt, codeNotADB, codeIOErr:
		in.problems = append(in.problems, Problem{Where: path, Msg: "the file is damaged: " + err.Error(), Hint: hintBackup})
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
			err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema WHERE type = 'trigger' AND name = ?1", name).Scan(&there)
			if err != nil {
				return err
			}
			if there == 0 {
				in.problems = append(in.problems, Problem{Where: "trigger " + name,
					Msg: "the guard against changes is missing: entries may have been changed", Hint: hintBackup})
			}
		}
	}
	return nil
}

// rows checks every row of entries.
func (in *inspector) rows(ctx context.Context, db querier) error {
	rows, err := db.QueryContext(ctx, "SELECT id, landing, batch, vehicle, type, date, body FROM entries ORDER BY id")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var r row
		if err := rows.Scan(&r.id, &r.landing, &r.batch, &r.vehicle, &r.kind, &r.date, &r.body); err != nil {
			return err
		}
		in.row(r)
	}
	return rows.Err()
}
