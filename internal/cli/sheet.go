package cli

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/yard"
)

func (a *app) sheetCmd() *cobra.Command {
	c := &cobra.Command{Use: "sheet",
		Short: "Vehicle sheets: start one from plain questions, check one"}
	holdsCommands(c)
	c.AddCommand(a.sheetNewCmd(), a.sheetCheckCmd(), a.sheetQuestionsCmd(), a.sheetArchetypesCmd())
	return c
}

// sheetFlags are the flags of a new sheet as typed.
type sheetFlags struct {
	fill                ask.Filling
	built, yearly, like string
	say                 map[string]*string
	belts               []string
}

func (a *app) sheetNewCmd() *cobra.Command {
	o := sheetFlags{say: map[string]*string{}}
	c := &cobra.Command{Use: "new VEHICLE", Short: "Write a commented vehicle sheet from answers to plain questions",
		Args: a.args(1, 1),
		Long: "Asks on a terminal what no flag answers. Elsewhere the usual answer is taken for what no\nflag " +
			"answers; \"undertray sheet questions\" lists questions and answers. \"unknown\" is an\nanswer: " +
			"the sheet then says what was taken.\n\n" + exitHelp,
		Example: "  undertray sheet new wren --like four-transverse-petrol --name \"Wren, the small hatchback\"\n" +
			"  undertray sheet new crake --sort pickup --cylinders v8 --fuel injection \\\n    --belt \"sprung: " +
			"tensioner, alternator, water-pump\" --belt \"stretch: compressor\"",
		RunE: func(_ *cobra.Command, args []string) error { return a.newSheet(args[0], o) }}
	c.Flags().StringVar(&o.fill.Name, "name", "", "what you call it")
	c.Flags().StringVar(&o.fill.VIN, "vin", "", "its vehicle identification number")
	c.Flags().StringVar(&o.yearly, "yearly", "", "what it runs in a year, as \"14000 km\" or \"200 h\"")
	c.Flags().StringVar(&o.built, "built", "", "the day it was first used, as near as known")
	c.Flags().StringVar(&o.like, "like", "", "answer as for this archetype what no other flag does")
	c.Flags().StringArrayVar(&o.belts, "belt", nil, "a belt and what it turns in order, \"sprung: alternator, "+
		"tensioner, water-pump\"; the one that comes off first in front; \"none\" for none")
	for _, q := range ask.Questions() {
		o.say[q.ID] = c.Flags().String(q.ID, "", q.Ask)
		if !a.completes {
			continue
		}
		var choices []string
		for _, choice := range q.Choices {
			choices = append(choices, choice.ID+"\t"+choice.Say)
		}
		_ = c.RegisterFlagCompletionFunc(q.ID, cobra.FixedCompletions(choices, cobra.ShellCompDirectiveNoFileComp))
	}
	return c
}

func (a *app) newSheet(id string, o sheetFlags) error {
	o.fill.Vehicle = id
	if o.fill.Name == "" {
		o.fill.Name = id
	}
	var err error
	if o.built != "" {
		if o.fill.Built, err = a.dayOf("built", o.built); err != nil {
			return err
		}
	}
	if o.fill.Yearly, err = runFlag("yearly", o.yearly); err != nil {
		return err
	}
	answers, told, err := o.answers()
	if err != nil {
		return err
	}
	if terminal(a.in) >= 0 && !told {
		if answers, err = ask.Talk(a.in, wrapped{a}); err != nil {
			return err
		}
	}
	src, err := ask.Build(answers, o.fill)
	if err != nil {
		return err
	}
	name := yard.SheetPath(a.dir, id)
	if err := yard.NewSheet(a.dir, id, src); err != nil {
		return err
	}
	a.line("Wrote %s: %d positions. Walk round the vehicle with it, change what is different on yours, "+
		"then: %s", name, strings.Count(string(src), "\n    kind: "), "undertray sheet check "+id)
	return nil
}

// answers are those of the flags; told says that some were given.
func (o *sheetFlags) answers() (answers ask.Answers, told bool, err error) {
	answers = ask.Answers{Say: map[string]string{}}
	if told = o.like != ""; told {
		if answers, err = ask.From(o.like); err != nil {
			return answers, told, err
		}
	}
	for id, text := range o.say {
		if *text != "" {
			answers.Say[id], told = *text, true
		}
	}
	for _, text := range o.belts {
		told = true
		if text == "none" && len(o.belts) == 1 {
			answers.Belts = []ask.Belt{}
			break
		}
		b, err := ask.ParseBelt(text)
		if err != nil {
			return answers, told, err
		}
		answers.Belts = append(answers.Belts, b)
	}
	return answers, told, nil
}

func (a *app) sheetCheckCmd() *cobra.Command {
	return &cobra.Command{Use: "check [VEHICLE]", Short: "Check one sheet, or all; every mistake with its line",
		Args: a.args(0, 1),
		RunE: func(_ *cobra.Command, args []string) error {
			y, err := yard.Open(a.dir)
			if err != nil {
				return err
			}
			ids := y.IDs()
			if len(args) == 1 {
				ids = args
			}
			var mistakes []error
			for _, id := range ids {
				v, err := y.Vehicle(id)
				if err != nil {
					mistakes = append(mistakes, err)
					continue
				}
				for _, w := range y.Warnings(id) {
					a.item("note: ", message.Name(fmt.Sprint(w)))
				}
				a.line("%s: %d positions, %d openings, %d belt runs; no mistakes.", v.Name,
					len(v.Positions), len(v.Openings), len(v.Runs))
			}
			return errors.Join(mistakes...)
		}}
}

// sheetQuestionsCmd lists what is asked; with --json whole.
func (a *app) sheetQuestionsCmd() *cobra.Command {
	return &cobra.Command{Use: "questions", Short: "List the questions a new sheet is made from, with their answers",
		Args: a.args(0, 0),
		RunE: func(*cobra.Command, []string) error {
			if a.json {
				return a.printJSON(ask.Questions())
			}
			for _, q := range ask.Questions() {
				a.item("--"+q.ID+"  ", message.Is(q.Ask))
				for _, c := range q.Choices {
					a.item(fmt.Sprintf("    %-14s ", c.ID), message.Is(c.Say))
				}
			}
			a.item("--belt  ", "How is it held tight, and what does it turn, in order?")
			for _, k := range ask.BeltKinds() {
				a.item(fmt.Sprintf("    %-14s ", k.ID+":"), message.Is(k.Say))
			}
			for _, m := range ask.Machines() {
				a.item(fmt.Sprintf("    %-14s ", m.ID), message.Is(m.Say))
			}
			return nil
		}}
}

func (a *app) sheetArchetypesCmd() *cobra.Command {
	return &cobra.Command{Use: "archetypes", Short: "List usual sorts of vehicle whose answers a sheet may start from",
		Args: a.args(0, 0),
		RunE: func(*cobra.Command, []string) error {
			for _, t := range ask.Archetypes() {
				a.item(fmt.Sprintf("%-24s ", t.ID), message.Is(t.About))
			}
			return nil
		}}
}
