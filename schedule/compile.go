package schedule

import "math"

var inf = math.Inf(1)

// component is a set of vehicles that share a limit that can bind, in the
// form the search works on. Openings come first in the node numbering, the
// visit itself being an opening that all others of its vehicle need; then
// tasks.
type component struct {
	periods  int
	vehicles []int // indices into Problem.Vehicles
	tasks    []taskRef
	opens    []openRef
	cost     []float64   // of opening k
	use      [][]float64 // node -> resource -> units; openings then tasks
	capacity [][]float64 // period-1 -> resource -> units
	limits   []limitRef  // resource -> what it is
	arc      [][]float64 // task -> (last*(periods+2) + t); t = periods+1 is the end
	closure  [][]int32   // task -> openings it needs, all of them, implied tasks' included
	needs    [][]int32   // opening -> itself and all it needs
	implies  [][]int32   // task -> tasks done with it, itself not included, transitive
	implied  [][]int32   // task -> tasks that imply it
	after    [][]int32   // task -> tasks that must have been done
	before   [][]int32   // task -> tasks that wait for it
	far      [][]uint8   // task -> last -> furthest period of the next doing
	visitOf  []int32     // the openings that are visits, one per vehicle
	held     [][]int32   // period-1 -> openings (visits) fixed
	closedAt [][]bool    // period-1 -> opening that cannot be made
	reached  int         // furthest period of any layer search
	ladders  []*ladder   // one per vehicle; none: periods are solved by branching
	quantum  float64     // every plan's cost is a multiple; 0 unknown
}

type taskRef struct {
	vehicle, task int // task -1: a window
	window        Window
}

// limitRef says whose limit a resource is (vehicle -1: shared) and of what.
type limitRef struct {
	vehicle int
	money   bool
}

type openRef struct{ vehicle, opening int } // opening -1: the visit

func (c *component) at(i, last, t int) float64 { return c.arc[i][last*(c.periods+2)+t] }

// split builds the components of a checked problem.
func split(p *Problem) []*component {
	if sharedBinds(p) {
		all := make([]int, len(p.Vehicles))
		for v := range all {
			all[v] = v
		}
		return []*component{compile(p, all, true)}
	}
	var cs []*component
	for v := range p.Vehicles {
		cs = append(cs, compile(p, []int{v}, len(p.Vehicles) == 1))
	}
	return cs
}

// sharedBinds reports whether several vehicles could together exceed a shared
// limit in some period.
func sharedBinds(p *Problem) bool {
	if len(p.Vehicles) < 2 {
		return false
	}
	money, hours := 0.0, 0.0
	for v := range p.Vehicles {
		m, h := everything(&p.Vehicles[v])
		money += m
		if lim := p.Vehicles[v].maxHours(p.Periods); lim < h {
			h = lim
		}
		hours += h
	}
	for t := 1; t <= p.Periods; t++ {
		if p.hoursAt(t) < hours || p.moneyAt(t) < money {
			return true
		}
	}
	return false
}

// everything is the money and hours of doing all of a vehicle at one visit.
func everything(v *Vehicle) (money, hours float64) {
	money = v.VisitCost
	for _, o := range v.Openings {
		money, hours = money+o.Cost, hours+o.Hours
	}
	for _, k := range v.Tasks {
		money, hours = money+k.Cost, hours+k.Hours
	}
	return money, hours
}

func orUnlimited(general, special float64) float64 {
	switch {
	case special > 0:
		return special
	case general > 0:
		return general
	}
	return inf
}

func at(cal []Period, t int) Period {
	if len(cal) == 0 {
		return Period{}
	}
	return cal[t-1]
}

func (p *Problem) hoursAt(t int) float64 { return orUnlimited(p.Hours, at(p.Calendar, t).Hours) }
func (p *Problem) moneyAt(t int) float64 { return orUnlimited(p.Money, at(p.Calendar, t).Money) }

func (v *Vehicle) hoursAt(t int) float64 { return orUnlimited(v.Hours, at(v.Calendar, t).Hours) }
func (v *Vehicle) moneyAt(t int) float64 { return orUnlimited(0, at(v.Calendar, t).Money) }

func (v *Vehicle) maxHours(periods int) float64 {
	m := 0.0
	for t := 1; t <= periods; t++ {
		m = max(m, v.hoursAt(t))
	}
	return m
}

func (p *Problem) closed(v, t int) bool {
	return at(p.Calendar, t).Closed || at(p.Vehicles[v].Calendar, t).Closed
}

func (p *Problem) held(v, t int) bool {
	return at(p.Calendar, t).Held || at(p.Vehicles[v].Calendar, t).Held
}

// compile translates vehicles into one component; shared says whether the
// problem's own limits apply.
func compile(p *Problem, vehicles []int, shared bool) *component {
	c := &component{periods: p.Periods, vehicles: vehicles}
	c.held = make([][]int32, p.Periods)
	c.closedAt = make([][]bool, p.Periods)
	for _, v := range vehicles {
		c.addVehicle(p, v)
	}
	c.resources(p, shared)
	for t := range c.closedAt {
		c.closedAt[t] = make([]bool, len(c.opens))
		for k, o := range c.opens {
			c.closedAt[t][k] = p.closed(o.vehicle, t+1)
			if o.opening < 0 && p.held(o.vehicle, t+1) {
				c.held[t] = append(c.held[t], int32(k))
			}
		}
	}
	c.implied = invert(c.implies)
	c.before = invert(c.after)
	c.tighten()
	c.reach()
	c.quantum = c.findQuantum()
	return c
}

func invert(rel [][]int32) [][]int32 {
	out := make([][]int32, len(rel))
	for i, js := range rel {
		for _, j := range js {
			out[j] = append(out[j], int32(i))
		}
	}
	return out
}

// addVehicle appends a vehicle's openings, tasks and windows.
func (c *component) addVehicle(p *Problem, v int) {
	veh := &p.Vehicles[v]
	visit := int32(len(c.opens))
	c.visitOf = append(c.visitOf, visit)
	c.opens = append(c.opens, openRef{v, -1})
	c.cost = append(c.cost, veh.VisitCost)
	c.needs = append(c.needs, []int32{visit})
	openClosure := openingClosures(veh)
	for o := range veh.Openings {
		c.needs = append(c.needs, append(shift(openClosure[o], visit+1), visit))
		c.opens = append(c.opens, openRef{v, o})
		c.cost = append(c.cost, veh.Openings[o].Cost)
	}
	taskClosure, direct := withClosures(veh)
	first := int32(len(c.tasks))
	for i := range veh.Tasks {
		c.tasks = append(c.tasks, taskRef{vehicle: v, task: i})
		seen := map[int]bool{}
		cl := []int32{visit}
		for _, j := range append([]int{i}, taskClosure[i]...) {
			for _, o := range direct[j] {
				for _, q := range openClosure[o] {
					if !seen[q] {
						seen[q] = true
						cl = append(cl, visit+1+int32(q))
					}
				}
			}
		}
		c.closure = append(c.closure, cl)
		c.implies = append(c.implies, shift(taskClosure[i], first))
		c.after = append(c.after, shift(indices(veh.Tasks[i].After, taskIndex(veh)), first))
		c.arc = append(c.arc, arcTable(p, v, &veh.Tasks[i]))
	}
	for _, w := range veh.Windows {
		k := Task{Once: true, Earliest: w.From, Latest: w.To}
		c.tasks = append(c.tasks, taskRef{vehicle: v, task: -1, window: w})
		c.closure = append(c.closure, []int32{visit})
		c.implies = append(c.implies, nil)
		c.after = append(c.after, nil)
		c.arc = append(c.arc, arcTable(p, v, &k))
	}
}

func shift(xs []int, by int32) []int32 {
	var out []int32
	for _, x := range xs {
		out = append(out, int32(x)+by)
	}
	return out
}

// reach notes how far each task can go in one step, the end left out.
func (c *component) reach() {
	n, w := c.periods, c.periods+2
	c.far = make([][]uint8, len(c.tasks))
	for i, arc := range c.arc {
		c.far[i] = make([]uint8, n+1)
		for last := range c.far[i] {
			for t := last + 1; t <= n; t++ {
				if arc[last*w+t] < inf {
					c.far[i][last] = uint8(t)
				}
			}
		}
	}
}

// arcTable tabulates a task's costs between doings.
func arcTable(p *Problem, v int, k *Task) []float64 {
	n := p.Periods
	w := n + 2
	arc := make([]float64, (n+1)*w)
	for last := 0; last <= n; last++ {
		for t := 0; t <= n; t++ {
			arc[last*w+t] = inf
			if t > last && !p.closed(v, t) {
				arc[last*w+t] = k.arcCost(last, t)
			}
		}
		arc[last*w+n+1] = k.endCost(last, n)
	}
	return arc
}

// resources sets up the limits: hours and money of each vehicle where
// limited, then the shared ones.
func (c *component) resources(p *Problem, shared bool) {
	nodes := len(c.opens) + len(c.tasks)
	c.use = make([][]float64, nodes)
	c.capacity = make([][]float64, p.Periods)
	add := func(limit func(t int) float64, v int, money bool) {
		col, sum, binds := make([]float64, nodes), 0.0, false
		for n := range col {
			col[n] = c.nodeUse(p, n, v, money)
			sum += col[n]
		}
		for t := 1; t <= p.Periods; t++ {
			binds = binds || limit(t) < sum
		}
		if !binds {
			return
		}
		c.limits = append(c.limits, limitRef{v, money})
		for n := range col {
			c.use[n] = append(c.use[n], col[n])
		}
		for t := range c.capacity { // everything at once is room enough where there is no limit
			c.capacity[t] = append(c.capacity[t], min(limit(t+1), sum))
		}
	}
	for _, v := range c.vehicles {
		veh := &p.Vehicles[v]
		add(veh.hoursAt, v, false)
		add(veh.moneyAt, v, true)
	}
	if shared {
		add(p.hoursAt, -1, false)
		add(p.moneyAt, -1, true)
	}
}

// nodeUse is the hours or money of a node, 0 if it belongs to a vehicle other
// than v (v below 0: any).
func (c *component) nodeUse(p *Problem, n, v int, money bool) float64 {
	var owner int
	var m, h float64
	if n < len(c.opens) {
		o := c.opens[n]
		owner, m = o.vehicle, c.cost[n]
		if o.opening >= 0 {
			h = p.Vehicles[owner].Openings[o.opening].Hours
		}
	} else if r := c.tasks[n-len(c.opens)]; r.task >= 0 {
		k := &p.Vehicles[r.vehicle].Tasks[r.task]
		owner, m, h = r.vehicle, k.Cost, k.Hours
	} else {
		owner = r.vehicle
	}
	if v >= 0 && owner != v {
		return 0
	}
	if money {
		return m
	}
	return h
}
