package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"undertray/internal/fleet"
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

// at returns where the value under a path stands, or the nearest thing around
// it that stands somewhere.
func (c *checker) at(path string) place {
	for {
		if p, ok := c.marks[path]; ok {
			return p
		}
		i := strings.LastIndexByte(path, '.')
		if i < 0 {
			return c.marks[""]
		}
		path = path[:i]
	}
}

// wrong notes a problem with the value under a path unless it has one already.
func (c *checker) wrong(path, format string, args ...any) {
	if c.broken[path] {
		return
	}
	c.fail(path, c.at(path), format, args...)
}

// item is the path of an element of a list.
func item(list string, i int) string { return list + "." + strconv.Itoa(i) }

func (c *checker) vehicle() {
	v := c.v
	if v.Format > Format && !c.broken["undertray"] {
		c.problems = append(c.problems, problem{c.at("undertray"), fleet.TooNew,
			fmt.Sprintf("the sheet is written in format %d: this program reads formats up to %d, so use a newer program", v.Format, Format)})
	} else if v.Format != Format {
		c.wrong("undertray", "undertray is %d: write undertray: %d, the version of the format", v.Format, Format)
	}
	c.id("vehicle", v.ID)
	c.filled("name", v.Name)
	if l := v.Engine.Layout; l != "" && l != "longitudinal" && l != "transverse" {
		c.wrong("engine.layout", "layout %q is unknown: write longitudinal or transverse", l)
	}
	if v.Engine.Cylinders < 0 || v.Engine.Cylinders > 16 {
		c.wrong("engine.cylinders", "cylinders is %d: write a number from 0 to 16", v.Engine.Cylinders)
	}
	c.visits(v.Visits)
	if c.crowded("openings", len(v.Openings)) || c.crowded("positions", len(v.Positions)) || c.crowded("runs", len(v.Runs)) {
		return
	}
	c.openings = c.ids("openings", len(v.Openings), func(i int) string { return v.Openings[i].ID })
	c.positions = c.ids("positions", len(v.Positions), func(i int) string { return v.Positions[i].ID })
	c.ids("runs", len(v.Runs), func(i int) string { return v.Runs[i].ID })
	for i := range v.Openings {
		if path := item("openings", i); !c.broken[path] {
			c.opening(path, &v.Openings[i])
		}
	}
	c.circles()
	for i := range v.Positions {
		if path := item("positions", i); !c.broken[path] {
			c.position(path, &v.Positions[i])
		}
	}
	for i := range v.Runs {
		if path := item("runs", i); !c.broken[path] {
			c.run(path, &v.Runs[i])
		}
	}
}

// crowded refuses a list that no vehicle fills.
func (c *checker) crowded(path string, n int) bool {
	if n <= maxItems {
		return false
	}
	c.wrong(path, "the sheet has %d %s: at most %d are read", n, path, maxItems)
	return true
}

// maxID is the longest id, in characters.
const maxID = 64

// id checks the spelling of an id.
func (c *checker) id(path, id string) {
	if id == "" {
		c.wrong(path, "the id is empty: write lower-case letters, digits and hyphens, such as top-hose")
		return
	}
	if len(id) > maxID {
		c.wrong(path, "the id has %d characters: it may have at most %d", len(id), maxID)
		return
	}
	if good := goodID(id); good != id {
		if good == "" {
			good = "blue-van"
		}
		c.wrong(path, "the id %q may only have lower-case letters, digits and single hyphens between them: write for example %s", id, good)
	}
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
		if c.broken[path] || c.broken[path+".id"] {
			continue
		}
		c.id(path+".id", id(i))
		if first, twice := paths[id(i)]; twice {
			c.wrong(path+".id", "the id %q is used twice in %s, first in line %d: every id stands for one thing",
				id(i), list, c.at(first).Line)
			continue
		}
		paths[id(i)] = path
	}
	return paths
}

// filled checks a text that must not be blank.
func (c *checker) filled(path, text string) {
	if strings.TrimSpace(text) == "" {
		c.wrong(path, "%s is empty: say it in a few plain words", lastKey(path))
	}
}

// refer checks that each id in a list names something on the sheet.
func (c *checker) refer(path string, ids []string, to map[string]string, what string) {
	if c.broken[what+"s"] {
		return
	}
	for i, id := range ids {
		at := item(path, i)
		if _, ok := to[id]; ok || c.broken[at] {
			continue
		}
		if len(c.problems) > maxProblems {
			return
		}
		c.wrong(at, "%s names the %s %q, which the sheet does not have: %s", lastKey(path), what, id, instead(id, keysOf(to)))
	}
}

// minutes checks a stretch of work.
func (c *checker) minutes(path string, m float64) {
	const day = 24 * 60
	if m < 0 || m > day {
		c.wrong(path, "%s is %v: write minutes from 0 to %d", lastKey(path), m, day)
	}
}

// works checks fasteners and consumables.
func (c *checker) works(path string, fasteners []fleet.Fastener) {
	for i, f := range fasteners {
		at := item(path+".fasteners", i)
		c.filled(at+".what", f.What)
		if f.Count < 0 {
			c.wrong(at+".count", "count is %d: write how many there are", f.Count)
		}
	}
}
