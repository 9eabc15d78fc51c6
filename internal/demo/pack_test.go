package demo

import (
	"bytes"
	"flag"
	"os"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/yard"
)

var update = flag.Bool("update", false, "pack the stories anew")

// The pack must be what the stories tell, by today's catalogue and sheets.
func TestPackIsCurrent(t *testing.T) {
	dir := t.TempDir()
	if err := Sheets(dir); err != nil {
		t.Fatal(err)
	}
	y, err := yard.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	told, err := Entries(y)
	if err != nil {
		t.Fatal(err)
	}
	want, err := pack(told)
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile(packName, want, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	got, err := data.ReadFile(packName)
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("the pack is stale (%v): run go generate ./internal/demo", err)
	}
}

// pack returns the packed form of entries.
func pack(entries []*fleet.Entry) ([]byte, error) {
	sum, err := digest()
	if err != nil {
		return nil, err
	}
	out := bytes.NewBufferString(sum + "\n")
	for _, e := range entries {
		line, err := fleet.EncodeEntry(e)
		if err != nil {
			return nil, err
		}
		out.Write(line)
		out.WriteByte('\n')
	}
	return out.Bytes(), nil
}
