package plan

import (
	"context"
	"errors"
	"fmt"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/schedule"
)

// unsolved is the owner's error where the engine finds no plan.
func (m *maker) unsolved(err error) error {
	var no *schedule.Infeasible
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	if !errors.As(err, &no) {
		return fmt.Errorf("planning %s: %w", m.r.Vehicle.ID, err)
	}
	n := m.noPlan(no)
	return &fleet.Error{Kind: fleet.Invalid, Where: m.r.Vehicle.ID, Msg: n.Words(), Hint: n.Hint(),
		Reason: n.View(), Err: err}
}

// causes are the engine's codes as the owner's plan has them.
var causes = map[schedule.Cause]why.Code{schedule.HeldWhileClosed: why.WantedClosed, schedule.TooLarge: why.TooLarge,
	schedule.NeverInTime: why.NeverInTime, schedule.DueTogether: why.DueTogether, schedule.DueByThen: why.DueByThen,
	schedule.AllSearched: why.AllSearched}

// noPlan is why there is no plan, with what the engine's names stand for.
func (m *maker) noPlan(no *schedule.Infeasible) *why.NoPlan {
	n := &why.NoPlan{Code: causes[no.Cause], Needs: no.Needs, Have: no.Have}
	if no.Period > 0 || no.Cause != schedule.AllSearched {
		n.Month = m.lastDay(max(1, no.Period))
	}
	if no.Limit == schedule.MoneyLimit {
		n.Money, n.Currency = true, m.money.currency
	}
	for _, id := range no.Tasks {
		if it := m.item(id); it != nil {
			n.Tasks = append(n.Tasks, it.subject())
		}
	}
	return n
}
