package cli

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/intake"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/web"
	"undertray.example/undertray/internal/yard"
)

// schemas are the files that have one.
var schemas = []struct {
	name, of string
	schema   func() []byte
}{
	{"sheet", "a vehicle sheet, vehicles/ID.yaml", sheet.Schema},
	{"yard", "the settings of a yard, yard.yaml", yard.Schema},
	{"catalogue", "a catalogue file, catalogue/NAME.yaml", catalogue.Schema},
	{"round", "a filled-in round sheet", intake.Schema},
	{"answers", "what undertray ask kept of a round that was broken off", intake.AnswersSchema},
	{"entry", "an entry, a line of an exported journal", journal.Schema},
	{httpSchema, "the HTTP interface, as OpenAPI 3.1 with a JSON Schema of every answer", web.OpenAPI},
}

// httpSchema is the one that is no JSON Schema by itself.
const httpSchema = "http"

func (a *app) schemaCmd() *cobra.Command {
	var names []string
	for _, s := range schemas {
		names = append(names, s.name)
	}
	return &cobra.Command{Use: "schema [NAME]", Short: "Print the JSON Schema of a file, or which files have one",
		Args: a.args(0, 1), ValidArgs: names,
		Long: "For editors and other programs: docs/files.md says how an editor takes one up.",
		RunE: func(_ *cobra.Command, args []string) error {
			for _, s := range schemas {
				switch {
				case len(args) == 0:
					a.item(fmt.Sprintf("%-10s ", s.name), message.Text(s.of))
				case s.name == args[0]:
					_, err := a.out.Write(s.schema())
					return err
				}
			}
			if len(args) > 0 && !slices.Contains(names, args[0]) {
				return &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("there is no schema %q", args[0]),
					Hint: fleet.Instead(args[0], names)}
			}
			return nil
		}}
}
