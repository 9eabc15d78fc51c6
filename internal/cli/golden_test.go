package cli

import (
	"bytes"
	"cmp"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	cmpdiff "github.com/google/go-cmp/cmp"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/message/languages"
	"undertray.example/undertray/internal/message/messagetest"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

var update = flag.Bool("update", false, "write the golden files anew")

// What the demo yard's questions are answered with, word for word. A change
// here is a change in what an owner reads: look at it, then -update.
var goldens = []struct{ name, line string }{
	{"yard", "yard"},
	{"state", "state heron"},
	{"state-all", "state dunnock --all"},
	{"position", "position heron main-belt"},
	{"round", "round heron --open engine-cover"},
	{"round-system", "round dunnock --by system"},
	{"job", "job heron"},
	{"job-one", "job dunnock main-belt --alone"},
	{"parts", "job heron --parts"},
	{"history", "history bittern"},
	{"handover", "handover bittern --for mechanic"},
	{"handover-driver", "handover dunnock --for driver --with prices,names"},
	{"history-one", "history heron main-belt"},
	{"forecast", "forecast heron --on 2027-06-01"},
	{"kind", "kind ribbed-belt"},
	{"kinds", "kind"},
	{"meaning", `meaning ribbed-belt cracks "4 per 75 mm" --material neoprene`},
	// What is told elsewhere word for word, or is long: here only what it is at other widths.
	{"", "position dunnock top-hose"}, {"", `trip heron "1200 km"`}, {"", "run heron"}, {"", "lives ribbed-belt"},
	{"", "tag heron"}, {"", "card heron"}, {"", "aboard heron"}, {"", "plan"},
	{"", "handover heron --for buyer"}, {"", "sheet questions"},
}

// widths are those of screens that answers are read on.
var widths = []int{print.Narrowest, print.Width, 100, 120, print.Widest}

// maxGolden is how many lines of an answer are compared: enough to show its
// form, without a whole journal of years in each.
const maxGolden = 150

func TestDemoAnswers(t *testing.T) {
	dir := demoFolder(t)
	t.Setenv("UNDERTRAY_TODAY", "2026-11-25")
	t.Setenv("UNDERTRAY_YARD", dir)
	commands := map[string]string{}
	pseudo := languages.With(ask.Texts).Pseudo
	held, known := messagetest.Hold(t, "testdata/left-in-english.txt"), typedByOthers(t, dir)
	for _, g := range goldens {
		t.Run(cmp.Or(g.name, g.line), func(t *testing.T) {
			var out, complaints bytes.Buffer
			a := &app{in: strings.NewReader(""), out: &out, err: &complaints, now: clock, newID: journal.NewID}
			a.shown = func(prefs units.Preferences, set func(*print.Text)) {
				for _, m := range toldCommand.FindAllStringSubmatch(fitsWidths(t, prefs, nil, set), -1) {
					commands[m[1]] = g.line
				}
				held.Check(t, g.line, leftIn(fitsWidths(t, prefs, pseudo, set), known))
			}
			if code := a.run(fields(g.line)); code != exitOK {
				t.Fatalf("exit code %d: %s", code, complaints.String())
			}
			lines := strings.SplitAfter(out.String(), "\n")
			for i, l := range lines {
				if l = strings.TrimSuffix(l, "\n"); strings.TrimRight(l, " ") != l {
					t.Errorf("line %d ends in white: %q", i+1, l)
				}
			}
			if g.name == "" {
				return
			}
			compare(t, filepath.Join("testdata", "golden", g.name+".txt"),
				strings.Join(lines[:min(maxGolden, len(lines))], ""))
		})
	}
	held.Done(t)
	if len(commands) < 4 {
		t.Errorf("answers tell only %v", commands)
	}
	typedAsPrinted(t, commands)
}

// fitsWidths sets an answer for each width: no line is wider, no word is lost, and they follow
// each other as they do where there is room for each paragraph and each row on one line, which
// is what it returns.
func fitsWidths(t *testing.T, prefs units.Preferences, in *message.Language,
	set func(*print.Text)) (whole string) {
	t.Helper()
	at := func(columns int) string {
		var b bytes.Buffer
		text := print.Screen{Columns: columns, Language: in}.Text(&b, prefs)
		set(text)
		if err := text.Close(); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	whole = at(1 << 15)
	for _, columns := range widths {
		got := at(columns)
		for i, l := range strings.Split(got, "\n") {
			if n := utf8.RuneCountInString(l); n > columns {
				t.Errorf("%d columns: line %d has %d: %s", columns, i+1, n, l)
			}
		}
		want, have := toldWords(whole), toldWords(got)
		if hasTable(whole) { // the words of a row stand in several lines, or those of its headings in each row
			slices.Sort(want)
			slices.Sort(have)
			if columns == print.Narrowest || in != nil { // longer words are stacked sooner
				want, have = slices.Compact(want), slices.Compact(have)
				bare := overNothing(whole) // stacked, it is left out
				want = slices.DeleteFunc(want, func(w string) bool {
					return slices.Contains(bare, w) && !slices.Contains(have, w)
				})
			}
		}
		if diff := cmpdiff.Diff(want, have); diff != "" {
			t.Errorf("%d columns: other words, or in another order (-whole +set):\n%s", columns, diff)
		}
	}
	return whole
}

// typedByOthers leaves out what the sheets and entries of a yard hold, which is the same in any language.
func typedByOthers(t *testing.T, dir string) *strings.Replacer {
	t.Helper()
	y, err := yard.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	entries, err := demo.Entries(y)
	if err != nil {
		t.Fatal(err)
	}
	var keys []string
	key := func(id string) {
		if strings.Contains(id, "-") {
			keys = append(keys, id)
		}
	}
	for _, source := range y.Catalogue.Sources() {
		key(source.ID)
	}
	for _, k := range y.Catalogue.Kinds() {
		key(k.ID)
		for _, c := range k.Checks {
			key(c.ID)
			for _, a := range c.Answers {
				key(a.ID)
			}
		}
	}
	for _, v := range y.Vehicles() {
		for _, o := range v.Openings {
			key(o.ID)
		}
	}
	return messagetest.Known(keys, y.Settings, y.Vehicles(), entries)
}

var (
	between = regexp.MustCompile(` {2,}`)
	// asTyped is what is typed the same in any language: commands, and keys in brackets or before their words in them.
	asTyped = regexp.MustCompile(`: undertray [^»]*|[\[(][a-z0-9-]+[\])]|[:;] [a-z0-9-]+ (\(«)`)
)

// leftIn gives what of an answer that was set on lines of any width is no whole message; cells stand apart.
func leftIn(whole string, known *strings.Replacer) (left messagetest.Left) {
	for line := range strings.Lines(whole) {
		for _, cell := range between.Split(asTyped.ReplaceAllString(line, "$1"), -1) {
			left.Read(cell, known)
		}
	}
	return left
}

// toldWords are the words of an answer without what rules off and folds.
func toldWords(text string) []string {
	return slices.DeleteFunc(strings.Fields(text), func(w string) bool {
		return len(w) > 1 && strings.Trim(w, "-=") == "" || w == "\\"
	})
}

// hasTable reports whether lines are ruled off that are no heading.
func hasTable(text string) bool {
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		if i > 0 && l != "" && strings.Trim(l, "-") == "" &&
			(strings.Contains(lines[i-1], "  ") || len(l) != utf8.RuneCountInString(lines[i-1])) {
			return true
		}
	}
	return false
}

// overNothing are the words of last headings below which no row has anything.
func overNothing(text string) (words []string) {
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		if i == 0 || l == "" || strings.Trim(l, "-") != "" {
			continue
		}
		head := lines[i-1]
		at := strings.LastIndex(head, "  ")
		if at < 0 {
			continue
		}
		wide := utf8.RuneCountInString(head[:at])
		reaches := func(row string) bool { return row == "" || utf8.RuneCountInString(row) > wide }
		if next := slices.IndexFunc(lines[i+1:], reaches); next >= 0 && lines[i+1+next] == "" {
			words = append(words, strings.Fields(head[at:])...)
		}
	}
	return words
}

// Help fits the screen, too, and loses no word of it.
func TestHelpFitsWidths(t *testing.T) {
	seen := 0
	var walk func(c *cobra.Command)
	at := func(c *cobra.Command, columns int) string {
		var b bytes.Buffer
		t.Setenv("COLUMNS", strconv.Itoa(columns))
		(&app{out: &b}).help(c, nil)
		return b.String()
	}
	in := func(c *cobra.Command, l *message.Language) string {
		var b bytes.Buffer
		t.Setenv("COLUMNS", "")
		a := &app{out: &b, language: l}
		a.helpOn(c, unbroken)
		return b.String()
	}
	pseudo := languages.With(func() map[string]bool { return nil }).Pseudo
	walk = func(c *cobra.Command) {
		seen++
		said := in(c, pseudo)
		for _, s := range ofHelp(c) {
			if want := message.Text(s).In(pseudo); !strings.Contains(said, want) {
				t.Errorf("%s --help does not say %s in another language", c.CommandPath(), want)
			}
		}
		whole := toldWords(at(c, print.Widest))
		for _, columns := range widths {
			got := at(c, columns)
			for i, l := range strings.Split(got, "\n") {
				if n := utf8.RuneCountInString(l); n > columns {
					t.Errorf("%s --help, %d columns: line %d has %d: %s", c.CommandPath(), columns, i+1, n, l)
				}
			}
			if diff := cmpdiff.Diff(whole, toldWords(got)); diff != "" {
				t.Errorf("%s --help, %d columns: other words (-whole +set):\n%s", c.CommandPath(), columns, diff)
			}
		}
		for _, word := range toldWords(c.Long + " " + c.Short) {
			if c.Long != "" && strings.Contains(c.Short, word) {
				continue
			}
			if !slices.Contains(whole, word) {
				t.Errorf("%s --help does not say %q", c.CommandPath(), word)
			}
		}
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk((&app{now: clock}).root())
	if seen < 50 {
		t.Errorf("%d commands seen", seen)
	}
}

// ofHelp are the messages of a command's help: what it is for, its flags and those below it.
func ofHelp(c *cobra.Command) (out []string) {
	for _, p := range strings.Split(strings.TrimSpace(cmp.Or(c.Long, c.Short)), "\n\n") {
		out = append(out, strings.Join(strings.Fields(p), " "))
	}
	for _, sub := range c.Commands() {
		if sub.IsAvailableCommand() {
			out = append(out, sub.Short)
		}
	}
	c.Flags().VisitAll(func(f *pflag.Flag) {
		if _, usage := pflag.UnquoteUsage(f); !f.Hidden {
			out = append(out, usage)
		}
	})
	return out
}

func compare(t *testing.T, name, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmpdiff.Diff(string(want), got); diff != "" {
		t.Errorf("%s differs (-want +got); -update writes it anew:\n%s", name, diff)
	}
}
