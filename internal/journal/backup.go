package journal

import (
	"context"
	"database/sql"
	"errors"
	"os"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// copyInto copies a database into a new file.
func copyInto(ctx context.Context, db *sql.DB, path string) error {
	taken := &fleet.Error{Kind: fleet.Conflict, Where: path, Msg: "there is a file of that name already",
		Hint: "give the backup another name, such as one with the date"}
	if _, err := os.Lstat(path); err == nil {
		return taken
	}
	err := inPlace(path, func(name string) error {
		if _, err := db.ExecContext(ctx, "VACUUM INTO ?1", name); err != nil {
			return explain(path, err)
		}
		return readBack(ctx, name)
	})
	if errors.Is(err, os.ErrExist) {
		return taken
	}
	return err
}

// readBack checks a copy.
func readBack(ctx context.Context, path string) error {
	db, err := connect(path, frozen, Options{})
	if err != nil {
		return err
	}
	faults, err := integrity(ctx, db)
	if err == nil {
		err = identify(ctx, db, path)
	}
	if err = errors.Join(err, db.Close()); err != nil {
		return explain(path, err)
	}
	if len(faults) > 0 {
		return &fleet.Error{Kind: fleet.Unavailable, Where: path,
			Msg: message.Of("the copy is not sound: %s", faults[0]), Hint: "verify the journal, and try another disk"}
	}
	return nil
}

// integrity returns what SQLite finds wrong with the structure of a file.
func integrity(ctx context.Context, db querier) ([]string, error) {
	rows, err := db.QueryContext(ctx, "PRAGMA integrity_check(20)")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var faults []string
	for rows.Next() {
		var line string
		if err := rows.Scan(&line); err != nil {
			return nil, err
		}
		if line != "ok" {
			faults = append(faults, line)
		}
	}
	return faults, rows.Err()
}
