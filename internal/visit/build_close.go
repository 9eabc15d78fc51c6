package visit

import (
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
)

// addClosings puts back what was opened, in reverse: after everything done
// while it was open, and after everything opened later from the same side or
// on the strength of it is closed again.
func (b *builder) addClosings() {
	b.closeBeforeLooks()
	turned := b.turnedOnStands()
	for i := len(b.open) - 1; i >= 0; i-- {
		o := b.r.Vehicle.Opening(b.open[i])
		after := append([]string{openID(o.ID)}, b.uses[o.ID]...)
		if o.OnGround {
			for _, other := range b.open {
				if b.r.Vehicle.Opening(other).Raises {
					after = append(after, closeID(other))
				}
			}
		}
		if o.Raises { // nothing is let down while a wheel is off
			for _, id := range b.open {
				if leaves(b.r.Vehicle.Opening(id), machine.WheelsOff) {
					after = append(after, closeID(id))
				}
			}
		}
		for _, later := range b.open[i+1:] {
			if o.Undo == "" {
				break // waiting is over by itself: nothing that comes after it holds it up
			}
			l := b.r.Vehicle.Opening(later)
			key := leaves(o, machine.SwitchedOff) && lifts(l) && turned
			if key || leaves(o, machine.BatteryOff) && !b.closesBefore(l) {
				continue
			}
			if sameSide(o, l) && !l.OnGround && (lifts(o) || b.waitsForIgnition(o) || !b.waitsForIgnition(l)) ||
				slices.Contains(b.r.Vehicle.Closure([]string{later}), o.ID) {
				after = append(after, closeID(later))
			}
		}
		after = append(after, b.closingByState(o)...)
		js := &Step{Kind: StepClose, Opening: o}
		if o.Undo != "" {
			js.Do, js.From, js.Minutes, js.Torques = o.Undo, undoneFrom(o), o.UndoMinutes, torques(o.Undo, o.Fasteners)
		}
		b.add(closeID(o.ID), 1000+len(b.open)-i, js, nil, after)
	}
}

// turnedOnStands reports whether the engine is turned with the vehicle raised once all
// else is closed: a hybrid's key is brought back for it, as nothing runs without, and the
// vehicle let down afterwards.
func (b *builder) turnedOnStands() bool {
	return slices.ContainsFunc(b.job.Tasks, func(t Task) bool {
		after := t.Judgement.Kind.After
		return t.Do == fleet.DoReplace && slices.ContainsFunc(after, func(a catalogue.After) bool {
			return a.Raised && useOf(a.Engine, a.Needs).Turns()
		})
	})
}

// undoneFrom is where one stands to put an opening back: coolant and engine oil run out below and are
// filled in above (common practice); all else goes back where it came from.
func undoneFrom(o *fleet.Opening) fleet.Side {
	if leaves(o, machine.CoolantOut, machine.OilOut) {
		return fleet.Above
	}
	return o.From
}

// closingByState returns the closings that come first for the sake of the
// battery: it is connected last, but before what its ignition shows.
func (b *builder) closingByState(o *fleet.Opening) []string {
	var out []string
	if leaves(o, machine.BatteryOff) {
		out = b.handsOn()
	}
	for _, id := range b.open {
		other := b.r.Vehicle.Opening(id)
		switch {
		case other == o:
		case leaves(o, machine.BatteryOff) && b.closesBefore(other) &&
			!slices.Contains(b.r.Vehicle.Closure([]string{o.ID}), id):
			out = append(out, closeID(id))
		case slices.Contains(o.UndoNeeds, machine.Ignition) && leaves(other, machine.BatteryOff):
			out = append(out, closeID(id))
		}
	}
	return out
}

// handsOn returns the steps with hands on the machine: none is left when the
// battery is connected.
func (b *builder) handsOn() []string {
	var out []string
	for i := range b.steps {
		switch b.body[b.steps[i].ID].Kind {
		case StepFirst, StepLook, StepChange, StepAfter:
			out = append(out, b.steps[i].ID)
		}
	}
	return out
}
