// Package print sets sheets and answers for a terminal and for paper: the
// yard, one vehicle, one position, a kind's knowledge, the round sheet, the
// job sheet and the service record. It draws no conclusions; every figure and
// word comes from package advise.
//
// Text fits 80 columns and needs no colour. Paper sets the same answers as PDF,
// on A4 or letter, to write on: rows are laid out down a page and kept whole,
// a heading or a caution never parts from what it is about, and table headings
// stand again where a table goes on. Letters beyond Latin, Greek and Cyrillic
// come out as question marks there.
package print

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"undertray/units"

	"undertray/internal/say"
)

// Width is the number of columns text is set for.
const Width = 80

// Text sets answers for a terminal. The first write error is kept and
// returned by Close.
type Text struct {
	w     *bufio.Writer
	prefs units.Preferences
}

// NewText returns a Text that writes to w in the reader's units: what the words of an
// answer name in others stands behind in brackets.
func NewText(w io.Writer, prefs units.Preferences) *Text {
	return &Text{w: bufio.NewWriter(w), prefs: prefs}
}

// Close writes what is left and returns the first error met.
func (t *Text) Close() error { return t.w.Flush() }

// Line writes one paragraph, wrapped.
func (t *Text) Line(s string) { t.indented(s, "", "") }

// Told writes a headline, and below it what else there is to it.
func (t *Text) Told(told []string) {
	t.Line(say.Head(told))
	if rest := say.Rest(told); rest != "" {
		t.Line(rest)
	}
}

// Blank writes an empty line.
func (t *Text) Blank() { t.w.WriteByte('\n') }

// Head writes a heading with a rule under it.
func (t *Text) Head(s string) {
	t.Blank()
	t.Line(s)
	t.w.WriteString(strings.Repeat("-", min(Width, text.StringWidthWithoutEscSequences(s))))
	t.Blank()
}

// Item writes a paragraph behind a mark, its further lines set in.
func (t *Text) Item(mark, s string) {
	t.indented(s, mark, strings.Repeat(" ", text.StringWidthWithoutEscSequences(mark)))
}

func (t *Text) indented(s, first, rest string) {
	s = t.prefs.Text(s)
	room := Width - text.StringWidthWithoutEscSequences(rest)
	for i, line := range strings.Split(wrapSoft(s, room), "\n") {
		lead := rest
		if i == 0 {
			lead = first
		}
		fmt.Fprintln(t.w, strings.TrimRight(lead+strings.TrimRight(line, " "), " "))
	}
}

// The digits of a figure stay on one line: the spaces between them, which do
// not break, are letters to the wrapping.
var (
	bind   = strings.NewReplacer("\u00a0", "\ue000", "\u202f", "\ue001")
	unbind = strings.NewReplacer("\ue000", "\u00a0", "\ue001", "\u202f", stay, " ")
)

// stay is a space at which a line is not broken: between a box and its words.
const stay = "\ue002"

func wrapSoft(s string, room int) string { return unbind.Replace(text.WrapSoft(bind.Replace(s), room)) }

// column is one column of a table: its heading, its width and its alignment.
type column struct {
	head  string
	width int
	right bool
}

// table writes rows under headings, cells wrapped to their column. The widths
// must leave room for two spaces between columns.
func (t *Text) table(cols []column, rows [][]string) {
	if len(rows) == 0 {
		return
	}
	w := table.NewWriter()
	w.SetStyle(plainStyle)
	head := make(table.Row, len(cols))
	configs := make([]table.ColumnConfig, len(cols))
	for i, c := range cols {
		head[i] = c.head
		configs[i] = table.ColumnConfig{Number: i + 1, WidthMax: c.width, WidthMaxEnforcer: wrapSoft}
		if c.right {
			configs[i].Align, configs[i].AlignHeader = text.AlignRight, text.AlignRight
		}
	}
	w.AppendHeader(head)
	w.SetColumnConfigs(configs)
	for _, r := range rows {
		row := make(table.Row, len(r))
		for i, cell := range r {
			row[i] = t.prefs.Text(cell)
		}
		w.AppendRow(row)
	}
	for _, line := range strings.Split(w.Render(), "\n") {
		if strings.Trim(line, "-") == "" { // the last column has no neighbour to keep clear of
			line = strings.TrimSuffix(line, "--")
		}
		fmt.Fprintln(t.w, strings.TrimRight(line, " "))
	}
}

// plainStyle rules off the headings and separates columns by two spaces.
var plainStyle = func() table.Style {
	s := table.StyleDefault
	s.Name = "plain"
	s.Options = table.Options{SeparateHeader: true}
	s.Box.PaddingLeft, s.Box.PaddingRight = "", "  "
	s.Box.MiddleHorizontal, s.Box.MiddleSeparator = "-", "-"
	s.Format.Header = text.FormatDefault
	return s
}()
