package schedule

import "slices"

// packer finds, for one period, the sets of tasks worth doing at a visit:
// profit of the tasks less the cost of the openings they need, within the
// limits. It bounds by a maximum closure (a minimum cut between tasks and the
// openings they pay for) with a price mu on each limited resource, and
// branches task by task.
type packer struct {
	c *component
	t int

	profit []float64 // per task of the component
	cands  []candidate
	nodes  []costNode
	nodeOf []int32 // opening or K+task -> position in nodes, -1
	candOf []int32 // task -> position in cands, -1
	forced []int32 // tasks in every answer

	mu       []float64
	base     float64 // value of the forced part
	assumed  bool    // the visit is in the base though it need not be held
	room     []float64
	bound    float64     // no answer is worth more
	steps    int         // branching steps left
	cut      bool        // steps ran out
	ended    func() bool // time is up: as if steps ran out; nil: never
	picked   []int32
	used     []float64
	limit    float64 // answers at or below are not wanted
	accept   func(value float64, tasks []int32)
	restUse  [][]float64
	restBuf  []float64
	orderBuf []int32
	memoOn   bool
	memo     []memoEntry
	memoTag  uint64
	ending   [][]int32 // position in the order -> nodes no later candidate uses
	queue    []int32
	from     []int32
	fromN    []int32
}

type candidate struct {
	task    int32
	profit  float64 // before pricing
	priced  float64
	left    float64   // unspent part of priced, if above 0
	nodes   []int32   // positions in packer.nodes
	flow    []float64 // what it pays to each
	implies []int32   // positions in packer.cands
	state   int8      // +n in (n holders), 0 open, -1 out
	inCut   bool
}

type costNode struct {
	id     int32
	cost   float64
	priced float64
	left   float64
	lost   float64 // flow of candidates left out
	count  int32
	cands  []int32
	slot   []int32
	mark   bool
}

func newPacker(c *component) *packer {
	k := &packer{c: c}
	k.nodeOf = make([]int32, len(c.opens)+len(c.tasks))
	k.candOf = make([]int32, len(c.tasks))
	r := len(c.capacity[0])
	k.mu, k.room, k.used = make([]float64, r), make([]float64, r), make([]float64, r)
	return k
}

// load prepares period t. status: +1 the task must be done, -1 it cannot, 0
// free. With all false, tasks of no profit are left out unless implied. It
// returns false if nothing satisfies the demands.
func (k *packer) load(t int, profit []float64, status []int8, all bool) bool {
	k.t, k.profit = t, profit
	k.cands, k.forced, k.picked = k.cands[:0], k.forced[:0], k.picked[:0]
	k.nodes = k.nodes[:0]
	for i := range k.nodeOf {
		k.nodeOf[i] = -1
	}
	for i := range k.candOf {
		k.candOf[i] = -1
	}
	copy(k.room, k.c.capacity[t-1])
	k.base = 0
	if !k.loadForced(status) {
		return false
	}
	for _, room := range k.room {
		if room < -slackTol {
			return false
		}
	}
	k.assume()
	for i := range profit {
		if status[i] == 0 && k.candOf[i] == -1 && (all || profit[i] > 0) && k.possible(i, status) {
			k.candOf[i] = int32(len(k.cands))
			k.addCandidate(int32(i), profit[i])
		}
	}
	k.link()
	return true
}

// assume puts the visit of a lone vehicle into the base: nothing is done
// without it, so what is left to weigh is that visit against none, worth 0.
// Hours are then there only if the visit is paid for, which makes the bound of
// solve the tighter (the limit of a visit is Hours times y, not Hours).
func (k *packer) assume() {
	c := k.c
	k.assumed = len(c.vehicles) == 1 && k.nodeOf[0] != forcedMark && !c.closedAt[k.t-1][0]
	for r, u := range c.use[0] {
		k.assumed = k.assumed && u <= k.room[r]
	}
	if k.assumed {
		k.openBase(0)
	}
}

const forcedMark = -2

// loadForced puts what must be done and opened into the base.
func (k *packer) loadForced(status []int8) bool {
	c := k.c
	for _, o := range c.held[k.t-1] {
		k.openBase(o)
	}
	for i := range status {
		if status[i] > 0 && !k.forceTask(int32(i), status) {
			return false
		}
	}
	return true
}

func (k *packer) forceTask(i int32, status []int8) bool {
	if k.candOf[i] == forcedMark {
		return true
	}
	if status[i] < 0 {
		return false
	}
	c := k.c
	k.candOf[i] = forcedMark
	k.forced = append(k.forced, i)
	k.base += k.profit[i]
	for r, u := range c.use[len(c.opens)+int(i)] {
		k.room[r] -= u
	}
	for _, o := range c.closure[i] {
		if c.closedAt[k.t-1][o] {
			return false
		}
		k.openBase(o)
	}
	for _, j := range c.implies[i] {
		if !k.forceTask(j, status) {
			return false
		}
	}
	return true
}

// openBase opens o for good in this period.
func (k *packer) openBase(o int32) {
	if k.nodeOf[o] == forcedMark {
		return
	}
	k.nodeOf[o] = forcedMark
	k.base -= k.c.cost[o]
	for r, u := range k.c.use[o] {
		k.room[r] -= u
	}
}

// possible reports whether free task i can be done at all in the period.
func (k *packer) possible(i int, status []int8) bool {
	for _, o := range k.c.closure[i] {
		if k.c.closedAt[k.t-1][o] {
			return false
		}
	}
	for _, j := range k.c.implies[i] {
		if status[j] < 0 {
			return false
		}
	}
	return true
}

// addCandidate appends a candidate, reusing its slices.
func (k *packer) addCandidate(i int32, profit float64) {
	if len(k.cands) < cap(k.cands) {
		k.cands = k.cands[:len(k.cands)+1]
	} else {
		k.cands = append(k.cands, candidate{})
	}
	a := &k.cands[len(k.cands)-1]
	a.task, a.profit, a.state, a.inCut = i, profit, 0, false
	a.nodes, a.flow, a.implies = a.nodes[:0], a.flow[:0], a.implies[:0]
}

// node is the position of the cost node, made if new; -1 if already open.
func (k *packer) node(id int32, cost float64) int32 {
	if k.nodeOf[id] == forcedMark {
		return -1
	}
	if k.nodeOf[id] >= 0 {
		return k.nodeOf[id]
	}
	if len(k.nodes) < cap(k.nodes) {
		k.nodes = k.nodes[:len(k.nodes)+1]
	} else {
		k.nodes = append(k.nodes, costNode{})
	}
	n := &k.nodes[len(k.nodes)-1]
	n.id, n.cost, n.count, n.lost = id, cost, 0, 0
	n.cands, n.slot = n.cands[:0], n.slot[:0]
	k.nodeOf[id] = int32(len(k.nodes) - 1)
	return k.nodeOf[id]
}

// link ties candidates to what they must pay for. A task of no profit that
// others imply is a cost they share.
func (k *packer) link() {
	c := k.c
	for i := range k.cands {
		a := &k.cands[i]
		for _, o := range c.closure[a.task] {
			k.join(i, k.node(o, c.cost[o]))
		}
		if a.profit <= 0 && len(c.implied[a.task]) > 0 {
			k.join(i, k.node(int32(len(c.opens))+a.task, -a.profit))
			a.profit = 0
		}
		for _, j := range c.implies[a.task] {
			if k.profit[j] <= 0 && k.candOf[j] != forcedMark {
				k.join(i, k.node(int32(len(c.opens))+j, -k.profit[j]))
			}
			if k.candOf[j] >= 0 {
				a.implies = append(a.implies, k.candOf[j])
			}
		}
	}
	slices.Sort(k.forced)
}

func (k *packer) join(i int, n int32) {
	if n < 0 {
		return
	}
	a := &k.cands[i]
	k.nodes[n].cands = append(k.nodes[n].cands, int32(i))
	k.nodes[n].slot = append(k.nodes[n].slot, int32(len(a.nodes)))
	a.nodes = append(a.nodes, n)
	a.flow = append(a.flow, 0)
}

// nodeUse is what cost node n takes of resource r.
func (k *packer) nodeUse(n *costNode, r int) float64 { return k.c.use[n.id][r] }

// candUse is what candidate a itself takes of resource r; a task that is a
// cost node is counted there.
func (k *packer) candUse(a *candidate, r int) float64 {
	id := int32(len(k.c.opens)) + a.task
	if k.nodeOf[id] >= 0 {
		return 0
	}
	return k.c.use[id][r]
}
