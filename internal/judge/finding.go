package judge

import (
	"iter"
	"math"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// findingReasons returns every opinion on one finding, one for each authority
// and source, with those that govern marked.
func (in *Input) findingReasons(place *fleet.Place, kind *catalogue.Kind, f *fleet.Finding) []Reason {
	check := kind.Check(f.Check)
	if check == nil {
		return nil
	}
	measured := f.Value
	if check.Of != "" && measured != nil {
		measured = share(*measured, place.Fitted.Spec.Spec, check.Of)
	}
	var out []Reason
	for _, limits := range bySpeaker(check, place) {
		r := Reason{Finding: f, Check: check, Authority: limits[0].Authority, Verdict: fleet.Keep}
		spoke := false
		for _, l := range limits {
			l = in.byDriven(place.Position, l)
			holds, about := meets(l, f.Answer, f.Value, measured)
			if about && !spoke {
				r.Source, r.Says = l.Source, l.Rule()
			}
			spoke = spoke || about
			if holds && (r.Limit == nil || l.Verdict > r.Verdict) {
				r.Limit, r.Verdict, r.Source, r.Says = l, l.Verdict, l.Source, l.Rule()
			}
		}
		if r.Verdict == fleet.Keep && r.Limit == nil {
			r.Ahead = ahead(limits, f.Value, measured)
		}
		if spoke {
			out = append(out, r)
		}
	}
	govern(out, in.State.Vehicle.Stance)
	return out
}

// ahead returns the nearest bound of some limits that a figure has not met,
// those that ask for most where two are alike; nil for none.
func ahead(limits []*fleet.Limit, value, measured *units.Quantity) *Ahead {
	var best *Ahead
	if value == nil {
		return nil
	}
	for _, l := range limits {
		for _, side := range []struct {
			bound *units.Quantity
			above bool
		}{{l.AtLeast, true}, {l.MoreThan, true}, {l.AtMost, false}, {l.LessThan, false}} {
			if side.bound == nil {
				continue
			}
			against := value
			if side.bound.Dimension() != value.Dimension() && measured != nil {
				against = measured
			}
			v, err := against.Convert(side.bound.Unit())
			gap := side.bound.Value() - v
			if !side.above {
				gap = -gap
			}
			if err != nil || gap < 0 || best != nil && !nearer(gap, side.bound.Unit(), best.By) {
				continue
			}
			if by, err := units.New(tidy(gap), side.bound.Unit()); err == nil {
				best = &Ahead{Limit: l, Bound: *side.bound, By: by}
			}
		}
	}
	return best
}

// nearer reports whether a gap is less than another; of two sorts, such as a
// share of the part's figure and that figure itself, the first holds.
func nearer(gap float64, unit string, than units.Quantity) bool {
	other, err := than.Convert(unit)
	return err == nil && gap <= other
}

// tidy rounds a difference of two written figures to two digits.
func tidy(x float64) float64 {
	if x == 0 {
		return 0
	}
	step := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-1)
	return math.Round(x/step) * step
}

// bySpeaker groups the limits on a check that hold for the part at the place
// by who says so and where: two published standards that disagree are two
// speakers. The sheet's own come after the catalogue's, in order of first
// appearance.
func bySpeaker(check *catalogue.Check, place *fleet.Place) [][]*fleet.Limit {
	var groups [][]*fleet.Limit
	for l := range limitsOn(check, place.Position, place.Fitted) {
		i := slices.IndexFunc(groups, func(g []*fleet.Limit) bool {
			return g[0].Authority == l.Authority && g[0].Source.Equal(l.Source)
		})
		if i < 0 {
			groups = append(groups, []*fleet.Limit{l})
			continue
		}
		groups[i] = append(groups[i], l)
	}
	return groups
}

// limitsOn goes through the limits on a check that hold for a part at a position,
// the catalogue's before the sheet's own.
func limitsOn(check *catalogue.Check, position *fleet.Position, part *fleet.Part) iter.Seq[*fleet.Limit] {
	return func(yield func(*fleet.Limit) bool) {
		own := ownLimits(position, check.ID)
		for i := range check.Limits {
			l := &check.Limits[i]
			if !ofMaterial(l.Materials, part.Material()) || slices.ContainsFunc(own, func(o *fleet.Limit) bool {
				return standsFor(o.Authority, l.Authority)
			}) {
				continue
			}
			if !yield(l) {
				return
			}
		}
		for _, l := range own {
			if ofMaterial(l.Materials, part.Material()) && !yield(l) {
				return
			}
		}
	}
}

// Speakers groups the limits on a check that hold for the part at a place by
// who says so, as opinions on a finding are.
func Speakers(check *catalogue.Check, place *fleet.Place) [][]*fleet.Limit {
	return bySpeaker(check, place)
}

// ownLimits returns what the vehicle sheet itself says about a check.
func ownLimits(p *fleet.Position, check string) []*fleet.Limit {
	var own []*fleet.Limit
	for i := range p.Limits {
		if p.Limits[i].Check == check {
			own = append(own, &p.Limits[i])
		}
	}
	return own
}

// standsFor reports whether what the sheet says under one authority stands in
// place of what the catalogue says under another: this vehicle's book for what
// vehicle makers say in general, this part's box for part makers in general.
func standsFor(own, general fleet.Authority) bool {
	return own == general && (own == fleet.VehicleMaker || own == fleet.PartMaker)
}

// ofMaterial reports whether something said of these materials holds for a
// part. With no materials named it always does, and a part of unknown
// material is held to all of it.
func ofMaterial(materials []string, of string) bool {
	return len(materials) == 0 || of == "" || slices.Contains(materials, of)
}

// meets reports whether a limit's condition holds for an answer or a figure,
// and whether the limit says anything about it at all. Bounds in % are
// compared with measured, the share of the part's spec figure, others with
// value itself.
func meets(l *fleet.Limit, answer string, value, measured *units.Quantity) (holds, about bool) {
	if l.Is != "" {
		return l.Is == answer, l.Is == answer
	}
	if value == nil {
		return false, false
	}
	holds = true
	test := func(bound *units.Quantity, ok func(cmp int) bool) {
		if bound == nil {
			return
		}
		against := value
		if bound.Dimension() != value.Dimension() && measured != nil {
			against = measured
		}
		c, err := against.Compare(*bound)
		if err != nil {
			holds = false
			return
		}
		about = true
		holds = holds && ok(c)
	}
	test(l.AtLeast, func(c int) bool { return c >= 0 })
	test(l.MoreThan, func(c int) bool { return c > 0 })
	test(l.AtMost, func(c int) bool { return c <= 0 })
	test(l.LessThan, func(c int) bool { return c < 0 })
	return holds && about, about
}

// share returns a figure as a percentage of the part's spec figure, or nil
// where the part does not have it.
func share(value units.Quantity, spec map[string]units.Quantity, of string) *units.Quantity {
	if value.Dimension() == units.Percent {
		return &value
	}
	whole, ok := spec[of]
	if !ok || whole.Dimension() != value.Dimension() || whole.Base() == 0 {
		return nil
	}
	q, err := units.New(100*value.Base()/whole.Base(), "%")
	if err != nil {
		return nil
	}
	return &q
}

// govern marks which opinions on one matter govern under a stance.
func govern(opinions []Reason, stance fleet.Stance) {
	follow := stance.Authority()
	has := follow != "" && slices.ContainsFunc(opinions, func(r Reason) bool { return r.Authority == follow })
	worst := fleet.Unseen
	for _, r := range opinions {
		if !has || r.Authority == follow || r.Verdict == fleet.Park {
			worst = max(worst, r.Verdict)
		}
	}
	for i := range opinions {
		r := &opinions[i]
		r.Governs = r.Verdict == worst && (!has || r.Authority == follow || worst == fleet.Park)
	}
}

// Since is the day from which the findings of a reason's check have met the limit that it rests on, without a
// better one between; the day of its finding where it rests on no limit, and zero where on no finding.
func Since(r *Reason, place *fleet.Place) civil.Date {
	if r.Finding == nil {
		return civil.Date{}
	}
	since := r.Finding.Date
	if r.Limit == nil {
		return since
	}
	for _, f := range slices.Backward(place.Findings) {
		if f.Check != r.Check.ID || since.Before(f.Date) {
			continue
		}
		if holds, _ := meets(r.Limit, f.Answer, f.Value, nil); !holds || !place.Fitted.Had(f) || f.Settled != "" {
			break
		}
		since = f.Date
	}
	return since
}
