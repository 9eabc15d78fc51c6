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

func oneOf(flag, got string, want ...string) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: "--" + flag, Msg: fmt.Sprintf("%q is not possible here", got),
		Hint: "write one of " + strings.Join(want, ", ")}
}
