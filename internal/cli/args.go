package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"undertray/internal/fleet"
)

// args checks the number of arguments; most < 0 means any number.
func (a *app) args(least, most int) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) >= least && (most < 0 || len(args) <= most) {
			return nil
		}
		return usageError{&fleet.Error{Kind: fleet.Invalid,
			Msg:  fmt.Sprintf("%s is called as: undertray %s", c.Name(), strings.TrimPrefix(c.UseLine(), "undertray ")),
			Hint: "more with: undertray " + strings.TrimPrefix(c.CommandPath(), "undertray ") + " --help"}}
	}
}

// holdsCommands makes a command that only holds others: by itself it shows its
// help, and a word that is none of them is a mistake in how it was called.
func holdsCommands(c *cobra.Command) {
	c.SuggestionsMinimumDistance = 2
	c.RunE = func(c *cobra.Command, _ []string) error { return c.Help() }
	c.Args = func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		hint := "list them with: " + c.CommandPath() + " --help"
		if near := c.SuggestionsFor(args[0]); len(near) > 0 {
			hint = fmt.Sprintf("did you mean %q?", near[0])
		}
		return usageError{&fleet.Error{Kind: fleet.Invalid, Msg: fmt.Sprintf("%s has no command %q", c.CommandPath(), args[0]), Hint: hint}}
	}
}

func oneOf(flag, got string, want ...string) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: "--" + flag, Msg: fmt.Sprintf("%q is not possible here", got),
		Hint: "write one of " + strings.Join(want, ", ")}
}
