package along

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/say/told"
)

// AlsoView is what else to change along, in JSON.
type AlsoView struct {
	Headline message.Text `json:"headline"`
	More     message.Text `json:"more,omitempty"`
	Together message.Text `json:"together,omitempty"`
	On       civil.Date   `json:"on"`
	Open     []string     `json:"open"`
	Offers   []OfferView  `json:"offers"`
	Looks    []string     `json:"look_at_too,omitempty"`
}

// OfferView is an offer in JSON.
type OfferView struct {
	Position string         `json:"position"`
	Why      message.Text   `json:"why"`
	Cause    *why.CauseView `json:"due,omitempty"`
	Minutes  float64        `json:"minutes"`
	Money    float64        `json:"money"`
	Saves    float64        `json:"saves_minutes"`
	Lost     float64        `json:"life_thrown_away"`
	Early    int            `json:"months_early"`
	Usual    bool           `json:"usual,omitempty"`
	Net      float64        `json:"net_cost"`
}

// View returns the answer in JSON's form.
func (a *Also) View() AlsoView {
	v := AlsoView{Headline: a.Headline(), More: told.Rest(a.Told()), Together: a.Together(), On: a.On,
		Offers: []OfferView{}}
	for _, o := range a.Open {
		v.Open = append(v.Open, o.ID)
	}
	for i := range a.Offers {
		o := &a.Offers[i]
		v.Offers = append(v.Offers, OfferView{Position: o.Judgement.Position.ID, Why: o.Why(), Cause: o.Cause.View(),
			Minutes: o.Minutes, Money: o.Money, Saves: o.Saves,
			Lost: o.Lost, Early: o.Early, Usual: o.Usual, Net: o.Net})
	}
	for _, j := range a.Looks {
		v.Looks = append(v.Looks, j.Position.ID)
	}
	return v
}
