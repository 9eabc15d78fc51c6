package plan

import (
	"fmt"

	"undertray/internal/say"
)

// Words says what the move costs.
func (v *Moved) Words() string {
	s := fmt.Sprintf("%s in %s in place of %s: ", v.Position.Name, v.is.MonthYear(), v.was.MonthYear())
	switch {
	case len(v.Against) > 0:
		return s + "not possible. " + say.Sentence(v.Against[0])
	case v.Costs > 0.5:
		return s + fmt.Sprintf("costs %s more, time and risk counted in.", say.Money(v.Costs, v.Currency))
	case v.Costs < -0.5:
		return s + fmt.Sprintf("costs %s less, time and risk counted in.", say.Money(-v.Costs, v.Currency))
	}
	return s + "costs no more."
}
