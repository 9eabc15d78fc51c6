package cli

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// typed runs a command as it is typed.
func typed(line, in string) (code int, out, complaint string) {
	var o, e bytes.Buffer
	code = Main(fields(strings.TrimPrefix(line, "undertray ")), strings.NewReader(in), &o, &e)
	return code, o.String(), e.String()
}

// toldCommand finds commands that are told to be typed: at the end of a line, behind a colon.
var toldCommand = regexp.MustCompile(`(?m)^.*: (undertray [a-z-].*)$`)

// typedAsPrinted runs each command that was told as it stands; all must be accepted.
func typedAsPrinted(t *testing.T, commands map[string]string) {
	t.Helper()
	for _, line := range slices.Sorted(maps.Keys(commands)) {
		code, _, complaint := typed(line, "four words to enter\n")
		if code != exitOK {
			t.Errorf("%q is told by %q and ends with %d: %s", line, commands[line], code, complaint)
		}
	}
}

// The codes stand in one place of the documents, as in every command's help.
func TestExitCodesAreDocumented(t *testing.T) {
	doc, err := os.ReadFile(filepath.Join("..", "..", "docs", "terminal.md"))
	if err != nil {
		t.Fatal(err)
	}
	help := strings.TrimSuffix(strings.TrimPrefix(strings.Join(strings.Fields(exitHelp), " "), "Exit codes: "), ".")
	codes := strings.Split(help, "; ")
	for _, c := range codes {
		code, means, _ := strings.Cut(c, " ")
		if !strings.Contains(string(doc), fmt.Sprintf("| %s | %s |", code, means)) {
			t.Errorf("docs/terminal.md does not say that %s is %q", code, means)
		}
	}
	if len(codes) != exitTooNew+1 {
		t.Errorf("help tells %d codes", len(codes))
	}
}

// Hints name commands that there are, where they are told and run: behind a colon, to the end;
// in brackets they are only spoken of.
func TestHintsNameCommands(t *testing.T) {
	root, seen := (&app{now: clock}).root(), 0
	mention := regexp.MustCompile(`(^|.{2})undertray ([a-z]+)( [a-z-]+)?`)
	hints := func(at string, f *ast.File) {
		ast.Inspect(f, func(n ast.Node) bool {
			kv, ok := n.(*ast.KeyValueExpr)
			if !ok {
				return true
			}
			if key, ok := kv.Key.(*ast.Ident); !ok || key.Name != "Hint" {
				return true
			}
			ast.Inspect(kv.Value, func(n ast.Node) bool {
				lit, ok := n.(*ast.BasicLit)
				if !ok || lit.Kind != token.STRING {
					return true
				}
				text, err := strconv.Unquote(lit.Value)
				if err != nil {
					t.Fatal(err)
				}
				for _, m := range mention.FindAllStringSubmatch(text, -1) {
					seen++
					c, rest, err := root.Find(strings.Fields(m[2] + m[3]))
					if err != nil || c == root || c.HasSubCommands() && len(rest) > 0 && m[3] != "" ||
						m[1] != "" && m[1] != ": " && !strings.HasSuffix(m[1], "(") {
						t.Errorf("%s: %q", at, text)
					}
				}
				return true
			})
			return true
		})
	}
	err := filepath.WalkDir("..", func(name string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err == nil {
			hints(name, f)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen < 20 {
		t.Errorf("%d hints name a command", seen)
	}
}

// Every misuse ends with its code and says on standard error, and nowhere else, what is wrong
// and what would be right; nothing is recorded. -update writes the answers anew.
func TestMisuses(t *testing.T) {
	name, err := filepath.Abs(filepath.Join("testdata", "misuses.txt"))
	if err != nil {
		t.Fatal(err)
	}
	src, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	demoYard(t)
	if err := os.Mkdir("taken", 0o755); err != nil {
		t.Fatal(err)
	}
	_, before, _ := typed("journal verify", "")
	commands := map[string]string{}
	var got strings.Builder
	lines := regexp.MustCompile(`(?m)^\$ .*$`).FindAllString(string(src), -1)
	for _, line := range lines {
		code, out, complaint := typed(strings.TrimPrefix(line, "$ "), "")
		if code < exitInvalid || code > exitTooNew {
			t.Errorf("%s: ends with %d", line, code)
		}
		if out != "" {
			t.Errorf("%s: answers %q", line, out)
		}
		if !strings.HasPrefix(complaint, "undertray: ") || strings.Contains(complaint, "\nundertray: ") {
			t.Errorf("%s: says more or less than one thing: %q", line, complaint)
		}
		for _, m := range toldCommand.FindAllStringSubmatch(complaint, -1) {
			commands[m[1]] = line
		}
		fmt.Fprintf(&got, "%s\n%d %s\n", line, code, complaint)
	}
	if _, after, _ := typed("journal verify", ""); after != before {
		t.Errorf("the journal had %s and has %s", before, after)
	}
	if len(lines) < 100 || len(commands) < 20 {
		t.Errorf("%d misuses tell %d commands", len(lines), len(commands))
	}
	compare(t, name, got.String())
	typedAsPrinted(t, commands)
}

// sampleArgs stand for what commands are called with.
var sampleArgs = map[string]string{"VEHICLE": "heron", "POSITION": "main-belt", "CHECK": "cracks",
	"ANSWER": "3 per 75 mm", "FILE": "a-file", "DISTANCE": "900 km", "READING": "190000 km",
	"OPENING": "engine-cover", "KIND": "ribbed-belt",
	"TEXT": "words", "FIGURE": "190000 km", "RUN": "main-run", "ENTRY": "none", "NAME": "sheet", "DEVICE": "phone"}

// sampleRest is what some commands need besides.
var sampleRest = map[string][]string{"aside": {"--back"}, "closed": {"--all"}, "kind": {"ribbed-belt"},
	"listen": {"a-file"}, "count": {"heron", "main-belt", "a-file"}}

// called is a command as its use says, with one argument in another's place.
func called(c *cobra.Command, instead map[string]string) []string {
	out := strings.Fields(c.CommandPath())[1:]
	for _, word := range strings.Fields(c.Use)[1:] {
		if word = strings.TrimSuffix(word, "..."); strings.HasPrefix(word, "[") {
			break
		}
		if other, ok := instead[word]; ok {
			out = append(out, other)
		} else if word == "FILE" && c.Name() == "give" { // which writes it
			out = append(out, "new-file")
		} else if sample, ok := sampleArgs[word]; ok {
			out = append(out, sample)
		} else {
			out = append(out, "x")
		}
	}
	return append(out, sampleRest[c.Name()]...)
}

// The same mistake ends every command with the same code and the same words, hint and all.
func TestTheSameMistakeIsToldAlike(t *testing.T) {
	dir := demoYard(t)
	if err := os.WriteFile("a-file", []byte("2024-05-01 oil changed\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, _, complaint := typed("opened heron engine-cover", ""); code != exitOK {
		t.Fatal(complaint)
	}
	_, before, _ := typed("journal verify", "")
	tried := map[string]int{}
	fails := func(mistake string, args []string, code int, says ...string) {
		t.Helper()
		tried[mistake]++
		var o, e bytes.Buffer
		got := Main(args, strings.NewReader(""), &o, &e)
		said := strings.Join(strings.Fields(e.String()), " ")
		for _, want := range says {
			if got != code || o.Len() > 0 || !strings.Contains(said, want) {
				t.Errorf("%s, %q: ends with %d, answers %q and says %q, want %d and %q", mistake, args, got, o.String(),
					said, code, want)
			}
		}
	}
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		for _, sub := range c.Commands() {
			walk(sub)
		}
		if c.HasSubCommands() || c.Name() == "help" || c.GroupID == "about" || c.Parent().Name() == "completion" {
			return
		}
		right := called(c, nil)
		c.Flags().VisitAll(func(f *pflag.Flag) {
			if len(f.Name) > 3 && f.Name != "help" {
				wrong := "--" + f.Name[:1] + f.Name[2:]
				if c.Flags().Lookup(wrong[2:]) == nil {
					fails("a flag misspelt", append(slices.Clone(right), wrong+"=1"), exitInvalid, "did you mean --")
				}
			}
		})
		if c.Flags().Lookup("on") != nil {
			fails("a day that is none", append(slices.Clone(right), "--on", "2027-02-30"), exitInvalid,
				"--on:", "write it as 2026-11-25")
		}
		if strings.HasPrefix(c.Use, c.Name()+" VEHICLE") && c.Name() != "new" {
			fails("a vehicle misspelt", called(c, map[string]string{"VEHICLE": "herron"}), exitNotFound,
				`the yard has no vehicle "herron"`, `did you mean "heron"?`)
			fails("no yard", append(slices.Clone(right), "--yard", filepath.Join(dir, "nowhere")), exitNotFound,
				"there is no yard here", "make one with: undertray --yard")
			fails("too little", strings.Fields(c.CommandPath())[1:], exitInvalid,
				"more with: undertray "+c.Name()+" --help")
		}
		if strings.HasPrefix(c.Use, c.Name()+" VEHICLE POSITION") {
			fails("a position misspelt", called(c, map[string]string{"POSITION": "main-bellt"}), exitNotFound,
				`has no position "main-bellt"`, `did you mean "main-belt"?`)
		}
		if c.Flags().Lookup("pdf") != nil {
			fails("no folder for a PDF", append(slices.Clone(right), "--pdf", "no/such/folder.pdf"), exitUnavailable,
				"no/such/folder.pdf")
		}
	}
	walk((&app{now: clock}).root())
	if _, after, _ := typed("journal verify", ""); after != before {
		t.Errorf("the journal had %s and has %s", before, after)
	}
	t.Log(tried)
	for _, mistake := range []string{"a flag misspelt", "a day that is none", "a vehicle misspelt", "no yard",
		"a position misspelt", "no folder for a PDF", "too little"} {
		if tried[mistake] < 4 {
			t.Errorf("%s is tried %d times", mistake, tried[mistake])
		}
	}
}
