package looks

import (
	"cmp"
	"math"
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// Picked is a choice of looks within so many minutes.
type Picked struct {
	Looks   []ahead.Looking // in walking order, those with the engine running last
	Open    []string        // what is opened for them, with all it needs, and closed again before the engine runs
	Running bool            // the engine is started for some of them
	Minutes float64         // openings and starting the engine included
	Worth   float64
	// Cautions are said before the looks: of what is opened, and of a running engine.
	Cautions []string
	Left     []ahead.Looking // worth something and not made, most first
	LeftFor  float64         // what leaving them costs, in the owner's money
}

// Pick chooses the looks that are worth most together within so many minutes.
// Openings, and starting the engine, count once; those that may be opened are
// named, nil for any. For given openings no choice is worth more; an opening is
// added while that helps.
func Pick(r *advise.Report, all []ahead.Looking, minutes float64, may []string) Picked {
	best := Picked{Worth: -1}
	for _, running := range []bool{false, true} {
		if p := opened(r, all, running, minutes, may); p.Worth > best.Worth+1e-9 {
			best = p
		}
	}
	for _, l := range all {
		if l.Worth >= leastWorth && !slices.ContainsFunc(best.Looks, l.Same) {
			best.Left, best.LeftFor = append(best.Left, l), best.LeftFor+l.Worth
		}
	}
	best.Cautions = best.cautions(r)
	walk := r.Walk()
	slices.SortStableFunc(best.Looks, func(a, b ahead.Looking) int {
		return cmp.Or(judge.FalseFirst(a.Running, b.Running),
			cmp.Compare(slices.Index(walk, a.Judgement), slices.Index(walk, b.Judgement)))
	})
	return best
}

// opened is the best choice with the engine started for it or not.
func opened(r *advise.Report, all []ahead.Looking, running bool, minutes float64, may []string) Picked {
	var open, chosen []string
	best := within(r, all, nil, running, minutes)
	for {
		gain := best.Worth * (1 + 1e-9)
		for _, id := range r.Vehicle.SeenThrough() {
			with := r.Vehicle.Closure(append(slices.Clone(open), id))
			if may != nil && !fleet.Subset(with, may) {
				continue
			}
			if p := within(r, all, with, running, minutes); p.Worth > gain+1e-9 {
				best, gain, chosen = p, p.Worth, with
			}
		}
		if len(chosen) == len(open) {
			return best
		}
		open = chosen
	}
}

// cautions are what is said before the looks: those of what is opened, and of a
// running engine.
func (p *Picked) cautions(r *advise.Report) []string {
	var out []string
	for _, id := range p.Open {
		out = append(out, r.Vehicle.Opening(id).Cautions...)
	}
	if p.Running {
		out = append(out, r.Catalogue.CautionsAt(catalogue.AtRunning)...)
	}
	return out
}

// leastWorth is what a look is worth at the least, in any money, to be named.
const leastWorth = 0.01

// slot is the grain of minutes in which looks are packed.
const slot = 0.5

// startMinutes is what it takes to start the engine, to let it idle and to stop it
// (common practice).
const startMinutes = 2

// within packs the looks that openings show, and those with the engine running where
// it is started, into what they leave of the minutes.
func within(r *advise.Report, all []ahead.Looking, open []string, running bool, minutes float64) Picked {
	p := Picked{Open: open, Running: running, Minutes: ahead.OpenMinutes(r, open)}
	if running {
		p.Minutes += startMinutes
	}
	room := int((minutes - p.Minutes) / slot)
	if room < 0 {
		return Picked{}
	}
	worth := make([]float64, room+1)
	taken := make([][]int, room+1)
	for i, l := range all {
		need := int(math.Ceil(l.Minutes / slot))
		if l.Worth < leastWorth || l.Running && !running || !fleet.Subset(l.Openings, open) {
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
