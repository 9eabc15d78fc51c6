package surface_test

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var rewrite = flag.Bool("update", false, "draw docs/surface.svg anew")

// errorRow is a row of the table of errors of scale: what was changed, to what, and of both ways of scale the median
// and the 90th of a hundred, %.
type errorRow struct {
	of string
	at float64
	is [4]float64
}

// errorRows are the rows of docs/surface.md that [TestScaleCurve] writes.
func errorRows(t *testing.T, text string) (out []errorRow) {
	t.Helper()
	for line := range strings.Lines(text) {
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|")
		if len(cells) != 6 || !strings.Contains(cells[1], " of 12") {
			continue
		}
		var r errorRow
		for _, word := range strings.Fields(cells[0]) {
			if v, err := strconv.ParseFloat(word, 64); err == nil {
				r.at = v
			} else {
				r.of += word + " "
			}
		}
		for i := range r.is {
			v, err := strconv.ParseFloat(strings.TrimSpace(cells[i+2]), 64)
			if err != nil {
				t.Fatalf("%q: %v", strings.TrimSpace(line), err)
			}
			r.is[i] = v
		}
		out = append(out, r)
	}
	return out
}

// The drawing of how errors of scale grow is that of its table, which the soak measures: run this with -update once
// that is written anew.
func TestTheCurveIsThatOfItsTable(t *testing.T) {
	text, err := os.ReadFile("../docs/surface.md")
	if err != nil {
		t.Fatal(err)
	}
	rows := errorRows(t, string(text))
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 560 230" width="840" height="345" role="img" ` +
		`font-family="sans-serif" font-size="10">
<title>Errors of scale against tilt, blur and px per mm</title>
<rect width="560" height="230" fill="#fdfcf7"/>
`)
	const long, tall, top, most = 140.0, 150.0, 20.0, 2.0 // px, px, px, %
	panels := 0
	for len(rows) > 0 {
		n := slices.IndexFunc(rows, func(r errorRow) bool { return r.of != rows[0].of })
		if n < 0 {
			n = len(rows)
		}
		panel(&b, rows[:n], 40+float64(panels)*175, top, long, tall, most)
		rows, panels = rows[n:], panels+1
	}
	b.WriteString(`<text x="12" y="95" text-anchor="middle" transform="rotate(-90 12 95)">error of scale, %</text>
<g fill="none" stroke-width="1.5"><path d="M40 220h22" stroke="#0072b2"/><path d="M160 220h22" stroke="#0072b2" ` +
		`stroke-dasharray="4 3"/><path d="M300 220h22" stroke="#d55e00"/><path d="M420 220h22" stroke="#d55e00" ` +
		`stroke-dasharray="4 3"/></g>
<text x="66" y="223">across, median</text><text x="186" y="223">across, nine in ten</text>` +
		`<text x="326" y="223">along, median</text><text x="446" y="223">along, nine in ten</text>
</svg>
`)
	if panels != 3 {
		t.Fatalf("%d things are changed in the table, want tilt, blur and scale", panels)
	}
	const file = "../docs/surface.svg"
	if *rewrite {
		if err := os.WriteFile(file, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if old, err := os.ReadFile(file); err != nil || string(old) != b.String() {
		t.Errorf("%s is not that of its table: run go test ./surface -run TestTheCurve -update (%v)", file, err)
	}
}

// panel draws the rows of what was changed.
func panel(b *strings.Builder, rows []errorRow, x, y, long, tall, most float64) {
	first, last := rows[0].at, rows[len(rows)-1].at
	fmt.Fprintf(b, "<path d=\"M%g %gv%gh%g\" fill=\"none\" stroke=\"#222\"/>\n", x, y, tall, long)
	fmt.Fprintf(b, "<text x=\"%g\" y=\"%g\" text-anchor=\"middle\">%s</text>\n", x+long/2, y+tall+28,
		strings.NewReplacer("tilt ", "tilt, ", "blur ", "blur, ").Replace(strings.TrimSpace(rows[0].of)))
	for v := 0.0; v <= most; v += 0.5 {
		up := y + tall*(1-v/most)
		fmt.Fprintf(b, "<path d=\"M%g %gh%g\" stroke=\"#ddd\"/>", x, up, long)
		fmt.Fprintf(b, "<text x=\"%g\" y=\"%g\" text-anchor=\"end\">%g</text>\n", x-4, up+3, v)
	}
	at := func(r errorRow, i int) string {
		return fmt.Sprintf("%.1f %.1f", x+long*(r.at-first)/(last-first), y+tall*(1-min(r.is[i], most)/most))
	}
	for _, r := range rows {
		fmt.Fprintf(b, "<text x=\"%.1f\" y=\"%g\" text-anchor=\"middle\">%g</text>\n",
			x+long*(r.at-first)/(last-first), y+tall+14, r.at)
	}
	for i, style := range []string{`stroke="#0072b2"`, `stroke="#0072b2" stroke-dasharray="4 3"`, `stroke="#d55e00"`,
		`stroke="#d55e00" stroke-dasharray="4 3"`} {
		fmt.Fprintf(b, "<path fill=\"none\" stroke-width=\"1.5\" %s d=\"M", style)
		for k, r := range rows {
			b.WriteString(strings.Repeat("L", min(k, 1)) + at(r, i))
		}
		b.WriteString("\"/>\n")
	}
}
