package intake

import (
	"errors"

	"github.com/goccy/go-yaml"
)

// yamlFault phrases a syntax error of the YAML library with its line.
func yamlFault(name string, err error) error {
	line := 0
	msg := "the file is not proper YAML"
	var at yaml.Error
	if errors.As(err, &at) {
		if t := at.GetToken(); t != nil && t.Position != nil {
			line = t.Position.Line
		}
		msg += ": " + at.GetMessage()
	}
	return fault(name, line, msg, "set each answer two spaces deeper than its position, with a colon and a space behind the check")
}
