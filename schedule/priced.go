package schedule

import "math"

// price sets the priced profits and costs for mu.
func (k *packer) price() {
	for i := range k.cands {
		a := &k.cands[i]
		a.priced = a.profit
		for r, m := range k.mu {
			if m > 0 {
				a.priced -= m * k.candUse(a, r)
			}
		}
		a.left = max(0, a.priced)
		clear(a.flow)
	}
	for i := range k.nodes {
		n := &k.nodes[i]
		n.priced = n.cost
		for r, m := range k.mu {
			if m > 0 {
				n.priced += m * k.nodeUse(n, r)
			}
		}
		n.left = n.priced
	}
}

// solve finds mu and the flows of the bound, and returns the bound.
func (k *packer) solve() float64 {
	clear(k.mu)
	k.relax()
	if r := k.worst(); r >= 0 {
		k.priceSearch(r)
	}
	return k.bound
}

// relax evaluates the bound at mu; used gets the closure's use.
func (k *packer) relax() {
	k.price()
	k.flow()
	k.bound = k.base
	clear(k.used)
	for i := range k.cands {
		a := &k.cands[i]
		k.bound += a.left
		if a.inCut {
			for r := range k.used {
				k.used[r] += k.candUse(a, r)
			}
		}
	}
	for i := range k.nodes {
		if n := &k.nodes[i]; n.mark {
			for r := range k.used {
				k.used[r] += k.nodeUse(n, r)
			}
		}
	}
	for r, m := range k.mu {
		k.bound += m * k.room[r]
	}
}

// worst is the resource most overdrawn by the closure, -1 if none.
func (k *packer) worst() int {
	w, at := slackTol, -1
	for r := range k.used {
		if over := k.used[r] - k.room[r]; over > w {
			w, at = over, r
		}
	}
	return at
}

// priceSearch minimises the convex bound over the price of resource r, then
// of any other still overdrawn.
func (k *packer) priceSearch(r int) {
	for range 2 * len(k.mu) {
		k.priceOne(r)
		if r = k.worst(); r < 0 || len(k.mu) == 1 {
			return
		}
	}
}

// priceOne walks to the price of r where the bound is least: the lines of two
// closures, one over and one within the limit, meet there.
func (k *packer) priceOne(r int) {
	lo, loB, loS := k.mu[r], k.bound, k.room[r]-k.used[r]
	hi := lo
	for range 40 { // find a price at which the closure fits
		hi = max(2*hi, k.densest(r))
		k.mu[r] = hi
		k.relax()
		if k.used[r] <= k.room[r]+slackTol {
			break
		}
		lo, loB, loS = hi, k.bound, k.room[r]-k.used[r]
	}
	hiB, hiS := k.bound, k.room[r]-k.used[r]
	for range 12 {
		if hiS-loS < 1e-12 {
			break
		}
		m := ((loB - loS*lo) - (hiB - hiS*hi)) / (hiS - loS)
		if !(m > lo && m < hi) {
			break
		}
		k.mu[r] = m
		k.relax()
		meet := loB + loS*(m-lo)
		if k.bound >= meet-1e-9*(1+math.Abs(meet)) && k.bound <= meet+1e-9*(1+math.Abs(meet)) {
			return
		}
		if s := k.room[r] - k.used[r]; s < 0 {
			lo, loB, loS = m, k.bound, s
		} else {
			hi, hiB, hiS = m, k.bound, s
		}
	}
	if hiB <= loB {
		k.mu[r] = hi
	} else {
		k.mu[r] = lo
	}
	k.relax()
}

// densest is a first guess at a price of r that makes the closure shrink.
func (k *packer) densest(r int) float64 {
	p, u := 0.0, 0.0
	for i := range k.cands {
		if a := &k.cands[i]; a.profit > 0 {
			p += a.profit
			u += k.candUse(a, r)
		}
	}
	if u <= 0 {
		return 1
	}
	return max(1e-6, 0.5*p/u)
}
