package buying

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
)

// ShoppingView is a list of what to buy in JSON.
type ShoppingView struct {
	Vehicle  string       `json:"vehicle,omitempty"`
	On       civil.Date   `json:"on"`
	Until    civil.Date   `json:"until"`
	Headline message.Text `json:"headline"`
	More     message.Text `json:"more,omitempty"`
	Cost     string       `json:"cost,omitempty"`
	Orders   []LotView    `json:"orders"`
}

// LotView is what to order by one day in JSON.
type LotView struct {
	Vehicle string             `json:"vehicle"`
	By      civil.Date         `json:"by"`
	Use     message.Text       `json:"for"`
	Visit   int                `json:"visit,omitempty"`
	Parts   []visit.PartView   `json:"parts,omitempty"`
	Ready   []fleet.Consumable `json:"have_ready,omitempty"`
	Cost    string             `json:"cost,omitempty"`
	Had     []visit.PartView   `json:"bought,omitempty"`
}

// View returns the list in JSON's form.
func (s *Shopping) View() ShoppingView {
	v := ShoppingView{On: s.On, Until: s.End, Headline: s.Headline(), More: told.Rest(s.Told()), Cost: s.Cost(),
		Orders: []LotView{}}
	if s.Vehicle != nil {
		v.Vehicle = s.Vehicle.ID
	}
	for i := range s.Lots {
		l := &s.Lots[i]
		v.Orders = append(v.Orders, LotView{Vehicle: l.Vehicle.ID, By: l.By, Use: l.Use(), Visit: l.Visit,
			Parts: l.Job.View().Parts, Ready: l.Job.Consumables, Cost: l.Job.Cost(),
			Had: visit.PartViews(l.Had)})
	}
	return v
}
