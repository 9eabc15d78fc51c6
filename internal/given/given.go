// Package given finds the data that tests compare with and that stand outside this repository, and
// compares with the figures of docs/calibration.md.
package given

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Data is the folder named by path under the folder of given data: UNDERTRAY_SHARED, or a folder
// called shared in one above the working directory. A test that asks for what is not there is
// skipped by that name, and fails where CI is set.
func Data(t testing.TB, path ...string) string {
	t.Helper()
	want := filepath.Join(path...)
	for _, root := range roots(t) {
		dir := filepath.Join(root, want)
		if info, err := os.Stat(dir); err == nil && info.IsDir() {
			return dir
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("no shared/%s, and CI is set: set UNDERTRAY_SHARED to the folder shared", want)
	}
	t.Skipf("no shared/%s: set UNDERTRAY_SHARED to the folder shared", want)
	return ""
}

// roots are the folders that may hold the given data.
func roots(t testing.TB) []string {
	if dir := os.Getenv("UNDERTRAY_SHARED"); dir != "" {
		return []string{dir}
	}
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for ; dir != filepath.Dir(dir); dir = filepath.Dir(dir) {
		out = append(out, filepath.Join(dir, "shared"))
	}
	return out
}

// Table is a CSV file of the folder named by path under the given data, whose last part is the
// file, without its head. What is not there is treated as by [Data].
func Table(t testing.TB, path ...string) [][]string {
	t.Helper()
	last := len(path) - 1
	file, err := os.Open(filepath.Join(Data(t, path[:last]...), path[last]))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

// Number reads a number of a table.
func Number(t testing.TB, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// Calibration compares a section of docs/calibration.md with what an engine's tests, which run in
// its folder, find now; or writes it anew.
func Calibration(t testing.TB, section, text string, anew bool) {
	t.Helper()
	const file = "../docs/calibration.md"
	page, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	begin, end := "<!-- "+section+" -->\n", "<!-- end of "+section+" -->"
	before, rest, found := strings.Cut(string(page), begin)
	old, after, closed := strings.Cut(rest, end)
	if !found || !closed {
		t.Fatalf("%s has no section %s", file, section)
	}
	if anew {
		if err := os.WriteFile(file, []byte(before+begin+text+end+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if old != text {
		t.Errorf("%s is out of date: run this test with -update and look at the difference\n%s", file, text)
	}
}
