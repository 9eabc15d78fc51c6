package visit_test

import (
	"fmt"
	"slices"
	"strings"

	"undertray/internal/advise"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/internal/machine"
	"undertray/internal/visit"
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
	tests  []machine.Use
	asked  map[string]int
	faults []string
}

// simulate works a sheet through and returns what broke a law.
func simulate(r *advise.Report, job *visit.Job) []string {
	s := &simulator{r: r, job: job, open: map[string]bool{}, asked: map[string]int{}}
	for i := range job.Steps {
		s.step(i)
	}
	for id := range s.open {
		if o := r.Vehicle.Opening(id); o.Undo != "" {
			s.fault(len(job.Steps)-1, "%s stays open", id)
		}
	}
	s.complete()
	return s.faults
}

func (s *simulator) fault(i int, format string, args ...any) {
	s.faults = append(s.faults, fmt.Sprintf("step %d: ", i+1)+fmt.Sprintf(format, args...))
}

// undone returns what is undone now, and through which opening.
func (s *simulator) undone() map[machine.Undone]string {
	out := map[machine.Undone]string{}
	for id := range s.open {
		for _, u := range s.r.Vehicle.Opening(id).Leaves {
			out[u] = id
		}
	}
	return out
}

func (s *simulator) step(i int) {
	st := &s.job.Steps[i]
	switch st.Kind {
	case visit.StepWarm:
		s.runs(i, false)
		s.temp = fleet.Hot
		if i != 0 {
			s.fault(i, "the engine is warmed up after the work has begun")
		}
	case visit.StepOpen:
		s.opens(i, st.Opening)
	case visit.StepClose:
		s.closes(i, st.Opening)
	case visit.StepChange:
		s.rest(i)
		s.through(i, slices.Concat(st.Position.Seen, st.Position.Changed))
		s.safeChange(i)
	case visit.StepLook:
		s.looks(i, st)
	case visit.StepAfter:
		s.after(i, st)
	}
}

// rest refuses work on the machine once it has been run for tests: hands come
// near belts and fan no more (29 CFR 1910.147(c)(3): the machine is isolated
// from its energy while it is worked on).
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
	if o.Engine == fleet.Hot && s.temp != fleet.Hot {
		s.fault(i, "%s wants a warm engine", o.ID)
	}
	if o.Engine == fleet.Cold {
		s.temp = fleet.Cold // the step itself says that the engine is cold
	}
	if o.OnGround && s.undone()[machine.Raised] != "" {
		s.fault(i, "%s is done on the ground", o.ID)
	}
	if slices.Contains(o.Leaves, machine.BatteryOff) {
		for id := range s.open {
			if other := s.r.Vehicle.Opening(id); len(other.Leaves) > 0 && !ground(other) && !needed(s.r.Vehicle, o.ID, id) {
				s.fault(i, "the battery is disconnected after %s", id)
			}
		}
	}
	s.open[o.ID] = true
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
	for id := range s.open {
		if id != o.ID && needed(s.r.Vehicle, id, o.ID) && s.r.Vehicle.Opening(id).Undo != "" {
			s.fault(i, "%s is put back before %s", o.ID, id)
		}
	}
	delete(s.open, o.ID)
	if o.OnGround && s.undone()[machine.Raised] != "" {
		s.fault(i, "%s is undone on the ground", o.ID)
	}
	if slices.Contains(o.UndoNeeds, machine.Ignition) && s.undone()[machine.BatteryOff] != "" {
		s.fault(i, "the ignition is wanted with the battery off")
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
		if turning && slices.ContainsFunc(st.Checks, func(c *catalogue.Check) bool { return c.Sense == "look" || c.Sense == "measure" }) &&
			behindTiming(s.r.Vehicle, p) && len(st.Looks) == 1 {
			s.fault(i, "%s is looked at running behind its cover", p.ID)
		}
	}
	if turning {
		s.runs(i, false)
		s.order(i, machine.Running)
		s.ran = true
		s.onceSaid(i)
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
// (29 CFR 1910.244(a)(2) for stands; common practice for the rest: open inlet,
// no oil or coolant, loose belt, fan and covers off).
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
		s.runs(i, a.Raised)
		if a.Raised && !strings.Contains(strings.Join(st.Cautions, " "), "Nobody under") {
			s.fault(i, "nobody is told to keep out from under it")
		}
		s.ran = true
	}
	s.order(i, use)
	if use == machine.Running || use == machine.InGear {
		s.onceSaid(i)
	}
}

// order holds the tests to their order: at rest before the starter, the pedal
// before anything moves, road and second looks last (49 CFR 570.5 tries the
// brakes standing before it tries them moving; common practice for the rest).
func (s *simulator) order(i int, use machine.Use) {
	place := func(u machine.Use) int {
		for i, same := range [][]machine.Use{{"", machine.ByHand}, {machine.Ignition}, {machine.Cranking, machine.Running},
			{machine.InGear}, {machine.Driving}, {machine.Later}} {
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

// onceSaid wants a caution to stand once in the section with the engine running.
func (s *simulator) onceSaid(i int) {
	if i == 0 || s.job.Steps[i-1].Engine != fleet.Running {
		return
	}
	for _, c := range s.job.Steps[i].Cautions {
		if slices.Contains(s.job.Steps[i-1].Cautions, c) {
			s.fault(i, "the caution %q is said again", c)
		}
	}
}

func (s *simulator) dataOf(st *visit.Step) *catalogue.After {
	for _, t := range s.job.Tasks {
		for k := range t.Judgement.Kind.After {
			if a := &t.Judgement.Kind.After[k]; t.Do == fleet.DoReplace && a.Do == st.Do {
				return a
			}
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
		case visit.StepFirst, visit.StepAfter:
			at[string(st.Kind)+st.Do] = append(at[string(st.Kind)+st.Do], i)
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
	for _, t := range s.job.Tasks {
		p := t.Judgement.Position
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
		for _, a := range t.Judgement.Kind.After {
			if n := at[string(visit.StepAfter)+a.Do]; len(n) != 1 {
				s.fault(last, "%q is done %d times", a.Do, len(n))
			}
		}
	}
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
