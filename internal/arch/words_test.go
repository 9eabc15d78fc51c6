package arch

import (
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// rooms are the use cases, each the answer to one question.
var rooms = []string{"advise", "ahead", "looks", "together", "reckon", "visit", "belt",
	"belt/measured", "plan", "plan/why",
	"plan/along", "plan/buying", "plan/calendar",
	"plan/moves", "trip", "record", "aboard", "undone",
	"pace", "visit/finish", "handover", "tally"}

// roomLines is how long a room may be, tests not counted.
const roomLines = 5000

func TestRoomsStaySmall(t *testing.T) {
	for _, room := range rooms {
		n := 0
		for _, f := range roomFiles(t, room) {
			src, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			n += strings.Count(string(src), "\n")
		}
		if n > roomLines {
			t.Errorf("room %s has %d lines, at most %d fit", room, n, roomLines)
		}
	}
}

// renders reports whether a file turns decisions into sentences, or into the
// JSON that carries these sentences.
func renders(file string) bool {
	base := filepath.Base(file)
	return strings.Contains(base, "words") || strings.Contains(base, "view")
}

// TestSentencesStandInWordsFiles: outside its words a room builds no text of
// words, but for errors.
func TestSentencesStandInWordsFiles(t *testing.T) {
	for _, room := range rooms {
		for _, f := range roomFiles(t, room) {
			if !renders(f) {
				checkNoSentence(t, f)
			}
		}
	}
}

func checkNoSentence(t *testing.T, file string) {
	t.Helper()
	fset := token.NewFileSet()
	tree, err := parser.ParseFile(fset, file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(tree, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CallExpr:
			if isError(n) {
				return false
			}
			if isCall(n, "fmt", "Sprintf") && len(n.Args) > 0 && sentence(n.Args[0]) {
				t.Errorf("%s: a sentence outside the room's words", fset.Position(n.Pos()))
			}
		case *ast.CompositeLit:
			if sel, ok := n.Type.(*ast.SelectorExpr); ok && sel.Sel.Name == "Error" {
				return false
			}
		case *ast.BinaryExpr:
			if n.Op == token.ADD && (sentence(n.X) || sentence(n.Y)) {
				t.Errorf("%s: a sentence put together outside the room's words", fset.Position(n.Pos()))
				return false
			}
		case *ast.AssignStmt:
			if id, ok := n.Lhs[0].(*ast.Ident); ok && id.Name == "hint" {
				return false // of an error
			}
			if n.Tok == token.ADD_ASSIGN && sentence(n.Rhs[0]) {
				t.Errorf("%s: a sentence put together outside the room's words", fset.Position(n.Pos()))
			}
		}
		return true
	})
}

// verbs matches the verbs of a format.
var verbs = regexp.MustCompile(`%[-+# 0]*(\[\d+\])?\d*(\.\d+)?[a-zA-Z%]`)

// wordy matches text that is part of a sentence: a word with a space beside it.
var wordy = regexp.MustCompile(`[A-Za-z]{2,} | [A-Za-z]{2,}`)

// sentence reports whether an expression is a literal with words in it.
func sentence(e ast.Expr) bool {
	lit, ok := e.(*ast.BasicLit)
	return ok && lit.Kind == token.STRING && wordy.MatchString(lit.Value)
}

// isError reports whether a call makes an error: what an error says stands
// where it arises.
func isError(c *ast.CallExpr) bool {
	switch f := c.Fun.(type) {
	case *ast.Ident:
		return errorMakers[f.Name]
	case *ast.SelectorExpr:
		return errorMakers[f.Sel.Name] || isCall(c, "fmt", "Errorf") || isCall(c, "errors", "New")
	}
	return false
}

// errorMakers are the functions that make a *fleet.Error.
var errorMakers = map[string]bool{"Fault": true, "NotFound": true, "invalid": true}

func isCall(c *ast.CallExpr, pkg, name string) bool {
	sel, ok := c.Fun.(*ast.SelectorExpr)
	if !ok || sel.Sel.Name != name {
		return false
	}
	id, ok := sel.X.(*ast.Ident)
	return ok && id.Name == pkg
}

// TestRoomsDecideWithoutWords: a room without its words and the JSON views that
// carry them still type-checks, so no decision hangs on a phrase.
func TestRoomsDecideWithoutWords(t *testing.T) {
	for _, room := range rooms {
		var files []*ast.File
		for _, f := range roomFiles(t, room) {
			if renders(f) {
				continue
			}
			tree, err := parser.ParseFile(sourceSet, f, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, tree)
		}
		conf := types.Config{Importer: fromCompiler, Error: func(err error) {
			t.Errorf("room %s without its words: %v", room, err)
		}}
		// Error hears of every fault.
		_, _ = conf.Check("undertray.example/undertray/internal/"+room, sourceSet, files, nil)
	}
}

// roomFiles returns a room's files, tests not counted.
func roomFiles(t *testing.T, room string) []string {
	t.Helper()
	all, err := filepath.Glob(filepath.Join("..", room, "*.go"))
	if err != nil || len(all) == 0 {
		t.Fatalf("room %s: %d files, %v", room, len(all), err)
	}
	var out []string
	for _, f := range all {
		if !strings.HasSuffix(f, "_test.go") {
			out = append(out, f)
		}
	}
	return out
}
