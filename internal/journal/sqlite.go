package journal

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// applicationID marks a journal in the header of an SQLite file: "Undr".
const applicationID = 0x556e6472

// Options says how a journal is opened. The zero Options opens an existing
// journal for reading and, where it can be written, for writing.
type Options struct {
	Create   bool          // make a new journal where there is no file
	ReadOnly bool          // never write, even where it is possible
	Wait     time.Duration // for another program's writing to end; 0 means 5 s
	Mark     string        // path of the mark of a journal in a database, see Guard; that of a file lies beside it

	maxPages int // size limit of the file, for tests of a full disk; 0 means none
}

// SQLite is a Store in one SQLite file. Use OpenSQLite to get one.
type SQLite struct {
	tables
	path  string
	write *sql.DB // nil where the journal can only be read
	files []opened
}

var _ Store = (*SQLite)(nil)

// OpenSQLite opens the journal in the file at path and brings an older one up to
// date, after a backup beside it. Where the file or its folder cannot be
// written it opens for reading; ReadOnly tells.
//
// Errors are *fleet.Error: NotFound if there is no file and Create is not set,
// Invalid if the file is not a journal, TooNew if a newer program wrote it,
// Unavailable if it is damaged or may not be read. The file is then as it was.
func OpenSQLite(ctx context.Context, path string, o Options) (*SQLite, error) {
	if err := present(ctx, path, o); err != nil {
		return nil, err
	}
	if err := probe(ctx, path, o); err != nil {
		return nil, err
	}
	s := &SQLite{path: path, tables: tables{name: path, words: func(query string) string { return query },
		explain: func(err error) error { return explain(path, err) },
		last:    lastRow, some: "SELECT id, body FROM entries WHERE id IN (SELECT value FROM json_each(?1))",
		list:   asJSON,
		insert: "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)", inserted: rowByRow}}
	if !o.ReadOnly {
		write, err := openWriter(ctx, path, o)
		if err != nil {
			return nil, err
		}
		s.write = write
	}
	read, err := openReaders(ctx, path, o, s.write == nil)
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	s.read = read
	s.files = openedFiles(path)
	return s, nil
}

// asJSON writes ids as a list in JSON.
func asJSON(ids []string) any {
	text, _ := json.Marshal(ids) // of strings it cannot fail
	return string(text)
}

// rowByRow inserts one row with each call: nothing lies between this program and the
// file, so a call costs little.
func rowByRow(rows []row) (calls [][]any) {
	for _, r := range rows {
		calls = append(calls, []any{r.seq, r.id, r.landing, r.batch, r.vehicle, string(r.kind), r.date,
			string(r.body), r.sum, r.digest})
	}
	return calls
}

// present sees to it that there is a file.
func present(ctx context.Context, path string, o Options) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && o.Create && !o.ReadOnly:
		return create(ctx, path, o)
	case errors.Is(err, fs.ErrNotExist):
		return &fleet.Error{Kind: fleet.NotFound, Where: path, Msg: "there is no journal",
			Hint: "check the path, or start a new journal there", Err: err}
	case err != nil:
		return &fleet.Error{Kind: fleet.Unavailable, Where: path,
			Msg:  message.Of("the journal cannot be opened: %s", err),
			Hint: "see whether you may read the file and its folder", Err: err}
	case !info.Mode().IsRegular():
		return &fleet.Error{Kind: fleet.Invalid, Where: path, Msg: "this is not a file",
			Hint: "give the path of the journal's file"}
	case info.Size() == 0:
		return notAJournal(path, "the file is empty")
	}
	return nil
}

// probe looks at a file without locking or changing it or making others. Without a
// lock it may see half of what another program is just bringing into the file, so
// that it looks damaged: damage is what is still there after a while.
func probe(ctx context.Context, path string, o Options) error {
	for looks := 1; ; looks++ {
		err := glance(ctx, path, o)
		if resultCode(err) != codeCorrupt {
			return explain(path, err)
		}
		if hasLog(path) {
			return nil // the rest may be in the write-ahead log: the writer will tell
		}
		if looks == 4 {
			return explain(path, err)
		}
		select {
		case <-ctx.Done():
			return explain(path, ctx.Err())
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// glance is one look of probe.
func glance(ctx context.Context, path string, o Options) error {
	db, err := connect(path, frozen, o)
	if err != nil {
		return err
	}
	defer db.Close()
	return identify(ctx, db, path)
}

// hasLog reports whether entries lie in a write-ahead log beside the file.
func hasLog(path string) bool {
	info, err := os.Stat(path + "-wal")
	return err == nil && info.Size() > 0
}

// identify checks that a database is a journal this program can read.
func identify(ctx context.Context, db querier, path string) error {
	var id, version, tables int
	err := errors.Join(
		db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id),
		db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version),
		db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&tables),
	)
	switch {
	case resultCode(err) == codeNotADB:
		return notAJournal(path, "it is not an SQLite file")
	case err != nil:
		return err
	case id == 0 && tables == 0:
		return notAJournal(path, "it holds no tables, or is too short to")
	case uint32(id) != applicationID:
		return notAJournal(path, fmt.Sprintf("it is an SQLite file of another program (application id %#08x)",
			uint32(id)))
	case version > latestVersion():
		return &fleet.Error{Kind: fleet.TooNew, Where: path,
			Msg: message.Of("the journal is of version %d, and this program reads versions up to %d", version,
				latestVersion()),
			Hint: "use the newer version of the program that wrote it"}
	}
	return nil
}

func notAJournal(path, why string) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: path, Msg: message.Of("this is not a journal: %s", why),
		Hint: "give the path of the journal's file"}
}

// querier is what *sql.DB, *sql.Conn and *sql.Tx have in common.
type querier interface {
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// openWriter returns the one connection that writes, or nil where nothing can
// be written.
func openWriter(ctx context.Context, path string, o Options) (*sql.DB, error) {
	db, err := connect(path, readWrite, o)
	if err != nil {
		return nil, err
	}
	err = identify(ctx, db, path)
	if err == nil {
		err = tryWriting(ctx, db)
	}
	if err == nil {
		err = bringUpToDate(ctx, db, path, sqliteMigrations())
	}
	if err == nil {
		return db, nil
	}
	closeErr := db.Close()
	switch resultCode(err) {
	case codeReadOnly, codePerm, codeCantOpen:
		return nil, nil
	}
	return nil, errors.Join(explain(path, err), closeErr)
}

// tryWriting writes the version that is there once more and takes it back,
// which fails where the file cannot be written; to begin a transaction does not
// fail there. Another program's writing is no failure.
func tryWriting(ctx context.Context, db *sql.DB) error {
	tx, err := db.BeginTx(ctx, nil)
	if resultCode(err) == codeBusy {
		return nil
	}
	if err != nil {
		return err
	}
	defer tx.Rollback()
	var version int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", version)); err != nil {
		return err
	}
	return tx.Rollback()
}

// openReaders returns the connections that read. Alone says that this process
// does not write.
func openReaders(ctx context.Context, path string, o Options, alone bool) (*sql.DB, error) {
	db, err := openReader(ctx, path, readOnly, o)
	if err == nil || !alone {
		return db, explain(path, err)
	}
	// A folder that cannot be written does not let SQLite make the files it
	// shares with writers. Then nobody with our rights writes either.
	switch resultCode(err) {
	case codeReadOnly, codePerm, codeCantOpen:
	default:
		return nil, explain(path, err)
	}
	if hasLog(path) {
		return nil, &fleet.Error{Kind: fleet.Unavailable, Where: path,
			Msg: message.Of("the latest entries lie in %s-wal, which cannot be read from a folder that "+
				"cannot be written", path),
			Hint: "copy the journal with its -wal file to a folder you may write to, and open it there", Err: err}
	}
	db, err = openReader(ctx, path, frozen, o)
	return db, explain(path, err)
}

func openReader(ctx context.Context, path string, how access, o Options) (*sql.DB, error) {
	db, err := connect(path, how, o)
	if err != nil {
		return nil, err
	}
	if err := identify(ctx, db, path); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	var version int
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	if version < latestVersion() {
		return nil, errors.Join(&fleet.Error{Kind: fleet.Unavailable, Where: path,
			Msg: message.Of("the journal is of version %d and must be brought up to version %d, but it cannot be "+
				"written", version, latestVersion()),
			Hint: hintWritable}, db.Close())
	}
	return db, nil
}

// Path returns the path the journal was opened at.
func (s *SQLite) Path() string { return s.path }

// ReadOnly reports whether the journal can only be read.
func (s *SQLite) ReadOnly() bool { return s.write == nil }

// Append implements Store.
func (s *SQLite) Append(ctx context.Context, entries []*fleet.Entry) (added int, err error) {
	return appendTo(ctx, s, entries)
}

// Keep implements Store.
func (s *SQLite) Keep(ctx context.Context, entries []*fleet.Entry) (batch string, added int, err error) {
	return keep(ctx, s, entries)
}

// OfVehicle implements Store.
func (s *SQLite) OfVehicle(ctx context.Context, vehicle string) ([]*fleet.Entry, error) {
	return ofVehicle(ctx, s, vehicle)
}

// OfForm implements Store.
func (s *SQLite) OfForm(ctx context.Context, batch string) ([]*fleet.Entry, error) {
	return ofForm(ctx, s, batch)
}

// PutAttachment implements Store.
func (s *SQLite) PutAttachment(ctx context.Context, r io.Reader, name, mediaType string) (string, error) {
	return putAttachment(ctx, s, r, name, mediaType)
}

// Close implements Store. The last connection to close brings the write-ahead
// log into the file, so that a closed journal is one file again.
func (s *SQLite) Close() error {
	var errs []error
	if s.read != nil {
		errs = append(errs, s.read.Close())
	}
	if s.write != nil {
		// Lets the query planner know the tables; it is only advice.
		_, _ = s.write.ExecContext(context.Background(), "PRAGMA optimize")
		errs = append(errs, s.write.Close())
	}
	return explain(s.path, errors.Join(errs...))
}

// opened is a file of the journal as it was when it was opened.
type opened struct {
	path string
	info os.FileInfo
}

// openedFiles notes the journal's file and, where entries lie in it, its log.
func openedFiles(path string) []opened {
	var out []opened
	for _, name := range []string{path, path + "-wal"} {
		if info, err := os.Stat(name); err == nil {
			out = append(out, opened{name, info})
		}
	}
	return out
}

// Intact returns an error if the files of the journal are no longer those that
// were opened, or no longer hold what is known: it looks as a program does that
// opens them now, not at what this one remembers.
func (s *SQLite) Intact(ctx context.Context, known Head) error {
	for _, f := range s.files {
		info, err := os.Stat(f.path)
		if err != nil || !os.SameFile(info, f.info) {
			return &fleet.Error{Kind: fleet.Unavailable, Where: f.path, Err: err,
				Msg: "the file was deleted or another was put in its place while the program runs",
				Hint: "end the program, put the file back or restore the latest backup, then start it again; how to: " +
					"undertray restore --help"}
		}
	}
	db, err := connect(s.path, readOnly, Options{})
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	head, there, err := s.headAt(ctx, db, known.Entries)
	switch {
	case resultCode(err) == codeCantOpen, resultCode(err) == codeReadOnly, resultCode(err) == codeBusy:
		return nil // a folder that cannot be written: nothing new can be known
	case err != nil:
		return err
	case !there || head != known:
		return lacks(s.path, known)
	}
	return nil
}
