package trip

import (
	"math"
	"slices"

	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
)

// serve counts each spare that fits one part alone for the likeliest to need it as
// the vehicle stands.
func serve(risks []Risk) {
	var all []aboard.Failing
	for _, risk := range risks {
		if risk.Judgement.Strands() {
			all = append(all, aboard.Failing{Part: risk.Judgement, P: risk.P, Mend: risk.Mend})
		}
	}
	aboard.Serve(all)
	for i := range risks {
		if k := slices.IndexFunc(all, func(f aboard.Failing) bool { return f.Part == risks[i].Judgement }); k >= 0 {
			risks[i].Mend = all[k].Mend
		}
	}
}

// failing is what can strand, with some changes done.
func failing(risks []Risk, fixes []Fix) []aboard.Failing {
	var out []aboard.Failing
	for _, risk := range risks {
		if risk.Judgement.Strands() {
			out = append(out, aboard.Failing{Part: risk.Judgement, P: risk.with(fixes), Mend: risk.Mend})
		}
	}
	return out
}

// with is the chance of the part failing with some changes done.
func (r *Risk) with(fixes []Fix) float64 {
	if slices.ContainsFunc(fixes, func(f Fix) bool { return f.Judgement == r.Judgement && f.Do == fleet.Change }) {
		return r.New
	}
	return r.P
}

// stranded is the chance of being stranded with some changes done.
func (t *Trip) stranded(fixes []Fix) float64 { return 1 - aboard.Through(failing(t.Risks, fixes)) }

// pools is what the spares that several parts may need add to the chance of getting
// through, beside which those of a set of changes take away: by change the spare, -1
// for none, and by how much it changes the spare's odds.
type pools struct {
	odds []float64
	of   []int
	by   []float64
}

// gain is the logarithm of what the changes of a set, by bit, add through the spares.
func (p *pools) gain(set int) float64 {
	sum := 0.0
	for k, odds := range p.odds {
		by := 0.0
		for i, of := range p.of {
			if of == k && set&(1<<i) != 0 {
				by += p.by[i]
			}
		}
		sum += math.Log1p(max(0, odds+by)) - math.Log1p(odds)
	}
	return sum
}

// poolsOf is the pools beside which changes are weighed, with what is changed anyway.
func (t *Trip) poolsOf(all []Fix) pools {
	parts := failing(t.Risks, t.Must)
	spares := aboard.Pools(parts)
	p := pools{odds: make([]float64, len(spares))}
	for k := range spares {
		p.odds[k] = spares[k].Odds
	}
	for _, f := range all {
		k, by := -1, 0.0
		for _, part := range parts {
			if part.Part == f.Judgement {
				k = slices.IndexFunc(spares, func(s aboard.Pool) bool { return s.Thing == part.Once() })
				renewed := part
				renewed.P = f.New
				if k >= 0 {
					by = renewed.Odds() - part.Odds()
				}
			}
		}
		p.of, p.by = append(p.of, k), append(p.by, by)
	}
	return p
}

// aloneGain is the logarithm of what a change adds to the chance of getting through
// but for the spare that others may need too.
func (f *Fix) aloneGain(pooled bool) float64 {
	if f.Do != fleet.Change || !f.Judgement.Strands() {
		return 0
	}
	was, anew := f.mend.Strands(f.Was), f.mend.Strands(f.New)
	if pooled {
		was, anew = f.Was, f.New
	}
	if was >= 1 {
		return 0
	}
	return math.Log1p(-anew) - math.Log1p(-was)
}

// aboardWith is the chance of being stranded, as After, were things aboard.
func (t *Trip) aboardWith(r *advise.Report, things []string) float64 {
	risks := slices.Clone(t.Risks)
	for i := range risks {
		risks[i].Mend = r.Mend(risks[i].Judgement).With(things, r.State)
	}
	serve(risks)
	return 1 - aboard.Through(failing(risks, slices.Concat(t.Must, t.Fixes)))
}
