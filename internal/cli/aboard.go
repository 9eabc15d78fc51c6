package cli

import (
	"context"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/yard"
)

func (a *app) aboardCmd() *cobra.Command {
	var used, out bool
	var note string
	c := &cobra.Command{Use: "aboard VEHICLE [THING...]",
		Short: "Record which spares and tools are carried, or say what is and what would help", Args: a.args(1, -1),
		Long: "Record that a spare or a tool is carried, and since when; with --used or --out that it is\n" +
			"not aboard any more. A trip, the worth of a look and the chance of being stranded know what\n" +
			"is aboard and what can be mended with it beside the road. With no thing it says what is\n" +
			"aboard and what would help; a thing is named as that list names it, or in your own words.",
		Example: "  undertray aboard heron \"a belt of the right length\" \"the spanner for the tensioner\"\n  " +
			"undertray aboard heron --used \"self-fusing tape\"",
		RunE: func(c *cobra.Command, args []string) error {
			gone := map[bool]fleet.Gone{used: fleet.GoneUsed, out: fleet.GoneOut}[true]
			switch {
			case used && out:
				return &fleet.Error{Kind: fleet.Invalid, Where: "--used, --out",
					Msg: "it was used or taken out, not both", Hint: "give one of the two"}
			case len(args) == 1 && gone != "":
				return &fleet.Error{Kind: fleet.Invalid, Where: "THING", Msg: "it is not said what is gone",
					Hint: "name it as the list of what is aboard does"}
			case len(args) == 1:
				return a.whatIsAboard(c.Context(), args[0])
			}
			return a.addAbout(c.Context(), args[0], func(r *advise.Report) ([]*fleet.Entry, error) {
				return aboard.Put(r.State, args[1:], gone, note)
			})
		}}
	c.Flags().BoolVar(&used, "used", false, "it was used")
	c.Flags().BoolVar(&out, "out", false, "it was taken out")
	c.Flags().StringVar(&note, "note", "", "anything to remember")
	return c
}

func (a *app) whatIsAboard(ctx context.Context, vehicle string) error {
	return a.withReport(ctx, vehicle, func(y *yard.Yard, r *advise.Report) error {
		things := aboard.Useful(r.Catalogue, r.State, r.Judgements)
		if a.json {
			return a.printJSON(aboard.ViewOf(r.Vehicle, things))
		}
		return a.print(y, func(t *print.Text) { t.Aboard(r.Vehicle, things) })
	})
}
