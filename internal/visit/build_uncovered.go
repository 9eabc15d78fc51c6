package visit

import (
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
)

// addUncovered adds the looks at a new belt that come once it pulls and before
// anything is put back over it. What lets go of the belt is opened last, so that
// it is closed first.
func (b *builder) addUncovered() {
	for _, t := range append(b.relaid(), b.job.Tasks...) {
		for _, a := range t.Judgement.Kind.After {
			if t.Do != fleet.DoReplace || !a.Uncovered {
				continue
			}
			p := t.Judgement.Position
			own, over := b.holding(p)
			js := &Step{Kind: StepAfter, Do: a.Do, From: p.From, Minutes: a.Minutes, Position: p}
			b.add(uncoveredID(p, a.Do), 901, js, over, b.changes(p))
			for i := range b.steps {
				if o := b.body[b.steps[i].ID].Opening; o != nil && slices.Contains(own, o.ID) {
					for _, id := range over {
						b.steps[i].After = append(b.steps[i].After, openID(id))
					}
				}
			}
		}
	}
}

// relaid returns the belts that a sheet takes off for something else and lays on
// again: they are looked at like new ones, since one lies a groove over as easily.
func (b *builder) relaid() []Task {
	var out []Task
	for _, j := range b.r.Walk() {
		taken := slices.ContainsFunc(j.Position.Changed, func(id string) bool {
			return slices.Contains(b.open, id) && leaves(b.r.Vehicle.Opening(id), machine.BeltOff)
		})
		if j.Kind.Belt != "" && taken && b.body["change:"+j.Position.ID] == nil {
			out = append(out, Task{Judgement: j, Do: fleet.DoReplace})
		}
	}
	return out
}

// changes returns the change of a part, if it is one of the sheet's.
func (b *builder) changes(p *fleet.Position) []string {
	if id := "change:" + p.ID; b.body[id] != nil {
		return []string{id}
	}
	return nil
}

func uncoveredID(p *fleet.Position, do string) string { return "after:" + p.ID + ":" + do }

// holding parts what is opened around a belt into what lets go of it (taking it
// off, and slackening it for that) and what lies over it.
func (b *builder) holding(p *fleet.Position) (own, over []string) {
	v := b.r.Vehicle
	belt := func(id string, what ...machine.Undone) bool { return leaves(v.Opening(id), what...) }
	for _, id := range p.Changed {
		if belt(id, machine.BeltOff, machine.BeltLoose) {
			own = append(own, id)
		}
	}
	for _, id := range slices.Clone(own) {
		for _, n := range v.Opening(id).Needs {
			if belt(n, machine.BeltLoose) {
				own = append(own, n)
			}
		}
	}
	for _, id := range b.open {
		if belt(id, machine.BeltOff) && slices.ContainsFunc(v.Opening(id).Needs, func(n string) bool {
			return slices.Contains(own, n) && belt(n, machine.BeltLoose)
		}) {
			own = append(own, id)
		}
	}
	for _, id := range v.Closure(slices.Concat(p.Seen, p.Changed)) {
		if !slices.Contains(own, id) && !slices.ContainsFunc(own, func(o string) bool {
			return slices.Contains(v.Closure([]string{id}), o)
		}) {
			over = append(over, id)
		}
	}
	return own, over
}

// closeBeforeLooks lets the looks of addUncovered wait until their belt is held
// again.
func (b *builder) closeBeforeLooks() {
	for i := range b.steps {
		js := b.body[b.steps[i].ID]
		if js.Kind != StepAfter || js.Position == nil {
			continue
		}
		own, _ := b.holding(js.Position)
		for _, id := range own {
			b.steps[i].After = append(b.steps[i].After, closeID(id))
		}
	}
}
