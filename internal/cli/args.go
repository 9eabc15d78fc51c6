package cli

import (
	"fmt"
	"regexp"
	"slices"
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

// negative finds what is a figure below nothing, "-16 °C", and not a flag: no
// flag begins with a digit.
var negative = regexp.MustCompile(`^-[.,]?[0-9]`)

// negativesAsValues lets figures below nothing be arguments like any other:
// where one stands among the arguments of a command, it puts the command's flags
// first and its arguments behind "--", in their order. Flags take such values
// anyway.
func negativesAsValues(root *cobra.Command, args []string) []string {
	if !slices.ContainsFunc(args, negative.MatchString) {
		return args
	}
	c, rest, err := root.Find(args)
	if err != nil {
		return args
	}
	flags, values := splitArgs(c, rest)
	if !slices.ContainsFunc(values, negative.MatchString) {
		return args
	}
	return slices.Concat(strings.Fields(c.CommandPath())[1:], flags, []string{"--"}, values)
}

// splitArgs tells a command's flags, with their values, from its arguments.
func splitArgs(c *cobra.Command, args []string) (flags, values []string) {
	for i := 0; i < len(args); i++ {
		switch arg := args[i]; {
		case arg == "--":
			return flags, append(values, args[i+1:]...)
		case !strings.HasPrefix(arg, "-"), arg == "-", negative.MatchString(arg):
			values = append(values, arg)
		default:
			flags = append(flags, arg)
			f := c.Flag(strings.TrimPrefix(arg, "--"))
			if f != nil && f.NoOptDefVal == "" && i+1 < len(args) {
				i++
				flags = append(flags, args[i])
			}
		}
	}
	return flags, values
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
		return usageError{&fleet.Error{Kind: fleet.Invalid,
			Msg: fmt.Sprintf("%s has no command %q", c.CommandPath(), args[0]), Hint: hint}}
	}
}

func oneOf(flag, got string, want ...string) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: "--" + flag, Msg: fmt.Sprintf("%q is not possible here", got),
		Hint: "write one of " + strings.Join(want, ", ")}
}
