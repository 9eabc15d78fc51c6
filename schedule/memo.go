package schedule

// memoEntry remembers a partial answer whose continuations have all been
// searched: the position and the open nodes that still matter (as a hash),
// what it used and what it was worth.
type memoEntry struct {
	key   uint64
	used  float64
	value float64
}

const memoSize = 1 << 12

// memoFits reports whether partial answers can be compared by open nodes, one
// resource and value alone.
func (k *packer) memoFits() bool {
	if len(k.mu) != 1 {
		return false
	}
	for i := range k.cands {
		if len(k.cands[i].implies) > 0 {
			return false
		}
	}
	return true
}

// prepareMemo lists, per position, the nodes whose last candidate stands
// there.
func (k *packer) prepareMemo(order []int32) {
	if !k.memoOn {
		return
	}
	if k.memo == nil {
		k.memo = make([]memoEntry, memoSize)
	}
	k.memoTag++
	for len(k.ending) < len(order) {
		k.ending = append(k.ending, nil)
	}
	for p := range k.ending {
		k.ending[p] = k.ending[p][:0]
	}
	place := make([]int32, len(order))
	for p, i := range order {
		place[i] = int32(p)
	}
	for n := range k.nodes {
		last := int32(-1)
		for _, i := range k.nodes[n].cands {
			last = max(last, place[i])
		}
		if last >= 0 {
			k.ending[last] = append(k.ending[last], int32(n))
		}
	}
}

// expire takes the nodes that end at position p out of the hash.
func (k *packer) expire(p int, h uint64) uint64 {
	if !k.memoOn {
		return h
	}
	for _, n := range k.ending[p] {
		if k.nodes[n].count > 0 {
			h ^= scatter(uint64(n))
		}
	}
	return h
}

// seenBetter reports whether a partial answer with the same open nodes, no
// more use and no less value has been searched; if not, it records this one.
func (k *packer) seenBetter(p int, val float64, h uint64) bool {
	key := h ^ scatter(uint64(p)+1<<32) ^ scatter(k.memoTag+1<<40)
	e := &k.memo[key%memoSize]
	if e.key == key {
		if e.used <= k.used[0]+1e-12 && e.value >= val {
			return true
		}
		if e.used < k.used[0] || e.value > val {
			return false // keep the other; neither covers both
		}
	}
	*e = memoEntry{key, k.used[0], val}
	return false
}

// scatter is the finaliser of the SplitMix64 generator (Steele, Lea and Flood
// 2014): neighbouring integers to unrelated ones.
func scatter(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
