package journal

import (
	"bytes"
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"
	"time"

	"modernc.org/sqlite"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// This file is all that knows which SQLite driver is used.

// The functions that migrations call.
func init() {
	sqlite.MustRegisterDeterministicScalarFunction("undertray_sum", 1,
		func(_ *sqlite.FunctionContext, args []driver.Value) (driver.Value, error) {
			switch v := args[0].(type) {
			case string:
				sum := sumOf([]byte(v))
				return sum[:], nil
			case []byte:
				sum := sumOf(v)
				return sum[:], nil
			}
			return nil, fmt.Errorf("no checksum of a %T", args[0])
		})
	sqlite.MustRegisterFunction("undertray_xor", &sqlite.FunctionImpl{NArgs: 1, Deterministic: true,
		MakeAggregate: func(sqlite.FunctionContext) (sqlite.AggregateFunction, error) { return new(running), nil }})
}

// running is the digest of the checksums seen so far.
type running struct{ Sum }

// Step implements sqlite.AggregateFunction.
func (r *running) Step(_ *sqlite.FunctionContext, args []driver.Value) error {
	var sum Sum
	b, ok := args[0].([]byte)
	if !ok || copy(sum[:], b) != len(sum) {
		return fmt.Errorf("%v is not a checksum", args[0])
	}
	r.Sum = r.with(sum)
	return nil
}

// WindowInverse implements sqlite.AggregateFunction: added twice, a checksum is gone.
func (r *running) WindowInverse(ctx *sqlite.FunctionContext, args []driver.Value) error {
	return r.Step(ctx, args)
}

// WindowValue implements sqlite.AggregateFunction.
func (r *running) WindowValue(*sqlite.FunctionContext) (driver.Value, error) {
	return bytes.Clone(r.Sum[:]), nil
}

// Final implements sqlite.AggregateFunction.
func (r *running) Final(*sqlite.FunctionContext) {}

// Primary result codes, https://sqlite.org/rescode.html.
const (
	codePerm       = 3
	codeBusy       = 5
	codeLocked     = 6
	codeReadOnly   = 8
	codeIOErr      = 10
	codeCorrupt    = 11
	codeFull       = 13
	codeCantOpen   = 14
	codeConstraint = 19
	codeNotADB     = 26
)

// resultCode returns the primary SQLite result code in err's tree, or 0.
func resultCode(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code() & 0xff
	}
	return 0
}

// access is how a connection may use the file.
type access int

const (
	readWrite access = iota // in write-ahead mode
	building                // readWrite, with a rollback journal: for a new file
	readOnly                // as another connection or program writes
	frozen                  // read only, no locks, no files beside it: nobody writes
)

// connect opens a pool of connections to an existing file, or to a new one for
// building. No connection is made yet.
func connect(path string, how access, o Options) (*sql.DB, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("journal: %s: %w", path, err)
	}
	db, err := sql.Open("sqlite", dataSource(abs, how, o))
	if err != nil {
		return nil, fmt.Errorf("journal: %s: %w", path, err)
	}
	if how == readWrite || how == building {
		db.SetMaxOpenConns(1)
	} else {
		db.SetMaxOpenConns(maxReaders)
		db.SetMaxIdleConns(maxReaders)
	}
	return db, nil
}

// dataSource returns the URI of a file with the settings of its connections.
func dataSource(abs string, how access, o Options) string {
	params := url.Values{"_defensive": {"1"}, "_dqs": {"0"}, "_error_rc": {"1"}}
	// The order matters: waiting for a lock must be possible from the start.
	pragmas := []string{fmt.Sprintf("busy_timeout(%d)", o.wait().Milliseconds()), "foreign_keys(1)",
		"trusted_schema(0)"}
	switch how {
	case readWrite:
		params.Set("mode", "rw")
		params.Set("_txlock", "immediate")
		pragmas = append(pragmas, "journal_mode(wal)", "synchronous(full)")
	case building:
		params.Set("_txlock", "immediate")
		pragmas = append(pragmas, "journal_mode(delete)", "synchronous(full)")
	case readOnly:
		params.Set("mode", "ro")
	case frozen:
		params.Set("mode", "ro")
		params.Set("immutable", "1")
	}
	if o.maxPages > 0 && how == readWrite {
		pragmas = append(pragmas, fmt.Sprintf("max_page_count(%d)", o.maxPages))
	}
	params["_pragma"] = pragmas
	slashed := filepath.ToSlash(abs)
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // a drive letter
	}
	return (&url.URL{Scheme: "file", Path: slashed, RawQuery: params.Encode()}).String()
}

// maxReaders is how many connections read at once.
const maxReaders = 4

// wait returns how long a connection waits for another program's lock.
func (o Options) wait() time.Duration {
	if o.Wait > 0 {
		return o.Wait
	}
	return 5 * time.Second
}

// explain turns an error of the database into one for the owner of the file.
func explain(path string, err error) error {
	var known *fleet.Error
	switch {
	case err == nil, errors.As(err, &known):
		return err
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return fmt.Errorf("journal %s: %w", path, err)
	case errors.Is(err, sql.ErrConnDone), strings.Contains(err.Error(), "sql: database is closed"):
		return closedError()
	}
	e := &fleet.Error{Kind: fleet.Unavailable, Where: path, Err: err}
	switch resultCode(err) {
	case codeBusy, codeLocked:
		e.Msg, e.Hint = "another program is writing to the journal", "try again when it has finished"
	case codeReadOnly, codePerm:
		e.Msg, e.Hint = "the journal cannot be written, only read", hintWritable
	case codeFull:
		e.Msg, e.Hint = "the disk is full, and nothing was recorded", "make room, then record it again"
	case codeIOErr:
		e.Msg, e.Hint = message.Of("the disk does not read or write the journal: %s", err),
			"see whether it is full, or was taken out, then try again"
	case codeCantOpen:
		e.Msg, e.Hint = "the journal cannot be opened", "see whether you may read and write the file and its folder"
	case codeCorrupt, codeNotADB:
		e.Msg, e.Hint = "the journal is damaged", "keep the file as it is and restore the latest backup beside it"
	case codeConstraint:
		e.Kind, e.Msg, e.Hint = fleet.Conflict, message.Of("the journal refuses it: %s", err),
			"an entry never changes: record a correction of it"
	default:
		return fmt.Errorf("journal %s: %w", path, err)
	}
	return e
}

const hintWritable = "allow writing to the file and its folder, or copy the journal to where you may write"
