package cli

import "testing"

func TestHarmless(t *testing.T) {
	for in, want := range map[string]string{
		"plain, \u00b0C\tand\nmore": "plain, \u00b0C\tand\nmore",
		"\x1b[2Jgone\a":             `\u001b[2Jgone\u0007`,
		"\u202eback":                `\u202eback`,
		"\u009b31m":                 `\u009b31m`,
	} {
		if got := harmless(in); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
