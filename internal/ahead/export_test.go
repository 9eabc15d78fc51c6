package ahead

import (
	"undertray.example/undertray/condition"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/judge"
)

// Believed is what is believed of a new part of the chance's kind before anything is
// learnt, and as how old one may begin.
func (c *Chance) Believed() (condition.Prior, []condition.Age, error) {
	p, err := c.course.prior(c.report.Catalogue.Looks())
	return p, c.course.begun(nil), err
}

// PerfectWorth is what a look that names the stage of a part would be worth for a stretch.
func PerfectWorth(r *advise.Report, j *judge.Judgement, s Stretch) (float64, error) {
	c, ok := chanceOf(r, j, []Wearout{})
	change, can := s.Change(j)
	_, senses := atRest(r, j)
	if sorts := senses.rungs(r.Catalogue.Looks()); ok && can && sorts[0] >= 0 {
		w, err := c.part.Worth(c.decision(r, j, s, change), sorts)
		return w.Perfect, err
	}
	return -1, nil
}
