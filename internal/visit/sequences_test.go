package visit_test

import (
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
)

// stage is one stage of a published sequence: the steps of a sheet that belong
// to it.
type stage struct {
	name string
	is   func(*visit.Step) bool
}

func anyOf(is ...func(*visit.Step) bool) func(*visit.Step) bool {
	return func(s *visit.Step) bool {
		return slices.ContainsFunc(is, func(f func(*visit.Step) bool) bool { return f(s) })
	}
}

// cooling is the wait until the engine is cold.
func cooling(s *visit.Step) bool {
	return s.Kind == visit.StepOpen && s.Opening.Engine == fleet.Cold && s.Opening.Undo == ""
}

// relieving lets the fuel pressure down.
func relieving(s *visit.Step) bool {
	return s.Kind == visit.StepOpen && slices.Equal(s.Opening.Leaves, []machine.Undone{machine.FuelOpen})
}

func use(uses ...machine.Use) func(*visit.Step) bool {
	return func(s *visit.Step) bool { return s.Kind == visit.StepAfter && slices.Contains(uses, s.Use) }
}

func changing(system string) func(*visit.Step) bool {
	return func(s *visit.Step) bool {
		return s.Kind == visit.StepChange && strings.HasPrefix(s.Position.Kind, system)
	}
}

// below is work from below, but for the raising itself.
func below(s *visit.Step) bool {
	work := slices.Contains([]visit.StepKind{visit.StepChange, visit.StepLook}, s.Kind)
	return work && s.From == fleet.Below
}

func starts(s *visit.Step) bool { return s.Kind != visit.StepWarm && s.Use.Turns() }

// Published sequences of safe work. Each names what it rests on and how far that
// was read; where a text speaks of workplaces, its order is taken and not its
// scope. "Common practice" stands where a stage is the trade's alone.
var sequences = []struct {
	source string
	stages []stage
}{
	{"29 CFR 1910.147(d)(2) to (6), read in public reprints: shut down; isolate; relieve what is stored; then the work",
		[]stage{
			{"shut down", kind(visit.StepWarm)},
			{"isolate", opening(machine.BatteryOff)},
			{"relieve", relieving},
			{"work", kind(visit.StepChange)},
		}},
	{"29 CFR 1910.147(d)(5)(i), read likewise, for heat: stored energy is relieved before the work (the wait for a " +
		"cold engine)", []stage{
		{"cold", cooling},
		{"work", kind(visit.StepChange)},
	}},
	{"29 CFR 1910.147(e)(1) and (2), read in public reprints, and Oregon OAR 437-007-0725 (10) and (11), read: " +
		"whole again, guards on, people clear; energy; start", []stage{
		{"work and covers", anyOf(kind(visit.StepChange), closing(machine.TimingCoverOff), closing(machine.FanOff),
			closing(machine.InletOpen))},
		{"energy", closing(machine.BatteryOff)},
		{"start", starts},
	}},
	{"30 CFR 56.14105, read: repairs with the power off and blocked against motion; motion only for what cannot be " +
		"tested without it", []stage{
		{"repair", anyOf(kind(visit.StepChange), kind(visit.StepPutRight), kind(visit.StepFirst))},
		{"test in motion", starts},
	}},
	{"HSE, Working under vehicles, read (stands, never jacks alone, wheels on the ground chocked), and 29 CFR " +
		"1910.244(a)(2)(iii), edition of 2011 read (secured at once when raised); wheel nuts on the ground: common " +
		"practice", []stage{
		{"on the ground", opening(machine.WheelsLoose)},
		{"raised and on stands", opening(machine.Raised)},
		{"from below", below},
		{"lowered", closing(machine.Raised)},
		{"on the ground again", closing(machine.WheelsLoose)},
	}},
	{"US Army TM 5-4310-393-14, page 3-26, read (a new fuel line: start the engine and look for leaks), and 29 CFR " +
		"1910.147(d)(5) for the pressure; ignition before the start: common practice", []stage{
		{"no spark", opening(machine.BatteryOff)},
		{"pressure down", relieving},
		{"fuel work", changing("fuel-")},
		{"closed", closing(machine.FuelOpen)},
		{"pressure without starting", says("ignition on without starting")},
		{"started, joints looked at", says("Start, and look at every joint")},
	}},
	{"US Army TM 10-3930-633-12, brake section, read (raise, block, wheels off, and bleed whenever a line was off), " +
		"and 49 CFR 570.55(b), read (the pedal held, standing); walking pace before the road: common practice", []stage{
		{"raised", opening(machine.Raised)},
		{"wheels off", opening(machine.WheelsOff)},
		{"brake work", changing("brake-")},
		{"bled", closing(machine.BrakesOpen)},
		{"pedal held", says("Hold the pedal")},
		{"driven", use(machine.Driving)},
	}},
}

// astray returns the stages that a sheet has out of order, or "".
func astray(stages []stage, steps []visit.Step) string {
	before, end := "", -1
	for _, st := range stages {
		first, last := -1, -1
		for i := range steps {
			if st.is(&steps[i]) {
				if first < 0 {
					first = i
				}
				last = i
			}
		}
		if first < 0 {
			continue
		}
		if first < end {
			return before + " after " + st.name
		}
		before, end = st.name, last
	}
	return ""
}

// touched counts the stages that a sheet has.
func touched(stages []stage, steps []visit.Step) []stage {
	return slices.DeleteFunc(slices.Clone(stages), func(st stage) bool { return find(steps, st.is) < 0 })
}

// Every sheet keeps to each published sequence as far as it has its stages, and
// with two of its stages changed over it does not.
func TestSheetsKeepToPublishedSequences(t *testing.T) {
	seen := make([]map[string]bool, len(sequences))
	for i := range seen {
		seen[i] = map[string]bool{}
	}
	check := func(r *advise.Report, job *visit.Job) {
		for i, q := range sequences {
			if bad := astray(q.stages, job.Steps); bad != "" {
				t.Errorf("%s, %d tasks from the %s: %s (%s)", r.Vehicle.About, len(job.Tasks),
					job.Tasks[0].Judgement.Position.Name, bad, q.source)
			}
			has := touched(q.stages, job.Steps)
			for _, st := range has {
				seen[i][st.name] = true
			}
			for k := 0; k+1 < len(has); k++ {
				if spoilt := moved(has[k+1].is, has[k].is)(job.Steps); spoilt != nil && astray(q.stages, spoilt) == "" {
					t.Errorf("%s: %s before %s is not noticed (%s)", r.Vehicle.About, has[k+1].name,
						has[k].name, q.source)
				}
			}
		}
	}
	for _, r := range machines(t) {
		check(r, sheetOf(t, r, visit.JobOptions{Positions: demotest.Due(r)}))
		for i := range r.Judgements {
			if !r.Judgements[i].Position.LookOnly {
				check(r, sheetOf(t, r, visit.JobOptions{Positions: []string{r.Judgements[i].Position.ID}}))
			}
		}
	}
	for i, q := range sequences {
		for _, st := range q.stages {
			if !seen[i][st.name] {
				t.Errorf("no sheet has the stage %q of %s", st.name, q.source)
			}
		}
	}
}

// What is read before going under and before a start says what the Health and
// Safety Executive's pages on vehicle repair ask for: stands and never a jack
// alone, chocks, firm level ground; brake on and out of gear (read).
func TestCautionsSayWhatIsPublished(t *testing.T) {
	for _, r := range machines(t) {
		for i := range r.Judgements {
			if r.Judgements[i].Position.LookOnly {
				continue
			}
			job := sheetOf(t, r, visit.JobOptions{Positions: []string{r.Judgements[i].Position.ID}})
			said := ""
			for k := range job.Steps {
				st := &job.Steps[k]
				said += strings.ToLower(strings.Join(told.InEnglish(st.Before()), " "))
				if st.Kind == visit.StepOpen && st.Opening.Raises {
					for _, w := range []string{"stands", "chock", "jack", "level"} {
						if !strings.Contains(said, w) {
							t.Errorf("%s: raised for the %s, and nobody says %q", r.Vehicle.About,
								r.Judgements[i].Position.Name, w)
						}
					}
				}
				if starts(st) && (!strings.Contains(said, "brake on") || !strings.Contains(said, "out of gear")) {
					t.Errorf("%s: started for the %s without brake and gear", r.Vehicle.About,
						r.Judgements[i].Position.Name)
				}
			}
		}
	}
}
