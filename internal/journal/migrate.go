package journal

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/database"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

//go:embed migrations
var migrationFiles embed.FS

// sqliteMigrations returns the folder of the SQLite journal's migrations, whose
// files are named NNNN_what.sql, NNNN counting up from 0001.
func sqliteMigrations() fs.FS { return subFolder("migrations/sqlite") }

func subFolder(name string) fs.FS {
	files, err := fs.Sub(migrationFiles, name)
	if err != nil {
		panic("journal: " + err.Error())
	}
	return files
}

// lastOf returns the version that the migrations of a folder lead to.
func lastOf(files fs.FS) int {
	names, err := fs.Glob(files, "*.sql")
	if err != nil {
		panic("journal: " + err.Error())
	}
	return len(names)
}

// latestVersion is the version of the SQLite journals this program writes.
func latestVersion() int { return lastOf(sqliteMigrations()) }

// bringUpToDate applies the migrations a journal lacks, each in a transaction
// of its own, after a backup of the file beside it.
func bringUpToDate(ctx context.Context, db *sql.DB, path string, files fs.FS) error {
	var version int
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	last := lastOf(files)
	if version >= last {
		return nil
	}
	if version > 0 {
		backup := fmt.Sprintf("%s.before-version-%d", path, last)
		err := copyInto(ctx, db, backup)
		if err != nil && fleet.KindOf(err) != fleet.Conflict { // a backup is there already
			return err
		}
	}
	err := migrate(ctx, db, goose.DialectCustom, files, goose.WithStore(headerVersion{}))
	if err == nil {
		return nil
	}
	if again := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); again == nil && version == last {
		return nil // another program was quicker
	}
	return err
}

// migrate applies the migrations of a folder that a database lacks.
func migrate(ctx context.Context, db *sql.DB, dialect goose.Dialect, files fs.FS,
	options ...goose.ProviderOption) error {
	options = append(options, goose.WithDisableGlobalRegistry(true), goose.WithSlog(slog.New(slog.DiscardHandler)))
	p, err := goose.NewProvider(dialect, db, files, options...)
	if err != nil {
		return err
	}
	_, err = p.Up(ctx)
	var partial *goose.PartialError
	if errors.As(err, &partial) && partial.Failed != nil {
		return fmt.Errorf("migration %d: %w", partial.Failed.Source.Version, partial.Err)
	}
	return err
}

// headerVersion keeps the version of an SQLite journal in the header of its
// file, where an older program finds it before it reads anything else.
type headerVersion struct{}

// Tablename implements database.Store. There is no such table.
func (headerVersion) Tablename() string { return "user_version" }

// CreateVersionTable implements database.Store.
func (headerVersion) CreateVersionTable(context.Context, database.DBTxConn) error { return nil }

// Insert implements database.Store.
func (headerVersion) Insert(ctx context.Context, db database.DBTxConn, req database.InsertRequest) error {
	_, err := db.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", req.Version))
	return err
}

// Delete implements database.Store. No journal goes back to an earlier version.
func (headerVersion) Delete(context.Context, database.DBTxConn, int64) error {
	return database.ErrNotImplemented
}

// GetMigration implements database.Store.
func (h headerVersion) GetMigration(ctx context.Context, db database.DBTxConn,
	version int64) (*database.GetMigrationResult, error) {
	now, err := h.GetLatestVersion(ctx, db)
	if err != nil {
		return nil, err
	}
	if version > now {
		return nil, database.ErrVersionNotFound
	}
	return &database.GetMigrationResult{IsApplied: true}, nil
}

// GetLatestVersion implements database.Store.
func (headerVersion) GetLatestVersion(ctx context.Context, db database.DBTxConn) (version int64, err error) {
	err = db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version)
	return version, err
}

// ListMigrations implements database.Store.
func (h headerVersion) ListMigrations(ctx context.Context,
	db database.DBTxConn) ([]*database.ListMigrationsResult, error) {
	now, err := h.GetLatestVersion(ctx, db)
	if err != nil {
		return nil, err
	}
	var out []*database.ListMigrationsResult
	for v := now; v >= 0; v-- {
		out = append(out, &database.ListMigrationsResult{Version: v, IsApplied: true})
	}
	return out, nil
}

// create makes a new journal. It is built under another name, so that nobody
// ever finds half a journal at path; a file that appears there meanwhile stays.
func create(ctx context.Context, path string, o Options) error {
	err := inPlace(path, func(building string) error { return build(ctx, building, o) })
	if errors.Is(err, os.ErrExist) {
		return nil
	}
	return err
}

func build(ctx context.Context, path string, o Options) error {
	db, err := connect(path, building, o)
	if err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d", applicationID))
	if err == nil {
		err = migrate(ctx, db, goose.DialectCustom, sqliteMigrations(), goose.WithStore(headerVersion{}))
	}
	return explain(path, errors.Join(err, db.Close()))
}

// inPlace has fill write a new file and then gives it its name. The error is an
// os.ErrExist if a file of that name is there by then.
func inPlace(path string, fill func(path string) error) error {
	folder := filepath.Dir(path)
	f, err := os.CreateTemp(folder, "."+filepath.Base(path)+".*.new")
	if err != nil {
		return cannotCreate(path, err)
	}
	name := f.Name()
	defer os.Remove(name)
	if err := f.Close(); err != nil {
		return cannotCreate(path, err)
	}
	if err := fill(name); err != nil {
		return err
	}
	if err := syncFile(name); err != nil {
		return cannotCreate(path, err)
	}
	if err := give(name, path); err != nil {
		return cannotCreate(path, err)
	}
	_ = syncFile(folder) // not every system can; then the name may be lost with the power
	return nil
}

// give names a file without taking the name from another.
func give(name, path string) error {
	err := os.Link(name, path)
	if err == nil || errors.Is(err, os.ErrExist) {
		return err
	}
	if _, err := os.Lstat(path); err == nil {
		return os.ErrExist
	}
	return os.Rename(name, path) // a file system without links
}

func syncFile(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

func cannotCreate(path string, err error) error {
	return &fleet.Error{Kind: fleet.Unavailable, Where: path,
		Msg:  message.Of("the file cannot be made: %s", fleet.Why(err)),
		Hint: "see whether the folder exists, may be written to and has room", Err: err}
}
