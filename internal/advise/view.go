package advise

import (
	"undertray/civil"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/units"
)

// The views are what --json prints and what a page's JSON twin returns: flat,
// in plain words, with every distance in km and every date as ISO 8601.

// YardView is a yard in JSON.
type YardView struct {
	Headline string        `json:"headline"`
	Vehicles []VehicleView `json:"vehicles"`
}

// VehicleView is a report in JSON. Positions is left out in a yard.
type VehicleView struct {
	Vehicle   string         `json:"vehicle"`
	Name      string         `json:"name"`
	On        civil.Date     `json:"on"`
	Headline  string         `json:"headline"`
	Basis     string         `json:"basis"`
	TotalKm   *float64       `json:"total_km,omitempty"`
	Verdicts  map[string]int `json:"verdicts"`
	Visits    []WhenView     `json:"visits,omitempty"`
	Positions []PositionView `json:"positions,omitempty"`
	Shared    []string       `json:"shared_causes,omitempty"`
	LeftOut   []string       `json:"left_out,omitempty"`
}

// WhenView is a When in JSON.
type WhenView struct {
	TotalKm  *float64   `json:"total_km,omitempty"`
	Earliest civil.Date `json:"earliest,omitzero"`
	Expected civil.Date `json:"expected,omitzero"`
	Latest   civil.Date `json:"latest,omitzero"`
	Reached  bool       `json:"reached,omitempty"`
	Words    string     `json:"words"`
}

// PositionView is a judgement in JSON.
type PositionView struct {
	Position string        `json:"position"`
	Name     string        `json:"name"`
	Kind     string        `json:"kind"`
	Verdict  fleet.Verdict `json:"verdict"`
	Why      string        `json:"why"`
	Part     string        `json:"part"`
	Looked   string        `json:"looked"`
	Opinions []OpinionView `json:"opinions,omitempty"`
	Dues     []DueView     `json:"dues,omitempty"`
	Again    *WhenView     `json:"look_again,omitempty"`
	Ahead    *AheadView    `json:"ahead,omitempty"`
	Symptoms []string      `json:"symptoms,omitempty"`
	Causes   []string      `json:"causes,omitempty"`
	First    []string      `json:"first,omitempty"`
	With     []WithView    `json:"with,omitempty"`
	Cautions []string      `json:"cautions,omitempty"`
}

// OpinionView is a reason in JSON.
type OpinionView struct {
	Verdict   fleet.Verdict   `json:"verdict"`
	Authority fleet.Authority `json:"authority"`
	Source    string          `json:"source"`
	Says      string          `json:"says"`
	Governs   bool            `json:"governs"`
	Check     string          `json:"check,omitempty"`
	Answer    string          `json:"answer,omitempty"`
	Value     *units.Quantity `json:"value,omitempty"`
	Found     civil.Date      `json:"found,omitzero"`
	Entry     string          `json:"entry,omitempty"`
}

// DueView is a due in JSON.
type DueView struct {
	Authority fleet.Authority `json:"authority"`
	Interval  string          `json:"interval"`
	When      *WhenView       `json:"when,omitempty"`
	Governs   bool            `json:"governs"`
	Assumed   bool            `json:"history_unknown,omitempty"`
}

// WithView is a companion in JSON.
type WithView struct {
	Positions []string `json:"positions,omitempty"`
	Inspect   bool     `json:"inspect,omitempty"`
	Say       string   `json:"say"`
}

// View returns the report in JSON's form, with every position or without.
func (r *Report) View(p units.Preferences, positions bool) VehicleView {
	v := VehicleView{Vehicle: r.Vehicle.ID, Name: r.Vehicle.Name, On: r.On, Headline: r.Headline(p), Basis: r.Basis(), Verdicts: map[string]int{}}
	if r.HasTotal {
		v.TotalKm = &r.Total
	}
	for verdict, n := range r.Tally() {
		v.Verdicts[verdict.String()] = n
	}
	for _, visit := range r.Visits {
		v.Visits = append(v.Visits, visit.When.view())
	}
	for _, s := range r.Shared {
		v.Shared = append(v.Shared, SharedWords(s))
	}
	for _, problem := range r.State.Problems {
		v.LeftOut = append(v.LeftOut, problem.Msg+" (entry "+problem.Entry+")")
	}
	if !positions {
		return v
	}
	for _, j := range r.Walk() {
		v.Positions = append(v.Positions, r.PositionView(j, p))
	}
	return v
}

func (w When) view() WhenView {
	out := WhenView{Earliest: w.Earliest, Expected: w.Expected, Latest: w.Latest, Reached: w.Reached, Words: w.Words()}
	if w.HasTotal {
		out.TotalKm = &w.Total
	}
	return out
}

// PositionView returns one judgement in JSON's form.
func (r *Report) PositionView(j *judge.Judgement, p units.Preferences) PositionView {
	v := PositionView{Position: j.Position.ID, Name: j.Position.Name, Kind: j.Kind.ID, Verdict: j.Verdict, Why: r.Why(j),
		Part: PartWords(j, r.On, r.Total, r.HasTotal, p), Looked: r.LookedWords(j, p), Symptoms: j.Symptoms, Cautions: j.Cautions}
	for _, o := range j.Reasons {
		v.Opinions = append(v.Opinions, opinionView(o))
	}
	for i := range j.Dues {
		d := &j.Dues[i]
		dv := DueView{Authority: d.Interval.Authority, Interval: IntervalWords(d.Interval, p), Governs: d.Governs, Assumed: d.Assumed}
		if !d.Mark.IsZero() {
			w := r.When(d.Mark).view()
			dv.When = &w
		}
		v.Dues = append(v.Dues, dv)
	}
	if j.Again != nil {
		w := r.When(j.Again.Mark).view()
		v.Again = &w
	}
	v.Ahead = r.aheadView(j, p)
	for _, c := range j.Causes {
		v.Causes = append(v.Causes, c.Likely...)
	}
	for _, f := range j.First {
		v.First = append(v.First, f.Do)
	}
	for _, c := range j.With {
		wv := WithView{Inspect: c.Inspect, Say: c.Say}
		for _, pos := range c.Positions {
			wv.Positions = append(wv.Positions, pos.ID)
		}
		v.With = append(v.With, wv)
	}
	return v
}

func opinionView(o judge.Reason) OpinionView {
	v := OpinionView{Verdict: o.Verdict, Authority: o.Authority, Source: o.Source, Says: o.Says, Governs: o.Governs}
	if o.Finding != nil {
		v.Check, v.Answer, v.Value, v.Found, v.Entry = o.Check.ID, o.Finding.Answer, o.Finding.Value, o.Finding.Date, o.Finding.Entry
	}
	return v
}

// RoundView is a round sheet in JSON.
type RoundView struct {
	Vehicle string       `json:"vehicle"`
	On      civil.Date   `json:"on"`
	Open    []string     `json:"open,omitempty"`
	Minutes float64      `json:"minutes"`
	Stages  []StageView  `json:"stages"`
	Hidden  []RevealView `json:"further_openings,omitempty"`
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
	v := RoundView{Vehicle: r.Vehicle.ID, On: r.On, Minutes: r.Minutes}
	for _, o := range r.Open {
		v.Open = append(v.Open, o.ID)
	}
	for _, s := range r.Stages {
		sv := StageView{Title: s.Title, Cautions: s.Cautions}
		for _, stop := range s.Stops {
			st := StopView{N: stop.N, Position: stop.Position.ID, Name: stop.Position.Name, Where: stop.Position.Where, Verdict: stop.Judgement.Verdict}
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
}

// TaskView is a task of a job in JSON.
type TaskView struct {
	Position  string `json:"position"`
	Do        string `json:"do"`
	Why       string `json:"why"`
	Elsewhere bool   `json:"licensed_workshop,omitempty"`
}

// StepView is a step of a job in JSON.
type StepView struct {
	N        int               `json:"n"`
	Kind     StepKind          `json:"kind"`
	Cautions []string          `json:"cautions,omitempty"`
	Text     string            `json:"text"`
	From     fleet.Side        `json:"from,omitempty"`
	Engine   fleet.EngineState `json:"engine,omitempty"`
	Minutes  float64           `json:"minutes,omitempty"`
}

// PartView is a line of the parts list in JSON.
type PartView struct {
	Position string         `json:"position"`
	Part     fleet.PartSpec `json:"part"`
	Why      string         `json:"why"`
}

// View returns the job in JSON's form.
func (j *Job) View() JobView {
	v := JobView{Headline: j.Headline(), Torques: j.Torques, Tools: j.Tools, Bear: j.Bear, Minutes: j.Minutes,
		Changes: j.Changes, Cheapest: j.Cheapest, Cost: j.Cost(), Round: j.Round}
	for _, t := range j.Tasks {
		v.Tasks = append(v.Tasks, TaskView{Position: t.Judgement.Position.ID, Do: t.Do, Why: t.Why})
	}
	for _, t := range j.Elsewhere {
		v.Tasks = append(v.Tasks, TaskView{Position: t.Judgement.Position.ID, Do: t.Do, Why: t.Why, Elsewhere: true})
	}
	for _, s := range j.Steps {
		v.Steps = append(v.Steps, StepView{N: s.N, Kind: s.Kind, Cautions: s.Cautions, Text: s.Text, From: s.From, Engine: s.Engine, Minutes: s.Minutes})
	}
	for _, p := range j.Parts {
		v.Parts = append(v.Parts, PartView{Position: p.Position.ID, Part: p.Spec, Why: p.Why})
	}
	return v
}
