package advise

import (
	"undertray.example/undertray/internal/fleet"
)

// Shown reports whether openings are all that is needed to see a position that
// is not in plain sight.
func Shown(seen, open []string) bool {
	return len(seen) > 0 && fleet.Subset(seen, open)
}

// Look is an opening through which something is seen.
type Look struct {
	Opening *fleet.Opening
	Needs   []*fleet.Opening // to be opened before it
	Minutes float64          // to open and to close it, and all it needs
	Shows   int              // positions that can then be seen and could not before
}

// Looks lists the openings through which some position is seen.
func Looks(v *fleet.Vehicle) []Look {
	var out []Look
	for _, id := range v.SeenThrough() {
		o := v.Opening(id)
		if o == nil {
			continue
		}
		l := Look{Opening: o}
		with := v.Closure([]string{id})
		for _, need := range with {
			step := v.Opening(need)
			l.Minutes += step.Both()
			if need != id {
				l.Needs = append(l.Needs, step)
			}
		}
		for i := range v.Positions {
			if Shown(v.Closure(v.Positions[i].Seen), with) {
				l.Shows++
			}
		}
		out = append(out, l)
	}
	return out
}
