package cli

import (
	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/yard"
)

func (a *app) livesCmd() *cobra.Command {
	return &cobra.Command{Use: "lives KIND", Short: "How long parts of a kind last in this yard", Args: a.args(1, 1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
				kind, err := kindOf(y.Catalogue, args[0])
				if err != nil {
					return err
				}
				look, err := a.look(c.Context(), y)
				if err != nil {
					return err
				}
				reports, err := look.Peers(c.Context())
				if err != nil {
					return err
				}
				k, ok := ahead.Lives(reports, kind)
				if !ok {
					return &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("no life can be reckoned for %s: no "+
						"part of it is in the yard, or no authority names an interval", kind.Name),
						Hint: message.Of("see what is known with: undertray kind %s", kind.ID)}
				}
				if a.json {
					return a.printJSON(k)
				}
				return a.print(y, func(t *print.Text) { t.Lives(k) })
			})
		}}
}
