// Package schedulebench holds what the planner of package schedule is checked
// and timed against: a reader for reference instances, a writer that states a
// problem as a linear model with whole-number variables (CPLEX LP text), a
// runner for the solver cbc (Debian package coinor-cbc), and made-up problems
// from fixed seeds. The writer shares no code with the planner's search.
package schedulebench

import (
	"encoding/json"
	"fmt"
	"os"
	"sort"
	"strconv"

	"undertray.example/undertray/schedule"
)

// ReadInstance reads a reference instance (set-ups and recurring tasks, months)
// from a JSON file.
func ReadInstance(path string) (*schedule.Problem, error) {
	var f struct {
		Name     string  `json:"name"`
		Horizon  int     `json:"horizon_months"`
		Visit    float64 `json:"visit_cost"`
		MaxHours float64 `json:"max_hours_per_visit"`
		Setups   []struct {
			ID       string   `json:"id"`
			Cost     float64  `json:"cost"`
			Hours    float64  `json:"hours"`
			Requires []string `json:"requires"`
		} `json:"setups"`
		Tasks []struct {
			ID     string   `json:"id"`
			Cost   float64  `json:"cost"`
			Hours  float64  `json:"hours"`
			Every  int      `json:"max_interval_months"`
			Age    int      `json:"age_months_at_start"`
			Setups []string `json:"setups"`
		} `json:"tasks"`
	}
	b, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(b, &f); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	v := schedule.Vehicle{ID: f.Name, VisitCost: f.Visit, Hours: f.MaxHours}
	for _, s := range f.Setups {
		v.Openings = append(v.Openings, schedule.Opening{ID: s.ID, Cost: s.Cost, Hours: s.Hours, Needs: s.Requires})
	}
	for _, t := range f.Tasks {
		v.Tasks = append(v.Tasks, schedule.Task{ID: t.ID, Kind: schedule.Service, Cost: t.Cost, Hours: t.Hours,
			Every: t.Every, Age: t.Age, Openings: t.Setups})
	}
	return &schedule.Problem{Periods: f.Horizon, Vehicles: []schedule.Vehicle{v}}, nil
}

// ReadPlan reads a stored plan: its stated cost and its visits.
func ReadPlan(path string) (cost float64, plan []schedule.Doing, err error) {
	var f struct {
		Name   string              `json:"name"`
		Cost   float64             `json:"cost"`
		Visits map[string][]string `json:"visits"`
	}
	b, err := os.ReadFile(path)
	if err != nil {
		return 0, nil, err
	}
	if err := json.Unmarshal(b, &f); err != nil {
		return 0, nil, fmt.Errorf("%s: %w", path, err)
	}
	for m, tasks := range f.Visits {
		t, err := strconv.Atoi(m)
		if err != nil {
			return 0, nil, fmt.Errorf("%s: visit %q: want a month number", path, m)
		}
		plan = append(plan, schedule.Doing{Vehicle: f.Name, Period: t, Tasks: tasks})
	}
	sort.Slice(plan, func(a, b int) bool { return plan[a].Period < plan[b].Period })
	return f.Cost, plan, nil
}
