package sequence

import "slices"

// states stores states under numbers from 0. A state is the set of steps done,
// followed by the setting, packed into words. The store is an open hash table
// over one array of keys, so that a state costs no allocation of its own.
type states struct {
	words int
	keys  []uint64
	slots []int32 // state number + 1; 0 is empty; the length is a power of two
}

func newStates(words int) *states {
	return &states{words: words, slots: make([]int32, 1<<8)}
}

func (s *states) len() int { return len(s.keys) / s.words }

func (s *states) key(id int32) []uint64 {
	return s.keys[int(id)*s.words : (int(id)+1)*s.words]
}

// slot returns where key is, or where it would be put.
func (s *states) slot(key []uint64) int {
	mask := len(s.slots) - 1
	at := int(hash(key)) & mask
	for s.slots[at] != 0 && !slices.Equal(s.key(s.slots[at]-1), key) {
		at = (at + 1) & mask
	}
	return at
}

// find returns the number of key, or -1.
func (s *states) find(key []uint64) int32 { return s.slots[s.slot(key)] - 1 }

// put returns the number of key, storing a copy of it when it is new.
func (s *states) put(key []uint64) (id int32, added bool) {
	at := s.slot(key)
	if s.slots[at] != 0 {
		return s.slots[at] - 1, false
	}
	id = int32(s.len())
	s.keys = append(s.keys, key...)
	s.slots[at] = id + 1
	if 2*s.len() > len(s.slots) {
		s.grow()
	}
	return id, true
}

func (s *states) grow() {
	s.slots = make([]int32, 2*len(s.slots))
	for id := range int32(s.len()) {
		s.slots[s.slot(s.key(id))] = id + 1
	}
}

func (s *states) clear() {
	s.keys = s.keys[:0]
	clear(s.slots)
}

// hash mixes the words of a key by the finaliser of splitmix64 (G. Steele,
// D. Lea, C. Flood, OOPSLA 2014).
func hash(key []uint64) uint64 {
	h := uint64(0x9e3779b97f4a7c15)
	for _, w := range key {
		h ^= w
		h = (h ^ (h >> 30)) * 0xbf58476d1ce4e5b9
		h = (h ^ (h >> 27)) * 0x94d049bb133111eb
		h ^= h >> 31
	}
	return h
}
