package sequence

import "math/bits"

// maxTourValues is the largest number of values for which the cheapest tour
// through any subset of them is tabulated (2^8 subsets).
const maxTourValues = 8

// attributeBound holds tables for three lower bounds on what the remaining
// steps must still cost in one attribute. Each is admissible because it counts
// only some of what any order must pay:
//
//   - chain: the steps along one chain of prerequisites must be done in that
//     order, so the ways between their values are paid one after the other;
//   - entries: a chain that comes to a value k times forces k entries to it,
//     each at least as dear as its cheapest;
//   - tour: every value still needed must be visited at least once.
//
// The steps that remain always include all that come after any of them, so the
// first two can be tabulated per step once and for all. Attributes are paid
// for apart, so their bounds add up.
type attributeBound struct {
	chain    [][]int64    // [value now][step]: dearest chain that begins at the step
	entries  [][2][]int16 // [value][1 when set now][step]: most entries on a chain from the step
	cheapest []int64      // [value]: cheapest entry from another value
	tour     [][]int64    // [value now][set of values]; nil with too many values
	free     bool         // changes of this attribute cost nothing
}

func (p *problem) newBound(a int, topological []int) attributeBound {
	attr := p.prices.attributes[a]
	size := len(attr.values)
	b := attributeBound{chain: make([][]int64, size), entries: make([][2][]int16, size),
		cheapest: make([]int64, size), free: true}
	for v := range size {
		b.chain[v] = make([]int64, p.size())
		b.entries[v] = [2][]int16{make([]int16, p.size()), make([]int16, p.size())}
		b.cheapest[v] = cheapestEntry(attr, v)
		b.free = b.free && b.cheapest[v] == 0
	}
	for k := len(topological) - 1; k >= 0; k-- {
		b.fill(p, attr, topological[k], int(p.needs[topological[k]][a]))
	}
	if size-1 <= maxTourValues {
		b.tour = tours(attr, int(p.end[a]))
	}
	return b
}

func cheapestEntry(attr *attribute, v int) int64 {
	if v == unset {
		return 0
	}
	cheapest := int64(noCost)
	for from := 1; from < len(attr.values); from++ {
		if from != v {
			cheapest = min(cheapest, attr.cost[from][v])
		}
	}
	return cheapest
}

// fill tabulates chains and entries for step i, which needs the value need;
// the steps after it are done already.
func (b *attributeBound) fill(p *problem, attr *attribute, i, need int) {
	for v := range attr.values {
		now, step := v, int64(0)
		if need != unset {
			now, step = need, attr.cost[v][need]
		}
		longest := int64(0)
		for _, next := range p.succs[i] {
			longest = max(longest, b.chain[now][next])
		}
		b.chain[v][i] = step + longest

		for in := range 2 {
			inside, entry := in, int16(0)
			if need == v && need != unset {
				inside, entry = 1, int16(1-in)
			} else if need != unset {
				inside = 0
			}
			most := int16(0)
			for _, next := range p.succs[i] {
				most = max(most, b.entries[v][inside][next])
			}
			b.entries[v][in][i] = entry + most
		}
	}
}

// tours tabulates the cheapest way from a value through a set of values, and
// on to the value end unless that is unset, by the recursion of M. Held and
// R. M. Karp (Journal of the SIAM 10, 1962).
func tours(attr *attribute, end int) [][]int64 {
	size := len(attr.values)
	t := make([][]int64, size)
	for v := range t {
		t[v] = make([]int64, 1<<(size-1))
		if end != unset {
			t[v][0] = attr.cost[v][end]
		}
	}
	for set := 1; set < 1<<(size-1); set++ {
		for v := range size {
			best := int64(noCost)
			for rest := set; rest != 0; rest &= rest - 1 {
				next := bits.TrailingZeros(uint(rest)) + 1
				best = min(best, attr.cost[v][next]+t[next][set&^(1<<(next-1))])
			}
			t[v][set] = best
		}
	}
	return t
}

// of returns the bound for attribute a when it is set to now, the steps in done
// are done and those in ready can be done next.
func (b *attributeBound) of(p *problem, a, now int, done bitset, ready []int) int64 {
	if b.free {
		return 0
	}
	best := int64(0)
	for _, i := range ready {
		best = max(best, b.chain[now][i])
	}
	if b.tour != nil {
		set := 0
		for v := 1; v < len(b.tour); v++ {
			if !p.needing[a][v].within(done) {
				set |= 1 << (v - 1)
			}
		}
		best = max(best, b.tour[now][set])
	}
	return max(best, b.ofEntries(now, ready))
}

// ofEntries counts forced entries. The first entry from unset is free, so the
// dearest is taken off then.
func (b *attributeBound) ofEntries(now int, ready []int) int64 {
	sum, dearest := int64(0), int64(0)
	for v := 1; v < len(b.entries); v++ {
		in := 0
		if v == now {
			in = 1
		}
		most := int16(0)
		for _, i := range ready {
			most = max(most, b.entries[v][in][i])
		}
		if most > 0 {
			sum += int64(most) * b.cheapest[v]
			dearest = max(dearest, b.cheapest[v])
		}
	}
	if now == unset {
		sum -= dearest
	}
	return sum
}
