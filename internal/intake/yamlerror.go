package intake

import (
	"errors"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yamltree"
)

// yamlFault phrases a syntax error with its line.
func yamlFault(name string, err error) error {
	line, msg := 0, message.Text("the file is not proper YAML")
	var f *yamltree.Fault
	if errors.As(err, &f) {
		line, msg = f.Line, message.Of("%s: %s", msg, f.Msg)
	}
	return fault(name, line, msg,
		"set each answer two spaces deeper than its position, with a colon and a space behind the check")
}
