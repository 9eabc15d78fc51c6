package ahead

import (
	"slices"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/lifetime"
	"undertray.example/undertray/units"
)

// KindLives is how long parts of one kind last in a yard: those that came off,
// those still at work, and what is believed of a new one.
type KindLives struct {
	Kind  *catalogue.Kind `json:"-"`
	Parts []PartLife      `json:"parts"` // those at work first
	// Unit says whether ages are in km, in h or in years.
	Unit   string          `json:"unit"`
	Due    *judge.Due      `json:"-"` // the interval the belief starts from
	Curve  []SurvivalPoint `json:"still_good"`
	Mean   float64         `json:"mean"` // mean life believed, in Unit
	counts units.Dimension
	failed int
}

// PartLife is one part of the kind.
type PartLife struct {
	Vehicle  string        `json:"vehicle"`
	Position string        `json:"position"`
	Name     string        `json:"name"`
	Age      float64       `json:"age"`                    // in KindLives.Unit
	Entry    float64       `json:"watched_from,omitempty"` // age at which the journal began to watch it
	Failed   bool          `json:"failed,omitempty"`
	Running  bool          `json:"at_work,omitempty"`
	Removed  fleet.Removal `json:"removed,omitempty"`
}

// SurvivalPoint is the share of parts still good at an age: believed before
// and after the yard's own parts, with the middle eight in ten of the latter.
type SurvivalPoint struct {
	Age   float64 `json:"age"`
	Prior float64 `json:"by_the_interval"`
	Mid   float64 `json:"with_own_parts"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// curvePoints is the number of ages at which a survival curve is worked out.
const curvePoints = 40

// Lives works out how long parts of a kind last in the yard of these reports.
// It returns false where no part of the kind is in the yard, or no authority
// names an interval to start from.
func Lives(reports []*advise.Report, kind *catalogue.Kind) (*KindLives, bool) {
	j, r := firstOf(reports, kind.ID)
	if j == nil {
		return nil, false
	}
	k := &KindLives{Kind: kind, Due: replacementInterval(j), counts: r.Vehicle.Counts.Dimension()}
	if k.Due == nil {
		return nil, false
	}
	in, interval, scale := byTime, 0.0, 365.2425
	k.Unit = "years"
	if q := k.Due.Interval.Time; q != nil {
		interval = q.Base()
	} else {
		in, interval, scale = byDistance, k.Due.Interval.Distance.Base(), 1
		k.Unit = units.Preferences{Counts: k.counts}.CounterUnit()
	}
	x := r.Experienced()
	obs := k.gather(x, in, scale)
	if err := k.curve(r, obs, interval, scale); err != nil {
		return nil, false
	}
	return k, true
}

// firstOf finds a judgement of the kind whose governing interval names a
// figure.
func firstOf(reports []*advise.Report, kind string) (*judge.Judgement, *advise.Report) {
	for _, r := range reports {
		for i := range r.Judgements {
			if r.Judgements[i].Kind.ID == kind && replacementInterval(&r.Judgements[i]) != nil {
				return &r.Judgements[i], r
			}
		}
	}
	return nil, nil
}

func (k *KindLives) gather(x *advise.Experience, in exposure, scale float64) []lifetime.Observation {
	var obs []lifetime.Observation
	for _, l := range x.Of(k.Kind.ID, k.counts) {
		o, ok := observation(&l, in)
		if !ok {
			continue
		}
		obs = append(obs, o)
		failed := o.Outcome == lifetime.Failed
		if failed {
			k.failed++
		}
		k.Parts = append(k.Parts, PartLife{Vehicle: l.State.Vehicle.Name, Position: l.Place.Position.ID,
			Name: l.Place.Position.Name,
			Age:  o.Age / scale, Entry: o.Entry / scale, Failed: failed, Running: l.Part.To.Date.IsZero(),
			Removed: l.Part.Removed})
	}
	slices.SortStableFunc(k.Parts, func(a, b PartLife) int { return judge.FalseFirst(a.Running, b.Running) })
	return obs
}

func (k *KindLives) curve(r *advise.Report, obs []lifetime.Observation, interval, scale float64) error {
	life := k.Kind.Life
	if life == nil {
		life = &catalogue.Life{}
	}
	prior, err := lifetime.FromInterval(interval, reading(r.Catalogue.Lives(), life))
	if err != nil {
		return err
	}
	before, err := prior.Update(nil, lifetime.GridOptions{})
	if err != nil {
		return err
	}
	after, err := prior.Update(obs, lifetime.GridOptions{})
	if err != nil {
		return err
	}
	k.Mean = after.Mean() / scale
	last, err := before.Quantile(0.98)
	if err != nil {
		return err
	}
	for i := range curvePoints + 1 {
		age := last * float64(i) / curvePoints
		alive := func(l lifetime.Life) float64 { return l.Survival(age) }
		low, errLow := after.QuantileOf(0.1, alive)
		high, errHigh := after.QuantileOf(0.9, alive)
		if errLow != nil || errHigh != nil {
			continue
		}
		k.Curve = append(k.Curve, SurvivalPoint{Age: age / scale, Prior: before.Survival(age), Mid: after.Survival(age),
			Low: low, High: high})
	}
	return nil
}

// Bands returns the two curves to draw: by the interval alone, and with the
// yard's own parts.
func (k *KindLives) Bands() (before, after []draw.Band) {
	for _, c := range k.Curve {
		before = append(before, draw.Band{X: c.Age, Mid: c.Prior, Lo: c.Prior, Hi: c.Prior})
		after = append(after, draw.Band{X: c.Age, Mid: c.Mid, Lo: c.Low, Hi: c.High})
	}
	return before, after
}

// Ages returns the ages at which parts failed, and those up to which others
// held, in Unit.
func (k *KindLives) Ages() (failed, held []float64) {
	for _, p := range k.Parts {
		if p.Failed {
			failed = append(failed, p.Age)
			continue
		}
		held = append(held, p.Age)
	}
	return failed, held
}
