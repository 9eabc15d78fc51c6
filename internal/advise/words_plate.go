package advise

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"undertray.example/undertray/draw/plate"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// mostFigure is how many letters of a figure find room in a plate.
const mostFigure = 9

// PlateFigures writes the figures of plates in a reader's units where those find room, and their words in a language.
func PlateFigures(p units.Preferences, in *message.Language) plate.Show {
	return func(number, unit string) string {
		if unit == "" && strings.ContainsFunc(number, unicode.IsLetter) {
			return message.Text(number).In(in)
		}
		plain := plate.Plain(number, unit)
		q, err := units.ParseAny(number + " " + unit)
		if err != nil {
			return plain // a unit of its own
		}
		if own := p.Show(q); utf8.RuneCountInString(own) <= mostFigure {
			return strings.ReplaceAll(own, " ", "\u00a0")
		}
		return plain
	}
}
