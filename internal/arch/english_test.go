package arch

import (
	"go/ast"
	"go/build"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
)

// speechless are the engines: what they find out is codes with arguments.
var speechless = []string{"drive", "survey", "listen", "schedule", "lifetime", "wear", "condition", "usage",
	"sequence", "surface"}

// tellers are the rooms that own an engine: what an engine refuses is phrased by
// their words, and its error text is for programmers.
var tellers = []string{"internal/sheet", "internal/runwords", "internal/advise", "internal/ahead", "internal/visit",
	"internal/belt", "internal/plan", "internal/tally", "internal/tally/onbelt"}

// plainNames are fields that hold a name or who says so, which may be long.
var plainNames = []string{"Name", "Source"}

// prose matches text of four words or more in a row.
var prose = regexp.MustCompile(`[A-Za-z%][A-Za-z'%.]*(,? [A-Za-z%][A-Za-z'%.]*){3}`)

// TestEnginesPhraseNothing: no engine fills an exported text of a struct with a
// sentence, written out or put together. Fields of its errors are left out: the
// law below keeps their text from being shown.
func TestEnginesPhraseNothing(t *testing.T) {
	keep(t, speechless, phrased, "an engine phrases a text: give a code and its arguments")
}

// keep wants no place in some packages to break a law.
func keep(t *testing.T, packages []string, broken func(*ast.File, *types.Info) []token.Pos, law string) {
	t.Helper()
	for _, name := range packages {
		fset, files, info := typed(t, name)
		for _, f := range files {
			for _, at := range broken(f, info) {
				t.Errorf("%s: %s", fset.Position(at), law)
			}
		}
	}
}

// phrased are the places where a sentence becomes an exported text.
func phrased(f *ast.File, info *types.Info) []token.Pos {
	var out []token.Pos
	check := func(field *types.Var, e ast.Expr) {
		if field != nil && field.Exported() && types.Identical(field.Type(), types.Typ[types.String]) &&
			!slices.Contains(plainNames, field.Name()) && isProse(e) {
			out = append(out, e.Pos())
		}
	}
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CompositeLit:
			checkFields(n, info, check)
		case *ast.AssignStmt:
			for i, lhs := range n.Lhs {
				sel, ok := lhs.(*ast.SelectorExpr)
				if !ok || len(n.Rhs) != len(n.Lhs) || isErrorType(info.TypeOf(sel.X)) {
					continue
				}
				field, _ := info.Uses[sel.Sel].(*types.Var)
				check(field, n.Rhs[i])
			}
		}
		return true
	})
	return out
}

// checkFields checks what a struct is made of.
func checkFields(n *ast.CompositeLit, info *types.Info, check func(*types.Var, ast.Expr)) {
	s, ok := info.TypeOf(n).Underlying().(*types.Struct)
	if !ok || isErrorType(info.TypeOf(n)) {
		return
	}
	for i, e := range n.Elts {
		kv, keyed := e.(*ast.KeyValueExpr)
		if !keyed {
			check(s.Field(i), e)
			continue
		}
		field, _ := info.Uses[kv.Key.(*ast.Ident)].(*types.Var)
		check(field, kv.Value)
	}
}

// isProse reports whether an expression is a sentence, or is put together from
// one.
func isProse(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.BasicLit:
		s, err := strconv.Unquote(e.Value)
		return err == nil && e.Kind == token.STRING && prose.MatchString(s)
	case *ast.BinaryExpr:
		return isProse(e.X) || isProse(e.Y)
	case *ast.ParenExpr:
		return isProse(e.X)
	case *ast.CallExpr:
		return isCall(e, "fmt", "Sprintf") && len(e.Args) > 0 && sentence(e.Args[0]) || isCall(e, "fmt", "Sprint")
	}
	return false
}

// TestRoomsShowNoErrorText: a room that owns an engine never takes the text of
// an error that may come from one: what is wrong is told in words made of the
// engine's code.
func TestRoomsShowNoErrorText(t *testing.T) {
	keep(t, tellers, errorTexts, "takes the text of an error, which is for programmers: phrase its code")
}

// errorTexts are the places where an error becomes text: its method called, or
// the error handed to something that takes anything and is not fmt.Errorf. What
// a file has from functions of the house alone is phrased for the owner already.
func errorTexts(f *ast.File, info *types.Info) []token.Pos {
	var out []token.Pos
	house := phrasedErrors(f, info)
	foreign := func(e ast.Expr) bool {
		id, ok := e.(*ast.Ident)
		return isErrorType(info.TypeOf(e)) && !(ok && house[info.ObjectOf(id)])
	}
	ast.Inspect(f, func(n ast.Node) bool {
		call, ok := n.(*ast.CallExpr)
		if !ok {
			return true
		}
		if id, ok := call.Fun.(*ast.Ident); ok && id.Name == "panic" {
			return false // a fault of the program
		}
		if sel, ok := call.Fun.(*ast.SelectorExpr); ok && sel.Sel.Name == "Error" &&
			len(call.Args) == 0 && foreign(sel.X) {
			out = append(out, call.Pos())
		}
		sig, ok := info.TypeOf(call.Fun).(*types.Signature)
		if !ok || isCall(call, "fmt", "Errorf") {
			return true
		}
		for i, arg := range call.Args {
			if foreign(arg) && takesAnything(sig, i) && !isCall(call, "errors", "As") {
				out = append(out, arg.Pos())
			}
		}
		return true
	})
	return out
}

// phrasedErrors are the variables of a file that hold errors of functions of
// the house and of no other.
func phrasedErrors(f *ast.File, info *types.Info) map[types.Object]bool {
	out := map[types.Object]bool{}
	ast.Inspect(f, func(n ast.Node) bool {
		set, ok := n.(*ast.AssignStmt)
		if !ok {
			return true
		}
		for _, lhs := range set.Lhs {
			id, ok := lhs.(*ast.Ident)
			if !ok || !isErrorType(info.TypeOf(lhs)) {
				continue
			}
			o := info.ObjectOf(id)
			was, seen := out[o]
			out[o] = ofTheHouse(set.Rhs[0], info) && (was || !seen)
		}
		return true
	})
	return out
}

// ofTheHouse reports whether a call is of a package that speaks to the owner.
func ofTheHouse(e ast.Expr, info *types.Info) bool {
	call, ok := e.(*ast.CallExpr)
	if !ok {
		return false
	}
	var id *ast.Ident
	switch fun := call.Fun.(type) {
	case *ast.Ident:
		id = fun
	case *ast.SelectorExpr:
		id = fun.Sel
	default:
		return false
	}
	o := info.Uses[id]
	return o != nil && o.Pkg() != nil && strings.HasPrefix(o.Pkg().Path(), "undertray.example/undertray/internal/")
}

// takesAnything reports whether a function's parameter is an empty interface.
func takesAnything(sig *types.Signature, i int) bool {
	params := sig.Params()
	if params.Len() == 0 {
		return false
	}
	t := params.At(min(i, params.Len()-1)).Type()
	if s, ok := t.(*types.Slice); ok && sig.Variadic() && i >= params.Len()-1 {
		t = s.Elem()
	}
	empty, ok := t.Underlying().(*types.Interface)
	return ok && empty.Empty()
}

var errorInterface = types.Universe.Lookup("error").Type().Underlying().(*types.Interface)

func isErrorType(t types.Type) bool {
	return t != nil && (types.Implements(t, errorInterface) || types.Implements(types.NewPointer(t), errorInterface))
}

// What packages import is read from what the compiler wrote of it, which the go command names all at once; it is
// shared, so that each package is read once.
var (
	sourceSet    = token.NewFileSet()
	fromCompiler = importer.ForCompiler(sourceSet, "gc", exported)
)

// exports are the files of export data of all packages of the module and of what they import, by import path.
var exports = sync.OnceValues(func() (map[string]string, error) {
	all := exec.Command("go", "list", "-export", "-deps", "-f", "{{.ImportPath}}\t{{.Export}}",
		"undertray.example/undertray/...")
	all.Stderr = os.Stderr
	out, err := all.Output()
	if err != nil {
		return nil, err
	}
	files := map[string]string{}
	for line := range strings.Lines(string(out)) {
		path, file, _ := strings.Cut(strings.TrimSpace(line), "\t")
		files[path] = file
	}
	return files, nil
})

func exported(path string) (io.ReadCloser, error) {
	files, err := exports()
	if err != nil {
		return nil, err
	}
	return os.Open(files[path])
}

// typed returns the files of a package with their types, tests not counted.
func typed(t *testing.T, name string) (*token.FileSet, []*ast.File, *types.Info) {
	t.Helper()
	names, err := filepath.Glob(filepath.Join("../..", name, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	var files []*ast.File
	for _, f := range names {
		built, err := build.Default.MatchFile(filepath.Split(f))
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(f, "_test.go") || !built {
			continue
		}
		tree, err := parser.ParseFile(sourceSet, f, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, tree)
	}
	if len(files) == 0 {
		t.Fatalf("%s: no files", name)
	}
	info := newInfo()
	conf := types.Config{Importer: fromCompiler}
	if _, err := conf.Check("undertray.example/undertray/"+name, sourceSet, files, info); err != nil {
		t.Fatal(err)
	}
	return sourceSet, files, info
}

func newInfo() *types.Info {
	return &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{},
		Defs: map[*ast.Ident]types.Object{}}
}

// TestTheLawsOfEnglishCatch: each way in which English came out of an engine is
// found, and what is no such way is not.
func TestTheLawsOfEnglishCatch(t *testing.T) {
	const head = `package x
import ("errors"; "fmt"; "strconv"; "undertray.example/undertray/internal/fleet")
type Code string
type Answer struct { Text, Name string; Code Code; why string }
type Refusal struct { Text string }
func (r *Refusal) Error() string { return r.Text }
func wrong(path, format string, args ...any) {}
func two(n int, err error) any { return nil }
`
	for body, want := range map[string][2]int{
		`var a = Answer{Text: "the belt is too short for it"}`:                                                                 {1, 0},
		`func f(n int) Answer { return Answer{fmt.Sprintf("the belt is %d mm", n), "", "", ""} }`:                              {1, 0},
		`func f(a *Answer, s string) { a.Text = "before the stop, " + "the pulley meets a " + s }`:                             {1, 0},
		`func f(a *Answer) { a.Name, a.Code, a.why = "a name of four words", "a code of four words", "a text of four words" }`: {0, 0},
		`var r = &Refusal{Text: "an error's text is for programmers"}`:                                                         {0, 0},
		`func f(r *Refusal) string { return r.Error() }`:                                                                       {0, 1},
		`func f(err error) { wrong("belt", "belt: %v", err) }`:                                                                 {0, 1},
		`func f() string { _, err := strconv.Atoi("1"); return err.Error() }`:                                                  {0, 1},
		`func f() string { _, err := fleet.ParseMonth(""); return err.Error() }`:                                               {0, 0},
		`func f(err error) string { return fmt.Sprintf("%s", err) }`:                                                           {0, 1},
		`func f(err error) error { var r *Refusal; errors.As(err, &r); two(1, err); return fmt.Errorf("planning: %w", err) }`:  {0, 0},
	} {
		f, err := parser.ParseFile(sourceSet, "x.go", head+body, 0)
		if err != nil {
			t.Fatal(err)
		}
		info := newInfo()
		conf := types.Config{Importer: fromCompiler, Error: func(error) {}} // what an example leaves unused
		_, _ = conf.Check("x", sourceSet, []*ast.File{f}, info)
		inHead := func(at []token.Pos) int {
			return len(slices.DeleteFunc(at, func(p token.Pos) bool {
				return sourceSet.Position(p).Offset < len(head)
			}))
		}
		if got := [2]int{inHead(phrased(f, info)), inHead(errorTexts(f, info))}; got != want {
			t.Errorf("%s: found %v, want %v", body, got, want)
		}
	}
}
