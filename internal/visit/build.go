package visit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/pace"
	"undertray.example/undertray/sequence"
)

// What changes within a visit cost, in minutes: going under the vehicle or
// coming out, starting or stopping the engine, warming it up and waiting until
// it is cold (common practice; the wait is 1 to 3 hours in truth). Only the
// order of steps hangs on these, and only through their proportions.
var visitChanges = slices.Concat(
	sequence.BothWays("side", string(fleet.Above), string(fleet.Below), 3),
	sequence.BothWays("engine", "off", string(fleet.Running), 1),
	[]sequence.Change{
		{Attribute: "heat", From: string(fleet.Cold), To: string(fleet.Hot), Cost: 15},
		{Attribute: "heat", From: string(fleet.Hot), To: string(fleet.Cold), Cost: 60},
	},
)

// What work takes whose sheet does not say (common practice).
const (
	LookMinutes     = pace.Look
	PartMinutes     = pace.Part
	PutRightMinutes = pace.PutRight
)

// builder turns the tasks of a job into ordered steps.
type builder struct {
	r     *advise.Report
	job   *Job
	open  []string // openings needed, each after those it needs
	steps []sequence.Step
	body  map[string]*Step    // by step id
	uses  map[string][]string // by opening: ids of the steps done while it is open
	ranks map[string]int      // walking order by position
	cold  bool                // the engine is not started before the work
	stays bool                // nor after it
}

// LayOut turns the tasks of a job into its ordered steps and lists.
func LayOut(r *advise.Report, job *Job) error {
	job.Left = r.Left()
	job.Stands, job.Undone = r.Forbidden()
	if err := newBuilder(r, job).build(); err != nil {
		return err
	}
	job.mark(r)
	job.report = r
	return nil
}

func newBuilder(r *advise.Report, job *Job) *builder {
	b := &builder{r: r, job: job, body: map[string]*Step{}, uses: map[string][]string{}, ranks: map[string]int{}}
	b.cold, b.stays = b.barred()
	for i, j := range r.Walk() {
		b.ranks[j.Position.ID] = i + 1
	}
	return b
}

// build works in two passes: the first finds in which order it is cheapest to
// open, look and change; the second adds what closes everything again in
// reverse, and what is done once all is closed, and orders the whole.
func (b *builder) build() error {
	b.gather()
	b.orderByState()
	b.beforeItHangs()
	first, err := b.plan()
	if err != nil {
		return err
	}
	b.fixOpenings(first)
	b.addClosings()
	b.afterItHung()
	b.addAfter()
	whole, err := b.plan()
	if err != nil {
		return err
	}
	b.number(whole)
	b.job.Minutes = b.minutes()
	b.lists()
	return nil
}

// Measure fills in what LayOut would but for the order of steps: what is looked
// at while it is open, minutes, parts and what is used up. It returns
// what is opened.
func Measure(r *advise.Report, job *Job) []*fleet.Opening {
	b := newBuilder(r, job)
	b.gather()
	b.addClosings()
	b.addAfter()
	job.Minutes = b.minutes()
	b.lists()
	out := make([]*fleet.Opening, len(b.open))
	for i, id := range b.open {
		out[i] = r.Vehicle.Opening(id)
	}
	return out
}

// gather makes the steps of the tasks, and of all that is seen on the way.
func (b *builder) gather() {
	for i := range b.job.Tasks {
		b.job.Tasks[i].Do = doOf(b.job.Tasks[i])
	}
	var need []string
	for _, t := range b.job.Tasks {
		need = append(need, b.openingsOf(t)...)
	}
	b.open = b.r.Vehicle.Closure(append(need, b.forBattery(need)...))
	b.addOpenings()
	b.addLooksWhileOpen()
	for _, t := range b.job.Tasks {
		switch t.Do {
		case fleet.DoReplace:
			b.addChange(t)
		case fleet.DoPutRight:
			b.addPutRight(t)
		default:
			b.addLook(t)
		}
	}
	b.addMeanwhile()
	b.addByHand()
	b.addUncovered()
}

// minutes is the work of the steps and of the round that goes with them.
func (b *builder) minutes() float64 {
	sum := 0.0
	for i := range b.steps {
		if js := b.body[b.steps[i].ID]; js.Opening == nil || js.Kind != StepOpen || !Waiting(js.Opening) {
			sum += js.Minutes
		}
	}
	for _, p := range b.job.RoundSees {
		if !slices.ContainsFunc(b.job.Tasks, func(t Task) bool {
			return t.Do != fleet.DoReplace && t.Judgement.Position == p
		}) {
			sum += LookMinutes
		}
	}
	for _, o := range b.job.RoundOpens {
		if !slices.Contains(b.open, o.ID) {
			sum += OpeningMinutes(o)
		}
	}
	return sum
}

// Waiting reports whether an opening is mere waiting: the engine cooling down.
func Waiting(o *fleet.Opening) bool { return o.Waits() }

// OpeningMinutes is the work of an opening: to open it and to close it again.
func OpeningMinutes(o *fleet.Opening) float64 {
	if Waiting(o) {
		return 0
	}
	return o.Both()
}

func (b *builder) openingsOf(t Task) []string {
	if t.Do == fleet.DoReplace {
		return b.r.Vehicle.Closure(slices.Concat(t.Judgement.Position.Seen, t.Judgement.Position.Changed))
	}
	return b.r.Vehicle.Closure(t.Judgement.Position.Seen)
}

// add takes in a step that is done while the given openings are open.
func (b *builder) add(id string, rank int, js *Step, while, after []string) {
	step := sequence.Step{ID: id, Rank: rank, Needs: sequence.Setting{"engine": "off"}}
	if js.From != "" {
		step.Needs["side"] = string(js.From)
	}
	switch js.Engine {
	case fleet.Running:
		step.Needs["engine"], step.Needs["heat"] = string(fleet.Running), string(fleet.Hot)
	case fleet.Cold, fleet.Hot:
		step.Needs["heat"] = string(js.Engine)
	}
	step.After = slices.Clone(after)
	for _, o := range while {
		step.After = append(step.After, openID(o))
		b.uses[o] = append(b.uses[o], id)
	}
	b.steps = append(b.steps, step)
	b.body[id] = js
}

func openID(opening string) string  { return "open:" + opening }
func closeID(opening string) string { return "close:" + opening }

func (b *builder) addOpenings() {
	for _, id := range b.open {
		o := b.r.Vehicle.Opening(id)
		var needs []string
		for _, n := range o.Needs {
			needs = append(needs, openID(n))
		}
		if o.Raises {
			needs = append(needs, b.onGround(openID)...)
		}
		if leaves(o, machine.WheelsOff) { // nothing is jacked up any more once a wheel is off
			needs = append(needs, b.raising(openID)...)
		}
		if leaves(o, machine.BrakesOpen) { // the fluid is not let out before hands can follow it
			needs = append(needs, b.wheelsOff(openID)...)
		}
		js := &Step{Kind: StepOpen, Cautions: o.Cautions, Do: o.Name, From: o.From, Engine: o.Engine,
			Minutes: o.Minutes, Opening: o}
		if b.cold && o.Engine == fleet.Hot {
			js.Engine, js.Cautions = "", slices.Concat(barredCautions(b.r), o.Cautions)
		}
		b.add(openID(id), 0, js, nil, needs)
	}
}

// onGround returns the ids of the steps for openings made with the wheels on
// the ground.
func (b *builder) onGround(id func(string) string) []string {
	var out []string
	for _, o := range b.open {
		if b.r.Vehicle.Opening(o).OnGround {
			out = append(out, id(o))
		}
	}
	return out
}

// wheelsOff returns the ids of the steps for openings that take wheels off.
func (b *builder) wheelsOff(id func(string) string) []string {
	var out []string
	for _, o := range b.open {
		if leaves(b.r.Vehicle.Opening(o), machine.WheelsOff) {
			out = append(out, id(o))
		}
	}
	return out
}

// raising returns the ids of the steps for openings that raise the vehicle.
func (b *builder) raising(id func(string) string) []string {
	var out []string
	for _, o := range b.open {
		if b.r.Vehicle.Opening(o).Raises {
			out = append(out, id(o))
		}
	}
	return out
}

// fixOpenings keeps the openings in the order of a plan.
func (b *builder) fixOpenings(plan sequence.Plan) {
	var order []string
	for _, i := range plan.Order {
		if o := b.body[b.steps[i].ID].Opening; o != nil {
			order = append(order, o.ID)
		}
	}
	b.open = order
	for k := range b.steps {
		o := b.body[b.steps[k].ID].Opening
		if o == nil {
			continue
		}
		for _, before := range order[:slices.Index(order, o.ID)] {
			if l := b.r.Vehicle.Opening(before); sameSide(o, l) && !l.OnGround {
				b.steps[k].After = append(b.steps[k].After, openID(before))
			}
		}
	}
}

// sameSide reports whether two openings are, or may be, reached from the same
// side.
func sameSide(a, b *fleet.Opening) bool { return a.From == b.From || a.From == "" || b.From == "" }

// addLooksWhileOpen adds what these openings show and nobody has seen for as
// long as its inspection interval.
func (b *builder) addLooksWhileOpen() {
	for _, j := range b.r.Walk() {
		p := j.Position
		due := j.Looked.Never || j.Looked.Stale
		if len(p.Seen) == 0 || !due || !fleet.Subset(b.r.Vehicle.Closure(p.Seen), b.open) {
			continue
		}
		if slices.ContainsFunc(b.job.Tasks, func(t Task) bool { return t.Judgement.Position == p }) {
			continue
		}
		b.job.Tasks = append(b.job.Tasks, Task{Judgement: j, Do: fleet.DoInspect, Reason: Reason{Code: WhileOpen}})
	}
}

func (b *builder) addChange(t Task) {
	j := t.Judgement
	p := j.Position
	while := b.openingsOf(t)
	if how := j.Kind.Between; how != nil && how.Before {
		while = b.beforeLetting(j, while)
	}
	var after []string
	for _, f := range b.firsts(t) {
		id := firstID(f)
		if b.body[id] == nil {
			seen := while
			if !f.Open {
				seen = b.r.Vehicle.Closure(p.Seen)
			}
			b.add(id, -1, &Step{Kind: StepFirst, Do: f.Do, From: p.From}, seen, nil)
		}
		b.body[id].Of = append(b.body[id].Of, p)
		after = append(after, id)
	}
	after = append(after, b.beforeBelt(p)...)
	js := &Step{Kind: StepChange, From: p.From, Minutes: cmp.Or(p.Minutes, PartMinutes), Position: p,
		Cautions: slices.Concat(j.Kind.Cautions, p.Cautions), Never: j.Kind.Never,
		Torques: torques(p.Name, p.Fasteners)}
	for _, id := range b.openingsOf(t) {
		o := b.r.Vehicle.Opening(id)
		if how := j.Kind.Between; how != nil && leaves(o, j.Kind.Leaves...) {
			js.Between = how
			if !how.Before { // the drain is closed where it was opened
				js.From = o.From
			}
			break
		}
	}
	b.add("change:"+p.ID, b.ranks[p.ID], js, slices.Concat(while, b.emptied(t, while)), after)
}

// emptied returns the openings of the sheet, besides those made for a task, that
// take out what its part holds: a small hose is changed once the coolant is out
// where it is drained anyway, and alone is changed cold above the level (common
// practice).
func (b *builder) emptied(t Task, while []string) []string {
	var what []machine.Undone
	for _, u := range t.Judgement.Kind.Leaves {
		if u == machine.CoolantOut || u == machine.OilOut {
			what = append(what, u)
		}
	}
	what = append(what, t.Judgement.Kind.Emptied...)
	return slices.DeleteFunc(slices.Clone(b.open), func(id string) bool {
		return slices.Contains(while, id) || !leaves(b.r.Vehicle.Opening(id), what...)
	})
}

// doOf is what is done about a task: a change that was asked for only by what a
// part's verdict asks is none where something else puts the part right.
func doOf(t Task) string {
	asked := t.Reason.Code == Verdict || t.Reason.Code == Planned
	if t.Do == fleet.DoReplace && asked && !t.Again && t.Judgement.Remedy() != fleet.Change {
		return fleet.DoPutRight
	}
	return t.Do
}

// addPutRight puts a part right where it is: what it takes is not opened for a
// change, and nothing is bought.
func (b *builder) addPutRight(t Task) {
	j, p := t.Judgement, t.Judgement.Position
	seen := b.r.Vehicle.Closure(p.Seen)
	var after []string
	for _, f := range j.First {
		id := firstID(f)
		if b.body[id] == nil {
			b.add(id, -1, &Step{Kind: StepFirst, Do: f.Do, From: p.From}, seen, nil)
		}
		b.body[id].Of = append(b.body[id].Of, p)
		after = append(after, id)
	}
	b.add("right:"+p.ID, b.ranks[p.ID], &Step{Kind: StepPutRight, Action: cmp.Or(t.Action, j.Remedy()), From: p.From,
		Minutes: PutRightMinutes, Position: p,
		Cautions: slices.Concat(j.Kind.Cautions, p.Cautions), Never: j.Kind.Never}, seen, after)
}

// beforeBelt returns the changes that come before the change of a belt: those
// of the pulleys and tensioners on its run, which are changed while it is off.
func (b *builder) beforeBelt(p *fleet.Position) []string {
	run := b.r.Vehicle.RunOf(p.ID)
	if run == nil || run.Belt != p.ID {
		return nil
	}
	var out []string
	for _, t := range b.job.Tasks {
		if id := t.Judgement.Position.ID; t.Do == fleet.DoReplace && id != p.ID && run.Has(id) {
			out = append(out, "change:"+id)
		}
	}
	return out
}

// addLook adds a look at a position. What is checked with the engine running
// waits until everything is closed; see addAfter.
func (b *builder) addLook(t Task) {
	p := t.Judgement.Position
	checks := b.checks(t, false)
	if len(checks) == 0 {
		return
	}
	js := &Step{Kind: StepLook, Looks: []*fleet.Position{p}, From: p.From, Minutes: LookMinutes,
		Position: p, Checks: checks}
	b.add("look:"+p.ID, b.ranks[p.ID], js, b.r.Vehicle.Closure(p.Seen), nil)
}

// checks returns what to check at a task's position: on watch, the checks
// that put it there and those that need it open; otherwise the ordinary ones.
func (b *builder) checks(t Task, running bool) []*catalogue.Check {
	var out []*catalogue.Check
	opened := fleet.Subset(b.r.Vehicle.Closure(t.Judgement.Position.Changed), b.open) &&
		len(t.Judgement.Position.Changed) > 0
	for i := range t.Judgement.Kind.Checks {
		c := &t.Judgement.Kind.Checks[i]
		if whole(c) != running || hidden(b.r.Vehicle, t.Judgement.Position, c) || (c.BeltOff || c.OnDemand) && !opened {
			continue
		}
		if running && t.Judgement.Verdict != fleet.Watch {
			continue
		}
		out = append(out, c)
	}
	return out
}

func (b *builder) plan() (sequence.Plan, error) {
	plan, err := sequence.Order(b.steps,
		sequence.Options{Start: sequence.Setting{"side": string(fleet.Above), "engine": "off"},
			Changes: visitChanges})
	if err != nil {
		return plan, fmt.Errorf("ordering the steps of %s: %w", b.r.Vehicle.ID, err)
	}
	return plan, nil
}

// number writes the steps out in a plan's order.
func (b *builder) number(plan sequence.Plan) {
	var said section
	b.foretell(plan)
	for _, i := range plan.Order {
		// an opening with nothing to undo has no closing
		if js := b.body[b.steps[i].ID]; js.Kind != StepClose || js.Do != "" {
			js.Keys, js.after = []string{b.steps[i].ID}, b.shown(b.steps[i].After)
			said.say(js)
			b.append(*js)
		}
	}
	for _, c := range plan.Changes {
		if c.Attribute == "side" {
			b.job.Changes++
		}
	}
	b.job.Cheapest = plan.Proven
}

// shown puts in the place of closings that undo nothing what they wait for.
func (b *builder) shown(ids []string) []string {
	var out []string
	for _, id := range ids {
		if js := b.body[id]; js.Kind != StepClose || js.Do != "" {
			out = append(out, id)
			continue
		}
		i := slices.IndexFunc(b.steps, func(s sequence.Step) bool { return s.ID == id })
		out = append(out, b.shown(b.steps[i].After)...)
	}
	return out
}

// section is a stretch of a sheet with the engine at rest or turning: a caution
// stands where it first holds and not again before the next section.
type section struct {
	turns bool
	said  map[string]bool // by sentence
}

// say leaves of a step's cautions those that its section has not said yet.
func (c *section) say(js *Step) {
	if turns := js.Use.Turns(); c.said == nil || turns != c.turns {
		c.turns, c.said = turns, map[string]bool{}
	}
	js.Cautions, js.Never = fresh(js.Cautions, c.said), fresh(js.Never, c.said)
}

// append numbers a step; looks that follow each other under the same
// conditions become one step.
func (b *builder) append(js Step) {
	if n := len(b.job.Steps); n > 0 && js.Kind == StepLook {
		last := &b.job.Steps[n-1]
		if last.Kind == StepLook && last.From == js.From && last.Engine == js.Engine {
			last.Looks = append(last.Looks, js.Looks...)
			last.Keys, last.after = append(last.Keys, js.Keys...), append(slices.Clone(last.after), js.after...)
			last.Minutes += js.Minutes
			last.Checks = append(last.Checks, js.Checks...)
			last.Position = nil
			return
		}
	}
	js.N = len(b.job.Steps) + 1
	b.job.Steps = append(b.job.Steps, js)
}

// buy lists a part. Where what is used up has it already, at a cost that the
// part does not say, it is bought once.
func (b *builder) buy(t *Task) {
	j := t.Judgement
	l := PartLine{Position: j.Position, Spec: PartOf(j), Reason: t.Reason}
	if !t.Again {
		l.Bought = j.Place.Bought
	}
	if i := Refill(b.job.Consumables, j); i >= 0 {
		if l.Spec.Cost == nil {
			l.Spec.Cost = b.job.Consumables[i].Cost
		}
		b.job.Consumables = slices.Delete(b.job.Consumables, i, i+1)
	}
	b.job.Parts = append(b.job.Parts, l)
}

// PartOf is the part that a position takes, as it was bought or else as the sheet
// says, by the name of its kind where that gives it none.
func PartOf(j *judge.Judgement) fleet.PartSpec {
	spec := j.Position.Part
	spec.Name = cmp.Or(spec.Name, j.Kind.Name)
	if e := j.Place.Bought; e != nil {
		spec = e.Bought.Spec(j.Position.ID, spec)
	}
	return spec
}

// Refill returns which of some consumables is the very part, of which only the
// consumable has a cost on the sheet: the coolant that is drained to reach a hose and is
// due itself. It returns -1 where none is.
func Refill(cs []fleet.Consumable, j *judge.Judgement) int {
	if j.Position.Part.Cost != nil {
		return -1
	}
	return slices.IndexFunc(cs, func(c fleet.Consumable) bool {
		return c.Cost != nil && strings.EqualFold(c.What, PartOf(j).Name)
	})
}

// lists draws up torques, tools, parts and consumables.
func (b *builder) lists() {
	var tools []string
	for _, id := range b.open {
		o := b.r.Vehicle.Opening(id)
		tools = append(tools, o.Tools...)
		b.job.Consumables = append(b.job.Consumables, o.Consumables...)
	}
	for _, t := range b.job.Tasks {
		p := t.Judgement.Position
		if t.Do != fleet.DoReplace {
			continue
		}
		tools = append(tools, p.Tools...)
		b.job.Consumables = append(b.job.Consumables, p.Consumables...)
		b.buy(&t)
		for _, c := range b.r.Companions(t.Judgement) {
			if len(c.Positions) == 0 && !slices.Contains(b.job.Bear, c.Say) {
				b.job.Bear = append(b.job.Bear, c.Say)
			}
		}
	}
	b.job.Sets = SetsOf(b.r, b.job.changed())
	b.job.buySets()
	for _, s := range b.job.Steps {
		b.job.Torques = append(b.job.Torques, s.Torques...)
	}
	slices.Sort(tools)
	b.job.Tools = slices.Compact(tools)
}

func torques(where string, fs []fleet.Fastener) []Torque {
	var out []Torque
	for _, f := range fs {
		if f.Torque != nil {
			out = append(out, Torque{Where: where, Fastener: f})
		}
	}
	return out
}
