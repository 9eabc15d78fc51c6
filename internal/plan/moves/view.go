package moves

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
)

// ChangeView is what moved in a plan, in JSON.
type ChangeView struct {
	Position string         `json:"position"`
	Words    message.Text   `json:"words"`
	Was      civil.Date     `json:"was,omitzero"`
	Is       civil.Date     `json:"is,omitzero"`
	DoneOn   civil.Date     `json:"done_on,omitzero"`
	Why      []message.Text `json:"because,omitempty"`
}

// View returns the change in JSON's form.
func (c *Change) View() ChangeView {
	return ChangeView{Position: c.Position.ID, Words: c.Words(), Was: c.Was, Is: c.Is, DoneOn: c.DoneOn,
		Why: c.Because()}
}
