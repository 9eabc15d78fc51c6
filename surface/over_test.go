package surface_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"undertray.example/undertray/surface"
)

// life is a belt at two times: what the earlier and the later picture show, and which crack is which.
type life struct {
	before, after surface.Reading
	same          map[int]int // earlier index to later
	fresh         []int       // later
	flipped       bool
	scale, shift  float64
	common        float64 // mm
}

// anyLife makes up two readings of one belt: the later shows another stretch, perhaps from the other end, at a scale a
// little off, with places off by a fifth of a mm; some marks are missed in each and some cracks are new.
func anyLife(r *rand.Rand, ribs int) life {
	const pitch = 3.56
	l := life{same: map[int]int{}, flipped: r.IntN(2) == 0, scale: 1 + 0.04*(2*r.Float64()-1)}
	long, later := 60+60*r.Float64(), 60+60*r.Float64()
	l.before.Frame, l.after.Frame = plainFrame(ribs, long), plainFrame(ribs, later)
	l.shift = 40 * (2*r.Float64() - 1)
	l.common = min(later, l.shift+l.scale*long) - max(0, l.shift)
	put := func(c *[]surface.Crack, rib, n int, along float64) int {
		k := surface.Crack{Width: 0.2, Contrast: 0.3, Length: pitch * float64(n), Chance: 0.95}
		for i := range n {
			k.Ribs = append(k.Ribs, rib+i)
			for _, u := range []float64{0.1, 0.9} {
				k.Path = append(k.Path, surface.Point{X: pitch * (float64(rib+i) + u), Y: along + 0.2*r.NormFloat64()})
			}
		}
		*c = append(*c, k)
		return len(*c) - 1
	}
	put2 := func(rib, n int, along float64, old bool) {
		at := l.scale*along + l.shift
		mine := rib
		if l.flipped {
			mine, along = ribs-rib-n, long-along
		}
		inBefore, inAfter := old && along > 0 && along < long, at > 0 && at < later
		a, b := -1, -1
		if inBefore && r.Float64() < 0.9 {
			a = put(&l.before.Cracks, mine, n, along)
		}
		if inAfter && (!old || r.Float64() < 0.95) {
			b = put(&l.after.Cracks, rib, n, at)
		}
		switch {
		case a >= 0 && b >= 0:
			l.same[a] = b
		case b >= 0 && !old:
			l.fresh = append(l.fresh, b)
		}
	}
	for range 10 + r.IntN(40) {
		n := 1 + r.IntN(2)
		put2(r.IntN(ribs-n+1), n, -40+200*r.Float64(), true)
	}
	for range r.IntN(8) {
		put2(r.IntN(ribs), 1, -40+200*r.Float64(), false)
	}
	return l
}

// TestLaysOver: of made-up pairs of readings with eight cracks or more in common nearly all are laid over each other,
// none wrongly; what is new is called new, but where it lies beside an old one.
func TestLaysOver(t *testing.T) {
	var laid, wrong, able, fresh, told, falsely, pairs, rightly int
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 31))
		l := anyLife(r, 4+r.IntN(5))
		o, fault := surface.LayOver(l.before, l.after)
		if len(l.same) >= 8 && l.common > 40 {
			able++
			if fault == nil {
				laid++
			}
		}
		if fault != nil {
			continue
		}
		if o.Flipped != l.flipped || off(o, l) > 1 {
			wrong++
			continue
		}
		right := 0
		for _, p := range o.Pairs {
			if b, ok := l.same[p.Before]; ok && b == p.After {
				right++
			}
		}
		pairs, rightly = pairs+len(o.Pairs), rightly+right
		isNew := map[int]bool{}
		for _, i := range l.fresh {
			if y := l.after.Cracks[i].Path[0].Y; y > o.From+3 && y < o.To-3 {
				fresh++
				isNew[i] = true
			}
		}
		for _, i := range o.New {
			if isNew[i] {
				told++
			}
		}
		for _, i := range l.fresh {
			isNew[i] = true
		}
		for _, i := range o.New {
			if !isNew[i] {
				falsely++ // one in ten of the earlier marks was missed on purpose
			}
		}
	}
	t.Logf("%d of %d laid over, %d wrongly; %d of %d pairs right; of %d new cracks %d told, %d others called new", laid,
		able, wrong, rightly, pairs, fresh, told, falsely)
	if able < 150 || laid < able*95/100 || wrong > 0 || rightly < pairs*95/100 || told < fresh*85/100 {
		t.Error("want 95 % laid over, none wrongly, 95 % of pairs right, 85 % of the new told")
	}
}

// off is how many mm an overlay is wrong in the middle of what both show.
func off(o surface.Overlay, l life) float64 {
	middle := (l.common/2 + max(0, l.shift) - l.shift) / l.scale // mm along in the earlier picture, turned if flipped
	return math.Abs(o.Scale*middle + o.Shift - l.scale*middle - l.shift)
}

// TestOthersAreNotLaidOver: two readings of different belts match hardly ever.
func TestOthersAreNotLaidOver(t *testing.T) {
	wrong := 0
	const tries = 1000
	for seed := range uint64(tries) {
		r := rand.New(rand.NewPCG(seed, 32))
		ribs := 4 + r.IntN(5)
		a, b := anyLife(r, ribs), anyLife(r, ribs)
		if _, fault := surface.LayOver(a.before, b.after); fault == nil {
			wrong++
		}
	}
	t.Logf("%d of %d", wrong, tries)
	if wrong > 2 {
		t.Errorf("%d of %d pairs of different belts were laid over each other", wrong, tries)
	}
}

// TestOverlayLaws: a reading lies on itself; turned end for end it lies on itself flipped; too few marks or other ribs
// are a fault that says so.
func TestOverlayLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 33))
	l := anyLife(r, 6)
	for len(l.before.Cracks) < 12 {
		l = anyLife(r, 6)
	}
	o, fault := surface.LayOver(l.before, l.before)
	if fault != nil || o.Flipped || math.Abs(o.Scale-1) > 1e-9 || math.Abs(o.Shift) > 1e-6 ||
		len(o.Pairs) != len(l.before.Cracks) || len(o.New)+len(o.Gone)+len(o.Faint) > 0 || o.Growth.Value != 0 {
		t.Errorf("a reading on itself: %+v, %v", o, fault)
	}
	turned := l.before
	turned.Cracks = nil
	size := l.before.Frame.Size()
	for _, c := range l.before.Cracks {
		k := c
		k.Ribs, k.Path = nil, nil
		for _, r := range c.Ribs {
			k.Ribs = append(k.Ribs, 5-r)
		}
		for _, p := range c.Path {
			k.Path = append(k.Path, surface.Point{X: size.X - p.X, Y: size.Y - p.Y})
		}
		turned.Cracks = append(turned.Cracks, k)
	}
	if o, fault := surface.LayOver(l.before, turned); fault != nil || !o.Flipped ||
		len(o.Pairs) != len(l.before.Cracks) {
		t.Errorf("turned end for end: %+v, %v", o, fault)
	}
	few := l.before
	few.Cracks = few.Cracks[:3]
	if _, fault := surface.LayOver(few, l.before); fault == nil || fault.Code != surface.FewMarks {
		t.Errorf("three marks: %v", fault)
	}
	other := l.before
	other.Frame = plainFrame(7, 80)
	if _, fault := surface.LayOver(other, l.before); fault == nil || fault.Code != surface.OtherRibs {
		t.Errorf("other ribs: %v", fault)
	}
	if _, fault := surface.LayOver(surface.Reading{}, surface.Reading{}); fault == nil {
		t.Error("two empty readings have no fault")
	}
}
