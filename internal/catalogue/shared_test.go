package catalogue_test

import (
	"os"
	"path/filepath"
	"testing"
)

// seen is one observation of a trade case expressed through a check.
type seen struct{ check, answer, figure string }

// shared returns the folder of reference data: where UNDERTRAY_SHARED says, or
// a folder named shared beside the module. Without it the test is skipped,
// except in CI.
func shared(t testing.TB) string {
	t.Helper()
	if dir := os.Getenv("UNDERTRAY_SHARED"); dir != "" {
		return dir
	}
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for dir != filepath.Dir(dir) {
		dir = filepath.Dir(dir)
		if at := filepath.Join(dir, "shared"); exists(filepath.Join(at, "reference")) {
			return at
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatal("the reference data are not there: set UNDERTRAY_SHARED")
	}
	t.Skip("the reference data are not there: set UNDERTRAY_SHARED")
	return ""
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
