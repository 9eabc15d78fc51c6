package surface

import (
	"cmp"
	"math"
	"slices"
	"sync"
)

const (
	ribTile  = 32 // px of a layer: side of the squares in which stripes are looked for
	ribStep  = 16
	ribLeast = 5.  // px of a layer: the shortest period looked for on it
	ribMost  = 12. // the longest; a layer shrunk twice as much goes on
)

// stripes is a square of a layer in which light goes up and down evenly in one direction. Lengths and places are px of
// the whole picture.
type stripes struct {
	at     Point
	across Point   // unit vector, of either sign
	period float64 // px
	share  float64 // of the variance of light that a wave of that period and its double frequency account for
	edge   bool    // the period is the longest or shortest tried
	layer  int
	col    int
	row    int
}

// stripesOf looks at all squares of a layer.
func stripesOf(l *layer, n int) []stripes {
	var out []stripes
	var s square
	for row := 0; row*ribStep+ribTile <= l.h; row++ {
		for col := 0; col*ribStep+ribTile <= l.w; col++ {
			if found, ok := s.look(l, col*ribStep, row*ribStep); ok {
				found.layer, found.col, found.row = n, col, row
				out = append(out, found)
			}
		}
	}
	return out
}

// square is what one look needs.
type square struct{ sum [ribBins]float64 }

const (
	ribBins  = ribTile + 8 // of a section through a square
	ribTries = 12          // periods
)

// look takes the structure tensor of a square (means of products of derivatives), whose eigenvector points across
// stripes, and the wave that fits best the mean section in that direction.
func (s *square) look(l *layer, x0, y0 int) (stripes, bool) {
	var xx, xy, yy, sum, square float32
	for y := y0 + 1; y < y0+ribTile-1; y++ {
		row := l.light[y*l.w+x0:][:ribTile]
		up, down := l.light[(y-1)*l.w+x0:][:ribTile], l.light[(y+1)*l.w+x0:][:ribTile]
		for x := 1; x < ribTile-1; x++ {
			gx, gy, v := row[x+1]-row[x-1], down[x]-up[x], row[x]-128
			xx, xy, yy = xx+gx*gx, xy+gx*gy, yy+gy*gy
			sum, square = sum+v, square+v*v
		}
	}
	const n = (ribTile - 2) * (ribTile - 2)
	mean := float64(sum) / n
	variance := float64(square)/n - mean*mean
	coherent := math.Hypot(float64(xx-yy), 2*float64(xy)) / (float64(xx+yy) + 1e-9)
	if variance < 0.3 || coherent < 0.25 {
		return stripes{}, false
	}
	angle := math.Atan2(2*float64(xy), float64(xx-yy)) / 2
	best := stripes{}
	for _, turn := range []float64{0, -0.06, 0.06} {
		c, sn := math.Cos(angle+turn), math.Sin(angle+turn)
		period, share := s.wave(l, x0, y0, c, sn, mean+128)
		if share /= variance + 0.5; share > best.share {
			best = stripes{across: Point{c, sn}, period: period, share: share}
		}
		if best.share < 0.06 {
			return stripes{}, false
		}
	}
	if best.share < 0.12 {
		return stripes{}, false
	}
	best.edge = best.period < ribLeast*1.02 || best.period > ribMost*0.98
	k := float64(l.by)
	best.period *= k
	best.at = Point{(float64(x0)+ribTile/2)*k - 0.5, (float64(y0)+ribTile/2)*k - 0.5}
	return best, true
}

// wave projects a disc of a square on a direction and finds the period whose wave, with that of half of it, takes most
// of the variance of the section; share is that variance.
func (s *square) wave(l *layer, x0, y0 int, c, sn, mean float64) (period, share float64) {
	const middle, far = float64(ribTile-1) / 2, float64(ribTile) / 2
	clear(s.sum[:])
	for y := range ribTile {
		dy := float64(y) - middle
		wide := math.Sqrt(far*far - dy*dy)
		from, to := int(math.Ceil(middle-wide)), int(middle+wide)
		row := l.light[(y0+y)*l.w+x0:][from : to+1]
		u := (float64(from)-middle)*c + dy*sn + ribBins/2 - 0.5
		for _, v := range row {
			i := int(u)
			f := u - float64(i)
			d := float64(v) - mean
			s.sum[i] += d - f*d
			s.sum[i+1] += f * d
			u += c
		}
	}
	waves := ribWaves()
	var tries [ribTries]float64
	best := 0
	for k := range tries {
		for _, q := range waves[k] {
			p := 0.0
			for i, v := range s.sum {
				p += v * q[i]
			}
			tries[k] += p * p
		}
		if tries[k] > tries[best] {
			best = k
		}
	}
	at := float64(best)
	if best > 0 && best < ribTries-1 {
		a, b, c := tries[best-1], tries[best], tries[best+1]
		if d := a - 2*b + c; d < 0 {
			at += 0.5 * (a - c) / d
		}
	}
	return tryPeriod(at), tries[best]
}

func tryPeriod(k float64) float64 { return ribLeast * math.Pow(ribMost/ribLeast, k/(ribTries-1)) }

// ribWaves are, of each period tried, waves of it and of half of it, square to each other and to level and slope by
// the weights of a disc's section (Gram and Schmidt), and of such a size that the square of the sum of a section's sums
// times a wave is the variance that it takes.
var ribWaves = sync.OnceValue(func() (out [ribTries][4][ribBins]float64) {
	const far = float64(ribTile) / 2
	var weight [ribBins]float64
	total := 0.0
	for i := range weight {
		u := float64(i) - ribBins/2 + 0.5
		weight[i] = 2 * math.Sqrt(max(far*far-u*u, 0))
		total += weight[i]
	}
	times := func(a, b *[ribBins]float64) (sum float64) {
		for i, w := range weight {
			sum += w * a[i] * b[i]
		}
		return sum
	}
	for k := range out {
		var f [6][ribBins]float64
		for i := range weight {
			u := float64(i) - ribBins/2 + 0.5
			s, c := math.Sincos(2 * math.Pi * u / tryPeriod(float64(k)))
			f[0][i], f[1][i], f[2][i], f[3][i], f[4][i], f[5][i] = 1, u, c, s, c*c-s*s, 2*s*c
		}
		for j := range f {
			for m := range j {
				along := times(&f[j], &f[m])
				for i := range weight {
					f[j][i] -= along * f[m][i]
				}
			}
			size := math.Sqrt(times(&f[j], &f[j]))
			for i := range weight {
				f[j][i] /= size
			}
		}
		for j := range out[k] {
			for i := range weight {
				out[k][j][i] = f[2+j][i] / math.Sqrt(total)
			}
		}
	}
	return out
})

// patch is a number of squares side by side whose stripes go on from one to the next.
type patch struct {
	squares []stripes // the clearest first
	score   float64
}

// patches joins squares of a layer to their neighbours where direction and period agree.
func patches(all []stripes) []patch {
	where := make(map[[2]int]int, len(all))
	for i, s := range all {
		where[[2]int{s.col, s.row}] = i
	}
	seen := make([]bool, len(all))
	var out []patch
	for i := range all {
		if seen[i] {
			continue
		}
		seen[i] = true
		p := patch{}
		for todo := []int{i}; len(todo) > 0; {
			s := all[todo[len(todo)-1]]
			todo = todo[:len(todo)-1]
			p.squares = append(p.squares, s)
			p.score += s.share
			for d := range 9 {
				j, ok := where[[2]int{s.col + d%3 - 1, s.row + d/3 - 1}]
				if ok && !seen[j] && alike(s, all[j]) {
					seen[j] = true
					todo = append(todo, j)
				}
			}
		}
		slices.SortStableFunc(p.squares, func(a, b stripes) int { return cmp.Compare(b.trust(), a.trust()) })
		out = append(out, p)
	}
	return out
}

// trust is less where the period may be one that was not tried.
func (s stripes) trust() float64 {
	if s.edge {
		return s.share / 2
	}
	return s.share
}

func alike(a, b stripes) bool {
	ratio := a.period / b.period
	return math.Abs(a.across.dot(b.across)) > 0.97 && ratio > 0.85 && ratio < 1/0.85
}

// findStripes returns the patches of all layers, those with most to show first.
func findStripes(all []*layer) []patch {
	var out []patch
	for n, l := range all {
		if l.by == 1 {
			if l.w*l.h > 2_000_000 {
				continue
			}
			l = l.copied()
		}
		out = append(out, patches(stripesOf(l, n))...)
	}
	slices.SortStableFunc(out, func(a, b patch) int { return cmp.Compare(b.score, a.score) })
	return out
}
