package sequence

import "math/bits"

// A bitset holds step numbers, 64 to the word. All bitsets of one problem have
// the same length.
type bitset []uint64

func newBitset(n int) bitset { return make(bitset, (n+63)/64) }

func (b bitset) add(i int)      { b[i>>6] |= 1 << (i & 63) }
func (b bitset) remove(i int)   { b[i>>6] &^= 1 << (i & 63) }
func (b bitset) has(i int) bool { return b[i>>6]&(1<<(i&63)) != 0 }

// within reports whether every element of b is in other.
func (b bitset) within(other bitset) bool {
	for i, w := range b {
		if w&^other[i] != 0 {
			return false
		}
	}
	return true
}

func (b bitset) count() int {
	total := 0
	for _, w := range b {
		total += bits.OnesCount64(w)
	}
	return total
}

// first returns the lowest element, or -1 when there is none.
func (b bitset) first() int {
	for i, w := range b {
		if w != 0 {
			return i<<6 + bits.TrailingZeros64(w)
		}
	}
	return -1
}
