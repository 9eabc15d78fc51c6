package runwords

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/listen"
)

// Each case that package listen refuses is said, by arguments that it has.
func TestEveryFaultOfARecordingIsSaid(t *testing.T) {
	files, err := filepath.Glob("../../listen/*.go")
	if err != nil || len(files) < 20 {
		t.Fatal(len(files), err)
	}
	found := 0
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), f, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(tree, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			id, ok := call.Fun.(*ast.Ident)
			at := map[string]int{"wrap": 1, "readError": 2}
			if !ok || at[id.Name] == 0 || text(call.Args[at[id.Name]]) == "" {
				return true
			}
			found++
			code := listen.Code(text(call.Args[at[id.Name]]))
			var has []string
			for _, a := range call.Args[at[id.Name]+1:] {
				if c, ok := a.(*ast.CallExpr); ok {
					has = append(has, text(c.Args[0]))
				}
			}
			said, ok := cases[code]
			if !ok {
				t.Errorf("%s: nothing is said of %q", f, code)
			}
			for _, of := range say.Named(said) {
				if !slices.Contains(has, of) {
					t.Errorf("%q: what is said names {%s}, which is none of %q", code, of, has)
				}
			}
			return true
		})
	}
	if found < 40 {
		t.Fatalf("only %d calls were found", found)
	}
}
