package cli

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/units"
)

// terminal is the number of the terminal that f is, or -1.
func terminal(f any) int {
	if f, ok := f.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		return int(f.Fd())
	}
	return -1
}

// unbroken is more columns than a line has.
const unbroken = math.MaxInt16

// screen is what is written to w is set for: COLUMNS says how many columns, or else the
// terminal does; other is for what goes anywhere else. Colour is for terminals alone, and not
// where NO_COLOR is set or TERM is dumb.
func (a *app) screen(w io.Writer, other int) print.Screen {
	a.quiet()
	s := print.Screen{Flags: a.again(), Language: a.language}
	if fd := terminal(w); fd >= 0 {
		if columns, _, err := term.GetSize(fd); err == nil && columns > 0 {
			s.Columns = columns
		}
		s.Colour = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	}
	if n, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil && n > 0 {
		s.Columns = n
	}
	if s.Columns == 0 {
		s.Columns = other
		return s
	}
	s.Columns = min(max(s.Columns, print.Narrowest), print.Widest)
	return s
}

// again is what the program was called with that every hint needs, too, to be about the same
// yard.
func (a *app) again() string {
	var flags []string
	for _, f := range []struct{ name, typed string }{{"yard", a.dir}, {"journal", a.at}} {
		if a.command != nil && a.command.Flags().Changed(f.name) {
			flags = append(flags, "--"+f.name+" "+quoted(harmless(f.typed)))
		}
	}
	return strings.Join(flags, " ")
}

// plainWord is a word that no shell reads as anything else.
var plainWord = regexp.MustCompile(`^[\p{L}\p{N}_./:=@%+,-]+$`)

// quoted writes a word as a shell takes it.
func quoted(word string) string {
	if plainWord.MatchString(word) {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

// line writes a sentence or a few on standard output, wrapped.
func (a *app) line(format string, args ...any) { a.item("", message.Of(format, args...)) }

// item writes a paragraph behind a mark on standard output, its further lines set in; where it
// is no terminal that reads it, on one line.
func (a *app) item(mark string, s message.Text) { a.set(a.out, mark, s) }

// note is item on standard error.
func (a *app) note(mark string, s message.Text) { a.set(a.err, mark, s) }

func (a *app) set(w io.Writer, mark string, s message.Text) {
	t := a.screen(w, unbroken).Text(w, units.Preferences{})
	t.Item(mark, s)
	t.Close()
}

// wrapped is standard output for what writes line by line.
type wrapped struct{ *app }

// Write wraps whole lines, further ones set in as the first is; what ends without one is a prompt.
func (w wrapped) Write(p []byte) (int, error) {
	lines := strings.Split(string(p), "\n")
	for _, l := range lines[:len(lines)-1] {
		words := strings.TrimLeft(l, " ")
		w.item(l[:len(l)-len(words)], message.Name(words))
	}
	_, err := io.WriteString(w.out, lines[len(lines)-1])
	return len(p), err
}

// help says what a command is for and how it is called.
func (a *app) help(c *cobra.Command, _ []string) { a.helpOn(c, print.Width) }

// helpOn sets it for so many columns where no terminal says otherwise.
func (a *app) helpOn(c *cobra.Command, columns int) {
	c.InitDefaultHelpFlag()
	s := a.screen(a.out, columns)
	t := s.Text(a.out, units.Preferences{})
	defer t.Close()
	for i, paragraph := range strings.Split(strings.TrimSpace(cmp.Or(c.Long, c.Short)), "\n\n") {
		if i > 0 {
			t.Blank()
		}
		t.Line(message.Text(strings.Join(strings.Fields(paragraph), " ")))
	}
	t.Blank()
	t.Line("Usage:")
	t.Verbatim("  " + c.UseLine())
	if c.Example != "" {
		t.Blank()
		t.Line("Examples:")
		for _, line := range strings.Split(c.Example, "\n") {
			t.Verbatim(print.Folded(line, s.Columns))
		}
	}
	for _, g := range append(c.Groups(), &cobra.Group{Title: "Commands:"}) {
		head := false
		for _, sub := range c.Commands() {
			if sub.GroupID != g.ID || !sub.IsAvailableCommand() && sub.Name() != "help" {
				continue
			}
			if !head {
				t.Blank()
				t.Line(message.Text(g.Title))
				head = true
			}
			t.Item(fmt.Sprintf("  %-*s ", c.Commands()[0].NamePadding(), sub.Name()), message.Text(sub.Short))
		}
	}
	flagsHelp(t, "Flags:", c.LocalFlags())
	flagsHelp(t, "Flags of every command:", c.InheritedFlags())
	if c.HasAvailableSubCommands() {
		t.Blank()
		t.Line(message.Of("More about one of them: %s", c.CommandPath()+" COMMAND --help"))
	}
}

// flagsHelp lists flags, each with what it takes and what holds without it.
func flagsHelp(t *print.Text, title message.Text, flags *pflag.FlagSet) {
	wide, some := 0, false
	label := func(f *pflag.Flag) string {
		s := "      --" + f.Name
		if f.Shorthand != "" {
			s = "  -" + f.Shorthand + ", --" + f.Name
		}
		takes, _ := pflag.UnquoteUsage(f)
		return strings.TrimRight(s+" "+takes, " ") + "  "
	}
	flags.VisitAll(func(f *pflag.Flag) {
		wide, some = max(wide, len(label(f))), some || !f.Hidden
	})
	if !some {
		return
	}
	t.Blank()
	t.Line(title)
	flags.VisitAll(func(f *pflag.Flag) {
		_, words := pflag.UnquoteUsage(f)
		usage := message.Text(words)
		if d := f.DefValue; d != "" && d != "0" && d != "false" && d != "[]" {
			usage = message.Of("%s (default %s)", usage, message.Text(d))
		}
		t.Item(fmt.Sprintf("%-*s", wide, label(f)), usage)
	})
}
