package journal

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"undertray/internal/fleet"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// migration takes a journal from the version before to its own.
type migration struct {
	version int
	sql     string
}

// migrations returns every migration in order. Their files are named
// NNNN_what.sql, NNNN counting up from 0001.
func migrations() []migration {
	files, err := migrationFiles.ReadDir("migrations") // sorted by name
	if err != nil {
		panic("journal: " + err.Error())
	}
	out := make([]migration, len(files))
	for i, f := range files {
		body, err := migrationFiles.ReadFile("migrations/" + f.Name())
		if err != nil {
			panic("journal: " + err.Error())
		}
		out[i] = migration{i + 1, string(body)}
	}
	return out
}

// latestVersion is the version of the journals this program writes.
func latestVersion() int { return len(migrations()) }

// bringUpToDate applies the migrations a journal lacks, all in one transaction,
// after a backup of the file beside it.
func bringUpToDate(ctx context.Context, db *sql.DB, path string, list []migration) error {
	var version int
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	if version >= len(list) {
		return nil
	}
	if version > 0 {
		backup := fmt.Sprintf("%s.before-version-%d", path, len(list))
		err := copyInto(ctx, db, backup)
		if err != nil && fleet.KindOf(err) != fleet.Conflict { // a backup is there already
			return err
		}
	}
	return migrate(ctx, db, list)
}

// migrate applies the migrations in one transaction.
func migrate(ctx context.Context, db *sql.DB, list []migration) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	var version int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	for _, m := range list {
		if m.version <= version { // another program was quicker
			continue
		}
		if _, err := tx.ExecContext(ctx, m.sql); err != nil {
			return fmt.Errorf("migration %d: %w", m.version, err)
		}
		if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", m.version)); err != nil {
			return fmt.Errorf("migration %d: %w", m.version, err)
		}
	}
	return tx.Commit()
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
		err = migrate(ctx, db, migrations())
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
	return &fleet.Error{Kind: fleet.Unavailable, Where: path, Msg: "the file cannot be made: " + err.Error(),
		Hint: "see whether the folder exists, may be written to and has room", Err: err}
}
