package schedule

import (
	"math"
	"math/bits"
)

// climber works a ladder out for one period.
type climber struct {
	l     *ladder
	c     *component
	width int
	cells []float64 // row of units by state
	rows  []int32   // state -> its row (rows are shared where nothing is gained)
	price []float64 // set of fresh openings -> cost
	need  []int32   // set of fresh openings -> units
	room  int
	base  float64 // value of what is held
	prof  []float64
	stat  []int8
	tasks []int32
	// enumeration
	limit  float64
	steps  int
	cut    bool
	accept func(value float64, tasks []int32)
}

func newClimber(l *ladder, c *component) *climber {
	k := &climber{l: l, c: c, width: l.most + 1}
	k.cells = make([]float64, l.total*k.width)
	k.rows = make([]int32, l.total)
	k.price, k.need = make([]float64, len(l.fresh)), make([]int32, len(l.fresh))
	return k
}

// setUp prices the openings of period t; false if what is held does not fit.
func (k *climber) setUp(t int) bool {
	c := k.c
	held := uint64(0)
	k.base, k.room = 0, k.l.most
	if k.l.unit > 0 {
		k.room = int(min(float64(k.l.most)*2, math.Floor(c.capacity[t-1][0]/k.l.unit+1e-6)))
	}
	for _, o := range c.held[t-1] {
		held |= 1 << o
		k.base -= c.cost[o]
		if k.l.unit > 0 {
			k.room -= int(k.l.need[o])
		}
	}
	if k.room < 0 {
		return false
	}
	k.room = min(k.room, k.l.most)
	for f, set := range k.l.fresh {
		x, u := 0.0, int32(0)
		for m := set &^ held; m != 0; m &= m - 1 {
			o := bits.TrailingZeros64(m)
			x += c.cost[o]
			if k.l.unit > 0 {
				u += k.l.need[o]
			}
		}
		k.price[f], k.need[f] = x, u
	}
	return true
}

// best is the greatest value of a visit in period t with the profits and
// statuses given (+1 must be done, -1 cannot); false if there is none.
func (k *climber) best(t int, prof []float64, stat []int8) (float64, bool) {
	if !k.setUp(t) {
		return 0, false
	}
	l := k.l
	k.prof, k.stat = prof, stat
	end := int(l.first[len(l.tasks)])
	for s := end; s < l.total; s++ {
		k.rows[s] = int32(s * k.width)
		clear(k.cells[s*k.width : s*k.width+k.room+1])
	}
	for p := len(l.tasks) - 1; p >= 0; p-- {
		k.rung(p)
	}
	v := k.cells[int(k.rows[0])+k.room]
	return v + k.base, v > math.Inf(-1)
}

// rung works out the rows of position p.
func (k *climber) rung(p int) {
	l := k.l
	i := l.tasks[p]
	profit, stat := k.prof[i], k.stat[i]
	next := k.rows[l.first[p+1]:]
	own := int32(0)
	if l.unit > 0 {
		own = l.need[len(k.c.opens)+int(i)]
	}
	idle := profit <= 0 && len(k.c.implied[i]) == 0
	for s, r := range l.rungs[p] {
		at := int(l.first[p]) + s
		if stat > 0 {
			r.skip = -1
		}
		if r.skip >= 0 && (stat < 0 || r.take < 0 || idle) {
			k.rows[at] = next[r.skip]
			continue
		}
		k.rows[at] = int32(at * k.width)
		out := k.cells[at*k.width : at*k.width+k.room+1]
		low := out
		if r.skip >= 0 {
			copy(out, k.cells[next[r.skip]:])
		} else {
			for h := range low {
				low[h] = math.Inf(-1)
			}
		}
		if stat < 0 || r.take < 0 {
			continue
		}
		gain, need := profit-k.price[r.fresh], int(own+k.need[r.fresh])
		if need > k.room {
			continue
		}
		out = out[need:]
		take := k.cells[next[r.take]:][:len(out)]
		for h, v := range take {
			if v += gain; v > out[h] {
				out[h] = v
			}
		}
	}
}

// answer lists the tasks of a best answer.
func (k *climber) answer() []int32 {
	l := k.l
	k.tasks = k.tasks[:0]
	s, h := int32(0), k.room
	for p, i := range l.tasks {
		r := l.rungs[p][s]
		here := k.cells[int(k.rows[l.first[p]+s])+h]
		if r.skip >= 0 && k.stat[i] <= 0 && k.cells[int(k.rows[l.first[p+1]+r.skip])+h] >= here {
			s = r.skip
			continue
		}
		k.tasks = append(k.tasks, i)
		h -= k.taken(p, r)
		s = r.take
	}
	return k.tasks
}

// taken is the units that doing the task of position p takes.
func (k *climber) taken(p int, r rung) int {
	if k.l.unit == 0 {
		return 0
	}
	return int(k.l.need[len(k.c.opens)+int(k.l.tasks[p])] + k.need[r.fresh])
}

// each hands every answer worth more than k.limit to k.accept, which may raise
// k.limit; it sets k.cut when it has run out of steps. best comes first.
func (k *climber) each(steps int) {
	k.steps, k.cut = steps, false
	k.tasks = k.tasks[:0]
	k.climb(0, 0, k.room, k.base)
}

// climb goes on from state s of position p with h units left, val so far.
func (k *climber) climb(p int, s int32, h int, val float64) {
	l := k.l
	for ; p < len(l.tasks); p++ {
		if val+k.cells[int(k.rows[l.first[p]+s])+h] <= k.limit {
			return
		}
		i, r := l.tasks[p], l.rungs[p][s]
		if r.take >= 0 && k.stat[i] >= 0 {
			need := k.taken(p, r)
			gain := k.prof[i] - k.price[r.fresh]
			if need <= h && val+gain+k.cells[int(k.rows[l.first[p+1]+r.take])+h-need] > k.limit {
				if k.steps--; k.steps < 0 {
					k.cut = true
					return
				}
				k.tasks = append(k.tasks, i)
				k.climb(p+1, r.take, h-need, val+gain)
				k.tasks = k.tasks[:len(k.tasks)-1]
			}
		}
		if r.skip < 0 || k.stat[i] > 0 {
			return
		}
		s = r.skip
	}
	if val > k.limit {
		k.accept(val, k.tasks)
	}
}
