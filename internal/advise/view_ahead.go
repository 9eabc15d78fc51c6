package advise

import (
	"undertray/civil"
	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/units"
)

// AheadView is an outlook in JSON.
type AheadView struct {
	Words []string      `json:"words"`
	Wear  []WearoutView `json:"wear,omitempty"`
	// Chance is the chance, 0 to 1, of failing before the next visit.
	Chance   *float64 `json:"chance_before_next_visit,omitempty"`
	RestsOn  string   `json:"chance_rests_on,omitempty"`
	LetsDown string   `json:"if_it_fails,omitempty"`
	// Look is the day by which to look again, and Unseen the chance of failing
	// before it.
	Look   civil.Date `json:"look_by,omitzero"`
	Unseen *float64   `json:"chance_unseen_by_then,omitempty"`
}

// WearoutView is a forecast of one figure against one limit, in JSON.
type WearoutView struct {
	Check        string          `json:"check"`
	Limit        units.Quantity  `json:"limit"`
	Authority    fleet.Authority `json:"authority"`
	Governs      bool            `json:"governs"`
	When         WhenView        `json:"when"`
	RestsOn      string          `json:"rests_on"`
	TimesWear    float64         `json:"times_the_wear_expected,omitempty"`
	Measurements int             `json:"measurements"`
}

func (r *Report) aheadView(j *judge.Judgement, p units.Preferences) *AheadView {
	o := r.Outlook(j)
	v := &AheadView{Words: o.Lines(p, true), LetsDown: LetsDown(j)}
	for i := range o.Wear {
		w := &o.Wear[i]
		wv := WearoutView{Check: w.Check.ID, Limit: w.Bound, Authority: w.Limit.Authority, Governs: w.Governs,
			When: w.When.View(), RestsOn: w.Rests(), Measurements: w.Basis.Own}
		if w.Surprise != nil && w.Surprise.Contradicts {
			wv.TimesWear = w.Surprise.Factor
		}
		v.Wear = append(v.Wear, wv)
	}
	if o.Chance != nil {
		_, chance := o.Chance.untilVisit()
		v.Chance, v.RestsOn = &chance, o.Chance.Rests()
	}
	if o.Next != nil {
		v.Look, v.Unseen = o.Next.On, &o.Next.Chance
	}
	if len(v.Words) == 0 && v.Chance == nil {
		return nil
	}
	return v
}
