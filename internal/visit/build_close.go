package visit

import (
	"slices"

	"undertray/internal/catalogue"
	"undertray/internal/fleet"
)

// addClosings puts back what was opened, in reverse: after everything done
// while it was open, and after everything opened later from the same side or
// on the strength of it is closed again.
func (b *builder) addClosings() {
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
		for _, later := range b.open[i+1:] {
			l := b.r.Vehicle.Opening(later)
			if sameSide(o, l) || slices.Contains(b.r.Vehicle.Closure([]string{later}), o.ID) {
				after = append(after, closeID(later))
			}
		}
		js := &Step{Kind: StepClose, Opening: o}
		if o.Undo != "" {
			js.Do, js.From, js.Minutes, js.Torques = o.Undo, o.From, o.UndoMinutes, torques(o.Undo, o.Fasteners)
		}
		b.add(closeID(o.ID), 1000+len(b.open)-i, js, nil, after)
	}
}

// addAfter adds what is done once everything is closed: what the kinds ask
// for, and looks with the engine running. An engine is never run with anything
// open.
func (b *builder) addAfter() {
	all := make([]string, len(b.steps))
	for i := range b.steps {
		all[i] = b.steps[i].ID
	}
	for _, t := range b.job.Tasks {
		if t.Do == fleet.DoReplace {
			b.addTests(t.Judgement.Kind, all)
			continue
		}
		p := t.Judgement.Position
		if checks := b.checks(t, true); len(checks) > 0 {
			b.add("listen:"+p.ID, 4000+b.ranks[p.ID], &Step{Kind: StepLook, Looks: []*fleet.Position{p}, Engine: fleet.Running,
				Minutes: LookMinutes, Position: p, Checks: checks, Cautions: []string{cautionRunning, cautionFumes}}, nil, all)
		}
	}
}

func (b *builder) addTests(k *catalogue.Kind, after []string) {
	for _, a := range k.After {
		id := "after:" + a.Do
		if b.body[id] != nil {
			continue
		}
		js := &Step{Kind: StepAfter, Do: a.Do, Engine: a.Engine, Minutes: a.Minutes}
		if a.Engine == fleet.Running {
			js.Cautions = []string{cautionRunning, cautionFumes}
		}
		if a.Caution != "" {
			js.Cautions = append(js.Cautions, a.Caution)
		}
		b.add(id, 5000, js, nil, after)
	}
}
