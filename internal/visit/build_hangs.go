package visit

import (
	"slices"

	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/sequence"
)

// While the engine hangs on its support nothing is done but what needs it so: a
// hand that pulls at a plug or a filter moves what a jack alone holds (common
// practice).

// hangs returns the openings by which the engine hangs.
func (b *builder) hangs() []string {
	return slices.DeleteFunc(slices.Clone(b.open), func(id string) bool {
		return !leaves(b.r.Vehicle.Opening(id), machine.EngineLoose)
	})
}

// needs reports whether a step, by its place among the builder's, is done while an
// opening is open, or is the opening itself or its closing.
func (b *builder) needs(step int, opening string) bool {
	s := &b.steps[step]
	if o := b.body[s.ID].Opening; o != nil {
		return slices.Contains(b.r.Vehicle.Closure([]string{o.ID}), opening)
	}
	return slices.Contains(b.uses[opening], s.ID)
}

// beforeItHangs puts what does not need the engine to hang before that, but for
// what follows on something that does, and looks at what is put back first.
func (b *builder) beforeItHangs() {
	for _, hang := range b.hangs() {
		later := b.following(openID(hang))
		at := slices.IndexFunc(b.steps, func(s sequence.Step) bool { return s.ID == openID(hang) })
		for i := range b.steps {
			id := b.steps[i].ID
			if js := b.body[id]; !b.needs(i, hang) && !later[id] && (js.Kind != StepAfter || js.Position == nil) {
				b.steps[at].After = append(b.steps[at].After, id)
			}
		}
	}
}

// afterItHung lets what does not need the engine to hang, and is not done before,
// wait until it is down again; so does what is put back over it.
func (b *builder) afterItHung() {
	for _, hang := range b.hangs() {
		later, before := b.following(openID(hang)), b.leading(closeID(hang))
		for i := range b.steps {
			s := &b.steps[i]
			closing := b.body[s.ID].Kind == StepClose
			if !b.needs(i, hang) && (closing || later[s.ID]) && !before[s.ID] {
				s.After = append(s.After, closeID(hang))
			}
		}
	}
}

// following returns the steps that come after one, in turn.
func (b *builder) following(id string) map[string]bool {
	out := map[string]bool{}
	for grown := true; grown; {
		grown = false
		for i := range b.steps {
			s := &b.steps[i]
			if !out[s.ID] && slices.ContainsFunc(s.After, func(a string) bool { return a == id || out[a] }) {
				out[s.ID], grown = true, true
			}
		}
	}
	return out
}

// leading returns the steps that come before one, in turn.
func (b *builder) leading(id string) map[string]bool {
	after := map[string][]string{}
	for i := range b.steps {
		after[b.steps[i].ID] = b.steps[i].After
	}
	out := map[string]bool{}
	for next := []string{id}; len(next) > 0; {
		last := next[len(next)-1]
		next = next[:len(next)-1]
		for _, a := range after[last] {
			if !out[a] {
				out[a] = true
				next = append(next, a)
			}
		}
	}
	return out
}
