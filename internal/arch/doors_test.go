package arch

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// dependenciesFile says of each library which packages import it.
const dependenciesFile = "../../docs/dependencies.md"

// version ends the path of a module that had others before.
var version = regexp.MustCompile(`/v[0-9]+$`)

// plainPath is a module's path as the list has it.
func plainPath(module string) string {
	for _, host := range []string{"github.com/", "codeberg.org/"} {
		module = strings.TrimPrefix(module, host)
	}
	return version.ReplaceAllString(module, "")
}

// TestDoors: the packages that the list names import a library, and no others, tests beside
// them only where it says so; every library that is asked for stands on the list, and nothing
// that is not.
func TestDoors(t *testing.T) {
	src, err := os.ReadFile(dependenciesFile)
	if err != nil {
		t.Fatal(err)
	}
	doors := map[string][]string{}
	for line := range strings.Lines(string(src)) {
		cells := strings.Split(line, "|")
		if len(cells) < 6 || strings.HasPrefix(cells[1], "--") || strings.Contains(cells[1], "npm") ||
			strings.TrimSpace(cells[1]) == "library" {
			continue
		}
		for library := range strings.SplitSeq(cells[1], ",") {
			for door := range strings.SplitSeq(cells[3], ",") {
				library := strings.TrimSpace(library)
				doors[library] = append(doors[library], strings.TrimSpace(door))
			}
		}
	}
	code, tests := importers(t)
	for library, listed := range doors {
		var want []string
		for _, d := range listed {
			if d != "tests" && !strings.HasSuffix(d, " tests") {
				want = append(want, d)
			}
		}
		got := code[library]
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s is imported by %q, and the list names %q", library, got, want)
		}
		for _, p := range tests[library] {
			if !slices.Contains(listed, "tests") && !slices.Contains(listed, p+" tests") && !slices.Contains(want, p) {
				t.Errorf("the tests of %s import %s, and the list does not say so", p, library)
			}
		}
		for _, d := range listed {
			if p, ok := strings.CutSuffix(d, " tests"); ok && !slices.Contains(tests[library], p) {
				t.Errorf("the list says that the tests of %s import %s", p, library)
			}
		}
	}
	for library := range tests {
		if doors[library] == nil {
			t.Errorf("%s is not on the list", library)
		}
	}
	if len(doors) < 25 {
		t.Errorf("%d libraries are listed", len(doors))
	}
}

// importers are the packages that import each library that go.mod asks for, by its plain path:
// in what they are built from, and in their tests.
func importers(t *testing.T) (code, tests map[string][]string) {
	t.Helper()
	var mod struct {
		Require []struct {
			Path     string
			Indirect bool
		}
	}
	decode(t, &mod, "mod", "edit", "-json", "../../go.mod")
	code, tests = map[string][]string{}, map[string][]string{}
	var libraries []string
	for _, m := range mod.Require {
		if !m.Indirect {
			libraries = append(libraries, m.Path)
			tests[plainPath(m.Path)] = nil
		}
	}
	fields := "-json=ImportPath,Imports,TestImports,XTestImports"
	out, err := exec.Command("go", "list", fields, "undertray.example/undertray/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	dec := json.NewDecoder(strings.NewReader(string(out)))
	for {
		var p struct {
			ImportPath                         string
			Imports, TestImports, XTestImports []string
		}
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		for _, l := range libraries {
			of := func(imp string) bool { return imp == l || strings.HasPrefix(imp, l+"/") }
			if slices.ContainsFunc(p.Imports, of) {
				code[plainPath(l)] = append(code[plainPath(l)], short(p.ImportPath))
			}
			if slices.ContainsFunc(append(p.TestImports, p.XTestImports...), of) {
				tests[plainPath(l)] = append(tests[plainPath(l)], short(p.ImportPath))
			}
		}
	}
	for _, packages := range code {
		slices.Sort(packages)
	}
	return code, tests
}

// decode reads what a go command says as JSON.
func decode(t *testing.T, into any, args ...string) {
	t.Helper()
	out, err := exec.Command("go", args...).Output()
	if err == nil {
		err = json.Unmarshal(out, into)
	}
	if err != nil {
		t.Fatal(err)
	}
}
