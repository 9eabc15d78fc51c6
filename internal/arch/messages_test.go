package arch

import (
	"cmp"
	"fmt"
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"text/template/parse"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"undertray.example/undertray/internal/cli"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message/templates"
	"undertray.example/undertray/internal/sheet/ask"
)

// messagesFile lists all messages of the program, for catalogues in other languages.
const messagesFile = "../message/undertray.pot"

// spoken are the packages that make texts.
func spoken(t *testing.T) []string {
	var out []string
	for _, p := range listPackages(t) {
		if slices.Contains(p.Imports, "undertray.example/undertray/internal/message") {
			out = append(out, short(p.ImportPath))
		}
	}
	return out
}

// TestMessages: the list of messages is what templates, the catalogue of parts and Go have.
func TestMessages(t *testing.T) {
	all := messages{}
	for key, pages := range inTemplates(t, nil) {
		all.add(key, "", pages...)
	}
	scripts, err := filepath.Glob("../web/static/*.js")
	if err != nil || len(scripts) == 0 {
		t.Fatal(len(scripts), err)
	}
	for _, file := range scripts {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		said := templates.InScript(string(src))
		n := strings.Count(string(src), "inWords(") - strings.Count(string(src), "function inWords(")
		if n != len(said) {
			t.Errorf("%s: %d texts of %d are not written out where they are said", file, n-len(said), n)
		}
		for _, text := range said {
			all.add(text, "", "scripts")
		}
	}
	for text := range ask.Texts() {
		all.add(text, "", "catalogue")
	}
	for _, name := range spoken(t) {
		all.inGo(t, name)
	}
	all.inHelp(cli.Commands())
	for _, v := range []fleet.Verdict{fleet.Unseen, fleet.Keep, fleet.Watch, fleet.PutRight, fleet.Park} {
		all.add(v.String(), "", "internal/fleet")
	}
	holds(t, messagesFile, all.pot())
	t.Logf("%d messages", len(all))
	reader := messages{}
	reader.inGo(t, "internal/tally/onbelt")
	holds(t, "../tally/onbelt.txt", reader.listed())
}

// holds wants a file to hold what the program says.
func holds(t *testing.T, file, want string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(file)
	if err != nil || string(got) != want {
		t.Errorf("%s is not what the program says (%v): write it with go test ./internal/arch -run Messages -update",
			file, err)
	}
}

// listed writes the messages as package tally reads them: a line each, that for one and that for several together.
func (m messages) listed() string {
	var b strings.Builder
	for _, one := range slices.Sorted(maps.Keys(m)) {
		text := one
		if m[one].many != "" {
			text += "\x04" + m[one].many
		}
		fmt.Fprintf(&b, "%q\n", text)
	}
	return b.String()
}

// mostPieces is how many sentences of templates are put together from pieces; it may only go down.
const mostPieces = 0

func TestTemplatesSpeakInWholeSentences(t *testing.T) {
	pieces := map[string]bool{}
	inTemplates(t, func(template, text string) { pieces[template+": "+text] = true })
	if len(pieces) > mostPieces {
		t.Errorf("%d sentences have too many branches, at most %d: say each way whole, or in sentences of their own:"+
			"\n%s", len(pieces), mostPieces, strings.Join(slices.Sorted(maps.Keys(pieces)), "\n"))
	}
}

// inTemplates gives the messages of all pages, with the pages that have them.
func inTemplates(t *testing.T, pieces func(template, text string)) map[string][]string {
	t.Helper()
	files, err := filepath.Glob("../web/templates/*.html")
	if err != nil || len(files) == 0 {
		t.Fatal(len(files), err)
	}
	out := map[string][]string{}
	for _, file := range files {
		if base := filepath.Base(file); base == "layout.html" || base == "parts.html" {
			continue
		}
		trees := map[string]*parse.Tree{}
		for _, of := range []string{"../web/templates/layout.html", "../web/templates/parts.html", file} {
			src, err := os.ReadFile(of)
			if err != nil {
				t.Fatal(err)
			}
			tree := parse.New(filepath.Base(of))
			tree.Mode = parse.SkipFuncCheck
			if _, err := tree.Parse(string(src), "", "", trees); err != nil {
				t.Fatal(err)
			}
		}
		templates.Rewrite(trees, templates.Setting{Message: func(key string) string {
			out[key] = append(out[key], filepath.Base(file))
			return ""
		}, Pieces: pieces})
	}
	return out
}

// messages are those of the program by their English, with the one for several and where they are.
type messages map[string]*heard

type heard struct {
	many string
	at   []string
}

func (m messages) add(one, many string, at ...string) {
	if m[one] == nil {
		m[one] = &heard{}
	}
	h := m[one]
	h.many = max(h.many, many)
	h.at = append(h.at, at...)
}

// inHelp adds what a command and those below it say of themselves.
func (m messages) inHelp(c *cobra.Command) {
	for _, paragraph := range strings.Split(cmp.Or(c.Long, c.Short), "\n\n") {
		m.add(strings.Join(strings.Fields(paragraph), " "), "", "internal/cli")
	}
	m.add(c.Short, "", "internal/cli")
	for _, g := range c.Groups() {
		m.add(g.Title, "", "internal/cli")
	}
	c.LocalFlags().VisitAll(func(f *pflag.Flag) {
		_, usage := pflag.UnquoteUsage(f)
		m.add(usage, "", "internal/cli")
	})
	for _, sub := range c.Commands() {
		m.inHelp(sub)
	}
}

// inGo adds the texts of a package: constants of the type Text, and the formats of texts.
func (m messages) inGo(t *testing.T, name string) {
	t.Helper()
	fset, files, info := typed(t, name)
	str := func(e ast.Expr) string {
		if v := info.Types[e].Value; v != nil && v.Kind() == constant.String {
			return constant.StringVal(v)
		}
		return ""
	}
	named := func(all []ast.Expr) { // what is a name where it stands; keys declared, commands to type and files are
		for _, e := range all {
			text := str(e)
			switch e.(type) {
			case *ast.Ident, *ast.SelectorExpr, *ast.CallExpr:
				continue
			}
			if types.Identical(info.TypeOf(e), types.Typ[types.String]) && hasWords(text) &&
				!strings.HasPrefix(text, "undertray ") && filepath.Ext(text) == "" {
				t.Errorf("%s: %q stands as a name: make it a message.Text", fset.Position(e.Pos()), text)
			}
		}
	}
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			e, ok := n.(ast.Expr)
			if !ok {
				return true
			}
			if text := str(e); isNamed(info.TypeOf(e)) && hasWords(text) {
				m.add(text, "", name)
				return false
			}
			if list, ok := n.(*ast.CompositeLit); ok && list.Type != nil && name == "internal/print" &&
				types.TypeString(info.TypeOf(list), nil) == "[]any" { // a row of a table
				named(list.Elts)
			}
			if b, ok := n.(*ast.BinaryExpr); ok && isText(info.TypeOf(b)) && b.Op == token.ADD && str(b) == "" &&
				(hasWords(str(b.X)) || hasWords(str(b.Y))) {
				t.Errorf("%s: words are joined to a text: make them its format", fset.Position(b.Pos()))
			}
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			if info.Types[call.Fun].IsType() && types.Identical(info.TypeOf(call), types.Typ[types.String]) &&
				isText(info.TypeOf(call.Args[0])) {
				t.Errorf("%s: a text made a string shows its marks: ask for its String", fset.Position(call.Pos()))
			}
			format := formats(call, info)
			if len(format) > 0 {
				named(call.Args[slices.Index(call.Args, format[len(format)-1])+1:])
			}
			switch len(format) {
			case 1:
				if text := str(format[0]); hasWords(text) {
					m.add(text, "", name)
				}
			case 2:
				one, many := str(format[0]), str(format[1])
				switch calls(call, info) {
				case "say/told.Count":
					one, many = "%s "+one, "%s "+many
				case "say/told.Several":
					one, many = "%d "+one, "%d "+many
				}
				m.add(one, many, name)
			}
			return true
		})
	}
}

// isNamed reports whether a type's constants are texts: texts themselves, and words that have a name in words.
func isNamed(t types.Type) bool {
	n, ok := types.Unalias(t).(*types.Named)
	if !ok || n.Obj().Pkg() == nil {
		return false
	}
	_, room, _ := strings.Cut(n.Obj().Pkg().Path(), "/internal/")
	return slices.Contains([]string{"message.Text", "fleet.EntryType", "fleet.Authority", "fleet.Stance",
		"fleet.Action", "fleet.Side", "fleet.EngineState", "fleet.Removal", "fleet.MarkShape"},
		room+"."+n.Obj().Name())
}

func isText(t types.Type) bool {
	n, ok := types.Unalias(t).(*types.Named)
	return ok && n.Obj().Name() == "Text" && strings.HasSuffix(n.Obj().Pkg().Path(), "/message")
}

// formats are the arguments of a call that are formats of a text: one, or those for one and for several.
func formats(call *ast.CallExpr, info *types.Info) []ast.Expr {
	switch calls(call, info) {
	case "message.Of", "message.Errorf", "cli.line", "intake.doubt":
		return call.Args[:1]
	case "yamltree.Note", "yamltree.Wrong", "yamltree.refuse", "sheet.warn", "sheet/ask.invalid":
		return call.Args[1:2]
	case "yamltree.NoteAt", "catalogue.missing":
		return call.Args[2:3]
	case "message.Counted", "say/told.Count", "say/told.Several":
		return call.Args[1:3]
	}
	return nil
}

// calls is the function of a call, as "say/told.Count" within internal; "" for none of a package.
func calls(call *ast.CallExpr, info *types.Info) string {
	var name *ast.Ident
	switch fun := call.Fun.(type) {
	case *ast.SelectorExpr:
		name = fun.Sel
	case *ast.Ident:
		name = fun
	default:
		return ""
	}
	o, _ := info.Uses[name].(*types.Func)
	if o == nil || o.Pkg() == nil {
		return ""
	}
	return strings.TrimPrefix(o.Pkg().Path(), "undertray.example/undertray/internal/") + "." + o.Name()
}

// hasWords reports whether a format says anything beside its arguments.
func hasWords(format string) bool {
	return wordy.MatchString(" " + verbs.ReplaceAllString(format, "") + " ")
}

// pot writes the messages as a template of gettext's PO files, in which catalogues are kept.
func (m messages) pot() string {
	var b strings.Builder
	b.WriteString("# Messages of Undertray. msgid is the text in English; places are {name} and <tag> in pages,\n" +
		"# verbs of fmt.Sprintf in texts made in Go. Written by go test ./internal/arch -run Messages -update.\n" +
		"msgid \"\"\nmsgstr \"\"\n\"Content-Type: text/plain; charset=UTF-8\\n\"\n")
	for _, one := range slices.Sorted(maps.Keys(m)) {
		h := m[one]
		slices.Sort(h.at)
		at := slices.Compact(h.at)
		if len(at) > 4 {
			at = append(at[:3:3], fmt.Sprintf("and %d more", len(at)-3))
		}
		fmt.Fprintf(&b, "\n#. %s\nmsgid %s\n", strings.Join(at, ", "), quoted(one))
		if h.many != "" {
			fmt.Fprintf(&b, "msgid_plural %s\nmsgstr[0] \"\"\nmsgstr[1] \"\"\n", quoted(h.many))
			continue
		}
		b.WriteString("msgstr \"\"\n")
	}
	return b.String()
}

// quoted is a text as PO files write it, letters as they are.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\t", `\t`).Replace(s) + `"`
}
