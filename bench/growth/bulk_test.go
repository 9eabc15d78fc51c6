package growth

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/yard"
)

// bulk brings a PostgreSQL journal to n entries about vehicles as fill makes them,
// by COPY: a journal that has them already is left as it is.
func bulk(t testing.TB, address string, y *yard.Yard, n int, names []string) {
	t.Helper()
	ctx := t.Context()
	s, err := journal.Open(ctx, address, journal.Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	head, err := s.Head(ctx)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if err != nil || head.Entries >= int64(n) {
		return
	}
	db, err := pgx.Connect(ctx, address)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close(context.WithoutCancel(ctx))
	again := withoutIndexes(t, db)
	wren, err := y.Vehicle("wren")
	if err != nil {
		t.Fatal(err)
	}
	i, last := 0, journal.Head{}
	row := func() ([]any, error) {
		if i == n {
			return nil, nil
		}
		e := entryAt(i, n, names, wren, y.Catalogue)
		body, err := fleet.EncodeEntry(e)
		if err != nil {
			return nil, err
		}
		next, sum := last.With(body), journal.Head{}.With(body)
		i, last = i+1, next
		return []any{next.Entries, e.ID, int64(i), e.Batch, e.Vehicle, string(e.Type), e.Date.String(), string(body),
			sum.Digest[:], next.Digest[:]}, nil
	}
	columns := strings.Fields("seq id landing batch vehicle type date body sum digest")
	if _, err := db.CopyFrom(ctx, pgx.Identifier{"entries"}, columns, pgx.CopyFromFunc(row)); err != nil {
		t.Fatal(err)
	}
	again()
	if _, err := db.Exec(ctx, "ANALYZE entries"); err != nil {
		t.Fatal(err)
	}
}

// withoutIndexes drops the indexes that no rule rests on and returns what makes
// them again: at once that is many times as fast as row by row.
func withoutIndexes(t testing.TB, db *pgx.Conn) (again func()) {
	t.Helper()
	rows, err := db.Query(t.Context(), "SELECT indexname, indexdef FROM pg_indexes WHERE schemaname = current_schema()"+
		" AND tablename = 'entries' AND indexname NOT IN (SELECT conname FROM pg_constraint)")
	if err != nil {
		t.Fatal(err)
	}
	made, err := pgx.CollectRows(rows, pgx.RowToStructByPos[struct{ Name, Statement string }])
	if err != nil || len(made) == 0 {
		t.Fatal("no indexes", err)
	}
	for _, index := range made {
		if _, err := db.Exec(t.Context(), "DROP INDEX "+pgx.Identifier{index.Name}.Sanitize()); err != nil {
			t.Fatal(err)
		}
	}
	return func() {
		for _, index := range made {
			if _, err := db.Exec(t.Context(), index.Statement); err != nil {
				t.Fatal(fmt.Errorf("%s: %w", index.Name, err))
			}
		}
	}
}
