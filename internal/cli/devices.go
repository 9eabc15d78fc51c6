package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"undertray/civil"
	"undertray/internal/door"
	"undertray/internal/say"
)

func (a *app) devicesCmd() *cobra.Command {
	c := &cobra.Command{Use: "devices", Short: "Devices that were let in to the served pages, and whose they are",
		Args:    a.args(0, 0),
		Example: "  undertray devices\n  undertray devices let-in Ana --may write --at https://shed.local:8337",
		RunE:    func(*cobra.Command, []string) error { return a.devices() }}
	c.AddCommand(a.letInCmd(), a.turnAwayCmd())
	return c
}

func (a *app) devices() error {
	all, err := door.Of(a.dir).Devices()
	if err != nil {
		return err
	}
	if len(all) == 0 {
		fmt.Fprintln(a.out, "No device was let in.")
	}
	for _, d := range all {
		fmt.Fprintf(a.out, "%s  %s, %s: %s; since %s, last here %s\n", d.ID[:8], harmless(d.Person), harmless(d.Name),
			d.May.Words(), civil.Of(d.Since.Local()).Long(), civil.Of(d.Seen.Local()).Long())
	}
	return nil
}

func (a *app) letInCmd() *cobra.Command {
	var may, at string
	words := make([]string, len(door.Mays))
	for i, m := range door.Mays {
		words[i] = string(m) + " (" + m.Words() + ")"
	}
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
			fmt.Fprintf(a.out, "Code: %s\nType it at /pair on the device within ten minutes.\n", code)
			return nil
		}}
	c.Flags().StringVar(&may, "may", string(door.Write), strings.Join(words, ", "))
	c.Flags().StringVar(&at, "at", "", "address of the server as the device opens it")
	return c
}

func (a *app) turnAwayCmd() *cobra.Command {
	return &cobra.Command{Use: "turn-away DEVICE", Args: a.args(1, 1),
		Short: "Take back what a device was given: its next request is refused",
		RunE: func(_ *cobra.Command, args []string) error {
			d, err := door.Of(a.dir).TurnAway(args[0])
			if err == nil {
				fmt.Fprintf(a.out, "%s of %s is turned away.\n", harmless(d.Name), harmless(d.Person))
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
			fmt.Fprintf(a.out, "The server has a certificate for %s.\n", say.Listing(args))
			if anew {
				fmt.Fprintf(a.out, "Let each device trust this house once: open /%s there and install it.\n",
					door.CAFile)
			}
			return nil
		}}
}
