package draw

import (
	"html"
	"regexp"
	"strconv"
	"strings"

	"undertray.example/undertray/draw/typeface"
)

// lettered is a line of text of a drawing, as canvas.text writes it.
var lettered = regexp.MustCompile(`<text([^>]*)>([^<]*)</text>`)

// attribute finds one of its attributes.
func attribute(attrs, name string) string {
	_, rest, ok := strings.Cut(attrs, " "+name+`="`)
	if !ok {
		return ""
	}
	value, _, _ := strings.Cut(rest, `"`)
	return value
}

// Alone returns the drawing as a file that needs no typeface: each line of text is an outline
// with the text as its title. A line with a letter that the typeface lacks stays text.
func (s SVG) Alone() SVG {
	return SVG(lettered.ReplaceAllStringFunc(string(s), func(line string) string {
		m := lettered.FindStringSubmatch(line)
		attrs, text := m[1], html.UnescapeString(m[2])
		size, x, y := number(attrs, "font-size"), number(attrs, "x"), number(attrs, "y")
		for _, r := range text {
			if !typeface.Has(r) {
				return line
			}
		}
		w := typeface.Regular
		if attribute(attrs, "font-weight") != "" {
			w = typeface.SemiBold
		}
		switch wide := typeface.Width(text, size, w); attribute(attrs, "text-anchor") {
		case centred:
			x -= wide / 2
		case toRight:
			x -= wide
		}
		return `<path class="` + attribute(attrs, "class") + `" fill="` + attribute(attrs, "fill") + `" d="` +
			typeface.Outline(text, x, y, size, w) + `"><title>` + m[2] + `</title></path>`
	}))
}

// number reads an attribute of a drawing of this package, which are all plain figures.
func number(attrs, name string) float64 {
	v, err := strconv.ParseFloat(attribute(attrs, name), 64)
	if err != nil {
		return 0
	}
	return v
}
