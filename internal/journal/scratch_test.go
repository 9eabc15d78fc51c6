package journal

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// What is kept is found again by another process, for the very same alone; a spoilt
// line is not found, and spoils no other.
func TestScratch(t *testing.T) {
	dir := t.TempDir()
	var group sync.WaitGroup
	a, b := FoldsOf(nil, dir), FoldsOf(nil, dir) // two that write at once
	for i := range 50 {
		group.Go(func() { a.Remember(fmt.Sprint("a", i), fmt.Appendf(nil, "[%d]", i)) })
		group.Go(func() { b.Remember(fmt.Sprint("b", i), fmt.Appendf(nil, "[%d]", i)) })
	}
	group.Wait()
	name := filepath.Join(dir, keptFolder, scratchFile)
	src, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	other := FoldsOf(nil, dir)
	for i := range 50 {
		for _, who := range []string{"a", "b"} {
			if got := other.Recall(fmt.Sprint(who, i)); string(got) != fmt.Sprintf("[%d]", i) {
				t.Errorf("%s%d gives %q", who, i, got)
			}
		}
	}
	if got := other.Recall("a"); got != nil {
		t.Errorf("what was never kept gives %q", got)
	}

	lines := strings.SplitAfter(string(src), "\n")
	lost := 0
	for at := range lines[7] {
		spoilt := []byte(strings.Join(lines, ""))
		start := len(strings.Join(lines[:7], ""))
		spoilt[start+at] ^= 1
		if err := os.WriteFile(name, spoilt, 0o600); err != nil {
			t.Fatal(err)
		}
		found, c := 0, FoldsOf(nil, dir)
		for i := range 50 {
			for _, who := range []string{"a", "b"} {
				switch got := c.Recall(fmt.Sprint(who, i)); {
				case got == nil:
				case string(got) == fmt.Sprintf("[%d]", i):
					found++
				default:
					t.Fatalf("byte %d turned: %s%d gives %q", at, who, i, got)
				}
			}
		}
		if lost = max(lost, 100-found); found < 98 { // a lost line break takes the next one along
			t.Fatalf("byte %d turned: %d of 100 found", at, found)
		}
	}
	if lost == 0 {
		t.Error("no spoilt line is noticed")
	}
}

// It stays small, in memory and on file, and works where no file can be.
func TestScratchStaysSmall(t *testing.T) {
	dir := t.TempDir()
	s := scratchIn(dir)
	for i := range mostScratch + 10 {
		s.Remember(fmt.Sprint(i), []byte("1"))
	}
	src, err := os.ReadFile(filepath.Join(dir, keptFolder, scratchFile))
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(src), "\n"); n != 10 || len(s.kept) != 10 {
		t.Errorf("%d lines on file, %d in memory, want 10", n, len(s.kept))
	}
	for _, dir := range []string{"", filepath.Join(dir, keptFolder, scratchFile)} {
		s := scratchIn(dir)
		if s.Remember("x", []byte("1")); string(s.Recall("x")) != "1" {
			t.Errorf("nothing is kept in memory where the folder is %q", dir)
		}
	}
}

// A line may be long; together they stay within what is kept, and another program finds none of them.
func TestScratchStaysSmallInBytes(t *testing.T) {
	dir := t.TempDir()
	s, long := scratchIn(dir), []byte(strings.Repeat("7", mostBytes/5))
	for i := range 7 {
		s.Remember(fmt.Sprint(i), long)
		info, err := os.Stat(filepath.Join(dir, keptFolder, scratchFile))
		if err != nil || info.Size() > mostBytes*11/10 || s.size > mostBytes {
			t.Fatalf("after %d lines %d bytes on file, %d in memory, %v", i+1, info.Size(), s.size, err)
		}
	}
	other := scratchIn(dir)
	if got := other.Recall("6"); string(got) != string(long) {
		t.Errorf("a long line gives %d bytes, want %d", len(got), len(long))
	}
	before := Program
	t.Cleanup(func() { Program = before })
	Program = func() string { return "another" }
	if got := scratchIn(dir).Recall("6"); got != nil {
		t.Errorf("what another program kept gives %d bytes", len(got))
	}
}
