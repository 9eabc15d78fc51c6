package surface

import (
	"cmp"
	"fmt"
	"image"
	"math"
	"slices"
)

// BeltOptions is what is known beside a picture.
type BeltOptions struct {
	Pitch float64 // of the ribs, mm; 0 stands for 3.56, that of the section PK (ISO 9981, ISO 9982)
	Focal float64 // focal length, px of this picture; 0 where it is not known
}

// methodVersion is told with a reading: figures of other versions may differ.
const methodVersion = "ribs-4"

const pitchPK = 3.56 // mm

func (o BeltOptions) check() (BeltOptions, error) {
	if o.Pitch == 0 {
		o.Pitch = pitchPK
	}
	if !(o.Pitch >= 1 && o.Pitch <= 20) {
		return o, fmt.Errorf("%w: a pitch of %v mm, want 1 to 20", ErrSettings, o.Pitch)
	}
	if !(o.Focal == 0 || o.Focal >= 50 && o.Focal <= 1e6) {
		return o, fmt.Errorf("%w: a focal length of %v px, want 50 to 1000000, or 0", ErrSettings, o.Focal)
	}
	return o, nil
}

// ReadBelt reads a photograph of a ribbed belt. What is in the way of that it says in the reading's faults. Errors wrap
// [ErrPicture] and [ErrSettings].
func ReadBelt(p *image.Gray, o BeltOptions) (Reading, error) {
	if err := checkGray(p); err != nil {
		return Reading{}, err
	}
	o, err := o.check()
	if err != nil {
		return Reading{}, err
	}
	r := laid(p, o)
	if r.stops() {
		return r, nil
	}
	if err := r.findOn(p); err != nil {
		return Reading{}, err
	}
	return r, nil
}

// laid is a reading without its cracks. Where what is most like a belt will not do, others are looked at: stripes of
// what lies behind one may be clearer than its own.
func laid(p *image.Gray, o BeltOptions) Reading {
	all := layers(p, 40)
	found := findBelts(all)
	if len(found) == 0 {
		return Reading{Version: methodVersion, Cracks: []Crack{}, Faults: []Fault{{Code: NoBelt, Stops: true}}}
	}
	first := found[0].read(p, o)
	if !first.stops() {
		return first
	}
	for i := range found[1:] {
		b := &found[1+i]
		b.finer(all)
		if b.like() {
			if r := b.read(p, o); !r.stops() {
				return r
			}
		}
	}
	return first
}

func (r *Reading) stops() bool {
	return slices.ContainsFunc(r.Faults, func(f Fault) bool { return f.Stops })
}

// read lays a belt out, and says what is in the way of it.
func (b *belt) read(p *image.Gray, o BeltOptions) Reading {
	r := Reading{Version: methodVersion, Cracks: []Crack{}}
	f, ok := b.lay(&r, o, p)
	if !ok {
		r.Faults = append(r.Faults, Fault{Code: NoBelt, Value: float64(b.ribs), Stops: true})
		r.Frame = Frame{}
		return r
	}
	s := b.signs(f, &r, p)
	r.Blur, r.Faults = s.focus.blur, s.faults()
	return r
}

// mostBelts is how many bundles of stripes are looked at for a belt that will do.
const mostBelts = 8

// findBelts follows the most promising stripes. First is what is most like a belt, followed once more; the others come
// by how promising they are.
func findBelts(all []*layer) []belt {
	var found []belt
	for i, patch := range findStripes(all) {
		if i >= 12 || patch.score < 0.4 {
			break
		}
		// The clearest square may lie across an edge, on what repeats within a rib, or beside the belt altogether.
		n := len(patch.squares)
		for _, k := range slices.Compact([]int{0, n / 16, n / 8, n / 4, n / 2, n - 1}) {
			b, p, ok := start(all, patch.squares[k])
			if !ok {
				continue
			}
			b.follow(p)
			b.countRibs()
			if b.worth() > 0 {
				found = append(found, b)
			}
			if b.ribs > 3 {
				break
			}
		}
	}
	slices.SortStableFunc(found, func(a, b belt) int { return cmp.Compare(b.worth(), a.worth()) })
	found = found[:min(len(found), mostBelts)]
	best := 0
	for i := range found[:min(len(found), 3)] {
		b := &found[i]
		b.finer(all)
		if b.like() {
			best = i
			break
		}
		if found[best].ribs < 4 && b.worth() > found[best].worth() {
			best = i
		}
	}
	if best > 0 {
		b := found[best]
		found = slices.Insert(slices.Delete(found, best, best+1), 0, b)
	}
	return found
}

// like is whether something has as many ribs as belts have, that stand out of what is beside them.
func (b *belt) like() bool { return b.ribs > 3 && b.ribs <= 8 && b.clear > 0.3 }

// finer follows a belt once more, at twice or half its pitch where that was mistaken.
func (b *belt) finer(all []*layer) {
	if b.fine {
		return
	}
	b.fine = true
	b.again(all, 1)
	if b.doubles() {
		b.again(all, 2)
	} else if b.halves() {
		// Where each second is more like it, half of a pitch was all that it looked like.
		whole := *b
		if b.again(all, 0.5); b.doubles() {
			*b = whole
		}
	}
}

// again follows a belt once more, all of its width at once, its pitch being a share of what it was taken for.
func (b *belt) again(all []*layer, share float64) {
	m := len(b.places) / 2
	for d := range m {
		if b.places[m].fit > 0.8 {
			break
		}
		m += (d%2*2 - 1) * (d + 1)
	}
	p := b.places[m]
	wide := *b
	// The middle of the section in the middle of the belt.
	u := ((b.first+b.last())/2 - farRibs*perPitch) / perPitch
	p.at = p.on(u, 0)
	p.pitch *= share * b.period() / perPitch
	ribs := int(math.Round(float64(b.ribs) / share))
	if ribs > farRibs*3/2 {
		return
	}
	wide.layer = finest(all, p.pitch, 16)
	p.take(wide.layer, 2, 16)
	wide.mean = p.light
	half := ribs*perPitch/2 - perPitch/8
	wide.from, wide.to = farRibs*perPitch-half, farRibs*perPitch+half+1
	wide.follow(p)
	wide.countRibs()
	if wide.ribs >= 2 {
		*b = wide
	}
}

// halves says whether what was taken for a pitch is two.
func (b *belt) halves() bool {
	cell, _, _ := b.cell()
	return correlation(cell[:perPitch/2], cell[perPitch/2:]) > 0.96
}

// doubles says whether what was taken for a pitch is half of one: each second is more like it than the next.
func (b *belt) doubles() bool {
	from, to := max(0, int(b.first+1)), min(sectionN, int(b.last()))
	shift := int(math.Round(b.step))
	if b.ribs < 4 || to-from < 3*shift {
		return false
	}
	v := b.wide[from:to]
	next, second := correlation(v[:len(v)-shift], v[shift:]), correlation(v[:len(v)-2*shift], v[2*shift:])
	return second-next > 0.06
}

func (b *belt) worth() float64 {
	if b.ribs < 2 {
		return 0
	}
	sum := 0.0
	for _, p := range b.places {
		sum += p.fit * p.pitch
	}
	return b.clear * math.Sqrt(sum*float64(min(b.ribs, 8))*b.places[0].pitch)
}
