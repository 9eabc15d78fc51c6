package ask

import (
	"fmt"
	"hash/fnv"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"

	"undertray/internal/yamltree"
)

// This file looks into sheets while they are put together, for tests that want every way in which modules meet.

// Engine names the questions that tell an engine and what it turns, Oil those about its oil besides.
var (
	Engine = strings.Fields("sort lies fuel cylinders timing turbo cooling pump steering air-con one-way")
	Oil    = strings.Fields("oil-cooler oil-filter")
)

// conditions lists every condition of the kit.
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

// Meetings finds what items of sheets meet: each with all that it names.
type Meetings struct {
	kit   *kit
	items []rawItem
	asked map[uint64]bool // what of the answers an item hangs on, of all that were looked at
	Seen  map[string]bool
}

// rawItem is an item of a module, and what it hangs on: questions, and whether belts.
type rawItem struct {
	id         string
	names      []string
	conditions []condition
	questions  []int // of the kit
	belts      bool
}

// NewMeetings reads what every item hangs on: the conditions of its own and of all that it may name.
func NewMeetings() *Meetings {
	m := &Meetings{kit: theKit(), asked: map[uint64]bool{}, Seen: map[string]bool{}}
	for i := range m.kit.Modules {
		mod := &m.kit.Modules[i]
		for _, nodes := range [][]yamltree.Node{mod.Openings, mod.Positions} {
			for n := range nodes {
				t := treeOf(&nodes[n]).(*table)
				it := rawItem{id: t.text("id"), conditions: []condition{mod.When, mod.Unless}, belts: mod.Each != ""}
				it.read(t, false)
				m.items = append(m.items, it)
			}
		}
	}
	for i := range m.items {
		m.items[i].hang(m)
	}
	return m
}

// read collects the conditions of an item and the openings it names.
func (it *rawItem) read(v any, naming bool) {
	switch v := v.(type) {
	case string:
		if naming {
			it.names = append(it.names, v)
		}
	case []any:
		for _, one := range v {
			it.read(one, naming)
		}
	case *table:
		for _, key := range v.keys {
			switch key {
			case "when", "unless":
				it.conditions = append(it.conditions, conditionOf(v.at[key]))
			case "along", "across":
				it.conditions = append(it.conditions, condition{"lies": nil})
				it.read(v.at[key], naming)
			default:
				it.read(v.at[key], naming || key == "needs" || key == "seen" || key == "changed" || key == "undo_needs")
			}
		}
	}
}

// hang works out what an item hangs on, by itself and by what it names.
func (it *rawItem) hang(m *Meetings) {
	done := map[int]bool{}
	var visit func(o *rawItem)
	visit = func(o *rawItem) {
		for _, c := range o.conditions {
			for fact := range c {
				i := slices.IndexFunc(m.kit.Questions, func(q Question) bool { return q.ID == fact })
				if i < 0 {
					it.belts = true
				} else if !slices.Contains(it.questions, i) {
					it.questions = append(it.questions, i)
				}
			}
		}
		names := slices.Clone(o.names)
		for _, n := range o.names {
			names = append(names, m.kit.Ways[n]...)
		}
		for i := range m.items {
			belt := strings.Contains(m.items[i].id, "{")
			named := slices.ContainsFunc(names, func(n string) bool {
				return n == m.items[i].id || belt && (n == "every belt" || strings.Contains(n, "{"))
			})
			if named && !done[i] {
				done[i] = true
				it.belts = it.belts || belt
				visit(&m.items[i])
			}
		}
	}
	visit(it)
	slices.Sort(it.questions)
}

// New reports whether an item of the vehicle meets what none met before. Its answers are put together as one number for
// each item, since a million vehicles are asked.
func (m *Meetings) New(r *Resolved) bool {
	said := make([]uint64, len(m.kit.Questions))
	for i, q := range m.kit.Questions {
		said[i] = uint64(slices.IndexFunc(q.Choices, func(c Choice) bool { return c.ID == r.Answer[q.ID] }) + 2)
	}
	h := fnv.New64a()
	for _, b := range r.Belts {
		fmt.Fprintln(h, b.Kind, b.Turns)
	}
	belts, fresh := h.Sum64(), false
	for i := range m.items {
		it := &m.items[i]
		key := uint64(i + 1)
		for _, q := range it.questions {
			key = key*0x9E3779B97F4A7C15 + said[q]
		}
		if it.belts {
			key = key*0x9E3779B97F4A7C15 + belts
		}
		if !m.asked[key] {
			m.asked[key], fresh = true, true
		}
	}
	return fresh && m.meet(r)
}

// bareOf are what an item has that no order and no reference hangs on.
var bareOf = strings.Fields("name undo state where x y heading comment note part minutes undo_minutes consumables " +
	"fasteners neighbours tools")

func (m *Meetings) meet(r *Resolved) bool {
	b := &builder{kit: m.kit, r: r, vars: map[string]string{}}
	for _, fig := range b.kit.Figures {
		b.vars[fig.Name] = fig.Is[r.Answer[fig.By]]
	}
	if err := b.layBelts(); err != nil {
		panic(err)
	}
	b.gather()
	b.settle()
	own, byID := map[string]string{}, map[string]*table{}
	for _, o := range b.openings {
		byID[o.text("id")] = o
		own[o.text("id")] = bare(o)
	}
	fresh := false
	note := func(text string, names []string) {
		all := closure(names, byID)
		slices.Sort(all)
		for _, id := range all {
			text += "\n" + own[id]
		}
		if !m.Seen[text] {
			m.Seen[text], fresh = true, true
		}
	}
	for id, text := range own {
		note(text, byID[id].list("needs"))
	}
	for _, p := range b.positions {
		note(bare(p), append(p.list("seen"), p.list("changed")...))
	}
	return fresh
}

func bare(t *table) string {
	c := newTable()
	for _, key := range t.keys {
		if !slices.Contains(bareOf, key) {
			c.set(key, t.at[key])
		}
	}
	return flow(c)
}
