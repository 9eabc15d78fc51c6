package sheet

import (
	"maps"
	"slices"
	"strings"

	"undertray.example/undertray/internal/fleet"
)

// keysOf lists the keys of a map in alphabetical order.
func keysOf(m map[string]string) []string {
	return slices.Sorted(maps.Keys(m))
}

func (c *checker) opening(path string, o *fleet.Opening) {
	c.filled(path+".name", o.Name)
	c.refer(path+".needs", o.Needs, c.openings, "opening")
	c.minutes(path+".minutes", o.Minutes)
	c.minutes(path+".undo_minutes", o.UndoMinutes)
	c.works(path, o.Fasteners)
	for i, con := range o.Consumables {
		c.filled(item(path+".consumables", i)+".what", con.What)
	}
	c.onGround(path+".on_ground", o)
}

// onGround refuses an opening that is to be done on the ground and cannot be:
// it raises the vehicle, or needs something that does.
func (c *checker) onGround(path string, o *fleet.Opening) {
	if !o.OnGround {
		return
	}
	if o.Raises {
		c.Wrong(path, "opening %q raises the vehicle, so it is not done with the wheels on the ground: take "+
			"on_ground or raises out", o.ID)
		return
	}
	for _, id := range c.v.Closure(o.Needs) {
		if id != o.ID && c.v.Opening(id).Raises {
			c.Wrong(path, "opening %q is done with the wheels on the ground, yet needs %q, which raises the "+
				"vehicle: take on_ground or that need out", o.ID, id)
			return
		}
	}
}

// circles reports every opening that needs itself through others, naming the
// way round once.
func (c *checker) circles() {
	const (
		unseen = iota
		open   // on the way from the start to here
		done
	)
	state := map[string]int{}
	var way []string
	var visit func(id string)
	visit = func(id string) {
		path, ok := c.openings[id]
		if !ok || state[id] == done {
			return
		}
		state[id] = open
		way = append(way, id)
		for i, need := range c.v.Opening(id).Needs {
			if state[need] == open {
				c.circle(item(path+".needs", i), way[slices.Index(way, need):])
				continue
			}
			visit(need)
		}
		way = way[:len(way)-1]
		state[id] = done
	}
	for i := range c.v.Openings {
		visit(c.v.Openings[i].ID)
	}
}

// circle reports one way round.
func (c *checker) circle(path string, round []string) {
	if len(round) == 1 {
		c.Wrong(path, "opening %q needs itself: take it out of its own needs", round[0])
		return
	}
	names := strings.Join(round, " needs ") + " needs " + round[0]
	c.Wrong(path, "openings need each other in a circle, so none can be first: %s; take one of these needs out", names)
}
