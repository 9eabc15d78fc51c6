package web

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"undertray.example/undertray/draw/typeface"
)

// line is a line of letters in a drawing: its box, and what it says.
type line struct {
	text                     string
	left, top, right, bottom float64
}

// linesOf are the lines of a drawing as they are set in the program's typeface: letters reach from their
// baseline 0.7 of the size up and 0.2 down (the face's capitals and descenders).
func linesOf(t *testing.T, svg *html.Node) (out []line) {
	t.Helper()
	for n := range svg.Descendants() {
		if n.Type != html.ElementNode || n.Data != "text" {
			continue
		}
		if _, ok := attr(n, "font-size"); !ok {
			continue // a number that script moves
		}
		number := func(key string) float64 {
			s, _ := attr(n, key)
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatalf("%s=%q of %q", key, s, text(n))
			}
			return v
		}
		says, size, x, y := strings.TrimSpace(text(n)), number("font-size"), number("x"), number("y")
		weight := typeface.Regular
		if _, strong := attr(n, "font-weight"); strong {
			weight = typeface.SemiBold
		}
		w := typeface.Width(says, size, weight)
		switch anchor, _ := attr(n, "text-anchor"); anchor {
		case "middle":
			x -= w / 2
		case "end":
			x -= w
		}
		out = append(out, line{says, x, y - .7*size, x + w, y + .2*size})
	}
	return out
}

// Letters in the drawings of every page of the demo stand within their drawing, and no two lines of them in
// each other.
func TestLettersInDrawingsStandClear(t *testing.T) {
	s, drawings, lines := demoSite(t), 0, 0
	for _, path := range audited {
		for _, svg := range parse(t, s.get(path).body).find("svg") {
			box, ok := attr(svg, "viewbox")
			if !ok {
				box, ok = attr(svg, "viewBox")
			}
			if !ok {
				continue // shapes that others use
			}
			var x, y, w, h float64
			if _, err := fmt.Sscan(box, &x, &y, &w, &h); err != nil {
				t.Fatal(path, box, err)
			}
			all := linesOf(t, svg)
			drawings, lines = drawings+1, lines+len(all)
			for i, a := range all {
				if a.left < x-.5 || a.top < y-.5 || a.right > x+w+.5 || a.bottom > y+h+.5 {
					t.Errorf("%s: %q leaves its drawing: %.0f to %.0f of %.0f, %.0f to %.0f of %.0f", path, a.text,
						a.left, a.right, x+w, a.top, a.bottom, y+h)
				}
				for _, b := range all[:i] {
					wide := min(a.right, b.right) - max(a.left, b.left)
					high := min(a.bottom, b.bottom) - max(a.top, b.top)
					if wide > .5 && high > .5 {
						t.Errorf("%s: %q and %q stand in each other", path, a.text, b.text)
					}
				}
			}
		}
	}
	if drawings < 40 || lines < 300 {
		t.Errorf("only %d drawings with %d lines were seen", drawings, lines)
	}
}
