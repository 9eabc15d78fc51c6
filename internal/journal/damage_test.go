package journal_test

import (
	"bytes"
	"database/sql"
	"os"
	"strings"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
)

// TestVerifyFindsDamage changes a journal behind its back.
func TestVerifyFindsDamage(t *testing.T) {
	tests := []struct {
		name, change string
		want         string
	}{
		{"a guard is gone", "DROP TRIGGER entries_never_replaced", "guard against changes is missing"},
		{"an entry is gone", "DELETE FROM entries WHERE type = 'note'", "which is not in the journal"},
		{"a column was changed", "UPDATE entries SET vehicle = 'egret' WHERE type = 'done'",
			`column vehicle: the column holds "egret" and the entry "heron"`},
		{"a date was changed", "UPDATE entries SET date = '2001-01-01' WHERE type = 'done'", "column date"},
		{"an id was changed", "UPDATE entries SET id = '" + journaltest.ID(900) + "' WHERE type = 'done'", "column id"},
		{"a batch was changed", "UPDATE entries SET batch = '' WHERE type = 'done'", "column batch"},
		{"a type was changed", "UPDATE entries SET type = 'note' WHERE type = 'done'", "column type"},
		{"an entry was changed", `UPDATE entries SET body = replace(body, 'tightened', '') WHERE type = 'done'`,
			"done.what: the work is not described"},
		{"an entry is no JSON", "UPDATE entries SET body = substr(body, 1, 40) WHERE type = 'done'", "not JSON"},
		{"a batch was split", "UPDATE entries SET landing = 7 WHERE type = 'done'", "did not land together"},
		{"an attachment is gone", "DELETE FROM attachments",
			"attachment ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad is not in the journal"},
		{"an attachment was changed", "UPDATE attachments SET data = CAST('abd' AS BLOB)",
			"the content of the attachment is damaged"},
		{"an id is there twice", "CREATE TABLE copy AS SELECT * FROM entries; DROP TABLE entries; ALTER TABLE copy " +
			"RENAME TO entries;" +
			"INSERT INTO entries SELECT * FROM entries WHERE type = 'done'", "the id is there twice"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s, path := plainFile(t)
			hash, err := s.PutAttachment(t.Context(), strings.NewReader("abc"), "a.jpg", "image/jpeg")
			if err != nil {
				t.Fatal(err)
			}
			mustAppend(t, s, journaltest.EveryType(0, "heron", hash)...)
			wantSound(t, s)
			s.Close()

			db := raw(t, path)
			restore := dropGuards(t, db)
			mustExec(t, db, tt.change)
			restore()
			db.Close()

			s = mustOpen(t, path, journal.Options{})
			problems, err := journal.Verify(t.Context(), s, nil)
			if err != nil {
				t.Fatal(err)
			}
			found := false
			for _, p := range problems {
				found = found || strings.Contains(p.String(), tt.want)
				if p.Hint == "" {
					t.Errorf("%v: no hint", p)
				}
			}
			if !found {
				t.Errorf("problems %q, want %q", problems, tt.want)
			}
		})
	}
}

// dropGuards drops the triggers against changes and returns a function that
// makes them again, as somebody would who covers his tracks.
func dropGuards(t *testing.T, db *sql.DB) (restore func()) {
	t.Helper()
	guards := map[string]string{}
	for _, name := range []string{"entries_never_change", "entries_never_go", "attachments_never_change",
		"attachments_never_go"} {
		var text string
		if err := db.QueryRow("SELECT sql FROM sqlite_schema WHERE type = 'trigger' AND name = ?1",
			name).Scan(&text); err != nil {
			t.Fatal(err)
		}
		guards[name] = text
		mustExec(t, db, "DROP TRIGGER "+name)
	}
	return func() {
		for name, text := range guards {
			mustExec(t, db, "DROP TRIGGER IF EXISTS "+name)
			mustExec(t, db, text)
		}
	}
}

// TestDamagedPages overwrites one page after the other and wants every one to
// be noticed, by Open or by Verify.
func TestDamagedPages(t *testing.T) {
	s, path := plainFile(t)
	mustAppend(t, s, journaltest.Round(400, "heron", "egret")...)
	s.Close()
	sound, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096
	pages := len(sound) / page
	for n := 1; n < pages; n += 1 + pages/12 {
		damaged := bytes.Clone(sound)
		copy(damaged[n*page:], bytes.Repeat([]byte{0xa5}, page))
		if err := os.WriteFile(path, damaged, 0o600); err != nil {
			t.Fatal(err)
		}
		s, err := journal.OpenSQLite(t.Context(), path, journal.Options{})
		if err != nil {
			wantKind(t, err, fleet.Unavailable, "damaged")
			continue
		}
		problems, err := journal.Verify(t.Context(), s, nil)
		if err != nil {
			wantKind(t, err, fleet.Unavailable, "damaged")
		} else if len(problems) == 0 {
			t.Errorf("page %d of %d was overwritten, and nothing was noticed", n+1, pages)
		}
		s.Close()
	}
}
