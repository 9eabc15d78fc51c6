package cli

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/handfile"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/yard"
)

// leaveFlag gives a command --with, by which prices and names go along.
func leaveFlag(c *cobra.Command) (read func() (handfile.Leave, error)) {
	var with string
	c.Flags().StringVar(&with, "with", "",
		"what goes along besides: prices, names (of who wrote things down, and of shops), or both")
	return func() (handfile.Leave, error) {
		asked := commas(with)
		for _, word := range asked {
			if word != "prices" && word != "names" {
				return handfile.Leave{}, oneOf("with", word, "prices", "names")
			}
		}
		return handfile.Leave{Prices: !slices.Contains(asked, "prices"), Names: !slices.Contains(asked, "names")}, nil
	}
}

func (a *app) giveCmd() *cobra.Command {
	c := &cobra.Command{Use: "give VEHICLE FILE",
		Short: "Write a vehicle with its past into a file for another yard", Args: a.args(2, 2),
		Long: "Writes the vehicle's sheet, entries, pictures and recordings into one new file (a tar\n" +
			"archive) and reads it back; nothing else of the yard is in it. What things cost, who wrote\n" +
			"them down and where parts were bought is left out unless --with asks for it. Notes and\n" +
			"comments go along as they were written. Checksums show damage, not who wrote the file.\n\n" + exitHelp,
		Example: "  undertray give heron heron-2026-11-30.tar\n  undertray give heron heron.tar --with prices,names",
	}
	leave := leaveFlag(c)
	c.RunE = func(c *cobra.Command, args []string) error {
		l, err := leave()
		if err != nil {
			return err
		}
		return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
			about, err := handfile.Give(c.Context(), y, store, args[0], args[1], l, a.now())
			switch {
			case err != nil:
				return err
			case a.json:
				return a.printJSON(about)
			}
			return a.print(y, func(t *print.Text) {
				t.Told(append([]message.Text{message.Of("Wrote %s and read it back.", args[1])},
					about.Words()...))
			})
		})
	}
	c.Flags().BoolVar(&a.json, "json", false, "print what it holds as JSON")
	return c
}

func (a *app) takeCmd() *cobra.Command {
	var o handfile.Options
	c := &cobra.Command{Use: "take FILE",
		Short: "Take in a vehicle that another yard gave, whole or not at all", Args: a.args(1, 1),
		Long: "Checks all of a file that give wrote, then takes in the vehicle's sheet, entries, pictures\n" +
			"and recordings together. Where the yard has a vehicle of that short name, it gets the next\n" +
			"free one; where it has entries of the file, the others join them, so taking a file in twice\n" +
			"doubles nothing. On a machine without a yard it makes one. Damage is found, and where; who\n" +
			"wrote the file is not proven.\n\n" + exitHelp,
		Example: "  undertray take heron.tar --look",
		RunE: func(c *cobra.Command, args []string) error {
			f, err := opened(args[0])
			if err != nil {
				return err
			}
			defer f.Close()
			o.Now = a.now()
			name := filepath.Base(args[0])
			if _, err := os.Stat(a.dir); errors.Is(err, fs.ErrNotExist) { // a yard is made for a sound file alone
				if _, err := handfile.Check(f, name, o); err != nil {
					return err
				}
				if err := os.MkdirAll(a.dir, 0o755); err != nil {
					return yard.Unwritable(a.dir, err)
				}
			}
			return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
				o.Room = y.Settings.Pictures.Bytes()
				taken, err := handfile.Take(c.Context(), y, store, f, name, o)
				switch {
				case err != nil:
					return err
				case a.json:
					return a.printJSON(taken)
				}
				return a.print(y, func(t *print.Text) {
					t.Told(taken.Told(o.Look))
					if !o.Look {
						t.Line(message.Of("See it with: %s", "undertray state "+taken.Here))
					}
				})
			})
		}}
	c.Flags().BoolVar(&o.Look, "look", false, "say what it holds and what would become of it; keep nothing")
	c.Flags().BoolVar(&o.Sure, "sure", false, "take in entries about days to come as well")
	c.Flags().BoolVar(&a.json, "json", false, "print what became of it as JSON")
	return c
}
