package ahead

import "undertray/condition"

// Believed is what is believed of a new part of the chance's kind before anything is
// learnt, and as how old one may begin.
func (c *Chance) Believed() (condition.Prior, []condition.Age, error) {
	p, err := c.course.prior(c.report.Catalogue.Looks())
	return p, c.course.begun(nil), err
}
