package units

import (
	"strings"

	"undertray.example/undertray/internal/message"
)

// Error says why a text could not be read as a quantity, or a quantity not be
// used as asked, and what would be right.
type Error struct {
	Text       string       // the text as given
	Problem    message.Text // what is wrong, to follow the text: "has no unit"
	Want       string       // the dimension asked for, an example: "distance, such as 8200 mi"; empty when any would do
	Suggestion message.Text // what would be right: "write 8200 km or 8200 mi"
}

// Error returns one sentence: `"8200" has no unit: write 8200 km or 8200 mi`.
func (e *Error) Error() string { return e.Message().String() }

// Message is the same in any language.
func (e *Error) Message() message.Text {
	return message.Of("%s %s: %s", quote(e.Text), e.Problem, e.Suggestion)
}

// quote puts a text between plain quotation marks, shortened and without
// control characters; inch marks stay readable.
func quote(s string) string {
	const longest = 60
	runes := []rune(strings.Map(printable, s))
	if len(runes) > longest {
		runes = append(runes[:longest], '…')
	}
	return `"` + string(runes) + `"`
}

// printable replaces control characters and broken bytes.
func printable(r rune) rune {
	if r < ' ' || r == 0x7f || r == '\uFFFD' {
		return '?'
	}
	return r
}

// want describes the dimension asked for; empty for none.
func want(d Dimension) string {
	if !d.IsValid() {
		return ""
	}
	return d.String() + ", such as " + d.Example()
}

// offer suggests the number with each likely unit of the dimension.
func offer(number string, d Dimension) message.Text {
	t := traitOf(d)
	if number == "" || len(t.suggest) == 0 {
		return message.Of("write for example %s", t.example)
	}
	choices := make([]string, len(t.suggest))
	for i, symbol := range t.suggest {
		choices[i] = join(number, symbol)
	}
	return message.Of("write %s", orList(choices))
}

// orList joins choices with commas and a last "or".
func orList(choices []string) message.Text {
	if len(choices) < 2 {
		return message.Name(strings.Join(choices, ""))
	}
	last := len(choices) - 1
	return message.Of("%s or %s", strings.Join(choices[:last], ", "), choices[last])
}
