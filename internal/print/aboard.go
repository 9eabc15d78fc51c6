package print

import (
	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Aboard writes what is carried on a vehicle and what would help besides.
func (t *Text) Aboard(v *fleet.Vehicle, things []aboard.Thing) {
	t.Line(aboard.Headline(v, things))
	t.Item("! ", aboard.Caution)
	for i := range things {
		t.Item("- ", message.Of("%s: %s.", message.Is(things[i].Name).Capital(), things[i].Words()))
	}
}
