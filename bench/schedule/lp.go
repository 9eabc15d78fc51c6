package schedulebench

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"undertray.example/undertray/schedule"
)

// WriteLP states p as a linear model in CPLEX LP text. Plain recurring tasks
// use windows of U consecutive periods with at least one doing (the
// opportunistic replacement model); tasks whose cost depends on age, and tasks
// done once, use one variable per pair of neighbouring doings (a path).
// Infinite costs are left out as forbidden. Held doings of the plan must be in
// every solution.
func WriteLP(w io.Writer, p *schedule.Problem, held ...schedule.Doing) error {
	m := &lp{p: p}
	for v := range p.Vehicles {
		m.vehicle(v)
	}
	m.limits()
	for _, d := range held {
		v := slices.IndexFunc(p.Vehicles, func(veh schedule.Vehicle) bool { return veh.ID == d.Vehicle })
		for _, id := range d.Tasks {
			m.row("%s = 1", doing(v, id, d.Period))
		}
	}
	out := bufio.NewWriter(w)
	fmt.Fprint(out, "Minimize\n obj:")
	for _, t := range m.obj {
		fmt.Fprintf(out, "%s\n", t)
	}
	fmt.Fprint(out, " + 0 zero\nSubject To\n")
	for i, r := range m.rows {
		fmt.Fprintf(out, " r%d: %s\n", i, r)
	}
	fmt.Fprint(out, "Bounds\n zero = 0\n")
	fmt.Fprint(out, "Binaries\n")
	for _, b := range m.bin {
		fmt.Fprintf(out, " %s\n", b)
	}
	fmt.Fprint(out, "End\n")
	return out.Flush()
}

type lp struct {
	p      *schedule.Problem
	obj    []string
	rows   []string
	bin    []string
	shared [121]struct{ hours, money []string }
}

func (m *lp) row(format string, args ...any) { m.rows = append(m.rows, fmt.Sprintf(format, args...)) }

// variable declares a binary with a cost.
func (m *lp) variable(name string, cost float64) string {
	m.bin = append(m.bin, name)
	if cost != 0 {
		m.obj = append(m.obj, fmt.Sprintf(" + %.10g %s", cost, name))
	}
	return name
}

// doing names the variable of a task of a vehicle in a period.
func doing(v int, id string, t int) string { return fmt.Sprintf("x%d_%s_%d", v, id, t) }

func period(cal []schedule.Period, t int) schedule.Period {
	if len(cal) == 0 {
		return schedule.Period{}
	}
	return cal[t-1]
}

func (m *lp) vehicle(v int) {
	veh := &m.p.Vehicles[v]
	n := m.p.Periods
	y := func(t int) string { return fmt.Sprintf("y%d_%d", v, t) }
	s := func(id string, t int) string { return fmt.Sprintf("s%d_%s_%d", v, id, t) }
	x := func(id string, t int) string { return doing(v, id, t) }
	for t := 1; t <= n; t++ {
		m.variable(y(t), veh.VisitCost)
		cal, all := period(veh.Calendar, t), period(m.p.Calendar, t)
		if cal.Closed || all.Closed {
			m.row("%s = 0", y(t))
		}
		if cal.Held || all.Held {
			m.row("%s = 1", y(t))
		}
		hours, money := []string{}, []string{fmt.Sprintf("%.10g %s", veh.VisitCost, y(t))}
		for _, o := range veh.Openings {
			m.variable(s(o.ID, t), o.Cost)
			m.row("%s - %s <= 0", s(o.ID, t), y(t))
			for _, q := range o.Needs {
				m.row("%s - %s <= 0", s(o.ID, t), s(q, t))
			}
			hours = append(hours, fmt.Sprintf("%.10g %s", o.Hours, s(o.ID, t)))
			money = append(money, fmt.Sprintf("%.10g %s", o.Cost, s(o.ID, t)))
		}
		for _, k := range veh.Tasks {
			m.variable(x(k.ID, t), 0)
			m.row("%s - %s <= 0", x(k.ID, t), y(t))
			for _, o := range k.Openings {
				m.row("%s - %s <= 0", x(k.ID, t), s(o, t))
			}
			for _, j := range k.With {
				m.row("%s - %s <= 0", x(k.ID, t), x(j, t))
			}
			hours = append(hours, fmt.Sprintf("%.10g %s", k.Hours, x(k.ID, t)))
			money = append(money, fmt.Sprintf("%.10g %s", k.Cost, x(k.ID, t)))
		}
		limit := veh.Hours
		if cal.Hours > 0 {
			limit = cal.Hours
		}
		if limit > 0 && len(hours) > 0 {
			m.row("%s - %.10g %s <= 0", strings.Join(hours, " + "), limit, y(t))
		}
		if cal.Money > 0 {
			m.row("%s <= %.10g", strings.Join(money, " + "), cal.Money)
		}
		m.shared[t].hours = append(m.shared[t].hours, hours...)
		m.shared[t].money = append(m.shared[t].money, money...)
	}
	m.times(v, y, x)
}

// times writes when visits and tasks must and may be.
func (m *lp) times(v int, y func(t int) string, x func(id string, t int) string) {
	veh, n := &m.p.Vehicles[v], m.p.Periods
	for _, w := range veh.Windows {
		var sum []string
		for t := w.From; t <= w.To; t++ {
			sum = append(sum, y(t))
		}
		m.row("%s >= 1", strings.Join(sum, " + "))
	}
	for i := range veh.Tasks {
		k := &veh.Tasks[i]
		if k.Every > 0 && len(k.AgeCost)+len(k.EndCost)+len(k.PeriodCost) == 0 && k.Age < k.Every {
			m.windows(k, func(t int) string { return x(k.ID, t) })
		} else {
			m.path(v, k, func(t int) string { return x(k.ID, t) })
		}
		for _, a := range k.After {
			for t := 1; t <= n; t++ {
				var sum []string
				for u := 1; u <= t; u++ {
					sum = append(sum, x(a, u))
				}
				m.row("%s - %s >= 0", strings.Join(sum, " + "), x(k.ID, t))
			}
		}
	}
}

// windows: every stretch of Every periods holds a doing.
func (m *lp) windows(k *schedule.Task, x func(t int) string) {
	n := m.p.Periods
	for t := 1; t <= n; t++ {
		if k.Cost != 0 {
			m.obj = append(m.obj, fmt.Sprintf(" + %.10g %s", k.Cost, x(t)))
		}
	}
	span := func(a, b int) {
		var sum []string
		for t := a; t <= b; t++ {
			sum = append(sum, x(t))
		}
		m.row("%s >= 1", strings.Join(sum, " + "))
	}
	if first := k.Every - k.Age; first <= n {
		span(1, first)
	}
	for l := 1; l+k.Every <= n; l++ {
		span(l+1, l+k.Every)
	}
}

// path: a run of doings from the start to the end of the plan.
func (m *lp) path(v int, k *schedule.Task, x func(t int) string) {
	n := m.p.Periods
	in, out := make([][]string, n+2), make([][]string, n+2)
	for a := 0; a <= n; a++ {
		for b := a + 1; b <= n+1; b++ {
			c, ok := stepCost(k, a, b, n)
			if !ok {
				continue
			}
			name := m.variable(fmt.Sprintf("w%d_%s_%d_%d", v, k.ID, a, b), c)
			in[b] = append(in[b], name)
			out[a] = append(out[a], name)
		}
	}
	sum := func(xs []string) string {
		if len(xs) == 0 {
			return "zero"
		}
		return strings.Join(xs, " + ")
	}
	m.row("%s = 1", sum(out[0]))
	for t := 1; t <= n; t++ {
		m.row("%s - %s = 0", sum(in[t]), x(t))
		m.row("%s - %s = 0", sum(out[t]), x(t))
	}
}

// stepCost is the cost of doing k in b when last done in a (0: before the
// plan; b past the end: not again), and whether it is allowed.
func stepCost(k *schedule.Task, a, b, n int) (float64, bool) {
	look := func(t []float64, g int) float64 {
		if len(t) == 0 {
			return 0
		}
		if g >= len(t) {
			g = len(t) - 1
		}
		return t[g]
	}
	end := b > n
	age := min(b, n) - a
	if a == 0 {
		age += k.Age
	}
	if k.Once {
		if end && a > 0 {
			return 0, true
		}
		if end {
			c := look(k.EndCost, age)
			return c, !(k.Latest > 0 && k.Latest <= n) && !math.IsInf(c, 1)
		}
		if a > 0 || b < k.Earliest || (k.Latest > 0 && b > k.Latest) {
			return 0, false
		}
	} else if k.Every > 0 {
		late := age > k.Every || (end && age == k.Every)
		if a == 0 && b == 1 && !end {
			late = false // overdue: the first period
		}
		if late {
			return 0, false
		}
	}
	if end {
		c := look(k.EndCost, age)
		return c, !math.IsInf(c, 1)
	}
	c := k.Cost + look(k.AgeCost, age)
	if len(k.PeriodCost) > 0 {
		c += k.PeriodCost[b-1]
	}
	return c, !math.IsInf(c, 1)
}

// limits writes the limits that hold for all vehicles together.
func (m *lp) limits() {
	for t := 1; t <= m.p.Periods; t++ {
		cal := period(m.p.Calendar, t)
		hours, money := m.p.Hours, m.p.Money
		if cal.Hours > 0 {
			hours = cal.Hours
		}
		if cal.Money > 0 {
			money = cal.Money
		}
		if hours > 0 && len(m.shared[t].hours) > 0 {
			m.row("%s <= %.10g", strings.Join(m.shared[t].hours, " + "), hours)
		}
		if money > 0 && len(m.shared[t].money) > 0 {
			m.row("%s <= %.10g", strings.Join(m.shared[t].money, " + "), money)
		}
	}
}
