package ahead

import (
	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/judge"
)

// MendOf is what can be mended of a part's failure beside the road, where a spare
// that fits one part is counted for the likeliest of those that may need it before
// the next visit.
func MendOf(r *advise.Report, j *judge.Judgement) aboard.Mend {
	s := UntilVisit(r)
	return mendOn(r, j, s.Km, s.Days)
}

// mendOn is the same for a stretch of so many km and days.
func mendOn(r *advise.Report, j *judge.Judgement, km, days float64) aboard.Mend {
	own := r.Mend(j)
	if own.Spare == nil || !own.Spare.FitsOne || own.Holds == 0 {
		return own
	}
	var all []aboard.Failing
	at := -1
	for i := range r.Judgements {
		k := &r.Judgements[i]
		m := r.Mend(k)
		if !k.Strands() || m.Spare == nil || m.Spare.Entry != own.Spare.Entry {
			continue
		}
		if k == j {
			at = len(all)
		}
		f := aboard.Failing{Part: k, Mend: m}
		if c, ok := ChanceOf(r, k); ok && !c.Guessed() {
			f.P = c.within(km, days)
		}
		all = append(all, f)
	}
	if at < 0 || len(all) < 2 {
		return own
	}
	aboard.Serve(all)
	return all[at].Mend
}
