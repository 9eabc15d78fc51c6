package looks

// View is a choice of looks in JSON.
type View struct {
	Minutes float64    `json:"minutes"`
	Open    []string   `json:"open,omitempty"`
	Running bool       `json:"engine_started,omitempty"`
	Worth   float64    `json:"worth"` // in the owner's money
	Looks   []LookView `json:"looks,omitempty"`
	Left    []string   `json:"left_unseen,omitempty"`
	LeftFor float64    `json:"left_unseen_costs,omitempty"`
}

// LookView is one look and what its answers would change, in JSON. Chances of
// failing from 0 to 1.
type LookView struct {
	Position  string   `json:"position"`
	Checks    []string `json:"checks"`
	Running   bool     `json:"engine_running,omitempty"`
	Minutes   float64  `json:"minutes"`
	Worth     float64  `json:"worth"`
	Chance    float64  `json:"chance"`
	Good      float64  `json:"chance_if_nothing_is_found"`
	Bad       float64  `json:"chance_if_to_be_put_right"`
	ChangeNow bool     `json:"change_without_a_look,omitempty"`
	IfGood    bool     `json:"change_if_nothing_is_found,omitempty"`
	IfBad     bool     `json:"change_if_to_be_put_right,omitempty"`
	Words     string   `json:"words"`
}

// View returns the choice in JSON's form.
func (p *Picked) View() View {
	v := View{Minutes: p.Minutes, Open: p.Open, Running: p.Running, Worth: p.Worth, LeftFor: p.LeftFor}
	for i := range p.Looks {
		l := &p.Looks[i]
		lv := LookView{Position: l.Judgement.Position.ID, Running: l.Running, Minutes: l.Minutes, Worth: l.Worth,
			Chance: l.Chance, Good: l.Good, Bad: l.Bad,
			ChangeNow: l.Before, IfGood: l.IfGood, IfBad: l.IfBad, Words: l.Words().String()}
		for _, c := range l.Checks {
			lv.Checks = append(lv.Checks, c.ID)
		}
		v.Looks = append(v.Looks, lv)
	}
	for i := range p.Left {
		v.Left = append(v.Left, p.Left[i].Judgement.Position.ID)
	}
	return v
}
