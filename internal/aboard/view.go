package aboard

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// View is what is aboard, in JSON.
type View struct {
	Vehicle  string       `json:"vehicle"`
	Headline message.Text `json:"headline"`
	Caution  message.Text `json:"caution"`
	Things   []ThingView  `json:"things"`
}

// ThingView is one thing in JSON.
type ThingView struct {
	Thing  string     `json:"thing"`
	Aboard bool       `json:"aboard"`
	Since  civil.Date `json:"since,omitzero"`
	For    []string   `json:"for"`
}

// ViewOf returns what is aboard in JSON's form.
func ViewOf(v *fleet.Vehicle, things []Thing) View {
	out := View{Vehicle: v.ID, Headline: Headline(v, things), Caution: Caution, Things: []ThingView{}}
	for _, t := range things {
		x := ThingView{Thing: t.Name, Aboard: t.Entry != nil, For: []string{}}
		if t.Entry != nil {
			x.Since = t.Entry.Date
		}
		for _, j := range t.For {
			x.For = append(x.For, j.Position.ID)
		}
		out.Things = append(out.Things, x)
	}
	return out
}
