package sequence

import (
	"fmt"
	"math"
	"slices"
)

// noCost stands for "no way". Sums of a few of them do not overflow.
const noCost = math.MaxInt64 / 8

// unset is the value index of an attribute nobody has set or nobody asks
// about any more. Real values count from 1.
const unset = 0

// attribute holds the cheapest ways between the values of one attribute.
type attribute struct {
	name   string
	values []string // values[0] is unset
	index  map[string]int
	cost   [][]int64 // cheapest way from, to; leaving unset is free
	next   [][]int   // first value on that way
	direct [][]int64 // as listed; noCost where not
}

// prices holds the attributes in the order in which Changes first names them.
type prices struct {
	attributes []*attribute
	index      map[string]int
}

func (ps *prices) names() []string {
	names := make([]string, len(ps.attributes))
	for i, a := range ps.attributes {
		names[i] = a.name
	}
	return names
}

// compilePrices checks the list of changes and works out the cheapest way
// between any two values of an attribute.
func compilePrices(changes []Change) (*prices, []*Error) {
	ps := &prices{index: map[string]int{}}
	var errs []*Error
	for i, c := range changes {
		if msg := faultOf(c); msg != "" {
			errs = append(errs, badChange(i, c, msg))
			continue
		}
		ps.add(c)
	}
	if len(errs) > 0 {
		return ps, errs
	}

	for _, a := range ps.attributes {
		if len(a.values)-1 > MaxValues {
			errs = append(errs, &Error{Fault: TooMany, Field: "changes", Value: a.name,
				Msg: fmt.Sprintf("attribute %q has %d values: at most %d are possible", a.name,
					len(a.values)-1, MaxValues)})
			continue
		}
		a.allocate()
	}
	if len(errs) > 0 {
		return ps, errs
	}

	for i, c := range changes {
		if !ps.attributes[ps.index[c.Attribute]].enter(c) {
			errs = append(errs, badChange(i, c, "is listed twice: keep one of them"))
		}
	}
	for _, a := range ps.attributes {
		a.close()
		errs = append(errs, a.unreachable()...)
	}
	return ps, errs
}

func badChange(i int, c Change, msg string) *Error {
	return &Error{Fault: BadChange, Field: "changes", Value: c.Attribute,
		Msg: fmt.Sprintf("change %d (%s: %q to %q) %s", i+1, c.Attribute, c.From, c.To, msg)}
}

func faultOf(c Change) string {
	switch {
	case c.Attribute == "":
		return "has no attribute: name what changes"
	case c.From == "" || c.To == "":
		return "lacks a value: give both, from and to"
	case c.From == c.To:
		return "changes nothing: from and to must differ"
	case c.Cost < 0 || c.Cost > MaxCost:
		return fmt.Sprintf("costs %d: give 0 to %d", c.Cost, int64(MaxCost))
	}
	return ""
}

// add makes the attribute and the values of c known.
func (ps *prices) add(c Change) {
	at, known := ps.index[c.Attribute]
	if !known {
		at = len(ps.attributes)
		ps.index[c.Attribute] = at
		ps.attributes = append(ps.attributes, &attribute{
			name: c.Attribute, values: []string{""}, index: map[string]int{},
		})
	}
	a := ps.attributes[at]
	for _, v := range []string{c.From, c.To} {
		if _, known := a.index[v]; !known {
			a.index[v] = len(a.values)
			a.values = append(a.values, v)
		}
	}
}

func (a *attribute) allocate() {
	size := len(a.values)
	a.cost, a.direct, a.next = make([][]int64, size), make([][]int64, size), make([][]int, size)
	for v := range size {
		a.cost[v], a.direct[v], a.next[v] = make([]int64, size), make([]int64, size), make([]int, size)
		for w := range size {
			a.direct[v][w], a.next[v][w] = noCost, w
		}
	}
}

// enter records the cost of c and reports whether it is the first for its pair.
func (a *attribute) enter(c Change) bool {
	v, w := a.index[c.From], a.index[c.To]
	if a.direct[v][w] != noCost {
		return false
	}
	a.direct[v][w] = c.Cost
	return true
}

// close works out the cheapest ways by R. Floyd's algorithm 97 (Communications
// of the ACM 5, 1962). A direct change is kept where no way through others is
// cheaper.
func (a *attribute) close() {
	size := len(a.values)
	for v := range size {
		copy(a.cost[v], a.direct[v])
		a.cost[v][v] = 0
		a.cost[unset][v] = 0
	}
	for via := 1; via < size; via++ {
		for v := 1; v < size; v++ {
			for w := 1; w < size; w++ {
				if through := a.cost[v][via] + a.cost[via][w]; through < a.cost[v][w] {
					a.cost[v][w], a.next[v][w] = through, a.next[v][via]
				}
			}
		}
	}
}

// unreachable reports the first pair of values without a way between them.
func (a *attribute) unreachable() []*Error {
	for v := 1; v < len(a.values); v++ {
		for w := 1; w < len(a.values); w++ {
			if a.cost[v][w] < noCost {
				continue
			}
			return []*Error{{Fault: NoWay, Field: "changes", Value: a.name,
				Msg: fmt.Sprintf("attribute %q: no changes lead from %q to %q: list what that costs, directly or "+
					"through other values",
					a.name, a.values[v], a.values[w])}}
		}
	}
	return nil
}

// lookUp turns a setting into value indices, one per attribute. where says
// which setting it is in a message; step is its step's ID or empty.
func (ps *prices) lookUp(s Setting, where, field, step string) ([]uint8, []*Error) {
	out := make([]uint8, len(ps.attributes))
	var errs []*Error
	names := make([]string, 0, len(s))
	for name := range s {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		value := s[name]
		if value == "" {
			continue
		}
		at, known := ps.index[name]
		if !known {
			near := nearestName(name, ps.names())
			errs = append(errs, &Error{Fault: UnknownAttribute, Step: step, Field: field, Value: name, Nearest: near,
				Msg: fmt.Sprintf("%s: no change names the attribute %q%s", where, name, suggest(near))})
			continue
		}
		a := ps.attributes[at]
		v, known := a.index[value]
		if !known {
			near := nearestName(value, a.values[1:])
			errs = append(errs, &Error{Fault: UnknownValue, Step: step, Field: field, Value: value, Nearest: near,
				Msg: fmt.Sprintf("%s: %s cannot be %q: the changes know %s%s", where, name, value,
					quotedList(a.values[1:]), suggest(near))})
			continue
		}
		out[at] = uint8(v) // at most MaxValues, checked when the changes were read
	}
	return out, errs
}
