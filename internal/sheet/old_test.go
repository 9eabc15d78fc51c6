package sheet

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// old reads the sheets that vehicles were started from before sheets were put together
// from answers, by their ids.
func old(t testing.TB) map[string][]byte {
	t.Helper()
	names, err := filepath.Glob("testdata/before/*.yaml")
	if err != nil || len(names) != 5 {
		t.Fatal(names, err)
	}
	out := map[string][]byte{}
	for _, name := range names {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		out[strings.TrimSuffix(filepath.Base(name), ".yaml")] = src
	}
	return out
}

// Sheets that were started from the five fixed files load as they did: without
// mistakes, without warnings, with all they held.
func TestOldSheetsLoad(t *testing.T) {
	positions := map[string]int{"four-transverse-petrol": 59, "four-long-diesel": 62, "v6-long-petrol": 60,
		"four-carburettor": 52, "small-hybrid": 51}
	known := knowledge(t)
	for id, src := range old(t) {
		s, err := Read(id, src, known)
		if err != nil {
			t.Errorf("%s:\n%v", id, err)
			continue
		}
		for _, w := range s.Warnings {
			t.Errorf("%s: %v", id, w)
		}
		if n := len(s.Vehicle.Positions); n != positions[id] || s.Vehicle.ID != id {
			t.Errorf("%s: %d positions of %s", id, n, s.Vehicle.ID)
		}
	}
}

func TestIDs(t *testing.T) {
	good := regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	rapid.Check(t, func(t *rapid.T) {
		id := goodID(rapid.String().Draw(t, "text"))
		if id != "" && (!good.MatchString(id) || goodID(id) != id) {
			t.Fatalf("%q is no good id", id)
		}
	})
}
