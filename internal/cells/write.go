package cells

import (
	"encoding/binary"
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf16"
)

// Forms are how tables are written: with commas in UTF-8 (RFC 4180), with semicolons and decimal commas, marked as
// UTF-8, for spreadsheets of countries that write so, and with tabs in UTF-16, which all of them open as text.
var Forms = []string{"csv", "csv-semicolon", "csv-tab"}

// Write writes rows of strings and float64 in one of Forms; figures are cells of their own, so that a spreadsheet adds
// them up. A string that a spreadsheet would take for a formula gets an apostrophe in front. The error is that
// of w, or names a form that is none.
func Write(w io.Writer, form string, rows [][]any) error {
	sep, decimal, mark := ',', ".", ""
	switch form {
	case "csv":
	case "csv-semicolon":
		sep, decimal, mark = ';', ",", "\ufeff"
	case "csv-tab":
		sep, mark = '\t', "\ufeff"
		w = wide{w}
	default:
		return fmt.Errorf("no table is written as %q", form)
	}
	var b strings.Builder
	b.WriteString(mark)
	out := csv.NewWriter(&b)
	out.Comma, out.UseCRLF = sep, true
	for _, r := range rows {
		line := make([]string, len(r))
		for i, cell := range r {
			switch v := cell.(type) {
			case float64:
				line[i] = strings.Replace(strconv.FormatFloat(v, 'f', -1, 64), ".", decimal, 1)
			case string:
				line[i] = harmless(v)
			}
		}
		if err := out.Write(line); err != nil {
			return err
		}
	}
	out.Flush()
	_, err := io.WriteString(w, b.String())
	return err
}

// Type is the media type of a form.
func Type(form string) string {
	if form == "csv-tab" {
		return "text/tab-separated-values; charset=utf-16"
	}
	return "text/csv; charset=utf-8"
}

func harmless(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

// wide writes UTF-8 on as UTF-16, the low byte first.
type wide struct{ w io.Writer }

// Write implements io.Writer for whole characters.
func (o wide) Write(p []byte) (int, error) {
	var out []byte
	for _, u := range utf16.Encode([]rune(string(p))) {
		out = binary.LittleEndian.AppendUint16(out, u)
	}
	_, err := o.w.Write(out)
	return len(p), err
}
