package sheet

import "undertray.example/undertray/internal/fleet"

// visits checks how much work and money there is, and when.
func (c *checker) visits(r fleet.VisitRules) {
	if r.Hours < 0 || r.Hours > 24 {
		c.Wrong("visits.hours", "hours is %v: write the hours of work that fit in one visit, from 0.5 to 24", r.Hours)
	}
	closed := map[string]bool{}
	for i, name := range r.NotIn {
		path := item("visits.not_in", i)
		if c.Broken(path) {
			continue
		}
		m, err := fleet.ParseMonth(name)
		if err != nil {
			c.Wrong(path, "%v", err)
			continue
		}
		closed[m.String()] = true
	}
	if len(closed) == 12 {
		c.Wrong("visits.not_in", "not_in names every month: leave at least one for visits")
	}
}
