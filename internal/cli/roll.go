package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/yard"
)

// onlyFlag lets a command about all vehicles be asked about some.
func (a *app) onlyFlag(c *cobra.Command) {
	c.Flags().StringVar(&a.only, "vehicles", "",
		fmt.Sprintf("only these vehicles together, with commas between; a yard of more than %d needs it", together.Few))
}

// callRoll prints the part of a large yard's roll that begins at a place, once
// every vehicle was looked at.
func (a *app) callRoll(ctx context.Context, y *yard.Yard, first int) error {
	if a.on != "" {
		return &fleet.Error{Kind: fleet.Invalid, Where: "--on",
			Msg: message.Of("all %d vehicles are worked out for today only", len(y.IDs())),
			Hint: message.Of("ask one vehicle about another day: undertray state %s --on %s", y.IDs()[0],
				quoted(a.on))}
	}
	day, err := a.day()
	if err != nil {
		return err
	}
	roll := together.Roll{Journal: a.folds}
	from := together.RollFrom{Day: day, Files: yard.Files(a.dir), Catalogue: y.Catalogue, Sheets: y,
		Row: together.RowOf}
	if err := roll.Call(ctx, from); err != nil {
		return err
	}
	bar := a.progress("looking at vehicles")
	for more := true; more; bar.Add(1) {
		if more, err = roll.Step(ctx); err != nil {
			return err
		}
	}
	bar.Finish()
	part, err := roll.Stretch(ctx, ctx, first-1, together.Few)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(part.View())
	}
	return a.print(y, func(t *print.Text) { t.Roll(y.Settings.Name, part) })
}
