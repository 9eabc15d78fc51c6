// Package given finds the data that tests compare with and that stand outside this repository.
package given

import (
	"os"
	"path/filepath"
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
