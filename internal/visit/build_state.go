package visit

import (
	"slices"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/sequence"
)

// leaves reports whether an opening leaves any of these undone.
func leaves(o *fleet.Opening, what ...machine.Undone) bool {
	return slices.ContainsFunc(o.Leaves, func(u machine.Undone) bool { return slices.Contains(what, u) })
}

// lifts reports whether an opening has to do with raising and wheels alone.
func lifts(o *fleet.Opening) bool {
	return o.Raises || o.OnGround || leaves(o, machine.Raised, machine.WheelsOff, machine.WheelsLoose)
}

// useOf is what a check does with the machine.
func useOf(engine fleet.EngineState, needs machine.Use) machine.Use {
	if needs == "" && engine == fleet.Running {
		return machine.Running
	}
	return needs
}

// whole reports whether a check wants the machine whole, so that it waits
// until everything is closed.
func whole(c *catalogue.Check) bool {
	return useOf(c.Engine, c.Needs).Rank() >= machine.Ignition.Rank()
}

// hidden reports whether a check cannot be made for want of sight: of a timing
// drive nothing is seen or touched running, since its cover is on then, and nobody
// watches from under a vehicle what only shows there.
func hidden(v *fleet.Vehicle, p *fleet.Position, c *catalogue.Check) bool {
	return whole(c) && (c.Sense != "listen" && c.Sense != "smell" && behindTiming(v, p) ||
		c.Sense == catalogue.Look && c.Engine == fleet.Running && underneath(v, p))
}

// underneath reports whether a part is seen with the vehicle raised alone.
func underneath(v *fleet.Vehicle, p *fleet.Position) bool {
	return slices.ContainsFunc(v.Closure(p.Seen), func(id string) bool { return v.Opening(id).Raises })
}

// behindTiming reports whether a part is seen with a timing cover off alone.
func behindTiming(v *fleet.Vehicle, p *fleet.Position) bool {
	return slices.ContainsFunc(v.Closure(p.Seen), func(id string) bool {
		return leaves(v.Opening(id), machine.TimingCoverOff)
	})
}

// orderByState puts first what makes safe: the engine is warmed up before
// anything is open, what is done hot comes before what is done cold, and with
// the battery off, the fuel pressure down and the engine cold everything else
// is taken apart and changed (common practice).
func (b *builder) orderByState() {
	var hot []string
	for i := range b.steps {
		if b.steps[i].Needs["heat"] == string(fleet.Hot) {
			hot = append(hot, b.steps[i].ID)
		}
	}
	safe := b.makingSafe()
	var ids []string
	for _, id := range safe {
		ids = append(ids, openID(id))
	}
	early := b.r.Vehicle.Closure(slices.Concat(safe, b.hotOpenings()))
	for i := range b.steps {
		s := &b.steps[i]
		if s.Needs["heat"] == string(fleet.Cold) {
			s.After = append(s.After, hot...)
		}
		js := b.body[s.ID]
		if js.Kind == StepChange || js.Kind == StepOpen && !lifts(js.Opening) &&
			!slices.Contains(early, js.Opening.ID) {
			s.After = append(s.After, ids...)
		}
	}
	b.causeFirst(safe)
	b.batteryFirst(safe)
	b.standsFirst()
	if len(hot) > 0 {
		b.addWarming()
	}
}

func firstID(f catalogue.First) string { return "first:" + f.Do }

// firsts returns what is put right before a task's part is changed. Of a part
// that is changed for the second time nothing is: it was found on one that is
// gone by then.
func (b *builder) firsts(t Task) []catalogue.First {
	if t.Again || t.Do != fleet.DoReplace && t.Do != fleet.DoPutRight {
		return nil
	}
	return t.Judgement.First
}

// causeFirst finds the cause before anything is drained or taken apart: what
// leaves something undone, and is needed neither to see where the cause may lie
// nor to make safe, nor drained while the engine is warm, waits for it (hose makers: pressure-test before a part is
// changed; common practice).
func (b *builder) causeFirst(safe []string) {
	var causes, seen []string
	for _, t := range b.job.Tasks {
		for _, f := range b.firsts(t) {
			if !f.Open {
				causes = append(causes, firstID(f))
				seen = append(seen, t.Judgement.Position.Seen...)
			}
		}
	}
	early := b.r.Vehicle.Closure(slices.Concat(seen, safe, b.hotOpenings()))
	for i := range b.steps {
		o := b.body[b.steps[i].ID].Opening
		if o != nil && len(o.Leaves) > 0 && !lifts(o) && !slices.Contains(early, o.ID) {
			b.steps[i].After = append(b.steps[i].After, causes...)
		}
	}
}

// forBattery returns what disconnects the battery where a timing cover is opened,
// since nothing may crank the engine then, or a part is changed that wants it off.
func (b *builder) forBattery(need []string) []string {
	v := b.r.Vehicle
	if !slices.ContainsFunc(v.Closure(need), func(id string) bool {
		return leaves(v.Opening(id), machine.TimingCoverOff)
	}) && !slices.ContainsFunc(b.job.Tasks, func(t Task) bool {
		return t.Do == fleet.DoReplace && t.Judgement.Kind.BatteryOff
	}) {
		return nil
	}
	for i := range v.Openings {
		if leaves(&v.Openings[i], machine.BatteryOff) {
			return []string{v.Openings[i].ID}
		}
	}
	return nil
}

// batteryFirst disconnects the battery before any other opening but raising
// and those it needs itself.
func (b *builder) batteryFirst(safe []string) {
	i := slices.IndexFunc(safe, func(id string) bool { return leaves(b.r.Vehicle.Opening(id), machine.BatteryOff) })
	if i < 0 {
		return
	}
	before := b.r.Vehicle.Closure(safe[i : i+1])
	for k := range b.steps {
		if o := b.body[b.steps[k].ID].Opening; o != nil && !lifts(o) && !slices.Contains(before, o.ID) {
			b.steps[k].After = append(b.steps[k].After, openID(safe[i]))
		}
	}
}

// standsFirst raises the vehicle before anything else is opened on that side,
// where a test needs it raised still: all that is closed again by then.
func (b *builder) standsFirst() {
	var stands []string
	for _, t := range b.job.Tasks {
		if t.Do == fleet.DoReplace && slices.ContainsFunc(t.Judgement.Kind.After, func(a catalogue.After) bool {
			return a.Raised
		}) {
			stands = append(stands, b.stands(t)...)
		}
	}
	needed := b.r.Vehicle.Closure(stands)
	for i := range b.steps {
		o := b.body[b.steps[i].ID].Opening
		if o == nil || lifts(o) || slices.Contains(needed, o.ID) {
			continue
		}
		for _, id := range stands {
			if sameSide(o, b.r.Vehicle.Opening(id)) {
				b.steps[i].After = append(b.steps[i].After, openID(id))
			}
		}
	}
}

func (b *builder) hotOpenings() []string {
	return slices.DeleteFunc(slices.Clone(b.open), func(id string) bool {
		return b.r.Vehicle.Opening(id).Engine != fleet.Hot
	})
}

// makingSafe returns the openings that make safe what follows.
func (b *builder) makingSafe() []string {
	return slices.DeleteFunc(slices.Clone(b.open), func(id string) bool {
		o := b.r.Vehicle.Opening(id)
		wait := o.Engine == fleet.Cold && o.Undo == ""
		pressure := o.Engine == fleet.Cold && leaves(o, machine.FuelOpen) && !leaves(o, machine.InletOpen)
		return !wait && !pressure && !leaves(o, machine.BatteryOff)
	})
}

// addWarming lets the engine get warm before everything else.
func (b *builder) addWarming() {
	const id = "warm"
	for i := range b.steps {
		b.steps[i].After = append(b.steps[i].After, id)
	}
	b.body[id] = &Step{Kind: StepWarm, Engine: fleet.Running, Use: machine.Running,
		Cautions: slices.Concat(b.leftOpen(), b.r.Catalogue.CautionsAt(catalogue.AtRunning))}
	b.steps = append(b.steps, sequence.Step{ID: id, Rank: -1, Needs: sequence.Setting{"engine": string(fleet.Running)}})
}

// closesBefore reports whether an opening is put back before the battery is
// connected: everything is, but for raising and wheels, what waits for a look
// with the ignition on, and what that look needs open.
func (b *builder) closesBefore(o *fleet.Opening) bool {
	return !lifts(o) && !b.waitsForIgnition(o)
}

// waitsForIgnition reports whether an opening is put back with the ignition on,
// or is needed for one that is.
func (b *builder) waitsForIgnition(o *fleet.Opening) bool {
	return slices.ContainsFunc(b.open, func(id string) bool {
		return slices.Contains(b.r.Vehicle.Opening(id).UndoNeeds, machine.Ignition) &&
			slices.Contains(b.r.Vehicle.Closure([]string{id}), o.ID)
	})
}

// beforeLetting leaves of a part's openings those made before it, and has the one
// that lets its fluid out wait for it: air would follow into an empty reservoir.
func (b *builder) beforeLetting(j *judge.Judgement, openings []string) []string {
	lets := func(id string) bool { return leaves(b.r.Vehicle.Opening(id), j.Kind.Leaves...) }
	for i := range b.steps {
		if o := b.body[b.steps[i].ID].Opening; o != nil && lets(o.ID) {
			b.steps[i].After = append(b.steps[i].After, "change:"+j.Position.ID)
		}
	}
	return slices.DeleteFunc(slices.Clone(openings), lets)
}

// addMeanwhile adds what is done while an opening leaves something undone, before a
// part is changed there: once on a sheet.
func (b *builder) addMeanwhile() {
	for _, id := range b.open {
		for _, u := range b.r.Vehicle.Opening(id).Leaves {
			how := b.r.Catalogue.Undoing(u)
			if how == nil || how.Meanwhile == nil {
				continue
			}
			do := firstID(catalogue.First{Do: how.Meanwhile.Do})
			if b.body[do] == nil {
				from := b.r.Vehicle.Opening(id).From
				b.add(do, -1, &Step{Kind: StepFirst, Do: how.Meanwhile.Do, From: from}, nil, nil)
			}
			b.body[do].Minutes, b.body[do].Of = how.Meanwhile.Minutes, nil
			b.meanwhile(do, id)
		}
	}
}

// meanwhile has a step done while an opening is open, and before what is changed
// there.
func (b *builder) meanwhile(do, opening string) {
	used := b.uses[opening]
	for i := range b.steps {
		s := &b.steps[i]
		if s.ID == do {
			s.After = append(s.After, openID(opening))
		} else if b.body[s.ID].Kind == StepChange && slices.Contains(used, s.ID) {
			s.After = append(s.After, do)
		}
	}
	b.uses[opening] = append(used, do)
}

// addByHand adds the tests made by turning the engine by hand, while what
// they look at is still open.
func (b *builder) addByHand() {
	for _, t := range b.job.Tasks {
		if t.Do != fleet.DoReplace {
			continue
		}
		while := b.openingsOf(t)
		for _, a := range t.Judgement.Kind.After {
			id := "after:" + a.Do
			if a.Needs != machine.ByHand || b.body[id] != nil {
				continue
			}
			js := &Step{Kind: StepAfter, Do: a.Do, Use: a.Needs, Minutes: a.Minutes}
			if a.Caution != "" {
				js.Cautions = []string{a.Caution}
			}
			b.add(id, 900, js, while, b.changesBehind(while))
		}
	}
}

// changesBehind returns the changes made behind the same timing covers.
func (b *builder) changesBehind(open []string) []string {
	cover := func(id string) bool {
		return slices.Contains(open, id) && leaves(b.r.Vehicle.Opening(id), machine.TimingCoverOff)
	}
	var out []string
	for _, t := range b.job.Tasks {
		if t.Do == fleet.DoReplace && slices.ContainsFunc(b.openingsOf(t), cover) {
			out = append(out, "change:"+t.Judgement.Position.ID)
		}
	}
	return out
}
