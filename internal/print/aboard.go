package print

import (
	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say"
)

// Aboard writes what is carried on a vehicle and what would help besides.
func (t *Text) Aboard(v *fleet.Vehicle, things []aboard.Thing) {
	t.Line(aboard.Headline(v, things))
	t.Item("! ", aboard.Caution)
	for i := range things {
		t.Item("- ", say.Capital(things[i].Name)+": "+things[i].Words()+".")
	}
}
