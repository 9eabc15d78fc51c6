package cli

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/handover"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/yard"
)

type directive = cobra.ShellCompDirective

// completing is what a shell asks about: the words that stand before the one it completes. It
// reads the yard's settings, the list of its sheets, the one sheet asked about and the catalogue,
// and never the journal: nothing is worked out.
type completing struct {
	c    *cobra.Command
	args []string
	y    *yard.Yard
}

// completions are what a shell offers for arguments, in capitals as in lines of use, and for
// flags, where one command's are not those of others with the command in front; behind each word
// stands what it means where there is more to say.
var completions = map[string]func(completing) []string{
	"VEHICLE": completing.vehicles, "--vehicle": completing.vehicles, "--vehicles": completing.vehicles,
	"KIND":     func(k completing) []string { return k.y.Catalogue.KindIDs() },
	"POSITION": completing.positions, "--position": completing.positions, "--also": completing.positions,
	"--at": completing.positions, "let-in --at": nil, "calendar --at": nil,
	"finish --not": completing.positions, "new VEHICLE": nil,
	"CHECK": completing.checks, "--check": completing.checks, "--settles": completing.checks,
	"ANSWER":  completing.answers,
	"OPENING": completing.openings, "--open": completing.openings, "--opening": completing.openings,
	"RUN": completing.runs,
	"--material": func(k completing) []string {
		if kind := k.kind(); kind != nil {
			return kind.Materials
		}
		return nil
	},
	"--like": func(completing) []string {
		var out []string
		for _, t := range ask.Archetypes() {
			out = append(out, t.ID+"\t"+t.About)
		}
		return out
	},
	"--stance": func(completing) []string { return strings.Split(stances(), ", ") },
	"--for": func(completing) []string {
		var out []string
		for _, w := range handover.Whom() {
			out = append(out, string(w))
		}
		return out
	},
	"round --by":   anyOf("walk", "system"),
	"round --form": anyOf("yaml", "csv", "csv-semicolon", "csv-tab"),
	"--paper":      anyOf("a4", "letter"),
	"--removed":    anyOf("failed", "worn", "due", "another job"),
	"give --with":  anyOf("prices", "names"), "handover --with": anyOf("prices", "names"),
}

func anyOf(words ...string) func(completing) []string {
	return func(completing) []string { return words }
}

// complete gives every command and flag below root what a shell offers for it.
func (a *app) complete(root *cobra.Command) {
	for _, c := range root.Commands() {
		own := func(of string) string {
			if _, ok := completions[c.Name()+" "+of]; ok {
				return c.Name() + " " + of
			}
			return of
		}
		if of := argumentsOf(c); len(of) > 0 && c.ValidArgsFunction == nil {
			c.ValidArgsFunction = func(c *cobra.Command, args []string, part string) ([]string, directive) {
				if len(args) >= len(of) && !strings.Contains(c.Use, "...") {
					return nil, cobra.ShellCompDirectiveNoFileComp
				}
				return a.offer(completing{c: c, args: args}, own(of[min(len(args), len(of)-1)]), part, false)
			}
		}
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			of := own("--" + f.Name)
			if completions[of] == nil || f.NoOptDefVal != "" {
				return
			}
			many := f.Value.Type() == "stringSlice" || strings.Contains(f.Usage, "commas between")
			_ = c.RegisterFlagCompletionFunc(f.Name, // refused only to who did it before
				func(c *cobra.Command, args []string, part string) ([]string, directive) {
					return a.offer(completing{c: c, args: args}, of, part, many)
				})
		})
		a.complete(c)
	}
}

// argumentsOf are the words in a command's line of use, such as VEHICLE and POSITION.
func argumentsOf(c *cobra.Command) []string {
	_, words, _ := strings.Cut(c.Use, " ")
	return strings.FieldsFunc(words, func(r rune) bool { return strings.ContainsRune("[]. ", r) })
}

// offer returns what begins as part does; many says that several go with commas between.
func (a *app) offer(k completing, of, part string, many bool) ([]string, directive) {
	find := completions[of]
	if find == nil {
		if of == "FILE" || of == "PICTURE" {
			return nil, cobra.ShellCompDirectiveDefault
		}
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var err error
	if k.y, err = yard.Open(a.dir); err == nil {
		k.y.KeepQuick(journal.Program())
	} else if cat, err := catalogue.Load(); err == nil {
		k.y = &yard.Yard{Catalogue: cat}
	} else {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	before := ""
	if at := strings.LastIndex(part, ","); many && at >= 0 {
		before, part = part[:at+1], part[at+1:]
	}
	var out []string
	for _, word := range find(k) {
		id, _, _ := strings.Cut(word, "\t")
		if strings.HasPrefix(id, part) && !slices.Contains(strings.Split(before, ","), id) {
			out = append(out, before+word)
		}
	}
	return out, cobra.ShellCompDirectiveNoFileComp
}

func (k completing) vehicles() []string { return k.y.IDs() }

// vehicle is the one named first, or nil.
func (k completing) vehicle() *fleet.Vehicle {
	if len(k.args) == 0 || !k.y.Has(k.args[0]) {
		return nil
	}
	v, err := k.y.Vehicle(k.args[0])
	if err != nil {
		return nil
	}
	return v
}

func (k completing) positions() []string {
	var out []string
	if v := k.vehicle(); v != nil {
		for i := range v.Positions {
			out = append(out, v.Positions[i].ID+"\t"+v.Positions[i].Name)
		}
	}
	return out
}

func (k completing) openings() []string {
	var out []string
	if v := k.vehicle(); v != nil {
		for i := range v.Openings {
			out = append(out, v.Openings[i].ID+"\t"+v.Openings[i].Name)
		}
	}
	return out
}

func (k completing) runs() []string {
	var out []string
	if v := k.vehicle(); v != nil {
		for i := range v.Runs {
			out = append(out, v.Runs[i].ID+"\t"+v.Runs[i].Name)
		}
	}
	return out
}

// kind is that of the part asked about: named itself, or by its position as an argument or with
// --at; or nil.
func (k completing) kind() *catalogue.Kind {
	if slices.Contains(argumentsOf(k.c), "KIND") && len(k.args) > 0 {
		return k.y.Catalogue.Kind(k.args[0])
	}
	position := ""
	if f := k.c.Flag("at"); f != nil {
		position = f.Value.String()
	}
	if len(k.args) > 1 && position == "" {
		position = k.args[1]
	}
	if v := k.vehicle(); v != nil {
		if p := v.Position(position); p != nil {
			return k.y.Catalogue.Kind(p.Kind)
		}
	}
	return nil
}

func (k completing) checks() []string {
	var out []string
	if kind := k.kind(); kind != nil {
		for i := range kind.Checks {
			out = append(out, kind.Checks[i].ID+"\t"+kind.Checks[i].Question)
		}
	}
	return out
}

// answers are those to the check named last.
func (k completing) answers() []string {
	var out []string
	if kind := k.kind(); kind != nil {
		if check := kind.Check(k.args[len(k.args)-1]); check != nil {
			for _, ans := range check.Answers {
				out = append(out, ans.ID+"\t"+ans.Say)
			}
		}
	}
	return out
}
