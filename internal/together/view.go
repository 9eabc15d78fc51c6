package together

import "undertray.example/undertray/internal/message"

// RollView is a part of the roll in JSON.
type RollView struct {
	Headline message.Text `json:"headline"`
	Of       int          `json:"of"`      // vehicles of the yard
	From     int          `json:"from"`    // place of the first, from 1
	Waiting  int          `json:"waiting"` // vehicles not looked at yet today
	Lacks    message.Text `json:"lacks,omitempty"`
	Vehicles []RowView    `json:"vehicles"`
}

// RowView is a row in JSON.
type RowView struct {
	Vehicle string         `json:"vehicle"`
	Name    string         `json:"name"`
	By      string         `json:"by,omitempty"` // nearest deadline
	Told    []message.Text `json:"told"`
}

// View is the part in JSON.
func (s *Stretch) View() RollView {
	out := RollView{Headline: s.Told()[0], Of: s.Of, From: s.From + 1, Waiting: s.Waiting, Lacks: s.WaitingWords(),
		Vehicles: []RowView{}}
	for _, r := range s.Rows {
		out.Vehicles = append(out.Vehicles, RowView{r.Vehicle, r.Name, r.By.String(), r.Told})
	}
	return out
}
