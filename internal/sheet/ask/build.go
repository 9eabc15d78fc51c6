package ask

import (
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/units"
)

// Filling is what the owner says of the vehicle itself. Vehicle, its id, and Name
// are required.
type Filling struct {
	Vehicle string
	Name    string
	Built   civil.Date
	VIN     string
	Yearly  *units.Quantity // distance, or engine hours, in a year; nil: a typical one, marked as a guess
}

// Build writes the sheet of a new vehicle. The error is a *fleet.Error of kind
// Invalid: an answer or a filling that would not make a valid sheet.
func Build(a Answers, f Filling) ([]byte, error) {
	r, err := Resolve(a)
	if err != nil {
		return nil, err
	}
	for key, text := range map[string]string{"vehicle": f.Vehicle, "name": f.Name, "vin": f.VIN} {
		if strings.ContainsAny(text, "\r\n\x00") {
			return nil, invalid(key, "%s has a line break: write it on one line", key)
		}
	}
	b := &builder{kit: theKit(), r: r, vars: map[string]string{}}
	for _, fig := range b.kit.Figures {
		b.vars[fig.Name] = fig.Is[r.Answer[fig.By]]
	}
	if err := b.layBelts(); err != nil {
		return nil, err
	}
	b.gather()
	b.settle()
	src := b.write(f)
	if _, err := sheet.Parse("new sheet", src, nil); err != nil {
		return nil, err
	}
	return src, nil
}

// Positions is how many positions the sheet for some answers has.
func Positions(a Answers) (int, error) {
	src, err := Build(a, Filling{Vehicle: "new", Name: "new"})
	if err != nil {
		return 0, err
	}
	v, err := sheet.Parse("new sheet", src, nil)
	if err != nil {
		return 0, err
	}
	return len(v.Positions), nil
}

// builder puts one sheet together.
type builder struct {
	kit       *kit
	r         *Resolved
	vars      map[string]string
	laid      []laid
	openings  []*table
	positions []*table
	runs      []*table
}

// item is what a module's item is made for.
type item struct {
	facts facts
	vars  map[string]string
}

// gather takes the items of all modules that belong to the vehicle.
func (b *builder) gather() {
	for i := range b.kit.Modules {
		m := &b.kit.Modules[i]
		heading := m.Heading
		for _, it := range b.instances(m.Each) {
			if !it.facts.hold(m.When, m.Unless) {
				continue
			}
			for n := range m.Openings {
				if t := b.made(treeOf(&m.Openings[n]).(*table), it); t != nil {
					b.openings = append(b.openings, t)
				}
			}
			for n := range m.Positions {
				if t := b.made(treeOf(&m.Positions[n]).(*table), it); t != nil {
					if heading != "" {
						t.set("heading", heading)
						heading = ""
					}
					b.positions = append(b.positions, t)
				}
			}
		}
	}
	for i := range b.kit.Runs {
		if t := b.made(treeOf(&b.kit.Runs[i]).(*table), item{b.r.facts, b.vars}); t != nil {
			b.runs = append(b.runs, t)
		}
	}
}

// instances are what a module is made for: once for the vehicle, for each belt, or
// for each pulley of a sort that a belt runs over.
func (b *builder) instances(each string) []item {
	if each == "" {
		return []item{{b.r.facts, b.vars}}
	}
	var out []item
	for i := range b.laid {
		l := &b.laid[i]
		if each == "belt" {
			out = append(out, item{l.facts, l.vars})
			continue
		}
		for n := range l.pulleys {
			if p := &l.pulleys[n]; p.ID == each || strings.TrimSuffix(p.ID, "-ribs") == each {
				out = append(out, item{l.facts, p.vars})
			}
		}
	}
	return out
}

// made is a module's item for one vehicle, nil where it does not belong to it.
func (b *builder) made(t *table, it item) *table {
	if !it.facts.hold(conditionOf(t.at["when"]), conditionOf(t.at["unless"])) {
		return nil
	}
	if vary, ok := t.at["vary"].([]any); ok {
		for _, v := range vary {
			v := v.(*table)
			if it.facts.hold(conditionOf(v.at["when"]), conditionOf(v.at["unless"])) {
				for _, key := range v.keys {
					t.set(key, v.at[key])
				}
			}
		}
	}
	for _, key := range []string{"when", "unless", "vary"} {
		t.drop(key)
	}
	for _, key := range t.keys {
		t.at[key] = b.put(t.at[key], it)
	}
	if at, ok := t.at["at"]; ok {
		xy, _ := at.([]any)
		if s, ok := at.(string); ok {
			x, y, _ := strings.Cut(s, " ")
			xy = []any{x, y}
		}
		t.drop("at")
		t.set("x", xy[0])
		t.set("y", xy[1])
	}
	return t
}

func conditionOf(v any) condition {
	t, _ := v.(*table)
	if t == nil {
		return nil
	}
	c := condition{}
	for _, key := range t.keys {
		if s, ok := t.at[key].(string); ok {
			c[key] = words{s}
		} else {
			c[key] = t.list(key)
		}
	}
	return c
}

// put puts words in: what hangs on how the engine lies, named texts, and what stands
// in braces. Parts of a list with conditions of their own stay where they hold.
func (b *builder) put(v any, it item) any {
	switch v := v.(type) {
	case string:
		return b.fill(v, it.vars)
	case []any:
		var out []any
		for _, part := range v {
			if t, ok := part.(*table); ok && (t.at["when"] != nil || t.at["unless"] != nil) {
				if part = b.made(t, it); part.(*table) == nil {
					continue
				}
			}
			out = append(out, b.put(part, it))
		}
		return out
	case *table:
		if !slices.ContainsFunc(v.keys, func(k string) bool { return k != "along" && k != "across" }) {
			if way, ok := v.at[b.r.Answer["lies"]]; ok {
				return b.put(way, it)
			}
			return b.put(v.at["along"], it)
		}
		for _, key := range v.keys {
			v.at[key] = b.put(v.at[key], it)
		}
	}
	return v
}

func (b *builder) fill(s string, vars map[string]string) string {
	if name, ok := strings.CutPrefix(s, "="); ok {
		if text, ok := b.kit.Texts[name]; ok {
			return text
		}
		panic("ask: no text is named " + name)
	}
	for {
		from := strings.IndexByte(s, '{')
		to := strings.IndexByte(s, '}')
		if from < 0 || to < from {
			return s
		}
		value, ok := vars[s[from+1:to]]
		if !ok {
			value, ok = b.vars[s[from+1:to]]
		}
		if !ok {
			panic("ask: nothing is put in for " + s[from:to+1])
		}
		s = s[:from] + value + s[to+1:]
	}
}

// settle resolves what openings and positions name, and leaves out what is not there
// or not needed.
func (b *builder) settle() {
	byID := map[string]*table{}
	for _, o := range b.openings {
		byID[o.text("id")] = o
	}
	for _, o := range b.openings {
		o.setList("needs", b.named(o.list("needs"), o.text("id"), byID))
	}
	for _, o := range b.openings {
		o.setList("needs", pruned(o.list("needs"), byID))
	}
	positions := map[string]bool{}
	for _, p := range b.positions {
		positions[p.text("id")] = true
		for _, key := range []string{"seen", "changed"} {
			p.setList(key, pruned(b.named(p.list(key), "", byID), byID))
		}
	}
	for _, p := range b.positions {
		p.setList("neighbours", slices.DeleteFunc(p.list("neighbours"),
			func(id string) bool { return !positions[id] }))
		if p.text("from") == "below" && !raised(p.list("seen"), byID) {
			p.set("from", "above")
		}
	}
	for _, o := range b.openings {
		if o.text("from") == "below" && o.text("raises") == "" && !raised(o.list("needs"), byID) {
			o.set("from", "above")
		}
	}
	b.openings = b.used()
}

// used are the openings that something needs.
func (b *builder) used() []*table {
	wanted := map[string]bool{}
	byID := map[string]*table{}
	for _, o := range b.openings {
		byID[o.text("id")] = o
	}
	for _, p := range b.positions {
		for _, id := range closure(append(p.list("seen"), p.list("changed")...), byID) {
			wanted[id] = true
		}
	}
	return slices.DeleteFunc(b.openings, func(o *table) bool { return !wanted[o.text("id")] })
}

// named turns what an item names into ids of openings that the vehicle has.
func (b *builder) named(names []string, self string, byID map[string]*table) []string {
	var out []string
	add := func(id string) {
		if byID[id] != nil && id != self && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	for _, name := range names {
		switch {
		case name == "every belt":
			for i := range b.laid {
				add(b.laid[i].off)
			}
		case b.kit.Ways[name] != nil:
			way := b.kit.Ways[name]
			if i := slices.IndexFunc(way, func(id string) bool { return byID[id] != nil && id != self }); i >= 0 {
				add(way[i])
			}
		default:
			add(name)
		}
	}
	return out
}

// closure is what some openings need, themselves included.
func closure(ids []string, byID map[string]*table) []string {
	var out []string
	var visit func(string)
	visit = func(id string) {
		if byID[id] == nil || slices.Contains(out, id) {
			return
		}
		out = append(out, id)
		for _, need := range byID[id].list("needs") {
			visit(need)
		}
	}
	for _, id := range ids {
		visit(id)
	}
	return out
}

// pruned leaves out what another of the openings needs anyway.
func pruned(ids []string, byID map[string]*table) []string {
	return slices.DeleteFunc(slices.Clone(ids), func(id string) bool {
		return slices.ContainsFunc(ids, func(other string) bool {
			return other != id && slices.Contains(closure([]string{other}, byID), id)
		})
	})
}

func raised(ids []string, byID map[string]*table) bool {
	return slices.ContainsFunc(closure(ids, byID), func(id string) bool { return byID[id].text("raises") == "true" })
}

// write writes the sheet.
func (b *builder) write(f Filling) []byte {
	w := &writer{}
	b.head(w, f)
	if len(b.openings) > 0 {
		w.WriteString("\n# Openings: what comes off, is drained, raised or disconnected to reach things.\nopenings:\n")
		for _, o := range b.openings {
			w.block(o, "  - ", "    ", true)
		}
	}
	w.WriteString("\n# Positions: every place that holds a part worth looking at.\npositions:\n")
	for _, p := range b.positions {
		if h := p.text("heading"); h != "" {
			w.WriteString("\n  # " + h + "\n\n")
		}
		comment(w, "  ", p.text("comment"))
		p.drop("heading")
		p.drop("comment")
		w.block(p, "  - ", "    ", true)
	}
	if len(b.runs)+len(b.laid) > 0 {
		b.writeRuns(w)
	}
	return []byte(w.String())
}

// comment writes words as comment lines of at most 80 characters.
func comment(w *writer, indent, text string) {
	line := ""
	for word := range strings.FieldsSeq(text) {
		if line != "" && len(indent)+len(line)+len(word) > 77 {
			w.WriteString(indent + "# " + line + "\n")
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	if line != "" {
		w.WriteString(indent + "# " + line + "\n")
	}
}

// head writes what stands above the openings.
func (b *builder) head(w *writer, f Filling) {
	about := b.about()
	comment(w, "", f.Name)
	w.WriteString("#\n")
	comment(w, "", "Put together from answers about the vehicle, not measured on it: places, minutes, counts, "+
		"amounts and costs are typical. Torques, intervals and part numbers are left for you to copy from the "+
		"handbook. Walk round the vehicle with it; take out what yours lacks, add what it has, and let the program "+
		"check the sheet after each change: it names every mistake with its line.")
	if len(b.r.Taken) > 0 {
		w.WriteString("#\n# Not known when it was made:\n")
		for _, t := range b.r.Taken {
			q := b.kit.question(t.Question)
			says := t.Says
			if says == "" {
				says = "taken as usual"
			}
			comment(w, "", "- "+q.Ask+" "+sayOf(q, t.Choice)+", "+says+".")
		}
	}
	w.WriteString(`#
# x runs from 0 (the vehicle's left) to 100 (its right), y from 0 (front) to 100
# (bulkhead) to 200 (rear end). seen: openings needed to look at it; changed: those
# needed to change it; what an opening needs itself is worked out. Ids never change.

undertray: 1 # version of the sheet format
`)
	w.WriteString("vehicle: " + scalar("name", f.Vehicle, false) + " # short name used in commands and addresses\n")
	w.WriteString("name: " + scalar("name", f.Name, false) + "\n")
	w.WriteString("about: " + scalar("name", about, false) + "\n")
	w.WriteString("# make: # make and model are for your own reference\n# model:\n")
	vin := `""`
	if f.VIN != "" {
		vin = scalar("number", f.VIN, false)
	}
	w.WriteString("vin: " + vin + " # from the plate; a wrong check digit only warns\n")
	if !f.Built.IsZero() {
		w.WriteString("built: " + f.Built.String() + " # day of first use, as near as known\n")
	}
	b.rhythm(w, f)
	w.WriteString("stance: strictest # whom to follow where they disagree: strictest, vehicle maker, part maker, " +
		"own\n" +
		"severe: false # true for short trips, towing, dust, salt, great heat or cold\n")
	e := newTable()
	e.set("about", about)
	e.set("fuel", b.vars["fuel"])
	e.set("cylinders", b.vars["cylinders"])
	if lies := b.r.Answer["lies"]; lies != "none" {
		e.set("layout", map[string]string{"along": "longitudinal", "across": "transverse"}[lies])
	}
	if b.vars["fuel"] == "none" {
		e.set("about", "")
	}
	w.WriteString("engine: " + flow(e) + "\n")
}

// rhythm writes how much it runs in a year, and how often its oil is changed.
func (b *builder) rhythm(w *writer, f Filling) {
	hours := b.r.Counts() == fleet.ByHours
	if hours {
		w.WriteString("counts: hours # what its instrument counts: all that is due by use is due by hours\n")
	}
	switch {
	case f.Yearly != nil:
		w.WriteString("yearly: " + scalar("name", f.Yearly.String(), false) + " # your own estimate of a year's use\n")
	case hours:
		w.WriteString("yearly: " + b.vars["yearly-hours"] + " # a guess: put your own estimate of a year's hours\n")
	case b.vars["yearly"] != "":
		w.WriteString("yearly: " + b.vars["yearly"] + " # a guess: put your own estimate of a year's driving\n")
	}
	switch {
	case b.r.Answer["sort"] == "trailer":
	case hours:
		w.WriteString("oil_change: {hours: " + b.vars["oil-change-hours"] +
			", time: 12 months} # the rhythm of your visits\n")
	case b.vars["oil-change"] == "":
		w.WriteString("oil_change: {time: 12 months} # the rhythm of your visits\n")
	default:
		w.WriteString("oil_change: {distance: " + b.vars["oil-change"] +
			", time: 12 months} # the rhythm of your visits\n")
	}
}

// about says in a line what was answered, by the questions that have words for it.
func (b *builder) about() string {
	var parts []string
	for _, q := range b.r.Asked {
		if q.About != "" && b.r.Answer[q.ID] != "" {
			text, _, _ := strings.Cut(sayOf(&q, b.r.Answer[q.ID]), ",")
			parts = append(parts, strings.ReplaceAll(q.About, "*", say.LowerFirst(text)))
		}
	}
	return say.Capital(strings.Join(parts, ", "))
}

func sayOf(q *Question, id string) string {
	for _, c := range q.Choices {
		if c.ID == id {
			return c.Say
		}
	}
	return id
}
