package yard

import (
	"os"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"undertray.example/undertray/internal/fleet"
)

// Of many who replace a sheet at once, each with what it said when they read it, one
// does; the others are told, and what was there before each change can be put back.
func TestASheetIsReplacedByOneAtATime(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "vehicles/wren.yaml", "first")
	now := time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC)
	var landed atomic.Int32
	var all sync.WaitGroup
	for i := range 20 {
		all.Go(func() {
			err := ReplaceSheet(dir, "wren", []byte{'n', byte('a' + i)}, Digest([]byte("first")), now)
			if err == nil {
				landed.Add(1)
			} else if fleet.KindOf(err) != fleet.Conflict {
				t.Error(err)
			}
		})
	}
	all.Wait()
	text := func() string {
		src, err := os.ReadFile(SheetPath(dir, "wren"))
		if err != nil {
			t.Fatal(err)
		}
		return string(src)
	}
	second := text()
	if landed.Load() != 1 {
		t.Fatalf("%d landed", landed.Load())
	}
	if err := ReplaceSheet(dir, "wren", []byte("third"), Digest([]byte(second)), now.Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{second, "first"} {
		now = now.Add(2 * time.Hour)
		if err := UndoSheet(dir, "wren", Digest([]byte(text())), now); err != nil || text() != want {
			t.Fatalf("undone, it says %q, want %q (%v)", text(), want, err)
		}
	}
	if err := UndoSheet(dir, "wren", Digest([]byte("first")), now); fleet.KindOf(err) != fleet.Conflict {
		t.Errorf("more is undone than was done: %v", err)
	}
}
