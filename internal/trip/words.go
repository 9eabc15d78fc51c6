package trip

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undertray/civil"
	"undertray/internal/advise"
	"undertray/internal/judge"
	"undertray/internal/say"
	"undertray/units"
)

// Headline answers whether the vehicle gets through.
func (t *Trip) Headline(p units.Preferences) string {
	far := say.Rough(t.Km, p)
	if len(t.Parked) > 0 {
		return fmt.Sprintf("No. Do not drive it: %s must be put right before any trip.", advise.Names(t.Parked))
	}
	chance := fmt.Sprintf("the chance of being stranded in %s is %s", far, say.Odds(t.Stranded))
	do := append(append([]Fix{}, t.Must...), t.Fixes...)
	switch {
	case len(do) == 0 && t.Reached:
		return fmt.Sprintf("Yes, as far as can be told: %s, within the %s you accept.", chance, inWords(t.Under))
	case len(do) == 0:
		return fmt.Sprintf("Probably, though %s, more than the %s you accept, and no single part stands out.", chance, inWords(t.Under))
	}
	var what []string
	for _, f := range do {
		what = append(what, say.LowerFirst(f.Judgement.Position.Name))
	}
	const most = 4
	if n := len(what); n > most {
		what = append(what[:most-1], say.Count(n-most+1, "other part", "other parts"))
	}
	s := fmt.Sprintf("Probably, but first change the %s: ", say.Listing(what))
	if say.Odds(t.After) == say.Odds(t.Stranded) {
		s += chance + " by age alone"
		if !t.Reached {
			return s + fmt.Sprintf(", more than the %s you accept.", inWords(t.Under))
		}
		return s + "."
	}
	s += fmt.Sprintf("%s as it stands and %s with that done", chance, say.Odds(t.After))
	if !t.Reached {
		return s + fmt.Sprintf(", still more than the %s you accept.", inWords(t.Under))
	}
	return s + fmt.Sprintf(", within the %s you accept.", inWords(t.Under))
}

// inWords writes a chance as one in so many.
func inWords(p float64) string { return fmt.Sprintf("1 in %.0f", 1/p) }

// RestWords says what the chances rest on.
func (t *Trip) RestWords(p units.Preferences) []string {
	out := []string{"Chances are reckoned from intervals and your own past parts; they do not know what was found. A part past a limit fails sooner than its age says."}
	if t.Harder > 1 {
		out = append(out, fmt.Sprintf("Load or heat: each km counts as %.3g and each day as %.3g, the trade's factors for severe service.", t.Harder, t.Longer))
	}
	if t.Unreckoned > 0 {
		out = append(out, fmt.Sprintf("%s that can strand you, too, of which no interval is known: not counted.", say.Capital(say.Count(t.Unreckoned, "part", "parts"))))
	}
	return append(out, fmt.Sprintf("Taken from %s to %s, %s in all.", t.Start.Long(), t.End.Long(), p.Show(advise.Kilometres(t.Km))))
}

// Words says how likely a part is to fail on the trip and what that means.
func (r *Risk) Words() string {
	return fmt.Sprintf("%s (%s). %s", say.Odds(r.P), r.Chance.Rests(), say.Sentence("If it fails: "+r.Chance.Life.LetsDown))
}

// RiskGroup is parts of which the same is to be said.
type RiskGroup struct {
	Judgements []*judge.Judgement
	Words      string
}

// RiskGroups gathers the likeliest let-downs, those of which the same is to be
// said together, up to a number of groups.
func (t *Trip) RiskGroups(most int) []RiskGroup {
	var out []RiskGroup
	for i := range t.Risks {
		j, words := t.Risks[i].Judgement, t.Risks[i].Words()
		at := slices.IndexFunc(out, func(g RiskGroup) bool { return g.Words == words && g.Judgements[0].Verdict == j.Verdict })
		switch {
		case at >= 0:
			out[at].Judgements = append(out[at].Judgements, j)
		case len(out) < most:
			out = append(out, RiskGroup{[]*judge.Judgement{j}, words})
		}
	}
	return out
}

// ChanceWords sums the let-downs up.
func (t *Trip) ChanceWords() string {
	strands := 0
	for i := range t.Risks {
		if t.Risks[i].Chance.Life.Strands {
			strands++
		}
	}
	return fmt.Sprintf("Being stranded by any of %s: %s; any failure at all, of %s: %s.", say.Count(strands, "part", "parts"), say.Odds(t.Stranded), say.Count(len(t.Risks), "part", "parts"), say.Odds(t.LetDown))
}

// Title names what to have on board.
func (c *Carry) Title() string { return say.Listing(c.Things) }

// Words says what something on board is for and what it helps.
func (c *Carry) Words() string {
	var parts []string
	for _, j := range c.For {
		parts = append(parts, say.LowerFirst(j.Position.Name))
	}
	const most = 3
	if n := len(parts); n > most {
		parts = append(parts[:most-1], fmt.Sprintf("%d others", n-most+1))
	}
	s := fmt.Sprintf("for the %s, chance of needing it %s", say.Listing(parts), say.Odds(c.P))
	if share := math.Round(100 * c.Share); share >= 1 {
		s += fmt.Sprintf(", %.0f %% of what may let you down", share)
	}
	if c.Roadside != "" {
		s += ". " + strings.TrimRight(c.Roadside, ".")
	}
	return s
}

// Words says what a change takes and does.
func (f *Fix) Words(currency string) string {
	s := fmt.Sprintf("%s; about %.0f min", f.Why, f.Minutes)
	if currency != "" && f.Money > 0 {
		s += " and " + say.Money(f.Money, currency)
	}
	if f.Was > 0 && say.Odds(f.Was) != say.Odds(f.New) {
		s += fmt.Sprintf("; chance of failing on the trip %s, %s when new", say.Odds(f.Was), say.Odds(f.New))
	}
	return s
}

// BeforeWords sums up what is to be done before the trip, or "".
func (t *Trip) BeforeWords() string {
	minutes, money := 0.0, 0.0
	for _, f := range append(append([]Fix{}, t.Must...), t.Fixes...) {
		minutes += f.Minutes
		money += f.Money
	}
	if minutes == 0 {
		return ""
	}
	s := "Together about " + say.Hours(minutes/60)
	if t.Currency != "" && money > 0 {
		s += " and " + say.Money(money, t.Currency)
	}
	return s + "; what several of them need opened counts once, where it comes first."
}

// View is a trip in JSON.
type View struct {
	Vehicle  string      `json:"vehicle"`
	Headline string      `json:"headline"`
	Start    civil.Date  `json:"start"`
	End      civil.Date  `json:"end"`
	Km       float64     `json:"km"`
	Parked   []string    `json:"parked,omitempty"`
	Stranded float64     `json:"chance_of_being_stranded"`
	LetDown  float64     `json:"chance_of_any_let_down"`
	After    float64     `json:"chance_of_being_stranded_after"`
	Accepted float64     `json:"accepted"`
	Reached  bool        `json:"within_accepted"`
	Before   []FixView   `json:"change_before,omitempty"`
	Passes   []PassView  `json:"passes_on_the_way,omitempty"`
	Risks    []RiskView  `json:"risks,omitempty"`
	Check    []PassView  `json:"check_on_the_way,omitempty"`
	Carry    []CarryView `json:"carry,omitempty"`
	RestsOn  []string    `json:"rests_on"`
}

// FixView is a change before the trip in JSON.
type FixView struct {
	Position string  `json:"position"`
	Why      string  `json:"why"`
	Money    float64 `json:"money"`
	Minutes  float64 `json:"minutes"`
	Was      float64 `json:"chance"`
	New      float64 `json:"chance_when_new"`
}

// PassView is a limit passed, or a check to make, on the way, in JSON.
type PassView struct {
	Position string `json:"position,omitempty"`
	Words    string `json:"words"`
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
}

// View returns the trip in JSON's form.
func (t *Trip) View(p units.Preferences) View {
	v := View{Vehicle: t.Vehicle.ID, Headline: t.Headline(p), Start: t.Start, End: t.End, Km: t.Km, Stranded: t.Stranded, LetDown: t.LetDown,
		After: t.After, Accepted: t.Under, Reached: t.Reached, RestsOn: t.RestWords(p)}
	for _, j := range t.Parked {
		v.Parked = append(v.Parked, j.Position.ID)
	}
	for _, f := range append(append([]Fix{}, t.Must...), t.Fixes...) {
		v.Before = append(v.Before, FixView{Position: f.Judgement.Position.ID, Why: f.Why, Money: f.Money, Minutes: f.Minutes, Was: f.Was, New: f.New})
	}
	for _, x := range t.Passes {
		v.Passes = append(v.Passes, PassView{Position: x.Judgement.Position.ID, Words: x.Words})
	}
	for _, x := range t.Risks {
		v.Risks = append(v.Risks, RiskView{Position: x.Judgement.Position.ID, Chance: x.P, Strands: x.Chance.Life.Strands, RestsOn: x.Chance.Rests(), LetsDown: x.Chance.Life.LetsDown})
	}
	for _, c := range t.Check {
		cv := PassView{Words: c.Words}
		if c.Position != nil {
			cv.Position = c.Position.ID
		}
		v.Check = append(v.Check, cv)
	}
	for _, c := range t.Carry {
		cv := CarryView{What: c.Title(), Things: c.Things, Chance: c.P, Share: c.Share, Roadside: c.Roadside}
		for _, j := range c.For {
			cv.For = append(cv.For, j.Position.ID)
		}
		v.Carry = append(v.Carry, cv)
	}
	return v
}
