package runwords

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/say"
)

// coded are the codes that package drive gives, each with the names of its
// arguments as they stand in its source, where the call names them itself.
func coded(t *testing.T) map[drive.Code][]string {
	t.Helper()
	files, err := filepath.Glob("../../drive/*.go")
	if err != nil || len(files) < 20 {
		t.Fatal(len(files), err)
	}
	out := map[drive.Code][]string{}
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), f, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(tree, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				if id, ok := n.Fun.(*ast.Ident); ok && (id.Name == "badInput" || id.Name == "bad") && len(n.Args) > 0 {
					out[drive.Code(text(n.Args[0]))] = args(n)
				}
			case *ast.KeyValueExpr:
				if id, ok := n.Key.(*ast.Ident); ok && id.Name == "Code" && text(n.Value) != "" {
					out[drive.Code(text(n.Value))] = nil
				}
			case *ast.ReturnStmt, *ast.AssignStmt: // functions that choose a code, and codes chosen later
				ast.Inspect(n, func(m ast.Node) bool {
					if _, call := m.(*ast.CallExpr); call {
						return false
					}
					if e, ok := m.(ast.Expr); ok && words[drive.Code(text(e))].text != "" {
						out[drive.Code(text(e))] = nil
					}
					return true
				})
			}
			return true
		})
	}
	delete(out, "")
	return out
}

// args are the arguments that a call names.
func args(call *ast.CallExpr) []string {
	out := []string{}
	for _, a := range call.Args[1:] {
		if c, ok := a.(*ast.CallExpr); ok && len(c.Args) > 0 && text(c.Args[0]) != "" {
			out = append(out, text(c.Args[0]))
		}
	}
	return out
}

func text(e ast.Expr) string {
	lit, ok := e.(*ast.BasicLit)
	if !ok || lit.Kind != token.STRING {
		return ""
	}
	s, _ := strconv.Unquote(lit.Value)
	return s
}

// Each code of package drive is said, and what is said names arguments that
// the code has.
func TestEveryCodeIsSaid(t *testing.T) {
	codes := coded(t)
	if len(codes) < 70 {
		t.Fatalf("only %d codes were found", len(codes))
	}
	ofAPulley := []string{"centre", "diameter", "measure", "side", "groove", "speed limit", "out of line"}
	for code, has := range codes {
		s, ok := words[code]
		if !ok || s.text == "" {
			t.Errorf("nothing is said of %q", code)
		}
		if has == nil {
			continue
		}
		if slices.Contains(ofAPulley, string(code)) {
			has = append(has, "pulley")
		}
		if code == "too small for the belt" {
			continue // its arguments grow
		}
		for _, of := range say.Named(s.text + s.hint) {
			if !slices.Contains(has, of) {
				t.Errorf("%q: what is said names {%s}, which is none of %q", code, of, has)
			}
		}
	}
	for r := drive.PulleyInside; r <= drive.NotReached; r++ {
		if code := drive.Code(r.String()); words[code].text == "" && r != drive.WrongOrder {
			t.Errorf("nothing is said of the fault %q", code)
		}
	}
}

// Nothing that is refused leaves a brace or a broken verb in what is said.
func TestWordsAreWhole(t *testing.T) {
	run := func() drive.Run {
		return drive.Run{Belt: drive.Belt{Section: drive.PK(), Ribs: 5}, Pulleys: []drive.Pulley{
			{Name: "crank", Centre: drive.Point{X: 0, Y: 0}, DiameterMM: 150, Driver: true},
			{Name: "pump", Centre: drive.Point{X: 400, Y: 0}, DiameterMM: 120},
			{Name: "alternator", Centre: drive.Point{X: 200, Y: 300}, DiameterMM: 60}}}
	}
	for want, change := range map[string]func(*drive.Run){
		"the alternator lies wholly inside the crank; " +
			"check both centres and whether a radius was entered as a diameter": func(r *drive.Run) {
			r.Pulleys[2].Centre = drive.Point{X: 10, Y: 10}
		},
		"the crank and the pump overlap by 34.1 mm; check both centres and diameters": func(r *drive.Run) {
			r.Pulleys[1].Centre = drive.Point{X: 100, Y: 0}
		},
		"in the order listed the belt turns the crank anticlockwise; pulleys are listed in the order the belt " +
			"travels; listed the other way round the run works": func(r *drive.Run) {
			r.DriverTurns = drive.Clockwise
		},
		"the run has 1 pulleys; a run has 2 to 20 pulleys": func(r *drive.Run) {
			r.Pulleys = r.Pulleys[:1]
		},
		"the run has 0 drivers; mark exactly one pulley as the driver, as a rule the crankshaft": func(r *drive.Run) {
			r.Pulleys[0].Driver = false
		},
		`two pulleys are called "pump"; give each pulley its own name`: func(r *drive.Run) {
			r.Pulleys[2].Name = "pump"
		},
		"the alternator has diameter 0 mm; a diameter of 1 mm or more": func(r *drive.Run) {
			r.Pulleys[2].DiameterMM = 0
		},
		`tensioner: no pulley is called "jockey"; name one of the pulleys of the run`: func(r *drive.Run) {
			r.Tensioner = drive.Tensioner{Kind: drive.SpringArm, Pulley: "jockey", Low: -20, High: 20}
		},
	} {
		r := run()
		change(&r)
		_, err := drive.New(r)
		all := drive.Refusals(err)
		if len(all) == 0 {
			t.Errorf("%q: not refused", want)
			continue
		}
		if got := Whole(all[0]).String(); got != want {
			t.Errorf("%q in place of %q", got, want)
		}
	}
	d, err := drive.New(run())
	if err != nil {
		t.Fatal(err)
	}
	_, err = d.Fit(1000)
	if got := Text(drive.Refusals(err)[0]).String(); !strings.Contains(got,
		"mm too short: all centres are fixed and the run needs ") || strings.ContainsAny(got, "{%") {
		t.Errorf("%q", got)
	}
	_, err = drive.ParseDesignation("K060750")
	want := `"K060750" is not a belt designation; it looks like an inch part number, which makers count ` +
		`differently: use the metric print on the belt`
	if got := Whole(drive.Refusals(err)[0]).String(); got != want {
		t.Errorf("%q", got)
	}
}
