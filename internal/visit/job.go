package visit

import (
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/pace"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/undone"
)

// Job is the sheet of one visit: what to do in which order, with what.
type Job struct {
	Vehicle *fleet.Vehicle
	On      civil.Date
	Tasks   []Task
	Steps   []Step
	// Minutes is the work: the steps, but for waiting until the engine is cold,
	// and the round that goes with them.
	Minutes float64
	Changes int // how often one goes from above to below or back
	// Cheapest reports that no order of these steps has fewer changes.
	Cheapest bool

	Torques     []Torque
	Tools       []string
	Parts       []PartLine
	Sets        []SetOf // what of it is sold and told as one
	Consumables []fleet.Consumable
	Bear        []string           // what else the trade does along with these parts
	Left        []*judge.Judgement // what the owner leaves as it is
	Stands      machine.Use        // what work left half done forbids, and Undone what that is
	Undone      []machine.Undone
	Work        *undone.Work // that is in hand by this sheet; nil: it was not begun
	Elsewhere   []Task       // for a licensed workshop: not to be opened at home
	// RoundSees and RoundOpens are what the round looks at, and what it is made
	// with open, that goes with a visit of the plan; empty without one.
	RoundSees  []*fleet.Position
	RoundOpens []*fleet.Opening

	report *advise.Report // for Exposed; nil before it is laid out
}

// Task is one position to change or to look at, and why.
type Task struct {
	Judgement *judge.Judgement
	Do        string // fleet.DoReplace, fleet.DoInspect or fleet.DoPutRight
	Reason    Reason

	Again bool // a visit before this one has changed the part

	Action fleet.Action // of putting right; "" for what the verdict asks

	set    *SetOf // that it stands for, among Lines
	others []Task // of that set
}

// Verdict is the verdict on the part when its turn comes, as Task's.
func (t *Task) Verdict() fleet.Verdict { return VerdictThen(t.Judgement, t.Again) }

// StepKind sorts the steps of a job.
type StepKind string

// The kinds of steps.
const (
	StepWarm     StepKind = "warm up"
	StepFirst    StepKind = "put right first"
	StepPutRight StepKind = "put right"
	StepOpen     StepKind = "open"
	StepLook     StepKind = "look"
	StepChange   StepKind = "change"
	StepClose    StepKind = "close"
	StepAfter    StepKind = "afterwards"
)

// Step is one numbered step. What Before returns is read before it.
type Step struct {
	N    int
	Keys []string // that name it whatever its number: one, or one for each of Looks
	Done bool     // it is ticked, or what is open says so

	Kind     StepKind
	Cautions []string // of the sheet and the catalogue
	Never    []string // what must not be done, as the catalogue puts it
	// Do is what the sheet or the catalogue says to do; "" for a change of
	// Position and a look at Looks.
	Do string
	// Between is what a change is of what other steps take out and put in; nil for
	// any other.
	Between  *catalogue.Between
	Looks    []*fleet.Position
	Of       []*fleet.Position // the parts that ask for it, where it says so
	From     fleet.Side        // "" where it does not matter
	Engine   fleet.EngineState
	Use      machine.Use // what it does with the machine; "" for work at rest
	Minutes  float64
	Own      *pace.Own    // what Minutes rest on where they are the owner's; nil: the sheet's
	Action   fleet.Action // of putting right
	Opening  *fleet.Opening
	Position *fleet.Position
	Torques  []Torque
	Checks   []*catalogue.Check // for a look
	Raised   bool               // the vehicle stays on its stands for it
	after    []string           // keys of the steps that come before it
}

// Torque is a line of the torque table.
type Torque struct {
	Where string
	fleet.Fastener
}

// PartLine is a line of the list of parts.
type PartLine struct {
	Position *fleet.Position
	Spec     fleet.PartSpec
	Reason   Reason
	Bought   *fleet.Entry // where it was bought already and waits; nil: it is to be bought
	Of       []PartLine   // what is bought as one under Spec's name and cost; none for a part by itself
}

// JobOptions chooses what a job deals with.
type JobOptions struct {
	Positions []string // what to change; what is due stands in the plan
	// Alone leaves out what the trade changes along with those parts.
	Alone bool
}

// NewJob lays out a visit for the positions named. It returns a *fleet.Error of kind NotFound where a
// position is unknown or holds nothing.
func NewJob(r *advise.Report, opt JobOptions) (*Job, error) {
	tasks, err := tasks(r, opt)
	if err != nil {
		return nil, err
	}
	job := &Job{Vehicle: r.Vehicle, On: r.On}
	for _, t := range tasks {
		if t.Do == fleet.DoReplace && t.Judgement.Position.LookOnly {
			job.Elsewhere = append(job.Elsewhere, t)
			continue
		}
		job.Tasks = append(job.Tasks, t)
	}
	if err := LayOut(r, job); err != nil {
		return nil, err
	}
	return job, nil
}

func tasks(r *advise.Report, opt JobOptions) ([]Task, error) {
	var out []Task
	for _, id := range say.Unique(opt.Positions) {
		j, err := r.Find(id)
		if err != nil {
			return nil, err
		}
		out = append(out, Task{Judgement: j, Do: fleet.DoReplace, Reason: Reason{Code: Chosen}})
	}
	if !opt.Alone {
		out = addCompanions(r, out)
	}
	return out, nil
}

// addCompanions adds what is changed or looked at along with the tasks.
func addCompanions(r *advise.Report, tasks []Task) []Task {
	has := func(p *fleet.Position) int {
		return slices.IndexFunc(tasks, func(t Task) bool { return t.Judgement.Position == p })
	}
	for _, t := range slices.Clone(tasks) {
		if t.Do != fleet.DoReplace {
			continue
		}
		for _, c := range r.Companions(t.Judgement) {
			for _, p := range c.Positions {
				do := fleet.DoReplace
				if c.Inspect {
					do = fleet.DoInspect
				}
				why := Reason{Code: Along, With: t.Judgement.Position}
				switch i := has(p); {
				case i < 0:
					tasks = append(tasks, Task{Judgement: r.Judgement(p.ID), Do: do, Reason: why})
				case do == fleet.DoReplace && tasks[i].Do == fleet.DoInspect:
					tasks[i].Do, tasks[i].Reason = do, why
				}
			}
		}
	}
	return tasks
}

func VerdictThen(j *judge.Judgement, again bool) fleet.Verdict {
	switch {
	case j == nil:
		return fleet.Unseen
	case again:
		return fleet.Keep
	}
	return j.Verdict
}
