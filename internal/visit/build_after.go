package visit

import (
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/undone"
)

// test is something done once everything is closed.
type test struct {
	id     string
	rank   int
	step   *Step
	stands []string // the openings that raise the vehicle, where it stays up for this
	starts int      // its place among what the engine is first run for; 0: not for that
	last   bool     // among what the engine is run for: nothing is wrong by then
}

// addAfter adds what is done once everything is closed, by what it does with
// the machine: what can be seen at rest before the starter turns, the pedal
// before anything moves, the road and second looks last. What is done on the
// stands comes before the lowering, and what shows a leak at rest before it; what
// is felt with a hand comes before the battery is connected.
func (b *builder) addAfter() {
	tests := b.tests()
	var stands []string
	for _, t := range tests {
		stands = append(stands, t.stands...)
	}
	all := make([]string, len(b.steps))
	for i := range b.steps {
		all[i] = b.steps[i].ID
	}
	onStands := b.before(all, stands)
	battery := slices.DeleteFunc(slices.Clone(b.open), func(id string) bool {
		return !leaves(b.r.Vehicle.Opening(id), machine.BatteryOff)
	})
	batteryOff := b.before(all, slices.DeleteFunc(slices.Clone(b.open), func(id string) bool {
		o := b.r.Vehicle.Opening(id)
		return !lifts(o) && !slices.Contains(battery, id)
	}))
	var before, raised, byHand []string
	for _, t := range tests {
		base := all
		if len(t.stands) > 0 || len(stands) > 0 && t.step.Use.Rank() <= machine.Ignition.Rank() {
			base, raised = onStands, append(raised, t.id)
		}
		if t.step.Use == "" && len(t.stands) == 0 && len(battery) > 0 {
			base, byHand = batteryOff, append(byHand, t.id)
		}
		b.add(t.id, t.rank, t.step, nil, slices.Concat(base, before))
		before = append(before, t.id)
	}
	for i := range b.steps {
		if js := b.body[b.steps[i].ID]; js.Kind == StepClose && slices.Contains(stands, js.Opening.ID) {
			b.steps[i].After = append(b.steps[i].After, raised...)
		}
		if js := b.body[b.steps[i].ID]; js.Kind == StepClose && slices.Contains(battery, js.Opening.ID) {
			b.steps[i].After = append(b.steps[i].After, byHand...)
		}
	}
}

// tests returns what is done once everything is closed, in its order: what the
// kinds ask for, and looks that want the machine whole.
func (b *builder) tests() []test {
	out := b.undoings()
	for _, t := range b.relaid() {
		out = b.kindTests(out, t, func(a *catalogue.After) bool { return a.Sight })
	}
	for _, t := range b.job.Tasks {
		if t.Do == fleet.DoReplace || t.Do == fleet.DoPutRight && b.r.Catalogue.NeverLate(system(b.r, t.Judgement)) {
			out = b.kindTests(out, t, func(*catalogue.After) bool { return true }) // brakes are tried whatever was done
			continue
		}
		p := t.Judgement.Position
		if checks := b.checks(t, true); len(checks) > 0 {
			out = append(out, test{id: "listen:" + p.ID, rank: 4000 + b.ranks[p.ID], step: &Step{Kind: StepLook,
				Looks: []*fleet.Position{p}, Engine: fleet.Running, Use: machine.Running,
				Minutes: LookMinutes, Position: p,
				Checks: checks, Cautions: b.r.Catalogue.CautionsAt(catalogue.AtRunning)}})
		}
	}
	b.startRaised(out)
	for i := range out {
		js := out[i].step
		if b.stays && js.Use.Turns() {
			js.Cautions = slices.Concat(barredCautions(b.r), js.Cautions)
		}
		if js.Use.Rank() >= machine.Cranking.Rank() {
			js.Cautions = slices.Concat(b.leftOpen(), js.Cautions)
		}
	}
	slices.SortStableFunc(out, func(a, c test) int { return a.place() - c.place() })
	for i := range out {
		out[i].rank += i
	}
	return out
}

// leftOpen says what other work has left open that this sheet does not close, and
// that forbids a start; nothing of a sheet for a later day.
func (b *builder) leftOpen() []string {
	if b.job.On != b.r.On {
		return nil
	}
	now := map[machine.Undone]bool{}
	for _, h := range b.r.Open() {
		for _, u := range undone.Forbids(machine.Cranking, h.Undone) {
			now[u] = now[u] || !slices.Contains(b.open, h.Opening.ID)
		}
	}
	why := slices.DeleteFunc(machine.All(), func(u machine.Undone) bool { return !now[u] })
	if len(why) == 0 {
		return nil
	}
	return []string{undone.ForbiddenWords(machine.Running, why).String()}
}

// place is where a test stands among others: what needs the vehicle raised
// comes when it still is, once nothing at rest is left to look at; what shows that
// a first start may go on comes before all else that runs the engine.
func (t test) place() int {
	const apart = 8
	at := apart * t.step.Use.Rank()
	switch {
	case len(t.stands) > 0 && t.step.Use == "":
		at = apart / 2
	case len(t.stands) > 0 && t.step.Use.Turns():
		at = apart*machine.Ignition.Rank() + 5
	}
	if t.starts > 0 {
		at += t.starts - 4
	}
	if t.last {
		at++
	}
	return at
}

// startRaised makes the first start on the stands where something else is run on
// them, so that it stays the first.
func (b *builder) startRaised(all []test) {
	i := slices.IndexFunc(all, func(t test) bool { return len(t.stands) > 0 && t.step.Use.Turns() })
	if i < 0 {
		return
	}
	for k := range all {
		if t := &all[k]; t.starts > 0 {
			t.stands, t.step.Raised = all[i].stands, true
			t.step.Cautions = append(t.step.Cautions, b.r.Catalogue.CautionsAt(catalogue.AtRunningFor)...)
		}
	}
}

func (b *builder) kindTests(out []test, t Task, which func(*catalogue.After) bool) []test {
	for _, a := range t.Judgement.Kind.After {
		if !which(&a) {
			continue
		}
		id := "after:" + a.Do
		if i := slices.IndexFunc(out, func(other test) bool { return other.id == id }); i >= 0 && a.Named {
			out[i].step.Of = append(out[i].step.Of, t.Judgement.Position)
		}
		known := slices.ContainsFunc(out, func(other test) bool { return other.id == id })
		if known || a.Uncovered || b.body[id] != nil ||
			a.Sight && behindTiming(b.r.Vehicle, t.Judgement.Position) {
			continue
		}
		use := useOf(a.Engine, a.Needs)
		js := &Step{Kind: StepAfter, Do: a.Do, Engine: a.Engine, Use: use, Minutes: a.Minutes}
		if a.Named {
			js.Of = []*fleet.Position{t.Judgement.Position}
		}
		if use == machine.Running || use == machine.InGear {
			js.Cautions = b.r.Catalogue.CautionsAt(catalogue.AtRunning)
		}
		var stands []string
		below := use == machine.Ignition && t.Judgement.Position.From == fleet.Below && !b.closesOnGround()
		if a.Raised || below {
			stands, js.Raised = b.stands(t), true
			if use.Turns() {
				js.Cautions = append(js.Cautions, b.r.Catalogue.CautionsAt(catalogue.AtRunningFor)...)
			}
		}
		if a.Caution != "" {
			js.Cautions = append(js.Cautions, a.Caution)
		}
		out = append(out, test{id: id, rank: 5000, step: js, stands: stands, starts: a.Starts})
	}
	return out
}

// closesOnGround reports whether something is closed once the vehicle is down, as coolant is
// filled in level, which the battery waits for: nothing is switched on before.
func (b *builder) closesOnGround() bool {
	return slices.ContainsFunc(b.open, func(id string) bool {
		o := b.r.Vehicle.Opening(id)
		return o.OnGround || leaves(o, machine.CoolantOut)
	})
}

// undoings returns what undoes what changes leave undone where no opening's
// closing does, and what is still to do once an opening is closed.
func (b *builder) undoings() []test {
	var left []machine.Undone
	for _, t := range b.job.Tasks {
		if t.Do == fleet.DoReplace {
			left = append(left, undone.Leaves(t.Judgement.Kind, b.r.Vehicle, t.Judgement.Position)...)
		}
	}
	for _, id := range b.open {
		for _, u := range b.r.Vehicle.Opening(id).Leaves {
			left = append(left, b.r.Catalogue.LeftBy(u)...)
		}
	}
	var out []test
	for _, u := range machine.All() {
		how := b.r.Catalogue.Undoing(u)
		if how == nil || !slices.Contains(left, u) {
			continue
		}
		js := &Step{Kind: StepAfter, Do: how.Do, Use: how.Needs, Minutes: how.Minutes}
		if how.Needs.Turns() {
			js.Engine, js.Cautions = fleet.Running, b.r.Catalogue.CautionsAt(catalogue.AtRunning)
		}
		if how.Caution != "" {
			js.Cautions = append(js.Cautions, how.Caution)
		}
		t := test{id: undone.UndoKey(u), rank: 4900, step: js, last: how.Needs.Turns()}
		if how.Raised {
			t.stands, js.Raised = b.raising(func(id string) string { return id }), true
		}
		out = append(out, t)
	}
	return out
}

// stands returns the openings that raise the vehicle for a task.
func (b *builder) stands(t Task) []string {
	return slices.DeleteFunc(slices.Clone(b.openingsOf(t)), func(id string) bool {
		return !b.r.Vehicle.Opening(id).Raises
	})
}

// before returns the steps that need not wait for these openings to be closed.
func (b *builder) before(all, openings []string) []string {
	late := map[string]bool{}
	for i := range b.steps {
		js := b.body[b.steps[i].ID]
		late[b.steps[i].ID] = js.Kind == StepClose && slices.Contains(openings, js.Opening.ID)
	}
	for grown := true; grown; {
		grown = false
		for i := range b.steps {
			s := &b.steps[i]
			if !late[s.ID] && slices.ContainsFunc(s.After, func(id string) bool { return late[id] }) {
				late[s.ID], grown = true, true
			}
		}
	}
	return slices.DeleteFunc(slices.Clone(all), func(id string) bool { return late[id] })
}
