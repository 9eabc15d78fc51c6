package trip

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/looks"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/undone"
	"undertray.example/undertray/units"
)

// View is a trip in JSON.
type View struct {
	Vehicle  string     `json:"vehicle"`
	Headline string     `json:"headline"`
	More     string     `json:"more,omitempty"`
	Start    civil.Date `json:"start"`
	End      civil.Date `json:"end"`
	Km       *float64   `json:"km,omitempty"`
	Hours    *float64   `json:"hours,omitempty"`  // of work, where hours are counted
	Stands   string     `json:"stands,omitempty"` // what half-done work forbids
	Parked   []string   `json:"parked,omitempty"`
	Stranded float64    `json:"chance_of_being_stranded"`
	LetDown  float64    `json:"chance_of_any_let_down"`
	After    float64    `json:"chance_of_being_stranded_after"`
	Accepted float64    `json:"accepted"`
	Reached  bool       `json:"within_accepted"`
	First    []PassView `json:"look_before,omitempty"`
	// Looks are those that would tell most within half an hour before the start.
	Looks   looks.View     `json:"looks_that_tell_most"`
	Before  []FixView      `json:"change_before,omitempty"`
	Passes  []PassView     `json:"passes_on_the_way,omitempty"`
	Risks   []RiskView     `json:"risks,omitempty"`
	Check   []PassView     `json:"check_on_the_way,omitempty"`
	Carry   []CarryView    `json:"carry,omitempty"`
	RestsOn []message.Text `json:"rests_on"`
}

// FixView is a change before the trip in JSON.
type FixView struct {
	Position string     `json:"position"`
	Why      string     `json:"why"`
	Reason   ReasonView `json:"reason"`
	Money    float64    `json:"money"`
	Part     float64    `json:"part_for_licensed_workshop,omitempty"`
	Minutes  float64    `json:"minutes"`
	Was      float64    `json:"chance"`
	New      float64    `json:"chance_when_new"`
}

// PassView is a limit passed, or a check to make, on the way, in JSON.
type PassView struct {
	Position string      `json:"position,omitempty"`
	Words    string      `json:"words"`
	Reason   *ReasonView `json:"reason,omitempty"`
}

// RiskView is a part's chance in JSON.
type RiskView struct {
	Position string  `json:"position"`
	Chance   float64 `json:"chance"`
	Strands  bool    `json:"strands"`
	RestsOn  string  `json:"rests_on"`
	LetsDown string  `json:"if_it_fails"`
}

// CarryView is something to carry in JSON.
type CarryView struct {
	What     string   `json:"what"`
	Things   []string `json:"things"`
	For      []string `json:"for"`
	Chance   float64  `json:"chance_of_needing_it"`
	Share    float64  `json:"share_of_let_downs"`
	Roadside string   `json:"roadside,omitempty"`
	Aboard   []string `json:"aboard,omitempty"`
	// Stranded is the chance of being stranded were all of it aboard.
	Stranded float64 `json:"chance_of_being_stranded_with_it"`
}

// View returns the trip in JSON's form.
func (t *Trip) View(p units.Preferences) View {
	v := View{Vehicle: t.Vehicle.ID, Headline: t.Headline(p).String(), More: told.Rest(t.Told(p)).String(),
		Start: t.Start, End: t.End,
		Stranded: t.Stranded, LetDown: t.LetDown,
		After: t.After, Accepted: t.Under, Reached: t.Reached, RestsOn: t.RestWords(p)}
	v.Km, v.Hours = t.Vehicle.Counts.Split(t.Km)
	if t.Stands != "" {
		v.Stands = undone.ForbiddenWords(t.Stands, t.Undone).String()
	}
	for _, j := range t.Parked {
		v.Parked = append(v.Parked, j.Position.ID)
	}
	for _, f := range append(append([]Fix{}, t.Must...), t.Fixes...) {
		v.Before = append(v.Before, FixView{Position: f.Judgement.Position.ID, Why: f.Reason.Words().String(),
			Reason: f.Reason.view(), Money: f.Money, Part: f.Part, Minutes: f.Minutes, Was: f.Was, New: f.New})
	}
	for _, j := range t.First {
		v.First = append(v.First, PassView{Position: j.Position.ID, Words: t.FirstWords(j, p).String()})
	}
	v.Looks = t.Looks.View()
	for i := range t.Passes {
		x := &t.Passes[i]
		why := x.Reason.view()
		v.Passes = append(v.Passes, PassView{Position: x.Judgement.Position.ID, Words: x.Words().String(),
			Reason: &why})
	}
	for _, x := range t.Risks {
		v.Risks = append(v.Risks, RiskView{Position: x.Judgement.Position.ID, Chance: x.P,
			Strands: x.Judgement.Strands(), RestsOn: x.Chance.Rests().String(),
			LetsDown: x.Judgement.LetsDown().String()})
	}
	for i := range t.Check {
		c := &t.Check[i]
		cv := PassView{Words: c.Words().String()}
		if c.Judgement != nil {
			cv.Position = c.Judgement.Position.ID
		}
		v.Check = append(v.Check, cv)
	}
	for _, c := range t.Carry {
		cv := CarryView{What: c.Title().String(), Things: c.Things, Chance: c.P, Share: c.Share, Roadside: c.Roadside,
			Aboard: c.Aboard, Stranded: c.With}
		for _, j := range c.For {
			cv.For = append(cv.For, j.Position.ID)
		}
		v.Carry = append(v.Carry, cv)
	}
	return v
}

// ReasonView is why a part concerns a trip, in JSON: a code and the arguments
// it names.
type ReasonView struct {
	Code      Code                `json:"code"`
	Opinion   *advise.OpinionView `json:"opinion,omitempty"`
	Authority fleet.Authority     `json:"authority,omitempty"`
	On        civil.Date          `json:"on,omitzero"`
	Km        *float64            `json:"after_km,omitempty"`
	Hours     *float64            `json:"after_hours,omitempty"`
	Check     string              `json:"check,omitempty"`
	Bound     *units.Quantity     `json:"limit,omitempty"`
}

func (r Reason) view() ReasonView {
	v := ReasonView{Code: r.Code, Authority: r.Authority, On: r.On}
	if r.Km > 0 {
		v.Km, v.Hours = r.counts.Split(r.Km)
	}
	if r.Judgement != nil {
		v.Opinion = advise.GoverningView(r.Judgement)
	}
	if r.Check != nil {
		v.Check, v.Bound = r.Check.ID, &r.Bound
	}
	return v
}
