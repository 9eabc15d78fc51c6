package schedule

// keep is what a child of a node of the tree begins with: the columns that have
// weight, or had until lately.
func (b *bundle) keep() []block {
	out := make([]block, len(b.blocks))
	for k := range b.blocks {
		l := &b.blocks[k]
		out[k].sign = l.sign
		for _, c := range l.columns {
			if c.weight > 0 || c.idle < 2 {
				out[k].columns = append(out[k].columns, c)
			}
		}
	}
	return out
}

// inherit takes in the columns of another dual that are still answers here: they
// keep what has been fixed since.
func (b *bundle) inherit(from []block, reach float64) {
	b.reach = reach
	for k := range from {
		b.blocks[k].columns = from[k].columns
		b.revise(k)
	}
}

// recount is to be called when periods are worked out in another way from now
// on: what is no answer then is dropped, and the bound counted anew.
func (b *bundle) recount() {
	b.ready = false
	for k := len(b.d.c.tasks); k < len(b.blocks); k++ {
		b.revise(k)
	}
}

// revise works the costs of a block's columns out anew, drops those that are no
// answers, and spreads the weight on the rest.
func (b *bundle) revise(k int) {
	l, n := &b.blocks[k], len(b.d.c.tasks)
	from, sum := l.columns, 0.0
	l.columns = nil
	for _, c := range from {
		ok := false
		if k < n {
			c.cost, ok = b.pathCost(k, c.at)
		} else {
			c.cost, ok = b.visitCost(k-n+1, c.at)
		}
		if ok {
			l.columns, sum = append(l.columns, c), sum+c.weight
		}
	}
	for q := range l.columns {
		c := &l.columns[q]
		switch {
		case sum > 0:
			c.weight /= sum
		case q == 0:
			c.weight = 1
		}
	}
}

// pathCost is what a path of task i costs without prices; false if it is not
// allowed.
func (b *bundle) pathCost(i int, at []int32) (float64, bool) {
	c := b.d.c
	last, cost := 0, 0.0
	for _, e := range at {
		t := int(e) - i*b.width
		cost += c.at(i, last, t)
		last = t
	}
	cost += c.at(i, last, c.periods+1)
	return cost, cost < inf
}

// visitCost is what the openings of a visit in period t cost, with those held;
// false if it is not allowed.
func (b *bundle) visitCost(t int, at []int32) (float64, bool) {
	d, c := b.d, b.d.c
	tasks := make([]int32, 0, len(at))
	for _, e := range at {
		tasks = append(tasks, e/int32(b.width))
	}
	for i, f := range d.fixed[t] {
		if f > 0 && !contains(tasks, int32(i)) {
			return 0, false
		}
	}
	for _, i := range tasks {
		if d.fixed[t][i] < 0 {
			return 0, false
		}
	}
	cost := 0.0
	used := make([]float64, len(c.limits))
	draw := func(n int) {
		for r, u := range c.use[n] {
			used[r] += u
		}
	}
	for o, on := range c.opened(t, tasks) {
		if on {
			cost += c.cost[o]
			draw(o)
		}
	}
	for _, i := range tasks {
		draw(len(c.opens) + int(i))
	}
	for r, u := range used {
		if u > c.capacity[t-1][r]+slackTol {
			return 0, false
		}
	}
	return cost, true
}
