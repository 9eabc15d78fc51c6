package onbelt

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"slices"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/surface"
)

// Every code of a fault that an engine can give has words of its own, a line each.
func TestEveryFaultHasWords(t *testing.T) {
	named := map[string]string{}
	engine(t, "belt.go", named)
	all := slices.Collect(maps.Keys(named))
	engine(t, "profile.go", named)
	for of, codes := range map[string][]string{"": all, Profile: engine(t, "profile.go", named),
		Hose: engine(t, "hose.go", named)} {
		said := map[string]bool{}
		other, _ := words(of, surface.Fault{Code: "another"})
		for _, name := range codes {
			wrong, better := words(of, surface.Fault{Code: named[name], Value: 1, Want: 2})
			if named[name] == "" || wrong == other || said[wrong.String()] || better == "" ||
				len(wrong.String())+len(better.String()) > 150 || !strings.HasSuffix(wrong.String(), ".") ||
				!strings.HasSuffix(better.String(), ".") {
				t.Errorf("%q %s: %q %q", of, name, wrong, better)
			}
			said[wrong.String()] = true
		}
		if len(said) < 4 {
			t.Errorf("%q: %d codes found in the engine", of, len(said))
		}
	}
}

// engine adds the codes that a file of the engine names, and returns the names of those that it gives.
func engine(t *testing.T, file string, named map[string]string) (given []string) {
	t.Helper()
	src, err := parser.ParseFile(token.NewFileSet(), "../../../surface/"+file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(src, func(n ast.Node) bool {
		switch v := n.(type) {
		case *ast.ValueSpec:
			if len(v.Values) == 1 {
				if lit, ok := v.Values[0].(*ast.BasicLit); ok && v.Names[0].IsExported() {
					if code, err := strconv.Unquote(lit.Value); err == nil {
						named[v.Names[0].Name] = code
					}
				}
			}
		case *ast.KeyValueExpr:
			key, ok := v.Key.(*ast.Ident)
			if name, is := v.Value.(*ast.Ident); ok && is && key.Name == "Code" && !slices.Contains(given, name.Name) {
				given = append(given, name.Name)
			}
		}
		return true
	})
	return given
}

// straight is a belt of two ribs that runs down a picture, with a crack on each.
func straight() *Seen {
	s := &Seen{Width: 100, Height: 900}
	s.Frame.Pitch = 3.56
	for i := range 3 {
		y := 400 * float64(i)
		s.Frame.Stations = append(s.Frame.Stations, surface.Station{Along: 40 * float64(i),
			Lines: []surface.Point{{X: 10, Y: y}, {X: 45.6, Y: y}, {X: 81.2, Y: y}}})
	}
	for rib := range 2 {
		x := 3.56 * (float64(rib) + 0.5)
		s.Cracks = append(s.Cracks, surface.Crack{Path: []surface.Point{{X: x - 1, Y: 30}, {X: x + 1, Y: 30}},
			Ribs: []int{rib}, Length: 2, Chance: 0.9})
	}
	s.Again()
	return s
}

// What hands do is counted: a mark added lies on the rib that was touched, one struck out stays and does not count.
func TestHandsAreCounted(t *testing.T) {
	s := straight()
	if s.Stops || s.Marks != 2 || s.Value != 1 || len(s.Drawn) != 2 || s.Turn != 0 {
		t.Fatalf("%+v", s)
	}
	if !s.Add(60, 500) || s.Add(5, 500) {
		t.Error("a mark is added beside the belt, or none on it")
	}
	s.Again()
	added := s.Cracks[len(s.Cracks)-1]
	if s.Marks != 3 || s.ByHand != 1 || s.Value != 2 || added.Ribs[0] != 1 || added.Path[0].Y != 50 ||
		s.Reading.Count.Worst != 1 {
		t.Errorf("%+v after one was added: %+v", s.Reading.Count, added)
	}
	s.Out = []int{1, 1, 7, -1}
	s.Again()
	if s.Marks != 2 || s.Struck != 1 || s.Value != 1 || len(s.Cracks) != 3 || !s.Drawn[1].Out {
		t.Errorf("%d marks, %d struck out, %.0f", s.Marks, s.Struck, s.Value)
	}
}
