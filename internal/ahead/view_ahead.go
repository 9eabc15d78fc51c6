package ahead

import (
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/units"
)

// View returns a report in JSON's form with every position and what lies ahead
// of it.
func View(r *advise.Report, p units.Preferences) advise.VehicleView {
	v := r.View(p)
	for _, j := range r.Walk() {
		v.Positions = append(v.Positions, PositionView(r, j, p))
	}
	return v
}

// PositionView returns one judgement in JSON's form, with what lies ahead.
func PositionView(r *advise.Report, j *judge.Judgement, p units.Preferences) advise.PositionView {
	v := r.PositionView(j, p)
	v.Ahead = aheadView(r, j, p)
	return v
}

func aheadView(r *advise.Report, j *judge.Judgement, p units.Preferences) *advise.AheadView {
	o := OutlookOf(r, j)
	v := &advise.AheadView{Words: o.Lines(p, true), LetsDown: LetsDown(j)}
	for i := range o.Wear {
		w := &o.Wear[i]
		wv := advise.WearoutView{Check: w.Check.ID, Limit: w.Bound, Authority: w.Limit.Authority, Governs: w.Governs,
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
