// Package arch holds the test that keeps imports pointing down.
package arch

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// floors lists the packages from the ground up. A package imports only from
// its own floor or a lower one, and adapters never import each other.
var floors = [][]string{
	{"civil", "units", "internal/harm", "internal/message"}, // the ground that engines stand on too
	{"usage", "sequence", "drive", "listen", "lifetime", "wear", "condition", "schedule", "draw",
		"survey", "surface"},
	{"internal/say", "internal/machine", "internal/runwords", "internal/cells", "internal/howfar"},
	{"internal/fleet", "internal/yamltree", "internal/catalogue", "internal/sheet", "internal/judge", "internal/aboard",
		"internal/undone", "internal/pace"},
	{"internal/advise", "internal/record"},
	{"internal/ahead", "internal/looks", "internal/together"}, // stand on advise, which knows nothing of them
	{"internal/visit", "internal/belt", "internal/reckon", "internal/handover", "internal/tally"},
	{"internal/plan"},
	{"internal/trip"},
	{"internal/journal", "internal/print", "internal/intake", "internal/yard", "internal/given"},
	{"internal/backup", "internal/door", "internal/picture", "internal/sound", "internal/handfile"},
	{"internal/demo", "internal/cli", "internal/web"},
	{"cmd/undertray", "cmd/manpages", "bench", "packaging"},
}

// shells show what rooms say and compute nothing themselves: of the engines they
// import those that draw or set letters, and quantities and dates.
var (
	shells       = []string{"internal/cli", "internal/web", "internal/print"}
	shellEngines = []string{"draw", "draw/plate", "draw/typeface", "units", "civil"}
)

const (
	engines  = 1 // floors up to this one are engines
	adapters = 9
)

// forbidden lists what engines must not reach: files, network, clocks' and
// logs' packages, and the database.
var forbidden = []string{"os", "net", "net/http", "database/sql", "log", "log/slog", "io/fs", "os/exec"}

// forTests are packages that nothing but tests imports.
var forTests = []string{"internal/message/messagetest"}

// owners says which room alone may import an engine; draw, units and civil
// serve everybody, and engines stand on each other. An empty list is nobody yet.
var owners = map[string][]string{
	"usage":     {"internal/advise"},
	"lifetime":  {"internal/ahead"},
	"wear":      {"internal/ahead"},
	"sequence":  {"internal/visit"},
	"drive":     {"internal/belt", "internal/sheet", "internal/runwords"}, // a sheet checks the runs it holds
	"listen":    {"internal/belt", "internal/runwords"},
	"survey":    {"internal/belt"},
	"schedule":  {"internal/plan"},
	"condition": {"internal/ahead"},
	"surface":   {"internal/tally"},
}

type pkg struct {
	ImportPath string
	Imports    []string
}

func TestImportsPointDown(t *testing.T) {
	for _, p := range listPackages(t) {
		from := floor(p.ImportPath)
		if from < 0 {
			t.Errorf("%s stands on no floor: add it to the list", p.ImportPath)
			continue
		}
		for _, imp := range p.Imports {
			checkImport(t, p.ImportPath, from, imp)
		}
	}
}

func checkImport(t *testing.T, path string, from int, imp string) {
	t.Helper()
	if from <= engines && slices.Contains(forbidden, imp) && !slices.Contains(forTests, short(path)) {
		t.Errorf("%s is an engine and imports %s", path, imp)
	}
	if !strings.HasPrefix(imp, "undertray.example/undertray/") {
		return
	}
	if slices.Contains(forTests, short(imp)) {
		t.Errorf("%s imports %s, which is for tests", path, imp)
	}
	if rooms, ok := owners[short(imp)]; ok && from > engines && strings.HasPrefix(short(path), "internal/") &&
		!slices.Contains(rooms, root(path)) {
		t.Errorf("%s imports the engine %s, which only %s may", path, short(imp), strings.Join(rooms, " and "))
	}
	to := floor(imp)
	if slices.Contains(shells, root(path)) && to <= engines && !strings.HasPrefix(short(imp), "internal/") &&
		!slices.Contains(shellEngines, short(imp)) {
		t.Errorf("%s imports the engine %s: what it works out belongs into a room", path, short(imp))
	}
	if to > from {
		t.Errorf("%s imports %s, which stands above it", path, imp)
	}
	if from == adapters && to == adapters && root(path) != root(imp) {
		t.Errorf("%s and %s are both adapters: they must not import each other", path, imp)
	}
}

// TestDrawnIsForTests: what draws pictures for tests is in no program, and shares no code with what reads them.
func TestDrawnIsForTests(t *testing.T) {
	const drawn = "undertray.example/undertray/surface/drawn"
	seen := false
	for _, p := range listPackages(t) {
		if slices.Contains(p.Imports, drawn) {
			t.Errorf("%s imports %s, which is for tests alone", p.ImportPath, drawn)
		}
		if p.ImportPath != drawn {
			continue
		}
		seen = true
		for _, imp := range p.Imports {
			if strings.HasPrefix(imp, "undertray.example/undertray/") {
				t.Errorf("%s imports %s: it shares no code with what it tests", drawn, imp)
			}
		}
	}
	if !seen {
		t.Fatalf("%s not found", drawn)
	}
}

func short(path string) string { return strings.TrimPrefix(path, "undertray.example/undertray/") }

// root returns the listed package that a path belongs to, so that
// sub-packages stand where their parent does.
func root(path string) string {
	p := short(path)
	for _, f := range floors {
		for _, name := range f {
			if p == name || strings.HasPrefix(p, name+"/") {
				return name
			}
		}
	}
	return ""
}

func floor(path string) int {
	r := root(path)
	return slices.IndexFunc(floors, func(f []string) bool { return slices.Contains(f, r) })
}

// TestOneDoorToStorage: adapters know a journal by its interface, so that one
// more store is a new file and a line of wiring.
func TestOneDoorToStorage(t *testing.T) {
	door := regexp.MustCompile(`\bjournal\.(SQLite|OpenSQLite|Postgres|OpenPostgres)\b`)
	files := 0
	for _, folder := range []string{"../cli", "../web", "../demo"} {
		names, err := filepath.Glob(filepath.Join(folder, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		files += len(names)
		for _, name := range names {
			src, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if at := door.Find(src); at != nil {
				t.Errorf("%s names %s: ask for a journal.Store through journal.Open", name, at)
			}
		}
	}
	if files == 0 {
		t.Fatal("no files found")
	}
}

func listPackages(t *testing.T) []pkg {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports", "undertray.example/undertray/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var pkgs []pkg
	dec := json.NewDecoder(strings.NewReader(string(out)))
	for {
		var p pkg
		err := dec.Decode(&p)
		if errors.Is(err, io.EOF) {
			return pkgs
		}
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(p.ImportPath, "undertray.example/undertray/internal/arch") {
			pkgs = append(pkgs, p)
		}
	}
}
