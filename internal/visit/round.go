package visit

import (
	"cmp"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/looks"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
)

// Round is a sheet to inspect a vehicle by: what to look at, in the order a
// person meets it, and what each further opening would show.
type Round struct {
	Vehicle *fleet.Vehicle
	On      civil.Date
	Open    []*fleet.Opening // what is opened, in order; what they need included
	Minutes float64          // to open and close again
	Looking float64          // minutes that its checks take
	Torques []Torque         // for closing it, in the order of Closing
	Stages  []Stage
	Left    []*judge.Judgement // what the owner leaves as it is
	Stands  machine.Use        // what work left half done forbids, and Undone what that is
	Undone  []machine.Undone
	Hidden  []Reveal // what else there is to see, most per minute first
	// Picked are the looks of a round with a limit of time; nil for one without.
	Picked *looks.Picked

	by RoundOptions // it was laid out by, see Code
}

// Stage is a part of a round under one condition: from above with the engine
// off, from below, with the engine running; what wants a second person is a stage of
// its own, so that they are called once. By system it is one system.
type Stage struct {
	Kind     StageKind
	System   string   // of StageSystem
	Open     []Opened // what is opened before it and was not needed earlier, in order
	Cautions []string
	Stops    []Stop
}

// Opened is an opening of a round, or its closing, with what is said before it and was
// not said before another of the same list, and how tight it is closed.
type Opened struct {
	*fleet.Opening
	Cautions []string
	Torques  []Torque // of a closing
}

// StageKind sorts the stages of a round.
type StageKind string

// The kinds of stages.
const (
	StageAbove   StageKind = "from above"
	StageRunning StageKind = "engine running"
	StageHelped  StageKind = "second person"
	StageBoth    StageKind = "second person, engine running"
	StageBelow   StageKind = "from below"
	StageSystem  StageKind = "system"
)

// Stop is one position with the checks to make there.
type Stop struct {
	N         int // number on the sheet, from 1
	Position  *fleet.Position
	Kind      *catalogue.Kind
	Judgement *judge.Judgement
	Cautions  []string // of the position; see Stage.SayOnce
	Checks    []CheckItem
	// Glance is how it is recorded that the part as a whole seems sound; nil where
	// the catalogue knows no such look.
	Glance *catalogue.Check
}

// CheckItem is one check, with what was found the last time.
type CheckItem struct {
	*catalogue.Check
	Last    *fleet.Finding // nil: never answered for this part
	Caution string         // what is said before it on this vehicle
	// Asked says that a glance does not answer it: a maker or a standard wants its
	// figure, or a deadline wants its answer, and it is due.
	Asked bool
	// Likely is its place among those of the stop by which something is found,
	// 0 the likeliest.
	Likely int
	// Detail says that on paper it is asked at length: it is asked by itself, or
	// something was found by it.
	Detail bool
	Letter string // that names it at its stop on paper
}

// Reveal says what an opening that stays shut would show.
type Reveal struct {
	Opening   *fleet.Opening
	Positions []*fleet.Position
	Minutes   float64 // to open it, what it needs included, and to close again
}

// RoundOptions chooses what goes on a round sheet.
type RoundOptions struct {
	Open     []string // ids of openings made
	BySystem bool     // one system after the other in place of the walk round
	// Minutes is the time there is, openings included: the looks are chosen that
	// tell most for the decision to leave or to change a part until the next
	// visit. 0: all that can be seen is looked at.
	Minutes float64
}

// OpenAll stands for every opening that some position is seen through.
const OpenAll = "all"

// NewRound lays out a round of the report's vehicle. It returns a *fleet.Error of
// kind NotFound where an opening is unknown.
func NewRound(r *advise.Report, opt RoundOptions) (*Round, error) {
	if err := knowOpenings(r, opt.Open); err != nil {
		return nil, err
	}
	v, by := r.Vehicle, opt
	if slices.Contains(opt.Open, OpenAll) {
		opt.Open = v.SeenThrough()
	}
	open := v.Closure(opt.Open)
	var picked *looks.Picked
	if opt.Minutes > 0 {
		p := looks.Pick(r, ahead.Lookings(r, ahead.UntilVisit(r)), opt.Minutes, append([]string{}, open...))
		picked, open = &p, p.Open
	}
	out := &Round{Picked: picked, Vehicle: v, On: r.On, by: by}
	out.Left = r.Left()
	out.Stands, out.Undone = r.Forbidden()
	for _, id := range inOrder(v, open) {
		o := v.Opening(id)
		out.Open = append(out.Open, o)
		out.Minutes += o.Both()
	}
	for _, o := range out.Closing() {
		out.Torques = append(out.Torques, o.Torques...)
	}
	visible := func(p *fleet.Position) bool { return fleet.Subset(v.Closure(p.Seen), open) }
	for _, st := range stages(r, opt.BySystem) {
		stage := Stage{Kind: st.kind, System: st.system, Cautions: st.cautions}
		for _, j := range r.Walk() {
			if !visible(j.Position) && !(st.kind.running() && heard(picked, j)) || !st.takes(j) {
				continue
			}
			if items := chosen(picked, j, items(r, j, st, open)); len(items) > 0 {
				stop := Stop{Position: j.Position, Kind: j.Kind, Judgement: j, Cautions: j.Position.Cautions,
					Checks: items}
				if !st.kind.helped() { // a glance is taken alone
					stop.Glance = r.Catalogue.Looks().Glance(st.kind == StageRunning)
				}
				out.Looking += float64(len(items)) * r.Catalogue.Looks().MinutesPerCheck
				stage.Stops = append(stage.Stops, stop)
			}
		}
		stage.SayOnce()
		if len(stage.Stops) > 0 {
			out.Stages = append(out.Stages, stage)
		}
	}
	out.number()
	out.openBefore()
	out.Hidden = HiddenBehind(r, open)
	return out, nil
}

// openBefore puts each opening before the first stage at rest that shows something through
// it; one that shows nothing comes with the last of what it needs, and what is done on the
// ground before anything is raised.
func (r *Round) openBefore() {
	at, raised := map[string]int{}, len(r.Stages)
	for _, o := range r.Open {
		n := slices.IndexFunc(r.Stages, func(st Stage) bool {
			return !st.Kind.running() && slices.ContainsFunc(st.Stops, func(s Stop) bool {
				return slices.Contains(r.Vehicle.Closure(s.Position.Seen), o.ID)
			})
		})
		if n < 0 {
			n = 0
			for _, need := range o.Needs {
				n = max(n, at[need])
			}
		}
		if at[o.ID] = n; o.Raises {
			raised = min(raised, n)
		}
	}
	said := make([]map[string]bool, len(r.Stages))
	for _, o := range r.Open {
		n := at[o.ID]
		if o.OnGround {
			n = min(n, raised)
		}
		if n >= r.ClosesBefore() {
			continue
		}
		if said[n] == nil {
			said[n] = map[string]bool{}
		}
		r.Stages[n].Open = append(r.Stages[n].Open, Opened{Opening: o, Cautions: fresh(o.Cautions, said[n])})
	}
}

// Closing is what was opened and is put back, in the order in which that is safe: before
// anything is run, what was opened last first. What is read before it is let down or
// connected is said again.
func (r *Round) Closing() []Opened {
	var out []Opened
	said := map[string]bool{}
	for _, o := range slices.Backward(r.Open) {
		if o.Undo == "" {
			continue
		}
		out = append(out, Opened{Opening: o, Torques: torques(o.Undo, o.Fasteners)})
		if o.Raises || leaves(o, machine.BatteryOff) {
			out[len(out)-1].Cautions = fresh(o.Cautions, said)
		}
	}
	return out
}

// ClosesBefore is the place of the stage before which all is closed again: the first in
// which something is run, or the end.
func (r *Round) ClosesBefore() int {
	if n := slices.IndexFunc(r.Stages, func(st Stage) bool { return st.Kind.running() }); n >= 0 {
		return n
	}
	return len(r.Stages)
}

// inOrder puts openings in the order in which they are safely made: what is done on
// the ground, then what needs no raising, then raising, then what needs a wheel off, each
// after what it needs.
func inOrder(v *fleet.Vehicle, open []string) []string {
	class := func(id string) int {
		o, with := v.Opening(id), v.Closure([]string{id})
		switch {
		case o.OnGround:
			return 0
		case slices.ContainsFunc(with, func(n string) bool { return leaves(v.Opening(n), machine.WheelsOff) }):
			return 3
		case slices.ContainsFunc(with, func(n string) bool { return v.Opening(n).Raises }):
			return 2
		}
		return 1
	}
	return slices.SortedStableFunc(slices.Values(open), func(a, b string) int {
		return cmp.Compare(class(a), class(b))
	})
}

// heard reports whether a look at a part with the engine running was picked: it
// needs no sight of it.
func heard(p *looks.Picked, j *judge.Judgement) bool {
	return p != nil && slices.ContainsFunc(p.Looks, func(l ahead.Looking) bool { return l.Running && l.Judgement == j })
}

// chosen leaves of a position's checks those of the looks picked; all where there
// is no limit of time.
func chosen(p *looks.Picked, j *judge.Judgement, items []CheckItem) []CheckItem {
	if p == nil {
		return items
	}
	return slices.DeleteFunc(items, func(c CheckItem) bool {
		return !slices.ContainsFunc(p.Looks, func(l ahead.Looking) bool {
			return l.Judgement == j && slices.Contains(l.Checks, c.Check)
		})
	})
}

// SayOnce leaves each sentence of a caution where its section first needs it, and
// takes it away where it would only be read again: one that stands at every check is
// passed over, and with it the one that is new.
func (s *Stage) SayOnce() {
	said := map[string]bool{}
	fresh(s.Cautions, said)
	for i := range s.Stops {
		stop := &s.Stops[i]
		stop.Cautions = fresh(stop.Cautions, said)
		for k := range stop.Checks {
			stop.Checks[k].Caution = strings.Join(fresh([]string{stop.Checks[k].Caution}, said), "")
		}
	}
}

// fresh returns what of some cautions has not been said yet, sentence by sentence,
// and takes it as said.
func fresh(cautions []string, said map[string]bool) []string {
	var out []string
	for _, c := range cautions {
		var left []string
		for _, sentence := range message.Sentences(c) {
			if sentence != "" && !said[sentence] {
				said[sentence] = true
				left = append(left, sentence)
			}
		}
		if len(left) > 0 {
			out = append(out, strings.Join(left, " "))
		}
	}
	return out
}

// Last is the finding that the verdict on the part rests on, or the newest; of what is
// asked here where any of that was answered. Nil for none.
func (s *Stop) Last() *fleet.Finding {
	var last, other *fleet.Finding
	j := s.Judgement
	here := func(check string) bool {
		return s.Glance != nil && s.Glance.ID == check ||
			slices.ContainsFunc(s.Checks, func(c CheckItem) bool { return c.ID == check })
	}
	for _, f := range j.Place.Findings {
		at := &last
		if !here(f.Check) {
			at = &other
		}
		if j.Place.Fitted.Had(f) && (*at == nil || !f.Date.Before((*at).Date)) {
			*at = f
		}
	}
	for i := range j.Reasons {
		if o := &j.Reasons[i]; o.Governs && o.Finding != nil && o.Verdict >= fleet.Watch && o.Verdict == j.Verdict &&
			(last == nil || here(o.Finding.Check)) {
			return o.Finding
		}
	}
	return cmp.Or(last, other)
}

func (r *Round) number() {
	n := 0
	for i := range r.Stages {
		for k := range r.Stages[i].Stops {
			n++
			r.Stages[i].Stops[k].N = n
			for c := range r.Stages[i].Stops[k].Checks {
				r.Stages[i].Stops[k].Checks[c].Letter = string(rune('a' + c))
			}
		}
	}
}

// stageRule says which positions and checks belong to a stage.
type stageRule struct {
	kind     StageKind
	system   string
	cautions []string
	takes    func(*judge.Judgement) bool
	check    func(*catalogue.Check) bool
}

func stages(r *advise.Report, bySystem bool) []stageRule {
	if bySystem {
		return systemStages(r)
	}
	from := func(side fleet.Side) func(*judge.Judgement) bool {
		return func(j *judge.Judgement) bool { return j.Position.From == side }
	}
	return append([]stageRule{
		{kind: StageAbove,
			cautions: r.Catalogue.CautionsAt(catalogue.AtAbove), takes: from(fleet.Above), check: alone},
		{kind: StageBelow,
			cautions: r.Catalogue.CautionsAt(catalogue.AtBelow), takes: from(fleet.Below), check: alone},
	}, lastStages(r)...)
}

// running reports whether the engine runs in a stage, helped whether it wants a
// second person.
func (k StageKind) running() bool { return k == StageRunning || k == StageBoth }
func (k StageKind) helped() bool  { return k == StageHelped || k == StageBoth }

// alone reports whether a check is made at rest and by one person.
func alone(c *catalogue.Check) bool { return !whole(c) && !c.Helper }

// lastStages are those with a second person, one after the other, and those with
// the engine running, once everything is closed: nothing is opened or looked at from
// below between two checks with the engine running.
func lastStages(r *advise.Report) []stageRule {
	all := func(*judge.Judgement) bool { return true }
	running := slices.Concat(barredCautions(r), r.Catalogue.CautionsAt(catalogue.AtRunning))
	return []stageRule{
		{kind: StageHelped, takes: all, cautions: slices.Concat(r.Catalogue.CautionsAt(catalogue.AtBelow),
			r.Catalogue.CautionsAt(catalogue.AtHelped)),
			check: func(c *catalogue.Check) bool { return !whole(c) && c.Helper }},
		{kind: StageBoth, cautions: running, takes: all,
			check: func(c *catalogue.Check) bool { return whole(c) && c.Helper }},
		{kind: StageRunning, cautions: running, takes: all,
			check: func(c *catalogue.Check) bool { return whole(c) && !c.Helper }},
	}
}

func systemStages(r *advise.Report) []stageRule {
	var out []stageRule
	seen := map[string]bool{}
	for i := range r.Judgements {
		s := system(r, &r.Judgements[i])
		if seen[s] {
			continue
		}
		seen[s] = true
		out = append(out, stageRule{kind: StageSystem, system: s,
			cautions: slices.Concat(r.Catalogue.CautionsAt(catalogue.AtAbove),
				r.Catalogue.CautionsAt(catalogue.AtBelow)),
			takes: func(j *judge.Judgement) bool { return system(r, j) == s }, check: alone})
	}
	return append(out, lastStages(r)...)
}

func system(r *advise.Report, j *judge.Judgement) string {
	return cmp.Or(j.Position.System, j.Kind.System)
}

// items returns the checks of a position that belong to a stage: ordinary
// ones always, those that want the belt off only when it is.
func items(r *advise.Report, j *judge.Judgement, st stageRule, open []string) []CheckItem {
	var out []CheckItem
	beltOff := len(j.Position.Changed) > 0 && fleet.Subset(r.Vehicle.Closure(j.Position.Changed), open)
	for i := range j.Kind.Checks {
		c := &j.Kind.Checks[i]
		if !st.check(c) || hidden(r.Vehicle, j.Position, c) || c.BeltOff && !beltOff || c.OnDemand && !beltOff &&
			j.Place.Latest[c.ID] == nil {
			continue
		}
		out = append(out, CheckItem{Check: c, Last: j.Place.Latest[c.ID], Caution: r.Catalogue.CautionOn(r.Vehicle, c),
			Asked: asked(r, j, c)})
	}
	byLikelihood(r, j, out)
	return out
}

// asked reports whether a check is asked by itself: its answer was to be had again
// by now, or it is a count, a gauge or a date that a maker or a standard wants and it
// was not taken since the last look was due.
func asked(r *advise.Report, j *judge.Judgement, c *catalogue.Check) bool {
	last := j.Place.Latest[c.ID]
	if j.Again != nil && j.Again.Passed && slices.ContainsFunc(j.Reasons, func(o judge.Reason) bool {
		return o.Governs && o.Check != nil && o.Check.ID == c.ID && o.Verdict == fleet.Watch
	}) {
		return true
	}
	if !c.Measured() && c.Sense != catalogue.Measure && c.Sense != catalogue.Record {
		return false
	}
	wanted := slices.ContainsFunc(judge.Speakers(c, j.Place), func(by []*fleet.Limit) bool {
		return by[0].Authority != fleet.CommonPractice && by[0].Authority != fleet.Owner
	})
	return wanted && (last == nil || r.LookDue(j, last.Moment))
}

// byLikelihood numbers the checks of a position by how likely something is found by
// them: what was found the last time and stands first, then those that miss least.
func byLikelihood(r *advise.Report, j *judge.Judgement, items []CheckItem) {
	looks, heirs := r.Catalogue.Looks(), r.Catalogue.Heirs(j.Kind.ID)
	stands := func(c *catalogue.Check) fleet.Verdict {
		worst := fleet.Keep
		for i := range j.Reasons {
			if o := &j.Reasons[i]; o.Governs && o.Check != nil && o.Check.ID == c.ID {
				worst = max(worst, o.Verdict)
			}
		}
		return worst
	}
	order := make([]int, len(items))
	sees := make([]float64, len(items))
	for i := range items {
		order[i] = i
		_, sees[i] = looks.Strength(heirs, items[i].Check, len(j.Position.Seen) > 0)
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(stands(items[b].Check), stands(items[a].Check)), cmp.Compare(sees[b], sees[a]))
	})
	for at, i := range order {
		items[i].Likely, items[i].Detail = at, items[i].Asked || stands(items[i].Check) >= fleet.Watch
	}
}

// HiddenBehind lists what openings that stay shut would show, most positions for
// the minutes first.
func HiddenBehind(r *advise.Report, open []string) []Reveal {
	v := r.Vehicle
	visible := func(p *fleet.Position) bool { return fleet.Subset(v.Closure(p.Seen), open) }
	var out []Reveal
	for i := range v.Openings {
		o := &v.Openings[i]
		if slices.Contains(open, o.ID) {
			continue
		}
		with := v.Closure(append(slices.Clone(open), o.ID))
		rev := Reveal{Opening: o}
		for _, id := range with {
			if !slices.Contains(open, id) {
				extra := v.Opening(id)
				rev.Minutes += extra.Both()
			}
		}
		for k := range v.Positions {
			p := &v.Positions[k]
			if !visible(p) && slices.Contains(v.Closure(p.Seen), o.ID) && fleet.Subset(v.Closure(p.Seen), with) {
				rev.Positions = append(rev.Positions, p)
			}
		}
		if len(rev.Positions) > 0 {
			out = append(out, rev)
		}
	}
	slices.SortStableFunc(out, func(a, b Reveal) int {
		return cmp.Compare(float64(len(b.Positions))/(1+b.Minutes), float64(len(a.Positions))/(1+a.Minutes))
	})
	return out
}
