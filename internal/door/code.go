package door

import (
	"fmt"
	"image"
	"net/url"
	"strings"

	qr "github.com/piglig/go-qr"
)

// Link is the address at which a code is used, below the one of the server, such as
// "https://shed.local:8337/".
func Link(server, code string) string {
	return strings.TrimSuffix(server, "/") + "/pair?code=" + url.QueryEscape(code)
}

// margin is how many light modules stand around a code (ISO/IEC 18004: four).
const margin = 4

// modules encodes a text and returns which modules are dark, row by row, with a light margin.
func modules(text string) ([][]bool, error) {
	code, err := qr.EncodeText(text, qr.Medium)
	if err != nil {
		return nil, err
	}
	size := code.Size() + 2*margin
	out := make([][]bool, size)
	for y := range out {
		out[y] = make([]bool, size)
		for x := range out[y] {
			p := image.Pt(x-margin, y-margin)
			out[y][x] = p.In(image.Rect(0, 0, code.Size(), code.Size())) && code.Module(p.X, p.Y)
		}
	}
	return out, nil
}

// Path draws a text as a QR code, for the attribute d of an SVG path in a square of side
// modules.
func Path(text string) (d string, side int, err error) {
	rows, err := modules(text)
	if err != nil {
		return "", 0, err
	}
	var b strings.Builder
	for y, row := range rows {
		for x := 0; x < len(row); x++ {
			from := x
			for x < len(row) && row[x] {
				x++
			}
			if x > from {
				fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", from, y, x-from, x-from)
			}
		}
	}
	return b.String(), len(rows), nil
}

// Blocks draws a text as a QR code with the blocks of a terminal, two modules a
// character: light ones are drawn, as most terminals are dark.
func Blocks(text string) (string, error) {
	rows, err := modules(text)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	for y := 0; y < len(rows); y += 2 {
		for x := range rows[y] {
			low := y+1 < len(rows) && rows[y+1][x] || y+1 >= len(rows)
			b.WriteRune([]rune(" ▄▀█")[bit(!rows[y][x])*2+bit(!low)])
		}
		b.WriteByte('\n')
	}
	return b.String(), nil
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}
