package finish

import (
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// View is a form in JSON.
type View struct {
	Headline string        `json:"headline"`
	Entry    string        `json:"entry"` // that began the sheet
	Missing  []string      `json:"not_ticked,omitempty"`
	Changed  []ChangedView `json:"changed,omitempty"`
	Righted  []RightedView `json:"put_right,omitempty"`
	Looked   []LookedView  `json:"looked_at,omitempty"`
	Used     []UsedView    `json:"used,omitempty"`
}

// UsedView is a consumable in JSON, by itself or as it was bought.
type UsedView struct {
	fleet.Consumable
	Bought bool `json:"bought"`
}

// ChangedView is a changed part in JSON.
type ChangedView struct {
	Position string             `json:"position"`
	Ticked   bool               `json:"ticked"`
	Part     fleet.PartSpec     `json:"part"`
	From     Source             `json:"from,omitempty"`
	Set      string             `json:"set,omitempty"`
	Removed  fleet.Removal      `json:"removed,omitempty"`
	Hand     []*catalogue.Check `json:"in_hand,omitempty"`
}

// RightedView is what was put right, in JSON.
type RightedView struct {
	Position string       `json:"position"`
	Ticked   bool         `json:"ticked"`
	Action   fleet.Action `json:"action"`
	Settles  []string     `json:"settles,omitempty"`
	Words    string       `json:"words"`
}

// LookedView is a look in JSON.
type LookedView struct {
	Position string   `json:"position"`
	Ticked   bool     `json:"ticked"`
	Checks   []string `json:"checks"`
}

// View returns the form in JSON's form.
func (f *Form) View() View {
	v := View{Headline: f.Headline().String(), Entry: f.Job.Work.Begun.ID}
	for _, st := range f.Missing {
		v.Missing = append(v.Missing, st.Keys...)
	}
	for i := range f.Changed {
		c := &f.Changed[i]
		v.Changed = append(v.Changed, ChangedView{c.Judgement.Position.ID, c.Ticked, c.Part, c.From, c.Set, c.Removed,
			c.Hand})
	}
	for i := range f.Righted {
		r := &f.Righted[i]
		v.Righted = append(v.Righted, RightedView{r.Judgement.Position.ID, r.Ticked, r.Action, r.Settles,
			r.What.String()})
	}
	for i := range f.Looked {
		l := LookedView{Position: f.Looked[i].Judgement.Position.ID, Ticked: f.Looked[i].Ticked}
		for _, c := range f.Looked[i].Checks {
			l.Checks = append(l.Checks, c.ID)
		}
		v.Looked = append(v.Looked, l)
	}
	for _, u := range f.Used {
		v.Used = append(v.Used, UsedView{u.Consumable, u.Bought != nil})
	}
	return v
}

// ChangesView is what keeping a batch changed, in JSON.
type ChangesView struct {
	Gone   []string `json:"no_longer_to_do,omitempty"` // positions
	Left   []string `json:"still_to_put_right,omitempty"`
	Before float64  `json:"stranded_before,omitempty"`
	After  float64  `json:"stranded_after,omitempty"`
	Words  []string `json:"words"`
}

// View returns the changes in JSON's form.
func (c *Changes) View(p units.Preferences) ChangesView {
	v := ChangesView{Words: told.InEnglish(c.Words(p))}
	for _, j := range c.Gone {
		v.Gone = append(v.Gone, j.Position.ID)
	}
	for _, j := range c.Left {
		v.Left = append(v.Left, j.Position.ID)
	}
	if c.Chance {
		v.Before, v.After = c.Before, c.After
	}
	return v
}
