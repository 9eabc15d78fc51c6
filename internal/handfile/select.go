package handfile

import (
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Leave says what is left out of a file.
type Leave struct {
	Prices bool `json:"prices"` // what things cost
	Names  bool `json:"names"`  // who wrote what down, and where parts were bought
}

// Words lists what is left out.
func (l Leave) Words() []message.Text {
	var out []message.Text
	if l.Prices {
		out = append(out, "what things cost")
	}
	if l.Names {
		out = append(out, "who wrote things down", "where parts were bought")
	}
	return out
}

// all is what a file may lack and still be of the same facts.
var all = Leave{Prices: true, Names: true}

// strip returns an entry without what is left out, and without why something was
// withdrawn, which may tell what it was.
func (l Leave) strip(e *fleet.Entry) *fleet.Entry {
	out := e.Without(l.Prices, l.Names)
	if c := e.Correction; c != nil && c.Withdraw && c.Why != "" {
		bare := *out.Correction
		bare.Why, out.Correction = "", &bare
	}
	return out
}

// given picks, of all entries about a vehicle, those that go along: what stands, the
// corrections it stands by, and that other things were withdrawn. Left is how many facts
// stay at home.
func given(entries []*fleet.Entry) (out []*fleet.Entry, left int) {
	stands, fixes := map[string]bool{}, map[string]bool{}
	for _, e := range fleet.Standing(entries) {
		stands[e.ID] = true
	}
	for _, e := range entries {
		fixes[e.ID] = e.Correction != nil
	}
	for _, e := range entries {
		c := e.Correction
		switch {
		case c == nil && stands[e.ID], c != nil && c.Withdraw,
			c != nil && (stands[c.Of] || fixes[c.Of]) && fleet.InForce(entries, e.ID):
			out = append(out, e)
		case c == nil:
			left++
		}
	}
	slices.SortFunc(out, func(a, b *fleet.Entry) int {
		if a.ID < b.ID {
			return -1
		}
		return 1
	})
	return out, left
}
