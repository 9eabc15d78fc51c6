package schedule

import (
	"errors"
	"fmt"
	"math"
)

// InputError says which field of a problem is wrong, what is wrong and what
// would be right.
type InputError struct{ Field, Problem, Want string }

func (e *InputError) Error() string {
	return fmt.Sprintf("%s: %s; want %s", e.Field, e.Problem, e.Want)
}

// checker collects input errors.
type checker struct{ errs []error }

func (c *checker) wrong(field, problem, want string) {
	c.errs = append(c.errs, &InputError{field, problem, want})
}

// amount checks a cost, an amount of money or hours: finite and not negative.
func (c *checker) amount(field string, x float64) {
	if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 {
		c.wrong(field, fmt.Sprintf("is %v", x), "a finite number, 0 or more")
	}
}

// id checks that there is a name to speak of.
func (c *checker) id(field, id string) {
	if id == "" {
		c.wrong(field+", ID", "is empty", "a name of its own")
	}
}

// table checks a cost table: entries 0 or more, or +Inf where allowed.
func (c *checker) table(field string, t []float64, infinite bool) {
	for i, x := range t {
		if math.IsNaN(x) || x < 0 || (math.IsInf(x, 1) && !infinite) {
			c.wrong(fmt.Sprintf("%s[%d]", field, i), fmt.Sprintf("is %v", x), "0 or more")
			return
		}
	}
}

// Check looks through a problem for mistakes and returns all of them, joined,
// each an *InputError; nil if there is none.
func (p *Problem) Check() error {
	c := &checker{}
	if p.Periods < 1 || p.Periods > 120 {
		c.wrong("Periods", fmt.Sprintf("is %d", p.Periods), "1 to 120")
		return errors.Join(c.errs...)
	}
	c.amount("Money", p.Money)
	c.amount("Hours", p.Hours)
	c.calendar("Calendar", p.Calendar, p.Periods)
	ids := map[string]bool{}
	for v := range p.Vehicles {
		name := fmt.Sprintf("vehicle %q", p.Vehicles[v].ID)
		c.id(fmt.Sprintf("Vehicles[%d]", v), p.Vehicles[v].ID)
		if ids[p.Vehicles[v].ID] {
			c.wrong(name, "stands twice", "one entry per vehicle")
		}
		ids[p.Vehicles[v].ID] = true
		c.vehicle(name, &p.Vehicles[v], p.Periods)
	}
	return errors.Join(c.errs...)
}

func (c *checker) calendar(field string, cal []Period, n int) {
	if len(cal) != 0 && len(cal) != n {
		c.wrong(field, fmt.Sprintf("has %d entries", len(cal)), fmt.Sprintf("none or one per period, %d", n))
	}
	for t, e := range cal {
		at := fmt.Sprintf("%s, period %d", field, t+1)
		c.amount(at+", Hours", e.Hours)
		c.amount(at+", Money", e.Money)
		if e.Closed && e.Held {
			c.wrong(at, "is both Closed and Held", "one of them at most")
		}
	}
}

func (c *checker) vehicle(name string, v *Vehicle, n int) {
	c.amount(name+", VisitCost", v.VisitCost)
	c.amount(name+", Hours", v.Hours)
	c.calendar(name+", Calendar", v.Calendar, n)
	for _, w := range v.Windows {
		if w.From < 1 || w.To < w.From || w.To > n {
			c.wrong(name+", Windows", fmt.Sprintf("has %d to %d", w.From, w.To),
				fmt.Sprintf("1 <= From <= To <= %d", n))
		}
	}
	open := map[string]bool{}
	for i, o := range v.Openings {
		at := fmt.Sprintf("%s, opening %q", name, o.ID)
		c.id(fmt.Sprintf("%s, Openings[%d]", name, i), o.ID)
		if open[o.ID] {
			c.wrong(at, "stands twice", "one entry per opening")
		}
		open[o.ID] = true
		c.amount(at+", Cost", o.Cost)
		c.amount(at+", Hours", o.Hours)
	}
	tasks := map[string]bool{}
	for i, k := range v.Tasks {
		c.id(fmt.Sprintf("%s, Tasks[%d]", name, i), k.ID)
		if tasks[k.ID] {
			c.wrong(fmt.Sprintf("%s, task %q", name, k.ID), "stands twice", "one entry per task")
		}
		tasks[k.ID] = true
	}
	known := len(c.errs)
	for _, o := range v.Openings {
		c.names(fmt.Sprintf("%s, opening %q, Needs", name, o.ID), o.Needs, open, "an opening")
	}
	for i := range v.Tasks {
		at := fmt.Sprintf("%s, task %q", name, v.Tasks[i].ID)
		c.task(at, &v.Tasks[i], n)
		c.names(at+", Openings", v.Tasks[i].Openings, open, "an opening")
		c.names(at+", With", v.Tasks[i].With, tasks, "a task")
		c.names(at+", After", v.Tasks[i].After, tasks, "a task")
	}
	if len(c.errs) == known {
		c.loops(name, v)
	}
}

func (c *checker) names(field string, ids []string, known map[string]bool, what string) {
	for _, id := range ids {
		if !known[id] {
			c.wrong(field, fmt.Sprintf("names %q, which is not there", id), what+" of the same vehicle")
		}
	}
}

func (c *checker) task(at string, k *Task, n int) {
	c.amount(at+", Cost", k.Cost)
	c.amount(at+", Hours", k.Hours)
	if k.Age < 0 {
		c.wrong(at+", Age", fmt.Sprintf("is %d", k.Age), "0 or more")
	}
	if k.Every < 0 {
		c.wrong(at+", Every", fmt.Sprintf("is %d", k.Every), "0 or more")
	}
	if k.Once && k.Every > 0 {
		c.wrong(at, "is both Once and Every", "one of them at most")
	}
	if k.Earliest < 0 || k.Latest < 0 || (k.Latest > 0 && k.Earliest > k.Latest) {
		c.wrong(at, fmt.Sprintf("has the window %d to %d", k.Earliest, k.Latest), "Earliest <= Latest, or Latest 0")
	}
	if !k.Once && (k.Earliest > 0 || k.Latest > 0) {
		c.wrong(at, "recurs and has a window", "Once with Earliest and Latest")
	}
	c.table(at+", AgeCost", k.AgeCost, true)
	c.table(at+", EndCost", k.EndCost, true)
	c.table(at+", PeriodCost", k.PeriodCost, true)
	if len(k.PeriodCost) != 0 && len(k.PeriodCost) != n {
		c.wrong(at+", PeriodCost", fmt.Sprintf("has %d entries", len(k.PeriodCost)),
			fmt.Sprintf("none or one per period, %d", n))
	}
}

// loops looks for openings that need one another.
func (c *checker) loops(name string, v *Vehicle) {
	idx := openIndex(v)
	rel := make([][]int, len(v.Openings))
	for i := range v.Openings {
		rel[i] = indices(v.Openings[i].Needs, idx)
	}
	for i := range rel {
		for _, j := range rel[i] {
			if j == i || containsInt(reach(rel, j), i) {
				c.wrong(fmt.Sprintf("%s, opening %q, Needs", name, v.Openings[i].ID),
					"needs itself by way of others", "no loop")
				break
			}
		}
	}
}

func containsInt(xs []int, x int) bool {
	for _, y := range xs {
		if y == x {
			return true
		}
	}
	return false
}
