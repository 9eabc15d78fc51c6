package arch

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/internal/catalogue"
)

// Names of the catalogue belong into its files: code that asks for a part, a
// check or an answer by its id stops working when an owner's catalogue calls
// it something else. What code needs to know of a kind is a field of it.

// ownWords are ids that are words of something else as well, and where.
var ownWords = map[string][]string{
	"idler":     {"cli", "web", "advise", "belt"}, // a flag of the command run, and its form
	"taken-off": {"cli"},                          // a flag of the command done
}

// idFields are fields that hold an id of the catalogue, and idCalls functions
// that take one.
var (
	idFields = []string{"ID", "Is", "Check", "Kind", "System", "Symptom", "Answer"}
	idCalls  = []string{"Kind", "Check", "Answer"}
)

// ids are the names that the catalogue's files give.
type ids struct {
	telling map[string]bool // kinds, and what has a hyphen: nothing else is called so
	all     map[string]bool // words such as "run" among them
}

func catalogueIDs(t *testing.T) ids {
	t.Helper()
	c, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	out := ids{map[string]bool{}, map[string]bool{}}
	add := func(id string, kind bool) {
		out.all[id] = true
		if kind || strings.Contains(id, "-") {
			out.telling[id] = true
		}
	}
	for _, k := range c.Kinds() {
		add(k.ID, true)
		for i := range k.Checks {
			add(k.Checks[i].ID, false)
			for _, a := range k.Checks[i].Answers {
				add(a.ID, false)
			}
		}
	}
	for _, s := range c.Systems() {
		add(s.ID, false)
	}
	for _, s := range c.Symptoms() {
		add(s.ID, false)
	}
	return out
}

func TestNoIDsOfTheCatalogueInCode(t *testing.T) {
	known := catalogueIDs(t)
	files := 0
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() && (path == "../demo" || path == "../arch" || strings.HasSuffix(name, "test") ||
			name == "testdata") {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		files++
		src, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		room, _, _ := strings.Cut(strings.TrimPrefix(filepath.ToSlash(path), "../"), "/")
		for _, id := range named(src, known, room) {
			t.Errorf("%s names %q, an id of the catalogue: make what it stands for a field of the catalogue", path, id)
		}
		return nil
	})
	if err != nil || files < 100 {
		t.Fatalf("%d files read, %v", files, err)
	}
}

// named returns the ids of the catalogue that a file's code names.
func named(src *ast.File, known ids, room string) []string {
	var out []string
	ast.Inspect(src, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			return n.Tag == nil
		case *ast.BasicLit:
			if id := text(n); known.telling[id] && !slices.Contains(ownWords[id], room) {
				out = append(out, id)
			}
		case *ast.CompositeLit:
			out = append(out, listed(n, known)...)
		case *ast.BinaryExpr:
			if isField(n.X) && known.all[text(n.Y)] {
				out = append(out, text(n.Y))
			}
		case *ast.SwitchStmt:
			if n.Tag != nil && isField(n.Tag) {
				out = append(out, cases(n, known)...)
			}
		case *ast.IndexExpr:
			if f, ok := n.X.(*ast.SelectorExpr); ok && f.Sel.Name == "Latest" && known.all[text(n.Index)] {
				out = append(out, text(n.Index))
			}
		case *ast.CallExpr:
			if f, ok := n.Fun.(*ast.SelectorExpr); ok && slices.Contains(idCalls, f.Sel.Name) {
				for _, arg := range n.Args {
					if known.all[text(arg)] {
						out = append(out, text(arg))
					}
				}
			}
		}
		return true
	})
	return out
}

// listed returns the ids in a list that holds nothing else.
func listed(n *ast.CompositeLit, known ids) []string {
	var out []string
	for _, e := range n.Elts {
		id := text(e)
		if !known.all[id] {
			return nil
		}
		if !known.telling[id] { // those are found wherever they stand
			out = append(out, id)
		}
	}
	return out
}

// cases returns the ids that the cases of a switch name.
func cases(n *ast.SwitchStmt, known ids) []string {
	var out []string
	for _, stmt := range n.Body.List {
		for _, e := range stmt.(*ast.CaseClause).List {
			if known.all[text(e)] {
				out = append(out, text(e))
			}
		}
	}
	return out
}

func isField(e ast.Expr) bool {
	f, ok := e.(*ast.SelectorExpr)
	return ok && slices.Contains(idFields, f.Sel.Name)
}

// text returns what a string literal says, or "".
func text(e ast.Expr) string {
	lit, ok := e.(*ast.BasicLit)
	if !ok || lit.Kind != token.STRING {
		return ""
	}
	s, err := strconv.Unquote(lit.Value)
	if err != nil {
		return ""
	}
	return s
}

// TestNamedFindsIDs: the finder finds each way in which code can name an id.
func TestNamedFindsIDs(t *testing.T) {
	known := catalogueIDs(t)
	for body, want := range map[string][]string{
		`var m = map[string]int{"battery": 1}`:                            {"battery"},
		`const k = "timing-belt"`:                                         {"timing-belt"},
		`func f(c C) bool { return c.Check.ID == "noise" }`:               {"noise"},
		`func f(k K) any { return k.Check("level") }`:                     {"level"},
		`func f(p P) any { return p.Latest["cracks"] }`:                   {"cracks"},
		`func f(s S) { switch s.Symptom { case "heat", "warm": } }`:       {"heat"},
		`var run, path = "run", "path"; type T struct { Level int "run"}`: nil,
		`var travelling = []string{"oil", "rub", "top-hose"}`:             {"oil", "rub", "top-hose"},
		`const flag = "idler"`:                                            {"idler"},
	} {
		src, err := parser.ParseFile(token.NewFileSet(), "x.go", "package x\n"+body, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		if got := named(src, known, "judge"); !slices.Equal(got, want) {
			t.Errorf("%s: found %q, want %q", body, got, want)
		}
	}
}
