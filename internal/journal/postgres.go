package journal

import (
	"cmp"
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Postgres is a Store in a schema of a PostgreSQL database, for yards that
// several servers serve. Use OpenPostgres to get one.
type Postgres struct {
	tables
	schema string
}

var _ Store = (*Postgres)(nil)

// isPostgres reports whether an address is one of a PostgreSQL database.
func isPostgres(address string) bool {
	return strings.HasPrefix(address, "postgres://") || strings.HasPrefix(address, "postgresql://")
}

const hintAddress = "write it as postgres://user@host/database?search_path=yard; the password may stand in ~/.pgpass"

// maxConnections is how many connections one program holds.
const maxConnections = 8

// OpenPostgres opens the journal at an address such as
// postgres://user@host/database?search_path=yard: one yard to a schema, public
// where none is named. It makes schema and tables where Create is set and they
// are not there, and brings older ones up to date.
//
// Errors are *fleet.Error: Invalid if the address cannot be read, NotFound if
// there is no journal and Create is not set, TooNew if a newer program wrote
// it, Unavailable if the database does not answer.
func OpenPostgres(ctx context.Context, address string, o Options) (*Postgres, error) {
	return openSchema(ctx, address, "", o)
}

// openSchema opens the journal in a schema, "" for the one that the address names.
func openSchema(ctx context.Context, address, schema string, o Options) (*Postgres, error) {
	config, err := pgx.ParseConfig(address)
	if err != nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "journal",
			Msg: "the address of the database cannot be read", Hint: hintAddress, Err: err}
	}
	schema = cmp.Or(schema, config.RuntimeParams["search_path"], "public")
	if strings.ContainsAny(schema, `," `) {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "journal",
			Msg: message.Of("%.60q is not the name of one schema", schema), Hint: hintAddress}
	}
	config.RuntimeParams["search_path"] = schema
	config.RuntimeParams["application_name"] = "undertray"
	name := fmt.Sprintf("%s/%s/%s", config.Host, config.Database, schema)
	db := stdlib.OpenDB(*config)
	db.SetMaxOpenConns(maxConnections)
	db.SetMaxIdleConns(maxConnections)
	s := &Postgres{schema: schema, tables: tables{name: name, read: db, words: dollars,
		explain: func(err error) error { return explainPostgres(name, err) },
		last:    "SELECT seq, landing, digest FROM begin_landing()", some: someRows, list: func(ids []string) any {
			return ids
		},
		insert: fromArrays, inserted: allAtOnce}}
	if err := s.prepare(ctx, o); err != nil {
		return nil, errors.Join(s.explain(err), db.Close())
	}
	return s, nil
}

// Queries of a landing. That for some ids looks for one after the other: planned while
// the table was small, it would read all of it for ever.
const (
	someRows = "SELECT w.id, e.body FROM unnest(?1::text[]) AS w(id), LATERAL (SELECT body FROM entries WHERE " +
		"entries.id = w.id LIMIT 1) AS e"

	fromArrays = "SELECT * FROM unnest(?1::bigint[], ?2::text[], ?3::bigint[], ?4::text[], ?5::text[], ?6::text[], " +
		"?7::text[], ?8::text[], " +
		"?9::bytea[], ?10::bytea[])"
)

// allAtOnce inserts all rows with one call, so that the database is waited for once.
func allAtOnce(rows []row) [][]any {
	n := len(rows)
	seqs, landings, digests := make([]int64, n), make([]int64, n), make([][]byte, n)
	for i, r := range rows {
		seqs[i], landings[i], digests[i] = r.seq, int64(r.landing), r.digest
	}
	texts, sums := textsOf(rows)
	return [][]any{{seqs, texts[0], landings, texts[1], texts[2], texts[3], texts[4], texts[5], sums, digests}}
}

// textsOf returns the columns of some rows: id, batch, vehicle, type, date and body, and
// the checksums.
func textsOf(rows []row) (texts [6][]string, sums [][]byte) {
	for _, r := range rows {
		for k, text := range []string{r.id, r.batch, r.vehicle, string(r.kind), r.date, string(r.body)} {
			texts[k] = append(texts[k], text)
		}
		sums = append(sums, r.sum)
	}
	return texts, sums
}

// dollars writes a query's arguments as PostgreSQL wants them.
func dollars(query string) string { return strings.ReplaceAll(query, "?", "$") }

// prepare sees to it that the tables are there and of today's version.
func (s *Postgres) prepare(ctx context.Context, o Options) error {
	var there bool
	err := s.read.QueryRowContext(ctx, "SELECT to_regclass('goose_db_version') IS NOT NULL").Scan(&there)
	if err != nil {
		return err
	}
	files := subFolder("migrations/postgres")
	version := 0
	if there {
		err := s.read.QueryRowContext(ctx,
			"SELECT coalesce(max(version_id), 0) FROM goose_db_version WHERE is_applied").Scan(&version)
		if err != nil {
			return err
		}
	}
	switch last := lastOf(files); {
	case version > last:
		return &fleet.Error{Kind: fleet.TooNew, Where: s.name,
			Msg:  message.Of("the journal is of version %d, and this program reads versions up to %d", version, last),
			Hint: "use the newer version of the program that wrote it"}
	case version == last:
		return nil
	case version == 0 && (!o.Create || o.ReadOnly):
		return &fleet.Error{Kind: fleet.NotFound, Where: s.name, Msg: "there is no journal",
			Hint: "check the address, or start a new journal there"}
	}
	if _, err := s.read.ExecContext(ctx,
		"CREATE SCHEMA IF NOT EXISTS "+pgx.Identifier{s.schema}.Sanitize()); err != nil && codeOf(err) != codeExists {
		return err
	}
	locker, err := lock.NewPostgresSessionLocker()
	if err != nil {
		return err
	}
	return migrate(ctx, s.read, goose.DialectPostgres, files, goose.WithSessionLocker(locker))
}

// Codes of PostgreSQL's errors, https://www.postgresql.org/docs/current/errcodes-appendix.html.
const (
	codeExists    = "23505" // two made the same schema at once, or an id is there
	codeRaised    = "P0001"
	codeNotAllow  = "42501"
	codeReadTx    = "25006"
	codeNoRoom    = "53100"
	codeNoPlace   = "53300"
	codeNoSchema  = "3F000"
	codeNoTable   = "42P01"
	codeCorruptPg = "XX001"
)

func codeOf(err error) string {
	var e *pgconn.PgError
	if errors.As(err, &e) {
		return e.Code
	}
	return ""
}

// explainPostgres turns an error of the database into one for the owner.
func explainPostgres(name string, err error) error {
	var known *fleet.Error
	switch {
	case err == nil, errors.As(err, &known):
		return err
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return fmt.Errorf("journal %s: %w", name, err)
	case errors.Is(err, sql.ErrConnDone), strings.Contains(err.Error(), "sql: database is closed"):
		return closedError()
	}
	e := &fleet.Error{Kind: fleet.Unavailable, Where: name, Err: err}
	switch code := codeOf(err); code {
	case codeRaised:
		e.Kind, e.Msg, e.Hint = fleet.Conflict, message.Of("the journal refuses it: %s", err),
			"an entry never changes: record a correction of it"
	case codeNotAllow, codeReadTx:
		e.Msg, e.Hint = "the journal cannot be written, only read", "give the database's user the right to write"
	case codeNoRoom:
		e.Msg, e.Hint = "the database's disk is full, and nothing was recorded", "make room, then record it again"
	case codeNoPlace:
		e.Msg, e.Hint = "the database takes no more connections", "try again, or let it take more (max_connections)"
	case codeNoSchema, codeNoTable:
		e.Msg, e.Hint = "the journal's tables are not there",
			"check the address, or restore the latest backup; how: undertray restore --help"
	case codeCorruptPg:
		e.Msg, e.Hint = "the database is damaged", "keep it as it is and restore the latest backup beside it"
	case "":
		e.Msg, e.Hint = message.Of("the database does not answer: %s", redacted(err)),
			"see whether it runs and whether the address and the password are right"
	default:
		return fmt.Errorf("journal %s: %w", name, err)
	}
	return e
}

// redacted returns an error's words without what it may quote of the address.
func redacted(err error) string {
	var connect *pgconn.ConnectError
	if errors.As(err, &connect) && connect.Unwrap() != nil {
		return connect.Unwrap().Error()
	}
	return err.Error()
}

// Land implements Store.
func (s *Postgres) Land(ctx context.Context, add func(Landing) error) error {
	return s.landIn(ctx, s.read, add)
}

// Append implements Store.
func (s *Postgres) Append(ctx context.Context, entries []*fleet.Entry) (added int, err error) {
	return appendTo(ctx, s, entries)
}

// Keep implements Store.
func (s *Postgres) Keep(ctx context.Context, entries []*fleet.Entry) (batch string, added int, err error) {
	if _, is, err := s.keepNew(ctx, Head{}, entries); is || err != nil {
		return kept(entries, err)
	}
	return keep(ctx, s, entries)
}

const keepNewRows = "SELECT entries, digest FROM keep_new($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)"

// keepNew lands the entries of a form of which nothing is there, in a journal that has
// held what is known, and returns what it holds then: the database is waited for once.
// False says that nothing was done, and that another way must tell why.
func (s *Postgres) keepNew(ctx context.Context, known Head, entries []*fleet.Entry) (now Head, is bool, err error) {
	rows, highs, lows := make([]row, len(entries)), make([]int64, len(entries)), make([]int64, len(entries))
	upTo := Sum{}
	for i, e := range entries {
		if rows[i], err = newRow(e); err != nil || e.Batch != entries[0].Batch || !fleet.IsID(e.Batch) {
			return now, false, nil
		}
		sum := sumOf(rows[i].body)
		upTo, rows[i].sum = upTo.with(sum), sum[:]
		highs[i], lows[i] = int64(binary.BigEndian.Uint64(upTo[:8])), int64(binary.BigEndian.Uint64(upTo[8:]))
	}
	if len(rows) == 0 {
		return now, false, nil
	}
	texts, sums := textsOf(rows)
	var digest []byte
	err = s.read.QueryRowContext(ctx, keepNewRows, known.Entries, known.Digest[:], entries[0].Batch, texts[0], texts[2],
		texts[3], texts[4],
		texts[5], sums, highs, lows).Scan(&now.Entries, &digest)
	if errors.Is(err, sql.ErrNoRows) || codeOf(err) == codeExists { // an id is there
		return now, false, nil
	}
	copy(now.Digest[:], digest)
	return now, err == nil, s.explain(err)
}

// OfVehicle implements Store.
func (s *Postgres) OfVehicle(ctx context.Context, vehicle string) ([]*fleet.Entry, error) {
	return ofVehicle(ctx, s, vehicle)
}

// OfForm implements Store.
func (s *Postgres) OfForm(ctx context.Context, batch string) ([]*fleet.Entry, error) {
	return ofForm(ctx, s, batch)
}

// PutAttachment implements Store.
func (s *Postgres) PutAttachment(ctx context.Context, r io.Reader, name, mediaType string) (string, error) {
	return putAttachment(ctx, s, r, name, mediaType)
}

// Inspect implements Store.
func (s *Postgres) Inspect(ctx context.Context) (*Inspection, error) {
	in := new(inspector)
	for _, table := range []string{"entries", "attachments"} {
		var there int
		err := s.read.QueryRowContext(ctx,
			"SELECT count(*) FROM pg_trigger WHERE tgname = $1 AND tgrelid = $2::regclass AND tgenabled <> 'D'",
			table+"_never_change", table).Scan(&there)
		if err != nil {
			return nil, s.explain(err)
		}
		if there == 0 {
			in.unguarded(table + "_never_change")
		}
	}
	if err := in.rows(ctx, s.read); err != nil {
		return nil, s.explain(err)
	}
	if err := in.attached(ctx, s.read); err != nil {
		return nil, s.explain(err)
	}
	return in.result(), nil
}

// Close implements Store.
func (s *Postgres) Close() error { return s.explain(s.read.Close()) }

// replacePostgres is Replace for a schema: the one that was there gets another
// name.
func replacePostgres(ctx context.Context, address string, o Options, aside string, want Head,
	fill func(Store) error) error {
	there, err := OpenPostgres(ctx, address, Options{Create: true})
	if err != nil {
		return err
	}
	schema := there.schema
	if err := there.Close(); err != nil {
		return err
	}
	s, err := openSchema(ctx, address, schema+"_restored", Options{Create: true})
	if err != nil {
		return err
	}
	quoted := func(name string) string { return pgx.Identifier{name}.Sanitize() }
	defer s.Close()
	head, err := s.Head(ctx)
	if err == nil && head.Entries > 0 {
		err = &fleet.Error{Kind: fleet.Conflict, Where: s.schema,
			Msg:  "a restore that was broken off has left a schema",
			Hint: message.Of("drop it: DROP SCHEMA %s CASCADE", quoted(s.schema))}
	}
	if err == nil {
		err = fill(s)
	}
	if err == nil {
		head, err = s.Head(ctx)
	}
	if err == nil {
		err = same(s.name, head, want)
	}
	if err != nil {
		_, dropErr := s.read.ExecContext(context.WithoutCancel(ctx), "DROP SCHEMA "+quoted(s.schema)+" CASCADE")
		return errors.Join(err, s.explain(dropErr))
	}
	kept := schema + "_" + strings.ReplaceAll(filepath.Base(aside), "-", "_")
	err = s.inTransaction(ctx, func(tx *sql.Tx) error {
		var there bool
		if err := tx.QueryRowContext(ctx, "SELECT to_regnamespace($1) IS NOT NULL",
			quoted(schema)).Scan(&there); err != nil {
			return err
		}
		if there {
			if _, err := tx.ExecContext(ctx, "ALTER SCHEMA "+quoted(schema)+" RENAME TO "+quoted(kept)); err != nil {
				return err
			}
		}
		_, err := tx.ExecContext(ctx, "ALTER SCHEMA "+quoted(s.schema)+" RENAME TO "+quoted(schema))
		return err
	})
	if err == nil && o.Mark != "" {
		err = moveAside([]string{o.Mark}, aside)
	}
	return err
}

func (s *Postgres) inTransaction(ctx context.Context, do func(*sql.Tx) error) error {
	tx, err := s.read.BeginTx(ctx, nil)
	if err != nil {
		return s.explain(err)
	}
	defer tx.Rollback()
	if err := do(tx); err != nil {
		return s.explain(err)
	}
	return s.explain(tx.Commit())
}
