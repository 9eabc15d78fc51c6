package sheet

import (
	"cmp"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// checker looks at a vehicle as a whole once it has been read: references,
// ranges, words of the catalogue. What could not be read has its problem
// already and is passed over.
type checker struct {
	*reader
	v     *fleet.Vehicle
	known Knowledge

	openings  map[string]string // path of the first opening with an id
	positions map[string]string
}

// item is the path of an element of a list.
func item(list string, i int) string { return list + "." + strconv.Itoa(i) }

func (c *checker) vehicle() {
	v := c.v
	if v.Format > Format && !c.Broken("undertray") {
		c.NoteAt(c.At("undertray"), fleet.TooNew,
			"the sheet is written in format %d: this program reads formats up to %d, so use a newer program",
			v.Format, Format)
	} else if v.Format != Format {
		c.Wrong("undertray", "undertray is %d: write undertray: %d, the version of the format", v.Format, Format)
	}
	c.id("vehicle", v.ID)
	c.filled("name", v.Name)
	if l := v.Engine.Layout; l != "" && l != "longitudinal" && l != "transverse" {
		c.Wrong("engine.layout", "layout %q is unknown: write longitudinal or transverse", l)
	}
	if v.Engine.Cylinders < 0 || v.Engine.Cylinders > 16 {
		c.Wrong("engine.cylinders", "cylinders is %d: write a number from 0 to 16", v.Engine.Cylinders)
	}
	c.runs("yearly", v.Yearly)
	c.counted("oil_change", v.OilChange.Distance, v.OilChange.Hours)
	c.counted("look", v.Look.Distance, v.Look.Hours)
	c.visits(v.Visits)
	if c.crowded("openings", len(v.Openings)) || c.crowded("positions", len(v.Positions)) ||
		c.crowded("runs", len(v.Runs)) || c.crowded("former", len(v.Former)) {
		return
	}
	c.openings = c.ids("openings", len(v.Openings), func(i int) string { return v.Openings[i].ID })
	c.positions = c.ids("positions", len(v.Positions), func(i int) string { return v.Positions[i].ID })
	c.ids("runs", len(v.Runs), func(i int) string { return v.Runs[i].ID })
	for i := range v.Openings {
		if path := item("openings", i); !c.Broken(path) {
			c.opening(path, &v.Openings[i])
		}
	}
	c.circles()
	for i := range v.Positions {
		if path := item("positions", i); !c.Broken(path) {
			c.position(path, &v.Positions[i])
		}
	}
	c.former()
	for i := range v.Runs {
		if path := item("runs", i); !c.Broken(path) {
			c.run(path, &v.Runs[i])
		}
	}
}

// former checks what the vehicle no longer has: a name each, and its kind where it
// was a position.
func (c *checker) former() {
	for i, f := range c.v.Former {
		path := item("former", i)
		if c.Broken(path) {
			continue
		}
		c.id(path+".id", f.ID)
		c.filled(path+".name", f.Name)
		if f.Kind == "" {
			continue
		}
		c.kind(path+".kind", f.Kind)
		if at, still := c.positions[f.ID]; still {
			c.Wrong(path+".id", "position %q stands in line %d and is former too: take one of the two out", f.ID,
				c.At(at).Line)
		}
	}
}

// crowded refuses a list that no vehicle fills.
func (c *checker) crowded(path string, n int) bool {
	if n <= maxItems {
		return false
	}
	c.Wrong(path, "the sheet has %d %s: at most %d are read", n, path, maxItems)
	return true
}

// maxID is the longest id, in characters.
const maxID = 64

// id checks the spelling of an id.
func (c *checker) id(path, id string) {
	if id == "" {
		c.Wrong(path, "the id is empty: write lower-case letters, digits and hyphens, such as top-hose")
		return
	}
	if len(id) > maxID {
		c.Wrong(path, "the id has %d characters: it may have at most %d", len(id), maxID)
		return
	}
	if good := goodID(id); good != id {
		if good == "" {
			good = "blue-van"
		}
		c.Wrong(path, "the id %q may only have lower-case letters, digits and single hyphens between them: write "+
			"for example %s", id, good)
	}
}

// IDFrom makes an id of a name: of as much of it as an id holds, and "place" where
// nothing of it can stand in one.
func IDFrom(name string) string {
	id := goodID(name)
	if len(id) > maxID/2 {
		id = strings.Trim(id[:maxID/2], "-")
	}
	return cmp.Or(id, "place")
}

// goodID returns the id nearest to a text that is spelt as ids are.
func goodID(text string) string {
	var b strings.Builder
	for _, c := range strings.ToLower(text) {
		switch {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
			b.WriteRune(c)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return strings.TrimSuffix(b.String(), "-")
}

// ids checks the ids of a list and returns the path of each.
func (c *checker) ids(list string, n int, id func(i int) string) map[string]string {
	paths := make(map[string]string, n)
	for i := range n {
		path := item(list, i)
		if c.Broken(path) || c.Broken(path+".id") {
			continue
		}
		c.id(path+".id", id(i))
		if first, twice := paths[id(i)]; twice {
			c.Wrong(path+".id", "the id %q is used twice in %s, first in line %d: every id stands for one thing",
				id(i), list, c.At(first).Line)
			continue
		}
		paths[id(i)] = path
	}
	return paths
}

// filled checks a text that must not be blank.
func (c *checker) filled(path, text string) {
	if strings.TrimSpace(text) == "" {
		c.Wrong(path, "%s is empty: say it in a few plain words", lastKey(path))
	}
}

// refer checks that each id in a list names something on the sheet.
func (c *checker) refer(path string, ids []string, to map[string]string, what string) {
	if c.Broken(what + "s") {
		return
	}
	for i, id := range ids {
		at := item(path, i)
		if _, ok := to[id]; ok || c.Broken(at) {
			continue
		}
		if len(c.Problems()) > maxProblems {
			return
		}
		c.Wrong(at, "%s names the %s %q, which the sheet does not have: %s", lastKey(path), message.Text(what), id,
			fleet.Instead(id, keysOf(to)))
	}
}

// minutes checks a stretch of work.
func (c *checker) minutes(path string, m float64) {
	const day = 24 * 60
	if m < 0 || m > day {
		c.Wrong(path, "%s is %v: write minutes from 0 to %d", lastKey(path), m, day)
	}
}

// works checks fasteners and consumables.
func (c *checker) works(path string, fasteners []fleet.Fastener) {
	for i, f := range fasteners {
		at := item(path+".fasteners", i)
		c.filled(at+".what", f.What)
		if f.Count < 0 {
			c.Wrong(at+".count", "count is %d: write how many there are", f.Count)
		}
	}
}
