package ask

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/internal/yamltree"
)

// Meetings finds what of sheets meets: each item with all that its text, and each check of it, hangs on. Of two
// vehicles of which that is the same for every item, the sheets hold the same texts.
type Meetings struct {
	kit        *kit
	items      []rawItem
	conditions []condition // without what they ask of belts
	met        map[meeting]bool
	belts      map[string]int32
	answers    []map[string]uint64 // by question: a number for each that was met
}

// meeting is an item with what it hangs on.
type meeting struct {
	item, belts int32
	said        [2]uint64 // four bits for each question
	holds       [4]uint64 // a bit for each condition, and for each item that it looks at
}

// rawItem is an opening or a position of a module, a run, or the head of the sheet, and what it hangs on.
type rawItem struct {
	id, each string
	opening  bool
	exists   []condition // when, unless
	written  []condition // in it, those besides
	names    []string    // openings that it needs
	near     []string    // positions that it names

	answers, conditions, items []int // of the kit's questions, of Meetings
	belts, figures, lies       bool
}

// NewMeetings reads what every item hangs on: which conditions in it hold, the answers behind its figures, how the
// engine lies and its belts where they are put in, whether there is what it names, and the conditions in all openings
// that it may need.
func NewMeetings() *Meetings {
	m := &Meetings{kit: theKit(), met: map[meeting]bool{}, belts: map[string]int32{}}
	for range m.kit.Questions {
		m.answers = append(m.answers, map[string]uint64{})
	}
	for i := range m.kit.Modules {
		mod := &m.kit.Modules[i]
		for k, nodes := range [][]yamltree.Node{mod.Openings, mod.Positions} {
			for n := range nodes {
				t := treeOf(&nodes[n]).(*table)
				m.add(rawItem{id: t.text("id"), each: mod.Each, belts: mod.Each != "", opening: k == 0,
					exists: []condition{mod.When, mod.Unless}}, t)
			}
		}
	}
	for i := range m.kit.Runs {
		t := treeOf(&m.kit.Runs[i]).(*table)
		m.add(rawItem{}, t)
	}
	run := rawItem{belts: true, near: slices.Clone(m.kit.Crank.Positions)}
	for _, machine := range m.kit.Machines {
		run.near = append(run.near, machine.Positions...)
	}
	run.near = append(run.near, "{belt}", "{pulley id}")
	run.put(m, "idle", "usual", "top")
	m.items = append(m.items, run)
	var head rawItem
	head.put(m, strings.Fields("yearly yearly-hours oil-change oil-change-hours fuel cylinders")...)
	head.asks(m, "sort", "counts", "lies")
	for _, q := range m.kit.Questions {
		if q.About != "" {
			head.asks(m, q.ID)
			head.written = append(head.written, q.When, q.Unless)
		}
	}
	m.items = append(m.items, head)
	needs := make([]map[int]bool, len(m.items))
	for i := range m.items {
		needs[i] = m.hang(i)
	}
	// Others need an opening by its text but for its figures: where these are read hangs on what needs it.
	for i := range m.items {
		for k := range m.items {
			if m.items[i].figures && m.items[i].opening && i != k && needs[k][i] {
				m.items[i].looksAt(m, k)
				m.items[i].belts = m.items[i].belts || m.items[k].each != ""
			}
		}
	}
	return m
}

func (m *Meetings) add(it rawItem, t *table) {
	it.exists = append(it.exists, conditionOf(t.at["when"]), conditionOf(t.at["unless"]))
	it.read(m, t, "")
	m.items = append(m.items, it)
}

// put takes in the answers behind figures, and the belts where it is none.
func (it *rawItem) put(m *Meetings, names ...string) {
	for _, name := range names {
		if i := slices.IndexFunc(m.kit.Figures, func(f typical) bool { return f.Name == name }); i >= 0 {
			it.figures = true
			it.asks(m, m.kit.Figures[i].By)
		} else {
			it.belts = true
		}
	}
}

// asks takes in the answers to questions.
func (it *rawItem) asks(m *Meetings, questions ...string) {
	for _, id := range questions {
		i := slices.IndexFunc(m.kit.Questions, func(q Question) bool { return q.ID == id })
		if !slices.Contains(it.answers, i) {
			it.answers = append(it.answers, i)
		}
	}
}

// read collects the conditions of an item, what is put in, and what it names under a key.
func (it *rawItem) read(m *Meetings, v any, key string) {
	switch v := v.(type) {
	case string:
		switch key {
		case "needs", "seen", "changed":
			it.names = append(it.names, v)
		case "neighbours", "position", "belt":
			it.near = append(it.near, v)
		}
		for rest := v; ; {
			_, after, ok := strings.Cut(rest, "{")
			if !ok {
				return
			}
			var name string
			name, rest, _ = strings.Cut(after, "}")
			it.put(m, name)
		}
	case []any:
		for _, one := range v {
			it.read(m, one, key)
		}
	case *table:
		for _, k := range v.keys {
			switch k {
			case "when", "unless":
				it.written = append(it.written, conditionOf(v.at[k]))
			case "along", "across":
				it.lies = true
				it.read(m, v.at[k], key)
			case "needs", "seen", "changed", "neighbours", "position", "belt":
				it.read(m, v.at[k], k)
			default:
				it.read(m, v.at[k], key)
			}
		}
	}
}

// hangsOn takes in conditions; what they ask that is no answer follows from the belts.
func (it *rawItem) hangsOn(m *Meetings, conditions ...condition) {
	for _, c := range conditions {
		answers := condition{}
		for fact, words := range c {
			if m.kit.question(fact) == nil {
				it.belts = true
			} else {
				answers[fact] = words
			}
		}
		if len(answers) == 0 {
			continue
		}
		i := slices.IndexFunc(m.conditions, func(o condition) bool { return fmt.Sprint(o) == fmt.Sprint(answers) })
		if i < 0 {
			i = len(m.conditions)
			m.conditions = append(m.conditions, answers)
		}
		if !slices.Contains(it.conditions, i) {
			it.conditions = append(it.conditions, i)
		}
	}
}

// looksAt takes in whether there is another item.
func (it *rawItem) looksAt(m *Meetings, i int) {
	if slices.Contains(it.items, i) {
		return
	}
	it.items = append(it.items, i)
	if o := &m.items[i]; o.each != "" {
		it.hangsOn(m, o.exists...)
	}
}

// hang works out what an item hangs on, by itself and by what it needs, which it returns.
func (m *Meetings) hang(at int) map[int]bool {
	it, done := &m.items[at], map[int]bool{}
	var visit func(i int)
	visit = func(i int) {
		if done[i] {
			return
		}
		done[i] = true
		o := &m.items[i]
		it.looksAt(m, i)
		it.belts = it.belts || o.each != ""
		it.hangsOn(m, o.written...)
		if o.lies {
			it.asks(m, "lies")
		}
		names := slices.Clone(o.names)
		for _, n := range o.names {
			names = append(names, m.kit.Ways[n]...)
			if n == "{pulley way}" { // what package ask puts in there
				names = append(names, "belts-front", "belts-side", "below")
			}
		}
		for _, n := range names {
			if n == "every belt" {
				n = "{belt}-off"
			}
			for _, other := range m.called(n, true) {
				visit(other)
			}
		}
	}
	visit(at)
	for _, n := range it.near {
		for _, other := range m.called(n, false) {
			it.looksAt(m, other)
			if it.id == "" { // what belt a run has
				it.hangsOn(m, m.items[other].written...)
			}
		}
	}
	for _, other := range m.called(it.id, it.opening) { // an id is used once
		it.looksAt(m, other)
	}
	if it.belts { // how belts are called, and where their pulleys are found
		it.asks(m, "lies")
		for _, n := range m.kit.BeltNames {
			it.hangsOn(m, n.When)
		}
	}
	return done
}

// called are the openings, or the positions, that may have an id: all of belts where it is put together of a belt's.
func (m *Meetings) called(id string, openings bool) (out []int) {
	for i := range m.items {
		it := &m.items[i]
		if it.id != "" && it.opening == openings &&
			(it.id == id || strings.Contains(it.id, "{") && strings.Contains(id, "{")) {
			out = append(out, i)
		}
	}
	return out
}

// has reports whether a vehicle has an item; of one made for belts, whether they turn what it is made for.
func (it *rawItem) has(r *Resolved) bool {
	for i := 0; i < len(it.exists); i += 2 {
		if it.each == "" && !r.facts.hold(it.exists[i], it.exists[i+1]) {
			return false
		}
	}
	return it.each == "" || it.each == "belt" && len(r.Belts) > 0 ||
		slices.ContainsFunc(r.facts["turned"], func(id string) bool {
			return id == it.each || strings.TrimSuffix(id, "-ribs") == it.each
		})
}

// New reports whether an item of the vehicle meets what it never met before. Of one that does not, every text was met.
func (m *Meetings) New(r *Resolved) (fresh bool) {
	said := make([]uint64, len(m.kit.Questions))
	for i, q := range m.kit.Questions {
		n, ok := m.answers[i][r.Answer[q.ID]]
		if !ok {
			if n = uint64(len(m.answers[i])); n > 15 {
				panic("ask: more answers to " + q.ID + " than are told apart")
			}
			m.answers[i][r.Answer[q.ID]] = n
		}
		said[i] = n
	}
	holds, has := make([]bool, len(m.conditions)), make([]bool, len(m.items))
	for i, c := range m.conditions {
		holds[i] = r.facts.meet(c)
	}
	for i := range m.items {
		has[i] = m.items[i].has(r)
	}
	text := fmt.Sprint(r.Belts)
	belts, ok := m.belts[text]
	if !ok {
		belts = int32(len(m.belts) + 1)
		m.belts[text] = belts
	}
	for i := range m.items {
		it := &m.items[i]
		if !has[i] {
			continue
		}
		key, bit := meeting{item: int32(i)}, 0
		for _, q := range it.answers {
			key.said[q/16] |= said[q] << (q % 16 * 4)
		}
		mark := func(yes bool) {
			if yes {
				key.holds[bit/64] |= 1 << (bit % 64)
			}
			bit++
		}
		for _, c := range it.conditions {
			mark(holds[c])
		}
		for _, other := range it.items {
			mark(has[other])
		}
		if it.belts {
			key.belts = belts
		}
		if !m.met[key] {
			m.met[key], fresh = true, true
		}
	}
	return fresh
}

// Met is how many meetings there were.
func (m *Meetings) Met() int { return len(m.met) }
