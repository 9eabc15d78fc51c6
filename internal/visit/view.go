package visit

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/looks"
	"undertray.example/undertray/internal/say/told"
)

// RoundView is a round sheet in JSON.
type RoundView struct {
	Vehicle string       `json:"vehicle"`
	On      civil.Date   `json:"on"`
	Open    []string     `json:"open,omitempty"`
	Stands  string       `json:"stands,omitempty"` // what half-done work forbids
	Minutes float64      `json:"minutes"`
	Torques []Torque     `json:"torques,omitempty"` // for closing what was opened
	Stages  []StageView  `json:"stages"`
	Hidden  []RevealView `json:"further_openings,omitempty"`
	// Picked are the looks chosen where the time has a limit.
	Picked *looks.View `json:"picked,omitempty"`
}

// RevealView is an opening that stays shut, in JSON.
type RevealView struct {
	Opening   string   `json:"opening"`
	Minutes   float64  `json:"minutes"`
	Positions []string `json:"positions"`
}

// StageView is a stage of a round in JSON.
type StageView struct {
	Title    string     `json:"title"`
	Open     []string   `json:"open,omitempty"` // what is opened before it
	Cautions []string   `json:"cautions,omitempty"`
	Stops    []StopView `json:"stops"`
}

// StopView is one stop of a round in JSON.
type StopView struct {
	N        int                `json:"n"`
	Position string             `json:"position"`
	Name     string             `json:"name"`
	Where    string             `json:"where,omitempty"`
	Verdict  fleet.Verdict      `json:"verdict"`
	Checks   []*catalogue.Check `json:"checks"`
}

// View returns the round in JSON's form.
func (r *Round) View() RoundView {
	v := RoundView{Vehicle: r.Vehicle.ID, On: r.On, Minutes: r.Minutes, Torques: r.Torques,
		Stands: standsWords(r.Stands, r.Undone).String()}
	if r.Picked != nil {
		p := r.Picked.View()
		v.Picked = &p
	}
	for _, o := range r.Open {
		v.Open = append(v.Open, o.ID)
	}
	for _, s := range r.Stages {
		sv := StageView{Title: s.Title().String(), Cautions: s.Cautions}
		for _, o := range s.Open {
			sv.Open = append(sv.Open, o.ID)
		}
		for _, stop := range s.Stops {
			st := StopView{N: stop.N, Position: stop.Position.ID, Name: stop.Position.Name, Where: stop.Position.Where,
				Verdict: stop.Judgement.Verdict}
			for _, c := range stop.Checks {
				st.Checks = append(st.Checks, c.Check)
			}
			sv.Stops = append(sv.Stops, st)
		}
		v.Stages = append(v.Stages, sv)
	}
	for _, h := range r.Hidden {
		hv := RevealView{Opening: h.Opening.ID, Minutes: h.Minutes}
		for _, p := range h.Positions {
			hv.Positions = append(hv.Positions, p.ID)
		}
		v.Hidden = append(v.Hidden, hv)
	}
	return v
}

// JobView is a job sheet in JSON.
type JobView struct {
	Headline string     `json:"headline"`
	On       civil.Date `json:"on"`
	Stands   string     `json:"stands,omitempty"` // what half-done work forbids
	Work     *WorkView  `json:"work,omitempty"`   // the sheet is in hand
	Tasks    []TaskView `json:"tasks"`
	Steps    []StepView `json:"steps"`
	Torques  []Torque   `json:"torques,omitempty"`
	Tools    []string   `json:"tools,omitempty"`
	Parts    []PartView `json:"parts,omitempty"`
	Bear     []string   `json:"bear_in_mind,omitempty"`
	Minutes  float64    `json:"minutes"`
	Changes  int        `json:"changes_between_above_and_below"`
	Cheapest bool       `json:"fewest_possible"`
	Cost     string     `json:"cost,omitempty"`
	Round    string     `json:"round,omitempty"`
	// Exposed are looks that the sheet does not ask for and what it opens allows.
	Exposed []ExposedView `json:"while_open_also_look_at,omitempty"`
}

// ExposedView is a look that what is opened allows, in JSON: between which steps,
// and what it is worth until the next visit.
type ExposedView struct {
	Position string  `json:"position"`
	After    int     `json:"after_step"`
	Before   int     `json:"before_step"`
	Minutes  float64 `json:"minutes"`
	Worth    float64 `json:"worth,omitempty"`
}

// WorkView says how far the sheet in hand has come, in JSON.
type WorkView struct {
	Begun civil.Date `json:"begun"`
	Entry string     `json:"entry"`
	Done  int        `json:"done"`
	Next  int        `json:"next,omitempty"` // number of the next step
}

// TaskView is a task of a job in JSON.
type TaskView struct {
	Position  string     `json:"position"`
	Do        string     `json:"do"`
	Why       string     `json:"why"`
	Reason    ReasonView `json:"reason"`
	Elsewhere bool       `json:"licensed_workshop,omitempty"`
}

// StepView is a step of a job in JSON.
type StepView struct {
	N        int               `json:"n"`
	Keys     []string          `json:"keys"`
	Done     bool              `json:"done,omitempty"`
	Kind     StepKind          `json:"kind"`
	Cautions []string          `json:"cautions,omitempty"`
	Text     string            `json:"text"`
	Figure   string            `json:"makers_figure,omitempty"` // what is tightened to a torque that is not known
	From     fleet.Side        `json:"from,omitempty"`
	Engine   fleet.EngineState `json:"engine,omitempty"`
	Minutes  float64           `json:"minutes,omitempty"`
	// Yours says that the minutes are the owner's own, with how often they were
	// taken and what the vehicle sheet says.
	Yours *YoursView `json:"yours,omitempty"`
}

// YoursView is what the owner's own minutes of a step rest on, in JSON.
type YoursView struct {
	Times int     `json:"times"`
	Sheet float64 `json:"sheet_minutes"`
}

// PartView is a line of the parts list in JSON.
type PartView struct {
	Position string         `json:"position"`
	Part     fleet.PartSpec `json:"part"`
	Why      string         `json:"why"`
	Bought   *civil.Date    `json:"bought,omitempty"`
	Of       []PartView     `json:"of,omitempty"` // what is bought as one under Part's name and cost
}

// PartViews returns lines of parts in JSON's form.
func PartViews(ls []PartLine) []PartView {
	var out []PartView
	for i := range ls {
		p := &ls[i]
		out = append(out, PartView{Position: p.Position.ID, Part: p.Spec, Why: p.Why().String(), Of: PartViews(p.Of)})
		if p.Bought != nil {
			out[i].Bought = &p.Bought.Date
		}
	}
	return out
}

// View returns the job in JSON's form.
func (j *Job) View() JobView {
	v := JobView{Headline: j.Headline().String(), On: j.On, Stands: standsWords(j.Stands, j.Undone).String(),
		Torques: j.Torques, Tools: j.Tools, Bear: j.Bear, Minutes: j.Minutes,
		Changes: j.Changes, Cheapest: j.Cheapest, Cost: j.Cost(), Round: j.RoundWords().String()}
	if j.Work != nil {
		v.Work = &WorkView{Begun: j.Work.Begun.Date, Entry: j.Work.Begun.ID}
		var next *Step
		if v.Work.Done, next = j.Progress(); next != nil {
			v.Work.Next = next.N
		}
	}
	for i := range j.Tasks {
		t := &j.Tasks[i]
		v.Tasks = append(v.Tasks, TaskView{Position: t.Judgement.Position.ID, Do: t.Do, Why: t.Why().String(),
			Reason: t.Reason.View()})
	}
	for i := range j.Elsewhere {
		t := &j.Elsewhere[i]
		v.Tasks = append(v.Tasks, TaskView{Position: t.Judgement.Position.ID, Do: t.Do, Why: t.Why().String(),
			Reason: t.Reason.View(), Elsewhere: true})
	}
	for i := range j.Steps {
		s := &j.Steps[i]
		v.Steps = append(v.Steps, StepView{N: s.N, Keys: s.Keys, Done: s.Done, Kind: s.Kind,
			Cautions: told.InEnglish(s.Before()), Text: s.Text().String(), Figure: s.MakersFigure().String(),
			From: s.From, Engine: s.Engine, Minutes: s.Minutes})
		if s.Own != nil {
			v.Steps[i].Yours = &YoursView{s.Own.Times, s.Own.Sheet}
		}
	}
	v.Parts = PartViews(j.Parts)
	for _, e := range j.Exposed() {
		v.Exposed = append(v.Exposed, ExposedView{e.Judgement.Position.ID, e.After, e.Before, e.Minutes, e.Worth})
	}
	return v
}

// ReasonView is a reason in JSON: its code and the arguments it names.
type ReasonView struct {
	Code      Code                `json:"code"`
	Opinion   *advise.OpinionView `json:"opinion,omitempty"`
	When      *advise.WhenView    `json:"when,omitempty"`
	Authority fleet.Authority     `json:"authority,omitempty"`
	With      string              `json:"with,omitempty"`
	Planned   any                 `json:"planned,omitempty"`
}

// View returns the reason in JSON's form.
func (r Reason) View() ReasonView {
	v := ReasonView{Code: r.Code, Authority: r.Authority}
	if r.Judgement != nil {
		v.Opinion = advise.GoverningView(r.Judgement)
	}
	if r.Code == Due {
		w := r.When.View()
		v.When = &w
	}
	if r.With != nil {
		v.With = r.With.ID
	}
	if r.Planned != nil {
		v.Planned = r.Planned.View()
	}
	return v
}
