package surface

import (
	"cmp"
	"image"
	"math"
	"slices"
)

// findLines searches every rib's top for dark lines across it.
func findLines(s Strip, places []Candidate) [][]*line {
	ribs := make([][]*line, s.Ribs)
	var seek seeker
	var l lane
	for r := range ribs {
		if l.cut(s, r) {
			seek.take(&l)
			ribs[r] = slices.DeleteFunc(seek.run(), func(c *line) bool { return c.within(s, places) })
		}
	}
	s.eye(ribs)
	meet(s, ribs)
	return ribs
}

// eye tells each line what the net says of its place: of the lines at a peak of the net's odds the strongest has them.
func (s Strip) eye(ribs [][]*line) {
	for r, odds := range ribEye().both(glimpses(s)) {
		s.hand(odds, ribs[r])
	}
}

// hand gives the peaks of the net's odds along a rib to lines, the greatest first.
func (s Strip) hand(odds []float32, lines []*line) {
	for _, c := range lines {
		c.look.Eye = unseen
	}
	perMM := eyeWide / s.Pitch / eyeCell
	gap := int(0.7*perMM + 0.5)
	for _, k := range peaksOf(odds, gap, unseen) {
		var best *line
		most := 0.0
		for _, c := range lines {
			off := s.Belt(Point{0, c.y}).Y - (float64(k)+0.5)/perMM
			v := c.look.Z * math.Exp(-off*off/(2*0.27*0.27))
			if math.Abs(off) < 0.5 && c.look.Eye == unseen && v > most {
				best, most = c, v
			}
		}
		if best != nil {
			best.look.Eye = float64(odds[k])
		}
	}
}

// unseen are log odds of a place at which the net sees nothing.
const unseen = -7

// peaksOf are places of values above a least one, the greatest first, none within a gap of a greater one.
func peaksOf(v []float32, gap int, least float32) []int {
	var out []int
	for k, x := range v {
		if x > least && (k == 0 || x >= v[k-1]) && (k+1 == len(v) || x > v[k+1]) {
			out = append(out, k)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(v[b], v[a]) })
	n := 0
	for _, k := range out {
		if !slices.ContainsFunc(out[:n], func(j int) bool { return max(j-k, k-j) <= gap }) {
			out[n] = k
			n++
		}
	}
	return out[:n]
}

// within tells whether a line lies in what is probably a missing piece.
func (c *line) within(s Strip, places []Candidate) bool {
	at := s.Belt(Point{(float64(c.rib)+0.5)*s.Pitch*s.PerMM - 0.5, c.y})
	return slices.ContainsFunc(places, func(k Candidate) bool {
		return k.Kind == "piece" && k.Chance > 0.5 && math.Abs(k.At.X-at.X) < s.Pitch/2 &&
			math.Abs(k.At.Y-at.Y) < k.Size.Y/2+0.2
	})
}

// miss is by how much two lines on neighbouring ribs, led on at the height of the tips, miss each other over the groove
// between them, px along the rib. A tip is narrow and its slope uncertain: lines are led on at half of it.
func (c *line) miss(s Strip, o *line, side int) float64 {
	half := float64(side) * s.Pitch * s.PerMM / 4
	return c.y + c.course.slope*half - (o.y - o.course.slope*half)
}

// findCracks finds cracks across the ribs of a strip, places that may have lost a piece or frayed, and of each rib how
// many cracks a mm are expected that are too faint to be marked. Within a missing piece nothing is a crack.
func findCracks(s Strip) (cracks []Crack, places []Candidate, faint []float64) {
	places = findCandidates(s)
	lines := findLines(s, places)
	marked, faint := mark(s, lines)
	return link(s, marked), places, faint
}

const (
	// counted is the chance from which on a line is taken for a crack, on a belt that is cracked: of 0.25 to 0.5 about
	// the best on 233 drawn belts, seeds from 5 100 000 and from 5 500 000 on.
	counted = 0.35
	// speaking is the chance from which on a line says something of whether the belt is cracked.
	speaking = 0.5
	// cracked is what the lines of a belt must tell together for it to be taken for cracked (see told): more than all
	// but one of 79 sound drawn belts did where it was looked at last, seeds from 5 100 000 and from 5 600 000 on.
	cracked = 3
)

// told is what the lines of a belt tell together of its being cracked: minus the logarithm of the chance that none of
// those that speak is a crack, each taken by itself.
func told(ribs [][]*line) float64 {
	sum := 0.0
	for _, lines := range ribs {
		for _, c := range lines {
			if c.chance >= speaking {
				sum -= math.Log1p(-min(c.chance, 1-1e-6))
			}
		}
	}
	return sum
}

// mark keeps of the lines of a belt those that are taken for cracks.
func mark(s Strip, ribs [][]*line) (marked [][]*line, faint []float64) {
	marked, faint = make([][]*line, len(ribs)), make([]float64, len(ribs))
	is := told(ribs) >= cracked
	for r, lines := range ribs {
		for _, c := range lines {
			if is && c.chance >= counted {
				marked[r] = append(marked[r], c)
			} else {
				faint[r] += c.chance * s.PerMM / float64(s.Height)
			}
		}
	}
	return marked, faint
}

// link joins lines on neighbouring ribs that meet in the groove between them, the nearest first.
func link(s Strip, ribs [][]*line) []Crack {
	type pair struct {
		a, b *line
		off  float64
	}
	var pairs []pair
	for r := 1; r < len(ribs); r++ {
		for _, a := range ribs[r-1] {
			for _, b := range ribs[r] {
				if off := math.Abs(a.miss(s, b, 1)) / s.PerMM; off < 0.9 {
					pairs = append(pairs, pair{a, b, off})
				}
			}
		}
	}
	slices.SortStableFunc(pairs, func(p, q pair) int { return cmp.Compare(p.off, q.off) })
	next, taken := map[*line]*line{}, map[*line]bool{}
	for _, p := range pairs {
		if next[p.a] == nil && !taken[p.b] {
			next[p.a], taken[p.b] = p.b, true
		}
	}
	var out []Crack
	for r := range ribs {
		for _, c := range ribs[r] {
			if taken[c] {
				continue
			}
			chain := []*line{c}
			for n := next[c]; n != nil; n = next[n] {
				chain = append(chain, n)
			}
			out = append(out, crackOf(s, chain))
		}
	}
	slices.SortStableFunc(out, func(a, b Crack) int { return cmp.Compare(a.Path[0].Y, b.Path[0].Y) })
	return out
}

// crackOf is the crack that lines on neighbouring ribs make.
func crackOf(s Strip, chain []*line) Crack {
	var k Crack
	n := float64(len(chain))
	for _, c := range chain {
		k.Ribs = append(k.Ribs, c.rib)
		k.Width += c.look.Width / n
		k.Contrast += c.look.Contrast / n
		k.Chance += promised(c.chance) / n
		step := float64(len(c.path)-1) / 6
		for j := range 7 {
			x := float64(j) * step
			k.Path = append(k.Path, s.Belt(Point{float64(laneFrom(s, c.rib)) + x, c.path[int(math.Round(x))]}))
		}
	}
	for j := 1; j < len(k.Path); j++ {
		k.Length += k.Path[j].distance(k.Path[j-1])
	}
	return k
}

const closest = 16 // px of a strip to a mm, at the most

// findOn finds the cracks of a belt whose frame is laid.
func (r *Reading) findOn(p *image.Gray) error {
	s, err := r.Frame.Strip(p, min(r.Across.Value, closest))
	if err != nil {
		return err
	}
	r.Cracks, r.Candidates, r.Frame.Faint = findCracks(s)
	r.Count = CountCracks(r.Frame, r.Cracks)
	return nil
}

// promised is what a chance is worth on belts as they are read that took no part in the fit: a line through the log
// odds of 2 702 lines from 0.2 on, on 112 drawn belts, seeds from 5 500 000 on, and 38 sound ones, from 5 600 000 on.
func promised(chance float64) float64 {
	chance = min(max(chance, 1e-4), 1-1e-4)
	return logistic(0.80*math.Log(chance/(1-chance)) - 0.04)
}
