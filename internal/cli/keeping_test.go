package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undertray.example/undertray/internal/journal/pgtest"
)

// The page on keeping a yard is run as it stands, but for the address of the
// database, which is that of a server of the tests.
func TestKeepingPage(t *testing.T) {
	const example = "postgres://yard@localhost/yards?search_path=reserve"
	defer pgtest.Stop()
	address := pgtest.Address(t)
	src, err := os.ReadFile(filepath.Join("..", "..", "docs", "keeping.md"))
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(src), example); n < 4 {
		t.Fatalf("the example's address stands there %d times", n)
	}
	followText(t, strings.ReplaceAll(string(src), example, address), filepath.Join(t.TempDir(), "yard"))
	before, err1 := os.ReadFile("entries.jsonl")
	after, err2 := os.ReadFile("after.jsonl")
	if err1 != nil || err2 != nil || len(before) == 0 || !bytes.Equal(before, after) {
		t.Errorf("there and back: %v, %v\n%s\n%s", err1, err2, before, after)
	}
}
