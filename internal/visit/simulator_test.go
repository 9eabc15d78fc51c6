package visit_test

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/visit"
)

// A simulator of a machine that a job sheet is worked through on, step by
// step. It reads the finished steps and the data of sheet and catalogue, and
// shares nothing with the planner that ordered them.
type simulator struct {
	r      *advise.Report
	job    *visit.Job
	open   map[string]bool
	temp   fleet.EngineState // "" as the owner finds it
	ran    bool              // after the warming up
	warned bool              // in this stretch of running, from under it
	tests  []machine.Use
	asked  map[string]int
	left   map[machine.Undone]string // by steps, of which no opening tells
	minded map[string]bool           // by opening: what is done while it is open was done
	faults []string
}

// simulate works a sheet through and returns what broke a law.
func simulate(r *advise.Report, job *visit.Job) []string {
	s := &simulator{r: r, job: job, open: map[string]bool{}, asked: map[string]int{}, left: map[machine.Undone]string{},
		minded: map[string]bool{}}
	for i := range job.Steps {
		s.step(i)
	}
	for id := range s.open {
		if o := r.Vehicle.Opening(id); o.Undo != "" {
			s.fault(len(job.Steps)-1, "%s stays open", id)
		}
	}
	for u, by := range s.left {
		s.fault(len(job.Steps)-1, "%s stays, left by %s", u, by)
	}
	s.complete()
	s.cautions()
	return s.faults
}

func (s *simulator) fault(i int, format string, args ...any) {
	s.faults = append(s.faults, fmt.Sprintf("step %d: ", i+1)+fmt.Sprintf(format, args...))
}

// leaves takes in what a change leaves undone of which no opening made for it
// tells.
func (s *simulator) leaves(p *fleet.Position) {
	told := map[machine.Undone]bool{}
	for _, id := range s.r.Vehicle.Closure(slices.Concat(p.Seen, p.Changed)) {
		for _, u := range s.r.Vehicle.Opening(id).Leaves {
			told[u] = true
		}
	}
	k := s.r.Catalogue.Kind(p.Kind)
	for _, u := range k.Leaves {
		belts := u == machine.BeltOff &&
			(told[machine.BeltLoose] || told[machine.TimingCoverOff] || k.Belt == "" && s.r.Vehicle.RunOf(p.ID) == nil)
		if !told[u] && !belts {
			s.left[u] = p.ID
		}
	}
}

// undone returns what is undone now, and through which opening.
func (s *simulator) undone() map[machine.Undone]string {
	out := map[machine.Undone]string{}
	for id := range s.open {
		for _, u := range s.r.Vehicle.Opening(id).Leaves {
			out[u] = id
		}
	}
	for u, by := range s.left {
		if u != machine.WheelsToTighten && u != machine.IdleToLearn { // these are done after a start, or a drive
			out[u] = by
		}
	}
	return out
}

func (s *simulator) step(i int) {
	st := &s.job.Steps[i]
	s.warned = s.warned && s.turns(st)
	s.hanging(i, st)
	switch st.Kind {
	case visit.StepWarm:
		s.runs(i, false)
		s.temp = fleet.Hot
		if i != 0 {
			s.fault(i, "the engine is warmed up after the work has begun")
		}
		if p := s.bar(); p != "" {
			s.fault(i, "the engine is warmed up with the %s bad", p)
		}
	case visit.StepOpen:
		s.opens(i, st.Opening)
	case visit.StepClose:
		s.closes(i, st.Opening)
	case visit.StepFirst:
		s.minds(st)
	case visit.StepChange:
		s.rest(i)
		if slices.Contains(wantBatteryOff, st.Position.Kind) && s.hasBattery() && s.undone()[machine.BatteryOff] == "" {
			s.fault(i, "%s is changed with the battery on", st.Position.ID)
		}
		s.drawn(i, st.Position)
		s.unminded(i, st.Position)
		s.safeChange(i)
		s.emptied(i, st.Position)
		s.leaves(st.Position)
	case visit.StepPutRight:
		s.rest(i)
		s.through(i, st.Position.Seen)
	case visit.StepLook:
		s.looks(i, st)
	case visit.StepAfter:
		s.after(i, st)
	}
}

// wantBatteryOff are the kinds at which a spanner meets the battery's current, or a
// spark fuel (29 CFR 1910.147(d)(3), read in a public reprint: isolated before the
// work; common practice for which).
var wantBatteryOff = []string{"overrun-pulley", "alternator", "earth-strap", "harness", "fuel-hose",
	"fuel-pipe-plastic"}

// meanwhiles are what is done for as long as something is open (belt makers and
// common practice: a belt is off, so every pulley is judged; common practice: a
// reservoir drawn dry lets air into the master cylinder).
var meanwhiles = map[machine.Undone]string{machine.BeltOff: "spin and rock every pulley",
	machine.BrakesOpen: "reservoir from running dry"}

func (s *simulator) minds(st *visit.Step) {
	for id := range s.open {
		for u, words := range meanwhiles {
			if slices.Contains(s.r.Vehicle.Opening(id).Leaves, u) && strings.Contains(st.Do, words) {
				s.minded[id] = true
			}
		}
	}
}

// unminded wants what is done meanwhile done before a part is changed there.
func (s *simulator) unminded(i int, p *fleet.Position) {
	for _, id := range s.r.Vehicle.Closure(slices.Concat(p.Seen, p.Changed)) {
		for u, words := range meanwhiles {
			if s.open[id] && !s.minded[id] && slices.Contains(s.r.Vehicle.Opening(id).Leaves, u) {
				s.fault(i, "%s is changed with %s open, and nobody was told %q", p.ID, id, words)
			}
		}
	}
}

// drawn wants a part changed with all open that hides it; but brake fluid is drawn
// out of the reservoir, and new filled in, before the circuit is opened (common
// practice: what lets go below draws air out of an empty reservoir).
func (s *simulator) drawn(i int, p *fleet.Position) {
	lets := func(id string) bool {
		return p.Kind == "brake-fluid" && slices.Contains(s.r.Vehicle.Opening(id).Leaves, machine.BrakesOpen)
	}
	for _, id := range slices.Concat(p.Seen, p.Changed) {
		if lets(id) && s.open[id] {
			s.fault(i, "the reservoir is emptied with %s open", id)
		} else if !lets(id) {
			s.through(i, []string{id})
		}
	}
}

// hanging wants nothing done while the engine hangs on its support but what needs
// it so, and what makes that so or ends it (common practice: a load on a jack is
// left alone).
func (s *simulator) hanging(i int, st *visit.Step) {
	hang := s.undone()[machine.EngineLoose]
	if hang == "" || s.left[machine.EngineLoose] != "" {
		return
	}
	v := s.r.Vehicle
	wants := func(ids ...string) bool {
		return slices.ContainsFunc(ids, func(id string) bool { return id == hang || needed(v, id, hang) })
	}
	through := func(p *fleet.Position) bool { return wants(slices.Concat(p.Seen, p.Changed)...) }
	ok := false
	switch {
	case st.Opening != nil:
		ok = wants(st.Opening.ID)
	case st.Kind == visit.StepLook:
		ok = !slices.ContainsFunc(st.Looks, func(p *fleet.Position) bool { return !wants(p.Seen...) })
	case st.Position != nil:
		ok = through(st.Position)
	default:
		ok = slices.ContainsFunc(s.job.Tasks, func(t visit.Task) bool {
			k := t.Judgement
			asks := slices.ContainsFunc(k.Kind.After, func(a catalogue.After) bool { return a.Do == st.Do }) ||
				slices.ContainsFunc(k.First, func(f catalogue.First) bool { return f.Do == st.Do })
			return asks && through(k.Position)
		})
	}
	if !ok {
		s.fault(i, "it is done while the engine hangs by %s", hang)
	}
}

// bar is a part that parks the vehicle and with which no engine is run: one of its
// fuel, oil, coolant, air, belts or mounts (common practice). A sheet of a later day
// follows on the visit that put right what it does not deal with.
func (s *simulator) bar() string {
	for _, j := range s.r.With(fleet.Park) {
		i := slices.IndexFunc(s.job.Tasks, func(t visit.Task) bool {
			return t.Judgement == j && t.Do != fleet.DoInspect
		})
		if i >= 0 && s.job.Tasks[i].Again || i < 0 && s.job.On != s.r.On {
			continue
		}
		for _, u := range slices.Concat(j.Kind.Leaves, j.Kind.Emptied) {
			switch u {
			case machine.BrakesOpen, machine.WheelsOff, machine.GearOilOut, machine.BatteryOff:
			default:
				return j.Position.ID
			}
		}
	}
	return ""
}

// rest refuses work on the machine once it has been run for tests: hands come
// near belts and fan no more (after 29 CFR 1910.147(d)(1) to (5) and the beginning of (6), read in a public
// reprint of the section: know the energy, shut down, isolate, lock, relieve what
// is stored, and only then, prior to starting work, verify; written for
// workplaces, not for driveways).
func (s *simulator) rest(i int) {
	if s.ran {
		s.fault(i, "work is still to come when the engine has been run")
	}
}

func ground(o *fleet.Opening) bool {
	return o.Raises || o.OnGround || slices.Contains(o.Leaves, machine.WheelsOff)
}

func (s *simulator) opens(i int, o *fleet.Opening) {
	s.rest(i)
	s.through(i, o.Needs)
	if o.Engine == fleet.Hot && s.temp != fleet.Hot && s.bar() == "" {
		s.fault(i, "%s wants a warm engine", o.ID)
	}
	if o.Engine == fleet.Cold {
		s.temp = fleet.Cold // the step itself says that the engine is cold
	}
	if o.OnGround && s.undone()[machine.Raised] != "" {
		s.fault(i, "%s is done on the ground", o.ID)
	}
	// US Army TM 10-3930-633-12, brake section, read: raise all wheels and block,
	// then take them off.
	if o.Raises && s.undone()[machine.WheelsOff] != "" {
		s.fault(i, "%s is done with a wheel off", o.ID)
	}
	if slices.Contains(o.Leaves, machine.WheelsOff) && s.undone()[machine.BrakesOpen] != "" {
		s.fault(i, "%s is done while the brake circuit runs out (common practice: wheels off first)", o.ID)
	}
	// 29 CFR 1910.147(d)(3) and (5), read likewise: isolation, and relief of what is
	// stored, stand before the work.
	if slices.Contains(o.Leaves, machine.BatteryOff) {
		for id := range s.open {
			if other := s.r.Vehicle.Opening(id); len(other.Leaves) > 0 && !ground(other) &&
				!needed(s.r.Vehicle, o.ID, id) {
				s.fault(i, "the battery is disconnected after %s", id)
			}
		}
	}
	s.open[o.ID] = true
	if slices.Contains(o.Leaves, machine.TimingCoverOff) && s.undone()[machine.BatteryOff] == "" && s.hasBattery() {
		s.fault(i, "%s is opened with the battery on", o.ID)
	}
	if len(o.Leaves) > 0 && !ground(o) && !s.makesSafe(o) {
		s.causesFirst(i, o)
	}
}

// hasBattery reports whether the sheet says how the battery is disconnected.
func (s *simulator) hasBattery() bool {
	return slices.ContainsFunc(s.r.Vehicle.Openings, func(o fleet.Opening) bool {
		return slices.Contains(o.Leaves, machine.BatteryOff)
	})
}

func (s *simulator) makesSafe(o *fleet.Opening) bool {
	return slices.Contains(o.Leaves, machine.BatteryOff) || slices.Equal(o.Leaves, []machine.Undone{machine.FuelOpen})
}

// causesFirst refuses to drain or take apart while a cause is still to be looked
// for that is looked for with everything in place (common practice; hose makers:
// pressure-test before a part is changed). What shows where causes lie, or makes
// safe, is opened for that.
func (s *simulator) causesFirst(i int, o *fleet.Opening) {
	var early []string
	atRest := map[string]bool{}
	for k := range s.r.Vehicle.Openings {
		if safe := &s.r.Vehicle.Openings[k]; s.makesSafe(safe) || safe.Engine == fleet.Cold && safe.Undo == "" ||
			safe.Engine == fleet.Hot {
			early = append(early, safe.ID)
		}
	}
	for _, t := range s.job.Tasks {
		for _, f := range t.Judgement.First {
			if !f.Open && !t.Again && t.Do != fleet.DoInspect {
				atRest[f.Do] = true
				early = append(early, t.Judgement.Position.Seen...)
			}
		}
	}
	if slices.Contains(s.r.Vehicle.Closure(early), o.ID) {
		return
	}
	for _, later := range s.job.Steps[i:] {
		if later.Kind == visit.StepFirst && atRest[later.Do] {
			s.fault(i, "%s is opened before %q", o.ID, later.Do)
		}
	}
}

// needed reports whether an opening is needed, in turn, for another.
func needed(v *fleet.Vehicle, by, id string) bool {
	for _, n := range v.Opening(by).Needs {
		if n == id || needed(v, n, id) {
			return true
		}
	}
	return false
}

func (s *simulator) closes(i int, o *fleet.Opening) {
	if s.ran && !ground(o) {
		s.fault(i, "%s is put back after the engine has been run", o.ID)
	}
	// A hybrid's key is brought back on the stands where the engine is then turned on them, and not otherwise.
	key := slices.Contains(o.Leaves, machine.SwitchedOff) &&
		slices.ContainsFunc(s.job.Steps[i:], func(st visit.Step) bool { return st.Raised && st.Use.Turns() })
	for id := range s.open {
		if other := s.r.Vehicle.Opening(id); key && ground(other) {
			continue
		}
		if id != o.ID && needed(s.r.Vehicle, id, o.ID) && s.r.Vehicle.Opening(id).Undo != "" {
			s.fault(i, "%s is put back before %s", o.ID, id)
		}
	}
	if o.Raises && s.undone()[machine.WheelsOff] != "" {
		s.fault(i, "%s is let down with a wheel off", o.ID)
	}
	delete(s.open, o.ID)
	for _, u := range o.Leaves {
		if meanwhiles[u] != "" && !s.minded[o.ID] {
			s.fault(i, "%s is put back, and nobody was told %q", o.ID, meanwhiles[u])
		}
		for later, was := range map[machine.Undone]machine.Undone{machine.WheelsToTighten: machine.WheelsLoose,
			machine.IdleToLearn: machine.BatteryOff} {
			if u == was {
				s.left[later] = o.ID
			}
		}
	}
	if slices.Contains(o.Leaves, machine.BatteryOff) {
		s.batteryLast(i, o)
	}
	if o.OnGround && s.undone()[machine.Raised] != "" {
		s.fault(i, "%s is undone on the ground", o.ID)
	}
	if slices.Contains(o.UndoNeeds, machine.Ignition) && s.undone()[machine.BatteryOff] != "" {
		s.fault(i, "the ignition is wanted with the battery off")
	}
}

// batteryLast wants everything on again when the battery is: hands and covers are
// done with, but for wheels and stands and what the ignition is still to show.
func (s *simulator) batteryLast(i int, battery *fleet.Opening) {
	for id := range s.open {
		o := s.r.Vehicle.Opening(id)
		waits := slices.ContainsFunc(s.r.Vehicle.Openings, func(w fleet.Opening) bool {
			return s.open[w.ID] && slices.Contains(w.UndoNeeds, machine.Ignition) &&
				(w.ID == id || needed(s.r.Vehicle, w.ID, id))
		})
		if o.Undo != "" && !ground(o) && !waits && !needed(s.r.Vehicle, battery.ID, id) &&
			!slices.Contains(o.Leaves, machine.WheelsLoose) {
			s.fault(i, "the battery is connected with %s open", id)
		}
	}
	for _, later := range s.job.Steps[i:] {
		if later.Kind == visit.StepChange {
			s.fault(i, "the battery is connected before a change")
		}
		if a := s.dataOf(&later); later.Kind == visit.StepAfter && a.Needs == "" && a.Engine == "" && !a.Raised {
			s.fault(i, "the battery is connected before %q", later.Do)
		}
	}
}

func (s *simulator) through(i int, ids []string) {
	for _, id := range ids {
		if o := s.r.Vehicle.Opening(id); !s.open[id] {
			s.fault(i, "%s is shut", id)
		} else {
			s.through(i, o.Needs)
		}
	}
}

// safeChange wants what makes safe done before the first part comes off:
// battery and fuel pressure, wherever this sheet deals with them.
func (s *simulator) safeChange(i int) {
	for _, later := range s.job.Steps[i:] {
		if later.Kind != visit.StepOpen {
			continue
		}
		o := later.Opening
		wait := o.Engine == fleet.Cold && o.Undo == ""
		pressure := slices.Equal(o.Leaves, []machine.Undone{machine.FuelOpen})
		if wait || pressure || slices.Contains(o.Leaves, machine.BatteryOff) {
			s.fault(i, "a part is changed before %s", o.ID)
		}
	}
}

// emptied wants a part that holds coolant or oil changed while that is out, where
// the sheet lets it out (common practice: drain first, open the joints then).
func (s *simulator) emptied(i int, p *fleet.Position) {
	k := s.r.Catalogue.Kind(p.Kind)
	for _, u := range []machine.Undone{machine.CoolantOut, machine.OilOut} {
		if !slices.Contains(k.Emptied, u) && !slices.Contains(k.Leaves, u) {
			continue
		}
		for _, st := range s.job.Steps {
			if st.Kind == visit.StepOpen && slices.Contains(st.Opening.Leaves, u) && !s.open[st.Opening.ID] {
				s.fault(i, "%s is changed without %s, which is opened on this sheet", p.ID, st.Opening.ID)
			}
		}
	}
}

func (s *simulator) looks(i int, st *visit.Step) {
	turning := false
	for _, c := range st.Checks {
		turning = turning || c.Engine == fleet.Running || c.Needs == machine.Cranking || c.Needs == machine.Ignition
	}
	for _, p := range st.Looks {
		if !turning {
			s.through(i, p.Seen)
		}
		s.count(p)
		if turning && slices.ContainsFunc(st.Checks, func(c *catalogue.Check) bool {
			return c.Sense == "look" || c.Sense == "measure"
		}) &&
			behindTiming(s.r.Vehicle, p) && len(st.Looks) == 1 {
			s.fault(i, "%s is looked at running behind its cover", p.ID)
		}
	}
	if turning {
		s.runs(i, false)
		s.order(i, machine.Running)
		s.ran = true
		return
	}
	s.rest(i)
}

func behindTiming(v *fleet.Vehicle, p *fleet.Position) bool {
	return slices.ContainsFunc(v.Closure(p.Seen), func(id string) bool {
		return slices.Contains(v.Opening(id).Leaves, machine.TimingCoverOff)
	})
}

func (s *simulator) count(p *fleet.Position) {
	key := p.ID
	s.asked[key]++
}

// runs refuses to turn the engine on anything undone. Under stands it turns
// only for a test that exists for that and keeps everybody out from below
// (29 CFR 1910.244(a)(2)(iii), edition of 2011 read: a raised load is cribbed,
// blocked or otherwise secured at once; 29 CFR 1910.147(e)(1) and (2)(i), read in
// public reprints: before energy is restored the machine is operationally intact,
// loose items are gone and nobody is in the way; common practice for what that
// means of an engine: inlet closed, oil and coolant in, belt, fan and covers on).
func (s *simulator) runs(i int, raised bool) {
	for u, id := range s.undone() {
		if raised && slices.Contains([]machine.Undone{machine.Raised, machine.WheelsLoose}, u) {
			continue
		}
		s.fault(i, "the engine is turned with %s (%s)", u, id)
	}
}

func (s *simulator) after(i int, st *visit.Step) {
	a := s.dataOf(st)
	if a == nil {
		s.fault(i, "no kind asks for %q", st.Do)
		return
	}
	use := a.Needs
	if use == "" && a.Engine == fleet.Running {
		use = machine.Running
	}
	if a.Uncovered {
		s.rest(i)
		s.uncovered(i, st.Position)
	}
	for _, u := range machine.All() {
		if how := s.r.Catalogue.Undoing(u); how != nil && how.Do == st.Do {
			if s.left[u] == "" {
				s.fault(i, "%s is undone before anything left it", u)
			}
			delete(s.left, u)
			for _, later := range s.job.Steps[i+1:] {
				if u == machine.IdleToLearn && later.Use == machine.Running {
					s.fault(i, "the idle is taught before the run shows that all is well: %q", later.Text())
				}
			}
		}
	}
	switch use {
	case machine.ByHand:
		if s.undone()[machine.TimingCoverOff] == "" {
			s.fault(i, "marks are looked at behind a cover")
		}
		for _, later := range s.job.Steps[i:] {
			if later.Kind == visit.StepChange && behindTiming(s.r.Vehicle, later.Position) {
				s.fault(i, "%s is changed after the turning by hand", later.Position.ID)
			}
		}
	case machine.Ignition:
		if s.undone()[machine.BatteryOff] != "" {
			s.fault(i, "the ignition is wanted with the battery off")
		}
	case machine.Cranking, machine.Running, machine.InGear, machine.Driving, machine.Later:
		raised := a.Raised || a.Starts > 0 && s.runsRaised()
		s.runs(i, raised)
		s.warned = s.warned || strings.Contains(strings.Join(st.Cautions, " "), "Nobody under")
		if raised && !s.warned {
			s.fault(i, "nobody is told to keep out from under it")
		}
		s.ran = true
	}
	s.order(i, use)
	if use == machine.Stopped && !s.ran {
		s.fault(i, "it is looked at after a run, and has not been run")
	}
}

// runsRaised reports whether a test of a changed part runs the engine on stands: a
// first start is made there then.
func (s *simulator) runsRaised() bool {
	return slices.ContainsFunc(s.job.Tasks, func(t visit.Task) bool {
		return t.Do == fleet.DoReplace && slices.ContainsFunc(t.Judgement.Kind.After, func(a catalogue.After) bool {
			return a.Raised && a.Needs == machine.Running
		})
	})
}

// uncovered wants a belt looked at where it can be seen: on, pulled tight by what
// was let go for it, and nothing else of what hid it put back (common practice).
func (s *simulator) uncovered(i int, p *fleet.Position) {
	v, held := s.r.Vehicle, map[string]bool{}
	is := func(id string, u machine.Undone) bool { return slices.Contains(v.Opening(id).Leaves, u) }
	slack := map[string]bool{}
	for _, id := range p.Changed {
		slack[id] = is(id, machine.BeltLoose)
		held[id] = slack[id] || is(id, machine.BeltOff)
		for _, n := range v.Opening(id).Needs {
			if held[id] && is(n, machine.BeltLoose) {
				slack[n], held[n] = true, true
			}
		}
	}
	for k := range v.Openings {
		o := &v.Openings[k]
		for _, n := range o.Needs {
			held[o.ID] = held[o.ID] || slack[n] && is(o.ID, machine.BeltOff)
		}
	}
	for id := range s.open {
		if held[id] {
			s.fault(i, "%s is looked at with %s open", p.ID, id)
		}
	}
	for _, id := range v.Closure(slices.Concat(p.Seen, p.Changed)) {
		if !held[id] && !s.open[id] && !restsOn(v, id, held) {
			s.fault(i, "%s is looked at with %s shut over it", p.ID, id)
		}
	}
}

// restsOn reports whether an opening needs one of those that are held.
func restsOn(v *fleet.Vehicle, id string, held map[string]bool) bool {
	return slices.ContainsFunc(v.Opening(id).Needs, func(n string) bool { return held[n] || restsOn(v, n, held) })
}

// order holds the tests to their order: at rest before the starter, the pedal
// before anything moves, road and second looks last (49 CFR 570.55(b), read,
// holds the pedal ten seconds at 125 lbf with the vehicle standing; that this
// comes before the road is common practice, as is the rest).
func (s *simulator) order(i int, use machine.Use) {
	place := func(u machine.Use) int {
		for i, same := range [][]machine.Use{{"", machine.ByHand}, {machine.Ignition},
			{machine.Cranking, machine.Running},
			{machine.InGear}, {machine.Stopped}, {machine.Driving}, {machine.Later}} {
			if slices.Contains(same, u) {
				return i
			}
		}
		return -1
	}
	for _, before := range s.tests {
		if place(before) > place(use) {
			s.fault(i, "a test %q comes after one %q", use, before)
			break
		}
	}
	s.tests = append(s.tests, use)
}

// dangers are the dangers told in several wordings by sheets and catalogue.
var dangers = map[string]*regexp.Regexp{
	"hot coolant": regexp.MustCompile(
		`(?i)cooling system is under pressure|coolant[^.]* scalds|cap[^.]* (hot|until[^.]* cold)`),
	"fan":     regexp.MustCompile(`(?i)electric fans? `),
	"poison":  regexp.MustCompile(`(?i)coolant[^.]* poisonous`),
	"jack":    regexp.MustCompile(`(?i)only a jack holds|jack alone`),
	"battery": regexp.MustCompile(`(?i)negative (lead )?(off|first)`),
	"spark":   regexp.MustCompile(`(?i)\bsparks?\b`),
	"acid":    regexp.MustCompile(`(?i)\bacid\b`),
	"codes":   regexp.MustCompile(`(?i)\bcodes\b`),
	"key":     regexp.MustCompile(`(?i)\bkey out\b`),
	"fumes":   regexp.MustCompile(`(?i)exhaust gas|in the open air`),
	"belts":   regexp.MustCompile(`(?i)loose (sleeves|cloth)|(clear|plane) of [^.]*(belt|fan)`),
	"under":   regexp.MustCompile(`(?i)nobody under the vehicle|never under a vehicle`),
	"started": regexp.MustCompile(`(?i)brake (on|held)[^.]* (park|gear)|(park|gear)[^.]* brake (on|held)`),
	"jet":     regexp.MustCompile(`(?i)leak[^.]* with a hand`),
}

// cautions wants each caution of the data said in the section that needs it, at
// its step or before, and none of it twice; a section is a stretch with the
// engine at rest or turning.
func (s *simulator) cautions() {
	said, turning := map[string]int{}, false
	for i := range s.job.Steps {
		st := &s.job.Steps[i]
		now := s.turns(st)
		if now != turning {
			said, turning = map[string]int{}, now
		}
		for _, c := range parted(strings.Join(slices.Concat(st.Cautions, st.Never), " ")) {
			if said[c]++; said[c] > 1 {
				s.fault(i, "%q is said again", c)
			}
			for name, words := range dangers {
				if words.MatchString(c) {
					if said["danger "+name]++; said["danger "+name] > 1 {
						s.fault(i, "the danger %q is told again: %q", name, c)
					}
				}
			}
		}
		for _, c := range parted(strings.Join(s.wanted(st), " ")) {
			if said[c] == 0 {
				s.fault(i, "nothing says %q by then", c)
			}
		}
	}
}

// turns reports whether the engine turns during a step.
func (s *simulator) turns(st *visit.Step) bool {
	switch st.Kind {
	case visit.StepWarm:
		return true
	case visit.StepLook:
		return slices.ContainsFunc(st.Checks, func(c *catalogue.Check) bool { return c.Engine == fleet.Running })
	case visit.StepAfter:
		a := s.dataOf(st)
		return a != nil && (a.Needs == machine.Running || a.Needs == machine.InGear || a.Needs == "" &&
			a.Engine == fleet.Running)
	}
	return false
}

// wanted returns the cautions that sheet and catalogue have for a step.
func (s *simulator) wanted(st *visit.Step) []string {
	switch st.Kind {
	case visit.StepOpen:
		return st.Opening.Cautions
	case visit.StepChange, visit.StepPutRight:
		k := s.r.Judgement(st.Position.ID).Kind
		return slices.Concat(k.Cautions, st.Position.Cautions, k.Never)
	case visit.StepAfter:
		if a := s.dataOf(st); a != nil && a.Caution != "" {
			return []string{a.Caution}
		}
	}
	return nil
}

// relaid returns the belts that a sheet takes off and does not change: laid on again
// they are looked at as new ones are (common practice: one lies a groove over).
func (s *simulator) relaid() []*judge.Judgement {
	var out []*judge.Judgement
	for i := range s.r.Judgements {
		j := &s.r.Judgements[i]
		if j.Kind.Belt == "" {
			continue
		}
		off, changed := false, false
		for _, st := range s.job.Steps {
			off = off || st.Kind == visit.StepOpen && slices.Contains(j.Position.Changed, st.Opening.ID) &&
				slices.Contains(st.Opening.Leaves, machine.BeltOff)
			changed = changed || st.Kind == visit.StepChange && st.Position == j.Position
		}
		if off && !changed {
			out = append(out, j)
		}
	}
	return out
}

func (s *simulator) dataOf(st *visit.Step) *catalogue.After {
	for _, j := range s.relaid() {
		for k := range j.Kind.After {
			if a := &j.Kind.After[k]; (a.Sight || a.Uncovered) && a.Do == st.Do {
				return a
			}
		}
	}
	for _, t := range s.job.Tasks {
		for k := range t.Judgement.Kind.After {
			if a := &t.Judgement.Kind.After[k]; tested(&t) && a.Do == st.Do {
				return a
			}
		}
	}
	for _, u := range machine.All() {
		if how := s.r.Catalogue.Undoing(u); how != nil && how.Do == st.Do {
			return &catalogue.After{Do: how.Do, Needs: how.Needs, Raised: how.Raised, Caution: how.Caution}
		}
	}
	return nil
}

// complete wants every task done once, every test of a changed part made and
// every cause looked for before its part comes off.
func (s *simulator) complete() {
	at := map[string][]int{}
	for i, st := range s.job.Steps {
		switch st.Kind {
		case visit.StepChange:
			at["change:"+st.Position.ID] = append(at["change:"+st.Position.ID], i)
		case visit.StepPutRight:
			at["right:"+st.Position.ID] = append(at["right:"+st.Position.ID], i)
		case visit.StepFirst, visit.StepAfter:
			key := string(st.Kind) + st.Do
			if st.Position != nil {
				key += " " + st.Position.ID
			}
			at[key] = append(at[key], i)
		}
		asked := map[string]bool{}
		for _, c := range st.Checks {
			if st.Position != nil && asked[c.ID] {
				s.fault(i, "%s of %s is asked twice", c.ID, st.Position.ID)
			}
			asked[c.ID] = true
		}
	}
	last := len(s.job.Steps) - 1
	for _, j := range s.relaid() {
		for _, a := range j.Kind.After {
			key := string(visit.StepAfter) + a.Do
			if a.Uncovered {
				key += " " + j.Position.ID
			}
			if n := at[key]; (a.Sight || a.Uncovered) && len(n) != 1 {
				s.fault(last, "%q is done %d times of the %s that was laid on again", a.Do, len(n), j.Position.ID)
			}
		}
	}
	for _, t := range s.job.Tasks {
		p := t.Judgement.Position
		if tested(&t) {
			s.triedAfter(at, &t)
		}
		if t.Do == fleet.DoPutRight {
			if n := at["right:"+p.ID]; len(n) != 1 || len(at["change:"+p.ID]) > 0 {
				s.fault(last, "%s is put right %d times and changed %d", p.ID, len(n), len(at["change:"+p.ID]))
			}
			continue
		}
		if t.Do != fleet.DoReplace {
			s.lookedAt(p, t.Judgement.Kind)
			continue
		}
		change := at["change:"+p.ID]
		if len(change) != 1 {
			s.fault(last, "%s is changed %d times", p.ID, len(change))
			continue
		}
		for _, f := range t.Judgement.First {
			if n := at[string(visit.StepFirst)+f.Do]; !t.Again && (len(n) != 1 || n[0] > change[0]) {
				s.fault(change[0], "%q is not done before", f.Do)
			}
		}
	}
}

// tested reports whether the tests of a task's kind follow it: a change, and whatever
// is done to brakes (49 CFR 570.55(b), read, holds the pedal; common practice).
func tested(t *visit.Task) bool {
	return t.Do == fleet.DoReplace || t.Do == fleet.DoPutRight && t.Judgement.Kind.System == "brakes"
}

func (s *simulator) triedAfter(at map[string][]int, t *visit.Task) {
	for _, a := range t.Judgement.Kind.After {
		key := string(visit.StepAfter) + a.Do
		if a.Uncovered {
			key += " " + t.Judgement.Position.ID
		}
		if n := at[key]; len(n) != s.wantedTimes(&a) {
			s.fault(len(s.job.Steps)-1, "%q is done %d times", a.Do, len(n))
		}
	}
}

// wantedTimes is once, or never where all that asks for a look at it lies behind
// a timing cover.
func (s *simulator) wantedTimes(a *catalogue.After) int {
	for _, j := range s.relaid() {
		if a.Sight && slices.ContainsFunc(j.Kind.After, func(o catalogue.After) bool { return o.Do == a.Do }) {
			return 1
		}
	}
	for _, t := range s.job.Tasks {
		asks := slices.ContainsFunc(t.Judgement.Kind.After, func(o catalogue.After) bool { return o.Do == a.Do })
		if asks && tested(&t) && (!a.Sight || !behindTiming(s.r.Vehicle, t.Judgement.Position)) {
			return 1
		}
	}
	return 0
}

// lookedAt wants a position with anything to look at at rest to be looked at,
// at rest once and running once at most.
func (s *simulator) lookedAt(p *fleet.Position, k *catalogue.Kind) {
	rest := slices.ContainsFunc(k.Checks, func(c catalogue.Check) bool {
		return c.Engine != fleet.Running && c.Needs == "" && !c.BeltOff && !c.OnDemand
	})
	if n := s.asked[p.ID]; rest && n == 0 || n > 2 {
		s.fault(len(s.job.Steps)-1, "%s is looked at %d times", p.ID, n)
	}
}
