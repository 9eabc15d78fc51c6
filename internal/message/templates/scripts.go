package templates

import (
	"regexp"
	"strconv"
)

// asked finds where a script says something.
var asked = regexp.MustCompile(`\binWords\(("(?:[^"\\]|\\.)*")`)

// InScript gives the texts that a script says: those it gives to inWords, each a whole message in English.
func InScript(src string) (out []string) {
	for _, m := range asked.FindAllStringSubmatch(src, -1) {
		if text, err := strconv.Unquote(m[1]); err == nil {
			out = append(out, text)
		}
	}
	return out
}
