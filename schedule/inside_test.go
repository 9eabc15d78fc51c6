package schedule

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// drawComponent makes up a small vehicle with openings in any shape, ties and
// hours in quarters.
func drawComponent(t *rapid.T) (*Problem, *component) {
	num := func(name string, lo, hi int) int { return rapid.IntRange(lo, hi).Draw(t, name) }
	v := Vehicle{ID: "v", VisitCost: float64(num("visit", 0, 30)), Hours: float64(num("hours", 8, 20)) / 4}
	for k := range num("openings", 1, 5) {
		o := Opening{ID: fmt.Sprint("o", k), Cost: float64(num("cost", 0, 20)), Hours: float64(num("h", 0, 2)) / 4}
		for q := range k {
			if num("needs", 0, 3) == 0 {
				o.Needs = append(o.Needs, v.Openings[q].ID)
			}
		}
		v.Openings = append(v.Openings, o)
	}
	n := num("tasks", 1, 7)
	for i := range n {
		k := Task{ID: fmt.Sprint("t", i), Cost: float64(num("cost", 0, 20)), Hours: float64(num("h", 0, 4)) / 4,
			Every: num("every", 2, 9)}
		k.Age = num("age", 0, k.Every-1)
		for _, o := range v.Openings {
			if num("uses", 0, 3) == 0 {
				k.Openings = append(k.Openings, o.ID)
			}
		}
		if j := num("with", 0, 3*n); j < n && j != i {
			k.With = []string{fmt.Sprint("t", j)}
		}
		v.Tasks = append(v.Tasks, k)
	}
	p := &Problem{Periods: 6, Vehicles: []Vehicle{v}, Money: float64(max(0, num("money", -60, 100)))}
	return p, compile(p, []int{0}, true)
}

// TestLadderAgainstEverySet: the ladder's best and list of answers are those
// of trying every set of tasks. Where a limit has a price its best is a bound.
func TestLadderAgainstEverySet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, c := drawComponent(t)
		l := newLadders(c)
		if l == nil {
			t.Fatal("no ladder for quarter hours")
		}
		n := len(c.tasks)
		if rapid.Bool().Draw(t, "held") {
			c.held[0] = []int32{0}
		}
		prof, stat := make([]float64, n), make([]int8, n)
		for i := range prof {
			prof[i] = float64(rapid.IntRange(-20, 40).Draw(t, "profit"))
			stat[i] = int8(max(-1, rapid.IntRange(-8, 1).Draw(t, "status")))
			if stat[i] < -1 {
				stat[i] = 0
			}
		}
		limit := float64(rapid.IntRange(-20, 60).Draw(t, "limit")) + 0.5
		best, count := math.Inf(-1), 0
		for set := range 1 << n {
			v := everySet(c, set, prof, stat)
			best = max(best, v)
			if v > limit {
				count++
			}
		}
		k := newClimber(l, c)
		ok := k.load(1, prof, stat, math.Inf(-1), false)
		got := k.bound
		if len(c.limits) > 1 {
			ok = !math.IsInf(best, -1)
			if ok && got < best-1e-6 {
				t.Fatalf("bound %v, of every set %v", got, best)
			}
		} else if ok != !math.IsInf(best, -1) || ok && math.Abs(got-best) > 1e-9 {
			t.Fatalf("best %v (%v), of every set %v", got, ok, best)
		}
		if !ok {
			return
		}
		set := 0
		for _, i := range k.tasks {
			set |= 1 << i
		}
		if v := everySet(c, set, prof, stat); len(c.limits) < 2 && math.Abs(v-best) > 1e-9 {
			t.Fatalf("the answer is worth %v, not %v", v, best)
		}
		if got := listed(k, limit, prof, stat); got != count {
			t.Fatalf("%d answers above %v, of every set %d", got, limit, count)
		}
	})
}

// listed is the number of different answers above limit that the climber hands
// on for period 1.
func listed(k *climber, limit float64, prof []float64, stat []int8) int {
	seen := map[string]bool{}
	if !k.load(1, prof, stat, limit, true) || k.bound <= limit {
		return 0
	}
	k.accept = func(_ float64, tasks []int32) { seen[fmt.Sprint(tasks)] = true }
	k.each(limit, 1<<30)
	return len(seen)
}

// everySet is the value of a set of tasks in period 1, -Inf if it breaks a
// rule.
func everySet(c *component, set int, prof []float64, stat []int8) float64 {
	var tasks []int32
	v := 0.0
	for i := range prof {
		in := set>>i&1 == 1
		if in && stat[i] < 0 || !in && stat[i] > 0 {
			return math.Inf(-1)
		}
		if !in {
			continue
		}
		for _, j := range c.implies[i] {
			if set>>j&1 == 0 {
				return math.Inf(-1)
			}
		}
		tasks = append(tasks, int32(i))
		v += prof[i]
	}
	use := make([]float64, len(c.limits))
	for o, on := range c.opened(1, tasks) {
		if on {
			v -= c.cost[o]
			for r := range use {
				use[r] += c.use[o][r]
			}
		}
	}
	for _, i := range tasks {
		for r := range use {
			use[r] += c.use[len(c.opens)+int(i)][r]
		}
	}
	for r := range use {
		if use[r] > c.capacity[0][r]+1e-9 {
			return math.Inf(-1)
		}
	}
	return v
}

// TestRouterKeepsCount: after any number of moves the router's cost is that of
// its plan, and a plan that fits passes the checker.
func TestRouterKeepsCount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, c := drawComponent(t)
		if c.diagnose(p) != nil {
			return
		}
		d := newDual(c)
		d.evaluate()
		r := newRouter(c, rand.New(rand.NewPCG(3, 4)))
		if !r.fromNothing(d.price) {
			return
		}
		r.stir(context.Background(), 200, 5)
		if got := c.planCost(r.plan()); math.Abs(got-r.cost) > 1e-6 {
			t.Fatalf("the router says %v, its plan costs %v", r.cost, got)
		}
		var doings []Doing
		for at, tasks := range r.plan() {
			g := Doing{Vehicle: "v", Period: at + 1}
			for _, i := range tasks {
				g.Tasks = append(g.Tasks, fmt.Sprint("t", i))
			}
			if len(tasks) > 0 {
				doings = append(doings, g)
			}
		}
		cost, faults := Verify(p, doings)
		if r.fits() != (len(faults) == 0) || len(faults) == 0 && math.Abs(cost-r.cost) > 1e-6 {
			t.Fatalf("fits %v, cost %v, checker %v, faults %v", r.fits(), r.cost, cost, faults)
		}
	})
}

// TestOrderIsPriced: the belt costs 4 more each month it waits, the leak 5
// less, and the leak comes first. Apart they would stand in month 1 and 12;
// together in month t they cost 4t + 60-5t, at the least 48 in month 12, and
// one visit of 10. Without a price on the order the bound knows nothing of it.
func TestOrderIsPriced(t *testing.T) {
	month := func(cost func(t int) float64) []float64 {
		var out []float64
		for t := 1; t <= 12; t++ {
			out = append(out, cost(t))
		}
		return out
	}
	p := &Problem{Periods: 12, Vehicles: []Vehicle{{ID: "v", VisitCost: 10, Tasks: []Task{
		{ID: "belt", Once: true, Latest: 12, PeriodCost: month(func(t int) float64 {
			return float64(4 * t)
		}), After: []string{"leak"}},
		{ID: "leak", Once: true, Latest: 12, PeriodCost: month(func(t int) float64 { return float64(60 - 5*t) })},
	}}}}
	bound := func(ordered bool) float64 {
		c := compile(p, []int{0}, true)
		if !ordered {
			c.after, c.before = make([][]int32, 2), make([][]int32, 2)
		}
		c.ladders = newLadders(c)
		return newDual(c).ascend(context.Background(), 300, 58, 58, 1)
	}
	apart, priced := bound(false), bound(true)
	if apart > 24+1e-6 || priced < 55 || priced > 58+1e-6 {
		t.Errorf("bound %v without the order, %v with it, want 24 at most and 55 to 58", apart, priced)
	}
	plan, err := Solve(context.Background(), p, Options{})
	if err != nil || plan.Cost != 58 || !plan.Proven {
		t.Errorf("%v, %v, want a proven cost of 58", plan, err)
	}
}

// TestBundle: on any problem the bundle's model is never below the bound, at the
// prices it aims at, its weights are shares of each task's and period's columns,
// and the bound it ends with is no less than the deflected subgradient's after
// many more steps, but for what the bundle leaves.
func TestBundle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, c := drawComponent(t)
		if c.diagnose(p) != nil {
			return
		}
		c.ladders = newLadders(c)
		d := newDual(c)
		b := newBundle(d)
		if b.start(100) == inf {
			return
		}
		for range 40 {
			if !b.promising() {
				break
			}
			copy(b.prices(), b.point)
			x := d.evaluate()
			if x == inf {
				return
			}
			if promised := b.best + b.gain; x > promised+1e-6*(1+math.Abs(promised)) {
				t.Fatalf("the model promises %v, the bound is %v", promised, x)
			}
			b.judge(x, b.learn())
			b.prune()
			for k, l := range b.blocks {
				sum := 0.0
				for q, x := range l.columns {
					sum += x.weight
					worth := x.cost
					for _, e := range x.at {
						worth += l.sign * b.point[e]
					}
					if got := b.worth(&l.columns[q], l.sign); math.Abs(got-worth) > 1e-9*(1+math.Abs(worth)) {
						t.Fatalf("a column of block %d is worth %v, got %v", k, worth, got)
					}
				}
				if math.Abs(sum-1) > 1e-6 {
					t.Fatalf("the weights of block %d sum to %v", k, sum)
				}
			}
		}
		e := newDual(c)
		e.plain = true
		if slow := e.ascend(context.Background(), 300, b.best+10, inf, 1); b.done &&
			b.best < slow-1e-3*(1+math.Abs(slow)) {
			t.Fatalf("the bundle ends at %v, small steps at %v", b.best, slow)
		}
	})
}
