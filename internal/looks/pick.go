package looks

import (
	"cmp"
	"math"
	"slices"

	"undertray/internal/advise"
	"undertray/internal/ahead"
	"undertray/internal/fleet"
)

// Picked is a choice of looks within so many minutes.
type Picked struct {
	Looks   []ahead.Looking // in walking order
	Open    []string        // what is opened for them, with all it needs
	Minutes float64         // openings included
	Worth   float64
	Left    []ahead.Looking // worth something and not made, most first
	LeftFor float64         // what leaving them costs, in the owner's money
}

// Pick chooses the looks that are worth most together within so many minutes.
// Openings count once; those that may be opened are named, nil for any. For given
// openings no choice is worth more; an opening is added while that helps.
func Pick(r *advise.Report, all []ahead.Looking, minutes float64, may []string) Picked {
	var open, chosen []string
	best := within(r, all, nil, minutes)
	for {
		gain := best.Worth * (1 + 1e-9)
		for _, id := range r.Vehicle.SeenThrough() {
			with := r.Vehicle.Closure(append(slices.Clone(open), id))
			if may != nil && !fleet.Subset(with, may) {
				continue
			}
			if p := within(r, all, with, minutes); p.Worth > gain+1e-9 {
				best, gain, chosen = p, p.Worth, with
			}
		}
		if len(chosen) == len(open) {
			break
		}
		open = chosen
	}
	for _, l := range all {
		if l.Worth >= leastWorth && !slices.ContainsFunc(best.Looks, func(o ahead.Looking) bool { return o.Judgement == l.Judgement }) {
			best.Left, best.LeftFor = append(best.Left, l), best.LeftFor+l.Worth
		}
	}
	walk := r.Walk()
	slices.SortStableFunc(best.Looks, func(a, b ahead.Looking) int {
		return cmp.Compare(slices.Index(walk, a.Judgement), slices.Index(walk, b.Judgement))
	})
	return best
}

// leastWorth is what a look is worth at the least, in any money, to be named.
const leastWorth = 0.01

// slot is the grain of minutes in which looks are packed.
const slot = 0.5

// within packs the looks that openings show into what they leave of the minutes.
func within(r *advise.Report, all []ahead.Looking, open []string, minutes float64) Picked {
	p := Picked{Open: open, Minutes: ahead.OpenMinutes(r, open)}
	room := int((minutes - p.Minutes) / slot)
	if room < 0 {
		return Picked{}
	}
	worth := make([]float64, room+1)
	taken := make([][]int, room+1)
	for i, l := range all {
		need := int(math.Ceil(l.Minutes / slot))
		if l.Worth < leastWorth || !fleet.Subset(l.Openings, open) {
			continue
		}
		for at := room; at >= need; at-- {
			if v := worth[at-need] + l.Worth; v > worth[at] {
				worth[at], taken[at] = v, append(slices.Clone(taken[at-need]), i)
			}
		}
	}
	p.Worth = worth[room]
	for _, i := range taken[room] {
		p.Looks, p.Minutes = append(p.Looks, all[i]), p.Minutes+all[i].Minutes
	}
	return p
}
