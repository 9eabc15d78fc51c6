// Package cells reads and writes tables as spreadsheets of any country do: cells with commas, semicolons or tabs
// between them, in UTF-8 or UTF-16, figures with a decimal point or comma. Quotes and lines are those of RFC 4180.
package cells

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"errors"
	"io"
	"regexp"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// Separators may stand between cells, the surest first.
var Separators = []rune{'\t', ';', ','}

// ErrText is what Text refuses.
var ErrText = errors.New("the text is neither UTF-8 nor UTF-16")

// Text decodes a file: UTF-8, or UTF-16 of either order as its mark says or, without one, as the zeros of its
// first characters do. Its only error is ErrText.
func Text(src []byte) (string, error) {
	var order binary.ByteOrder
	switch {
	case bytes.HasPrefix(src, []byte("\xff\xfe")):
		order, src = binary.LittleEndian, src[2:]
	case bytes.HasPrefix(src, []byte("\xfe\xff")):
		order, src = binary.BigEndian, src[2:]
	case len(src) >= 4 && src[1] == 0 && src[3] == 0 && src[0] != 0:
		order = binary.LittleEndian
	case len(src) >= 4 && src[0] == 0 && src[2] == 0 && src[1] != 0:
		order = binary.BigEndian
	}
	if order == nil {
		src = bytes.TrimPrefix(src, []byte("\xef\xbb\xbf"))
		if !utf8.Valid(src) || bytes.IndexByte(src, 0) >= 0 {
			return "", ErrText
		}
		return string(src), nil
	}
	if len(src)%2 != 0 {
		return "", ErrText
	}
	wide := make([]uint16, len(src)/2)
	for i := range wide {
		wide[i] = order.Uint16(src[2*i:])
	}
	text := string(utf16.Decode(wide))
	if strings.ContainsAny(text, "\x00\ufffd") {
		return "", ErrText
	}
	return text, nil
}

// Row is a line of a table, with its place in the file, from 1. Cells in quotes may span lines.
type Row struct {
	Line  int
	Cells []string
}

// Rows takes a text apart at sep; lazy takes quotes in the midst of a cell as they are. Blank lines are passed over.
// The error is a *csv.ParseError, with the rows before it.
func Rows(text string, sep rune, lazy bool) ([]Row, error) {
	text, head := named(text)
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.LazyQuotes, r.TrimLeadingSpace = sep, -1, lazy, sep != '\t'
	var out []Row
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		var at *csv.ParseError
		if errors.As(err, &at) {
			at.Line += head
		}
		if err != nil {
			return out, err
		}
		line, _ := r.FieldPos(0)
		if strings.TrimSpace(strings.Join(cells, "")) != "" {
			out = append(out, Row{line + head, cells})
		}
	}
}

// named takes away the first line by which some spreadsheets name the separator, and says how many lines that were.
func named(text string) (rest string, lines int) {
	if _, ok := declared(text); ok {
		_, rest, _ = strings.Cut(text, "\n")
		return rest, 1
	}
	return text, 0
}

func declared(text string) (rune, bool) {
	line, _, _ := strings.Cut(text, "\n")
	sep, found := strings.CutPrefix(strings.ToLower(strings.TrimSuffix(line, "\r")), "sep=")
	for _, s := range Separators {
		if found && sep == string(s) {
			return s, true
		}
	}
	return 0, false
}

// Separator is what stands between the cells of a text whose first line names its columns: what that names, or
// what cuts that line, outside of quotes, into the most cells; a comma where nothing does.
func Separator(text string) rune {
	if sep, ok := declared(text); ok {
		return sep
	}
	best, most := ',', 0
	for line := range strings.Lines(text) {
		if strings.TrimSpace(line) == "" {
			continue
		}
		quoted := false
		count := map[rune]int{}
		for _, c := range line {
			if c == '"' {
				quoted = !quoted
			} else if !quoted {
				count[c]++
			}
		}
		for _, sep := range Separators {
			if count[sep] > most {
				best, most = sep, count[sep]
			}
		}
		break
	}
	return best
}

// grouped is a figure at the beginning of a cell that has marks in it, and stands alone or before a unit.
var grouped = regexp.MustCompile(`^\s*[+−-]?(\d+(?:[.,'\x{2019}\x{a0}\x{202f} ]\d+)+)(?:$|\s*[^\d\s.,/:'-])`)

// Decimal is the mark of decimals in a table, as its figures show that can be read in one way only: '.', ',' or 0
// where none does, or they contradict each other.
func Decimal(rows []Row) rune {
	seen := map[rune]bool{}
	for _, r := range rows {
		for _, cell := range r.Cells {
			if m := grouped.FindStringSubmatch(cell); m != nil {
				if mark := decimalOf(m[1]); mark != 0 {
					seen[mark] = true
				}
			}
		}
	}
	switch {
	case seen['.'] == seen[',']:
		return 0
	case seen['.']:
		return '.'
	}
	return ','
}

// decimalOf is the mark of decimals that one figure shows, 0 where it shows none.
func decimalOf(figure string) rune {
	last := strings.LastIndexAny(figure, ".,")
	if last < 0 {
		return 0
	}
	mark, other := rune(figure[last]), '.'
	if mark == '.' {
		other = ','
	}
	behind := len(figure) - last - 1
	switch n := strings.Count(figure, string(mark)); {
	case n > 1:
		if inThrees(figure) {
			return other
		}
		return 0 // a date, or nothing
	case strings.IndexFunc(figure[:last], func(c rune) bool { return c < '0' || c > '9' }) >= 0:
		return mark // groups before it
	case behind == 3:
		return 0
	}
	return mark
}

var thousands = regexp.MustCompile(`^\d{1,3}(?:[.,'\x{2019}\x{a0}\x{202f} ]\d{3})+$`)

func inThrees(figure string) bool { return thousands.MatchString(figure) }

// Figure rewrites the figure that a cell begins with as one with a decimal point and without marks between
// thousands; what begins with none stays as it is. decimal is the table's mark, 0 for not known: then "1,234" can be
// read in two ways, and ok is false, as it is where what stands before the decimals is not grouped in threes.
func Figure(cell string, decimal rune) (plain string, ok bool) {
	at := grouped.FindStringSubmatchIndex(cell)
	if at == nil {
		return cell, true
	}
	figure := cell[at[2]:at[3]]
	if strings.Count(figure, ".") > 1 && !inThrees(figure) && !strings.Contains(figure, ",") {
		return cell, true // a date, or a version
	}
	mark := decimalOf(figure)
	if mark == 0 {
		switch {
		case !strings.ContainsAny(figure, ".,"):
			mark = ' ' // marks of thousands alone
		case decimal == 0:
			return cell, false
		default:
			mark = decimal
		}
	}
	whole, part := figure, ""
	if i := strings.LastIndex(figure, string(mark)); i >= 0 && mark != ' ' {
		whole, part = figure[:i], "."+figure[i+1:]
	}
	digits := strings.Map(func(c rune) rune {
		if c < '0' || c > '9' {
			return -1
		}
		return c
	}, whole)
	if digits != whole && !inThrees(whole) {
		return cell, false
	}
	return cell[:at[2]] + digits + part + cell[at[3]:], true
}
