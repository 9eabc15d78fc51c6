package visit

import (
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/sequence"
)

// lettingGo is what work lets out or loosens, of which the kind of the part that
// is changed warns; a belt's kind warns of what is let go of to take it off as well.
var (
	lettingGo = []machine.Undone{machine.FuelOpen, machine.OilOut, machine.GearOilOut, machine.EngineLoose,
		machine.SteeringOpen, machine.BrakesOpen}
	lettingBeltGo = []machine.Undone{machine.BeltLoose, machine.BeltOff, machine.SideBeltOff, machine.SpareBeltOff,
		machine.TimingCoverOff, machine.FanOff}
)

// LetsGo returns the openings of a part before which the cautions of its kind are
// read: those that let out or loosen what they warn of.
func LetsGo(r *fleet.Vehicle, p *fleet.Position, belt bool) []string {
	does := func(id string, what []machine.Undone) bool { return leaves(r.Opening(id), what...) }
	out := slices.DeleteFunc(slices.Clone(p.Changed), func(id string) bool { return !does(id, lettingGo) })
	if belt {
		for _, id := range r.Closure(p.Changed) {
			if does(id, lettingBeltGo) && !slices.Contains(out, id) {
				out = append(out, id)
			}
		}
	}
	return out
}

// foretell puts the cautions of changes before the first opening that they are
// about: hot oil is warned of before the plug is out, not before the refill.
func (b *builder) foretell(plan sequence.Plan) {
	for _, t := range b.job.Tasks {
		change := b.body["change:"+t.Judgement.Position.ID]
		if change == nil {
			continue
		}
		lets := LetsGo(b.r.Vehicle, t.Judgement.Position, t.Judgement.Kind.Belt != "")
		for _, i := range plan.Order {
			if js := b.body[b.steps[i].ID]; js.Kind == StepOpen && slices.Contains(lets, js.Opening.ID) {
				js.Cautions = slices.Concat(js.Cautions, change.Cautions)
				break
			}
		}
	}
}
