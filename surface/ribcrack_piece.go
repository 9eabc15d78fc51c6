package surface

import (
	"math"
	"slices"
)

// Where a piece is gone a rib's tip is darker than it usually is, and than its neighbours are there, and rougher; where
// an edge frays the outermost millimetre looks unlike the rest of it. Both are only candidates.
const (
	pieceDark  = 0.18 // log of light: darker by about a sixth
	pieceLeast = 1.5  // mm long
	pieceMost  = 25.0
	frayLeast  = 4.0
	frayStrong = 2.2 // usual deviations
)

// findCandidates finds stretches of ribs that may have lost a piece, and of edges that may fray.
func findCandidates(s Strip) []Candidate {
	var out []Candidate
	if s.Ribs < 1 || s.Height < 40 || s.Width < 10 {
		return nil
	}
	light, rough := make([][]float64, s.Ribs), make([][]float64, s.Ribs)
	for r := range s.Ribs {
		light[r], rough[r] = s.tip(r)
	}
	for r := range s.Ribs {
		out = append(out, s.missing(r, light, rough)...)
	}
	return append(out, append(s.fray(0, 1), s.fray(s.Width-1, -1)...)...)
}

// tip is, along a rib, the logarithm of its tip's light over what it usually is, and how uneven it is, as a share.
func (s Strip) tip(rib int) (light, rough []float64) {
	mid, half := (float64(rib)+0.5)*s.Pitch*s.PerMM, 0.45*s.PerMM
	from, to := max(int(mid-half), 0), min(int(mid+half)+1, s.Width)
	raw, size := make([]float32, s.Height), make([]float32, s.Height)
	mean := make([]float32, s.Height)
	for y := range s.Height {
		for x := from; x < to; x++ {
			raw[y] += float32(s.Light[y*s.Width+x]) / float32(to-from)
		}
	}
	boxMean(mean, raw, int(0.4*s.PerMM))
	for y := range s.Height {
		if y == 0 {
			continue
		}
		for x := from; x < to; x++ {
			size[y] += float32(math.Abs(s.Light[y*s.Width+x]-s.Light[(y-1)*s.Width+x])) / float32(to-from)
		}
	}
	even := make([]float32, s.Height)
	boxMean(even, size, int(s.PerMM))
	light, rough = make([]float64, s.Height), make([]float64, s.Height)
	for y := range s.Height {
		light[y] = math.Log(float64(max(mean[y], 0.01)))
		rough[y] = float64(even[y] / max(mean[y], 0.01))
	}
	usual := running(light, int(15*s.PerMM))
	for y := range light {
		light[y] -= usual[y]
	}
	return light, rough
}

// running is the median of what lies within some values to both sides, taken at every eighth.
func running(v []float64, half int) []float64 {
	out := make([]float64, len(v))
	var near []float64
	for y := 0; y < len(v); y += 8 {
		near = near[:0]
		for i := max(0, y-half); i < min(len(v), y+half+1); i += 4 {
			near = append(near, v[i])
		}
		slices.Sort(near)
		for i := y; i < min(y+8, len(v)); i++ {
			out[i] = near[len(near)/2]
		}
	}
	return out
}

// missing is where a rib may have lost pieces.
func (s Strip) missing(rib int, light, rough [][]float64) []Candidate {
	var out []Candidate
	usual := median(rough[rib])
	others := make([]float64, 0, s.Ribs)
	dark := func(y int) float64 {
		others = others[:0]
		for r := range light {
			if r != rib {
				others = append(others, light[r][y])
			}
		}
		slices.Sort(others)
		return min(others[len(others)/2], 0) - light[rib][y]
	}
	gone := func(y int) bool {
		d := dark(y)
		return d >= pieceDark || d >= pieceDark/4 && rough[rib][y] > 2.5*usual
	}
	if s.Ribs < 2 {
		return nil
	}
	gap := int(s.PerMM)
	for y := 0; y < s.Height; y++ {
		if dark(y) < pieceDark {
			continue
		}
		from, last, sum, uneven, n := y, y, 0.0, 0.0, 0.0
		for ; y < s.Height && y-last <= gap; y++ {
			if gone(y) {
				last = y
			}
			if d := dark(y); d >= pieceDark {
				sum, uneven, n = sum+d, uneven+rough[rib][y], n+1
			}
		}
		long := float64(last-from+1) / s.PerMM
		if n/s.PerMM < pieceLeast || long > pieceMost {
			continue
		}
		chance := logistic(4*(sum/n-0.3) + 1.5*(uneven/n/max(usual, 1e-6)-2.2) + 0.5*(min(n/s.PerMM, 5)-2.5))
		if chance < 0.3 {
			continue
		}
		out = append(out, Candidate{Kind: "piece", Chance: chance, Size: Point{0.8 * s.Pitch, long},
			At: Point{(float64(rib) + 0.5) * s.Pitch, (float64(from+last)/2 + 0.5) / s.PerMM}})
	}
	return out
}

// fray is where the edge of the belt at a column may fray; side leads inwards.
func (s Strip) fray(edge, side int) []Candidate {
	wide := max(2, int(1.0*s.PerMM))
	unlike := make([]float64, s.Height)
	for x := range wide {
		col := make([]float64, s.Height)
		for y := range col {
			col[y] = s.Light[y*s.Width+min(max(edge+side*x, 0), s.Width-1)]
		}
		usual := running(col, int(20*s.PerMM))
		for y := range col {
			unlike[y] += math.Abs(col[y]-usual[y]) / max(usual[y], 0.02) / float64(wide)
		}
	}
	smooth := make([]float64, s.Height)
	smoothed(smooth, unlike, int(s.PerMM))
	level := max(median(smooth), 0.003)
	var out []Candidate
	gap := int(2 * s.PerMM)
	for y := 0; y < s.Height; y++ {
		if smooth[y] < frayStrong*level {
			continue
		}
		from, last, sum, n := y, y, 0.0, 0.0
		for ; y < s.Height && y-last <= gap; y++ {
			if smooth[y] >= frayStrong*level {
				last = y
				sum, n = sum+smooth[y]/level, n+1
			}
		}
		long := float64(last-from+1) / s.PerMM
		if long < frayLeast {
			continue
		}
		chance := logistic(0.6*(sum/n-3.5) + 0.15*(min(long, 20)-10))
		if chance < 0.75 {
			continue
		}
		out = append(out, Candidate{Kind: "fray", Chance: chance, Size: Point{1, long},
			At: Point{(float64(edge+side*wide/2) + 0.5) / s.PerMM, (float64(from+last)/2 + 0.5) / s.PerMM}})
	}
	return out
}
