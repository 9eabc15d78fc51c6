package cli

import (
	"context"
	"os"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/picture"
	"undertray.example/undertray/internal/yard"
)

func (a *app) pictureCmd() *cobra.Command {
	var w when
	var p fleet.Picture
	c := &cobra.Command{Use: "picture VEHICLE FILE", Short: "Keep a picture of a part, a finding or an opening",
		Long: "Keep a picture of the vehicle, of a part, of what a check found or of how an opening\n" +
			"went together: JPEG, PNG or WebP, upright, its longer side of at most 3 200 pixels.\n" +
			"Where, when and by what it was taken is not kept with it.",
		Args: a.args(2, 2),
		Example: "  undertray picture heron belt.jpg --at main-belt --check cracks\n" +
			"  undertray picture heron clips.jpg --opening engine-cover --text \"the long clip is at the rear\"",
		RunE: func(c *cobra.Command, args []string) error {
			return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
				return a.keepPicture(c.Context(), y, store, args, w, &p)
			})
		}}
	c.Flags().StringVar(&w.date, "date", "", "the day it was taken, as 2026-11-25 (default today)")
	c.Flags().StringVar(&p.Position, "at", "", "position it is of")
	c.Flags().StringVar(&p.Check, "check", "", "with --at: the check whose answer it shows")
	c.Flags().StringVar(&p.Opening, "opening", "", "opening it shows: how it went together")
	c.Flags().StringVar(&p.Text, "text", "", "what it shows")
	return c
}

func (a *app) keepPicture(ctx context.Context, y *yard.Yard, store journal.Store, args []string, w when,
	p *fleet.Picture) error {
	v, err := y.Vehicle(args[0])
	if err != nil {
		return err
	}
	e, err := a.entry(fleet.TypePicture, w)
	if err != nil {
		return err
	}
	src, err := os.ReadFile(args[1])
	if err != nil {
		return unreadable(args[1], err)
	}
	rec, most := a.recorder(y), y.Settings.Pictures.Bytes()
	e.Picture = p
	if err := rec.Check(ctx, v, []*fleet.Entry{e}); err != nil {
		return err
	}
	hashes, err := picture.Keep(ctx, store, most, src)
	if err != nil {
		return inFile(err, args[1])
	}
	p.Hash = hashes[0]
	stored, err := rec.Batch(ctx, v, []*fleet.Entry{e})
	if err != nil {
		return err
	}
	if used, err := picture.Used(ctx, store); err == nil && picture.UsedWords(used, most) != "" {
		a.note("", picture.UsedWords(used, most))
	}
	return a.recorded(ctx, y, store, v, stored)
}
