package draw

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"undertray.example/undertray/internal/message"
)

// Letter widths of a system sans serif as a share of the size. They are
// generous, so that text that is reckoned to fit does fit.
const (
	meanLetter = 0.58
	boldLetter = 0.66
)

// textWidth estimates the width in px.
func textWidth(s string, size float64) float64 {
	return float64(utf8.RuneCountInString(s)) * size * meanLetter
}

// wrap breaks text into lines of at most width px. A word longer than that
// stands alone on its line.
func wrap(s string, size, width float64) []string {
	var lines []string
	line := ""
	for _, w := range strings.Fields(s) {
		if line == "" {
			line = w
			continue
		}
		if textWidth(line+" "+w, size) > width {
			lines = append(lines, line)
			line = w
			continue
		}
		line += " " + w
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// figure writes a number with the given decimals and a narrow space between
// thousands from 10 000 up (ISO 80000-1, 7.3.1: groups of three).
func figure(v float64, decimals int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	whole, frac, has := strings.Cut(s, ".")
	if len(whole) > 4 {
		var b strings.Builder
		for i, r := range whole {
			if i > 0 && (len(whole)-i)%3 == 0 {
				b.WriteRune('\u202f')
			}
			b.WriteRune(r)
		}
		whole = b.String()
	}
	if has {
		whole += "." + frac
	}
	if v < 0 && strings.Trim(whole, "0.") != "" {
		whole = "\u2212" + whole
	}
	return whole
}

// sentences joins texts, each with its full stop.
func sentences(all ...message.Text) message.Text {
	var out message.Text
	for _, t := range all {
		if t != "" && out != "" {
			out += " "
		}
		out += t.Sentence()
	}
	return out
}

// ended gives a text its full stop, and leaves its first letter.
func ended(t message.Text) message.Text { return message.Of("%s.", t.Open()) }
