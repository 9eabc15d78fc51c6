package arch

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

// lineWidth is what a line of Go may be wide, a tab counted as four.
const lineWidth = 120

// TestLinesAreNarrow: no line of Go is wider than fits beside another, but where
// it holds text of another kind: a raw string, or what an example prints.
func TestLinesAreNarrow(t *testing.T) {
	err := filepath.WalkDir("../..", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "node_modules" || d.Name() == "build" || d.Name() == ".git") {
			return filepath.SkipDir
		}
		if strings.HasSuffix(name, ".go") {
			checkWidth(t, name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func checkWidth(t *testing.T, name string) {
	t.Helper()
	src, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range tooWide(t, name, string(src)) {
		t.Errorf("%s:%d: a line of more than %d characters", name, n, lineWidth)
	}
}

// tooWide gives the numbers of the lines of a file that are too wide.
func tooWide(t *testing.T, name, src string) []int {
	t.Helper()
	var wide []int
	for i, line := range strings.Split(src, "\n") {
		if utf8.RuneCountInString(strings.ReplaceAll(line, "\t", "    ")) > lineWidth {
			wide = append(wide, i+1)
		}
	}
	if len(wide) == 0 {
		return nil
	}
	exempt := otherText(t, name, src)
	left := wide[:0]
	for _, n := range wide {
		if !exempt[n] {
			left = append(left, n)
		}
	}
	return left
}

// otherText marks the lines that raw strings and the outputs of examples stand on.
func otherText(t *testing.T, name, src string) map[int]bool {
	t.Helper()
	fset := token.NewFileSet()
	tree, err := parser.ParseFile(fset, name, src, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	lines := map[int]bool{}
	mark := func(from, to token.Pos) {
		for n := fset.Position(from).Line; n <= fset.Position(to).Line; n++ {
			lines[n] = true
		}
	}
	ast.Inspect(tree, func(n ast.Node) bool {
		if lit, ok := n.(*ast.BasicLit); ok && strings.HasPrefix(lit.Value, "`") {
			mark(lit.Pos(), lit.End())
		}
		return true
	})
	for _, c := range tree.Comments {
		if strings.HasPrefix(c.List[0].Text, "// Output:") {
			mark(c.Pos(), c.End())
		}
	}
	return lines
}

// TestTooWideSees tries the law on lines that it must and must not see.
func TestTooWideSees(t *testing.T) {
	long := strings.Repeat("x", lineWidth)
	for src, want := range map[string]int{
		"package a\n\n// " + long + "\nvar a = 1\n":                            1,
		"package a\n\nvar a = \"" + long + "\"\n":                              1,
		"package a\n\nvar a = `" + long + "`\n":                                0,
		"package a\n\nvar a = `\n" + long + "\n`\n":                            0,
		"package a\n\nfunc f() {\n" + strings.Repeat("\t", 31) + "}\n":         1,
		"package a\n\nfunc ExampleA() {\n\t// Output:\n\t// " + long + "\n}\n": 0,
	} {
		if got := tooWide(t, "a.go", src); len(got) != want {
			t.Errorf("%q: %v, want %d lines", src, got, want)
		}
	}
}
