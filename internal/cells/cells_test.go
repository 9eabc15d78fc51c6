package cells

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// word draws what people put into cells.
func word(r *rapid.T, name string) string {
	return rapid.OneOf(rapid.StringN(0, 12, 40), rapid.SampledFrom([]string{"belt; hose, clamp", `6" pulley`, "=1+1",
		"-5", "two\r\nlines", "a\tb", " spaced ", "über", "\U0001f527", "'quoted'", "@home"})).
		Filter(func(s string) bool {
			return !strings.ContainsAny(s, "\x00\ufffd\ufeff\r") && utf8.ValidString(s)
		}).Draw(r, name)
}

// table draws a table under a heading, and the same as the texts that are to be read back.
func table(r *rapid.T) (rows [][]any, want [][]string) {
	rows, want = [][]any{{"what", "figure", "words"}}, [][]string{{"what", "figure", "words"}}
	for range rapid.IntRange(1, 5).Draw(r, "rows") {
		figure := float64(rapid.IntRange(-1e7, 1e7).Draw(r, "figure")) / 100
		a, b := "x"+word(r, "a"), word(r, "b")
		rows = append(rows, []any{a, figure, b})
		want = append(want, []string{a, fmt.Sprint(figure), harmless(b)})
	}
	return rows, want
}

// What is written in any form is read back, by its text alone.
func TestTablesComeBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		rows, want := table(r)
		for _, form := range Forms {
			var b bytes.Buffer
			if err := Write(&b, form, rows); err != nil {
				r.Fatal(err)
			}
			text, err := Text(b.Bytes())
			if err != nil {
				r.Fatalf("%s: %v", form, err)
			}
			back, err := Rows(text, Separator(text), false)
			if err != nil || len(back) != len(want) {
				r.Fatalf("%s: %d rows, %v\n%q", form, len(back), err, text)
			}
			for i, row := range back[1:] {
				decimal := '.'
				if form == "csv-semicolon" {
					decimal = ','
				}
				figure, ok := Figure(row.Cells[1], decimal)
				w := want[i+1]
				if fmt.Sprint(rows[i+1][1]) != trimmed(figure) || !ok || row.Cells[0] != w[0] ||
					strings.TrimSpace(row.Cells[2]) != strings.TrimSpace(w[2]) {
					r.Fatalf("%s: %q, want %q", form, row.Cells, w)
				}
			}
		}
	})
}

// trimmed is a figure as fmt prints a float64 of it.
func trimmed(figure string) string {
	var f float64
	if json.Unmarshal([]byte(figure), &f) != nil {
		return figure
	}
	return fmt.Sprint(f)
}

// Python's csv module (3.11), told nothing but the form, reads the same cells and adds the figures up.
func TestPythonReadsTables(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil {
		if os.Getenv("UNDERTRAY_CHECK") != "" {
			t.Fatal(err)
		}
		t.Skip("python3 is not here")
	}
	rows := [][]any{{"part", "cost"}, {"belt; 6\" wide, \"EPDM\"\nand more", 38.5}, {"=hose", 1234.25}, {"über", -0.75}}
	const script = `import csv, io, json, sys
out = {}
for form, enc, sep, dec in (("csv", "utf-8", ",", "."), ("csv-semicolon", "utf-8-sig", ";", ","),
    ("csv-tab", "utf-16", "\t", ".")):
    text = open(sys.argv[1] + "/" + form, encoding=enc, newline="").read()
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=sep, strict=True))
    out[form] = [[r[0] for r in rows], sum(float(r[1].replace(dec, ".")) for r in rows[1:])]
print(json.dumps(out))`
	dir := t.TempDir()
	for _, form := range Forms {
		var b bytes.Buffer
		if err := errors.Join(Write(&b, form, rows), os.WriteFile(dir+"/"+form, b.Bytes(), 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	said, err := exec.Command(python, "-c", script, dir).Output()
	if err != nil {
		t.Fatal(err)
	}
	var got map[string][2]any
	if err := json.Unmarshal(said, &got); err != nil {
		t.Fatal(err)
	}
	for _, form := range Forms {
		want := [2]any{[]any{"part", "belt; 6\" wide, \"EPDM\"\r\nand more", "'=hose", "über"}, 1272.0}
		if !reflect.DeepEqual(got[form], want) {
			t.Errorf("%s: %v", form, got[form])
		}
	}
}

// The grammar of RFC 4180, section 2, holds for what is written: CRLF ends each line, cells with quotes, commas
// or line breaks stand in quotes, and quotes in them are doubled; each line has as many cells.
func TestGrammar(t *testing.T) {
	cell := regexp.MustCompile(`^(?:"(?:[^"]|"")*"|[^",\r\n]*)`)
	rapid.Check(t, func(r *rapid.T) {
		rows, _ := table(r)
		var b bytes.Buffer
		if err := Write(&b, "csv", rows); err != nil {
			r.Fatal(err)
		}
		left := b.String()
		for i := range rows {
			for j := range 3 {
				left = left[len(cell.FindString(left)):]
				end := ","
				if j == 2 {
					end = "\r\n"
				}
				if !strings.HasPrefix(left, end) {
					r.Fatalf("row %d, cell %d does not end in %q: %.30q", i, j, end, left)
				}
				left = left[len(end):]
			}
		}
		if left != "" {
			r.Fatalf("behind the last row: %q", left)
		}
	})
}

func TestText(t *testing.T) {
	for src, want := range map[string]string{"\xef\xbb\xbfä": "ä", "ä": "ä", "": "", "\xff\xfea\x00;\x00": "a;",
		"\xfe\xff\x00a\x00;": "a;", "a\x00;\x00": "a;", "\x00a\x00;": "a;", "\xff\xfe\x3d\xd8\x27\xdd": "\U0001f527"} {
		if got, err := Text([]byte(src)); err != nil || got != want {
			t.Errorf("%q: %q, %v", src, got, err)
		}
	}
	for _, src := range []string{"\xe4 in Latin 1", "a\x00b", "\xff\xfea", "\xff\xfe\x3d\xd8a\x00"} {
		if got, err := Text([]byte(src)); !errors.Is(err, ErrText) {
			t.Errorf("%q: %q, %v", src, got, err)
		}
	}
}

func TestSeparator(t *testing.T) {
	for text, want := range map[string]rune{"a,b;c,d": ',', "a;b;c,d": ';', "\n\na\tb,c\td": '\t', `"a,b,c";d`: ';',
		"sep=;\na,b,c": ';', "sep=x\na,b": ',', "alone": ',', "": ','} {
		if got := Separator(text); got != want {
			t.Errorf("%q: %q", text, got)
		}
	}
	rows, err := Rows("sep=;\r\n\r\na;\"b\r\nc\"\r\nd;e\"", ';', false)
	if len(rows) != 1 || rows[0].Line != 3 || err == nil || !strings.Contains(err.Error(), "line 5") {
		t.Errorf("%v, %v", rows, err)
	}
}

// Figures in the ways of many countries (Unicode CLDR: en, de, fr, de-CH, pl); what could be meant in two ways is
// refused where the table does not settle it.
func TestFigure(t *testing.T) {
	for _, c := range []struct {
		cell    string
		decimal rune
		want    string
	}{
		{"3,5 mm", 0, "3.5 mm"}, {"3.5 mm", ',', "3.5 mm"}, {"184310 km", 0, "184310 km"},
		{"184.310 km", 0, ""}, {"184.310 km", ',', "184310 km"}, {"184.310 km", '.', "184.310 km"},
		{"184,310", '.', "184310"}, {"184,310", ',', "184.310"}, {"184,310", 0, ""},
		{"1.234.567", 0, "1234567"}, {"1.234,5", 0, "1234.5"}, {"1,234.5", ',', "1234.5"},
		{"1\u202f234,50 €", 0, "1234.50 €"},
		{"1'234.50 CHF", 0, "1234.50 CHF"}, {"1 234 567", 0, "1234567"}, {"12 34 56", '.', ""}, {"-3,25", 0, "-3.25"},
		{"1.23.456,7", 0, ""}, {"2026-11-25", 0, "2026-11-25"}, {"25.11.2026", ',', "25.11.2026"},
		{"3 per 75 mm", 0, "3 per 75 mm"},
		{"1 1/2 in", 0, "1 1/2 in"}, {"worn, 3,5", 0, "worn, 3,5"}, {"", 0, ""},
	} {
		got, ok := Figure(c.cell, c.decimal)
		if want := c.want != "" || c.cell == ""; ok != want || ok && got != c.want {
			t.Errorf("%q with %q: %q, %v", c.cell, c.decimal, got, ok)
		}
	}
	for cells, want := range map[string]rune{"a|3,5|184.310": ',', "3.5 mm|1,234": '.', "3,5|3.5": 0,
		"1,234|12.03.2024": 0,
		"1.234.567 km":     ','} {
		if got := Decimal([]Row{{1, strings.Split(cells, "|")}}); got != want {
			t.Errorf("%s: %q", cells, got)
		}
	}
}

func FuzzRows(f *testing.F) {
	for _, s := range []string{"sep=;\na;b", "\xff\xfea\x00", "a,\"b\n\"", "1.234,5;x"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		text, err := Text(src)
		if err != nil {
			return
		}
		for _, lazy := range []bool{false, true} {
			rows, _ := Rows(text, Separator(text), lazy)
			decimal, last := Decimal(rows), 0
			for _, r := range rows {
				if r.Line < last {
					t.Fatalf("line %d stands behind %d", r.Line, last)
				}
				last = r.Line
				for _, c := range r.Cells {
					if plain, ok := Figure(c, decimal); ok {
						if again, ok := Figure(plain, '.'); !ok || again != plain {
							t.Fatalf("%q is %q and then %q", c, plain, again)
						}
					}
				}
			}
		}
	})
}
