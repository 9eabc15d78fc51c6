package plate

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// shape is one thing that plates show.
type shape struct {
	name, says string
	corner     corner // left free for notes
	params     []param
	draw       func(s *sketch, a args)
}

// shapeTables lists the tables that shapes stand in, one per family.
var shapeTables = [][]shape{
	ribShapes,
	wedgeShapes,
	toothedShapes,
	spanShapes,
	tensionerShapes,
	pulleyShapes,
	slotShapes,
	loomShapes,
	batteryShapes,
	leakShapes,
	hoseShapes,
	bendShapes,
	pipeShapes,
	vesselShapes,
	coolingShapes,
	bodyShapes,
	wheelShapes,
	chassisShapes,
	gearShapes,
}

// param is one thing that can be said of a shape.
type param struct {
	name     string
	words    []string // those it takes, the first where it is left out; nil: a number or figure
	from, to float64  // bounds of a number
	figure   bool     // a number with its unit
}

func word(name string, words ...string) param { return param{name: name, words: words} }
func yesNo(name string) param                 { return word(name, "no", "yes") }
func count(name string, from, to float64) param {
	return param{name: name, from: from, to: to}
}
func figure(name string) param { return param{name: name, figure: true} }

// takes says in an error what values there are.
func (p param) takes() string {
	switch {
	case p.name == noteParam:
		return "a few words, with _ for a space"
	case p.figure:
		return "a number and its unit, such as 3.2mm"
	case p.words == nil:
		return fmt.Sprintf("a number from %g to %g", p.from, p.to)
	}
	return strings.Join(p.words, ", ")
}

// args are the values of a plate's parameters, by name.
type args map[string]string

func (a args) is(name, value string) bool { return a[name] == value }
func (a args) on(name string) bool        { return a[name] == "yes" }

// n is the number given, 0 where it was left out.
func (a args) n(name string) float64 {
	v, err := strconv.ParseFloat(a[name], 64)
	if err != nil {
		return 0 // left out: what stands there was read before
	}
	return v
}

// Spec is a plate in short form; empty: there is none.
type Spec string

// noteParam is what every shape takes.
const noteParam = "note"

// mostNote is how many letters fit into a shape's corner.
const mostNote = 12

// UnmarshalText takes a plate in short form, and refuses what cannot be drawn.
func (s *Spec) UnmarshalText(text []byte) error {
	*s = Spec(text)
	_, _, err := s.read()
	return err
}

// read checks a spec and returns its shape and every parameter's value.
func (s Spec) read() (*shape, args, error) {
	fields := strings.Fields(string(s))
	if len(fields) == 0 {
		return nil, nil, fmt.Errorf("names no shape: write one of %s", strings.Join(names(), ", "))
	}
	sh := find(fields[0])
	if sh == nil {
		return nil, nil, fmt.Errorf("%q is no shape: write one of %s", fields[0], strings.Join(names(), ", "))
	}
	a := args{}
	for _, f := range fields[1:] {
		name, value, given := strings.Cut(f, "=")
		if !given {
			value = "yes"
		}
		i := slices.IndexFunc(sh.params, func(p param) bool { return p.name == name })
		p := param{name: noteParam}
		switch {
		case i >= 0:
			p = sh.params[i]
		case name != noteParam:
			return nil, nil, fmt.Errorf("the shape %s has no %q: write %s", sh.name, name, sh.known())
		}
		if _, twice := a[name]; twice {
			return nil, nil, fmt.Errorf("%s stands twice: keep one", name)
		}
		if !p.fits(value) {
			return nil, nil, fmt.Errorf("%s of the shape %s is %q: write %s", name, sh.name, value, p.takes())
		}
		a[name] = value
	}
	for _, p := range sh.params {
		if _, given := a[p.name]; !given && p.words != nil {
			a[p.name] = p.words[0]
		}
	}
	return sh, a, nil
}

func (p param) fits(value string) bool {
	switch {
	case p.name == noteParam:
		return value != "" && len([]rune(value)) <= mostNote
	case p.figure:
		v, unit := cutFigure(value)
		_, err := strconv.ParseFloat(v, 64)
		return err == nil && unit != "" && len([]rune(value)) <= mostNote
	case p.words == nil:
		v, err := strconv.ParseFloat(value, 64)
		return err == nil && v >= p.from && v <= p.to
	}
	return slices.Contains(p.words, value)
}

// cutFigure splits 3.2mm into number and unit.
func cutFigure(s string) (number, unit string) {
	i := strings.IndexFunc(s, func(r rune) bool { return (r < '0' || r > '9') && r != '.' && r != '-' })
	if i < 0 {
		return s, ""
	}
	return s[:i], s[i:]
}

// known lists the parameters of a shape.
func (sh *shape) known() string {
	out := make([]string, 0, len(sh.params)+1)
	for _, p := range sh.params {
		out = append(out, p.name)
	}
	return strings.Join(append(out, noteParam), ", ")
}

func find(name string) *shape {
	for _, table := range shapeTables {
		for i := range table {
			if table[i].name == name {
				return &table[i]
			}
		}
	}
	return nil
}

func names() []string {
	var out []string
	for _, table := range shapeTables {
		for i := range table {
			out = append(out, table[i].name)
		}
	}
	slices.Sort(out)
	return out
}

// Param is a parameter of a shape, and what it takes.
type Param struct{ Name, Takes string }

// Shape describes a shape for those who write plates.
type Shape struct {
	Name, Says string
	Params     []Param
}

// Shapes lists every shape there is, by name.
func Shapes() []Shape {
	var out []Shape
	for _, name := range names() {
		sh := find(name)
		d := Shape{Name: name, Says: sh.says}
		for _, p := range sh.params {
			d.Params = append(d.Params, Param{p.name, p.takes()})
		}
		out = append(out, d)
	}
	return out
}

// Show writes a figure as its reader wants it, "3.2" and "mm" as "1/8 in"; words have no unit.
type Show func(number, unit string) string

// Plain shows a figure as it was written.
func Plain(number, unit string) string {
	if unit == "" || unit == "%" || unit == "°" {
		return number + unit
	}
	return number + "\u00a0" + unit
}

// Plate is a drawing of what an answer looks like.
type Plate struct{ Marks []Mark }

// Words are those that stand in a corner of a plate, or "".
func (s Spec) Words() string {
	_, a, err := s.read()
	if err != nil {
		return ""
	}
	return strings.ReplaceAll(a[noteParam], "_", " ")
}

// Draw draws a plate, its figures written by show. What cannot be drawn is
// refused with an error that says what is known.
func (s Spec) Draw(show Show) (*Plate, error) {
	sh, a, err := s.read()
	if err != nil {
		return nil, fmt.Errorf("plate %q: %w", string(s), err)
	}
	sk := newSketch(show)
	sh.draw(sk, a)
	if note := s.Words(); note != "" {
		sk.note(sh.corner, show(note, ""))
	}
	return &Plate{Marks: sk.marks}, nil
}
