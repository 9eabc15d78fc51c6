package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/door"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/yard"
)

func (a *app) devicesCmd() *cobra.Command {
	c := &cobra.Command{Use: "devices", Short: "Devices that were let in to the served pages, and whose they are",
		Args:    a.args(0, 0),
		Example: "  undertray devices\n  undertray devices let-in Ana --may write --at https://shed.local:8337",
		RunE:    func(*cobra.Command, []string) error { return a.devices() }}
	c.AddCommand(a.letInCmd(), a.addressCmd(), a.tokenCmd(), a.turnAwayCmd())
	return c
}

func (a *app) devices() error {
	all, err := door.Of(a.dir).Devices()
	if err != nil {
		return err
	}
	if len(all) == 0 {
		a.line("No device was let in.")
	}
	for _, d := range all {
		a.line("%s  %s, %s: %s; since %s, last here %s", d.ID[:8], harmless(d.Person), harmless(d.Name),
			d.May.Words(), told.Long(civil.Of(d.Since.Local())), told.Long(civil.Of(d.Seen.Local())))
	}
	return nil
}

func (a *app) letInCmd() *cobra.Command {
	var may, at string
	c := &cobra.Command{Use: "let-in PERSON", Short: "Make a code that lets one device in, once, within ten minutes",
		Args: a.args(1, 1),
		Long: "What is written down on that device bears the person's name. The code is typed at\n" +
			"/pair on the device; with --at, the address by which it opens the server, it is\n" +
			"drawn as well, to be read by the device's camera.",
		RunE: func(_ *cobra.Command, args []string) error {
			code, err := door.Of(a.dir).Invite(args[0], door.May(may), a.now())
			if err != nil {
				return err
			}
			if at != "" {
				drawn, err := door.Blocks(door.Link(at, code))
				if err != nil {
					return err
				}
				fmt.Fprint(a.out, drawn)
			}
			a.line("Code: %s", code)
			a.line("Type it at /pair on the device within ten minutes.")
			return nil
		}}
	c.Flags().StringVar(&may, "may", string(door.Write), mays(door.Mays))
	c.Flags().StringVar(&at, "at", "", "address of the server as the device opens it")
	return c
}

func (a *app) addressCmd() *cobra.Command {
	var at string
	of := door.Device{}
	c := &cobra.Command{Use: "calendar NAME", Args: a.args(1, 1),
		Short: "Make an address by which a calendar program subscribes to the plan",
		Long: "NAME is the program or person it is for. Whoever has the address reads the calendar and\n" +
			"nothing else, until it is turned away. It is shown this once: only a digest of it is kept.",
		Example: "  undertray devices calendar kitchen --vehicle wren --alarm evening --at https://shed.local:8337",
		RunE: func(_ *cobra.Command, args []string) error {
			of.Name = args[0]
			if print.Alarms[of.Alarm] == "" && of.Alarm != "" {
				return badFlag("alarm", of.Alarm, "write evening (before the day) or week (before it)")
			}
			if of.Vehicle != "" {
				y, err := yard.Open(a.dir)
				if err != nil {
					return err
				}
				if _, err := y.Vehicle(of.Vehicle); err != nil {
					return err
				}
			}
			key, err := door.Of(a.dir).Address(of, a.now())
			if err == nil {
				fmt.Fprintln(a.out, strings.TrimSuffix(at, "/")+door.CalendarPath(key))
			}
			return err
		}}
	c.Flags().StringVar(&of.Vehicle, "vehicle", "", "the vehicle it is of (default all)")
	c.Flags().StringVar(&of.Alarm, "alarm", "", "remind on the \"evening\" before, or a \"week\" before")
	c.Flags().StringVar(&at, "at", "", "address of the server as the calendar program opens it")
	return c
}

func (a *app) tokenCmd() *cobra.Command {
	var may string
	c := &cobra.Command{Use: "token NAME", Args: a.args(1, 1),
		Short: "Make a token by which a program asks and writes down over HTTP (docs/http.md)",
		Long: "NAME is the program it is for, and stands beside all that it writes down. Whoever has the\n" +
			"token may as much, until it is turned away. It is shown this once: only a digest of it is kept.",
		Example: "  undertray devices token shed-display --may ask",
		RunE: func(_ *cobra.Command, args []string) error {
			key, err := door.Of(a.dir).Token(args[0], door.May(may), a.now())
			if err == nil {
				fmt.Fprintln(a.out, key)
			}
			return err
		}}
	c.Flags().StringVar(&may, "may", string(door.Ask), mays(door.Tokens))
	return c
}

// mays lists what may be done, for a flag.
func mays(all []door.May) string {
	words := make([]string, len(all))
	for i, m := range all {
		words[i] = string(m) + " (" + m.Words().String() + ")"
	}
	return strings.Join(words, ", ")
}

func (a *app) turnAwayCmd() *cobra.Command {
	return &cobra.Command{Use: "turn-away DEVICE", Args: a.args(1, 1),
		Short: "Take back what a device was given: its next request is refused",
		RunE: func(_ *cobra.Command, args []string) error {
			d, err := door.Of(a.dir).TurnAway(args[0])
			if err == nil {
				a.line("%s of %s is turned away.", harmless(d.Name), harmless(d.Person))
			}
			return err
		}}
}

func (a *app) certificateCmd() *cobra.Command {
	return &cobra.Command{Use: "certificate NAME...",
		Short: "Make a certificate of your own, so that the pages are served over HTTPS", Args: a.args(1, 20),
		Long: "NAME is the name or address by which phones open the server, without https and port.\n" +
			"Signed by an authority of this house that can sign for these names alone; serve uses it\n" +
			"from its next start on where others reach it. Each device is told once to trust the\n" +
			"authority: docs/keeping.md says how.",
		Example: "  undertray certificate shed.local 192.168.1.20",
		RunE: func(_ *cobra.Command, args []string) error {
			anew, err := door.Of(a.dir).Certificate(args, a.now())
			if err != nil {
				return err
			}
			a.line("The server has a certificate for %s.", told.Listing(told.Names(args)))
			if anew {
				a.line("Let each device trust this house once: open /%s there and install it.",
					door.CAFile)
			}
			return nil
		}}
}
