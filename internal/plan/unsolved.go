package plan

import (
	"errors"
	"fmt"

	"undertray/internal/fleet"
	"undertray/internal/say"
	"undertray/schedule"
)

// unsolved says what the engine could not do: its codes, with what they name
// as the owner knows it.
func (m *maker) unsolved(err error) error {
	var no *schedule.Infeasible
	if !errors.As(err, &no) {
		return fmt.Errorf("planning %s: %w", m.r.Vehicle.ID, err)
	}
	return &fleet.Error{Kind: fleet.Invalid, Where: m.r.Vehicle.ID, Msg: fmt.Sprintf("no plan keeps these limits: %v", m.noPlan(no)),
		Hint: "allow more hours a visit, more money a month, or more months", Err: err}
}

// noPlan says why there is no plan.
func (m *maker) noPlan(no *schedule.Infeasible) error {
	what, month := m.named(no.Tasks), m.lastDay(max(1, no.Period)).MonthYear()
	needs, have := say.Hours(no.Needs), say.Hours(no.Have)
	if no.Limit == schedule.MoneyLimit {
		needs, have = say.Money(no.Needs, m.money.currency), say.Money(no.Have, m.money.currency)
	}
	switch no.Cause {
	case schedule.HeldWhileClosed:
		return fmt.Errorf("a visit is wanted in %s, which is closed to visits", month)
	case schedule.TooLarge:
		return fmt.Errorf("%s, with all that is opened for it, takes %s of the %s that there are at most", what, needs, have)
	case schedule.NeverInTime:
		return fmt.Errorf("%s is due by the end of %s, and no months open to it keep its limits", what, month)
	case schedule.DueTogether:
		return fmt.Errorf("what is due in %s, %s, takes %s of %s", month, what, needs, have)
	case schedule.DueByThen:
		return fmt.Errorf("what is due by the end of %s, %s, takes at least %s of %s", month, what, needs, have)
	}
	if no.Period > 0 {
		return fmt.Errorf("all ways of placing the work were searched, and the furthest fails in %s", month)
	}
	return errors.New("all ways of placing the work were searched")
}

// named lists tasks of the engine by what the owner calls them.
func (m *maker) named(ids []string) string {
	var names []string
	for _, id := range ids {
		switch it := m.item(id); {
		case it == nil:
		case it.j != nil:
			names = append(names, say.LowerFirst(it.j.Position.Name))
		case it.round:
			names = append(names, "the round")
		default:
			names = append(names, "a look")
		}
	}
	if len(names) == 0 {
		return "a visit"
	}
	return say.Listing(say.Unique(names))
}
