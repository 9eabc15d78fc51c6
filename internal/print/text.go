// Package print sets sheets and answers for a terminal and for paper: the
// yard, one vehicle, one position, a kind's knowledge, the round sheet, the
// job sheet and the service record. It draws no conclusions; every figure and
// word comes from package advise.
//
// Text fits the columns of its screen, 80 where nothing is said, and needs no
// colour. Paper sets the same answers as PDF, on A4 or letter, to write on: rows
// are laid out down a page and kept whole, a heading or a caution never parts from
// what it is about, and table headings stand again where a table goes on. Letters
// beyond Latin, Greek and Cyrillic come out as question marks there.
package print

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// Width is the number of columns text is set for where nothing else is said.
const Width = 80

// Narrowest and Widest are the columns between which text follows its screen.
const (
	Narrowest = 60
	Widest    = 160
)

// Screen is what text is set for. The zero value is Width columns without colour.
type Screen struct {
	Columns int  // 0: Width
	Colour  bool // verdicts in colour beside their words
	// Flags are what the program was called with that its hints need, too: --yard DIR.
	Flags    string
	Language *message.Language // nil: English
}

// Text sets answers for a terminal. The first write error is kept and
// returned by Close.
type Text struct {
	w     *bufio.Writer
	prefs units.Preferences
	wide  int
	on    Screen
}

// NewText returns a Text that writes to w in the reader's units: what the words of an
// answer name in others stands behind in brackets.
func NewText(w io.Writer, prefs units.Preferences) *Text { return Screen{}.Text(w, prefs) }

// Text is NewText for a screen.
func (s Screen) Text(w io.Writer, prefs units.Preferences) *Text {
	return &Text{w: bufio.NewWriter(w), prefs: prefs, wide: cmp.Or(s.Columns, Width), on: s}
}

// Close writes what is left and returns the first error met.
func (t *Text) Close() error { return t.w.Flush() }

// in is what stands in the reader's language for a text, a name in words, or a text of the catalogue of parts.
func (t *Text) in(v any) string { return fmt.Sprint(t.on.Language.Told(v)) }

// Line writes one paragraph, wrapped.
func (t *Text) Line(s message.Text) { t.indented(t.in(s), "", "") }

// Told writes a headline, and below it what else there is to it.
func (t *Text) Told(all []message.Text) {
	t.Line(told.Head(all))
	if rest := told.Rest(all); rest != "" {
		t.Line(rest)
	}
}

// Verbatim writes lines as they are.
func (t *Text) Verbatim(s string) { t.w.WriteString(strings.TrimRight(s, "\n") + "\n") }

// Blank writes an empty line.
func (t *Text) Blank() { t.w.WriteByte('\n') }

// Head writes a heading with a rule under it.
func (t *Text) Head(s message.Text) {
	t.Blank()
	t.Line(s)
	t.w.WriteString(strings.Repeat("-", min(t.wide, text.StringWidthWithoutEscSequences(t.in(s)))))
	t.Blank()
}

// Item writes a paragraph behind a mark, its further lines set in.
func (t *Text) Item(mark string, s message.Text) {
	t.indented(t.in(s), mark, strings.Repeat(" ", text.StringWidthWithoutEscSequences(mark)))
}

// Named writes a paragraph behind what names it, which takes so many columns at the least.
func (t *Text) Named(name message.Text, columns int, s message.Text) {
	t.Item(text.Pad(t.in(name)+" ", columns, ' '), s)
}

func (t *Text) indented(s, first, rest string) {
	room := t.wide - text.StringWidthWithoutEscSequences(rest)
	words, command := t.command(s)
	words = wrapSoft(t.prefs.Text(words), room)
	if command != "" {
		last := words[strings.LastIndex(words, "\n")+1:]
		if words != "" && text.StringWidthWithoutEscSequences(last+" "+command) <= room {
			words += " " + command
		} else {
			words = strings.TrimLeft(words+"\n"+Folded(command, room), "\n")
		}
	}
	for i, line := range strings.Split(words, "\n") {
		lead := rest
		if i == 0 {
			lead = t.paint(first)
		}
		fmt.Fprintln(t.w, strings.TrimRight(lead+strings.TrimRight(line, " "), " "))
	}
}

// command parts a command to type, at the end of what is said, from the words before it.
func (t *Text) command(s string) (words, command string) {
	const name, after = "undertray ", ": undertray "
	at := 0
	if !strings.HasPrefix(s, name) {
		if at = strings.LastIndex(s, after); at < 0 {
			return s, ""
		}
		at += len(after) - len(name)
	}
	command = s[at:]
	if t.on.Flags != "" {
		command = name + t.on.Flags + " " + s[at+len(name):]
	}
	return strings.TrimRight(s[:at], " "), command
}

// Folded breaks a command that is wider than the columns where a shell lets it go on: between
// words, not within quotes.
func Folded(line string, columns int) string {
	lead := strings.Repeat(" ", len(line)-len(strings.TrimLeft(line, " "))+4)
	var b strings.Builder
	for utf8.RuneCountInString(line) > columns {
		at, quote := 0, rune(0)
		for i, r := range line {
			switch {
			case r == quote:
				quote = 0
			case quote == 0 && (r == '"' || r == '\''):
				quote = r
			case quote == 0 && r == ' ' && i > len(lead) && (at == 0 || utf8.RuneCountInString(line[:i]) <= columns-2):
				at = i
			}
		}
		if at == 0 {
			break
		}
		b.WriteString(line[:at] + " \\\n")
		line = lead + line[at+1:]
	}
	return b.String() + line
}

// The digits of a figure stay on one line: the spaces between them, which do
// not break, are letters to the wrapping.
var (
	bind   = strings.NewReplacer("\u00a0", "\ue000", "\u202f", "\ue001")
	unbind = strings.NewReplacer("\ue000", "\u00a0", "\ue001", "\u202f", stay, " ")
)

// stay is a space at which a line is not broken: between a box and its words.
const stay = "\ue002"

// wrapSoft breaks text at words. A word wider than the room, such as a file's path, stays
// whole on a line of its own.
func wrapSoft(s string, room int) string {
	s = bind.Replace(s)
	if longest(s) <= room {
		return unbind.Replace(text.WrapSoft(s, room))
	}
	var lines, line []string
	end := func() {
		if len(line) > 0 {
			lines = append(lines, text.WrapSoft(strings.Join(line, " "), room))
		}
		line = nil
	}
	for _, w := range strings.Fields(s) {
		if text.StringWidthWithoutEscSequences(w) > room {
			end()
			lines = append(lines, w)
			continue
		}
		line = append(line, w)
	}
	end()
	return unbind.Replace(strings.Join(lines, "\n"))
}

// longest is the width of the longest word.
func longest(s string) int {
	n := 0
	for _, w := range strings.Fields(s) {
		n = max(n, text.StringWidthWithoutEscSequences(w))
	}
	return n
}

// column is one column of a table: its heading and its alignment.
type column struct {
	head  message.Text
	right bool // figures, which are not wrapped
}

// gap is the space between columns.
const gap = 2

// table writes rows under headings. Where they are wider than the screen the widest column
// that has words to wrap gives way, and then the next; where even single words find no room
// side by side, each row is written down its headings.
func (t *Text) table(cols []column, cells [][]any) {
	if len(cells) == 0 {
		return
	}
	rows := make([][]string, len(cells))
	for n, r := range cells {
		for _, cell := range r {
			rows[n] = append(rows[n], t.prefs.Text(t.in(cell)))
		}
	}
	widths, ok := t.widths(cols, rows)
	if !ok {
		t.stacked(cols, rows)
		return
	}
	w := table.NewWriter()
	w.SetStyle(plainStyle)
	head := make(table.Row, len(cols))
	configs := make([]table.ColumnConfig, len(cols))
	for i, c := range cols {
		head[i] = t.in(c.head)
		configs[i] = table.ColumnConfig{Number: i + 1, WidthMax: widths[i], WidthMaxEnforcer: wrapSoft}
		if c.right {
			configs[i].Align, configs[i].AlignHeader = text.AlignRight, text.AlignRight
		}
	}
	w.AppendHeader(head)
	w.SetColumnConfigs(configs)
	for _, r := range rows {
		row := make(table.Row, len(r))
		for i, cell := range r {
			row[i] = cell
		}
		w.AppendRow(row)
	}
	for _, line := range strings.Split(w.Render(), "\n") {
		if strings.Trim(line, "-") == "" { // the last column has no neighbour to keep clear of
			line = strings.TrimSuffix(line, "--")
		}
		fmt.Fprintln(t.w, t.paint(strings.TrimRight(line, " ")))
	}
}

// widths shares the screen out among columns; ok is false where it is too narrow.
func (t *Text) widths(cols []column, rows [][]string) (widths []int, ok bool) {
	widths, least := make([]int, len(cols)), make([]int, len(cols))
	room := t.wide - gap*(len(cols)-1)
	for i, c := range cols {
		widths[i], least[i] = text.StringWidthWithoutEscSequences(t.in(c.head)), longest(bind.Replace(t.in(c.head)))
		for _, r := range rows {
			wide := text.StringWidthWithoutEscSequences(r[i])
			widths[i] = max(widths[i], wide)
			if !c.right {
				wide = longest(bind.Replace(r[i]))
			}
			least[i] = max(least[i], wide)
		}
		room -= widths[i]
	}
	for ; room < 0; room++ {
		widest := -1
		for i, n := range widths {
			if n > least[i] && (widest < 0 || n > widths[widest]) {
				widest = i
			}
		}
		if widest < 0 {
			return nil, false
		}
		widths[widest]--
	}
	return widths, true
}

// stacked writes each row down its headings.
func (t *Text) stacked(cols []column, rows [][]string) {
	wide := 0
	for _, c := range cols {
		wide = max(wide, text.StringWidthWithoutEscSequences(t.in(c.head)))
	}
	for i, r := range rows {
		if i > 0 {
			t.Blank()
		}
		for k, cell := range r {
			if cell != "" {
				t.indented(cell, text.Pad(t.in(cols[k].head), wide+gap, ' '), strings.Repeat(" ", wide+gap))
			}
		}
	}
}

// Tones of verdicts, those of the pages as near as a terminal's 256 come: colour beside the word.
var tones = map[fleet.Verdict]text.Colors{
	fleet.Park:     {text.Bold, text.ReverseVideo},
	fleet.PutRight: {text.Bold, text.Fg256Color(166)},
	fleet.Watch:    {text.Bold, text.Fg256Color(32)},
}

// paint colours the verdict that a line begins with.
func (t *Text) paint(line string) string {
	if t.on.Colour {
		for v, tone := range tones {
			verdict := t.in(v)
			if rest, ok := strings.CutPrefix(line, verdict+" "); ok {
				return tone.EscapeSeq() + verdict + text.EscapeReset + " " + rest
			}
		}
	}
	return line
}

// plainStyle rules off the headings and separates columns by two spaces.
var plainStyle = func() table.Style {
	s := table.StyleDefault
	s.Name = "plain"
	s.Options = table.Options{SeparateHeader: true}
	s.Box.PaddingLeft, s.Box.PaddingRight = "", strings.Repeat(" ", gap)
	s.Box.MiddleHorizontal, s.Box.MiddleSeparator = "-", "-"
	s.Format.Header = text.FormatDefault
	return s
}()
