package say

import (
	"fmt"
	"regexp"

	"undertray.example/undertray/internal/message"
)

// Argument is what stands in a sentence where its text has braces.
type Argument struct {
	Of    string
	Name  string // "" for a figure
	Value float64
	Unit  string
}

var braces = regexp.MustCompile(`\{([a-z0-9 ]+)(?::([^}]*))?\}`)

// Named lists the arguments that a text names.
func Named(text message.Text) []string {
	var out []string
	for _, m := range braces.FindAllStringSubmatch(text.String(), -1) {
		out = append(out, m[1])
	}
	return out
}

// Fill puts arguments into a text: {stop} is the argument of that name, {stop:%.1f}
// the same written so, {stop:unit} its unit. What is not among them stays.
func Fill(text message.Text, args []Argument) message.Text {
	var places []any
	for _, m := range braces.FindAllStringSubmatch(text.String(), -1) {
		for _, a := range args {
			if a.Of == m[1] {
				places = append(places, m[0], a.written(m[2]))
				break
			}
		}
	}
	return text.Filled(places...)
}

func (a Argument) written(how string) string {
	switch {
	case how == "unit":
		return a.Unit
	case how != "" && (a.Name != "" || how[len(how)-1] == 'q'):
		return fmt.Sprintf(how, a.Name)
	case a.Name != "":
		return a.Name
	case how != "":
		return fmt.Sprintf(how, a.Value)
	}
	return fmt.Sprintf("%g", a.Value)
}
