package journaltest

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

func export(t *testing.T, s journal.Store, attachments bool) string {
	t.Helper()
	var out bytes.Buffer
	done, err := journal.Export(t.Context(), s, &out, journal.ExportOptions{Attachments: attachments})
	if err != nil {
		t.Fatal(err)
	}
	if lines := strings.Count(out.String(), "\n"); lines != done.Entries+done.Attachments {
		t.Fatalf("%d lines for %+v", lines, done)
	}
	return out.String()
}

func importText(t *testing.T, s journal.Store, text string) (journal.Result, error) {
	t.Helper()
	return journal.Import(t.Context(), s, "yard.jsonl", strings.NewReader(text), journal.ImportOptions{})
}

func testExportImport(t *testing.T, s journal.Store) {
	other := journal.NewMemory()
	hash := mustPut(t, other, "abc", "belt.jpg", "image/jpeg")
	mustAppend(t, other, EveryType(0, "heron", hash)...)
	mustAppend(t, other, EveryType(100, "egret", "")...)
	text := export(t, other, true)
	if !strings.HasSuffix(text, `{"attachment":"`+abcHash+
		`","name":"belt.jpg","media":"image/jpeg","data":"YWJj"}`+"\n") {
		t.Errorf("the attachment is not at the end:\n%s", text)
	}

	got, err := importText(t, s, text)
	if want := (journal.Result{Read: 2 * len(fleet.EntryTypes()), Added: 2 * len(fleet.EntryTypes()),
		Attachments: 1}); err != nil || got != want {
		t.Fatalf("%+v, %v; want %+v", got, err, want)
	}
	if diff := cmp.Diff(text, export(t, s, true)); diff != "" {
		t.Fatalf("(-exported +exported again):\n%s", diff)
	}
	if plain := export(t, s, false); strings.Count(plain, "\n") != 2*len(fleet.EntryTypes()) {
		t.Errorf("attachments were not asked for:\n%s", plain)
	}

	// Again, with what editors do to a file.
	edited := "\ufeff" + strings.ReplaceAll(strings.TrimSuffix(text, "\n"), "\n", "\r\n\r\n")
	got, err = importText(t, s, edited)
	if want := (journal.Result{Read: 2 * len(fleet.EntryTypes()), Already: 2 * len(fleet.EntryTypes())}); err != nil ||
		got != want {
		t.Fatalf("%+v, %v; want %+v", got, err, want)
	}
	if got, err = importText(t, s, ""); err != nil || got != (journal.Result{}) {
		t.Fatalf("an empty file: %+v, %v", got, err)
	}
	wantCount(t, s, 2*len(fleet.EntryTypes()))
}

func testImportFaults(t *testing.T, s journal.Store) {
	mustAppend(t, s, Note(0, "heron"))
	clash := Note(0, "heron")
	clash.Note.Text = "something else"
	lines := []string{
		line(Note(1, "heron")),
		`{"v":1}`,
		`not JSON`,
		line(clash),
		strings.Replace(line(Note(2, "heron")), `"vehicle"`, `"Vehicle"`, 1),
		`{"attachment":"` + abcHash + `","media":"text/plain","data":"YWJk"}`,
		`{"attachment":"abc","media":"text/plain","data":"YWJj"}`,
		`{"attachment":"` + abcHash + `","media":"text/plain","data":"YWJj","extra":1}`,
		`{"attachment":"` + abcHash + `","media":"text/plain","data":"???"}`,
		line(Note(3, "heron"))[:50],
	}
	_, err := importText(t, s, strings.Join(lines, "\n"))
	want := []string{
		`yard.jsonl:2: id: "" is not an entry id`,
		`yard.jsonl:3: the entry is not JSON: invalid character 'o' in literal null (expecting 'u') at byte 2`,
		`yard.jsonl:4: id: entry ` + ID(0) + ` is already in the journal and says something else`,
		`yard.jsonl:5: Vehicle: there is no such field`,
		`yard.jsonl:6: attachment: the content does not match the hash ` + abcHash,
		`yard.jsonl:7: "abc" is not a content hash`,
		`yard.jsonl:8: the attachment cannot be read: json: unknown field "extra"`,
		`yard.jsonl:9: the attachment cannot be read: illegal base64 data at input byte 0`,
		`yard.jsonl:10: the file ends in the middle of this line: it was cut off`,
	}
	if err == nil {
		t.Fatal("no error")
	}
	if diff := cmp.Diff(want, strings.Split(err.Error(), "\n")); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if hints := fleet.Hints(err); len(hints) != len(want) {
		t.Errorf("%d hints for %d faults: %q", len(hints), len(want), hints)
	}
	wantCount(t, s, 1)
}

func line(e *fleet.Entry) string { return strings.TrimSuffix(Text([]*fleet.Entry{e}), "\n") }

func testImportWhole(t *testing.T, s journal.Store) {
	good := Text(Notes(2500, "heron"))
	_, err := importText(t, s, good+strings.Repeat("{}\n", 31))
	wantKind(t, err, fleet.Invalid, "and 11 more lines are wrong")
	if n := strings.Count(err.Error(), "\n") + 1; n != 21 {
		t.Errorf("%d faults are reported, want 20 and one for the rest", n)
	}
	wantCount(t, s, 0)

	_, err = importText(t, s, good+fmt.Sprintf(`{"v":%d,"shape":"new"}`, fleet.EntryFormat+1)+"\n{}\n")
	wantKind(t, err, fleet.TooNew, "yard.jsonl:2501")
	wantCount(t, s, 0)

	_, err = journal.Import(t.Context(), s, "yard.jsonl", &dropping{strings.NewReader(good)}, journal.ImportOptions{})
	wantKind(t, err, fleet.Unavailable, "line dropped")
	wantCount(t, s, 0)

	var calls []int
	got, err := journal.Import(t.Context(), s, "yard.jsonl", strings.NewReader(good),
		journal.ImportOptions{Progress: func(n int) {
			calls = append(calls, n)
		}})
	if err != nil || got.Added != 2500 {
		t.Fatalf("%+v, %v", got, err)
	}
	if diff := cmp.Diff([]int{1000, 2000, 2500}, calls); diff != "" {
		t.Errorf("progress (-want +got):\n%s", diff)
	}
	wantCount(t, s, 2500)
}

// dropping is a sender that fails at the end.
type dropping struct{ r *strings.Reader }

func (d *dropping) Read(p []byte) (int, error) {
	n, err := d.r.Read(p)
	if err != nil {
		return n, fmt.Errorf("%w", errors.New("line dropped"))
	}
	return n, nil
}
