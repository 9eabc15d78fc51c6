package sheet

import (
	"strings"

	"undertray/internal/fleet"
)

// isBelt says whether a kind is a belt: the ids of all belts end in -belt.
func isBelt(kind string) bool { return strings.HasSuffix(kind, "-belt") }

func (c *checker) run(path string, r *fleet.Run) {
	c.filled(path+".name", r.Name)
	c.belt(path+".belt", r.Belt)
	if len(r.Pulleys) < 2 {
		c.wrong(path+".pulleys", "run %q has %d pulleys: a belt goes over at least two", r.ID, len(r.Pulleys))
		return
	}
	drivers := 0
	for i := range r.Pulleys {
		p := &r.Pulleys[i]
		at := item(path+".pulleys", i)
		c.filled(at+".name", p.Name)
		if p.Position != "" {
			c.refer1(at+".position", p.Position)
		}
		if p.Side != "ribs" && p.Side != "back" {
			c.wrong(at+".side", "side is %q: write ribs or back, whichever of the belt touches the pulley", p.Side)
		}
		if p.Driver {
			drivers++
		}
		if drivers > 1 && p.Driver {
			c.wrong(at+".driver", "pulley %q is a second driver of run %q: only the crank pulley drives", p.Name, r.ID)
		}
	}
	if drivers == 0 {
		c.wrong(path+".pulleys", "run %q has no driver: add driver: true to the crank pulley", r.ID)
	}
}

// belt checks that a run's belt is a position that holds a belt.
func (c *checker) belt(path, id string) {
	at, ok := c.positions[id]
	if !ok && c.broken["positions"] {
		return
	}
	if !ok {
		var belts []string
		for i := range c.v.Positions {
			if isBelt(c.v.Positions[i].Kind) {
				belts = append(belts, c.v.Positions[i].ID)
			}
		}
		c.wrong(path, "belt names the position %q, which the sheet does not have: %s", id, instead(id, belts))
		return
	}
	if p := c.v.Position(id); !isBelt(p.Kind) && !c.broken[at+".kind"] {
		c.wrong(path, "position %q is a %s: a run's belt is a position of a belt kind, such as ribbed-belt or v-belt", id, p.Kind)
	}
}

// refer1 checks one reference to a position.
func (c *checker) refer1(path, id string) {
	if _, ok := c.positions[id]; !ok && !c.broken["positions"] {
		c.wrong(path, "%s names the position %q, which the sheet does not have: %s", lastKey(path), id, instead(id, keysOf(c.positions)))
	}
}
