package plan

import (
	"errors"
	"fmt"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/schedule"
)

// Visit returns a visit by its number, or a *fleet.Error of kind NotFound.
func (p *Plan) Visit(n int) (*Visit, error) {
	if n < 1 || n > len(p.Visits) {
		hint := message.Text("the plan has no visits")
		if len(p.Visits) > 0 {
			hint = message.Of("choose one from 1 to %d, as the plan of %s numbers them", len(p.Visits), p.Vehicle.Name)
		}
		return nil, &fleet.Error{Kind: fleet.NotFound, Where: "visit",
			Msg: message.Of("the plan has no visit %d", n), Hint: hint}
	}
	return &p.Visits[n-1], nil
}

// Job lays out a visit of the plan as a job sheet.
func (p *Plan) Job(n int) (*visit.Job, error) {
	v, err := p.Visit(n)
	if err != nil {
		return nil, err
	}
	job := p.m.job(v)
	return job, visit.LayOut(p.m.r, job)
}

// NextJob lays out the next visit of the plan, or a sheet without work where it
// has none.
func (p *Plan) NextJob() (*visit.Job, error) {
	if len(p.Visits) == 0 {
		return &visit.Job{Vehicle: p.Vehicle, On: p.On}, nil
	}
	return p.Job(1)
}

// Supplies are the consumables that were bought and wait to be used.
func (p *Plan) Supplies() []*fleet.Entry { return p.m.r.State.Supplies }

// QuickJob lays out a quick job of the plan as a job sheet.
func (p *Plan) QuickJob(s *Small) (*visit.Job, error) {
	return visit.NewJob(p.m.r, visit.JobOptions{Positions: []string{s.Task.Positions[0].ID}, Alone: true})
}

// Verify checks the plan against every rule of its problem, sharing nothing
// with the search, and returns what is wrong with it.
func (p *Plan) Verify() error {
	cost, faults := schedule.Verify(p.m.problem, p.m.solved.Doings())
	var errs []error
	for _, f := range faults {
		errs = append(errs, errors.New(f.String()))
	}
	if d := cost - p.Score; d > 1e-6*(1+cost) || d < -1e-6*(1+cost) {
		errs = append(errs, fmt.Errorf("the plan costs %.6f, not %.6f", cost, p.Score))
	}
	return errors.Join(errs...)
}

// Months returns the months of the calendar that the plan covers, in order.
func (p *Plan) Months() []fleet.Month {
	var out []fleet.Month
	for m := fleet.MonthOf(p.On); !fleet.MonthOf(p.End).Before(m); m = fleet.MonthOf(m.First().AddMonths(1)) {
		out = append(out, m)
	}
	return out
}

// MonthEnd returns the last day of the nth month, from 1, of a plan made on a
// day.
func MonthEnd(on civil.Date, n int) civil.Date { return monthsAhead(on, n)[n-1].to }
