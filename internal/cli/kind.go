package cli

import (
	"io"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// knowledge opens the yard's catalogue, or the built-in one where there is no
// yard: what is known about parts can be asked before anything is set up.
func (a *app) knowledge() (*yard.Yard, error) {
	y, err := yard.Open(a.dir)
	if err == nil {
		return y, nil
	}
	if fleet.KindOf(err) != fleet.NotFound {
		return nil, err
	}
	cat, err := catalogue.Load()
	if err != nil {
		return nil, err
	}
	return &yard.Yard{Catalogue: cat}, nil
}

func (a *app) kindCmd() *cobra.Command {
	var sheet paper
	c := &cobra.Command{Use: "kind [KIND]", Short: "All that is known about a kind of part, with sources",
		Long: "Tells all that is known about a kind of part, with sources; without a kind it lists them. With --pdf\n" +
			"it sets a wall sheet of the kind: what each answer looks like, with its verdict.",
		Args:    a.args(0, 1),
		Example: "  undertray kind ribbed-belt --pdf ribbed-belt.pdf",
		RunE: func(_ *cobra.Command, args []string) error {
			if err := sheet.check(a.otherForm("")); err != nil {
				return err
			}
			y, err := a.knowledge()
			if err != nil {
				return err
			}
			if len(args) == 0 && sheet.file != "" {
				return &fleet.Error{Kind: fleet.Invalid, Where: "--pdf", Msg: "a wall sheet is of one kind",
					Hint: "name it before --pdf; list them with: undertray kind"}
			}
			if len(args) == 0 {
				if a.json {
					return a.printJSON(y.Catalogue.Kinds())
				}
				return a.print(y, func(t *print.Text) { t.Kinds(y.Catalogue) })
			}
			k, err := kindOf(y.Catalogue, args[0])
			if err != nil {
				return err
			}
			switch {
			case sheet.file != "":
				on, err := a.day()
				if err != nil {
					return err
				}
				return a.onPaper(y, sheet, func(p print.Paper, w io.Writer) error {
					return p.Wall(w, y.Catalogue, k, on)
				})
			case a.json:
				return a.printJSON(k)
			}
			return a.print(y, func(t *print.Text) { t.Kind(y.Catalogue, k) })
		}}
	sheet.flags(c)
	return c
}

func (a *app) meaningCmd() *cobra.Command {
	var material, stance string
	var spec []string
	c := &cobra.Command{Use: "meaning KIND CHECK ANSWER", Short: "What something just seen, felt or heard means",
		Args:    a.args(3, 3),
		Example: "  undertray meaning ribbed-belt cracks \"4 per 75 mm\" --material neoprene",
		RunE: func(_ *cobra.Command, args []string) error {
			y, err := a.knowledge()
			if err != nil {
				return err
			}
			k, err := kindOf(y.Catalogue, args[0])
			if err != nil {
				return err
			}
			part := fleet.PartSpec{Material: material}
			if err := record.Material(k, material); err != nil {
				return err
			}
			if part.Spec, err = specFlags(spec); err != nil {
				return err
			}
			m, err := a.meaning(y, k, part, args[1], args[2], stance)
			if err != nil {
				return err
			}
			if a.json {
				return a.printJSON(m.View(a.reads(y)))
			}
			return a.print(y, func(t *print.Text) { t.Meaning(m) })
		}}
	c.Flags().StringVar(&material, "material", "", "material of the part, where it is known")
	c.Flags().StringVar(&stance, "stance", "", "authority to follow: strictest, vehicle maker, part maker or own")
	c.Flags().StringArrayVar(&spec, "spec", nil, "figure of the part, as marked-pressure=7psi")
	return c
}

func (a *app) meaning(y *yard.Yard, k *catalogue.Kind, part fleet.PartSpec, check, answer,
	stance string) (*advise.Meaning, error) {
	var follow fleet.Stance
	if stance != "" {
		if err := follow.UnmarshalText([]byte(stance)); err != nil {
			return nil, &fleet.Error{Kind: fleet.Invalid, Where: "--stance", Msg: message.Is(err), Err: err}
		}
	}
	on, err := a.day()
	if err != nil {
		return nil, err
	}
	f, err := record.Answer(k, check, answer)
	if err != nil {
		return nil, err
	}
	return advise.WhatItMeans(y.Catalogue, k, part, f, follow, on), nil
}

// kindOf returns the kind with this id, or an error that names the nearest.
func kindOf(c *catalogue.Catalogue, id string) (*catalogue.Kind, error) {
	if k := c.Kind(id); k != nil {
		return k, nil
	}
	hint := message.Text("list them with: undertray kind")
	if found := c.Find(id); len(found) > 0 {
		hint = message.Of("did you mean %q?", found[0].ID)
	} else if near := c.NearestKind(id); near != "" {
		hint = message.Of("did you mean %q?", near)
	}
	return nil, &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("the catalogue has no kind %q", id), Hint: hint}
}

// specFlags reads figures given as name=quantity.
func specFlags(given []string) (map[string]units.Quantity, error) {
	if len(given) == 0 {
		return nil, nil
	}
	out := map[string]units.Quantity{}
	for _, s := range given {
		name, figure, ok := strings.Cut(s, "=")
		q, err := units.ParseAny(figure)
		if !ok || err != nil {
			return nil, &fleet.Error{Kind: fleet.Invalid, Where: "--spec",
				Msg:  message.Of("%q is not a figure of a part", s),
				Hint: "write it as marked-pressure=7psi", Err: err}
		}
		out[name] = q
	}
	return out, nil
}
