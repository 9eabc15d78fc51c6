package schedule

import "math"

// part is the ladder of one vehicle in work, for one period: the greatest
// value of what is done, within so many units.
type part struct {
	l     *ladder
	first int       // number of the first task among nodes
	warm  []float64 // period -> price of a unit that was best last time
	last  [][]int32 // period -> answer of last time
	own   []int32   // position -> units of the task itself
	bound []bool    // position -> other tasks imply this one

	cost  []float64 // set of fresh openings -> cost
	need  []int32   // set of fresh openings -> units
	gain  []int64   // position -> gain, priced
	price []int64   // set of fresh openings -> cost, priced
	room  int
	mu    int64   // price of a unit that relax was last called with for an answer
	scale float64 // whole units of value in one of money
	bent  []int64 // gain and price with units priced as well
	bentP []int64

	rest  []int64 // state -> best on from there, units priced
	to    []int64 // state -> best up to there, likewise
	work  []rung  // state -> what may follow in a better answer than known
	cells []int64 // row of units by state
	rows  []int32 // state -> its row (rows are shared where nothing is gained)
	width int
	dense bool // cells are worked out
	hasty bool // time is up: content with the bound at the first price of units
	rough bool // solve is content with the bound at the best price of units

	value int64 // of the best answer
	tasks []int32
	trail []int32
	later int64 // of the best answers of the parts that follow
}

const never = -1 << 61 // stands for -Inf

func newPart(l *ladder, c *component) *part {
	p := &part{l: l, width: l.most + 1, first: len(c.opens)}
	p.warm, p.last = make([]float64, c.periods), make([][]int32, c.periods)
	n := len(l.rungs)
	p.rest, p.to, p.work = make([]int64, n), make([]int64, n), make([]rung, n)
	p.cells, p.rows = make([]int64, n*p.width), make([]int32, n)
	p.own, p.bound = make([]int32, len(l.tasks)), make([]bool, len(l.tasks))
	for q, i := range l.tasks {
		if l.resource >= 0 {
			p.own[q] = l.need[p.first+int(i)]
		}
		p.bound[q] = len(c.implied[i]) > 0
	}
	p.cost, p.need = make([]float64, len(l.fresh)), make([]int32, len(l.fresh))
	p.gain, p.bent = make([]int64, len(l.tasks)), make([]int64, len(l.tasks))
	p.price, p.bentP = make([]int64, len(l.fresh)), make([]int64, len(l.fresh))
	return p
}

// taken is the units that doing the task of position q takes.
func (p *part) taken(q int, r rung) int { return int(p.own[q] + p.need[r.fresh]) }

// relax works out the best ways on from every state with units at price mu.
func (p *part) relax(stat []int8, mu int64) {
	rest, l := p.rest, p.l
	for q, g := range p.gain {
		p.bent[q] = g - mu*int64(p.own[q])
	}
	for f, x := range p.price {
		p.bentP[f] = x + mu*int64(p.need[f])
	}
	for q := len(l.tasks) - 1; q >= 0; q-- {
		from, to := l.first[q], l.first[q+1]
		gain, stat := p.bent[q], stat[l.tasks[q]]
		out := rest[from:to]
		for s, r := range l.rungs[from:to] {
			v := int64(never)
			if r.skip >= 0 && stat <= 0 {
				v = rest[r.skip]
			}
			if r.take >= 0 && stat >= 0 {
				v = max(v, gain-p.bentP[r.fresh]+rest[r.take])
			}
			out[s] = v
		}
	}
}

// follow traces a best way at the prices of relax: what it takes, and its
// value without the price of units; trail gets the tasks.
func (p *part) follow(stat []int8) (used int, value int64) {
	l, s := p.l, int32(0)
	p.trail = p.trail[:0]
	for q, i := range l.tasks {
		r := l.rungs[s]
		if r.skip >= 0 && stat[i] <= 0 && p.rest[r.skip] >= p.rest[s] {
			s = r.skip
			continue
		}
		used += p.taken(q, r)
		value += p.gain[q] - p.price[r.fresh]
		p.trail = append(p.trail, i)
		s = r.take
	}
	return used, value
}

// begin relaxes at the price of a unit that was best in period t last time.
func (p *part) begin(t int, stat []int8) {
	p.mu = 0
	if p.l.resource >= 0 && p.room < p.l.sum {
		p.mu = p.warmPrice(t)
	}
	p.relax(stat, p.mu)
	if p.value = p.rest[0]; p.value > never/2 {
		p.value += p.mu * int64(p.room)
	}
}

// solve finds the best answer within the units there are, or shows that none
// is worth more than known; begin comes first. All asks for every answer above
// known, and readies the part for going through them.
func (p *part) solve(t int, stat []int8, known int64, all bool) {
	p.tasks, p.dense = p.tasks[:0], false
	if p.value < never/2 {
		return
	}
	if all && p.room >= p.l.sum {
		p.follow(stat)
		p.tasks = append(p.tasks, p.trail...)
		p.narrow(stat, known, 0, all)
		return
	}
	if !all {
		known = p.again(t, stat) - 1
	}
	known, fits := p.priceUnits(t, stat, known, all)
	if fits && !all {
		p.value = p.rest[0]
		return
	}
	if (p.rough || p.hasty) && !all {
		p.value = p.rest[0] + p.mu*int64(p.room)
		p.follow(stat)
		p.tasks = append(p.tasks[:0], p.trail...)
		return
	}
	p.value = known
	if p.rest[0]+p.mu*int64(p.room) > max(known, never/2) {
		p.narrow(stat, known, p.mu, all)
		p.fill()
		if v := p.cells[int(p.rows[0])+p.room]; v > max(known, never/2) {
			p.value = v
			p.trace()
		}
	}
	if !all {
		p.last[t-1] = append(p.last[t-1][:0], p.tasks...)
	}
}

// again takes up the answer of last time and returns its value now, never if
// it will not do.
func (p *part) again(t int, stat []int8) int64 {
	l, s, value, left := p.l, int32(0), int64(0), p.room
	in := p.last[t-1] // in order of position
	if len(in) == 0 {
		return never
	}
	for q, i := range l.tasks {
		r := l.rungs[s]
		take := len(in) > 0 && in[0] == i
		if take && (r.take < 0 || stat[i] < 0) || !take && (r.skip < 0 || stat[i] > 0) {
			return never
		}
		if !take {
			s = r.skip
			continue
		}
		in = in[1:]
		left -= p.taken(q, r)
		value += p.gain[q] - p.price[r.fresh]
		s = r.take
	}
	if left < 0 || len(in) > 0 {
		return never
	}
	p.tasks = append(p.tasks, p.last[t-1]...)
	return value
}

// priceUnits looks for the price of a unit at which relax gives the least
// bound, from that of begin on, and leaves relax there. Answers on the way that
// fit count as known, unless all are wanted; fits says that one is the best, as
// it fits where units are free.
func (p *part) priceUnits(t int, stat []int8, known int64, all bool) (int64, bool) {
	lo, hi := line{mu: -1}, line{mu: -1}
	mu, at, best, least := p.mu, p.mu, p.mu, int64(math.MaxInt64)
	for turn := 0; ; turn++ {
		used, value := p.follow(stat)
		b := p.rest[0] + mu*int64(p.room)
		if b < least {
			best, least = mu, b
		}
		if used <= p.room && (mu == 0 || value > known && !all) {
			if !all {
				known = max(known, value)
			}
			p.tasks = append(p.tasks[:0], p.trail...)
		}
		if x := (line{float64(mu), float64(b), float64(p.room - used)}); x.spare < 0 {
			lo = x
		} else {
			hi = x
		}
		if mu == 0 && used <= p.room {
			p.mu, p.warm[t-1] = 0, 0
			return known, true
		}
		next := p.next(lo, hi, used, turn)
		if turn == 4 || p.hasty || b <= known || float64(next) <= lo.mu || hi.mu >= 0 && float64(next) >= hi.mu {
			break
		}
		mu = next
		p.relax(stat, mu)
		at = mu
	}
	if at != best {
		p.relax(stat, best)
	}
	p.mu, p.warm[t-1] = best, float64(best)/p.scale
	return known, false
}

// next is the price to try after those of lo, where too much was taken, and hi;
// one of them may not be known, its price below 0.
func (p *part) next(lo, hi line, used, turn int) int64 {
	switch {
	case lo.mu >= 0 && hi.mu >= 0:
		return int64(lo.meets(hi))
	case hi.mu >= 0 && turn < 2:
		return int64(hi.mu * 0.75)
	case hi.mu >= 0:
		return 0
	case lo.mu == 0:
		return 1 + max(0, p.rest[0])/int64(2*used)
	}
	return int64(lo.mu*1.3) + 1
}

// warmPrice is the price of a unit in period t that was best last time.
func (p *part) warmPrice(t int) int64 {
	return int64(min(p.warm[t-1]*p.scale, float64(int64(1)<<54/int64(p.room+1))))
}

// narrow drops the steps that lead to nothing worth more than known, by the
// best way up to each state and on from it at price mu.
func (p *part) narrow(stat []int8, known, mu int64, all bool) {
	l, rest, to := p.l, p.rest, p.to
	known = max(known, never/2) // below is what cannot be
	for s := range to {
		to[s] = never
	}
	to[0] = mu * int64(p.room)
	for q, i := range l.tasks {
		gain, stat := p.bent[q], stat[i]
		idle := !all && p.gain[q] <= 0 && !p.bound[q]
		for s := l.first[q]; s < l.first[q+1]; s++ {
			r, w, x := l.rungs[s], rung{-1, -1, -1}, to[s]
			if x+rest[s] > known {
				w.fresh = r.fresh
				if r.skip >= 0 && stat <= 0 && x+rest[r.skip] > known {
					w.skip = r.skip
					to[r.skip] = max(to[r.skip], x)
				}
				if r.take >= 0 && stat >= 0 && !(idle && w.skip >= 0) {
					if y := x + gain - p.bentP[r.fresh]; y+rest[r.take] > known {
						w.take = r.take
						to[r.take] = max(to[r.take], y)
					}
				}
			}
			p.work[s] = w
		}
	}
}

// fill works out the rows of the states left by narrow.
func (p *part) fill() {
	l := p.l
	p.dense = true
	size := p.room + 1
	for s := int(l.first[len(l.tasks)]); s < len(l.rungs); s++ {
		p.rows[s] = int32(s * p.width)
		clear(p.cells[s*p.width : s*p.width+size])
	}
	for q := len(l.tasks) - 1; q >= 0; q-- {
		for s := l.first[q]; s < l.first[q+1]; s++ {
			r := p.work[s]
			switch {
			case r.take < 0 && r.skip < 0:
				continue
			case r.take < 0:
				p.rows[s] = p.rows[r.skip]
				continue
			}
			at := int(s) * p.width
			p.rows[s] = int32(at)
			out := p.cells[at : at+size]
			gain, need := p.gain[q]-p.price[r.fresh], min(size, p.taken(q, r))
			take := p.cells[p.rows[r.take]:][:size-need]
			if r.skip < 0 {
				shiftRow(out, take, need, gain)
				continue
			}
			skip := p.cells[p.rows[r.skip]:][:size]
			copy(out[:need], skip)
			betterRow(out[need:], skip[need:], take, gain)
		}
	}
}

// shiftRow sets out to take with a gain, need units further on.
func shiftRow(out, take []int64, need int, gain int64) {
	for h := range out[:need] {
		out[h] = never
	}
	out = out[need:]
	for h, v := range take {
		out[h] = v + gain
	}
}

// betterRow sets each of out to the better of skip and of take with a gain.
func betterRow(out, skip, take []int64, gain int64) {
	skip, take = skip[:len(out)], take[:len(out)]
	for h := range out {
		out[h] = max(skip[h], take[h]+gain)
	}
}

// on is the best value on from a state with h units left, or a bound on it.
func (p *part) on(s int32, h int) int64 {
	if p.dense {
		return p.cells[int(p.rows[s])+h]
	}
	return p.rest[s]
}

// trace notes the tasks of the best answer in the cells.
func (p *part) trace() {
	l, h, s := p.l, p.room, int32(0)
	p.tasks = p.tasks[:0]
	for q, i := range l.tasks {
		r := p.work[s]
		if r.skip >= 0 && (r.take < 0 || p.on(r.skip, h) >= p.on(s, h)) {
			s = r.skip
			continue
		}
		h -= p.taken(q, r)
		p.tasks = append(p.tasks, i)
		s = r.take
	}
}
