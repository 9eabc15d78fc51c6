package web

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// typed reads the fields of a form, and gathers what is wrong with them.
type typed struct {
	url.Values
	prefs    units.Preferences
	currency string
	errs     []error
}

func (f *typed) text(name string) string { return strings.TrimSpace(f.Get(name)) }

// lines are the lines of a text that are not blank.
func (f *typed) lines(name string) []string {
	var out []string
	for line := range strings.Lines(f.Get(name)) {
		if line = strings.TrimSpace(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}

func (f *typed) wrong(where string, msg, hint message.Text) {
	f.errs = append(f.errs, &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: msg, Hint: hint})
}

// number reads a plain number, 0 for nothing.
func (f *typed) number(where, text string) float64 {
	if text = strings.TrimSpace(text); text == "" {
		return 0
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		f.wrong(where, message.Of("%q is not a number", text), "write it as 12 or 12.5")
	}
	return v
}

func (f *typed) quantity(where, text string, d units.Dimension, unit string) *units.Quantity {
	q, err := quantity(where, text, d, unit)
	if err != nil {
		f.errs = append(f.errs, err)
	}
	return q
}

// far reads how far the vehicle goes, in what its instrument counts.
func (f *typed) far(where, text string) *units.Quantity {
	return f.quantity(where, text, f.prefs.Counter(), f.prefs.CounterUnit())
}

// fasteners and consumables are rows of fields that stand several times; a row
// without a name is left out, and refused if anything else stands in it.
func (f *typed) fasteners() []fleet.Fastener {
	var out []fleet.Fastener
	for i, what := range f.Values["f.what"] {
		n := strconv.Itoa(i)
		row := fleet.Fastener{What: strings.TrimSpace(what), Size: strings.TrimSpace(nth(f.Values["f.size"], i)),
			Count: int(f.number("how many", nth(f.Values["f.count"], i))), New: slices.Contains(f.Values["f.new"], n),
			Note: nth(f.Values["f.note"], i)}
		row.Torque = f.quantity("torque", nth(f.Values["f.torque"], i), units.Torque, f.prefs.Preferred(units.Torque))
		switch {
		case row.What != "":
			out = append(out, row)
		case row.Size != "" || row.Count != 0 || row.Torque != nil:
			f.wrong("fasteners", "a fastener has no name", "say which bolt, nut or clip it is")
		}
	}
	return out
}

func (f *typed) consumables() []fleet.Consumable {
	var out []fleet.Consumable
	for i, what := range f.Values["c.what"] {
		row := fleet.Consumable{What: strings.TrimSpace(what),
			Cost: f.quantity("cost", nth(f.Values["c.cost"], i), units.Money, f.currency)}
		row.Amount = f.quantity("amount", nth(f.Values["c.amount"], i), 0, "")
		switch {
		case row.What != "":
			out = append(out, row)
		case row.Amount != nil || row.Cost != nil:
			f.wrong("used up", "what is used up has no name", "say what it is")
		}
	}
	return out
}

// chosen are the ids that are ticked, nil for none.
func (f *typed) chosen(name string) []string {
	return slices.DeleteFunc(slices.Clone(f.Values[name]), func(s string) bool { return s == "" })
}

// position puts what the form says of a position into it; what no field holds stays.
func (f *typed) position(p *fleet.Position, known *catalogue.Catalogue) {
	kind := kindNamed(known, f.text("kind"))
	if kind == nil {
		f.wrong("kind of part", message.Of("%q is not a kind of part", f.text("kind")), "choose one of the list")
		return
	}
	p.Kind, p.Name, p.From, p.Where = kind.ID, f.text("name"), fleet.Side(f.text("from")), f.text("where")
	if p.Name == "" {
		f.wrong("name", "it has no name", "say what it is, as the upper radiator hose")
	}
	p.X, p.Y, p.Minutes = f.number("across", f.Get("x")), f.number("along", f.Get("y")), f.number("minutes",
		f.Get("minutes"))
	p.Seen, p.Changed, p.LookOnly = f.chosen("seen"), f.chosen("changed"), f.Has("look_only")
	p.Unsure = f.Has("unsure")
	p.Tools, p.Cautions, p.Note = f.lines("tools"), f.lines("cautions"), f.text("note")
	p.Fasteners, p.Consumables = f.fasteners(), f.consumables()
	p.Limits, p.Intervals = f.limits(p.Limits, kind), f.intervals(p.Intervals)
	p.Part = fleet.PartSpec{Name: f.text("part"), Number: f.text("number"), Material: f.text("material"),
		Quantity: f.text("quantity"), Supplier: f.text("supplier"),
		Cost: f.quantity("cost", f.Get("cost"), units.Money, f.currency)}
	for _, figure := range kind.Spec {
		_, dim, _ := units.Lookup(figure.Unit)
		if q := f.quantity(figure.Name, f.Get("spec."+figure.ID), dim, figure.Unit); q != nil {
			if p.Part.Spec == nil {
				p.Part.Spec = map[string]units.Quantity{}
			}
			p.Part.Spec[figure.ID] = *q
		}
	}
}

// opening puts what the form says of an opening into it.
func (f *typed) opening(o *fleet.Opening) {
	if o.Name = f.text("name"); o.Name == "" {
		f.wrong("name", "it has no name", "say what is done, as take the undertray off")
	}
	o.Undo, o.State, o.From, o.Needs = f.text("undo"), f.text("state"), fleet.Side(f.text("from")), f.chosen("needs")
	o.Minutes, o.UndoMinutes = f.number("minutes", f.Get("minutes")), f.number("minutes to put back",
		f.Get("undo_minutes"))
	o.Engine, o.Raises, o.OnGround = fleet.EngineState(f.text("engine")), f.Has("raises"), f.Has("on_ground")
	o.Leaves = nil
	for _, u := range f.chosen("leaves") {
		o.Leaves = append(o.Leaves, machine.Undone(u))
	}
	o.Tools, o.Cautions, o.Note = f.lines("tools"), f.lines("cautions"), f.text("note")
	o.Fasteners, o.Consumables = f.fasteners(), f.consumables()
}

// kindNamed finds a kind by its id, its name or what else it is called.
func kindNamed(known *catalogue.Catalogue, word string) *catalogue.Kind {
	for _, k := range known.Kinds() {
		if k.ID == word || strings.EqualFold(k.Name, word) {
			return k
		}
	}
	for _, k := range known.Kinds() {
		for _, also := range k.Also {
			if strings.EqualFold(also, word) {
				return k
			}
		}
	}
	return nil
}

// filled gives the fields of a form what a position says.
func filledPosition(p *fleet.Position, kindName string) url.Values {
	f := filledWork(p.Tools, p.Cautions, p.Fasteners, p.Consumables, p.Minutes, p.Note)
	for name, v := range map[string]string{"name": p.Name, "kind": kindName, "from": string(p.From), "x": plainly(p.X),
		"y": plainly(p.Y), "where": p.Where, "part": p.Part.Name, "number": p.Part.Number, "material": p.Part.Material,
		"quantity": p.Part.Quantity, "supplier": p.Part.Supplier, "cost": figureText(p.Part.Cost)} {
		f.Set(name, v)
	}
	f["seen"], f["changed"] = p.Seen, p.Changed
	for id, q := range p.Part.Spec {
		f.Set("spec."+id, q.String())
	}
	filledRules(f, p)
	if p.LookOnly {
		f.Set("look_only", "on")
	}
	if p.Unsure {
		f.Set("unsure", "on")
	}
	return f
}

func filledOpening(o *fleet.Opening) url.Values {
	f := filledWork(o.Tools, o.Cautions, o.Fasteners, o.Consumables, o.Minutes, o.Note)
	for name, v := range map[string]string{"name": o.Name, "undo": o.Undo, "state": o.State, "from": string(o.From),
		"engine": string(o.Engine)} {
		f.Set(name, v)
	}
	if o.UndoMinutes != 0 {
		f.Set("undo_minutes", plainly(o.UndoMinutes))
	}
	f["needs"] = o.Needs
	for _, u := range o.Leaves {
		f.Add("leaves", string(u))
	}
	if o.Raises {
		f.Set("raises", "on")
	}
	if o.OnGround {
		f.Set("on_ground", "on")
	}
	return f
}

func filledWork(tools, cautions []string, fasteners []fleet.Fastener, consumables []fleet.Consumable,
	minutes float64, note string) url.Values {
	f := url.Values{"tools": {strings.Join(tools, "\n")}, "cautions": {strings.Join(cautions, "\n")}, "note": {note}}
	if minutes != 0 {
		f.Set("minutes", plainly(minutes))
	}
	for i, row := range fasteners {
		f.Add("f.what", row.What)
		f.Add("f.size", row.Size)
		f.Add("f.torque", figureText(row.Torque))
		f.Add("f.note", row.Note)
		count := ""
		if row.Count != 0 {
			count = strconv.Itoa(row.Count)
		}
		f.Add("f.count", count)
		if row.New {
			f.Add("f.new", strconv.Itoa(i))
		}
	}
	for _, row := range consumables {
		f.Add("c.what", row.What)
		f.Add("c.amount", figureText(row.Amount))
		f.Add("c.cost", figureText(row.Cost))
	}
	return f
}

func plainly(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func figureText(q *units.Quantity) string {
	if q == nil {
		return ""
	}
	return q.String()
}

// work are the fields that positions and openings have alike, as they were typed.
type work struct{ F url.Values }

// Fasteners are the rows there are and two more.
func (w work) Fasteners() []fieldRow {
	return w.rows("f", 2, []string{"what", "count", "size", "torque"}, "note")
}

// Consumables are the rows there are and one more.
func (w work) Consumables() []fieldRow { return w.rows("c", 1, []string{"what", "amount", "cost"}) }

// fieldRow is a row of fields: its number, its values by name, and whether it is
// ticked as new.
type fieldRow struct {
	N   int
	V   map[string]string
	New bool
}

// rows are those in which something is told, up to the last of them, and some more.
func (w work) rows(of string, more int, tell []string, also ...string) []fieldRow {
	n := 0
	for _, name := range tell {
		for i, v := range w.F[of+"."+name] {
			if v != "" {
				n = max(n, i+1)
			}
		}
	}
	out := make([]fieldRow, n+more)
	for i := range out {
		out[i] = fieldRow{i, map[string]string{}, slices.Contains(w.F[of+".new"], strconv.Itoa(i))}
		for _, name := range append(also, tell...) {
			out[i].V[name] = nth(w.F[of+"."+name], i)
		}
	}
	return out
}

// Has reports whether a value of a field that stands several times is chosen.
func (w work) Has(name, value string) bool { return slices.Contains(w.F[name], value) }
