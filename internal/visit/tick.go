package visit

import (
	"slices"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/undone"
)

// InHand lays out the sheet that is worked through on the vehicle, the newest
// where there are several. It returns nil where none is.
func InHand(r *advise.Report) (*Job, error) {
	all := undone.InHand(r.State)
	if len(all) == 0 {
		return nil, nil
	}
	return sheetFor(r, all[0], all[0].Begun.Work.Begins)
}

// SheetFor lays out a sheet that is not in hand yet for what it was laid out for
// when it was shown.
func SheetFor(r *advise.Report, begins []fleet.WorkTask) (*Job, error) {
	return sheetFor(r, nil, begins)
}

func sheetFor(r *advise.Report, w *undone.Work, begins []fleet.WorkTask) (*Job, error) {
	job := &Job{Vehicle: r.Vehicle, On: r.On, Work: w}
	for _, t := range begins {
		if j := r.Judgement(t.Position); j != nil {
			job.Tasks = append(job.Tasks, Task{Judgement: j, Do: t.Do, Action: t.Action, Reason: Reason{Code: Begun}})
		}
	}
	return job, LayOut(r, job)
}

// Begins is what a sheet deals with, as the entry that begins it says.
func (j *Job) Begins() []fleet.WorkTask {
	var out []fleet.WorkTask
	for i := range j.Tasks {
		t := &j.Tasks[i]
		if t.Reason.Code == WhileOpen {
			continue
		}
		w := fleet.WorkTask{Position: t.Judgement.Position.ID, Do: t.Do, Action: t.Action}
		if t.Do == fleet.DoPutRight && w.Action == "" {
			w.Action = t.Judgement.Remedy()
		}
		out = append(out, w)
	}
	return out
}

// mark ticks what the journal says is done: what was ticked, what is open, and
// what was open by this sheet and is closed again. Minutes that are the owner's own
// are marked as such.
func (j *Job) mark(r *advise.Report) {
	for i := range j.Steps {
		st := &j.Steps[i]
		st.Done = !slices.ContainsFunc(st.Keys, func(key string) bool { return !j.done(r.State, st, key) })
		if own, ok := r.Pace[st.Keys[0]]; ok {
			st.Own = &own
		}
	}
}

func (j *Job) done(s *fleet.State, st *Step, key string) bool {
	ticked := func(key string) bool { return j.Work != nil && j.Work.Ticks[key] != nil }
	switch {
	case st.Kind == StepOpen && st.Opening.Undo != "":
		return ticked(key) || s.IsOpen(st.Opening.ID)
	case st.Kind == StepClose:
		return !s.IsOpen(st.Opening.ID) && (ticked(key) || ticked(undone.OpenKey(st.Opening.ID)))
	}
	return ticked(key)
}

// EndsWith reports whether entries tick the last steps of a sheet.
func (j *Job) EndsWith(entries []*fleet.Entry) bool {
	now := map[string]bool{}
	for _, e := range entries {
		if e.Work != nil && e.Work.Step != "" && !e.Work.Back {
			now[e.Work.Step] = true
		}
	}
	return len(now) > 0 && !slices.ContainsFunc(j.Steps, func(s Step) bool {
		return !s.Done && slices.ContainsFunc(s.Keys, func(key string) bool { return !now[key] })
	})
}

// Progress is how many steps of the sheet are ticked, and the first that is not;
// nil where all are.
func (j *Job) Progress() (done int, next *Step) {
	for i := range j.Steps {
		switch {
		case j.Steps[i].Done:
			done++
		case next == nil:
			next = &j.Steps[i]
		}
	}
	return done, next
}

// LaidOpen returns the positions that can be seen only because of what the sheet
// has opened and not closed again: what the last opening shows first.
func (j *Job) LaidOpen() []*judge.Judgement {
	if j.report == nil {
		return nil
	}
	since := map[string]int{} // by opening, its place among what was opened
	for i, e := range j.report.State.Open {
		since[e.Opened.Opening] = i + 1
	}
	for i := range j.Steps {
		if st := &j.Steps[i]; st.Kind == StepOpen && st.Done && st.Opening.Undo == "" {
			since[st.Opening.ID] = max(since[st.Opening.ID], 1)
		}
	}
	last := map[*judge.Judgement]int{}
	var out []*judge.Judgement
	for _, at := range j.report.Walk() {
		need := j.Vehicle.Closure(at.Position.Seen)
		if len(need) == 0 || slices.ContainsFunc(need, func(id string) bool { return since[id] == 0 }) {
			continue
		}
		for _, id := range need {
			last[at] = max(last[at], since[id])
		}
		out = append(out, at)
	}
	slices.SortStableFunc(out, func(a, b *judge.Judgement) int { return last[b] - last[a] })
	return out
}

// Step returns the step that a key names, or nil.
func (j *Job) Step(key string) *Step {
	i := slices.IndexFunc(j.Steps, func(s Step) bool { return slices.Contains(s.Keys, key) })
	if i < 0 {
		return nil
	}
	return &j.Steps[i]
}

// Before says what is done about steps that come before one that is ticked, and
// are not ticked themselves.
type Before string

// What is done about them.
const (
	AskBefore  Before = ""      // the tick is refused, and they are named
	TickBefore Before = "too"   // they are done as well
	PassBefore Before = "alone" // they are not
)

// Unticked is the error of a tick before which others are missing.
type Unticked struct {
	error // *fleet.Error
	Steps []*Step
}

// Unwrap returns the *fleet.Error that says so.
func (u *Unticked) Unwrap() error { return u.error }

// Tick returns the entries that say that steps of the sheet, by their keys, are
// done, and begins the sheet where it is not in hand. Errors are *fleet.Error:
// NotFound for a key of no step, Conflict where the machine is not in the state
// that a step needs, and *Unticked where steps before it are missing.
func (j *Job) Tick(r *advise.Report, keys []string, before Before, newID func() string) ([]*fleet.Entry, error) {
	steps, err := j.named(keys)
	if err != nil {
		return nil, err
	}
	if missing := j.missing(steps); len(missing) > 0 {
		switch before {
		case AskBefore:
			return nil, newTicker(j, r, newID).unticked(steps[0], missing)
		case TickBefore:
			steps = append(steps, missing...)
		}
	}
	slices.SortFunc(steps, func(a, b *Step) int { return a.N - b.N })
	steps = slices.Compact(steps)
	t := newTicker(j, r, newID)
	began := len(t.out)
	for _, st := range steps {
		if err := t.tick(st); err != nil {
			return nil, err
		}
	}
	if len(t.out) == began {
		return nil, advise.Fault("step", "that is ticked already", "untick it to take it back (--back)")
	}
	return t.out, nil
}

func (j *Job) named(keys []string) ([]*Step, error) {
	var out []*Step
	for _, key := range keys {
		st := j.Step(key)
		if st == nil {
			return nil, &fleet.Error{Kind: fleet.NotFound, Where: "step",
				Msg:  message.Of("the sheet has no step %s now", key),
				Hint: "load the sheet again"}
		}
		out = append(out, st)
	}
	if len(out) == 0 {
		return nil, advise.Fault("step", "no step is named", "tick one, or give its number")
	}
	return out, nil
}

// missing returns the steps that come before some and are not ticked: what opens
// and closes, what finds the cause, and changes. A look left out is the owner's
// affair.
func (j *Job) missing(steps []*Step) []*Step {
	want := map[string]bool{}
	var add func(st *Step)
	add = func(st *Step) {
		for _, key := range st.after {
			if b := j.Step(key); b != nil && !want[key] {
				want[key] = true
				add(b)
			}
		}
	}
	for _, st := range steps {
		if o := st.Opening; st.Kind != StepOpen || len(o.Leaves) > 0 || o.Raises || o.Engine != "" {
			add(st) // a cover comes off whenever it likes
		}
	}
	var out []*Step
	for i := range j.Steps {
		st := &j.Steps[i]
		binds := st.Kind == StepOpen || st.Kind == StepClose || st.Kind == StepChange || st.Kind == StepFirst
		if binds && !st.Done && want[st.Keys[0]] && !slices.Contains(steps, st) {
			out = append(out, st)
		}
	}
	return out
}

// Untick returns the entries that take ticks back. An opening that others rest on,
// and a closing of one whose own are shut, is not taken back before those.
func (j *Job) Untick(r *advise.Report, keys []string, newID func() string) ([]*fleet.Entry, error) {
	steps, err := j.named(keys)
	if err != nil {
		return nil, err
	}
	slices.SortFunc(steps, func(a, b *Step) int { return b.N - a.N })
	t := newTicker(j, r, newID)
	began := len(t.out)
	for _, st := range slices.Compact(steps) {
		if err := t.untick(st); err != nil {
			return nil, err
		}
	}
	if len(t.out) == began {
		return nil, advise.Fault("step", "that is not ticked", "look at the sheet again")
	}
	return t.out, nil
}

// Begin returns the entry that begins the sheet before a step of it is ticked, so that its first
// steps tell their time too; the first tick begins one that is not begun. The error is a
// *fleet.Error of kind Invalid where the sheet is in hand.
func (j *Job) Begin(r *advise.Report, newID func() string) ([]*fleet.Entry, error) {
	if j.Work != nil {
		return nil, advise.Fault("sheet", "it is begun already", "tick its steps")
	}
	return newTicker(j, r, newID).out, nil
}

// End returns the entry that says that the sheet in hand is over.
func (j *Job) End(r *advise.Report) (*fleet.Entry, error) {
	if j == nil || j.Work == nil {
		return nil, &fleet.Error{Kind: fleet.NotFound, Where: "work",
			Msg: message.Of("no job sheet of %s is in hand", r.Vehicle.Name), Hint: "tick a step to begin one"}
	}
	return &fleet.Entry{Type: fleet.TypeWork, Date: r.On, Work: &fleet.Work{Of: j.Work.Begun.ID, Ended: true}}, nil
}

// ticker makes the entries of ticks, on a state that goes along with them.
type ticker struct {
	job   *Job
	r     *advise.Report
	state fleet.State
	of    string // id of the entry that began the sheet
	out   []*fleet.Entry
}

func newTicker(j *Job, r *advise.Report, newID func() string) *ticker {
	t := &ticker{job: j, r: r, state: *r.State}
	t.state.Open, t.state.Work = slices.Clone(t.state.Open), slices.Clone(t.state.Work)
	t.state.Spells = slices.Clone(t.state.Spells)
	if j.Work != nil {
		t.of = j.Work.Begun.ID
		return t
	}
	t.of = newID()
	t.add(&fleet.Entry{ID: t.of, Type: fleet.TypeWork, Work: &fleet.Work{Begins: j.Begins()}})
	return t
}

// add takes in an entry as the fold will.
func (t *ticker) add(e *fleet.Entry) {
	e.Date = t.r.On
	t.out = append(t.out, e)
	t.state.TakeWork(e)
}

// opened says that an opening was made or closed, where that is news.
func (t *ticker) opened(id string, closed bool) {
	if t.r.Vehicle.Opening(id).Undo != "" && t.state.IsOpen(id) == closed {
		t.add(&fleet.Entry{Type: fleet.TypeOpened, Opened: &fleet.Opened{Opening: id, Closed: closed}})
	}
}

func (t *ticker) tick(st *Step) error {
	if st.Done {
		return nil
	}
	if why := t.forbids(st); len(why) > 0 {
		return t.forbidden(st, why)
	}
	switch st.Kind {
	case StepOpen:
		for _, id := range t.r.Vehicle.Closure([]string{st.Opening.ID}) {
			t.opened(id, false)
		}
	case StepClose:
		if over := t.restingOn(st.Opening); over != nil {
			return t.shut(st, over)
		}
		t.opened(st.Opening.ID, true)
	}
	for _, key := range st.Keys {
		t.add(&fleet.Entry{Type: fleet.TypeWork, Work: &fleet.Work{Of: t.of, Step: key}})
	}
	return nil
}

// forbids returns what is undone now that a step's use of the machine forbids: on
// stands the wheels may hang, and be off.
func (t *ticker) forbids(st *Step) []machine.Undone {
	why := undone.Forbids(st.Use, undone.All(t.r.Catalogue, &t.state))
	if st.Raised {
		why = slices.DeleteFunc(why, func(u machine.Undone) bool {
			return u == machine.Raised || u == machine.WheelsOff || u == machine.WheelsLoose
		})
	}
	return why
}

// restingOn returns an opening that must be closed before o is: one that needs it
// in turn, or what holds the vehicle up where o is closed on the ground.
func (t *ticker) restingOn(o *fleet.Opening) *fleet.Opening {
	for _, e := range slices.Backward(t.state.Open) {
		other := t.r.Vehicle.Opening(e.Opened.Opening)
		if other.ID != o.ID && (slices.Contains(t.r.Vehicle.Closure([]string{other.ID}), o.ID) ||
			o.OnGround && other.Raises) {
			return other
		}
	}
	return nil
}

func (t *ticker) untick(st *Step) error {
	if !st.Done {
		return nil
	}
	switch st.Kind {
	case StepOpen:
		if over := t.restingOn(st.Opening); over != nil {
			return t.rests(st, over)
		}
		t.opened(st.Opening.ID, true)
	case StepClose:
		for _, id := range st.Opening.Needs {
			if n := t.r.Vehicle.Opening(id); n.Undo != "" && !t.state.IsOpen(id) {
				return t.rests(st, n)
			}
		}
		t.opened(st.Opening.ID, false)
	}
	for _, key := range st.Keys {
		t.add(&fleet.Entry{Type: fleet.TypeWork, Work: &fleet.Work{Of: t.of, Step: key, Back: true}})
	}
	return nil
}

// StepOf is the position or the opening that a step of this key is about; neither
// where it is about more than one, or about none of the vehicle.
func StepOf(v *fleet.Vehicle, key string) (position, opening string) {
	_, about, _ := strings.Cut(key, ":")
	switch {
	case (key == openID(about) || key == closeID(about)) && v.Opening(about) != nil:
		return "", about
	case v.Position(about) != nil:
		return about, ""
	}
	return "", ""
}
