package journal_test

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/harm"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
)

// FuzzImport wants that no file makes Import panic, that a file that is refused
// leaves the journal as it was, and that one that is taken can be exported and
// imported again. The driver's size makes shrinking of inputs slow: run it with
// -fuzzminimizetime 1x.
func FuzzImport(f *testing.F) {
	saved, err := os.ReadFile("testdata/version-1.jsonl")
	if err != nil {
		f.Fatal(err)
	}
	harm.Add(f, saved, saved[:len(saved)-30], []byte(journaltest.Text(journaltest.Notes(2, "heron"))),
		[]byte(`{"attachment":"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",`+
			`"media":"text/plain","data":"YWJj"}`), []byte("\ufeff\r\n{}\n\n{\"v\":2}"))
	f.Fuzz(importAny)
}

// importAny imports a file and wants what FuzzImport says.
func importAny(t *testing.T, file []byte) {
	s := journal.NewMemory()
	mustAppend(t, s, journaltest.Note(0, "heron"))
	got, err := journal.Import(t.Context(), s, "yard.jsonl", bytes.NewReader(file), journal.ImportOptions{})
	if err != nil {
		if k := fleet.KindOf(err); k != fleet.Invalid && k != fleet.Conflict && k != fleet.TooNew {
			t.Fatalf("error %v of kind %d", err, k)
		}
		if got.Added != 0 || got.Already != 0 || got.Attachments != 0 {
			t.Fatalf("refused, and yet %+v", got)
		}
		wantCount(t, s, 1)
		if infos, err := s.Attachments(t.Context()); err != nil || len(infos) != 0 {
			t.Fatalf("refused, and yet there are attachments: %v, %v", infos, err)
		}
		return
	}
	if got.Read != got.Added+got.Already {
		t.Fatalf("%+v does not add up", got)
	}
	wantCount(t, s, 1+got.Added)
	var out strings.Builder
	if _, err := journal.Export(t.Context(), s, &out, journal.ExportOptions{Attachments: true}); err != nil {
		t.Fatal(err)
	}
	again, err := journal.Import(t.Context(), s, "again", strings.NewReader(out.String()), journal.ImportOptions{})
	if err != nil || again.Added != 0 || again.Attachments != 0 {
		t.Fatalf("imported again: %+v, %v", again, err)
	}
}

func TestNewID(t *testing.T) {
	last := ""
	for range 10000 {
		id := journal.NewID()
		if !fleet.IsID(id) {
			t.Fatalf("%q is not an id", id)
		}
		if id <= last {
			t.Fatalf("%s follows %s", id, last)
		}
		last = id
	}
}

func TestMadeUpIDsAreIDs(t *testing.T) {
	for n := range 300000 {
		if id := journaltest.ID(n); !fleet.IsID(id) || n > 0 && id <= journaltest.ID(n-1) {
			t.Fatalf("%d gives %q after %q", n, id, journaltest.ID(n-1))
		}
	}
}
