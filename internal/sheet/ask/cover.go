package ask

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
)

// This file looks into sheets before they are put together, for tests that want every way in which modules meet.

// Engine names the questions that tell an engine and what it turns, Oil those about its oil besides.
var (
	Engine = strings.Fields("sort lies fuel cylinders timing turbo cooling pump steering air-con one-way")
	Oil    = strings.Fields("oil-cooler oil-filter")
)

// conditions lists every condition of the kit; a figure, and words about the vehicle, count as one for each answer that
// they tell apart.
func (k *kit) conditions() []condition {
	var out []condition
	for _, q := range k.Questions {
		out = append(out, q.When, q.Unless)
		for _, c := range q.Choices {
			out = append(out, c.When, c.Unless)
		}
		for _, u := range q.Usual {
			out = append(out, u.When)
		}
		if q.Unknown != nil {
			out = append(out, q.Unknown.When)
		}
	}
	for _, n := range k.BeltNames {
		out = append(out, n.When)
	}
	for _, m := range k.Machines {
		out = append(out, m.When, m.Unless)
	}
	for _, u := range k.UsualBelts {
		out = append(out, u.When)
	}
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case []any:
			for _, one := range v {
				walk(one)
			}
		case *table:
			for _, key := range v.keys {
				if key == "when" || key == "unless" {
					out = append(out, conditionOf(v.at[key]))
				} else {
					walk(v.at[key])
				}
			}
		}
	}
	for _, f := range k.Figures {
		by := map[string]words{}
		for answer, value := range f.Is {
			by[value] = append(by[value], answer)
		}
		for _, value := range slices.Sorted(maps.Keys(by)) {
			out = append(out, condition{f.By: by[value]})
		}
	}
	for _, q := range k.Questions {
		for _, c := range q.Choices {
			if q.About != "" {
				out = append(out, condition{q.ID: words{c.ID}})
			}
		}
	}
	for i := range k.Modules {
		m := &k.Modules[i]
		out = append(out, m.When, m.Unless)
		for n := range m.Openings {
			walk(treeOf(&m.Openings[n]))
		}
		for n := range m.Positions {
			walk(treeOf(&m.Positions[n]))
		}
	}
	for i := range k.Runs {
		walk(treeOf(&k.Runs[i]))
	}
	return out
}

// told returns, of some choices, those that a condition tells from all before them.
func (k *kit) told(conds []condition, question string, choices []Choice) (out []string) {
	seen := map[string]bool{}
	for _, c := range choices {
		var sign strings.Builder
		for i, cond := range conds {
			if slices.Contains(cond[question], c.ID) {
				fmt.Fprint(&sign, i, " ")
			}
		}
		if !seen[sign.String()] {
			seen[sign.String()] = true
			out = append(out, c.ID)
		}
	}
	return out
}

// EachEngine tells of every set of answers to some questions, the others taken as usual. Of answers that no condition
// tells apart (three cylinders and four) the first is given. What is told of is good until the next one.
func EachEngine(questions []string, tell func(r *Resolved)) {
	eachEngine(questions, func(said []string) []string { return said }, tell)
}

// AnEngine tells of one of them, with the answers about oil, by chance.
func AnEngine(pick *rand.Rand, tell func(r *Resolved)) {
	one := func(said []string) []string { i := pick.IntN(len(said)); return said[i : i+1] }
	eachEngine(slices.Concat(Engine, Oil), one, tell)
}

func eachEngine(questions []string, choose func([]string) []string, tell func(r *Resolved)) {
	k := theKit()
	conds := k.conditions()
	kept := map[string][]string{}
	var walk func(i int, r Resolved)
	walk = func(i int, r Resolved) {
		if i == len(k.Questions) {
			tell(&r)
			return
		}
		q := k.Questions[i]
		for _, later := range k.Questions[i:] {
			delete(r.facts, later.ID)
		}
		said := []string{""}
		if slices.Contains(questions, q.ID) && r.facts.hold(q.When, q.Unless) {
			open := slices.DeleteFunc(slices.Clone(q.Choices),
				func(c Choice) bool { return !r.facts.hold(c.When, c.Unless) })
			key := fmt.Sprint(q.ID, idsOfChoices(open))
			if kept[key] == nil {
				kept[key] = k.told(conds, q.ID, open)
			}
			said = kept[key]
		}
		for _, answer := range choose(said) {
			next := r
			if err := next.resolve(q, answer); err != nil {
				panic(err)
			}
			walk(i+1, next)
		}
	}
	walk(0, Resolved{Answer: map[string]string{}, facts: facts{}})
}

func idsOfChoices(cs []Choice) (out []string) {
	for _, c := range cs {
		out = append(out, c.ID)
	}
	return out
}

// Turned is the same vehicle with other belts; nil: the usual.
func (r *Resolved) Turned(belts []Belt) *Resolved {
	c := &Resolved{Answer: maps.Clone(r.Answer), Asked: r.Asked, facts: maps.Clone(r.facts)}
	delete(c.facts, "turned")
	if err := c.belts(theKit(), belts); err != nil {
		panic(err)
	}
	return c
}

// Said is the answers as they are given to Build.
func (r *Resolved) Said() Answers {
	a := Answers{Say: map[string]string{}, Belts: r.Belts}
	for _, q := range r.Asked {
		a.Say[q.ID] = r.Answer[q.ID]
	}
	return a
}
