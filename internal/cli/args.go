package cli

import (
	"cmp"
	"errors"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// args checks the number of arguments; most < 0 means any number.
func (a *app) args(least, most int) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) >= least && (most < 0 || len(args) <= most) {
			return nil
		}
		if len(args) > 0 && c.HasSubCommands() {
			return noCommand(c, args[0])
		}
		return usageError{&fleet.Error{Kind: fleet.Invalid,
			Msg:  message.Of("%s is called as %s", shortPath(c), c.UseLine()),
			Hint: message.Of("more with: %s --help", c.CommandPath())}}
	}
}

// shortPath names a command without the program.
func shortPath(c *cobra.Command) string {
	return cmp.Or(strings.TrimPrefix(strings.TrimPrefix(c.CommandPath(), c.Root().Name()), " "), "this program")
}

// flagFault says what is wrong with a flag, and which one may have been meant.
func flagFault(c *cobra.Command, err error) error {
	e := &fleet.Error{Kind: fleet.Invalid, Msg: message.Is(err), Err: err,
		Hint: message.Of("list its flags with: %s --help", c.CommandPath())}
	var unknown *pflag.NotExistError
	var lacks *pflag.ValueRequiredError
	var value *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown):
		typed := "--" + unknown.GetSpecifiedName()
		if unknown.GetSpecifiedShortnames() != "" {
			typed = "-" + unknown.GetSpecifiedShortnames()
		}
		e.Msg = message.Of("%s has no flag %s", shortPath(c), typed)
		var names []string
		c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		if near := fleet.Nearest(strings.TrimLeft(typed, "-"), names); near != "" {
			e.Hint = message.Of("did you mean --%s? %s", near, e.Hint)
		}
	case errors.As(err, &lacks):
		e.Where, e.Msg = "--"+lacks.GetFlag().Name, "its value is missing"
		e.Hint = message.Name(lacks.GetFlag().Usage)
	case errors.As(err, &value):
		what := map[string]string{"int": "a whole number", "float64": "a number", "bool": "true or false"}
		e.Where = "--" + value.GetFlag().Name
		is := cmp.Or(what[value.GetFlag().Value.Type()], "possible here")
		e.Msg = message.Of("%q is not %s", value.GetValue(), is)
		e.Hint = message.Name(value.GetFlag().Usage)
	}
	return usageError{e}
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
	c.RunE = func(c *cobra.Command, _ []string) error { return c.Help() }
	c.Args = func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		return noCommand(c, args[0])
	}
}

// noCommand is the error of a word that is no command of those c holds.
func noCommand(c *cobra.Command, typed string) error {
	hint := message.Of("list them with: %s --help", c.CommandPath())
	var names []string
	for _, sub := range c.Commands() {
		names = append(names, sub.Name())
	}
	if near := fleet.Nearest(typed, names); near != "" {
		hint = message.Of("did you mean %q?", near)
	}
	return usageError{&fleet.Error{Kind: fleet.Invalid,
		Msg: message.Of("%s has no command %q", shortPath(c), typed), Hint: hint}}
}

func oneOf(flag, got string, want ...string) error {
	hint := message.Of("write one of %s", strings.Join(want, ", "))
	if near := fleet.Nearest(got, want); near != "" {
		hint = message.Of("did you mean %q? %s", near, hint)
	}
	return &fleet.Error{Kind: fleet.Invalid, Where: "--" + flag, Msg: message.Of("%q is not possible here", got),
		Hint: hint}
}
