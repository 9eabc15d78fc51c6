package schedule

const flowTol = 1e-9

// flow lets candidates pay for their cost nodes: a maximum flow, greedy
// first, then along augmenting paths. Afterwards inCut and mark hold the
// smallest closure of greatest priced profit.
func (k *packer) flow() {
	for i := range k.cands {
		a := &k.cands[i]
		for s, n := range a.nodes {
			if a.left <= flowTol {
				break
			}
			if d := min(a.left, k.nodes[n].left); d > 0 {
				a.flow[s] += d
				a.left -= d
				k.nodes[n].left -= d
			}
		}
	}
	for k.augment() {
	}
}

// augment searches breadth first from candidates with money left to a node
// not fully paid and sends what it can. It returns false if there is none.
func (k *packer) augment() bool {
	nc, nn := len(k.cands), len(k.nodes)
	if cap(k.from) < nc {
		k.from = make([]int32, nc+16)
	}
	if cap(k.fromN) < nn {
		k.fromN = make([]int32, nn+16)
	}
	k.from, k.fromN = k.from[:nc], k.fromN[:nn]
	k.queue = k.queue[:0]
	for i := range k.cands {
		a := &k.cands[i]
		a.inCut = a.left > flowTol
		k.from[i] = -1
		if a.inCut {
			k.queue = append(k.queue, int32(i))
		}
	}
	for i := range k.nodes {
		k.nodes[i].mark = false
	}
	for h := 0; h < len(k.queue); h++ {
		i := k.queue[h]
		for _, n := range k.cands[i].nodes {
			node := &k.nodes[n]
			if node.mark {
				continue
			}
			node.mark = true
			k.fromN[n] = i
			if node.left > flowTol {
				k.push(n)
				return true
			}
			for q, j := range node.cands {
				b := &k.cands[j]
				if !b.inCut && b.flow[node.slot[q]] > flowTol {
					b.inCut = true
					k.from[j] = n
					k.queue = append(k.queue, j)
				}
			}
		}
	}
	k.completeCut()
	return false
}

// completeCut adds the candidates whose nodes are all in the cut and who pay
// their way: they cost the closure nothing.
func (k *packer) completeCut() {
	for i := range k.cands {
		a := &k.cands[i]
		if a.inCut || a.priced <= 0 {
			continue
		}
		in := len(a.nodes) > 0
		for _, n := range a.nodes {
			in = in && k.nodes[n].mark
		}
		a.inCut = in
	}
}

// push sends flow along the path found to node n.
func (k *packer) push(n int32) {
	d := k.nodes[n].left
	for v := n; ; {
		i := k.fromN[v]
		if k.from[i] < 0 {
			d = min(d, k.cands[i].left)
			break
		}
		v = k.from[i]
		d = min(d, k.cands[i].flow[k.slotOf(i, v)])
	}
	k.nodes[n].left -= d
	for v := n; ; {
		i := k.fromN[v]
		a := &k.cands[i]
		a.flow[k.slotOf(i, v)] += d
		if k.from[i] < 0 {
			a.left -= d
			return
		}
		v = k.from[i]
		a.flow[k.slotOf(i, v)] -= d
	}
}

func (k *packer) slotOf(i, n int32) int {
	for s, m := range k.cands[i].nodes {
		if m == n {
			return s
		}
	}
	return -1
}
